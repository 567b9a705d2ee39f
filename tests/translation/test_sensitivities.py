"""Sensitivities as documents: against assessments of conditions typed by hand, and in feet and long tons.

Truth: differences of two answers of the service itself; exact factors of the units.
"""

from typing import Any

import pytest

from service.translation.assess_documents import assess_documents
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel
from service.translation.sensitivities import sensitivities
from tests.actions.documents import FOOT, LONG_TON, Json, changed, condition, in_us, vessel


def answer(document: Json, ship: PreparedVessel | None = None, **asked: Any) -> Json:
    return sensitivities({"condition": document, **asked}, ship or prepare_vessel(vessel()))


def margins(document: Json, ship: PreparedVessel) -> dict[str, float]:
    return {row["id"]: row["margin"] for row in assess_documents(ship, document, "full", None)["criteria"]}


def test_a_difference_is_that_of_two_assessments_typed_by_hand() -> None:
    ship = prepare_vessel(vessel())
    found = answer(condition(), ship, tanks=["FP"])["tanks"][0]
    assert (found["mass"], found["kink"], found["state"]) == (90.0, False, "slack")
    less, more = (changed(condition(), "tanks/2/mass", 90.0 + step) for step in (-1.0, 1.0))
    before, after = (assess_documents(ship, document, "full", None) for document in (less, more))
    for name, path in (("gm_corrected", "stability"), ("trim", "flotation"), ("draft_aft", "flotation")):
        wanted = (after[path][name] - before[path][name]) / 2.0
        assert found[name] == pytest.approx(wanted, rel=1e-3, abs=1e-9)
    one, other = margins(less, ship), margins(more, ship)
    assert found["margins"]
    for id, change in found["margins"].items():
        if change is not None:
            assert change == pytest.approx((other[id] - one[id]) / 2.0, rel=2e-2, abs=1e-6)


def test_press_up_is_the_difference_of_two_answers() -> None:
    ship = prepare_vessel(vessel())
    found = answer(condition(), ship, tanks=["BP"])["tanks"][0]["press_up"]
    after = assess_documents(ship, changed(condition(), "tanks/0/fill", 100.0), "full", None)
    before = assess_documents(ship, condition(), "full", None)
    assert found["verdict"] == after["verdict"]
    assert found["mass_change"] == pytest.approx(0.6 * 300.0 * 1.025)
    gm = after["stability"]["gm_corrected"] - before["stability"]["gm_corrected"]
    assert found["gm_corrected"] == pytest.approx(gm, rel=1e-12)
    one, other = margins(condition(), ship), margins(changed(condition(), "tanks/0/fill", 100.0), ship)
    for id, change in found["margins"].items():
        if change is not None:
            assert change == pytest.approx(other[id] - one[id], rel=1e-9, abs=1e-12)


def test_feet_and_long_tons() -> None:
    """Per long ton of a tank and per foot of height."""
    metric = answer(condition(), weights=["Coils"])
    us = answer(in_us(condition()), prepare_vessel(in_us(vessel())), weights=["Coils"])
    assert us["units"]["system"] == "us"
    units = {row["criterion"]: row["unit"] for row in metric["gains"]}
    for one, other in zip(metric["tanks"], us["tanks"]):
        assert other["step"] == pytest.approx(one["step"] / LONG_TON, rel=1e-9)
        assert other["trim"] == pytest.approx(one["trim"] / FOOT * LONG_TON, rel=1e-4, abs=1e-9)
        assert other["list"] == pytest.approx(one["list"] * LONG_TON, rel=1e-4, abs=1e-9)
        for id, change in one["margins"].items():
            factor = FOOT if units[id].startswith("m") else 1.0
            if change is not None:
                wanted = change / factor * LONG_TON
                assert other["margins"][id] == pytest.approx(wanted, rel=1e-3, abs=1e-9), id
    one, other = metric["weights"][0], us["weights"][0]
    assert other["mass"] == pytest.approx(one["mass"] / LONG_TON, rel=1e-12)
    assert other["per_height"]["gm_corrected"] == pytest.approx(one["per_height"]["gm_corrected"], rel=1e-9)
    for one, other in zip(metric["gains"], us["gains"]):
        factor = FOOT if one["unit"].startswith("m") else 1.0
        assert other["unit"] == one["unit"].replace("m", "ft", 1) if factor != 1.0 else one["unit"]
        wanted = None if one["margin"] is None else pytest.approx(one["margin"] / factor, rel=1e-9)
        assert other["margin"] == wanted


def test_only_the_criteria_asked_for() -> None:
    found = answer(condition(), criteria=["afloat-gm"], tanks=["BP"])
    assert list(found["tanks"][0]["margins"]) == ["afloat-gm"]
    assert [row["criterion"] for row in found["gains"]] == ["afloat-gm"]
    assert found["gains"][0]["margin"] == found["gm_corrected"]


def test_a_jump_names_what_fails_then() -> None:
    """The criteria that fail when the condition is typed with the tank that full, their margins as answered there."""
    ship = prepare_vessel(vessel())
    tender = changed(condition(), "weights/0/vcg", 7.3)
    found = answer(tender, ship, criteria=["afloat-gm"])["tanks"]
    failed = 0
    for tank in found:
        for move, fill in (("press_up", 100.0), ("empty", 0.0)):
            jump = tank[move]
            if jump is None:
                continue
            lines = [line for line in tender["tanks"] if line["tank"] != tank["tank"]]
            typed = {**tender, "tanks": [*lines, {"tank": tank["tank"], "fill": fill}]}
            rows = assess_documents(ship, typed, "full", None)["criteria"]
            wanted = {row["id"]: row["margin"] for row in rows if row["verdict"] == "fail" and row["counts"]}
            assert [row["criterion"] for row in jump["failing"]] == list(wanted), (tank["tank"], move)
            assert bool(jump["failing"]) is (jump["verdict"] == "fail")
            for row in jump["failing"]:
                assert row["margin"] == pytest.approx(wanted[row["criterion"]], rel=1e-6, abs=1e-9)
            failed += bool(wanted)
    assert failed
