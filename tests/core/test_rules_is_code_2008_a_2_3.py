"""2008 IS Code Part A 2.3, severe wind and rolling: an independent recomputation and every way out of it.

Truth: the criterion written out again in plain Python with scipy (roots by brentq, areas by quad). Formulae and
tables 2.3.4-1 to 2.3.4-4 are values from memory (structure as A.749(18) 3.2; formulae also in 46 CFR 28.575); one
worked roll angle is arithmetic from the formulae: B 20, d 8, Lwl 120, CB 0.65, KG 8.4, GM 0.8, Ak 36 m2.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import interp1d
from scipy.optimize import brentq, minimize_scalar

from service.core.assessment import assess
from service.core.heeling_lever import WindProfile
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
from service.core.situation import Situation
from service.core.weight import Weight
from tests.core.ship import (
    BREADTH,
    CARGO_WEIGHT,
    CUBIC,
    PER_METRE,
    condition,
    cubic_lever,
    just_around,
    km,
    opening,
    particulars,
    situation,
    vessel,
)

DISPLACEMENT = 9000.0  # 6 m draft


def judged(given: Situation) -> tuple[Criterion, Criterion]:
    steady, areas = evaluate(given)
    assert (steady.row, areas.row) == (STEADY_WIND, AREAS)
    return steady, areas


def details(criterion: Criterion, n: int = 0) -> dict[str, float]:
    return {detail.name: float(detail.values[n]) for detail in criterion.details}


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
    curve = cubic_lever(np.array([0.8]), np.array([40.0]))
    made = situation(curve, np.array([0.8]), ship=ship, draft=8.0)
    load = made.displacement
    object.__setattr__(load, "vcg_corrected", np.array([8.4]))
    roll = angle_of_roll(made)
    assert roll.c[0] == pytest.approx(0.3789, abs=5e-5)
    assert roll.period[0] == pytest.approx(16.945, abs=5e-4)
    assert roll.r[0] == pytest.approx(0.760, abs=5e-4)
    assert (roll.x1[0], roll.x2[0], roll.k[0]) == (
        pytest.approx(0.98),
        pytest.approx(0.97),
        pytest.approx(0.95),
    )
    assert roll.s[0] == pytest.approx(0.04117, abs=5e-6)
    assert roll.phi1[0] == pytest.approx(17.41, abs=5e-3)


@pytest.mark.parametrize(
    ("bilge", "area", "k"),
    [
        ("sharp", None, 0.7),
        ("sharp", 30.0, 0.7),
        ("round", None, 1.0),
        ("round", 0.0, 1.0),
        (None, 0.01 * 102.0 * BREADTH * 2.25, 0.5 * (0.88 + 0.79)),
        ("round", 0.05 * 102.0 * BREADTH, 0.70),
        (None, None, math.nan),
    ],
)
def test_the_factor_k_by_bilge_and_bilge_keels(bilge, area, k):
    ship = vessel(particulars=particulars(bilge=bilge, bilge_keel_area=area))
    made = situation(cubic_lever(np.ones(1), np.array([40.0])), np.ones(1), ship=ship)
    assert angle_of_roll(made).k[0] == pytest.approx(k, nan_ok=True)


def test_the_block_coefficient_by_draft_before_the_ships_before_its_definition():
    curve, gm = cubic_lever(np.ones(1), np.array([40.0])), np.ones(1)
    made = situation(curve, gm)
    assert angle_of_roll(made).block_coefficient[0] == 0.7
    object.__setattr__(made.flotation, "block_coefficient", np.array([0.66]))
    assert angle_of_roll(made).block_coefficient[0] == 0.66
    without = situation(curve, gm, ship=vessel(particulars=particulars(block_coefficient=None)))
    volume = DISPLACEMENT / 1.025
    assert angle_of_roll(without).block_coefficient[0] == pytest.approx(volume / (102.0 * BREADTH * 6.0))


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
    gm = np.array([slope])
    curve = cubic_lever(gm, np.array([maximum]))
    same = np.ones(1)
    made = situation(curve, gm, flooding, ship, draft, wind_area=area * same, wind_height=height * same)
    vcg = float(made.displacement.vcg_corrected[0])
    expected = again(slope, maximum, slope, area, height, vcg, draft, ship, flooding, 80.0)
    steady, areas = judged(made)
    if expected is None:
        assert areas.verdict[0] == FAIL
        assert "no equilibrium" in areas.reason(0)
        return
    lw1, phi0, phi1, phi_e, phi_c, phi2, a, b, period = expected
    got = details(areas)
    assert got["steady wind lever lw1"] == pytest.approx(lw1, rel=1e-12)
    assert got["gust wind lever lw2"] == pytest.approx(1.5 * lw1, rel=1e-12)
    assert got["angle under steady wind phi0"] == pytest.approx(phi0, rel=1e-9)
    assert got["angle of roll phi1"] == pytest.approx(phi1, rel=1e-12)
    assert got["angle to windward phi0 - phi1"] == pytest.approx(phi0 - phi1, abs=1e-8)
    assert got["first intercept of lw2"] == pytest.approx(phi_e, rel=1e-8)
    assert got["second intercept of lw2, phi_c"] == pytest.approx(
        math.nan if phi_c is None else phi_c, rel=1e-8, nan_ok=True
    )
    assert got["rolling period T"] == pytest.approx(period, rel=1e-12)
    assert got["area a"] == pytest.approx(a, rel=1e-9)
    if flooding <= phi_e:
        assert areas.verdict[0] == FAIL
        return
    assert got["end of area b, phi2"] == pytest.approx(phi2, rel=1e-8)
    assert got["area b"] == pytest.approx(b, rel=1e-8, abs=1e-10)
    assert steady.attained[0] == pytest.approx(phi0, rel=1e-9)
    valid = period < 20.0 and BREADTH / draft < 3.5 and -0.3 <= (vcg - draft) / draft <= 0.5
    if not valid:
        assert areas.verdict[0] == OUTSIDE_VALIDITY
    elif abs(b - a) > 1e-6:
        assert areas.verdict[0] == (PASS if b > a else FAIL)


def test_areas_just_below_at_and_just_above_each_other():
    """The wind area at which b = a is found by bisection on the recomputation; around it the verdict turns."""
    ship = vessel()

    def excess(area: float) -> float:
        vcg = 8.0 - 0.1 * 6.0 - 0.6
        result = again(0.6, 38.0, 0.6, area, 9.0, vcg, 6.0, ship, math.inf, 80.0)
        return -1.0 if result is None else result[7] - result[6]

    balance = brentq(excess, 100.0, 4500.0, xtol=1e-10)
    wind = balance * np.array([1.0 + 1e-6, 1.0, 1.0 - 1e-6])
    gm = np.full(3, 0.6)
    made = situation(cubic_lever(gm, np.full(3, 38.0)), gm, ship=ship, wind_area=wind)
    areas = judged(made)[1]
    assert areas.verdict.tolist() == [FAIL, PASS, PASS]
    assert areas.margin[1] == pytest.approx(0.0, abs=1e-9)


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
        wind_profile=WindProfile(np.array([2.0, 8.0]), np.full(2, area), np.full(2, 9.0)),
    )
    weights = [CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, arm)]
    result = assess(ship, [condition(weights=weights, rule_sets=("is-code-2008-a-2.3",))])
    assert result.refused == [None]
    assert side * result.stability.list_angle[0] > 1.0
    draft, tcg = mass / PER_METRE, -tonnes * 6.0 / mass
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6 + tonnes * 6.0) / mass

    def gz(a):
        return km(draft) * a - CUBIC * a**3 - vcg * math.sin(a) - tcg * math.cos(a)

    lw1 = 504.0 * area * (9.0 - draft / 2.0) / (1000.0 * 9.81 * mass)
    mean = result.flotation.draft_midship[0]
    phi1, period = roll_again(result.gm_corrected[0], vcg, mean, ship)
    assert mean == pytest.approx(draft, abs=0.02)
    lw1 *= (9.0 - mean / 2.0) / (9.0 - draft / 2.0)
    flooding = math.degrees(math.atan2(9.0 - result.flotation.draft_at(50.0)[0], 7.0))
    m = float(minimize_scalar(lambda a: -gz(a), bounds=(0.1, 1.0), method="bounded").x)
    phi0, phi_e, _, phi2, a, b = balance_again(gz, m, lw1, phi1, flooding, 60.0)
    assert (np.sign(phi0), np.sign(phi_e)) == (steady_heel, gust_heel)
    areas = next(c for _, c in result.criteria_of(0) if c.row is AREAS)
    words = {d.name: d.values[0] for d in areas.details}
    assert words.pop("side") == ("starboard" if side > 0.0 else "port"), "the side she leans away from"
    assert words["rolling period T"] == pytest.approx(period, rel=1e-12)
    assert words["angle under steady wind phi0"] == pytest.approx(phi0, rel=1e-9)
    assert words["first intercept of lw2"] == pytest.approx(phi_e, rel=1e-9)
    assert words["angle to windward phi0 - phi1"] == pytest.approx(phi0 - phi1, rel=1e-9)
    assert words["end of area b, phi2"] == pytest.approx(phi2, rel=1e-12)
    assert words["area a"] == pytest.approx(a, rel=1e-9)
    assert words["area b"] == pytest.approx(b, rel=1e-9)
    assert (areas.attained[0], areas.required[0]) == (words["area b"], words["area a"])


# --- heel under steady wind ------------------------------------------------------------------------------------


def steadily(phi0: np.ndarray, deck: float) -> Criterion:
    """Situations whose steady wind angle is phi0: the wind area that gives lw1 = GZ(phi0)."""
    count = len(phi0)
    a, m = np.radians(phi0), np.radians(40.0)
    lw1 = 1.0 * (a - a**3 / (3.0 * m**2))
    wind = lw1 * 1000.0 * 9.81 * DISPLACEMENT / (504.0 * (9.0 - 3.0))
    gm = np.ones(count)
    made = situation(
        cubic_lever(gm, np.full(count, 40.0)), gm, wind_area=wind, deck_edge=np.full(count, deck)
    )
    return judged(made)[0]


@pytest.mark.parametrize(("deck", "limit"), [(60.0, 16.0), (20.0, 16.0), (19.9, 15.92), (10.0, 8.0)])
def test_heel_under_steady_wind_around_16_degrees_or_80_percent_of_deck_edge_immersion(deck, limit):
    criterion = steadily(just_around(limit), deck)
    np.testing.assert_allclose(criterion.required, limit, rtol=1e-12)
    np.testing.assert_allclose(criterion.attained, just_around(limit), rtol=1e-9)
    assert criterion.verdict.tolist() == [PASS, PASS, FAIL]
    assert criterion.margin[0] > 0.0 > criterion.margin[2]


def test_without_a_deck_edge_16_degrees_can_be_failed_but_not_passed():
    criterion = steadily(np.array([10.0, 17.0]), np.nan)
    assert criterion.verdict.tolist() == [NOT_COMPUTABLE, FAIL]
    assert "deck edge" in criterion.reason(0)


# --- ways out --------------------------------------------------------------------------------------------------


def made(**changes) -> Situation:
    gm = np.ones(1)
    flooding = changes.pop("flooding", np.inf)
    last = changes.pop("last", 80.0)
    ship = changes.pop("ship", None)
    gm_value = changes.pop("gm", 1.0)
    curve = cubic_lever(gm, np.array([40.0]), last)
    return situation(curve, np.full(1, gm_value), flooding, ship, **changes)


def test_the_reference_situation_passes():
    steady, areas = judged(made())
    assert (steady.verdict[0], areas.verdict[0]) == (PASS, PASS)


def test_no_wind_profile():
    nothing = np.full(1, np.nan)
    for criterion in judged(made(wind_area=nothing, wind_height=nothing)):
        assert criterion.verdict[0] == NOT_COMPUTABLE
        assert "wind profile" in criterion.reason(0)


def test_no_cross_curves():
    for criterion in evaluate(situation(None, np.ones(1))):
        assert criterion.verdict[0] == NOT_COMPUTABLE
        assert "cross curves" in criterion.reason(0)


@pytest.mark.parametrize(
    ("missing", "word"),
    [({"length_waterline": None}, "waterline"), ({"bilge": None, "bilge_keel_area": None}, "bilge")],
)
def test_missing_particulars(missing, word):
    steady, areas = judged(made(ship=vessel(particulars=particulars(**missing))))
    assert steady.verdict[0] == PASS, "the steady wind needs neither"
    assert areas.verdict[0] == NOT_COMPUTABLE
    assert word in areas.reason(0)


def test_unknown_down_flooding():
    steady, areas = judged(made(flooding=np.nan))
    assert steady.verdict[0] == PASS
    assert areas.verdict[0] == NOT_COMPUTABLE
    assert "down-flooding" in areas.reason(0)


@pytest.mark.parametrize(("flooding", "end"), [(np.inf, 50.0), (55.0, 50.0), (35.0, 35.0)])
def test_area_b_ends_at_down_flooding_or_50_degrees(flooding, end):
    assert details(judged(made(flooding=flooding))[1])["end of area b, phi2"] == pytest.approx(end)


def test_an_opening_that_floods_before_the_gust_is_balanced_fails():
    areas = judged(made(flooding=1.0))[1]
    assert areas.verdict[0] == FAIL
    assert "floods" in areas.reason(0)


@pytest.mark.parametrize("factor", [30.0, 100.0])
def test_wind_beyond_every_lever_fails(factor):
    for criterion in judged(made(wind_area=np.full(1, 600.0 * factor))):
        assert criterion.verdict[0] == FAIL
        assert "no equilibrium" in criterion.reason(0)


def test_steady_wind_within_and_gust_beyond_the_greatest_lever():
    """Greatest lever 2/3 x 40 degrees in radians; lw1 at 80 % of it, lw2 at 120 %."""
    greatest = np.radians(40.0) * 2.0 / 3.0
    wind = 0.8 * greatest * 1000.0 * 9.81 * DISPLACEMENT / (504.0 * 6.0)
    steady, areas = judged(made(wind_area=np.full(1, wind)))
    assert steady.verdict[0] == FAIL
    assert not np.isnan(steady.attained[0])
    assert areas.verdict[0] == FAIL
    assert "gust" in areas.reason(0)


@pytest.mark.parametrize("gm", [0.0, -0.2])
def test_gm_not_positive_fails(gm):
    for criterion in judged(made(gm=gm)):
        assert criterion.verdict[0] == FAIL
        assert "GM" in criterion.reason(0)


def test_cross_curves_that_end_before_50_degrees():
    steady, areas = judged(made(last=45.0))
    assert steady.verdict[0] == PASS
    assert areas.verdict[0] == NOT_COMPUTABLE
    assert judged(made(last=45.0, flooding=44.0))[1].verdict[0] == PASS


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True)])
def test_ships_under_24_m(length, applies):
    for criterion in judged(made(ship=vessel(particulars=particulars(length_load_line=length)))):
        assert criterion.verdict[0] == (PASS if applies else NOT_APPLICABLE)


@pytest.mark.parametrize(
    ("changes", "inside"),
    [
        ({"breadth": 3.5 * 6.0}, False),
        ({"breadth": 3.499 * 6.0}, True),
        ({"breadth": 3.6 * 6.0}, False),
    ],
)
def test_validity_in_breadth_to_draft(changes, inside):
    areas = judged(made(ship=vessel(particulars=particulars(**changes))))[1]
    assert areas.verdict[0] == (PASS if inside else OUTSIDE_VALIDITY)
    assert inside or "A 2.3.5" in areas.reason(0)


@pytest.mark.parametrize(
    ("ratio", "inside"), [(-0.301, False), (-0.2999999, True), (0.4999999, True), (0.501, False)]
)
def test_validity_in_kg_over_draft(ratio, inside):
    given_situation = made()
    object.__setattr__(given_situation.displacement, "vcg_corrected", np.array([6.0 * (1.0 + ratio)]))
    verdict = judged(given_situation)[1].verdict[0]
    assert (verdict != OUTSIDE_VALIDITY) == inside


@pytest.mark.parametrize(("seconds", "inside"), [(19.999, True), (20.0, False), (20.001, False)])
def test_validity_in_rolling_period(seconds, inside):
    c = 0.373 + 0.023 * BREADTH / 6.0 - 0.043 * 1.02
    gm = (2.0 * c * BREADTH / seconds) ** 2
    if seconds == 20.0:
        gm *= 1.0 - 1e-15
    verdict = judged(made(gm=gm))[1].verdict[0]
    assert (verdict != OUTSIDE_VALIDITY) == inside


def test_outside_validity_never_hides_a_fail_that_needs_no_table():
    areas = judged(made(ship=vessel(particulars=particulars(breadth=25.0)), flooding=1.0))[1]
    assert areas.verdict[0] == FAIL
