"""Cross curves that end before the angle at which the deck edge, or half the freeboard to it, goes under.

Where the deck edge stays dry up to the last heel its angle is not known, only that it is greater than that heel. A
limit that it would lower is then open, never met. 46 CFR 170.170(a); 2008 IS Code Part A 2.3.1.2 (value from memory).
"""

from math import radians, tan

import pytest

from service.core.assessment import assess
from service.core.cross_curves import CrossCurves
from service.core.heeling_lever import WindProfile
from service.core.opening import DeckEdge
from service.core.rules.cfr_46_170 import WEATHER_GM
from service.core.rules.is_code_2008_a_2_3 import STEADY_WIND
from service.core.rules.limit import NOT_COMPUTABLE, PASS, Criterion
from service.core.weight import Weight
from tests.core.ship import PER_METRE, SALT, condition, cross_curve_table, kn, lcb, vessel, wet_at

MASS = 6.0 * PER_METRE


def judged(id: str, heels: tuple[float, ...], edge: DeckEdge, vcg: float, wind: float) -> Criterion:
    """At 6 m on even keel, cross curves of these heels, `wind` m2 of lateral area 9 m up."""
    ship = vessel(
        cross_curves=CrossCurves(SALT, heels, (cross_curve_table(heels=heels),)),
        deck_edge=edge,
        wind_profile=WindProfile((0.0, 10.0), (wind, wind), (9.0, 9.0)),
    )
    lcg = (MASS * lcb(6.0) - 3600.0 * 47.0) / (MASS - 3600.0)
    cargo = Weight(MASS - 3600.0, lcg, (MASS * vcg - 3600.0 * 7.0) / (MASS - 3600.0))
    given = condition(weights=[cargo], rule_sets=("46-cfr-170.170", "is-code-2008-a-2.3"))
    return next(c for _, c in assess(ship, given).criteria if c.row.id == id)


EDGE = DeckEdge(((50.0, 8.0, 8.5),))
LOW_EDGE = DeckEdge(((50.0, 8.0, 8.1),))
LONG, SHORT, SHORTER = (5.0, 10.0, 20.0, 30.0, 40.0), (5.0, 10.0, 15.0), (5.0, 8.0)


def test_the_angles_of_these_cases():
    """Half the freeboard goes under between 8 and 14 degrees, the low deck edge between 15 and 17.5."""
    assert 8.0 < wet_at(8.0, 7.25) < 9.5
    assert 15.0 < wet_at(8.0, 8.1) < 0.9 * 17.5


def test_with_curves_that_reach_far_enough_both_rows_fail():
    """T is the angle of half the freeboard; 80 % of deck edge immersion is less than 16 degrees."""
    weather = judged(WEATHER_GM.id, LONG, EDGE, 7.4 - 0.45, 2000.0)
    assert weather.verdict == "fail"
    pressure_at_14 = weather.required * tan(radians(wet_at(8.0, 7.25))) / tan(radians(14.0))
    assert pressure_at_14 < weather.attained < weather.required
    steady = judged(STEADY_WIND.id, LONG, LOW_EDGE, 7.4 - 0.9, steady_area(13.5))
    assert steady.required == pytest.approx(0.8 * wet_at(8.0, 8.1), abs=1e-6)
    assert steady.required < steady.attained < 15.0
    assert steady.verdict == "fail"


def steady_area(heel: float) -> float:
    """m2 that heel her so far, GM 0.9 m: lw1 = GZ there."""
    a = radians(heel)
    lever = kn(heel) - 6.5 * (a - a**3 / 6.0 + a**5 / 120.0)
    return lever * 1000.0 * 9.81 * MASS / (504.0 * 6.0)


def test_half_the_freeboard_beyond_the_last_heel_is_not_taken_for_14_degrees():
    weather = judged(WEATHER_GM.id, SHORTER, EDGE, 7.4 - 0.45, 2000.0)
    assert weather.verdict == NOT_COMPUTABLE


def test_a_deck_edge_beyond_the_last_heel_is_not_taken_for_20_degrees():
    steady = judged(STEADY_WIND.id, SHORT, LOW_EDGE, 7.4 - 0.9, steady_area(13.5))
    assert steady.verdict == NOT_COMPUTABLE


def test_a_limit_that_the_deck_edge_cannot_lower_is_met_all_the_same():
    """A heel below 80 % of the last heel is below 80 % of any angle beyond it."""
    steady = judged(STEADY_WIND.id, SHORT, LOW_EDGE, 7.4 - 0.9, steady_area(8.0))
    assert (steady.verdict, steady.attained) == (PASS, pytest.approx(8.0, abs=1e-3))
