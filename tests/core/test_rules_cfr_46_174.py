"""Tugs and US offshore supply vessels: 46 CFR 174.145 (5.15 and 1.72 m.degree read; 20, 25 and 60 degrees from memory)
and 174.185 (0.08 m.rad, 20 and 40 degrees, 300 mm at the stern under 20 m: read)."""

from math import degrees, inf, sqrt

import pytest

from service.core.opening import DeckEdge
from service.core.rules import cfr_46_174_145, cfr_46_174_185
from service.core.rules.catalogue import binding_sets
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS
from tests.core.ship import condition, just_around, particulars, situation, vessel
from tests.core.type_rules import area, judged, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]
TUG, SUPPLY = cfr_46_174_145.RULE_SET, cfr_46_174_185.RULE_SET


def supply_vessel(length: float = 18.0, stern: float = 7.0):
    return vessel(particulars=particulars(length_bp=length), deck_edge=DeckEdge(((0.0, 3.0, stern),)))


def supply(slope: float = 5.0, *curve, ship=None, **changes):
    return judged(SUPPLY, slope, *curve, ship=situation(1.0, ship or supply_vessel()), **changes)


def test_limits_and_what_is_recalled():
    assert [row.limit for row in TUG.limits] == [5.15, 1.72, 20.0, 25.0, 60.0]
    assert [row.from_memory is None for row in TUG.limits] == [True, True, False, False, False]
    assert [row.limit for row in SUPPLY.limits] == [0.08, 20.0, 40.0, 0.30]
    assert all(row.from_memory is None for row in SUPPLY.limits)


@pytest.mark.parametrize(
    ("maximum", "flooding", "to"), [(35.0, inf, 35.0), (44.0, inf, 40.0), (44.0, 38.0, 38.0)]
)
def test_the_area_of_a_tug_ends_at_the_least_of_three_angles(maximum, flooding, to):
    per_slope = degrees(area(to, maximum))
    given = [judged(TUG, v / per_slope, maximum, flooding) for v in just_around(5.15)]
    assert [rows["area"].attained for rows in given] == pytest.approx(just_around(5.15), rel=1e-8)
    assert verdicts_of("area", given) == AROUND


def test_the_area_of_a_tug_between_30_and_40_degrees():
    per_slope = degrees(area(40.0) - area(30.0))
    given = [judged(TUG, value / per_slope) for value in just_around(1.72)]
    assert verdicts_of("area-30-to-40", given) == AROUND


def test_angles_of_a_tug_around_their_limits():
    assert verdicts_of("down-flooding", [judged(TUG, 5.0, flooding=a) for a in just_around(20.0)]) == AROUND
    assert verdicts_of("angle-of-maximum", [judged(TUG, 5.0, a) for a in just_around(25.0)]) == AROUND
    ranges = [judged(TUG, 5.0, a / sqrt(3.0)) for a in just_around(60.0, 1e-5)]
    assert verdicts_of("range", ranges) == AROUND


@pytest.mark.parametrize(
    ("maximum", "flooding", "to"), [(35.0, inf, 35.0), (44.0, inf, 40.0), (44.0, 38.0, 38.0)]
)
def test_the_area_of_a_supply_vessel_ends_at_the_least_of_three_angles(maximum, flooding, to):
    given = [supply(v / area(to, maximum), maximum, flooding) for v in just_around(0.08)]
    assert [rows["area"].attained for rows in given] == pytest.approx(just_around(0.08), rel=1e-8)
    assert verdicts_of("area", given) == AROUND


def test_angles_of_a_supply_vessel_around_their_limits():
    assert verdicts_of("down-flooding", [supply(5.0, flooding=a) for a in just_around(20.0)]) == AROUND
    assert supply()["down-flooding"].verdict == PASS
    ranges = [supply(5.0, angle / sqrt(3.0)) for angle in just_around(40.0, 1e-5)]
    assert verdicts_of("range", ranges) == AROUND


def test_the_freeboard_at_the_stern_around_its_limit():
    given = [supply(ship=supply_vessel(stern=6.0 + value)) for value in just_around(0.30, 1e-5)]
    assert verdicts_of("stern-freeboard", given) == AROUND


@pytest.mark.parametrize(("length", "read"), [(19.9, True), (20.0, False), (60.0, False)])
def test_beyond_the_first_row_of_the_table_the_freeboard_is_open(length, read):
    row = supply(ship=supply_vessel(length))["stern-freeboard"]
    assert row.verdict == (PASS if read else NOT_COMPUTABLE)
    assert row.attained == pytest.approx(1.0)
    assert row.required == (0.30 if read else None)


def test_the_weather_criterion_binds_beside_it():
    bound = [s.name for s in binding_sets(vessel(rule_sets=(SUPPLY.name,)), condition())]
    assert bound == ["46-cfr-170.170", SUPPLY.name, "afloat"]


@pytest.mark.parametrize("rule_set", [TUG, SUPPLY])
def test_what_is_unknown_is_never_a_pass(rule_set):
    rows = judged(rule_set, 5.0, flooding=None)
    assert PASS not in {row.verdict for row in rows.values()}
    assert {row.verdict for row in without_a_curve(rule_set).values()} == {NOT_COMPUTABLE}
