"""The tables of a booklet: figures as they are held, doubts at their cells, plots, proof; greatest VCG, least GM."""

import csv
import io
import re
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import html5lib
import openpyxl
import pytest

from service.actions.booklet_parts import PARTS
from service.actions.booklet_tables import doubts_at_cells, parts_held, place_of_doubt, tables_of_part
from service.pages.drawings.booklet_plot import Plotted, booklet_plot
from service.pages.drawings.table_plot import Series
from service.translation.booklet_doubts import booklet_doubts
from service.wire.figures import MINUS
from tests.api.office import vessel_document
from tests.pages.harbour import Harbour, text_of_page


@pytest.fixture(scope="module")
def doubted(harbour: Harbour) -> dict[str, Any]:
    """Her document with a slip of the pen in three tables, entered."""
    vessel = vessel_document(name="Doubted", id="doubted-tables")
    vessel["hydrostatics"]["rows"][40]["km"] += 1.0
    vessel["cross_curves"]["levers"][5][3] += 0.3
    vessel["tanks"][3]["table"]["rows"][4]["vcg"] += 0.5
    made = harbour.http.post("/v1/vessels", json=vessel, headers=harbour.bearer("administrator"), timeout=60)
    assert made.status_code == 201, made.text
    return vessel


def part(slug: str) -> Any:
    return next(one for one in PARTS if one.slug == slug)


def cells_of(text: str, label: str) -> list[list[str]]:
    """The rows of the first table of that group, as texts."""
    document = html5lib.parse(text, namespaceHTMLElements=False)
    group = next(e for e in document.iter("div") if e.get("aria-label") == label)
    rows = [row for row in group.iter("tr") if row.get("class") != "again"]
    return [["".join(cell.itertext()).strip() for cell in row if cell.tag in ("td", "th")] for row in rows]


def test_every_figure_of_the_hydrostatic_table_stands_as_it_is_held(harbour: Harbour) -> None:
    rows = vessel_document()["hydrostatics"]["rows"]
    with harbour.reader("ship") as reader:
        shown = cells_of(reader.get("/vessels/halvenmoor/tables/hydrostatics").text, "Hydrostatics")
    assert shown[0][:3] == ["Trim[m]", "Draft[m]", "Displacement[t]"]
    assert len(shown) == 1 + len(rows)
    members = ("trim", "draft", "displacement", "lcb", "lcf", "km", "tpc", "mctc", "vcb", "kml")
    for row, cells in zip(rows, shown[1:], strict=True):
        held = [row.get(member, 0.0) for member in members]
        assert [float(text.replace(MINUS, "-")) for text in cells[: len(members)]] == held


def test_a_doubt_stands_at_its_cell_and_in_words(harbour: Harbour, doubted: dict[str, Any]) -> None:
    with harbour.reader("ship") as reader:
        page = reader.get("/vessels/doubted-tables/tables/hydrostatics")
        tank = reader.get("/vessels/doubted-tables/tables/tank-tables?of=wb-wing-1-p")
        overview = text_of_page(reader.get("/vessels/doubted-tables"))
    row = cells_of(page.text, "Hydrostatics")[41]
    assert row[5].startswith("?")
    assert row[5].endswith(f"{doubted['hydrostatics']['rows'][40]['km']:.3f}")
    assert sum(text.startswith("?") for cells in cells_of(page.text, "Hydrostatics") for text in cells) == 1
    assert "does not fit the rows around it" in text_of_page(page)
    assert "VCG falls from" in text_of_page(tank)
    assert "/hydrostatics/rows" not in overview  # no pointers for people


def test_a_doubt_about_a_line_of_levers_stands_at_that_line() -> None:
    vessel = vessel_document()
    curves = vessel["cross_curves"]["at_other_trims"][0]
    curves["levers"][20] = [1.3 * lever for lever in curves["levers"][20]]
    doubts = [d for d in booklet_doubts(vessel) if d["path"] == "/cross_curves/at_other_trims/0/levers/20"]
    assert doubts
    cross = part("cross-curves")
    (table,) = tables_of_part(vessel, cross, "", doubts_at_cells(vessel, cross))
    spots = {spot for spot, doubt in table.doubts if doubt["path"] == doubts[0]["path"]}
    (spot,) = spots
    assert spot is not None
    assert table.rows[spot[0]][0].value == f"{curves['displacements'][20]:.15g}"


def test_parts_and_places() -> None:
    vessel = vessel_document()
    held = {part.slug: lines for part, lines, _ in parts_held(vessel, [])}
    assert held["hydrostatics"] == len(vessel["hydrostatics"]["rows"])
    assert held["tanks"] == len(vessel["tanks"])
    assert held["type"] is None
    doubt: Any = {"path": "/tanks/3/table/rows/5/vcg"}
    assert place_of_doubt(vessel, doubt) == ("tank-tables", vessel["tanks"][3]["id"])


def test_proof_says_what_is_reached_and_a_csv_is_one_table(harbour: Harbour) -> None:
    with harbour.reader("ship") as reader:
        proof = reader.get("/v1/vessels/halvenmoor/proof", headers=harbour.bearer("ship")).json()
        text = text_of_page(reader.get("/vessels/halvenmoor/tables/cross-curves"))
        sent = reader.get("/vessels/halvenmoor/csv?sheet=hydrostatics")
        unknown = reader.get("/vessels/halvenmoor/csv?sheet=nothing")
        missing = reader.get("/vessels/halvenmoor/tables/nothing")
    assert proof["coverage"]["cross_curve_rows"] in text
    low, high = proof["coverage"]["displacements"]
    assert f"{low:.1f} to {high:.1f} t" in text
    assert sent.headers["content-type"].startswith("text/csv")
    assert "1348.9" in sent.text
    assert unknown.status_code == 400
    assert missing.status_code == 404


def test_a_large_plot_marks_doubts_and_keeps_names_apart() -> None:
    curves = [Series([0.0, 1.0], [0.0, 1.0 + 0.001 * i]) for i in range(5)]
    plot = Plotted("p", "KN, m", "displacement, t", curves, [(1.0, 1.0)], [f"{i}°" for i in range(5)], (0, 1))
    drawing = ElementTree.fromstring(str(booklet_plot(plot)))
    names = [e for e in drawing.iter("text") if (e.text or "").endswith("°")]
    heights = sorted(float(e.get("y") or 0.0) for e in names)
    assert len(heights) == 5
    assert all(b - a >= 9.9 for a, b in pairwise(heights))
    assert "1 figure is doubted" in "".join(drawing.itertext())
    assert str(booklet_plot(Plotted("p", "t", "x", [Series([1.0], [1.0])]))) == ""


def test_vcg_limits_are_those_of_the_address(harbour: Harbour) -> None:
    """Page, CSV and workbook hold the figures of POST /v1/vcg-limits."""
    query = "from=4&to=6&count=3&trims=0+1&density=1.025&set=is-code-2008-a-2.2"
    question = {
        "vessel_id": "halvenmoor",
        "units": "metric",
        "drafts": [4.0, 5.0, 6.0],
        "trims": [0.0, 1.0],
        "water_density": 1.025,
        "rule_sets": ["is-code-2008-a-2.2"],
    }
    answer = harbour.http.post("/v1/vcg-limits", json=question, headers=harbour.bearer("ship")).json()
    with harbour.reader("ship") as reader:
        shown = cells_of(
            reader.get(f"/vessels/halvenmoor/vcg-limits?{query}").text, "Limits by draft and trim"
        )
        sent = reader.get(f"/vessels/halvenmoor/vcg-limits.csv?{query}")
        book = reader.get(f"/vessels/halvenmoor/vcg-limits.xlsx?{query}")
    assert len(shown) == 7
    for row, cells in zip(answer["rows"], shown[1:], strict=True):
        assert cells[4:6] == [f"{row['max_vcg']:.3f}", f"{row['min_gm']:.3f}"]
    lines = list(csv.reader(io.StringIO(sent.text.removeprefix("\ufeff"))))
    assert [float(line[4]) for line in lines[1:]] == pytest.approx([r["max_vcg"] for r in answer["rows"]])
    sheets = openpyxl.load_workbook(io.BytesIO(book.content))
    assert sheets.sheetnames == ["about", "limits", "criteria", "GM limits"]
    least = [row[4] for row in sheets["GM limits"].iter_rows(min_row=2, values_only=True)]
    assert least == pytest.approx([row["max_vcg"] for row in answer["envelope"]])


def test_vcg_limits_say_what_cannot_be_asked(harbour: Harbour) -> None:
    with harbour.reader("ship") as reader:
        wrong = reader.get(
            "/vessels/halvenmoor/vcg-limits?from=3&to=2&count=5&trims=a&set=is-code-2008-a-2.2"
        )
        none = reader.get("/vessels/halvenmoor/vcg-limits?from=3&to=5&count=5&trims=0")
        deep = reader.get("/vessels/halvenmoor/vcg-limits?from=3&to=50&count=2&set=is-code-2008-a-2.2")
    assert (wrong.status_code, none.status_code, deep.status_code) == (422, 422, 422)
    assert "is not a number" in text_of_page(wrong)
    assert "Choose at least one rule set" in text_of_page(none)
    assert "draft" in text_of_page(deep)


def test_rule_sets_go_by_their_titles(harbour: Harbour) -> None:
    """Also where her booklet names one as it was called before: it binds her, and is not offered beside."""
    document = vessel_document(name="Of unusual form", rule_sets=["is-code-2008-a-2.2", "46-cfr-170.173-c"])
    made = harbour.http.post("/v1/vessels", json=document, headers=harbour.bearer("administrator")).json()
    path = f"/vessels/{made['vessel']}"
    sets = harbour.http.get("/v1/rule-sets", headers=harbour.bearer("ship")).json()["items"]
    with harbour.reader("administrator") as reader:
        limits = reader.get(f"{path}/vcg-limits?count=2&from=4&to=5&set=is-code-2008-a-2.2")
        others = [reader.get(f"{path}{rest}") for rest in ("", "/conditions/new")]
    shown = [text_of_page(one) for one in (limits, *others)]
    hers, _, offered = limits.text.partition("<summary>")
    assert "Criterion for vessels of unusual proportion and form (46 CFR 170.173)" in hers
    assert 'value="46-cfr-170.173"' not in offered
    assert sum(one["title"] in shown[0] for one in sets) > 20
    for text in shown:
        assert not re.search(r"is-code-2008|46-cfr-|vessel-gm-limits", text)
    assert "Intact stability: righting lever curve properties (International Code" in shown[1]
