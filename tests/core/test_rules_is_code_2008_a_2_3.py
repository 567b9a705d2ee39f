"""2008 IS Code Part A 2.3, severe wind and rolling: an independent recomputation and every way out of it.

Truth: the criterion written out again in plain Python with scipy (roots by brentq, areas by quad). Formulae and
tables 2.3.4-1 to 2.3.4-4 are values from memory (structure as A.749(18) 3.2; formulae also in 46 CFR 28.575); one
worked roll angle is arithmetic from the formulae: B 20, d 8, Lwl 120, CB 0.65, KG 8.4, GM 0.8, Ak 36 m2.
"""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import interp1d
from scipy.optimize import brentq, minimize_scalar

from service.core.assessment import assess
from service.core.heeling_lever import Wind, WindProfile
from service.core.rules.is_code_2008_a_2_3 import (
    AREAS,
    STEADY_WIND,
    TABLE_K,
    TABLE_S,
    TABLE_X1,
    TABLE_X2,
    angle_of_roll,
    evaluate,
)
from service.core.rules.limit import (
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    Criterion,
)
from service.core.situation import Heeled, Situation
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    BREADTH,
    CARGO_WEIGHT,
    CUBIC,
    PER_METRE,
    afloat,
    condition,
    cubic,
    cubic_lever,
    details,
    heeled,
    just_around,
    KM,
    opening,
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


# --- transcribed tables ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "spots", "sums"),
    [
        (TABLE_X1, {2.4: 1.00, 2.9: 0.91, 3.5: 0.80}, (35.4, 10.83)),
        (TABLE_X2, {0.45: 0.75, 0.60: 0.95, 0.70: 1.00}, (3.45, 5.38)),
        (TABLE_K, {0.0: 1.0, 2.0: 0.88, 4.0: 0.70}, (17.5, 6.76)),
        (TABLE_S, {6.0: 0.100, 12.0: 0.065, 20.0: 0.035}, (101.0, 0.526)),
    ],
)
def test_tables_by_spot_values_and_checksum(table, spots, sums):
    arguments, values = table
    assert list(arguments) == sorted(arguments)
    for argument, value in spots.items():
        assert values[arguments.index(argument)] == value
    assert (round(sum(arguments), 6), round(sum(values), 6)) == sums


# --- the angle of roll -----------------------------------------------------------------------------------------


def test_a_worked_angle_of_roll():
    ship = vessel(
        particulars=particulars(
            breadth=20.0, length_waterline=120.0, block_coefficient=0.65, bilge_keel_area=36.0
        )
    )
    roll = angle_of_roll(situation(0.8, ship, 8.0, vcg=8.4))
    assert roll.c == pytest.approx(0.3789, abs=5e-5)
    assert roll.period == pytest.approx(16.945, abs=5e-4)
    assert roll.r == pytest.approx(0.760, abs=5e-4)
    assert (roll.x1, roll.x2, roll.k) == pytest.approx((0.98, 0.97, 0.95))
    assert roll.s == pytest.approx(0.04117, abs=5e-6)
    assert roll.phi1 == pytest.approx(17.41, abs=5e-3)


def test_kg_is_the_fluid_one():
    """OG = 8.4 - 8 m whatever the solid KG is."""
    given = situation(0.8, draft=8.0)
    moved = given.displacement._replace(vcg_solid=7.0, vcg_corrected=8.4)
    assert angle_of_roll(replace(given, displacement=moved)).og_to_draft == pytest.approx(0.05, rel=1e-12)


@pytest.mark.parametrize(
    ("bilge", "area", "k"),
    [
        ("sharp", None, 0.7),
        ("sharp", 30.0, 0.7),
        ("round", None, 1.0),
        ("round", 0.0, 1.0),
        (None, 0.01 * 102.0 * BREADTH * 2.25, 0.5 * (0.88 + 0.79)),
        ("round", 0.05 * 102.0 * BREADTH, 0.70),
        (None, None, None),
    ],
)
def test_the_factor_k_by_bilge_and_bilge_keels(bilge, area, k):
    ship = vessel(particulars=particulars(bilge=bilge, bilge_keel_area=area))
    found = angle_of_roll(situation(1.0, ship))
    assert found.k == (None if k is None else pytest.approx(k))
    assert (found.phi1 is None) is (k is None)


def test_the_block_coefficient_by_draft_before_the_ships_before_its_definition():
    assert angle_of_roll(situation()).block_coefficient == 0.7
    printed = situation(flotation=afloat(block_coefficient=0.66))
    assert angle_of_roll(printed).block_coefficient == 0.66
    ship = vessel(particulars=particulars(block_coefficient=None))
    volume = DISPLACEMENT / 1.025
    assert angle_of_roll(situation(ship=ship)).block_coefficient == pytest.approx(
        volume / (102.0 * BREADTH * 6.0)
    )
    nothing = vessel(particulars=particulars(block_coefficient=None, length_waterline=None))
    assert angle_of_roll(situation(ship=nothing)).block_coefficient is None


@pytest.mark.parametrize(("ratio", "known"), [(-1.21, True), (-1.22, False)])
def test_no_angle_of_roll_where_r_is_negative(ratio, known):
    """0.73 + 0.6 OG / d under the root: OG / d below -0.73 / 0.6."""
    roll = angle_of_roll(situation(vcg=6.0 * (1.0 + ratio)))
    assert roll.r == pytest.approx(0.73 + 0.6 * ratio)
    assert (roll.phi1 is not None) is known


# --- the whole criterion again ---------------------------------------------------------------------------------


def roll_again(gm, vcg, draft, ship):
    """phi1 in degrees and the rolling period in s."""
    p = ship.particulars
    look = [
        interp1d(x, y, bounds_error=False, fill_value=(y[0], y[-1]))
        for x, y in (TABLE_X1, TABLE_X2, TABLE_K, TABLE_S)
    ]
    c = 0.373 + 0.023 * p.breadth / draft - 0.043 * p.length_waterline / 100.0
    period = 2.0 * c * p.breadth / math.sqrt(gm)
    r = 0.73 + 0.6 * (vcg - draft) / draft
    k = float(look[2](100.0 * p.bilge_keel_area / (p.length_waterline * p.breadth)))
    phi1 = 109.0 * k * float(look[0](p.breadth / draft)) * float(look[1](p.block_coefficient))
    return phi1 * math.sqrt(r * float(look[3](period))), period


def balance_again(gz, m, lw1, phi1, flooding, last):
    """phi0, phi_e, phi_c, phi2 in degrees, areas a and b in m.rad of a curve that rises from -m to m (radians)."""
    lw2 = 1.5 * lw1
    phi0 = brentq(lambda a: gz(a) - lw1, -m, m, xtol=1e-15)
    phi_e = brentq(lambda a: gz(a) - lw2, -m, m, xtol=1e-15)
    end = math.radians(last)
    phi_c = brentq(lambda a: gz(a) - lw2, m, end, xtol=1e-15) if gz(end) < lw2 else math.inf
    phi2 = min(math.radians(50.0), phi_c, math.radians(flooding))
    a = quad(lambda x: lw2 - gz(x), phi0 - math.radians(phi1), phi_e, epsabs=1e-14)[0]
    b = quad(lambda x: gz(x) - lw2, phi_e, phi2, epsabs=1e-14)[0]
    return *(math.degrees(angle) for angle in (phi0, phi_e, phi_c, phi2)), a, b


def again(slope, maximum, gm, area, height, vcg, draft, ship, flooding, last):
    """lw1; phi0, phi1, phi_e, phi_c, phi2 in degrees; areas a and b in m.rad; the period. None: no balance."""
    m = math.radians(maximum)

    def gz(angle):
        return slope * (angle - angle**3 / (3.0 * m**2))

    lw1 = 504.0 * area * (height - draft / 2.0) / (1000.0 * 9.81 * 1500.0 * draft)
    if 1.5 * lw1 >= gz(m):
        return None
    phi1, period = roll_again(gm, vcg, draft, ship)
    phi0, phi_e, phi_c, phi2, a, b = balance_again(gz, m, lw1, phi1, flooding, last)
    return lw1, phi0, phi1, phi_e, None if math.isinf(phi_c) else phi_c, phi2, a, b, period


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.floats(0.3, 2.5),
    st.floats(28.0, 50.0),
    st.floats(200.0, 1200.0),
    st.floats(7.0, 12.0),
    st.floats(4.7, 8.0),
    st.one_of(st.just(math.inf), st.floats(25.0, 70.0)),
)
def test_every_intermediate_against_an_independent_recomputation(
    slope, maximum, area, height, draft, flooding
):
    ship = vessel()
    given_situation = situation(slope, ship, draft, wind=Wind(area, height))
    vcg = given_situation.displacement.vcg_corrected
    expected = again(slope, maximum, slope, area, height, vcg, draft, ship, flooding, 80.0)
    steady, areas = judged(given_situation, on(slope, maximum, flooding))
    if expected is None:
        assert areas.verdict == FAIL
        assert "no equilibrium" in areas.reason
        return
    lw1, phi0, phi1, phi_e, phi_c, phi2, a, b, period = expected
    got = details(areas)
    assert got["wind_pressure"] == 504.0
    assert got["lateral_area"] == area
    assert got["wind_arm"] == pytest.approx(height - draft / 2.0, rel=1e-12)
    assert got["steady_wind_lever"] == pytest.approx(lw1, rel=1e-12)
    assert got["gust_wind_lever"] == pytest.approx(1.5 * lw1, rel=1e-12)
    assert got["steady_wind_angle"] == pytest.approx(phi0, rel=1e-9)
    assert got["roll_angle"] == pytest.approx(phi1, rel=1e-12)
    assert got["windward_angle"] == pytest.approx(phi0 - phi1, abs=1e-8)
    assert got["first_intercept"] == pytest.approx(phi_e, rel=1e-8)
    assert got["second_intercept"] == (None if phi_c is None else pytest.approx(phi_c, rel=1e-8))
    assert got["roll_period"] == pytest.approx(period, rel=1e-12)
    assert got["flooding_angle"] == (None if math.isinf(flooding) else flooding)
    assert got["area_a"] == areas.required == pytest.approx(a, rel=1e-9)
    assert got["breadth_to_draft"] == pytest.approx(BREADTH / draft, rel=1e-12)
    assert got["og_to_draft"] == pytest.approx((vcg - draft) / draft, abs=1e-12)
    assert details(steady)["steady_wind_lever"] == got["steady_wind_lever"]
    if flooding <= phi_e:
        assert areas.verdict == FAIL
        return
    assert got["end_of_area_b"] == pytest.approx(phi2, rel=1e-8)
    assert got["area_b"] == areas.attained == pytest.approx(b, rel=1e-8, abs=1e-10)
    assert steady.attained == pytest.approx(phi0, rel=1e-9)
    valid = period < 20.0 and BREADTH / draft < 3.5 and -0.3 <= (vcg - draft) / draft <= 0.5
    if not valid:
        assert areas.verdict == OUTSIDE_VALIDITY
    elif abs(b - a) > 1e-6:
        assert areas.verdict == (PASS if b > a else FAIL)


def test_areas_just_below_at_and_just_above_each_other():
    """The wind area at which b = a is found by bisection on the recomputation; around it the verdict turns."""
    ship = vessel()

    def excess(area: float) -> float:
        vcg = 8.0 - 0.1 * 6.0 - 0.6
        result = again(0.6, 38.0, 0.6, area, 9.0, vcg, 6.0, ship, math.inf, 80.0)
        return -1.0 if result is None else result[7] - result[6]

    balance = brentq(excess, 100.0, 4500.0, xtol=1e-10)
    criteria = [
        judged(situation(0.6, ship, wind=Wind(balance * part, 9.0)), on(0.6, 38.0))[1]
        for part in (1.0 + 1e-6, 1.0, 1.0 - 1e-6)
    ]
    assert [criterion.verdict for criterion in criteria] == [FAIL, PASS, PASS]
    assert criteria[1].margin == pytest.approx(0.0, abs=1e-9)


# --- wind from the heavy side ---------------------------------------------------------------------------------


@pytest.mark.parametrize("arm", [6.0, -6.0])
@pytest.mark.parametrize(
    ("area", "steady_heel", "gust_heel"), [(100.0, -1, -1), (600.0, -1, -1), (900.0, -1, 1), (1500.0, 1, 1)]
)
def test_a_list_into_the_wind_is_where_the_areas_begin(arm, area, steady_heel, gust_heel):
    """She leans 3 degrees to one side; a low opening on the other makes that the worse one. The wind blows from the
    side she leans to, so that a light one does not bring her upright: phi0 and phi_e are negative.

    GZ = KM a - 1.6 a^3 - KG sin a - TCG cos a, TCG negative towards the light side."""
    mass, tonnes = 7660.0, 60.0
    side = math.copysign(1.0, arm)
    ship = vessel(
        openings=(opening("heavy", 7.0 * side, 11.0), opening("light", -7.0 * side, 9.0)),
        wind_profile=WindProfile((2.0, 8.0), (area, area), (9.0, 9.0)),
    )
    weights = [CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, arm)]
    result = assess(ship, condition(weights=weights, rule_sets=("is-code-2008-a-2.3",)))
    assert side * result.rest.list_angle > 1.0
    draft, tcg = mass / PER_METRE, -tonnes * 6.0 / mass
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6 + tonnes * 6.0) / mass

    def gz(a):
        return KM * a - CUBIC * a**3 - vcg * math.sin(a) - tcg * math.cos(a)

    lw1 = 504.0 * area * (9.0 - draft / 2.0) / (1000.0 * 9.81 * mass)
    mean = result.flotation.draft_midship
    phi1, period = roll_again(result.situation.gm_corrected, vcg, mean, ship)
    assert mean == pytest.approx(draft, abs=0.02)
    lw1 *= (9.0 - mean / 2.0) / (9.0 - draft / 2.0)
    flooding = math.degrees(math.atan2(9.0 - result.flotation.draft_at(50.0), 7.0))
    m = float(minimize_scalar(lambda a: -gz(a), bounds=(0.1, 1.0), method="bounded").x)
    phi0, phi_e, _, phi2, a, b = balance_again(gz, m, lw1, phi1, flooding, 60.0)
    assert (math.copysign(1, phi0), math.copysign(1, phi_e)) == (steady_heel, gust_heel)
    areas = next(c for _, c in result.criteria if c.row is AREAS)
    shown = details(areas)
    assert shown["side"] == ("starboard" if side > 0.0 else "port"), "the side she leans away from"
    assert shown["roll_period"] == pytest.approx(period, rel=1e-12)
    assert shown["steady_wind_angle"] == pytest.approx(phi0, rel=1e-9)
    assert shown["first_intercept"] == pytest.approx(phi_e, rel=1e-9)
    assert shown["windward_angle"] == pytest.approx(phi0 - phi1, rel=1e-9)
    assert shown["end_of_area_b"] == pytest.approx(phi2, rel=1e-12)
    assert shown["area_a"] == pytest.approx(a, rel=1e-9)
    assert shown["area_b"] == pytest.approx(b, rel=1e-9)
    assert (areas.attained, areas.required) == (shown["area_b"], shown["area_a"])


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


def test_no_cross_curves():
    for criterion in evaluate(situation(), heeled(None)):
        assert criterion.verdict == NOT_COMPUTABLE
        assert "cross curves" in criterion.reason


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
    for criterion in reference(ship=vessel(particulars=particulars(length_load_line=length))):
        assert criterion.verdict == (PASS if applies else NOT_APPLICABLE)


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
    gm = (2.0 * c * BREADTH / seconds) ** 2
    if seconds == 20.0:
        gm *= 1.0 - 1e-15
    verdict = reference(gm)[1].verdict
    assert (verdict != OUTSIDE_VALIDITY) == inside


def test_outside_validity_never_hides_a_fail_that_needs_no_table():
    areas = reference(ship=vessel(particulars=particulars(breadth=25.0)), flooding=1.0)[1]
    assert areas.verdict == FAIL
