"""The righting lever curve: its points, areas, maximum and roots.

Truth: scipy (CubicSpline, quad, brentq, minimize_scalar) for arbitrary tables, closed forms for the ship of ship.py;
dGZ/dheel = GM at the origin.
"""

from itertools import pairwise
from math import degrees

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize_scalar

from service.core.assessment import Assessment, assess
from service.core.righting_lever import RightingLever
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    HEELS,
    KM,
    SALT,
    condition,
    cubic_area,
    cubic_lever,
    kn,
    lever_through,
    vessel,
)


@st.composite
def levers(draw: st.DrawFn) -> tuple[RightingLever, object, float, object]:
    """A curve with KM, KG and TCG of a ship and a KN table that need not be smooth, and scipy's view of the same:
    lever and slope at angles in radians, and the last heel in degrees."""
    heels = np.array(
        draw(st.sampled_from([(10.0, 20, 30, 40, 50, 60), (5.0, 12, 20, 30, 45, 60, 75), (15.0, 30, 60)]))
    )
    km, gm = draw(st.floats(4.0, 15.0)), draw(st.floats(-0.6, 4.0))
    tcg = draw(st.one_of(st.just(0.0), st.floats(-0.3, 0.3)))
    form = np.array(draw(st.lists(st.floats(-1.0, 1.0), min_size=len(heels), max_size=len(heels))))
    radians = np.radians(heels)
    values = km * np.sin(radians) + form * radians**3
    one = lever_through(heels.tolist(), values.tolist(), km, km - gm, tcg)
    truth = CubicSpline(np.append(0.0, radians), np.append(0.0, values), bc_type=((1, km), "not-a-knot"))

    def lever(angle):
        part = truth(np.abs(angle)) * np.sign(angle)
        return part - (km - gm) * np.sin(angle) - tcg * np.cos(angle)

    def slope(angle):
        return truth.derivative()(np.abs(angle)) - (km - gm) * np.cos(angle) + tcg * np.sin(angle)

    return one, lever, float(heels[-1]), slope


@settings(max_examples=60, deadline=None, derandomize=True)
@given(levers(), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_levers_and_areas_against_scipy(made, first, last):
    curve, lever, end, _ = made
    for angle in (first * end, last * end):
        assert curve.lever(angle) == pytest.approx(lever(np.radians(angle)), abs=1e-11)
    low, high = sorted((first * end, last * end))
    knots = [k for k in np.radians(curve.kn.curves.heels) for k in (k, -k)]
    inner = sorted(k for k in [*knots, 0.0] if np.radians(low) < k < np.radians(high))
    bounds = [np.radians(low), *inner, np.radians(high)]
    truth = sum(quad(lever, a, b, epsabs=1e-13)[0] for a, b in pairwise(bounds))
    assert curve.area(low, high) == pytest.approx(truth, abs=1e-11)
    assert curve.area_from_upright(high) - curve.area_from_upright(low) == pytest.approx(truth, abs=1e-11)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(levers())
def test_printed_points_are_points_of_the_curve_and_reach_from_upright_to_the_last_heel(made):
    curve, lever, end, _ = made
    assert curve.heels == [float(heel) for heel in range(int(end) + 1)]
    assert curve.last_heel == curve.heels[-1] == end
    np.testing.assert_allclose(curve.levers, lever(np.radians(curve.heels)), atol=1e-11)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(levers())
def test_the_maximum_is_the_greatest_of_the_curve_not_of_the_points(made):
    curve, lever, end, _ = made
    fine = np.linspace(0.0, np.radians(end), 4001)
    start = fine[np.argmax(lever(fine))]
    bounds = (max(start - 0.01, 0.0), min(start + 0.01, np.radians(end)))
    found = minimize_scalar(lambda a: -lever(a), bounds=bounds, method="bounded", options={"xatol": 1e-12})
    greatest = max(-found.fun, lever(bounds[0]), lever(bounds[1]))
    assert curve.maximum >= greatest - 2e-4 * abs(greatest) - 2e-3, (
        "at most a hump narrower than a step is missed, a millimetre or two high"
    )
    assert curve.maximum == pytest.approx(lever(np.radians(curve.angle_of_maximum)), abs=1e-11)
    assert curve.maximum >= max(curve.levers)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(levers(), st.floats(-0.2, 1.0))
def test_crossings_are_roots_the_first_of_their_kind(made, level):
    curve, lever, end, _ = made
    rising = curve.rise(level)
    falling = curve.fall(level, beyond=rising or 0.0)
    points = np.linspace(0.0, np.radians(end), 2001)
    above = lever(points) - level
    ups = [
        brentq(lambda a: lever(a) - level, *points[i : i + 2])
        for i in np.flatnonzero((above[:-1] < 0) & (above[1:] > 0))
    ]
    if rising is None:
        assert len(ups) == 0 or curve.maximum < level + 1e-3
    elif rising > 0.0:
        assert lever(np.radians(rising)) == pytest.approx(level, abs=1e-12)
        assert np.degrees(min(ups)) <= rising + 1e-6 if ups else True
        if (
            ups and rising - np.degrees(ups[0]) > 1e-6
        ):  # a pair closer than the points of the curve was stepped over
            assert ups[0] < np.radians(rising)
            assert len(ups) > 1
    else:
        assert above[0] >= -1e-12
    if falling is not None:
        assert lever(np.radians(falling)) == pytest.approx(level, abs=1e-12)
        assert rising is None or falling > rising


def solved(function, near: float, last: float) -> float | None:
    """The root of a function of radians that is within 0.05 degrees of `near` degrees, by brentq, in radians; None
    where the function does not change its sign there (the end of the curve, or two roots close together)."""
    low, high = np.radians(max(near - 0.05, 0.0)), np.radians(min(near + 0.05, last))
    if function(low) * function(high) >= 0.0:
        return None
    return float(brentq(function, low, high, xtol=1e-15, rtol=1e-15))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(levers(), st.floats(-0.2, 1.0))
def test_roots_are_those_of_brentq_to_rounding(made, level):
    """1e-12 radians, and what a rounding of the lever (1e-14 m) shifts a root where the curve is flat."""
    curve, lever, end, slope = made
    rising = curve.rise(level)
    for found in (rising, curve.fall(level), curve.fall(level, beyond=rising or 0.0)):
        root = None if found is None else solved(lambda a: lever(a) - level, found, end)
        if root is not None:
            assert np.radians(found) == pytest.approx(root, abs=1e-12 + 1e-14 / abs(slope(root)))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(levers())
def test_the_angle_of_maximum_is_the_root_of_the_slope_to_rounding(made):
    curve, _, end, slope = made
    found = curve.angle_of_maximum
    root = solved(slope, found, end)
    if root is None:
        return
    curvature = (slope(root + 1e-6) - slope(root - 1e-6)) / 2e-6
    assert np.radians(found) == pytest.approx(root, abs=1e-12 + 1e-13 / abs(curvature))


def test_most_drawn_curves_have_roots_to_compare():
    """The two properties above are about something: a cubic has both crossings and a maximum inside."""
    curve = cubic_lever(1.5, 35.0)

    def lever(angle: float) -> float:
        return 1.5 * (angle - angle**3 / (3.0 * np.radians(35.0) ** 2)) - 0.3

    for angle in (curve.rise(0.3), curve.fall(0.3)):
        assert angle is not None
        root = solved(lever, angle, 80.0)
        assert root is not None
        assert np.radians(angle) == pytest.approx(root, abs=1e-13)


# --- other sides -----------------------------------------------------------------------------------------------

TCGS = (0.0, 0.1, -0.15)


def made_for(tcg: float, vcg: float = 6.9) -> RightingLever:
    return lever_through(HEELS, [kn(h) for h in HEELS], KM, vcg, tcg)


def everything(curve: RightingLever) -> list[float]:
    """Levers, areas, maximum, crossings: whatever a rule may ask of a curve; -1 for a crossing there is not."""
    angles = (-25.0, -3.0, 0.0, 7.5, 33.0, 59.0)
    rise = curve.rise(0.05)
    crossings = (rise, curve.fall(0.05), curve.fall(0.05, beyond=rise or 0.0))
    return [
        *curve.levers,
        *(curve.lever(angle) for angle in angles),
        *(curve.area_from_upright(angle) for angle in angles),
        *(-1.0 if angle is None else angle for angle in crossings),
        curve.maximum,
        curve.angle_of_maximum,
        curve.angle_of_greatest(40.0),
    ]


@pytest.mark.parametrize("tcg", TCGS)
@pytest.mark.parametrize("other", [*TCGS, 0.2])
def test_leaning_with_another_tcg_is_the_curve_made_for_it(tcg, other):
    curve = made_for(tcg)
    before = everything(curve)
    assert everything(curve.leaning(other)) == pytest.approx(
        everything(made_for(other)), rel=1e-11, abs=1e-14
    )
    assert everything(curve) == before, "the curve itself is not touched"


@pytest.mark.parametrize("tcg", TCGS)
def test_the_other_side_is_the_negative_curve(tcg):
    """GZ to the other side at a heel is the lever this curve has at minus that heel, changed in sign."""
    curve = made_for(tcg)
    mirror = curve.leaning(-tcg)
    for heel in (0.0, 3.0, 12.0, 41.0, 60.0):
        assert mirror.lever(heel) == pytest.approx(-curve.lever(-heel), abs=1e-15)
        assert mirror.area(0.0, heel) == pytest.approx(curve.area(0.0, -heel), abs=1e-15)
    assert np.sign(mirror.maximum - curve.maximum) == np.sign(tcg)


# --- a curve with two humps ------------------------------------------------------------------------------------


def two_humps(rise: float = 1.0) -> tuple[RightingLever, CubicSpline]:
    """GZ with a hump near 20 degrees, a trough near 35 and a higher hump near 60; scipy's spline of the same."""
    heels = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0]
    values = [rise * value for value in (0.25, 0.40, 0.33, 0.30, 0.45, 0.60, 0.50, 0.20)]
    spline = CubicSpline(np.radians([0.0, *heels]), [0.0, *values], bc_type=((1, 1.2), "not-a-knot"))
    return lever_through(heels, values, 1.2), spline


def first_hump(spline: CubicSpline) -> float:
    return float(np.degrees(brentq(spline.derivative(), np.radians(15.0), np.radians(28.0), xtol=1e-15)))


@pytest.mark.parametrize("beyond", [0.02, 0.3, 0.9, 1.7, 8.0])
def test_the_greatest_lever_before_the_second_hump_is_that_of_the_first(beyond):
    """However close behind the top of the first hump the curve ends."""
    curve, spline = two_humps()
    top = first_hump(spline)
    assert curve.angle_of_maximum > 50.0
    assert curve.angle_of_greatest(top + beyond) == pytest.approx(top, abs=1e-9)


def test_the_greatest_lever_of_a_rising_curve_is_at_its_end():
    curve, spline = two_humps()
    top = first_hump(spline)
    assert curve.angle_of_greatest(top - 2.3) == top - 2.3
    assert curve.angle_of_greatest(58.0) == 58.0
    assert curve.angle_of_greatest(79.0) == curve.angle_of_maximum
    assert curve.angle_of_greatest(curve.angle_of_maximum) == curve.angle_of_maximum


def test_a_curve_that_falls_from_upright_has_its_greatest_lever_there():
    curve = lever_through(HEELS, (-0.1, -0.1, 0.0, 0.2, 0.3, 0.2), -0.5)
    assert curve.angle_of_greatest(15.0) == pytest.approx(0.0, abs=1e-9)


def test_a_fall_after_rest_upright_is_the_next_one():
    """She rests upright above the level; the curve falls through it, and rises and falls again later."""
    curve = lever_through(HEELS, (-0.05, -0.1, 0.1, 0.3, 0.3, -0.3), -0.05, 0.0, -0.1)
    assert curve.rise(0.05) == 0.0
    fall = curve.fall(0.05)
    assert fall is not None
    assert fall < 20.0
    assert curve.fall(0.05, beyond=0.0) == fall
    assert curve.lever(fall) == pytest.approx(0.05, abs=1e-14)
    again = curve.fall(0.05, beyond=fall + 1.0)
    assert again is not None
    assert again > 50.0
    assert curve.lever(again) == pytest.approx(0.05, abs=1e-14)


@pytest.mark.parametrize("top", [20.5, 20.3, 20.004])
def test_two_roots_between_printed_points_are_both_found(top):
    """A level just under a maximum that lies between two degrees: rise and fall within one of them."""
    curve = cubic_lever(1.5, top)
    assert max(curve.levers) < curve.maximum
    level = curve.maximum - 0.1 * (curve.maximum - max(curve.levers))
    rise = curve.rise(level)
    assert rise is not None
    fall = curve.fall(level, beyond=rise)
    assert fall is not None
    assert rise < top < fall
    assert int(rise) == int(fall) or top == 20.004
    for angle in (rise, fall):
        assert curve.lever(angle) == pytest.approx(level, abs=1e-14)


@pytest.mark.parametrize(("gm", "rests"), [(0.3, 0.0), (0.0, 0.0)])
def test_upright_at_rest_where_gm_is_not_negative(gm, rests):
    """GZ is zero upright and rises from there: that is where she rests, and the curve is above zero from there."""
    curve = lever_through(HEELS, [0.1 * heel for heel in HEELS], gm)
    assert curve.rise(0.0) == rests
    assert curve.fall(0.0) is None


def test_with_negative_gm_she_rests_where_the_curve_rises():
    curve = lever_through(HEELS, (-0.05, 0.1, 0.3, 0.4, 0.3, -0.1), -0.4)
    loll, vanishing = curve.rise(0.0), curve.fall(0.0)
    assert loll is not None
    assert vanishing is not None
    assert 10.0 < loll < 20.0 < 50.0 < vanishing < 60.0
    assert curve.lever(loll) == pytest.approx(0.0, abs=1e-14)


@pytest.mark.parametrize("gm", [-0.2, -0.002, -0.0005, -1e-5])
def test_an_angle_of_loll_of_less_than_a_degree_is_found(gm):
    """KN = 7 a + 4 a^3: GZ falls from upright and is back at zero where 4 a^3 = (7 - gm) sin a - 7 a."""
    vcg = 7.0 - gm
    values = [7.0 * np.radians(heel) + 4.0 * np.radians(heel) ** 3 for heel in HEELS]
    curve = lever_through(HEELS, values, 7.0, vcg)
    start = np.sqrt(-gm / 20.0)  # half way to the root, nearly sqrt(-gm / 5)
    root = degrees(brentq(lambda a: 7.0 * a + 4.0 * a**3 - vcg * np.sin(a), start, 1.0, xtol=1e-16))
    assert curve.rise(0.0) == pytest.approx(root, rel=1e-9)
    assert (root < 1.0) is (gm > -0.001)


@pytest.mark.parametrize("gm", [-0.002, -0.0005])
@pytest.mark.parametrize("level", [0.02, -0.02])
def test_a_level_left_upright_is_reached_again_within_a_degree(gm, level):
    """GZ upright is exactly the level, by a TCG of as much to the other side."""
    vcg, tcg = 7.0 - gm, -level
    values = [7.0 * np.radians(heel) + 4.0 * np.radians(heel) ** 3 for heel in HEELS]
    curve = lever_through(HEELS, values, 7.0, vcg, tcg)

    def above(a: float) -> float:
        return 7.0 * a + 4.0 * a**3 - vcg * np.sin(a) - tcg * np.cos(a) - level

    root = degrees(brentq(above, np.sqrt(-gm / 20.0), 1.0, xtol=1e-16))
    assert curve.rise(level) == pytest.approx(root, rel=1e-8)
    assert curve.fall(level, beyond=root + 1.0) is None


@pytest.mark.parametrize("gm", [0.002, 0.0005, 1e-5])
@pytest.mark.parametrize("level", [0.0, 0.02, -0.02])
def test_stability_that_vanishes_within_a_degree_does_not_vanish_upright(gm, level):
    """KN = 7 a - 4 a^3: GZ rises from upright and is back at the level where the curve written out is."""
    vcg, tcg = 7.0 - gm, -level
    values = [7.0 * np.radians(heel) - 4.0 * np.radians(heel) ** 3 for heel in HEELS]
    curve = lever_through(HEELS, values, 7.0, vcg, tcg)

    def above(a: float) -> float:
        return 7.0 * a - 4.0 * a**3 - vcg * np.sin(a) - tcg * np.cos(a) - level

    root = degrees(brentq(above, np.sqrt(gm / 20.0), 1.0, xtol=1e-16))
    assert (root < 1.0) is (gm < 0.001)
    assert curve.fall(level) == pytest.approx(root, rel=1e-8)
    if level == 0.0:
        assert curve.vanishing_angle == curve.fall(level)


@pytest.mark.parametrize(("gm", "range_"), [(0.0, 0.0), (-1e-9, None), (-0.5, None)])
def test_with_levers_that_fall_at_once_she_has_no_range(gm, range_):
    values = [7.0 * np.radians(heel) - 4.0 * np.radians(heel) ** 3 for heel in HEELS]
    curve = lever_through(HEELS, values, 7.0, 7.0 - gm)
    found = curve.vanishing_angle
    assert found == (None if range_ is None else pytest.approx(range_, abs=1e-5))
    assert curve.rise(0.0) is None


def test_a_lever_above_the_level_upright_that_falls_below_it_at_once_is_no_rest():
    """Her weight is off to the high side: GZ upright 0.02 m, less at 1 degree; she rests where it rises again."""
    curve = lever_through(HEELS, (-0.3, -0.2, 0.3, 0.5, 0.4, 0.2), -2.5, 0.0, -0.02)
    assert curve.levers[0] > 0.0 > curve.levers[1]
    rest = curve.rise(0.0)
    assert rest is not None
    assert 20.0 < rest < 30.0


# --- closed forms ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("maximum", [20.0, 33.3, 47.0])
def test_the_maximum_of_a_cubic(maximum):
    curve = cubic_lever(1.5, maximum)
    assert curve.angle_of_maximum == pytest.approx(maximum, rel=1e-7)
    assert curve.maximum == pytest.approx(1.5 * np.radians(maximum) * 2.0 / 3.0, rel=1e-13)


@pytest.mark.parametrize(("maximum", "last"), [(60.0, 40.0), (60.0, 39.5), (39.7, 39.5)])
def test_a_curve_that_still_rises_where_it_ends_is_greatest_there(maximum, last):
    curve = cubic_lever(1.5, maximum, last)
    assert curve.angle_of_maximum == pytest.approx(last, rel=1e-12)
    assert curve.heels[-1] == last
    assert curve.maximum == pytest.approx(curve.lever(last), rel=1e-14)


def test_the_maximum_near_a_last_heel_between_two_degrees():
    curve = cubic_lever(1.5, 39.3, 39.5)
    assert curve.angle_of_maximum == pytest.approx(39.3, rel=1e-9)
    assert curve.maximum == pytest.approx(1.5 * np.radians(39.3) * 2.0 / 3.0, rel=1e-13)


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 30.0), (0.0, 40.0), (30.0, 40.0), (-20.0, 15.0), (12.3, 56.7)]
)
def test_areas_of_a_cubic(low, high):
    """GZ = s (a - a^3 / 3 m^2): area s (a^2 / 2 - a^4 / 12 m^2), even in a."""
    m = np.radians(35.0)
    expected = 1.5 * (cubic_area(np.radians(high), m) - cubic_area(np.radians(low), m))
    assert cubic_lever(1.5, 35.0).area(low, high) == pytest.approx(expected, rel=1e-12)


def floating(*weights: Weight, water: float = SALT) -> Assessment:
    return assess(vessel(), condition(weights=list(weights) or [CARGO_WEIGHT], water_density=water))


@pytest.mark.parametrize("arm", [2.0, -2.0, 0.0])
def test_gz_is_kn_less_kg_sine_less_tcg_cosine(arm):
    """With the cubic KN and all centres known, every lever is arithmetic; TCG counts for the side she leans to."""
    result = floating(CARGO_WEIGHT, Weight(200.0, 50.0, 4.0, arm))
    mass = 7800.0
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6 + 200.0 * 4.0) / mass
    tcg = 200.0 * abs(arm) / mass
    curve = result.heeled.curve
    assert curve is not None
    assert result.heeled.side == (1.0 if arm >= 0.0 else -1.0)
    expected = [
        kn(heel) - vcg * np.sin(np.radians(heel)) - tcg * np.cos(np.radians(heel)) for heel in curve.heels
    ]
    np.testing.assert_allclose(curve.levers, expected, atol=1e-12)


def test_the_slope_upright_is_gm():
    result = floating()
    curve = result.heeled.curve
    assert curve is not None
    step = 1e-4
    slope = curve.lever(step) / np.radians(step)
    assert slope == pytest.approx(result.situation.gm_corrected, rel=1e-9)
