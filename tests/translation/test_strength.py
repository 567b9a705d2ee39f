"""Longitudinal strength from documents to the answer: figures, units, axes, and what is refused.

Figures are closed forms of a box (see tests/core/strength): heavy ends hog her, a bending moment is then positive
(sense of IACS UR S11.2.1.1).
"""

from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor
from service.wire.assessment import Assessment
from service.wire.refusal import Refusal
from tests.translation.box import FOOT, LONG_TON, condition, vessel, weight

FULL = TypeAdapter(list[Assessment], config=ConfigDict(strict=True, extra="forbid"))
CARGO = weight("Cargo", 1000.0, 50.0, extent={"x_from": 10.0, "x_to": 90.0})
PEAKS = [{"tank": name, "density": 1.025, "mass": 820.0} for name in ("APT", "FPT")]


def answer(ship: dict[str, Any], loaded: dict[str, Any], units: str = "metric") -> dict[str, Any]:
    found: dict[str, Any] = Assessor().assessment({"vessel": ship, "condition": loaded}, units)
    FULL.validate_python([found])
    return found


def refused(ship: dict[str, Any], loaded: dict[str, Any]) -> set[tuple[str, str]]:
    with pytest.raises(Refusal) as refusal:
        answer(ship, loaded)
    return {(error["code"], error["pointer"]) for error in refusal.value.errors}


def at(found: dict[str, Any], x: float) -> dict[str, Any]:
    return next(each for each in found["strength"]["stations"] if each["x"] == pytest.approx(x))


def row(found: dict[str, Any], name: str) -> dict[str, Any]:
    return next(each for each in found["criteria"] if each["id"] == f"vessel-strength-{name}")


def test_full_peaks_hog_her():
    found = answer(vessel(), condition(CARGO, tanks=PEAKS))
    strength = found["strength"]
    assert strength["convention"] == "UR S11"
    assert strength["set"] == "sea"
    station = at(found, 10.0)
    assert (station["name"], station["shear_force_aft"]) == ("x10", pytest.approx(556.0, abs=1e-4))
    assert station["shear_force_forward"] == pytest.approx(556.0, abs=1e-4)
    assert station["bending_moment"] == pytest.approx(2780.0, abs=1e-3)
    assert station["sea"]["percent_shear"] == pytest.approx(69.5, abs=1e-4)
    middle = at(found, 50.0)
    assert middle["bending_moment"] == pytest.approx(13900.0, abs=1e-3)
    assert middle["sea"]["percent_bending"] == pytest.approx(63.181818182, abs=1e-4)
    assert (middle["sea"]["bending_limit"], middle["harbour"]["bending_limit"]) == (22000.0, 30000.0)
    assert strength["closure"]["shear_force"] == pytest.approx(0.0, abs=1e-6)
    assert strength["closure"]["bending_moment"] == pytest.approx(0.0, abs=1e-4)
    assert strength["draft_aft"] == pytest.approx(4690.0 / 2050.0)
    assert row(found, "shear")["verdict"] == row(found, "bending")["verdict"] == "pass"
    assert row(found, "bending")["attained"] == pytest.approx(63.181818182, abs=1e-4)


def test_a_point_load_has_two_values_of_shear_force_and_is_a_caution():
    found = answer(vessel(), condition(weight("Transformer", 600.0, 70.0, 12.0)))
    station = at(found, 70.0)
    assert (station["shear_force_aft"], station["shear_force_forward"]) == pytest.approx(
        (-268.8, 331.2), abs=1e-4
    )
    assert station["bending_moment"] == pytest.approx(-5292.0, abs=1e-3)
    least = found["strength"]["extremes"]["bending_least"]
    assert (least["value"], least["x"]) == pytest.approx((-5292.0, 70.0), abs=1e-3)
    assert found["strength"]["point_loads_mass"] == 600.0
    finding = next(f for f in found["findings"] if f["code"] == "weight_without_extent")
    assert (finding["severity"], finding["path"]) == ("caution", "/condition/weights/0")


def test_in_port_the_harbour_set_is_in_force():
    found = answer(vessel(), condition(CARGO, voyage={"phase": "in_port"}))
    assert found["strength"]["set"] == "harbour"
    for phase in ("departure", "arrival", "at_sea"):
        assert answer(vessel(), condition(CARGO, voyage={"phase": phase}))["strength"]["set"] == "sea"


def test_limits_in_kilonewtons_are_divided_by_g():
    ship = vessel()
    ship["strength"]["unit"] = "kN"
    for station in ship["strength"]["stations"]:
        station |= {
            name: value * 9.81 for name, value in station.items() if isinstance(value, float) and name != "x"
        }
    one = answer(ship, condition(CARGO, tanks=PEAKS))
    assert at(one, 10.0)["sea"]["shear_limit"] == pytest.approx(800.0)
    assert row(one, "shear")["attained"] == pytest.approx(69.5, abs=1e-4)


def us(value: float, *powers: int) -> float:
    length, mass = powers
    return value / FOOT**length / LONG_TON**mass


def test_an_answer_in_long_tons_and_feet_is_the_same_forces():
    metric = answer(vessel(), condition(CARGO, tanks=PEAKS))
    found = answer(vessel(), condition(CARGO, tanks=PEAKS), "us")
    one, other = at(metric, 10.0), at(found, us(10.0, 1, 0))
    assert other["shear_force_aft"] == pytest.approx(us(one["shear_force_aft"], 0, 1), rel=1e-12)
    assert other["bending_moment"] == pytest.approx(us(one["bending_moment"], 1, 1), rel=1e-12)
    assert other["sea"]["shear_limit"] == pytest.approx(us(800.0, 0, 1), rel=1e-12)
    assert other["sea"]["percent_shear"] == pytest.approx(one["sea"]["percent_shear"], rel=1e-12)
    assert found["strength"]["draft_aft"] == pytest.approx(
        us(metric["strength"]["draft_aft"], 1, 0), rel=1e-12
    )
    assert found["strength"]["units"]["force"].startswith("LT")


def from_midship_aft(ship: dict[str, Any], loaded: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The same documents with x from midship, positive aft."""
    axes = {"x_origin": "midship", "x_positive": "aft", "y_positive": "port"}

    def turned(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: turned(each, name) for name, each in value.items()}
        if isinstance(value, list):
            return [turned(each, key) for each in value]
        places = ("x", "x_from", "x_to", "lcg", "lcb", "lcf")
        return 50.0 - value if key in places and isinstance(value, float) else value

    return {**turned(ship), "axes": axes}, {**turned(loaded), "axes": axes}


def test_axes_from_midship_aft_give_the_same_forces():
    ship, loaded = vessel(), condition(CARGO, weight("Transformer", 600.0, 70.0), tanks=PEAKS)
    ship["lightship"]["segments"] = [{"x_from": 0.0, "x_to": 100.0, "mass_from": 20.5, "mass_to": 20.5}]
    one, other = answer(ship, loaded), answer(*from_midship_aft(ship, loaded))
    for x in (10.0, 50.0, 70.0):
        for name in ("shear_force_aft", "shear_force_forward", "bending_moment"):
            assert at(other, x)[name] == pytest.approx(at(one, x)[name], abs=1e-6)


def test_a_tapered_segment_keeps_its_ends_when_x_runs_aft():
    ship = vessel(lightship={"mass": 2000.0, "lcg": 100.0 * (30.0 + 2.0 * 10.0) / 3.0 / 40.0, "vcg": 6.0})
    ship["lightship"]["segments"] = [{"x_from": 0.0, "x_to": 100.0, "mass_from": 30.0, "mass_to": 10.0}]
    loaded = condition(CARGO)
    one, other = answer(ship, loaded), answer(*from_midship_aft(ship, loaded))
    assert one["strength"]["lightship_difference"] == pytest.approx({"mass": 0.0, "lcg": 0.0}, abs=1e-9)
    assert at(other, 30.0)["bending_moment"] == pytest.approx(at(one, 30.0)["bending_moment"], abs=1e-6)


# --- holds -------------------------------------------------------------------------------------------------------


def hold(id: str, aft: float, forward: float, **more: Any) -> dict[str, Any]:
    extent = {"x_from": aft, "x_to": forward}
    return {"id": id, "name": id, "capacity": 2000.0, "lcg": 50.0, "vcg": 5.0, "extent": extent, **more}


def limits(most: float | None, least: float | None = None) -> list[dict[str, Any]]:
    return [{"draft": draft, "most": most, "least": least} for draft in (0.5, 9.0)]


def with_holds() -> dict[str, Any]:
    one = hold("H1", 30.0, 50.0, mass_limits=limits(700.0, 100.0), tanks_in_way=["APT"])
    ship = vessel(holds=[one, hold("H2", 50.0, 70.0)])
    ship["strength"]["adjacent_holds"] = [{"holds": ["H1", "H2"], "mass_limits": limits(900.0)}]
    return ship


def test_a_weight_in_a_hold_takes_its_ends_and_counts_in_its_mass():
    loaded = condition(weight("Coils", 600.0, 40.0, hold="H1"), weight("Pipes", 250.0, 61.0, hold="H2"))
    found = answer(with_holds(), loaded)
    assert found["strength"]["point_loads_mass"] == 0.0
    one, pair = found["strength"]["hold_masses"]
    assert (one["holds"], one["mass"], one["most"], one["least"]) == (["H1"], 600.0, 700.0, 100.0)
    assert (pair["holds"], pair["mass"], pair["most"], pair["least"]) == (["H1", "H2"], 850.0, 900.0, None)
    assert (row(found, "hold-mass")["verdict"], row(found, "hold-mass")["unit"]) == ("pass", "t")
    loaded["tanks"] = [{"tank": "APT", "mass": 150.0}]
    assert row(answer(with_holds(), loaded), "hold-mass")["verdict"] == "fail"


def test_masses_are_judged_in_the_units_of_the_answer():
    found = answer(with_holds(), condition(weight("Coils", 600.0, 40.0, hold="H1")), "us")
    mass = row(found, "hold-mass")
    assert (mass["attained"], mass["limit"]) == pytest.approx((600.0 / LONG_TON, 700.0 / LONG_TON))
    assert (mass["unit"], mass["as_written"]["unit"], mass["as_written"]["limit"]) == ("LT", "t", 700.0)


# --- what is missing or refused ----------------------------------------------------------------------------------


def test_without_sections_or_segments_there_is_no_member_and_the_rows_say_why():
    ship = vessel()
    del ship["strength"]["sections"]
    found = answer(ship, condition(CARGO))
    assert "strength" not in found
    assert row(found, "shear")["verdict"] == "not_computable"
    assert "no areas of sections" in row(found, "shear")["reason"]
    assert found["verdict"] == "incomplete"
    assert not [gap for gap in found["not_computed"] if gap["figure"] == "strength"]


def test_a_distribution_that_is_not_the_lightship_is_said_where_it_is_looked_for():
    ship = vessel()
    ship["lightship"]["segments"][0]["mass"] = 1900.0
    found = answer(ship, condition(CARGO))
    assert "strength" not in found
    assert [gap["figure"] for gap in found["not_computed"]] == ["strength"]
    assert "lightship_distribution_differs" in {f["code"] for f in found["findings"]}


@pytest.mark.parametrize(
    "segment",
    [
        {"mass": 2050.0, "mass_from": 20.5, "mass_to": 20.5},
        {},
        {"mass_from": 20.5},
        {"mass": 2050.0, "x_to": 0.0},
    ],
)
def test_a_segment_that_says_two_things_or_none_is_not_counted(segment):
    ship = vessel()
    ship["lightship"]["segments"] = [{"x_from": 0.0, "x_to": 100.0, **segment}]
    assert "strength" not in answer(ship, condition(CARGO))


def test_places_that_contradict_one_another_are_refused():
    ship = with_holds()
    ship["holds"][0]["tanks_in_way"] = ["APT", "DB9"]
    ship["holds"][1]["extent"] = None
    ship["strength"]["adjacent_holds"].append({"holds": ["H1", "H9"], "mass_limits": limits(1.0)})
    assert refused(ship, condition()) == {
        ("unknown_tank", "/vessel/holds/0/tanks_in_way/1"),
        ("missing", "/vessel/strength/adjacent_holds/0/holds/1"),
        ("unknown_hold", "/vessel/strength/adjacent_holds/1/holds/1"),
    }


def test_sections_that_cannot_be_used_are_refused_with_their_place():
    ship = vessel()
    ship["strength"]["sections"]["x"] = [100.0, 0.0]
    assert ("unusable_table", "/vessel/strength/sections/x/1") in refused(ship, condition())


def test_a_centre_outside_its_ends_and_an_unknown_hold_are_refused():
    outside = weight("Cargo", 100.0, 95.0, extent={"x_from": 10.0, "x_to": 90.0})
    assert refused(vessel(), condition(outside, weight("Coils", 1.0, 50.0, hold="H9"))) == {
        ("lcg_outside_extent", "/condition/weights/0/lcg"),
        ("unknown_hold", "/condition/weights/1/hold"),
    }


def test_a_ship_without_strength_may_keep_ends_that_do_not_hold_the_centre():
    ship = vessel(rule_sets=["load-lines"], load_lines={"summer_draft": 6.0})
    del ship["strength"]
    outside = weight("Cargo", 100.0, 95.0, extent={"x_from": 10.0, "x_to": 90.0})
    assert "strength" not in answer(ship, condition(outside))


def test_strength_is_no_stability_margin():
    found = answer(vessel(), condition(CARGO, tanks=PEAKS))
    margin = found["least_stability_margin"]
    assert margin is None or not margin["criterion"].startswith("vessel-strength")


def test_curves_are_given_when_asked_for_and_meet_the_read_out_points() -> None:
    """Closed form of a box: buoyancy is level, and both curves close at the forward end."""
    request = {"vessel": vessel(), "condition": condition(CARGO)}
    assert "curves" not in Assessor().assessment(request)["strength"]
    found = Assessor().with_curves(request)
    FULL.validate_python([found])
    curves = found["strength"]["curves"]
    assert len({len(column) for column in curves.values()}) == 1
    assert curves["shear_force"][-1] == pytest.approx(0.0, abs=1e-6)
    assert curves["bending_moment"][-1] == pytest.approx(0.0, abs=1e-4)
    for station in found["strength"]["stations"]:
        at_station = [
            moment
            for x, moment in zip(curves["x"], curves["bending_moment"], strict=True)
            if x == pytest.approx(station["x"])
        ]
        assert all(moment == pytest.approx(station["bending_moment"]) for moment in at_station)
    assert sum(curves["weight"]) > 0.0
    us = Assessor().with_curves(request, "us")["strength"]["curves"]
    assert us["shear_force"] == pytest.approx([v / LONG_TON for v in curves["shear_force"]])
    assert us["weight"] == pytest.approx([v / LONG_TON * FOOT for v in curves["weight"]])
