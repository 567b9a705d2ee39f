"""The righting lever curve: its points, areas, maximum and roots, list and loll.

Truth: scipy (CubicSpline, quad, brentq, minimize_scalar) for arbitrary tables, closed forms for the ship of ship.py;
dGZ/dheel = GM at the origin; box tank moments by the wall-sided formula.
"""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize_scalar

from service.core.assessment import Assessment, assess
from service.core.errors import NoEquilibrium, OutsideTable, UnusableBooklet
from service.core.righting_lever import CrossCurves, CrossCurveTable, Crossing, RightingLever
from service.core.stability import vanishing_angle
from service.core.tank import HeeledMoments, PrintedColumn
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    CUBIC,
    DRAFTS,
    HEELS,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    box_tank,
    condition,
    cross_curves,
    cubic_lever,
    hydrostatics,
    km,
    kn,
    lcb,
    line,
    printed_tank,
    rectangular_tank,
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
    curves = CrossCurves(
        SALT, heels, (CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels)))),)
    )
    one = RightingLever(curves, values[None, :], np.array([km]), np.array([km - gm]), np.array([tcg]))
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
    for degrees in (first * end, last * end):
        assert curve.lever(np.array([degrees]))[0] == pytest.approx(lever(np.radians(degrees)), abs=1e-11)
    low, high = sorted((first * end, last * end))
    knots = [k for k in np.radians(curve.curves.heels) for k in (k, -k)]
    inner = sorted(k for k in [*knots, 0.0] if np.radians(low) < k < np.radians(high))
    bounds = [np.radians(low), *inner, np.radians(high)]
    truth = sum(quad(lever, a, b, epsabs=1e-13)[0] for a, b in pairwise(bounds))
    assert curve.area(np.array([low]), np.array([high]))[0] == pytest.approx(truth, abs=1e-11)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(levers())
def test_printed_points_are_points_of_the_curve_and_reach_from_upright_to_the_last_heel(made):
    curve, lever, end, _ = made
    assert curve.heels[0] == 0.0
    assert curve.heels[-1] == end
    truth = lever(np.radians(curve.heels))
    np.testing.assert_allclose(curve.levers[0], truth, atol=1e-11)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(levers())
def test_the_maximum_is_the_greatest_of_the_curve_not_of_the_points(made):
    curve, lever, end, _ = made
    fine = np.linspace(0.0, np.radians(end), 4001)
    start = fine[np.argmax(lever(fine))]
    bounds = (max(start - 0.01, 0.0), min(start + 0.01, np.radians(end)))
    found = minimize_scalar(lambda a: -lever(a), bounds=bounds, method="bounded", options={"xatol": 1e-12})
    greatest = max(-found.fun, lever(bounds[0]), lever(bounds[1]))
    assert curve.maximum[0] >= greatest - 2e-4 * abs(greatest) - 2e-3, (
        "at most a hump narrower than a step is missed, a millimetre or two high"
    )
    assert curve.maximum[0] == pytest.approx(lever(np.radians(curve.angle_of_maximum[0])), abs=1e-11)
    assert curve.maximum[0] >= curve.levers[0].max()


@settings(max_examples=80, deadline=None, derandomize=True)
@given(levers(), st.floats(-0.2, 1.0))
def test_crossings_are_roots_the_first_of_their_kind(made, level):
    curve, lever, end, _ = made
    levels = np.array([level])
    rising, falling = curve.first_crossings([Crossing(levels, True), Crossing(levels, False, following=0)])[0]
    points = np.linspace(0.0, np.radians(end), 2001)
    above = lever(points) - level
    ups = [
        brentq(lambda a: lever(a) - level, *points[i : i + 2])
        for i in np.flatnonzero((above[:-1] < 0) & (above[1:] > 0))
    ]
    if not np.isnan(rising) and rising > 0.0:
        assert lever(np.radians(rising)) == pytest.approx(level, abs=1e-12)
        assert np.degrees(min(ups)) <= rising + 1e-6 if ups else True
        if (
            ups and rising - np.degrees(ups[0]) > 1e-6
        ):  # a pair closer than the points of the curve was stepped over
            assert ups[0] < np.radians(rising)
            assert len(ups) > 1
    elif np.isnan(rising):
        assert len(ups) == 0 or curve.maximum[0] < level + 1e-3
    else:
        assert above[0] >= -1e-12
    if not np.isnan(falling):
        assert lever(np.radians(falling)) == pytest.approx(level, abs=1e-12)
        assert np.isnan(rising) or falling > rising


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
    levels = np.array([level])
    searches = [Crossing(levels, True), Crossing(levels, False), Crossing(levels, False, following=0)]
    for found in curve.first_crossings(searches)[0]:
        root = None if np.isnan(found) else solved(lambda a: lever(a) - level, found, end)
        if root is not None:
            assert np.radians(found) == pytest.approx(root, abs=1e-12 + 1e-14 / abs(slope(root)))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(levers())
def test_the_angle_of_maximum_is_the_root_of_the_slope_to_rounding(made):
    curve, _, end, slope = made
    found = float(curve.angle_of_maximum[0])
    root = solved(slope, found, end)
    if root is None:
        return
    curvature = (slope(root + 1e-6) - slope(root - 1e-6)) / 2e-6
    assert np.radians(found) == pytest.approx(root, abs=1e-12 + 1e-13 / abs(curvature))


def test_most_drawn_curves_have_roots_to_compare():
    """The two properties above are about something: a cubic has both crossings and a maximum inside."""
    curve = cubic_lever(np.array([1.5]), np.array([35.0]))
    level = np.array([0.3])

    def lever(angle: float) -> float:
        return 1.5 * (angle - angle**3 / (3.0 * np.radians(35.0) ** 2)) - 0.3

    found = curve.first_crossings([Crossing(level, True), Crossing(level, False)])[0]
    for angle in found:
        root = solved(lever, angle, 80.0)
        assert root is not None
        assert np.radians(angle) == pytest.approx(root, abs=1e-13)


# --- other sides, other rows -----------------------------------------------------------------------------------


def three_curves() -> RightingLever:
    """Three ships of the same KN, whose weights are off the centreline by nothing, to this side and to the other."""
    heels = np.array(HEELS)
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    values = np.array([[kn(d, h) for h in HEELS] for d in (4.0, 5.0, 6.0)])
    kms = np.array([km(d) for d in (4.0, 5.0, 6.0)])
    return RightingLever(
        CrossCurves(SALT, heels, (table,)),
        values,
        kms,
        np.array([6.0, 6.4, 6.2]),
        np.array([0.0, 0.1, -0.15]),
    )


def everything(curve: RightingLever) -> np.ndarray:
    """Levers, areas, maximum, crossings: whatever a rule may ask of a curve, [N, ...]."""
    angle = np.tile([-25.0, -3.0, 0.0, 7.5, 33.0, 59.0], (len(curve.km), 1))
    level = np.full(len(curve.km), 0.05)
    searches = [Crossing(level, True), Crossing(level, False, following=0)]
    single = [curve.lever(column) for column in angle.T]
    parts = (
        curve.levers,
        curve.area_from_upright(angle),
        curve.first_crossings(searches),
        np.array(single).T,
    )
    ends = (curve.maximum[:, None], curve.angle_of_maximum[:, None])
    return np.concatenate((*parts, *ends), axis=1)


@pytest.mark.parametrize("index", [[2, 0], [1], [0, 1, 2], [1, 1, 0, 2]])
def test_rows_are_the_curves_they_were(index):
    curve = three_curves()
    np.testing.assert_allclose(everything(curve.rows(np.array(index))), everything(curve)[index], rtol=1e-14)


def test_the_other_side_is_the_negative_curve():
    """GZ to the other side at a heel is the lever this curve has at minus that heel, changed in sign."""
    curve = three_curves()
    mirror = curve.mirrored()
    for heel in (0.0, 3.0, 12.0, 41.0, 60.0):
        angle = np.full(3, heel)
        np.testing.assert_allclose(mirror.lever(angle), -curve.lever(-angle), atol=1e-15)
        np.testing.assert_allclose(
            mirror.area(0.0 * angle, angle), curve.area(0.0 * angle, -angle), atol=1e-15
        )
    np.testing.assert_allclose(everything(mirror.mirrored()), everything(curve), rtol=1e-11, atol=1e-15)
    np.testing.assert_allclose(mirror.maximum, [mirror.lever(mirror.angle_of_maximum)[n] for n in range(3)])
    assert mirror.maximum[1] > curve.maximum[1]
    assert mirror.maximum[2] < curve.maximum[2]


def test_centred_is_the_curve_of_a_ship_with_her_weight_on_the_centreline():
    curve = three_curves()
    centred = curve.centred()
    made = RightingLever(
        curve.curves,
        np.array([[kn(d, h) for h in HEELS] for d in (4.0, 5.0, 6.0)]),
        curve.km,
        curve.vcg,
        np.zeros(3),
    )
    np.testing.assert_allclose(everything(centred), everything(made), rtol=1e-11, atol=1e-15)
    assert curve.tcg.tolist() == [0.0, 0.1, -0.15], "the curve itself is not touched"


# --- a curve with two humps ------------------------------------------------------------------------------------


def two_humps(rise: float = 1.0) -> tuple[RightingLever, CubicSpline]:
    """GZ with a hump near 20 degrees, a trough near 35 and a higher hump near 60; scipy's spline of the same."""
    heels = np.array([10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0])
    values = rise * np.array([0.25, 0.40, 0.33, 0.30, 0.45, 0.60, 0.50, 0.20])
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    slope, nothing = np.array([1.2]), np.zeros(1)
    curve = RightingLever(CrossCurves(SALT, heels, (table,)), values[None, :], slope, nothing, nothing)
    spline = CubicSpline(
        np.radians(np.append(0.0, heels)), np.append(0.0, values), bc_type=((1, 1.2), "not-a-knot")
    )
    return curve, spline


def first_hump(spline: CubicSpline) -> float:
    return float(np.degrees(brentq(spline.derivative(), np.radians(15.0), np.radians(28.0), xtol=1e-15)))


@pytest.mark.parametrize("beyond", [0.02, 0.3, 0.9, 1.7, 8.0])
def test_the_greatest_lever_before_the_second_hump_is_that_of_the_first(beyond):
    """However close behind the top of the first hump the curve ends."""
    curve, spline = two_humps()
    top = first_hump(spline)
    assert curve.angle_of_maximum[0] > 50.0
    assert curve.angle_of_greatest(np.array([top + beyond]))[0] == pytest.approx(top, abs=1e-9)


def test_the_greatest_lever_of_a_rising_curve_is_at_its_end():
    curve, spline = two_humps()
    top = first_hump(spline)
    assert curve.angle_of_greatest(np.array([top - 2.3]))[0] == top - 2.3
    assert curve.angle_of_greatest(np.array([58.0]))[0] == 58.0
    assert curve.angle_of_greatest(np.array([79.0])) == curve.angle_of_maximum
    assert np.isnan(curve.angle_of_greatest(np.array([np.nan]))[0])


def test_a_curve_that_falls_from_upright_has_its_greatest_lever_there():
    heels = np.array(HEELS)
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    values = np.array([[-0.1, -0.1, 0.0, 0.2, 0.3, 0.2]])
    zero = np.zeros(1)
    curve = RightingLever(CrossCurves(SALT, heels, (table,)), values, zero - 0.5, zero, zero)
    assert curve.angle_of_greatest(np.array([15.0]))[0] == pytest.approx(0.0, abs=1e-9)


def test_a_crossing_that_follows_rest_upright_is_the_next_one():
    """She rests upright above the level; the curve falls through it, and rises and falls again later."""
    heels = np.array([10.0, 20.0, 30.0, 40.0, 50.0, 60.0])
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    values = np.array([[-0.05, -0.1, 0.1, 0.3, 0.3, -0.3]])
    zero, level = np.zeros(1), np.array([0.05])
    curve = RightingLever(CrossCurves(SALT, heels, (table,)), values, zero - 0.05, zero, zero - 0.1)
    rest, next_fall, fall = curve.first_crossings(
        [Crossing(level, True), Crossing(level, False, following=0), Crossing(level, False)]
    )[0]
    assert rest == 0.0
    assert next_fall == fall
    assert curve.lever(np.array([fall]))[0] == pytest.approx(0.05, abs=1e-14)
    assert fall < 20.0


# --- closed forms ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("maximum", [20.0, 33.3, 47.0])
def test_the_maximum_of_a_cubic(maximum):
    curve = cubic_lever(np.array([1.5]), np.array([maximum]))
    assert curve.angle_of_maximum[0] == pytest.approx(maximum, rel=1e-7)
    assert curve.maximum[0] == pytest.approx(1.5 * np.radians(maximum) * 2.0 / 3.0, rel=1e-13)


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 30.0), (0.0, 40.0), (30.0, 40.0), (-20.0, 15.0), (12.3, 56.7)]
)
def test_areas_of_a_cubic(low, high):
    """GZ = s (a - a^3 / 3 m^2): area s (a^2 / 2 - a^4 / 12 m^2), even in a."""
    slope, maximum = 1.5, np.radians(35.0)

    def under(a: float) -> float:
        return slope * (a**2 / 2.0 - a**4 / (12.0 * maximum**2))

    curve = cubic_lever(np.array([slope]), np.array([35.0]))
    expected = under(np.radians(high)) - under(np.radians(low))
    assert curve.area(np.array([low]), np.array([high]))[0] == pytest.approx(expected, rel=1e-12)


def floating(*weights: Weight, water: float = SALT) -> Assessment:
    return assess(vessel(), [condition(weights=list(weights) or [CARGO_WEIGHT], water_density=water)])


def test_gz_is_kn_less_kg_sine_less_tcg_cosine():
    """With the cubic KN and all centres known, every lever is arithmetic."""
    result = floating(CARGO_WEIGHT, Weight(200.0, 50.0, 4.0, 2.0))
    mass = 7800.0
    draft = mass / PER_METRE
    vcg = (3600.0 * 7.0 + 4000.0 * 5.6 + 200.0 * 4.0) / mass
    tcg = 400.0 / mass
    curve = result.situation.curve
    assert curve is not None
    expected = [
        kn(draft, heel) - vcg * np.sin(np.radians(heel)) - tcg * np.cos(np.radians(heel))
        for heel in curve.heels
    ]
    np.testing.assert_allclose(curve.levers[0], expected, atol=1e-12)


def test_the_slope_upright_is_gm():
    result = floating()
    curve = result.situation.curve
    assert curve is not None
    step = 1e-4
    slope = curve.lever(np.array([step]))[0] / np.radians(step)
    assert slope == pytest.approx(result.gm_corrected[0], rel=1e-9)


def test_the_table_comes_back_at_tabulated_heels_and_displacements():
    curve = cross_curves()
    lever = RightingLever(
        curve, curve.tables[0].levers[[1]], np.array([km(4.0)]), np.array([0.0]), np.array([0.0])
    )
    for heel in HEELS:
        assert lever.lever(np.array([heel]))[0] == pytest.approx(kn(4.0, heel), rel=1e-14)


# --- list and loll ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("arm", [-1.0, 1.0])
@pytest.mark.parametrize(
    ("tonnes", "from_curve"), [(10.0, False), (60.0, False), (180.0, True), (250.0, True)]
)
def test_small_lists_by_tan_and_large_ones_from_the_curve(arm, tonnes, from_curve):
    """tan(list) = TCG / GM up to 5 degrees; beyond, the root of GZ."""
    result = floating(CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, 6.0 * arm))
    gm, tcg = result.gm_corrected[0], result.displacement.tcg[0]
    small = np.degrees(np.arctan(abs(tcg) / gm))
    assert from_curve == (small > 5.0)
    listed = result.stability.list_angle[0]
    assert np.sign(listed) == arm
    if not from_curve:
        assert abs(listed) == pytest.approx(small, rel=1e-12)
        return
    mass = result.displacement.mass[0]
    vcg, draft = result.displacement.vcg_corrected[0], mass / PER_METRE

    def lever(angle: float) -> float:
        return km(draft) * angle - CUBIC * angle**3 - vcg * np.sin(angle) - abs(tcg) * np.cos(angle)

    assert abs(listed) == pytest.approx(np.degrees(brentq(lever, 0.0, 0.6, xtol=1e-14)), rel=1e-10)


@pytest.mark.parametrize("arm", [-1.0, 1.0])
@pytest.mark.parametrize(("degrees", "from_curve"), [(4.999, False), (5.001, True)])
def test_around_5_degrees_the_list_goes_from_the_formula_to_the_curve(arm, degrees, from_curve):
    """TCG = GM tan(angle); the curve, which softens, has its root a little further over."""
    gm = assess(vessel(), [condition()]).gm_corrected[0]
    tcg = gm * np.tan(np.radians(degrees))
    ship = vessel(lightship=LIGHTSHIP._replace(tcg=arm * tcg * 7600.0 / LIGHTSHIP.mass))
    listed = arm * assess(ship, [condition()]).stability.list_angle[0]
    vcg, draft = (3600.0 * 7.0 + 4000.0 * 5.6) / 7600.0, 7600.0 / PER_METRE

    def lever(angle: float) -> float:
        return km(draft) * angle - CUBIC * angle**3 - vcg * np.sin(angle) - tcg * np.cos(angle)

    root = np.degrees(brentq(lever, 0.0, 0.3, xtol=1e-15))
    assert listed == pytest.approx(root if from_curve else degrees, rel=1e-9)
    assert root == pytest.approx(degrees, abs=0.1)
    assert root != pytest.approx(degrees, abs=1e-3)


def test_loll_is_the_root_beyond_upright_and_is_called_so():
    """A cubic that hardens: KN = KM a + 4 a^3 with KG above KM; GZ = KM a + 4 a^3 - KG sin a."""
    levers = np.array([[km(d) * np.radians(h) + 4.0 * np.radians(h) ** 3 for h in HEELS] for d in DRAFTS])
    hard = CrossCurves(SALT, np.array(HEELS), (CrossCurveTable(0.0, PER_METRE * np.array(DRAFTS), levers),))
    ship = vessel(cross_curves=hard, lightship=LIGHTSHIP._replace(vcg=10.0))
    result = assess(ship, [condition()])
    vcg, draft = (36000.0 + 4000.0 * 5.6) / 7600.0, 7600.0 / PER_METRE
    assert result.gm_corrected[0] == pytest.approx(km(draft) - vcg, rel=1e-9)
    assert result.gm_corrected[0] < 0.0
    root = brentq(lambda a: km(draft) * a + 4.0 * a**3 - vcg * np.sin(a), 0.05, 1.0, xtol=1e-14)
    assert result.stability.loll[0] == pytest.approx(np.degrees(root), rel=1e-10)
    assert result.stability.list_angle[0] == pytest.approx(np.degrees(root), rel=1e-10)
    assert result.refused == [None]
    assert "gm_not_positive" in {finding.code for finding in result.findings[0]}


@pytest.mark.parametrize("arm", [-4.0, 4.0])
def test_a_weight_off_the_centreline_adds_to_loll_but_is_no_part_of_it(arm):
    """She lies at the root of GZ with TCG; her angle of loll is the root without it."""
    levers = np.array([[km(d) * np.radians(h) + 4.0 * np.radians(h) ** 3 for h in HEELS] for d in DRAFTS])
    hard = CrossCurves(SALT, np.array(HEELS), (CrossCurveTable(0.0, PER_METRE * np.array(DRAFTS), levers),))
    ship = vessel(cross_curves=hard, lightship=LIGHTSHIP._replace(vcg=10.0))
    mass = 7650.0
    vcg, tcg, draft = (36000.0 + 4000.0 * 5.6 + 50.0 * 6.0) / mass, 50.0 * 4.0 / mass, mass / PER_METRE
    result = assess(ship, [condition(weights=[CARGO_WEIGHT, Weight(50.0, 50.0, 6.0, arm)])])

    def lever(angle: float, off: float) -> float:
        return km(draft) * angle + 4.0 * angle**3 - vcg * np.sin(angle) - off * np.cos(angle)

    listed = np.degrees(brentq(lever, 0.05, 1.0, args=(tcg,), xtol=1e-14))
    loll = np.degrees(brentq(lever, 0.05, 1.0, args=(0.0,), xtol=1e-14))
    assert result.stability.list_angle[0] == pytest.approx(np.sign(arm) * listed, rel=1e-10)
    assert abs(result.stability.loll[0]) == pytest.approx(loll, rel=1e-10)


def test_no_loll_where_gm_is_positive():
    assert np.isnan(floating().stability.loll[0])


def test_a_ship_that_never_rises_again_is_refused():
    result = assess(vessel(lightship=LIGHTSHIP._replace(vcg=10.0)), [condition()])
    assert isinstance(result.refused[0], NoEquilibrium)


def test_a_ship_whose_list_exceeds_every_lever_is_refused():
    result = floating(CARGO_WEIGHT, Weight(3000.0, 50.0, 6.0, 8.0))
    assert isinstance(result.refused[0], NoEquilibrium)


@pytest.mark.parametrize("arm", [-6.0, 6.0])
def test_without_cross_curves_a_small_list_is_known_a_large_one_only_as_large(arm):
    ship = vessel(cross_curves=None)
    small = assess(ship, [condition(weights=[CARGO_WEIGHT, Weight(50.0, 50.0, 6.0, arm)])])
    expected = np.degrees(np.arctan(small.displacement.tcg[0] / small.gm_corrected[0]))
    assert small.stability.list_angle[0] == pytest.approx(expected, rel=1e-12)
    large = assess(ship, [condition(weights=[CARGO_WEIGHT, Weight(200.0, 50.0, 6.0, arm)])])
    assert large.refused == [None]
    assert np.isnan(large.stability.list_angle[0])
    assert "list_large" in {finding.code for finding in large.findings[0]}


def test_without_cross_curves_loll_is_unknown_but_said():
    light = assess(vessel(cross_curves=None, lightship=LIGHTSHIP._replace(vcg=10.0)), [condition()])
    assert light.refused == [None]
    assert np.isnan(light.stability.list_angle[0])
    assert "gm_not_positive" in {finding.code for finding in light.findings[0]}


def test_the_vanishing_angle_is_the_root_beyond_the_maximum():
    result = floating(CARGO_WEIGHT._replace(vcg=7.1))
    vcg, draft = (3600.0 * 7.0 + 4000.0 * 7.1) / 7600.0, 7600.0 / PER_METRE
    root = brentq(lambda a: km(draft) * a - CUBIC * a**3 - vcg * np.sin(a), 0.5, 1.2, xtol=1e-14)
    assert np.degrees(root) < 60.0
    assert result.vanishing_angle[0] == pytest.approx(np.degrees(root), rel=1e-10)


def test_no_vanishing_angle_up_to_the_last_heel():
    assert np.isnan(floating(CARGO_WEIGHT._replace(vcg=4.0)).vanishing_angle[0])


def test_the_vanishing_angle_of_two_humps_is_where_the_first_ends():
    """GZ is negative from about 32 to 44 degrees; beyond, a higher hump that does not bring her back."""
    heels = np.array([10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0])
    values = np.array([0.15, 0.20, 0.05, -0.10, 0.20, 0.40, -0.20])
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    zero, slope = np.zeros(1), np.array([0.9])
    curve = RightingLever(CrossCurves(SALT, heels, (table,)), values[None, :], slope, zero, zero)
    spline = CubicSpline(
        np.radians(np.append(0.0, heels)), np.append(0.0, values), bc_type=((1, 0.9), "not-a-knot")
    )
    root = np.degrees(brentq(spline, np.radians(22.0), np.radians(40.0), xtol=1e-15))
    assert curve.angle_of_maximum[0] > 50.0
    assert vanishing_angle(curve, 1)[0] == pytest.approx(root, rel=1e-12)


def test_with_a_list_the_range_of_stability_begins_where_she_rests():
    """GZ is negative upright, positive from her list on; without any positive lever there is no range."""
    result = floating(CARGO_WEIGHT._replace(vcg=7.1), Weight(60.0, 50.0, 7.0, 3.0))
    curve = result.situation.curve
    assert curve is not None
    assert curve.levers[0, 0] < 0.0
    assert curve.lever(result.vanishing_angle)[0] == pytest.approx(0.0, abs=1e-13)
    assert result.vanishing_angle[0] > curve.angle_of_maximum[0] > result.stability.list_angle[0] > 0.0
    never = cubic_lever(np.array([-0.2]), np.array([35.0]), 50.0)
    assert np.isnan(vanishing_angle(never, 1)[0])


# --- ends of the cross curves ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drafts", "mass", "served"),
    [
        ((4.0, 6.0), 5999.0, False),
        ((4.0, 6.0), 6000.0, True),
        ((4.0, 6.0), 6001.0, True),
        ((4.0, 6.0), 8999.0, True),
        ((4.0, 6.0), 9000.0, True),
        ((4.0, 6.0), 9001.0, False),
    ],
)
def test_the_ends_of_the_displacements(drafts, mass, served):
    table = CrossCurveTable(
        0.0, PER_METRE * np.array(drafts), np.array([[kn(d, h) for h in HEELS] for d in drafts])
    )
    ship = vessel(cross_curves=CrossCurves(SALT, np.array(HEELS), (table,)))
    result = assess(ship, [condition(weights=[Weight(mass - 3600.0, 50.0, 5.0)])])
    error = result.refused[0]
    assert (error is None) is served
    if not served:
        assert isinstance(error, OutsideTable)
        assert "cross curves" in error.quantity
        assert (error.value, error.low, error.high, error.dimension) == (mass, 6000.0, 9000.0, "mass")


@pytest.mark.parametrize(("trim", "served"), [(0.999, True), (1.0, True), (1.001, False), (-1.001, False)])
def test_the_ends_of_the_trims(trim, served):
    levers = np.array([[kn(d, h) for h in HEELS] for d in DRAFTS])
    tables = tuple(CrossCurveTable(t, PER_METRE * np.array(DRAFTS), levers + 0.01 * t) for t in (-1.0, 1.0))
    ship = vessel(cross_curves=CrossCurves(SALT, np.array(HEELS), tables), hydrostatics=hydrostatics())
    mass = 7600.0
    lcg = lcb(mass / PER_METRE) - 1.5 * trim
    cargo = Weight(4000.0, (mass * lcg - 3600.0 * 47.0) / 4000.0, 5.6)
    result = assess(ship, [condition(weights=[cargo])])
    assert (result.refused[0] is None) is served
    if served:
        curve = result.situation.curve
        assert curve is not None
        vcg = result.displacement.vcg_corrected[0]
        expected = kn(mass / PER_METRE, 30.0) + 0.01 * trim - vcg * 0.5
        assert curve.lever(np.array([30.0]))[0] == pytest.approx(expected, rel=1e-10)
    else:
        error = result.refused[0]
        assert isinstance(error, OutsideTable)
        assert ("trim" in error.quantity, error.low, error.high) == (True, -1.0, 1.0)


@pytest.mark.parametrize("water", [1.0, 1.025])
def test_cross_curves_are_entered_with_the_displacement_in_their_own_water(water):
    """The same volume has the same KN, whatever it weighs."""
    volume = 7500.0
    result = assess(
        vessel(), [condition(weights=[Weight(volume * water - 3600.0, 50.0, 5.5)], water_density=water)]
    )
    draft = volume * SALT / PER_METRE
    vcg = result.displacement.vcg_corrected[0]
    curve = result.situation.curve
    assert curve is not None
    assert curve.lever(np.array([30.0]))[0] == pytest.approx(kn(draft, 30.0) - 0.5 * vcg, rel=1e-10)


@pytest.mark.parametrize(
    ("heels", "displacements", "place"),
    [
        ((10.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((20.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((-10.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((10.0, 20.0), (2.0, 1.0), ("cross_curves", "displacements")),
        ((10.0, 20.0), (2.0, 2.0), ("cross_curves", "displacements")),
        ((10.0, 20.0), (2.0,), ("cross_curves", "displacements")),
    ],
)
def test_unusable_cross_curves_are_refused_by_place(heels, displacements, place):
    levers = np.ones((len(displacements), len(heels)))
    with pytest.raises(UnusableBooklet) as caught:
        CrossCurves(SALT, np.array(heels), (CrossCurveTable(0.0, np.array(displacements), levers),))
    assert caught.value.place == place


# --- tanks with moments by heel --------------------------------------------------------------------------------

TANK_HEELS = np.array([5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0])
BOX_INERTIA = 10.0 * 8.0**3 / 12.0


def wall_sided(heel: np.ndarray) -> np.ndarray:
    """Shift moment (m4) of a surface that meets neither deck nor bottom: i sin (1 + tan^2 / 2). Closed form."""
    a = np.radians(heel)
    return BOX_INERTIA * np.sin(a) * (1.0 + 0.5 * np.tan(a) ** 2)


def heeled_ship(fillings: tuple[float, ...] = (25.0, 75.0)) -> object:
    heeled = HeeledMoments(
        np.array(fillings), TANK_HEELS, np.tile(wall_sided(TANK_HEELS), (len(fillings), 1))
    )
    return vessel(box_tank("B", heeled=heeled))


def test_a_box_tank_takes_part_with_its_wall_sided_moment():
    """At the heels both tables print: GZ = KN - VCG sin - density i sin (1 + tan^2 / 2) / displacement."""
    ship = heeled_ship()
    result = assess(ship, [condition(line(ship, "B", density=1.025, fill=50.0))])
    load = result.displacement
    curve = result.situation.curve
    assert curve is not None
    assert result.situation.actual_moments[0]
    for heel in HEELS:
        shift = 1.025 * wall_sided(np.array([heel]))[0] / load.mass[0]
        expected = kn(load.mass[0] / PER_METRE, heel) - load.vcg_solid[0] * np.sin(np.radians(heel)) - shift
        assert curve.lever(np.array([heel]))[0] == pytest.approx(expected, rel=1e-11)


def test_with_actual_moments_the_slope_upright_is_still_the_corrected_gm():
    ship = heeled_ship()
    result = assess(ship, [condition(line(ship, "B", fill=50.0))])
    curve = result.situation.curve
    assert curve is not None
    slope = curve.lever(np.array([1e-4]))[0] / np.radians(1e-4)
    assert slope == pytest.approx(result.gm_corrected[0], rel=1e-9)
    assert result.gm_corrected[0] < result.gm_solid[0]


@pytest.mark.parametrize(("basis", "fill"), [(1, 50.0), (2, 50.0), (0, 99.0)])
def test_actual_moments_are_for_slack_tanks_as_filled_only(basis, fill):
    """Otherwise through the fluid VCG (2008 IS Code B/3.1.9.2)."""
    ship = heeled_ship()
    result = assess(ship, [condition(line(ship, "B", fill=fill), basis=basis)])
    load, curve = result.displacement, result.situation.curve
    assert curve is not None
    assert not result.situation.actual_moments[0]
    expected = kn(load.mass[0] / PER_METRE, 30.0) - load.vcg_corrected[0] * 0.5
    assert curve.lever(np.array([30.0]))[0] == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize(
    ("fill", "takes_part"), [(24.9, False), (25.0, True), (75.0, True), (75.1, False), (97.0, False)]
)
def test_actual_moments_only_where_the_table_covers_the_filling(fill, takes_part):
    """Beyond its fillings the tank counts through the fluid VCG (2008 IS Code B/3.1.9.2)."""
    ship = heeled_ship()
    result = assess(ship, [condition(line(ship, "B", density=1.025, fill=fill))])
    load, curve = result.displacement, result.situation.curve
    assert curve is not None
    assert bool(result.situation.actual_moments[0]) is takes_part
    upright = kn(load.mass[0] / PER_METRE, 30.0)
    shift = 1.025 * wall_sided(np.array([30.0]))[0] / load.mass[0]
    fluid, actual = upright - load.vcg_corrected[0] * 0.5, upright - load.vcg_solid[0] * 0.5 - shift
    assert abs(fluid - actual) > 1e-3
    assert curve.lever(np.array([30.0]))[0] == pytest.approx(actual if takes_part else fluid, rel=1e-11)


def test_of_two_conditions_each_takes_its_own_way():
    ship = heeled_ship()
    both = assess(ship, [condition(line(ship, "B", fill=fill)) for fill in (20.0, 50.0)])
    assert both.situation.actual_moments.tolist() == [False, True]


def test_heeled_moments_that_end_before_the_cross_curves_are_refused():
    heeled = HeeledMoments(np.array([50.0]), np.array([10.0, 20.0, 30.0]), np.ones((1, 3)))
    with pytest.raises(UnusableBooklet) as caught:
        vessel(box_tank("B", heeled=heeled))
    assert caught.value.place == ("tanks", 0, "heeled_moments", "heels")


def test_heeled_moments_without_an_inertia_upright_are_refused():
    """Printed slack moments have no inertia by filling: the curve could not rise with the corrected GM."""
    heeled = HeeledMoments(np.array([50.0]), TANK_HEELS, wall_sided(TANK_HEELS)[None, :])
    column = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)
    with pytest.raises(UnusableBooklet) as caught:
        vessel(printed_tank("P", column, heeled=heeled))
    assert caught.value.place == ("tanks", 0, "heeled_moments")
    ship = vessel(rectangular_tank("R", heeled=heeled))
    result = assess(ship, [condition(line(ship, "R", fill=50.0))])
    curve = result.situation.curve
    assert curve is not None
    slope = curve.lever(np.array([1e-4]))[0] / np.radians(1e-4)
    assert slope == pytest.approx(result.gm_corrected[0], rel=1e-5)
