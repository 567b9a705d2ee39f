"""Offshore supply vessels: the alternative of 2008 IS Code Part B 2.4 (application read; all figures are values from
memory). Curves are cubics whose areas and levers are closed forms."""

import pytest

from service.core.opening import DeckEdge
from service.core.rules.is_code_2008_b_2_4 import LIMITS, RULE_SET, area_required
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP
from tests.core.ship import just_around, particulars, situation, vessel
from tests.core.type_rules import area, judged, lever, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]


def supply_vessel(length: float = 80.0, stern: float = 7.0, x: float = 0.0):
    edge = DeckEdge(((x, 8.0, stern), (50.0, 8.0, 9.0)))
    return vessel(particulars=particulars(length_load_line=length), deck_edge=edge)


def rows_of(slope: float = 5.0, *curve, ship=None, gm: float = 1.0, **changes):
    return judged(RULE_SET, slope, *curve, ship=situation(gm, ship or supply_vessel()), **changes)


def test_limits_and_what_is_recalled():
    assert [row.limit for row in LIMITS] == [None, 0.03, 0.20, 15.0, 0.15, None]
    assert all(row.from_memory and "memory" in row.source for row in LIMITS)


@pytest.mark.parametrize(
    ("angle", "limit"),
    [
        (10.0, 0.070),
        (15.0, 0.070),
        (20.0, 0.065),
        (22.0, 0.063),
        (25.5, 0.0595),
        (30.0, 0.055),
        (40.0, 0.055),
    ],
)
def test_the_area_required_grows_as_the_angle_falls(angle, limit):
    assert area_required(angle) == pytest.approx(limit, abs=1e-15)


@pytest.mark.parametrize(("maximum", "to"), [(18.0, 18.0), (30.0, 30.0), (44.0, 30.0)])
def test_the_area_is_taken_to_the_maximum_30_degrees_at_most(maximum, to):
    limit = area_required(maximum)
    given = [rows_of(value / area(to, maximum), maximum) for value in just_around(limit)]
    assert [rows["area-to-maximum"].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-8)
    assert given[1]["area-to-maximum"].required == pytest.approx(limit, rel=1e-9)
    assert verdicts_of("area-to-maximum", given) == AROUND


@pytest.mark.parametrize(
    ("slug", "limit", "per_slope"),
    [("area-30-to-40", 0.03, area(40.0) - area(30.0)), ("lever-at-30", 0.20, lever(35.0))],
)
def test_areas_and_levers_around_their_limits(slug, limit, per_slope):
    given = [rows_of(value / per_slope) for value in just_around(limit)]
    assert [rows[slug].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts_of(slug, given) == AROUND


def test_the_angle_of_maximum_around_15_degrees():
    given = [rows_of(9.0, maximum) for maximum in just_around(15.0)]
    assert verdicts_of("angle-of-maximum", given) == AROUND


def test_the_initial_gm_around_its_limit():
    assert verdicts_of("initial-gm", [rows_of(gm=gm) for gm in just_around(0.15)]) == AROUND


def test_the_freeboard_at_the_stern_around_its_limit():
    """0.005 L of an 80 m ship is 0.4 m, above a draft of 6 m."""
    given = [rows_of(ship=supply_vessel(stern=6.0 + value)) for value in just_around(0.4, 1e-5)]
    assert [rows["stern-freeboard"].attained for rows in given] == pytest.approx(
        just_around(0.4, 1e-5), rel=1e-9
    )
    assert given[0]["stern-freeboard"].required == pytest.approx(0.4)
    assert verdicts_of("stern-freeboard", given) == AROUND


def test_without_a_point_at_the_stern_its_freeboard_is_open():
    row = rows_of(ship=supply_vessel(x=40.0))["stern-freeboard"]
    assert (row.verdict, row.reason) == (NOT_COMPUTABLE, "not given: a point of the deck edge at the stern")


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True), (100.0, True), (100.1, False)])
def test_it_is_for_ships_of_24_to_100_m(length, applies):
    rows = rows_of(ship=supply_vessel(length)).values()
    assert {row.verdict for row in rows} == ({PASS} if applies else {NOT_APPLICABLE})
    assert {row.because for row in rows} == ({None} if applies else {SHIP})


def test_what_is_unknown_is_never_a_pass():
    levers = ("area-to-maximum", "area-30-to-40", "lever-at-30", "angle-of-maximum")
    unknown = rows_of(flooding=None)
    bare = without_a_curve(RULE_SET, ship=supply_vessel())
    assert {unknown[slug].verdict for slug in levers} == {NOT_COMPUTABLE}
    assert {bare[slug].verdict for slug in levers} == {NOT_COMPUTABLE}
    assert rows_of(9.0, 45.0, last=20.0)["area-to-maximum"].verdict == NOT_COMPUTABLE
