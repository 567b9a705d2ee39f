"""What would help within tolerances: a shift may make use of how far a target may miss. And far from where she is.

Truth: trim by moment / MCTC, sinkage by mass / (100 TPC) on a box (Derrett and Barrass, Ship Stability for Masters and
Mates).
"""

import json
from typing import Any

import pytest

from service.actions.propose_remedy import remedies
from service.demo import read_condition, read_vessel
from service.translation.assess_documents import assess_documents
from service.translation.prepared_vessel import prepare_vessel
from tests.actions.box_ship import CARGO, LIGHTSHIP, MCTC, Json, condition, ship, weight

BY_THE_HEAD = weight(100.0, x=80.0, y=0.0, z=6.0, name="Gear")
TRIM = -100.0 * 30.0 / MCTC / 100.0
ARM = 45.0 / MCTC / 100.0
"""m of trim by 1 t in the tank AFT, 45 m from midship."""


def shift(**asked: Any) -> Json:
    return remedies({"condition": condition(weights=[BY_THE_HEAD]), "mode": "shift", **asked}, ship())


@pytest.mark.parametrize("target", [{"equal": 0.0}, {"at_least": 0.0}])
def test_no_more_is_moved_than_the_tolerance_asks_for(target: Json):
    """She is 0.176 m by the head: 66.7 t aft make her even, 28.7 t bring her within 0.1 m of it."""
    found = shift(targets=[{"quantity": "trim", **target, "tolerance": 0.1}])
    assert found["outcome"] == "solved"
    least = max(0.0, (-TRIM - 0.1) / ARM)
    assert least <= found["moved"] <= (-TRIM - 0.09) / ARM + 0.11
    assert found["moved"] < 0.6 * (-TRIM / ARM), "even keel is not asked for"
    assert abs(found["assessment"]["flotation"]["trim"]) <= 0.1


def test_targets_that_hold_within_their_tolerances_are_no_conflict():
    """Even keel takes 66.7 t. With 40 t at most, and 10 cm of trim to spare, both hold."""
    aboard = LIGHTSHIP[0] + CARGO[0] + 100.0
    most = {"quantity": "displacement", "at_most": aboard + 40.0}
    assert shift(targets=[{"quantity": "trim", "equal": 0.0}, most])["conflict"] == ["targets/0", "targets/1"]
    both = [{"quantity": "trim", "equal": 0.0, "tolerance": 0.1}, most]
    assert shift(targets=both)["outcome"] == "solved"
    # a tolerance on the other side does as well
    more = {"quantity": "displacement", "at_most": aboard + 40.0, "tolerance": 30.0}
    assert shift(targets=[{"quantity": "trim", "equal": 0.0}, more])["outcome"] == "solved"


def test_a_weather_criterion_that_only_much_ballast_meets_is_met():
    """2008 IS Code Part A 2.3: silos on deck, met with the lowest ballast tanks full. One step from where she is leads
    nowhere; in the proposal, assessed anew, every criterion holds that was judged before."""
    her = prepare_vessel(json.loads(read_vessel("halvenmoor")))
    aboard = json.loads(read_condition("halvenmoor", "silos-weather-fails"))
    found = remedies({"condition": aboard, "mode": "shift"}, her)
    assert found["outcome"] == "solved"
    again = assess_documents(her, found["condition"], "full", None)
    judged = {row["id"]: row["verdict"] for row in again["criteria"] if row["id"] not in found["not_checked"]}
    assert set(judged.values()) <= {"pass", "not_applicable"}
    assert judged["is-code-2008-a-2.3.1-areas"] == "pass"
    assert 0.0 < found["moved"] < 300.0
