"""Limits that the immersion of the deck edge may lower, where its angle is known, lies beyond the cross curves, or is
not known at all: what is judged, and what stays open.

Truth: the limits themselves, 16 degrees or 80 % of deck edge immersion (2008 IS Code Part A 2.3.1.2, value from
memory), 12 degrees or the deck edge (International Grain Code A 7.1.1), 14 degrees or half the freeboard (46 CFR
170.170(a)), and arithmetic of intervals: a limit between two angles is met by a heel up to the lesser, exceeded beyond
the greater. Through the whole calculation: test_short_cross_curves.py.
"""

from math import inf, nextafter, radians, tan

import pytest

from service.core.errors import OutsideTable
from service.core.heeling_lever import Wind
from service.core.rules import cfr_46_170, grain_code_1991, is_code_2008_a_2_3
from service.core.rules.edge_bound import CURVES_END, UNKNOWN_EDGE, EdgeBound
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, NOT_MET, PASS, Criterion
from service.core.situation import Situation
from tests.core.ship import (
    afloat,
    condition,
    cross_curves,
    cubic,
    cubic_lever,
    details,
    half_freeboard_at,
    heeled,
    particulars,
    situation,
    vessel,
    waterplane,
)
from tests.core.test_rules_cfr_46_170_weather import required
from tests.core.test_rules_grain_code_1991 import HOLDS, with_lever

MASS = 9000.0  # 6 m draft


def reaching(last_heel: float) -> Situation:
    """A ship whose cross curves end here."""
    return situation(ship=vessel(cross_curves=cross_curves((0.5 * last_heel, last_heel))))


# --- the two limits --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("most", "part", "angle", "limit"),
    [
        (16.0, 0.8, 30.0, 16.0),
        (16.0, 0.8, 20.0, 16.0),
        (16.0, 0.8, 10.0, 8.0),
        (12.0, 1.0, 12.5, 12.0),
        (12.0, 1.0, 11.5, 11.5),
        (12.0, 1.0, 0.0, 0.0),
    ],
)
def test_a_known_angle_makes_one_limit_however_short_her_curves_are(most, part, angle, limit):
    for last in (5.0, 60.0):
        bound = EdgeBound.of(most, angle, reaching(last), part)
        assert bound == (pytest.approx(limit, abs=1e-14), pytest.approx(limit, abs=1e-14))
        assert bound.least == bound.most
        for heel in (0.0, limit - 1.0, limit, limit + 1e-12, limit + 1.0, None):
            assert bound.leaves_open(heel) is None
            assert bound.limit_for(heel) == bound.most


@pytest.mark.parametrize(
    ("last", "part", "least"),
    [
        (5.0, 1.0, 5.0),
        (5.0, 0.8, 4.0),
        (15.0, 0.8, 12.0),
        (15.0, 1.0, 15.0),
        (20.0, 0.8, 16.0),
        (60.0, 1.0, 16.0),
    ],
)
def test_beyond_her_curves_the_limit_lies_between_their_end_and_the_most(last, part, least):
    bound = EdgeBound.of(16.0, inf, reaching(last), part)
    assert bound == (pytest.approx(least, rel=1e-15), 16.0)


def test_an_edge_that_stays_dry_without_cross_curves_lowers_nothing():
    """Her printed angles say so then, and there is no last heel."""
    assert EdgeBound.of(16.0, inf, situation(ship=vessel(cross_curves=None)), 0.8) == (16.0, 16.0)


@pytest.mark.parametrize("curves", [None, cross_curves()])
def test_of_an_angle_that_is_not_known_only_the_most_is(curves):
    assert EdgeBound.of(16.0, None, situation(ship=vessel(cross_curves=curves)), 0.8) == (-inf, 16.0)


@pytest.mark.parametrize(
    ("heel", "open_to", "limit"),
    [
        (None, False, 16.0),
        (-3.0, False, 12.0),
        (12.0, False, 12.0),
        (nextafter(12.0, inf), True, 16.0),
        (14.0, True, 16.0),
        (16.0, True, 16.0),
        (16.1, False, 16.0),
    ],
)
def test_between_the_two_a_heel_is_neither_met_nor_exceeded(heel, open_to, limit):
    """Curves to 15 degrees, 80 % of them 12: up to there it is met, beyond 16 not."""
    bound = EdgeBound.of(16.0, inf, reaching(15.0), 0.8)
    assert bound.leaves_open(heel) is (CURVES_END if open_to else None)
    assert bound.limit_for(heel) == pytest.approx(limit, rel=1e-15)


@pytest.mark.parametrize(
    ("heel", "open_to"), [(None, False), (-50.0, True), (0.0, True), (16.0, True), (16.1, False)]
)
def test_with_nothing_known_every_heel_up_to_the_most_is_open(heel, open_to):
    bound = EdgeBound.of(16.0, None, situation(), 0.8)
    assert bound.leaves_open(heel) is (UNKNOWN_EDGE if open_to else None)
    assert bound.limit_for(heel) == 16.0


def test_what_is_open_is_not_computable_and_says_why():
    assert CURVES_END.verdict == UNKNOWN_EDGE.verdict == NOT_COMPUTABLE
    assert "deck edge" in CURVES_END.reason
    assert "deck edge" in UNKNOWN_EDGE.reason
    assert CURVES_END.reason != UNKNOWN_EDGE.reason


# --- A 2.3.1.2: steady wind ------------------------------------------------------------------------------------


def steadily(phi0: float, last: float, deck: float | None = inf) -> Criterion:
    """The wind heels her so far on GZ = cubic; her deck edge goes under at `deck`."""
    lever = cubic(radians(phi0), radians(40.0))
    area = lever * 1000.0 * 9.81 * MASS / (504.0 * 6.0)
    ship = vessel(cross_curves=cross_curves((0.5 * last, last)))
    given = situation(ship=ship, wind=Wind(area, 9.0), deck_edge=deck)
    return is_code_2008_a_2_3.evaluate(given, heeled(cubic_lever(1.0, 40.0)))[0]


@pytest.mark.parametrize(
    ("phi0", "last", "limit", "verdict"),
    [
        (7.99, 10.0, 8.0, PASS),
        (8.01, 10.0, 16.0, NOT_COMPUTABLE),
        (15.99, 10.0, 16.0, NOT_COMPUTABLE),
        (16.01, 10.0, 16.0, FAIL),
        (15.99, 20.0, 16.0, PASS),
        (16.01, 20.0, 16.0, FAIL),
        (15.9, 19.9, 15.92, PASS),
        (15.95, 19.9, 16.0, NOT_COMPUTABLE),
    ],
)
def test_steady_wind_where_the_deck_edge_lies_beyond_the_curves(phi0, last, limit, verdict):
    """80 % of their last heel is met for certain; 16 degrees exceeded for certain."""
    criterion = steadily(phi0, last)
    assert (criterion.verdict, criterion.required) == (verdict, pytest.approx(limit, rel=1e-14))
    assert criterion.attained == pytest.approx(phi0, rel=1e-9)
    assert (criterion.reason == CURVES_END.reason) is (verdict == NOT_COMPUTABLE)
    shown = details(criterion)
    assert (shown["deck_edge_angle"], shown["part_of_deck_edge_angle"]) == (inf, inf)


def test_no_rest_before_the_wind_is_not_hidden_by_an_open_limit():
    """The wind exceeds every lever: failed, whatever the deck edge does."""
    area = 100.0 * MASS
    for deck in (None, inf):
        given = situation(ship=reaching(10.0).vessel, wind=Wind(area, 9.0), deck_edge=deck)
        criterion = is_code_2008_a_2_3.evaluate(given, heeled(cubic_lever(1.0, 40.0)))[0]
        assert (criterion.verdict, criterion.attained) == (FAIL, None)


@pytest.mark.parametrize("deck", [None, inf])
@pytest.mark.parametrize(("part", "verdict"), [(5e-10, NOT_COMPUTABLE), (2e-9, FAIL)])
def test_rounding_at_16_degrees_passes_nothing_that_is_open(deck, part, verdict):
    """A billionth over 16 degrees counts as 16, and 16 is met for certain only where the deck edge is known."""
    assert steadily(16.0 * (1.0 + part), 10.0, deck).verdict == verdict
    assert steadily(16.0 * (1.0 + 5e-10), 10.0, 30.0).verdict == PASS


@pytest.mark.parametrize("deck", [None, inf])
@pytest.mark.parametrize(
    ("gm", "changes", "verdict"),
    [(-0.1, {}, FAIL), (0.0, {}, FAIL), (1.0, {"length_load_line": 23.9}, NOT_APPLICABLE)],
)
def test_what_decides_without_the_limit_comes_before_an_open_one(deck, gm, changes, verdict):
    ship = vessel(cross_curves=cross_curves((5.0, 10.0)), particulars=particulars(**changes))
    given = situation(gm, ship, deck_edge=deck)
    criterion = is_code_2008_a_2_3.evaluate(given, heeled(cubic_lever(1.0, 40.0)))[0]
    assert criterion.attained is not None
    assert criterion.verdict == verdict


@pytest.mark.parametrize("deck", [None, inf])
def test_without_wind_the_reason_is_the_wind_and_not_the_deck_edge(deck):
    given = situation(ship=reaching(10.0).vessel, wind=None, deck_edge=deck)
    criterion = is_code_2008_a_2_3.evaluate(given, heeled(cubic_lever(1.0, 40.0)))[0]
    assert criterion.verdict == NOT_COMPUTABLE
    assert "wind profile" in criterion.reason


# --- Grain Code A 7.1.1 ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heel", "last", "verdict"),
    [
        (7.99, 8.0, PASS),
        (8.01, 8.0, NOT_COMPUTABLE),
        (11.99, 8.0, NOT_COMPUTABLE),
        (12.01, 8.0, FAIL),
        (11.99, 12.0, PASS),
        (12.01, 12.0, FAIL),
    ],
)
def test_the_heel_of_grain_where_the_deck_edge_lies_beyond_the_curves(heel, last, verdict):
    at = cubic(radians(heel), radians(45.0)) / (1.0 - 0.2 * heel / 40.0)
    ship = vessel(holds=HOLDS, cross_curves=cross_curves((0.5 * last, last)))
    given = situation(1.0, ship, given=condition(grain=(with_lever(at),)), deck_edge=inf)
    criterion = grain_code_1991.evaluate(given, heeled(cubic_lever(1.0, 45.0)))[0]
    assert (criterion.verdict, criterion.attained) == (verdict, pytest.approx(heel, rel=1e-9))
    assert criterion.required == (pytest.approx(min(last, 12.0)) if verdict == PASS else 12.0)
    assert (criterion.reason == CURVES_END.reason) is (verdict == NOT_COMPUTABLE)


# --- 46 CFR 170.170 --------------------------------------------------------------------------------------------


def against_wind(gm: float, last: float) -> Criterion:
    """600 m2, 9 m up; half of her freeboard (deck at 9 m) stays dry up to the last heel."""
    curves = cross_curves((0.5 * last, last))
    ship = vessel(cross_curves=curves, particulars=particulars(service="exposed"))
    given = situation(gm * 0.3048, ship, waterplane=waterplane(afloat(), curves))
    assert given.half_freeboard == inf
    (criterion,) = cfr_46_170.evaluate_weather(given)
    return criterion


WITH_8 = required(100.0, 600.0, 6.0, MASS, 8.0)
WITH_14 = required(100.0, 600.0, 6.0, MASS, 14.0)


@pytest.mark.parametrize(
    ("gm", "verdict", "angle"),
    [
        (1.001 * WITH_8, PASS, 8.0),
        (0.999 * WITH_8, NOT_COMPUTABLE, 14.0),
        (1.001 * WITH_14, NOT_COMPUTABLE, 14.0),
        (WITH_14 - 5e-10, NOT_COMPUTABLE, 14.0),  # rounding passes nothing that is open
        (WITH_14 - 5e-9, FAIL, 14.0),
        (0.999 * WITH_14, FAIL, 14.0),
    ],
)
def test_gm_against_wind_where_half_the_freeboard_lies_beyond_the_curves(gm, verdict, angle):
    """T lies between 8 and 14 degrees: enough for the one is enough, too little for the other too little."""
    criterion = against_wind(gm, 8.0)
    assert criterion.verdict == verdict
    assert criterion.required == pytest.approx(WITH_8 if angle == 8.0 else WITH_14, rel=1e-12)
    assert details(criterion)["angle"] == angle
    assert (criterion.reason == CURVES_END.reason) is (verdict == NOT_COMPUTABLE)
    assert (criterion.reason == NOT_MET) is (verdict == FAIL)


def test_curves_to_14_degrees_leave_nothing_open():
    deep = vessel(cross_curves=cross_curves((7.0, 14.0)), deck_edge=half_freeboard_at(40.0))
    for part, verdict in ((0.999, FAIL), (1.001, PASS)):
        (criterion,) = cfr_46_170.evaluate_weather(situation(part * WITH_14 * 0.3048, deep))
        assert (criterion.verdict, details(criterion)["angle"]) == (verdict, 14.0)


def test_the_worst_heel_is_the_steepest_requirement():
    assert pytest.approx(WITH_14 * tan(radians(14.0)) / tan(radians(8.0))) == WITH_8


def test_without_levers_the_reason_is_what_keeps_her_from_them():
    """Half the freeboard is looked for on cross curves that do not reach her displacement."""
    off = OutsideTable("displacement", 9000.0, 1.0, 2.0, "mass")
    (criterion,) = cfr_46_170.evaluate_weather(situation(5.0, vessel(), gaps={"righting_lever": off}))
    assert (criterion.verdict, criterion.reason) == (NOT_COMPUTABLE, off.cause)
    (criterion,) = cfr_46_170.evaluate_weather(situation(5.0, vessel()))
    assert (criterion.verdict, criterion.reason) == (NOT_COMPUTABLE, UNKNOWN_EDGE.reason)
