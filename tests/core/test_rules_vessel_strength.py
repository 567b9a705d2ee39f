"""The ship's own limits of strength: each row above, at and below, and what is missing is never a pass.

Limits are her manual's: percent of the limit of a value's own sign (MSC/Circ.920 3.8.1), masses in holds by draft
at mid-hold (IACS UR S1A).
"""

from typing import Any

import pytest

from service.core.assessment import assess
from service.core.grain import Hold
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.vessel_strength import (
    BETWEEN,
    HOLD_LEAST,
    HOLD_MOST,
    PAIR_LEAST,
    PAIR_MOST,
    STATION_BENDING,
    STATION_SHEAR,
)
from service.core.strength.hold_mass import HoldStrength, MassLimit
from service.core.strength.limits import Limits, Station
from service.core.strength.weight_curve import Segment
from service.core.weight import Weight
from tests.core.barge import barge, loaded, stations, strength
from tests.core.ship import details, just_around, line


def around(limit: float, *expected: str) -> list[tuple[float, str]]:
    """A limit just below, at and just above a value, each with its verdict."""
    return list(zip(just_around(limit), expected))


CARGO = Weight(1000.0, 50.0, 5.0, 0.0, "cargo", extent=(40.0, 60.0))
"""Shear 400 t at 40 and 60 m, - 10000 t.m amidships, 320 t at 42 and 58; at 30 m - 300 t and - 4500 t.m."""
AT = (20.0, 40.0, 50.0, 60.0, 80.0)


def limited(
    shear: float | None = 1e5,
    bending: float | None = 1e6,
    shear_negative: float | None = None,
    sagging: float | None = None,
    at: tuple[float, ...] = AT,
    **changes: Any,
):
    sea = Limits.of(shear, shear_negative, bending, sagging)
    harbour = Limits.of(1e6, None, 1e7, None)
    ends = (
        Station(0.0, Limits(1e9, 1e9, 1e9, 1e9), harbour),
        Station(100.0, Limits(1e9, 1e9, 1e9, 1e9), harbour),
    )
    inner = tuple(Station(x, sea, harbour, f"x{x:g}") for x in at)
    given = {"stations": (ends[0], *inner, ends[1]), **changes}
    return barge(strength=strength(**given), rule_sets=("vessel-strength",))


def rows(ship, *weights: Weight, **changes: Any) -> dict[str, Criterion]:
    assessed = assess(ship, loaded(*(weights or (CARGO,)), **changes))
    return {c.row.id: c for rule_set, c in assessed.criteria if rule_set.name == "vessel-strength"}


def test_it_binds_where_it_is_listed_and_every_row_answers():
    assert list(rows(limited())) == [
        "vessel-strength-shear",
        "vessel-strength-bending",
        "vessel-strength-between-stations",
        "vessel-strength-hold-mass",
        "vessel-strength-hold-mass-least",
        "vessel-strength-adjacent-holds",
        "vessel-strength-adjacent-holds-least",
    ]
    assert rows(barge()) == {}


@pytest.mark.parametrize(("limit", "verdict"), around(400.0, FAIL, PASS, PASS))
def test_shear_force_just_beyond_at_and_below_its_limit(limit, verdict):
    row = rows(limited(shear=limit))[STATION_SHEAR.id]
    assert row.verdict == verdict
    assert row.attained == pytest.approx(100.0 * 400.0 / limit, rel=1e-9)
    assert row.required == 100.0


@pytest.mark.parametrize(("limit", "verdict"), around(10000.0, FAIL, PASS, PASS))
def test_bending_moment_just_beyond_at_and_below_its_limit(limit, verdict):
    row = rows(limited(bending=1e6, sagging=limit))[STATION_BENDING.id]
    assert row.verdict == verdict
    shown = details(row)
    assert (shown["station"], shown["x"], shown["set"]) == ("x50", 50.0, "sea")
    assert shown["value"] == pytest.approx(-10000.0, rel=1e-9)
    assert shown["sea/limit"] == limit
    assert shown["sea/percent"] == pytest.approx(row.attained)
    assert (shown["harbour/limit"], shown["harbour/percent"]) == (1e7, pytest.approx(0.1))


@pytest.mark.parametrize(("limit", "verdict"), around(400.0, FAIL, PASS, PASS))
def test_between_stations_just_beyond_at_and_below_the_limit_there(limit, verdict):
    """Stations at 30 and 70 m only: the extremes at 40, 50 and 60 m are none of theirs."""
    found = rows(limited(shear=limit, at=(30.0, 70.0)))
    assert found[BETWEEN.id].verdict == verdict
    assert found[STATION_SHEAR.id].verdict == PASS
    shown = details(found[BETWEEN.id])
    assert (shown["quantity"], shown["set"]) == ("shear force", "sea")
    assert shown["value"] == pytest.approx(-400.0 if shown["x"] < 50.0 else 400.0)
    assert shown["limit"] == pytest.approx(limit)


def test_the_moment_counts_between_stations_too():
    shown = details(rows(limited(sagging=5000.0, at=(30.0, 70.0)))[BETWEEN.id])
    assert (shown["quantity"], shown["x"], shown["value"]) == (
        "bending moment",
        pytest.approx(50.0),
        pytest.approx(-10000.0),
    )


def test_an_extreme_beyond_the_stations_is_not_passed_over():
    """Between 45 and 55 m only: the greatest shear is at 40 and 60 m."""
    given = strength(stations=tuple(Station(x, *stations()[0][1:3]) for x in (45.0, 55.0)))
    found = rows(barge(strength=given, rule_sets=("vessel-strength",)))
    assert found[BETWEEN.id].verdict == NOT_COMPUTABLE
    assert "beyond her read-out points" in found[BETWEEN.id].reason
    low = Limits.of(1.0, None, 1.0, None)
    given = strength(stations=tuple(Station(x, low, low) for x in (45.0, 55.0)))
    found = rows(barge(strength=given, rule_sets=("vessel-strength",)))
    assert found[BETWEEN.id].verdict == FAIL


@pytest.mark.parametrize(("mass", "verdict"), [(0.001, PASS), (1.0, NOT_COMPUTABLE)])
def test_an_extreme_that_is_rounding_needs_no_limit(mass, verdict):
    """Evenly laden she has no forces at all. Amidships a kilogram makes a shear of less than a millionth of her 8,050 t
    at 49 m, a tonne one of 0.5 t; the stations begin at 49.5 m. Definition; the part: common practice, no source."""
    even = CARGO._replace(lcg=50.0, extent=(0.0, 100.0))
    point = Weight(mass, 50.0, 5.0, 0.0, "cargo", extent=(49.0, 51.0))
    given = strength(stations=tuple(Station(x, *stations()[0][1:3]) for x in (49.5, 55.0)))
    found = rows(barge(strength=given, rule_sets=("vessel-strength",)), even, point)
    assert found[BETWEEN.id].verdict == verdict


def test_at_sea_and_in_port_each_its_own_limits():
    ship = limited(shear=300.0)
    at_sea, in_port = rows(ship), rows(ship, in_port=True)
    assert (at_sea[STATION_SHEAR.id].verdict, in_port[STATION_SHEAR.id].verdict) == (FAIL, PASS)
    assert details(in_port[STATION_SHEAR.id])["set"] == "harbour"


def test_of_two_signs_each_has_its_own_limit():
    """+ 400 t at 60 m against 500, - 400 t at 40 m against 450."""
    row = rows(limited(shear=500.0, shear_negative=450.0))[STATION_SHEAR.id]
    assert row.attained == pytest.approx(100.0 * 400.0 / 450.0)
    assert details(row)["x"] == 40.0


def test_a_kind_without_limits_is_not_computable():
    found = rows(limited(shear=None, shear_negative=None))
    ends = barge(
        strength=strength(
            stations=tuple(Station(x, Limits(None, None, 22000.0, 20000.0), Limits()) for x in AT)
        ),
        rule_sets=("vessel-strength",),
    )
    assert found[STATION_BENDING.id].verdict == PASS
    without_shear = rows(ends)
    assert without_shear[STATION_SHEAR.id].verdict == NOT_COMPUTABLE
    assert without_shear[STATION_BENDING.id].verdict == PASS
    assert without_shear[BETWEEN.id].verdict == NOT_COMPUTABLE
    assert rows(ends, in_port=True)[STATION_BENDING.id].verdict == NOT_COMPUTABLE


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"sections": None}, "no areas of sections"),
        ({"segments": ()}, "lightship is spread"),
        ({"stations": ()}, "no limits of shear force"),
        ({"shear_correction_required": True}, "correction of shear forces"),
        ({"segments": (Segment.of_mass(0.0, 100.0, 1900.0),)}, "do not add up"),
    ],
)
def test_what_is_missing_is_never_a_pass(changes, words):
    found = rows(barge(strength=strength(**changes), rule_sets=("vessel-strength",)))
    for row in (STATION_SHEAR, STATION_BENDING, BETWEEN):
        assert found[row.id].verdict == NOT_COMPUTABLE
        assert words in found[row.id].reason


def test_a_ship_without_any_data_is_incomplete():
    ship = barge(strength=None, rule_sets=("vessel-strength",))
    found = rows(ship)
    assert {found[row.id].verdict for row in (STATION_SHEAR, STATION_BENDING, BETWEEN)} == {NOT_COMPUTABLE}
    assert assess(ship, loaded(CARGO)).verdict == "incomplete"


# --- masses in holds ---------------------------------------------------------------------------------------------

HOLDS = (Hold("H1", 900.0), Hold("H2", 900.0))
IN_HOLD = Weight(600.0, 40.0, 5.0, 0.0, "cargo", (30.0, 50.0), 0)
NEXT = Weight(300.0, 60.0, 5.0, 0.0, "cargo", (50.0, 70.0), 1)


def with_holds(limits: list[MassLimit], pair: list[MassLimit] | None = None):
    holds = (HoldStrength((0,), (30.0, 50.0), (0,), limits),)
    pairs = () if pair is None else (HoldStrength((0, 1), (30.0, 70.0), (), pair),)
    return barge(strength=strength(holds=holds, pairs=pairs), holds=HOLDS, rule_sets=("vessel-strength",))


def both(most: float | None, least: float | None) -> list[MassLimit]:
    return [MassLimit(0.5, most, least), MassLimit(9.0, most, least)]


@pytest.mark.parametrize(("limit", "verdict"), around(600.0, FAIL, PASS, PASS))
def test_the_mass_in_a_hold_against_the_greatest(limit, verdict):
    found = rows(with_holds(both(limit, None)), IN_HOLD, NEXT)
    assert found[HOLD_MOST.id].verdict == verdict
    assert (found[HOLD_MOST.id].attained, found[HOLD_MOST.id].required) == (600.0, pytest.approx(limit))
    assert details(found[HOLD_MOST.id])["holds"] == "H1"
    assert found[HOLD_LEAST.id].verdict == found[PAIR_MOST.id].verdict == NOT_APPLICABLE


@pytest.mark.parametrize(("limit", "verdict"), around(600.0, PASS, PASS, FAIL))
def test_the_mass_in_a_hold_against_the_least(limit, verdict):
    found = rows(with_holds(both(None, limit)), IN_HOLD, NEXT)
    assert found[HOLD_LEAST.id].verdict == verdict
    assert found[HOLD_MOST.id].verdict == NOT_APPLICABLE


@pytest.mark.parametrize(("limit", "verdict"), around(900.0, FAIL, PASS, PASS))
def test_two_adjacent_holds_against_the_greatest(limit, verdict):
    found = rows(with_holds(both(2000.0, None), both(limit, None)), IN_HOLD, NEXT)
    assert found[PAIR_MOST.id].verdict == verdict
    assert details(found[PAIR_MOST.id])["holds"] == "H1, H2"


@pytest.mark.parametrize(("limit", "verdict"), around(900.0, PASS, PASS, FAIL))
def test_two_adjacent_holds_against_the_least(limit, verdict):
    found = rows(with_holds(both(2000.0, None), both(None, limit)), IN_HOLD, NEXT)
    assert found[PAIR_LEAST.id].verdict == verdict


def test_a_tank_in_way_counts_as_mass_of_the_hold():
    ship = with_holds(both(1000.0, None))
    row = rows(ship, IN_HOLD, tanks=(line(ship, "APT", mass=250.0),))[HOLD_MOST.id]
    assert row.attained == pytest.approx(850.0)


def test_the_draft_is_that_at_the_middle_of_the_hold():
    """She floats trimmed: 2950 t with the centre of 900 t aft of amidships."""
    ship = with_holds([MassLimit(0.0, 0.0, None), MassLimit(10.0, 10000.0, None)])
    assessed = assess(ship, loaded(IN_HOLD, NEXT))
    row = next(c for _, c in assessed.criteria if c.row.id == HOLD_MOST.id)
    draft = assessed.situation.flotation.draft_at(40.0)
    assert details(row)["draft"] == draft
    assert row.required == pytest.approx(1000.0 * draft)


def test_a_draft_the_limits_do_not_reach_is_not_computable():
    found = rows(with_holds([MassLimit(4.0, 700.0, None), MassLimit(9.0, 700.0, None)]), IN_HOLD)
    assert found[HOLD_MOST.id].verdict == NOT_COMPUTABLE
    assert "do not reach this draft" in found[HOLD_MOST.id].reason
