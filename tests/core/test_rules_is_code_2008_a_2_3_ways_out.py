"""2008 IS Code Part A 2.3, severe wind and rolling: each clause around its limit, and every way out of it.

Limits: 16 degrees or 80 % of deck edge immersion, area b not below area a; range of the tables (A 2.3.5): values from
memory. Areas and angles against an independent recomputation: test_rules_is_code_2008_a_2_3.py.
"""

import math
from dataclasses import replace
from typing import Any

import pytest

from service.core.errors import OutsideTable
from service.core.heeling_lever import Wind
from service.core.rules.is_code_2008_a_2_3 import (
    AREAS,
    STEADY_WIND,
    angle_of_roll,
    evaluate,
)
from service.core.rules.limit import (
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    SHIP,
    Criterion,
)
from service.core.situation import Heeled, Situation
from service.core.vessel import Vessel
from tests.core.ship import (
    BREADTH,
    condition,
    cubic,
    cubic_lever,
    details,
    heeled,
    just_around,
    particulars,
    situation,
    vessel,
)

DISPLACEMENT = 9000.0  # 6 m draft


def judged(ship: Situation, side: Heeled) -> tuple[Criterion, Criterion]:
    steady, areas = evaluate(ship, side)
    assert (steady.row, areas.row) == (STEADY_WIND, AREAS)
    return steady, areas


def on(slope: float, maximum: float, flooding: float | None = math.inf, last: float = 80.0) -> Heeled:
    """On the cubic of this slope and angle of maximum; openings of the other rule would flood at once."""
    return heeled(cubic_lever(slope, maximum, last), flooding, automatic=0.5)


# --- heel under steady wind ------------------------------------------------------------------------------------


def steadily(phi0: float, deck: float | None) -> Criterion:
    """The steady wind angle is phi0: the wind area that gives lw1 = GZ(phi0)."""
    lw1 = cubic(math.radians(phi0), math.radians(40.0))
    area = lw1 * 1000.0 * 9.81 * DISPLACEMENT / (504.0 * (9.0 - 3.0))
    return judged(situation(wind=Wind(area, 9.0), deck_edge=deck), on(1.0, 40.0))[0]


@pytest.mark.parametrize(("deck", "limit"), [(60.0, 16.0), (20.0, 16.0), (19.9, 15.92), (10.0, 8.0)])
def test_heel_under_steady_wind_around_16_degrees_or_80_percent_of_deck_edge_immersion(deck, limit):
    criteria = [steadily(phi0, deck) for phi0 in just_around(limit)]
    assert [criterion.required for criterion in criteria] == pytest.approx([limit] * 3, rel=1e-12)
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert [criterion.verdict for criterion in criteria] == [PASS, PASS, FAIL]
    assert criteria[0].margin > 0.0 > criteria[2].margin
    shown = details(criteria[0])
    assert shown["deck_edge_angle"] == deck
    assert shown["part_of_deck_edge_angle"] == pytest.approx(0.8 * deck, rel=1e-12)


@pytest.mark.parametrize(
    ("phi0", "verdict"), [(10.0, NOT_COMPUTABLE), (15.9999, NOT_COMPUTABLE), (16.0001, FAIL), (17.0, FAIL)]
)
def test_without_a_deck_edge_16_degrees_can_be_failed_but_not_passed(phi0, verdict):
    criterion = steadily(phi0, None)
    assert (criterion.verdict, criterion.required) == (verdict, 16.0)
    assert ("deck edge" in criterion.reason) is (verdict == NOT_COMPUTABLE)


# --- ways out --------------------------------------------------------------------------------------------------


def reference(
    gm: float = 1.0,
    flooding: float | None = math.inf,
    last: float = 80.0,
    ship: Vessel | None = None,
    **changes: Any,
) -> tuple[Criterion, Criterion]:
    """Both clauses on the cubic that is greatest at 40 degrees, in the situation of ship.py."""
    return judged(situation(gm, ship, **changes), on(1.0, 40.0, flooding, last))


def test_the_reference_situation_passes():
    assert [criterion.verdict for criterion in reference()] == [PASS, PASS]


def test_no_wind_profile():
    for criterion in reference(wind=None):
        assert criterion.verdict == NOT_COMPUTABLE
        assert "wind profile" in criterion.reason
    shown = details(reference(wind=None)[1])
    assert shown["steady_wind_lever"] is None
    assert shown["roll_angle"] == details(reference()[1])["roll_angle"], "the roll needs no wind"
    assert shown["end_of_area_b"] == 50.0


OFF = OutsideTable("displacement", 9.0, 1.0, 2.0, "mass")


@pytest.mark.parametrize(("gaps", "word"), [({}, "no cross curves"), ({"righting_lever": OFF}, OFF.cause)])
def test_no_righting_levers(gaps, word):
    for criterion in evaluate(situation(gaps=gaps), heeled(None)):
        assert criterion.verdict == NOT_COMPUTABLE
        assert word in criterion.reason


def test_no_drafts():
    """Then there are no levers either; the reason is that of the drafts."""
    gaps = dict.fromkeys(("flotation", "stability", "righting_lever", "list"), OFF)
    for criterion in evaluate(replace(situation(gaps=gaps), flotation=None), heeled(None)):
        assert (criterion.verdict, criterion.reason) == (NOT_COMPUTABLE, OFF.cause)


def test_deck_cargo_without_lateral_area():
    """However strong she is: nobody knows the area in the wind."""
    for criterion in reference(given=condition(deck_cargo_without_area=(3,))):
        assert criterion.verdict == NOT_COMPUTABLE
        assert "deck cargo without lateral area" in criterion.reason
    for criterion in reference(given=condition(deck_cargo_of_no_area=(3,))):
        assert criterion.verdict == PASS


@pytest.mark.parametrize(
    ("missing", "word"),
    [({"length_waterline": None}, "waterline"), ({"bilge": None, "bilge_keel_area": None}, "bilge")],
)
def test_missing_particulars(missing, word):
    steady, areas = reference(ship=vessel(particulars=particulars(**missing)))
    assert steady.verdict == PASS, "the steady wind needs neither"
    assert areas.verdict == NOT_COMPUTABLE
    assert word in areas.reason


def test_unknown_down_flooding():
    steady, areas = reference(flooding=None)
    assert steady.verdict == PASS
    assert areas.verdict == NOT_COMPUTABLE
    assert "down-flooding" in areas.reason


@pytest.mark.parametrize(("flooding", "end"), [(math.inf, 50.0), (55.0, 50.0), (50.0, 50.0), (35.0, 35.0)])
def test_area_b_ends_at_down_flooding_or_50_degrees(flooding, end):
    assert details(reference(flooding=flooding)[1])["end_of_area_b"] == pytest.approx(end)


def test_area_b_ends_at_the_second_intercept_where_that_comes_first():
    """A cubic greatest at 20 degrees falls through the gust lever before 50 degrees."""
    _, areas = judged(situation(), on(1.0, 20.0))
    shown = details(areas)
    assert shown["end_of_area_b"] == shown["second_intercept"] < 50.0


@pytest.mark.parametrize(
    ("part", "verdict"), [(1.0 - 1e-9, FAIL), (1.0, FAIL), (1.0 + 1e-6, FAIL), (30.0, PASS)]
)
def test_an_opening_that_floods_before_the_gust_is_balanced_fails(part, verdict):
    """At or before the first intercept no area is left at all; a little beyond it, too small an area b."""
    first = details(reference()[1])["first_intercept"]
    areas = reference(flooding=first * part)[1]
    assert areas.verdict == verdict
    assert ("floods" in areas.reason) is (part <= 1.0)


@pytest.mark.parametrize("factor", [30.0, 100.0])
def test_wind_beyond_every_lever_fails(factor):
    for criterion in reference(wind=Wind(600.0 * factor, 9.0)):
        assert criterion.verdict == FAIL
        assert "no equilibrium" in criterion.reason
        assert criterion.attained is None


def test_steady_wind_within_and_gust_beyond_the_greatest_lever():
    """Greatest lever 2/3 x 40 degrees in radians; lw1 at 80 % of it, lw2 at 120 %."""
    greatest = math.radians(40.0) * 2.0 / 3.0
    area = 0.8 * greatest * 1000.0 * 9.81 * DISPLACEMENT / (504.0 * 6.0)
    steady, areas = reference(wind=Wind(area, 9.0))
    assert steady.verdict == FAIL
    assert steady.attained is not None
    assert areas.verdict == FAIL
    assert "gust" in areas.reason


@pytest.mark.parametrize("gm", [0.0, -0.2])
def test_gm_not_positive_fails(gm):
    for criterion in reference(gm):
        assert criterion.verdict == FAIL
        assert "GM" in criterion.reason


@pytest.mark.parametrize(
    ("last", "flooding", "verdict"),
    [
        (45.0, math.inf, NOT_COMPUTABLE),
        (49.9, math.inf, NOT_COMPUTABLE),
        (50.0, math.inf, PASS),
        (45.0, 45.1, NOT_COMPUTABLE),
        (45.0, 45.0, PASS),
        (45.0, 44.0, PASS),
    ],
)
def test_cross_curves_that_end_before_50_degrees(last, flooding, verdict):
    steady, areas = reference(last=last, flooding=flooding)
    assert (steady.verdict, areas.verdict) == (PASS, verdict)


@pytest.mark.parametrize(("last", "reaches"), [(22.0, True), (16.0, False)])
def test_cross_curves_that_end_before_the_angle_to_windward(last, reaches):
    """She rolls to about 17 degrees to windward, and an opening floods at 16."""
    shown = details(reference(flooding=16.0)[1])
    assert -22.0 < shown["windward_angle"] < -16.0
    assert (reference(last=last, flooding=16.0)[1].verdict != NOT_COMPUTABLE) is reaches


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True)])
def test_ships_under_24_m(length, applies):
    ship = vessel(particulars=particulars(length_load_line=length))
    for criterion in reference(ship=ship):
        assert criterion.verdict == (PASS if applies else NOT_APPLICABLE)
        assert criterion.because == (None if applies else SHIP)
    for criterion in evaluate(situation(ship=ship), heeled(None)):
        assert criterion.verdict == (NOT_COMPUTABLE if applies else NOT_APPLICABLE)


@pytest.mark.parametrize(("ratio", "inside"), [(3.5, False), (3.499, True), (3.6, False)])
def test_validity_in_breadth_to_draft(ratio, inside):
    areas = reference(ship=vessel(particulars=particulars(breadth=ratio * 6.0)))[1]
    assert areas.verdict == (PASS if inside else OUTSIDE_VALIDITY)
    assert inside or "A 2.3.5" in areas.reason


@pytest.mark.parametrize(
    ("ratio", "inside"), [(-0.301, False), (-0.2999999, True), (0.4999999, True), (0.501, False)]
)
def test_validity_in_kg_over_draft(ratio, inside):
    verdict = reference(vcg=6.0 * (1.0 + ratio))[1].verdict
    assert (verdict != OUTSIDE_VALIDITY) == inside


@pytest.mark.parametrize(("seconds", "inside"), [(19.999, True), (20.0, False), (20.001, False)])
def test_validity_in_rolling_period(seconds, inside):
    c = 0.373 + 0.023 * BREADTH / 6.0 - 0.043 * 1.02
    near = (2.0 * c * BREADTH / seconds) ** 2
    # of the numbers next to it, the one whose period is the seconds to the last digit
    periods = {part: angle_of_roll(situation(near * (1.0 + part * 2.0**-52))).period for part in range(-8, 9)}
    part = next(part for part, found in periods.items() if found == seconds)
    verdict = reference(near * (1.0 + part * 2.0**-52))[1].verdict
    assert (verdict != OUTSIDE_VALIDITY) == inside


def test_outside_validity_never_hides_a_fail_that_needs_no_table():
    areas = reference(ship=vessel(particulars=particulars(breadth=25.0)), flooding=1.0)[1]
    assert areas.verdict == FAIL
