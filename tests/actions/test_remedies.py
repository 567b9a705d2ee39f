"""What would help: on a box ship, whose every figure is a closed form, and by a second solver.

Truth: list by tan(list) = TCG / GM, trim by moment / MCTC (Derrett and Barrass, Ship Stability for Masters and Mates);
roots by scipy brentq, programmes by scipy linprog.
"""

import sys
from math import degrees, radians, tan
from typing import Any

import numpy as np
import pytest
from pydantic import TypeAdapter
from scipy.optimize import brentq, linprog

from service.actions.linear_programme import Programme
from service.actions.propose_remedy import remedies
from service.translation.assess_documents import assess_documents
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel
from service.wire.refusal import Refusal
from service.wire.remedy import Remedies
from tests.actions.box_ship import (
    CARGO,
    LIGHTSHIP,
    MCTC,
    PER_METRE,
    SALT,
    Json,
    condition,
    km,
    ship,
    tank,
    vessel,
    weight,
)
from tests.actions.documents import FOOT, LONG_TON, in_us

LIST = {"quantity": "list", "at_most": 0.5}
INERTIA = 10.0 * 8.0**3 / 12.0


def ask(document: Json, her: PreparedVessel | None = None, **asked: Any) -> Json:
    answer = remedies({"condition": document, **asked}, her or ship())
    TypeAdapter(Remedies).validate_python(answer)
    return answer


def assert_reassessed(row: Json, her: PreparedVessel | None = None) -> Json:
    """The proposed document by itself gives the assessment that came with it."""
    again = assess_documents(her or ship(), row["condition"], "full", None)
    assert again == row["assessment"]
    return again


def heel(starboard: float) -> float:
    """List in degrees with a crane of 40 t at 6 m to port and this mass in tank S, by hand."""
    mass = LIGHTSHIP[0] + CARGO[0] + 40.0 + starboard
    vertical = LIGHTSHIP[0] * 6.0 + CARGO[0] * 6.0 + 40.0 * 12.0
    vertical += starboard * starboard / SALT / 80.0 / 2.0
    gm = km(mass / PER_METRE) - (vertical + SALT * INERTIA) / mass
    return degrees(np.arctan(6.0 * (40.0 - starboard) / mass / gm))


CRANE = weight(40.0, y=6.0, z=12.0, name="Crane")


# --- one tank --------------------------------------------------------------------------------------------------


def test_the_least_mass_that_cures_a_list():
    document = condition(weights=[CRANE])
    wanted = brentq(lambda mass: heel(mass) - 0.1, 1.0, 39.0)
    found = ask(document, mode="single", tanks=["S"], targets=[{"quantity": "list", "at_most": 0.1}])
    (row,) = found["remedies"]
    assert wanted <= row["mass_to"] <= wanted + 0.11, "a decimal more than the least"
    assert row["moved"] == row["mass_to"]
    assert row["mass_from"] == 0.0
    assert row["verdict"] == "pass"
    answer = assert_reassessed(row)
    assert abs(answer["flotation"]["list"]["angle"]) <= 0.1
    assert row["condition"]["tanks"] == [{"tank": "S", "mass": row["mass_to"]}]
    assert "tanks" in document
    assert document["tanks"] == [], "the posted condition stays as it is"


def test_a_narrow_window_between_two_looks_is_found():
    """Trim within a millimetre of the one wanted: 4 t wide in 410."""
    trim = 0.1234 * 410.0 * 45.0 / MCTC / 100.0
    target = {"quantity": "trim", "equal": trim, "tolerance": 0.001}
    (row,) = ask(condition(), mode="single", tanks=["AFT"], targets=[target])["remedies"]
    assert row["mass_to"] == pytest.approx(0.1234 * 410.0, abs=0.5)
    list_only = [{"quantity": "list", "at_most": 0.005}]
    (row,) = ask(condition(weights=[CRANE]), mode="single", tanks=["S"], targets=list_only)["remedies"]
    assert row["mass_to"] == pytest.approx(40.0, abs=0.5)


def test_remedies_are_in_order_of_mass_moved_and_each_passes():
    document = condition({"P": 100.0, "S": 20.0})
    found = ask(document, mode="single", targets=[{"quantity": "list", "at_most": 0.1}])
    moved = [row["moved"] for row in found["remedies"]]
    assert moved == sorted(moved)
    assert {row["tank"] for row in found["remedies"]} == {"P", "S"}
    for row in found["remedies"]:
        assert row["verdict"] == "pass"
        assert abs(assert_reassessed(row)["flotation"]["list"]["angle"]) <= 0.1
    assert len(ask(document, mode="single", count=1, targets=[LIST])["remedies"]) == 1


def test_where_only_the_jump_of_a_free_surface_helps_the_tank_is_emptied():
    """P has 20 t: pumped out, the ship loses little weight below and a free surface of 437 t.m."""
    document = condition({"P": 20.0})
    before = assess_documents(ship(), document, "full", None)["stability"]["gm_corrected"]
    target = {"quantity": "gm_corrected", "at_least": before + 0.03}
    (row,) = ask(document, mode="single", tanks=["P"], targets=[target])["remedies"]
    assert row["mass_to"] == 0.0
    assert_reassessed(row)
    assert row["on_the_way"]["gm_corrected"] <= before + 1e-3
    assert 0.0 < row["on_the_way"]["at_mass"] <= 20.0


def test_a_tank_nearly_full_is_pressed_up():
    document = condition({"P": 390.0, "S": 390.0})
    before = assess_documents(ship(), document, "full", None)["stability"]["gm_corrected"]
    target = {"quantity": "gm_corrected", "at_least": before + 0.03}
    (row,) = ask(document, mode="single", tanks=["P"], targets=[target, {"quantity": "list", "at_most": 5}])[
        "remedies"
    ]
    assert row["condition"]["tanks"][0]["fill" if row["mass_to"] >= 410.0 - 1e-6 else "mass"]
    state = next(line for line in row["assessment"]["tanks"] if line["tank"] == "P")["state"]
    assert state in ("at_limit", "pressed_up")
    assert_reassessed(row)


def test_what_no_tank_cures_is_answered_with_what_comes_nearest():
    document = condition(weights=[weight(400.0, y=8.0)])
    found = ask(document, mode="single", tanks=["S"], targets=[{"quantity": "list", "at_most": 0.01}])
    assert found["remedies"] == []
    closest = found["closest"]
    assert closest["tank"] == "S"
    assert closest["mass_to"] == pytest.approx(410.0), "full, and still she lists"
    assert closest["worst"]["pointer"] == "targets/0"
    assert closest["worst"]["margin"] < 0.0


def test_limits_of_fillings_hold():
    document = condition(weights=[CRANE])
    limits = [{"tank": "S", "least": 5.0, "most": 100.0}]
    (row,) = ask(document, mode="single", tanks=["S"], targets=[LIST], fill_limits=limits)["remedies"]
    assert row["mass_to"] >= 0.05 * 410.0
    none = ask(
        condition(weights=[weight(100.0, y=6.0)]),
        mode="single",
        tanks=["S"],
        targets=[{"quantity": "list", "at_most": 0.1}],
        fill_limits=[{"tank": "S", "most": 10.0}],
    )
    assert none["remedies"] == []


# --- several tanks ---------------------------------------------------------------------------------------------


def test_least_ballast_for_even_keel_and_no_list_as_linprog_finds_it():
    """Trim and list are nought where the moments are: linear in the masses, exactly."""
    document = condition(weights=[weight(60.0, x=35.0, y=-5.0, z=8.0), weight(500.0, x=30.0, name="Aft")])
    targets = [{"quantity": "trim", "equal": 0.0}, {"quantity": "list", "equal": 0.0}]
    found = ask(document, mode="shift", targets=targets)
    x, y = np.array([5.0, 95.0, 50.0, 50.0]) - 50.0, np.array([0.0, 0.0, 6.0, -6.0])
    wanted = linprog(
        np.ones(4),
        A_eq=np.array([x, y]),
        b_eq=[60.0 * 15.0 + 500.0 * 20.0, 60.0 * 5.0],
        bounds=[(0.0, 410.0)] * 4,
    )
    assert found["outcome"] == "solved"
    assert found["moved"] == pytest.approx(wanted.fun, abs=0.2)
    assert found["assessment"]["verdict"] == "pass"
    answer = assert_reassessed(found)
    assert abs(answer["flotation"]["trim"]) <= 0.005
    assert abs(answer["flotation"]["list"]["angle"]) <= 0.05
    assert [(change["tank"], change["from"]) for change in found["changes"]] == [("FORE", 0.0), ("P", 0.0)]
    assert sum(change["mass"] for change in found["changes"]) == pytest.approx(found["moved"])


def test_fuel_is_only_shifted_and_a_shift_counts_once():
    """25 t at 6 m to starboard are righted by 15 t of fuel across 10 m."""
    document = condition({"FP": 200.0, "FS": 200.0}, [weight(25.0, y=-6.0)])
    found = ask(document, mode="shift", tanks=["FP", "FS"], targets=[{"quantity": "list", "equal": 0.0}])
    assert found["outcome"] == "solved"
    assert found["moved"] == pytest.approx(25.0 * 6.0 / 10.0, abs=0.1)
    lines = {line["tank"]: line["mass"] for line in found["condition"]["tanks"]}
    assert sum(lines.values()) == pytest.approx(400.0, abs=1e-9)
    assert_reassessed(found)


def test_ballast_shifted_counts_once_too():
    document = condition({"P": 200.0, "S": 200.0}, [weight(20.0, y=-6.0)])
    found = ask(document, mode="shift", tanks=["P", "S"], targets=[{"quantity": "list", "equal": 0.0}])
    assert found["moved"] == pytest.approx(20.0 * 6.0 / 12.0, abs=0.1)


def test_a_condition_that_holds_is_left_alone():
    found = ask(condition(), mode="shift", targets=[LIST])
    assert (found["outcome"], found["moved"], found["changes"], found["rounds"]) == ("solved", 0.0, [], 0)
    assert found["condition"] == condition()


def test_a_free_surface_is_taken_away_where_gm_is_asked_for():
    """Her own GM limit of 0.5 m is missed by free surface alone: two slack tanks of 1700 t.m together."""
    wide = [tank("A", 40.0, 0.0, 20.0, 16.0), tank("B", 60.0, 0.0, 20.0, 16.0), tank("C", 80.0, 0.0)]
    her = ship(*wide)
    document = condition({"A": 800.0, "B": 100.0}, [weight(2000.0, z=19.0)])
    before = assess_documents(her, document, "full", None)
    assert before["verdict"] == "fail"
    assert before["stability"]["gm_solid"] > 0.5
    found = ask(document, her, mode="shift")
    assert found["outcome"] == "solved"
    assert found["assessment"]["verdict"] == "pass"
    assert_reassessed(found, her)
    states = {line["tank"]: line["state"] for line in found["assessment"]["tanks"]}
    assert "slack" not in (states["A"], states["B"]) or found["moved"] < 800.0
    assert found["on_the_way"]["gm_corrected"] <= found["assessment"]["stability"]["gm_corrected"]


@pytest.mark.parametrize("slack", [0, 1])
def test_no_more_tanks_are_slack_than_allowed(slack: int):
    """500 t more: one tank full and 90 t in another, or two full ones."""
    before = assess_documents(ship(), condition(), "full", None)["displacement"]
    targets = [{"quantity": "displacement", "at_least": before + 500.0}]
    found = ask(condition(), mode="shift", targets=targets, most_slack_tanks=slack)
    assert found["outcome"] == "solved"
    states = [line["state"] for line in found["assessment"]["tanks"]]
    assert states.count("slack") <= slack
    assert found["moved"] == pytest.approx(500.0 if slack else 820.0, abs=0.2)


def test_targets_that_contradict_one_another_are_named_and_each_is_needed():
    document = condition()
    targets = [
        {"quantity": "trim", "at_least": 1.0},
        {"quantity": "list", "at_most": 1.0},
        {"quantity": "trim", "at_most": 0.2},
    ]
    found = ask(document, mode="shift", targets=targets)
    assert found["outcome"] == "conflict"
    assert found["conflict"] == ["targets/0", "targets/2"]
    assert found["condition"] is None
    assert found["assessment"] is None
    assert sum(found["relaxed"].values()) == pytest.approx(0.8, abs=0.01)
    for dropped in (0, 2):
        rest = [target for i, target in enumerate(targets) if i != dropped]
        assert ask(document, mode="shift", targets=rest)["outcome"] == "solved"


def test_limits_of_fillings_take_part_in_a_conflict():
    """A trim of 0.5 m takes 768 t.m of 45 m; 10 % of FORE and AFT is not enough by linprog either."""
    document = condition()
    trim = [{"quantity": "trim", "at_least": 0.5}]
    limits = [{"tank": "AFT", "most": 10.0}]
    asked: Json = {"mode": "shift", "tanks": ["AFT", "P", "S"], "targets": trim}
    found = ask(document, **asked, fill_limits=limits)
    assert found["conflict"] == ["tanks/AFT/most", "targets/0"]
    assert ask(document, **asked)["outcome"] == "solved"
    moment = 0.5 * 100.0 * MCTC
    for most, feasible in ((41.0, False), (410.0, True)):
        second = linprog([1.0], A_ub=[[-45.0]], b_ub=[-moment], bounds=[(0.0, most)])
        assert second.success is feasible


def test_criteria_left_out_are_told_first():
    """A ship that fails is trimmed all the same."""
    document = condition(weights=[weight(3000.0, z=22.0)])
    assert assess_documents(ship(), document, "full", None)["verdict"] == "fail"
    trim = [{"quantity": "trim", "equal": 0.3}]
    found = ask(document, mode="shift", targets=trim, ignore_criteria=True)
    assert next(iter(found)) == "criteria_ignored"
    assert found["criteria_ignored"] is True
    assert found["outcome"] == "solved"
    assert found["assessment"]["verdict"] == "fail"
    assert ask(document, mode="shift", targets=trim)["outcome"] != "solved"


def test_a_margin_is_a_target_in_the_unit_of_the_answer():
    document = condition({"P": 100.0, "S": 100.0})
    margin = assess_documents(ship(), document, "full", None)["criteria"]
    id = next(row["id"] for row in margin if row["key"] == "positive_gm")
    value = next(row["margin"] for row in margin if row["id"] == id)
    target = {"quantity": "margin", "criterion": id, "at_least": value + 0.1}
    found = ask(document, mode="shift", targets=[target])
    assert found["outcome"] == "solved"
    attained = next(row["margin"] for row in found["assessment"]["criteria"] if row["id"] == id)
    assert attained >= value + 0.1 - 1e-9


def test_feet_and_long_tons_ask_for_the_same():
    document = condition({"FP": 200.0, "FS": 200.0}, [weight(25.0, x=40.0, y=-6.0)])
    metric_targets = [{"quantity": "trim", "equal": 0.1}, {"quantity": "list", "equal": 0.0}]
    us_targets = [{"quantity": "trim", "equal": 0.1 / FOOT}, {"quantity": "list", "equal": 0.0}]
    metric = ask(document, mode="shift", targets=metric_targets)
    us = ask(in_us(document), prepare_vessel(in_us(vessel())), mode="shift", targets=us_targets)
    assert us["moved"] == pytest.approx(metric["moved"] / LONG_TON, abs=0.3)
    assert us["assessment"]["units"]["system"] == "us"
    single = {"mode": "single", "targets": [LIST]}
    rows = [ask(condition(weights=[weight(90.0, y=6.0)]), **single)["remedies"]]
    rows.append(
        ask(in_us(condition(weights=[weight(90.0, y=6.0)])), prepare_vessel(in_us(vessel())), **single)[
            "remedies"
        ]
    )
    for one, other in zip(*rows):
        assert other["tank"] == one["tank"]
        assert other["moved"] == pytest.approx(one["moved"] / LONG_TON, abs=0.25)


UNKNOWN = {"quantity": "margin", "criterion": "none", "at_least": 0}

# --- figures of her own limits ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quantity", "side", "value", "mass", "wanted"),
    [
        # 30 m above the keel, and 3.6 m afloat
        ("air_draft", "at_most", 26.4, 0.0, 3.6 * PER_METRE - 7050.0),
        # 10 m of depth, and 3.6 m afloat
        ("freeboard_least", "at_least", 6.4, 400.0, 3.6 * PER_METRE - 7050.0),
        # 76 percent of 4 m where she is 3.54 m afloat: 2.5 - 2 + 3.04
        ("propeller_immersion", "at_least", 76.0, 0.0, 3.54 * PER_METRE - 7050.0),
    ],
)
def test_a_figure_of_own_limits_by_hand(quantity: str, side: str, value: float, mass: float, wanted: float):
    """All amidships, so that she stays upright and on even keel: draft = displacement / (1.025 L B), closed form."""
    document = condition({"C": mass} if mass else {})
    (row,) = ask(document, with_points(), mode="single", targets=[{"quantity": quantity, side: value}])[
        "remedies"
    ]
    (line,) = row["condition"]["tanks"]
    # found to 0.01 t, then rounded to 0.1 t away from what is aboard
    assert line["mass"] == pytest.approx(wanted, abs=0.11)
    assert_reassessed(row, with_points())


def with_points() -> PreparedVessel:
    """A box with one tank amidships, her propeller, mast and deck edge."""
    her = vessel(tank("C", 50.0, 0.0))
    her["propeller"] = {"x": 0.0, "shaft_height": 2.5, "diameter": 4.0}
    her["air_draft_points"] = [{"name": "Mast", "x": 50.0, "z": 30.0}]
    her["deck_edge"] = {"points": [{"x": x, "y": 10.0, "z": 10.0} for x in (0.0, 50.0, 100.0)]}
    return prepare_vessel(her)


# --- refusals --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "code", "pointer"),
    [
        ({"targets": [UNKNOWN]}, "target_unknown", "/targets/0/criterion"),
        ({"targets": [{"quantity": "air_draft", "at_most": 20}]}, "not_computable", "/targets/0/quantity"),
        ({"targets": [{"quantity": "margin", "at_least": 0}]}, "invalid_request", "/targets/0"),
        ({"targets": [{"quantity": "trim"}]}, "invalid_request", "/targets/0"),
        ({"targets": [{"quantity": "trim", "equal": 0, "at_most": 1}]}, "invalid_request", "/targets/0"),
        ({"targets": [{"quantity": "trim", "equal": 0}] * 31}, "invalid_request", "/targets"),
        ({"tanks": ["none"]}, "unknown_tank", "/tanks/0"),
        ({"tanks": ["FP"]}, "no_tank_may_change", "/tanks"),
        ({"fill_limits": [{"tank": "none"}]}, "invalid_request", "/fill_limits/0/tank"),
        ({"fill_limits": [{"tank": "P", "least": 50.0, "most": 20.0}]}, "invalid_request", "/fill_limits/0/least"),
        ({"count": 11}, "invalid_request", "/count"),
    ],
)  # fmt: skip
def test_refusals(asked: Json, code: str, pointer: str):
    with pytest.raises(Refusal) as refused:
        ask(condition(), **{"mode": "single", **asked})
    assert refused.value.code == code
    assert refused.value.errors[0]["pointer"] == pointer


def test_without_the_solver_a_shift_is_refused_and_one_tank_is_not(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, "highspy", None)
    document = condition(weights=[CRANE])
    asked = {"targets": [{"quantity": "list", "at_most": 0.1}]}
    with pytest.raises(Refusal) as refused:
        ask(document, mode="shift", **asked)
    assert refused.value.code == "solver_not_installed"
    assert ask(document, mode="single", **asked)["remedies"]


def test_a_plan_is_refused():
    """It is answered for a condition by itself."""
    document = condition(plan={"kind": "voyage", "stages": [{"name": "x"}]})
    with pytest.raises(Refusal) as raised:
        ask(document, mode="single")
    assert raised.value.code == "question_not_with_plan"
    assert raised.value.errors[0]["pointer"] == "/condition/plan"


# --- the solver ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(5))
def test_a_programme_has_the_same_least_cost_by_scipy(seed: int):
    random = np.random.default_rng(seed)
    cost, rows = random.uniform(0.5, 2.0, 6), random.uniform(-1.0, 2.0, (3, 6))
    least = rows @ random.uniform(0.0, 4.0, 6)
    programme = Programme()
    for k in range(6):
        programme.column(0.0, 5.0, float(cost[k]))
    for row, bound in zip(rows, least):
        programme.row({k: float(row[k]) for k in range(6)}, lower=float(bound))
    wanted = linprog(cost, A_ub=-rows, b_ub=-least, bounds=[(0.0, 5.0)] * 6)
    found = programme.solution()
    assert found is not None
    assert programme.cost_of(found) == pytest.approx(wanted.fun, rel=1e-9)
    programme.row({0: 1.0}, lower=6.0)
    assert programme.solution() is None


def test_list_by_hand_is_that_of_the_service():
    """The closed form that the tests above trust."""
    answer = assess_documents(ship(), condition({"S": 20.0}, [CRANE]), "full", None)
    assert answer["flotation"]["list"]["angle"] == pytest.approx(heel(20.0), rel=1e-3)
    assert tan(radians(heel(20.0))) > 0.0
