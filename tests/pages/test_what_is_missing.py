"""Answers with null figures: every page says why in the place of the figure, and none breaks."""

import io
from copy import deepcopy
from typing import Any

import pytest
from pypdf import PdfReader

from service.pages.drawings.gm_ledger import gm_ledger, ledger_in_words, required_gm
from service.pages.drawings.righting_lever_plot import lever_in_words, righting_lever_plot
from service.pages.drawings.waterline_sketch import end_view, floats_in_words, lies, side_view
from tests.api.office import SHIP, condition_document, vessel_document
from tests.pages.conftest import assessment
from tests.pages.harbour import Harbour, text_of_page
from tests.pages.test_drawings import SHAPE, drawn, words_of

OFF_DISPLACEMENT, OFF_TRIM, NO_EQUILIBRIUM = (
    {"mass": 9000.0, "lcg": 45.0, "vcg": 5.0},
    {"mass": 400.0, "lcg": 98.0, "vcg": 5.0},
    {"mass": 900.0, "lcg": 45.0, "vcg": 5.0, "tcg": 9.0},
)
CASES = [
    (
        OFF_DISPLACEMENT,
        "Incomplete: 18 of 18 not decided",
        ("Drafts and trim are", "GM is", "The righting lever is"),
    ),
    (OFF_TRIM, "Incomplete: 15 of 18 not decided", ("Drafts and trim are", "The righting lever is")),
    (NO_EQUILIBRIUM, "Fails 11 of 18, 2 dangers", ("The list is",)),
]


def weights(weight: dict[str, Any]) -> list[dict[str, Any]]:
    return [*condition_document()["weights"], {"name": "Trial", "category": "cargo", **weight}]


@pytest.mark.parametrize(("weight", "headline", "places"), CASES)
def test_every_page_of_such_a_condition(
    harbour: Harbour, weight: dict[str, Any], headline: str, places: tuple[str, ...]
) -> None:
    condition = harbour.enter()
    harbour.revise(condition, "Trial", weights=weights(weight))
    path = f"/conditions/{condition}"
    with harbour.reader("administrator") as reader:
        shown = reader.get(path)
        assert shown.status_code == 200
        text = text_of_page(shown)
        assert f" {headline} " in text
        for place in places:
            assert f"{place} not computed: " in text
        for rest in ("?units=us", "/edit", "/revisions", "/revisions/2/review", "/revisions/2/judged-again"):
            assert reader.get(path + rest).status_code == 200, rest
        compared = text_of_page(reader.get(f"{path}/comparison?from=1&to=2"))
        assert "The condition: passes → " in compared
        back = text_of_page(reader.get(f"{path}/comparison?from=2&to=2&units=us"))
        assert "Nothing was changed" in back
        pdf = reader.get(f"{path}/revisions/2/report.pdf")
        assert pdf.status_code == 200
        assert reader.get(f"/vessels/{SHIP}").status_code == 200
        words = " ".join(PdfReader(io.BytesIO(pdf.content)).pages[0].extract_text().split())
        assert headline in words
        assert f"{places[0]} not computed: " in words


@pytest.mark.parametrize("other", [0, 1])
def test_a_null_curve_and_one_that_is_there_are_compared(harbour: Harbour, other: int) -> None:
    """The later revision has no curve, or the earlier one has none."""
    condition = harbour.enter()
    harbour.revise(condition, "Trial", weights=weights(OFF_TRIM))
    if other:
        harbour.revise(condition, "Landed again", weights=condition_document()["weights"])
    with harbour.reader("reviewer") as reader:
        path = f"/conditions/{condition}/comparison?from={1 + other}&to={2 + other}"
        assert reader.get(path).status_code == 200


def test_why_it_is_incomplete_each_reason_once(harbour: Harbour) -> None:
    condition = harbour.enter(weights=weights(OFF_TRIM))
    with harbour.reader("reviewer") as reader:
        text = text_of_page(reader.get(f"/conditions/{condition}"))
    first = text.split("Where the GM goes")[0]
    assert first.count("15 criteria not computable: her trim lies outside the table.") == 1
    assert (
        "Drafts and trim, the righting lever, the list and longitudinal strength not computed: trim: "
        in first
    )
    assert "Least stability margin of what was judged: GM 0.470 m" in first


def test_a_rule_set_that_judges_nothing_is_named(harbour: Harbour) -> None:
    admin = harbour.bearer("administrator")
    short = vessel_document(name="Short of the Code", rule_sets=["is-code-2008-a-2.2"])
    short["particulars"] |= {"length_load_line": 23.0}
    vessel = harbour.http.post("/v1/vessels", json=short, headers=admin).json()["vessel"]
    made = harbour.http.post(f"/v1/vessels/{vessel}/conditions", json=condition_document(), headers=admin)
    assert made.status_code == 201, made.text
    unjudged = made.json()["assessment"]["unjudged"]
    assert unjudged[0]["rule_set"] == "is-code-2008-a-2.2"
    with harbour.reader("reviewer") as reader:
        text = text_of_page(reader.get(f"/conditions/{made.json()['condition']}"))
    first, _, rest = text.partition("Where the GM goes")
    assert "Incomplete: 1 rule set judged nothing" in first
    assert f"Intact stability: righting lever curve properties: {unjudged[0]['reason']}." in first
    # each clause that does not apply says why
    assert rest.count("24 m in length and above") >= 6


def missing(figure: str, **parts: Any) -> dict[str, Any]:
    """An answer with a part of its figures gone."""
    answer = deepcopy(assessment("departure-homogeneous"))
    for part, value in parts.items():
        answer[part] = value if value is None else {**answer[part], **value}
    answer["not_computed"] = [{"figure": figure, "reason": "trim: −2.1 is outside −1 to 2 (metre)."}]
    return answer


def test_drawings_of_what_is_missing_are_words() -> None:
    drafts = dict.fromkeys(("draft_aft", "draft_midship", "draft_forward", "trim"))
    off = missing("flotation", flotation=drafts)
    assert side_view(off, SHAPE) == end_view(off, SHAPE) == ""
    assert floats_in_words(off) == "Drafts and trim are not computed: trim: −2.1 is outside −1 to 2 (metre)."
    gone = missing("stability", stability={"gm_solid": None, "gm_corrected": None}, flotation={"km": None})
    assert gm_ledger(gone) == ""
    assert ledger_in_words(gone).startswith("GM is not computed: trim")
    flat = missing("righting_lever", righting_lever=None)
    assert righting_lever_plot(flat) == ""
    assert lever_in_words(flat).startswith("The righting lever is not computed: trim")
    bare = {**flat, "not_computed": []}
    assert lever_in_words(bare) == "No righting lever: the stored booklet has no cross curves."


def test_a_list_that_is_not_known_is_not_drawn_as_upright() -> None:
    capsized = missing("list", flotation={"list": {"angle": None, "side": "port"}})
    assert lies(capsized).startswith("The list is not computed")
    seen = words_of(drawn(end_view(capsized, SHAPE)))
    assert "list not known" in seen
    assert "Upright" not in seen


def test_a_clause_that_was_not_judged_asks_for_no_gm() -> None:
    """The greatest limit among the clauses that were judged, by key; one that does not apply draws nothing."""
    answer = deepcopy(assessment("departure-homogeneous"))
    rows = [c for c in answer["criteria"] if c["key"] == "gm"]
    greatest = max(rows, key=lambda c: c["limit"])
    assert required_gm(answer).value == greatest["limit"]  # type: ignore[union-attr]
    for verdict in ("not_applicable", "not_computable", "outside_validity"):
        greatest["verdict"] = verdict
        others = [c["limit"] for c in rows if c is not greatest]
        assert required_gm(answer).value == max(others)  # type: ignore[union-attr]
    for row in rows:
        row["verdict"] = "not_applicable"
    assert required_gm(answer) is None


def test_a_curve_below_zero_throughout_is_in_the_plot() -> None:
    answer = assessment("departure-homogeneous", weights=weights(NO_EQUILIBRIUM))
    assert max(answer["righting_lever"]["levers"]) < 0.0
    svg = drawn(righting_lever_plot(answer))
    line = next(p for p in svg.iter("polyline") if p.get("class") == "accent")
    ys = [float(point.split(",")[1]) for point in line.attrib["points"].split()]
    assert len(ys) > 10
    assert all(16.0 <= y <= 216.0 for y in ys)
