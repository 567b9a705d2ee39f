"""One draft amidships, whichever page says it: with the deflection of the hull, and what it is made of.

Source: a sagging ship is deeper amidships than the straight line between her drafts forward and aft (Derrett and
Barrass, Ship Stability, chapter on draft surveys).
"""

from typing import Any

import pytest

from service.pages.draft_amidships import amidships_at, amidships_in_words, deflection_of
from service.pages.drawings.waterline_sketch import floats_in_words
from service.pages.report.plan_sheet import plan_data
from tests.pages.conftest import assessment
from tests.pages.harbour import Harbour, text_of_page

NAME = "departure-homogeneous"


@pytest.mark.parametrize(
    ("deflection", "words"),
    [(0.0625, "and 0.062 of sag"), (-0.04, "less 0.040 of hog"), (0.0, ""), (0.0004, "")],
)
def test_both_drafts_and_what_lies_between(deflection: float, words: str) -> None:
    answer: Any = assessment(NAME, deflection=deflection)
    straight, judged = answer["flotation"]["draft_midship"], answer["load_line"]["draft_midship"]
    assert judged == pytest.approx(straight + deflection)
    said = amidships_in_words(answer)
    if words:
        assert said == f"amidships {judged:.3f}: {straight:.3f} {words}"
        assert deflection_of(answer) == deflection
    else:
        assert said == f"amidships {straight:.2f}"
    assert said in floats_in_words(answer)


def test_her_pages_agree(harbour: Harbour) -> None:
    """Key figures, side view, criterion, table and working name the draft that is held against her mark."""
    answer: Any = assessment(NAME, deflection=0.06)
    judged = answer["load_line"]["draft_midship"]
    condition = harbour.enter(deflection=0.06)
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(f"/conditions/{condition}"))
        working = text_of_page(reader.get(f"/conditions/{condition}/revisions/1/working"))
    assert text.count(amidships_in_words(answer)) >= 2, "key figures and the words of the drawing"
    assert "amidships with sag" in text
    assert f"Draft amidships with her sag {judged:.3f} m" in text
    assert f"{judged:.3f}" in text, "the criterion"
    assert f"{judged:.4f}" in working


def test_a_voyage_says_the_draft_that_is_held_against_the_mark(harbour: Harbour) -> None:
    """Each point names its sag or hog: on the page, in the drawing, in the report and in the answer; what is left to
    the mark follows from it where she is upright."""
    stages = [
        {"name": "Ocean", "days": 4, "deflection": -0.04},
        {"name": "Arrival", "days": 1, "phase": "arrival", "deflection": 0.0},
    ]
    line = {"contents": "fuel_oil", "mass_per_day": 10.6, "order": [["fo-db-5-p", "fo-db-5-s"]]}
    plan = {"kind": "voyage", "consumption": [line], "stages": stages}
    condition = harbour.enter(deflection=0.06, plan=plan)
    base = f"/conditions/{condition}/revisions/1"
    with harbour.reader("ship") as reader:
        record: Any = reader.get(f"/v1{base}", headers=harbour.bearer("ship")).json()
        page = reader.get(f"{base}/voyage")
    answer = record["assessment"]
    points, text = answer["plan"]["points"], text_of_page(page)
    assert points[0]["deflection"] == 0.06
    assert {p["deflection"] for p in points[1:]} == {-0.04, 0.0}
    for point in points:
        straight, bend = point["draft_midship"], point["deflection"]
        left = point["load_line"]["permitted_draft"] - straight - bend
        assert point["load_line"]["margin"] == pytest.approx(left, abs=5e-3)  # lists 0.02 degrees
        word = "and 0.060 of sag" if bend > 0 else "less 0.040 of hog"
        said = f"{straight + bend:.3f}: {straight:.3f} {word}" if bend else f"{straight:.2f}"
        assert amidships_at(point, "metric") == said
        assert said in text
        assert said in str(plan_data(record, [], 1)["points"]["rows"])
    assert "round aft, square forward, dashed amidships with sag or hog" in text
    older = {name: value for name, value in points[0].items() if name != "deflection"}
    assert amidships_at(older, "metric") == f"{points[0]['draft_midship']:.2f}"  # type: ignore[arg-type]
