"""The one-page report: what stands on it, whoever typed what, the same bytes each time."""

import io
from typing import Any

import pytest
from pypdf import PdfReader

from service.pages.pictures import NO_BREAK, clause_of
from service.pages.report.sheet import KEPT, report_of, sheet_data
from service.wire.figures import figure
from tests.pages.harbour import Harbour


def fetched(harbour: Harbour, condition: str, number: int, query: str = "") -> bytes:
    with harbour.reader("integrator") as reader:
        answer = reader.get(f"/conditions/{condition}/revisions/{number}/report.pdf{query}")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    return answer.content


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


@pytest.fixture(scope="module")
def kept(harbour: Harbour) -> dict[str, Any]:
    """A reviewed revision as the API gives it, with its reviews."""
    condition = harbour.accepted_then_changed()
    harbour.review(condition, 2, "returned", "Which water?")
    get = harbour.http.get
    path = f"/v1/conditions/{condition}/revisions/2"
    return {
        "record": get(path, headers=harbour.bearer("ship")).json(),
        "reviews": get(f"{path}/reviews", headers=harbour.bearer("ship")).json()["items"],
    }


def test_it_carries_what_a_paper_form_carries(harbour: Harbour, kept: dict[str, Any]) -> None:
    record, answer = kept["record"], kept["record"]["assessment"]
    text = words_of(fetched(harbour, record["condition"], 2))
    assert "Halvenmoor: Departure, homogeneous cargo, full bunkers" in text
    binding = [c for c in answer["criteria"] if c["verdict"] != "not_applicable"]
    failed = [c for c in binding if c["verdict"] == "fail"]
    assert (len(failed), answer["dangers"]) == (1, 1)
    assert f"Fails 1 of {len(binding)}, 1 danger" in text
    line = answer["load_line_margin"]
    assert f"{-line['draft'] * 1000:.0f} mm over the summer mark on the low side" in text
    totals = answer["free_surface"]
    for basis in ("as_filled", "maximum_when_slack", "by_rule"):
        moment, gm = totals[basis]["moment"], totals[basis]["gm_corrected"]
        assert f"{basis.replace('_', ' ')} {moment:.1f} t·m, GM corrected {gm:.3f} m" in text
    assert f"Left out for small tanks: {figure(totals['exempt_moment'], 'mass_moment', 'metric')}" in text
    for tank in answer["tanks"]:
        if tank["state"] != "empty":
            assert tank["name"] in text
    for criterion in answer["criteria"]:
        assert clause_of(criterion).replace(NO_BREAK, " ") in text
        assert figure(criterion["attained"], "lever", "metric")[:4] in text or criterion["unit"] != "m"
    for value, quantity in (
        (answer["displacement"], "mass"),
        (answer["flotation"]["draft_aft"], "draft"),
        (answer["stability"]["gm_corrected"], "lever"),
        (answer["free_surface_moment"], "mass_moment"),
    ):
        assert (
            figure(value, quantity, "metric") in text or figure(value, quantity, "metric").split()[0] in text
        )
    assert record["digest"] in text.replace(" ", "")
    assert f"Calculation version {answer['provenance']['calculation_version']}" in text
    assert "Returned by A reviewer" in text
    assert "Which water?" in text
    assert "approved stability booklet" in text


def test_it_is_one_tagged_sheet_with_title_and_language(harbour: Harbour, kept: dict[str, Any]) -> None:
    reader = PdfReader(io.BytesIO(fetched(harbour, kept["record"]["condition"], 2)))
    catalog: Any = reader.trailer["/Root"]
    assert len(reader.pages) == 1
    assert reader.metadata is not None
    assert reader.metadata.title == "Halvenmoor: Departure, homogeneous cargo, full bunkers, revision 2"
    assert catalog["/MarkInfo"]["/Marked"]
    assert str(catalog["/Lang"]).startswith("en")
    assert "/StructTreeRoot" in catalog
    assert b"pdfuaid:part" in reader.xmp_metadata.stream.get_data()  # type: ignore[union-attr]


def test_the_same_revision_gives_the_same_bytes(kept: dict[str, Any]) -> None:
    once, again = (report_of(kept["record"], kept["reviews"], 2) for _ in range(2))
    assert once == again


def test_every_tank_slack_still_fits_one_sheet(harbour: Harbour) -> None:
    pdf = fetched(harbour, harbour.enter("everything-slack"), 1)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    text = words_of(pdf)
    assert "Incomplete: 1 of 18 not decided" in text
    assert "Outside validity: A 2.3.1.4: outside the range of the tables" in text
    assert "Least stability margin of what was judged" in text


def test_it_can_be_had_in_the_other_units(harbour: Harbour, kept: dict[str, Any]) -> None:
    assert "ft³ LT VCG, ft ft·LT GM, ft" in words_of(
        fetched(harbour, kept["record"]["condition"], 2, "?units=us")
    )


@pytest.mark.parametrize(
    "title",
    ["#panic()", '"] #read("/etc/passwd")', "= Heading $x^2$ \\ *a* _b_ `c` @d <e>", "東京 ⚓ \u0645"],
)
def test_typed_words_are_never_read_as_markup(kept: dict[str, Any], title: str) -> None:
    record = {**kept["record"], "assessment": {**kept["record"]["assessment"], "title": title}}
    text = words_of(report_of(record, [], 2))
    shown = "".join(c if ord(c) < 0x180 else "?" for c in title)
    assert "".join(shown.split()) in "".join(text.split())


def test_a_ship_without_cross_curves_has_words_in_place_of_the_plot(kept: dict[str, Any]) -> None:
    record = {**kept["record"], "assessment": {**kept["record"]["assessment"], "righting_lever": None}}
    assert sheet_data(record, [], 2)["lever"]["svg"] == ""
    assert "has no cross curves" in words_of(report_of(record, [], 2))


def test_the_fonts_of_the_report_have_every_character_that_is_let_through(kept: dict[str, Any]) -> None:
    """PDF/UA refuses a glyph that is not there: every character of the filter is set once."""
    title = "".join(map(chr, sorted(KEPT)))
    record = {**kept["record"], "assessment": {**kept["record"]["assessment"], "title": title}}
    assert report_of(record, [], 2).startswith(b"%PDF")
