"""A vessel and a condition in the other system of units: the same ship, judged the same."""

import json
from importlib.resources import files
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.demo_vessel import demo_vessel_document
from service.translation.document_units import in_units
from service.wire.condition import Condition
from service.wire.vessel import Vessel
from tests.regression.demo_answers import demo_conditions

JUDGED = [
    *(("halvenmoor", name) for name in ("departure-homogeneous", "grain-departure", "winter-voyage")),
    ("ostrel", "on-location-slack"),
]
"""No tank at its limit: half the last digit of a printed limit is another half in another unit."""
OTHER: dict[str, Any] = {"metric": "us", "us": "metric"}
FOOT, LONG_TON, POUND = 0.3048, 1.0160469088, 0.45359237
"""m, t and kg; exact by the international yard and pound agreement of 1959."""


def documents(ship: str, name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    text = (files("service.demo") / "conditions" / ship / f"{name}.json").read_text("utf-8")
    return demo_vessel_document(ship, 1), json.loads(text)


@pytest.mark.parametrize(("ship", "name"), JUDGED)
def test_she_is_judged_the_same(ship: str, name: str) -> None:
    vessel, condition = documents(ship, name)
    other = OTHER[vessel["units"]]
    assessor = Assessor()
    here = assessor.assessment({"vessel": vessel, "condition": condition}, "metric")
    there = assessor.assessment(
        {"vessel": in_units(vessel, Vessel, other), "condition": in_units(condition, Condition, other)},
        "metric",
    )
    assert here["verdict"] == there["verdict"]
    assert [c["verdict"] for c in here["criteria"]] == [c["verdict"] for c in there["criteria"]]
    assert [c["attained"] for c in there["criteria"]] == [
        c["attained"] if c["attained"] is None else pytest.approx(c["attained"], rel=1e-7, abs=1e-7)
        for c in here["criteria"]
    ]


@pytest.mark.parametrize(("ship", "name"), demo_conditions()[::3])
def test_there_and_back(ship: str, name: str) -> None:
    for document, model in zip(documents(ship, name), (Vessel, Condition), strict=True):
        there = in_units(document, model, OTHER[document["units"]])
        assert there["units"] == OTHER[document["units"]]
        assert in_units(there, model, document["units"]) == _about(document)


def _about(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _about(below) for name, below in value.items()}
    if isinstance(value, list):
        return [_about(item) for item in value]
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return pytest.approx(value, rel=1e-9, abs=1e-9) if is_number else value


def test_what_is_half_typed_is_converted_as_far_as_it_is_a_number() -> None:
    typed = {
        "units": "us",
        "title": "10",
        "water_density": "1.025",
        "tanks": [{"tank": "a", "mass": "10"}, {"tank": "b", "fill": 50}, {"sounding": "3,5"}, {"mass": "?"}],
        "drafts_at": "10; 20",
        "limits": [
            {"quantity": "displacement", "at_most": 100},
            {"quantity": "list", "at_most": 1},
            {"quantity": "trim", "at_most": 1},
            {"at_least": 1},
        ],
        "passengers": [{"space": "p", "number": 20, "mass_each": 165}],
        "observed": {"drafts": {"aft": 10, "forward": {"port": 9}}, "roll_period": 8},
        "plan": None,
    }
    found = in_units(typed, Condition, "metric")
    assert found == _about(
        {
            "units": "metric",
            "title": "10",
            "water_density": "1.025",
            "tanks": [
                {"tank": "a", "mass": 10 * LONG_TON},
                {"tank": "b", "fill": 50},
                {"sounding": 3.5 * FOOT},
                {"mass": "?"},
            ],
            "drafts_at": "3.048; 6.096",
            "limits": [
                {"quantity": "displacement", "at_most": 100 * LONG_TON},
                {"quantity": "list", "at_most": 1},
                {"quantity": "trim", "at_most": FOOT},
                {"at_least": FOOT},
            ],
            "passengers": [{"space": "p", "number": 20, "mass_each": 165 * POUND}],
            "observed": {"drafts": {"aft": 10 * FOOT, "forward": {"port": 9 * FOOT}}, "roll_period": 8},
            "plan": None,
        }
    )


def test_it_is_itself_where_it_is_in_them_or_says_none() -> None:
    for document in ({"units": "us", "tanks": []}, {"tanks": []}, {"units": 5}):
        assert in_units(document, Condition, "us") is document
