"""Pontoons: 2008 IS Code Part B 2.2. The whole section is a value from memory: area 0.08 m.rad to the maximum, heel
under 540 Pa not beyond half the freeboard, range 20 degrees to 100 m and 15 from 150 m."""

from math import inf, sqrt

import pytest

from service.core.heeling_lever import Wind
from service.core.opening import DeckEdge, ImmersionTable
from service.core.rules.is_code_2008_b_2_2 import LIMITS, RULE_SET, range_required
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP
from tests.core.ship import condition, details, half_freeboard_at, just_around, particulars, situation, vessel
from tests.core.type_rules import area, judged, verdicts_of, without_a_curve

WIND = Wind(600.0, 9.0)
AROUND = [FAIL, PASS, PASS]


def pontoon(length: float = 90.0, half: float = 10.0, **changes):
    given = {"length_load_line": length, "depth": 5.0, "block_coefficient": 0.95, **changes}
    return vessel(particulars=particulars(**given), deck_edge=half_freeboard_at(half))


def rows_of(slope: float = 2.0, *curve, ship=None, wind: Wind | None = WIND, **changes):
    where = situation(1.0, ship or pontoon(), wind=wind)
    return judged(RULE_SET, slope, *curve, ship=where, **changes)


def test_all_of_it_is_recalled():
    assert [row.limit for row in LIMITS] == [0.08, None, None]
    assert all(row.from_memory and "memory" in row.source for row in LIMITS)


@pytest.mark.parametrize(
    ("length", "angle"),
    [(60.0, 20.0), (100.0, 20.0), (110.0, 19.0), (140.0, 16.0), (150.0, 15.0), (200.0, 15.0)],
)
def test_the_range_required_falls_with_length(length, angle):
    assert range_required(length) == pytest.approx(angle, abs=1e-12)


@pytest.mark.parametrize(
    ("maximum", "flooding", "to"), [(25.0, inf, 25.0), (44.0, inf, 44.0), (44.0, 20.0, 20.0)]
)
def test_the_area_to_the_maximum_around_its_limit(maximum, flooding, to):
    given = [rows_of(v / area(to, maximum), maximum, flooding=flooding) for v in just_around(0.08)]
    assert [rows["area-to-maximum"].attained for rows in given] == pytest.approx(just_around(0.08), rel=1e-8)
    assert verdicts_of("area-to-maximum", given) == AROUND


def test_the_heel_under_the_wind_around_half_the_freeboard():
    """540 Pa on 600 m2 at 9 m above the baseline, to half of 6 m: 540 x 600 x 6 / (9810 x 9000) m."""
    lever = 540.0 * 600.0 * 6.0 / (9810.0 * 9000.0)
    found = rows_of(0.5)["wind-heel"]
    assert details(found)["heeling_lever"] == pytest.approx(lever, rel=1e-12)
    heel = found.attained
    given = [rows_of(0.5, ship=pontoon(half=angle)) for angle in just_around(heel, 1e-5)]
    assert verdicts_of("wind-heel", given) == AROUND
    assert given[1]["wind-heel"].required == pytest.approx(heel, rel=1e-6)


def test_a_wind_above_every_lever_fails():
    row = rows_of(0.01)["wind-heel"]
    assert (row.verdict, row.attained) == (FAIL, None)
    assert rows_of(0.5, flooding=1.0)["wind-heel"].verdict == FAIL


def test_the_range_around_its_limit():
    """A cubic vanishes at the root of three times the angle of its maximum."""
    given = [rows_of(2.0, angle / sqrt(3.0)) for angle in just_around(20.0, 1e-5)]
    assert [rows["range"].attained for rows in given] == pytest.approx(just_around(20.0, 1e-5), rel=1e-6)
    assert verdicts_of("range", given) == AROUND
    flooded = [rows_of(2.0, flooding=angle) for angle in just_around(20.0)]
    assert verdicts_of("range", flooded) == AROUND


@pytest.mark.parametrize(
    ("changes", "applies"),
    [
        ({"block_coefficient": 0.9}, True),
        ({"block_coefficient": 0.899}, False),
        ({"block_coefficient": None}, True),
        ({"depth": 5.3}, True),
        ({"depth": 16.0 / 3.0}, False),
        ({"depth": None}, True),
    ],
)
def test_it_is_for_broad_full_pontoons(changes, applies):
    rows = rows_of(ship=pontoon(**changes)).values()
    assert particulars().breadth == 16.0
    assert {row.verdict for row in rows} == ({PASS} if applies else {NOT_APPLICABLE})
    assert {row.because for row in rows} == ({None} if applies else {SHIP})


def test_what_is_unknown_is_never_a_pass():
    assert {row.verdict for row in rows_of(flooding=None).values()} == {NOT_COMPUTABLE}
    assert {row.verdict for row in without_a_curve(RULE_SET, ship=pontoon()).values()} == {NOT_COMPUTABLE}
    assert rows_of(wind=None)["wind-heel"].verdict == NOT_COMPUTABLE
    cargo = condition(deck_cargo_without_area=(0,))
    assert (
        judged(RULE_SET, 2.0, ship=situation(1.0, pontoon(), given=cargo))["wind-heel"].verdict
        == NOT_COMPUTABLE
    )
    edge = DeckEdge((), (ImmersionTable((1.0, 2.0), (20.0, 20.0)),))
    bare = vessel(particulars=pontoon().particulars, deck_edge=edge)
    assert rows_of(ship=bare)["wind-heel"].verdict == NOT_COMPUTABLE
    assert rows_of(2.0, 60.0, last=15.0)["range"].verdict == NOT_COMPUTABLE
