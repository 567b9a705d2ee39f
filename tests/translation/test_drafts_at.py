"""The moulded draft at places that a condition asks for: on the straight line through her drafts at the perpendiculars.

Source: definition of trim. Marks without a keel offset at the same place read the same.
"""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.demo import read_condition, read_vessel
from tests.translation.node_evaluator import evaluated

VESSEL: dict[str, Any] = json.loads(read_vessel("halvenmoor"))
CONDITION: dict[str, Any] = json.loads(read_condition("halvenmoor", "ballast-arrival"))


def answered(vessel: dict[str, Any], **changes: Any) -> dict[str, Any]:
    answer: dict[str, Any] = Assessor().assessment({"vessel": vessel, "condition": {**CONDITION, **changes}})
    return answer


def test_drafts_lie_on_the_line_through_those_at_the_perpendiculars():
    length = VESSEL["particulars"]["length_bp"]
    places = [0.0, 0.25 * length, 0.5 * length, length, length + 3.0]
    flotation = answered(VESSEL, drafts_at=places)["flotation"]
    aft, trim = flotation["draft_aft"], flotation["trim"]
    assert abs(trim) > 0.1
    for row, x in zip(flotation["drafts_at"], places, strict=True):
        assert row["x"] == pytest.approx(x, abs=1e-12)
        assert row["draft"] == pytest.approx(aft - trim * x / length, rel=1e-12)
    assert flotation["drafts_at"][2]["draft"] == pytest.approx(flotation["draft_midship"], rel=1e-12)
    assert flotation["drafts_at"][3]["draft"] == pytest.approx(flotation["draft_forward"], rel=1e-12)


def test_nothing_is_answered_where_nothing_is_asked():
    assert "drafts_at" not in answered(VESSEL)["flotation"]


def test_places_are_in_the_axes_of_the_document_and_drafts_in_its_units():
    """Ostrel's booklet measures from midship, positive aft, in feet; the answer from the aft perpendicular."""
    vessel = json.loads(read_vessel("ostrel"))
    condition = json.loads(read_condition("ostrel", "ballast-transit"))
    answer = Assessor().assessment({"vessel": vessel, "condition": {**condition, "drafts_at": [0.0, 10.0]}})
    middle, aft = answer["flotation"]["drafts_at"]
    half = 0.5 * vessel["particulars"]["length_bp"]
    assert (middle["x"], aft["x"]) == (pytest.approx(half), pytest.approx(half - 10.0))
    assert middle["draft"] == pytest.approx(answer["flotation"]["draft_midship"], rel=1e-12)


def test_the_working_gives_each_of_them():
    text = json.dumps({"vessel": VESSEL, "condition": {**CONDITION, "drafts_at": [12.5, 80.0]}}).encode()
    answer = json.loads(Assessor().worked_answer(text, "us"))
    nodes = {node["path"]: node for node in answer["working"] if node["path"]}
    for i, row in enumerate(answer["flotation"]["drafts_at"]):
        node = nodes[f"/flotation/drafts_at/{i}/draft"]
        assert node["value"] == row["draft"]
        assert evaluated(node) == pytest.approx(row["draft"], rel=1e-12)
