"""Her cross curves: the tables by displacement and trim, and the one odd curve made of them.

Truth: definition of linear interpolation; scipy's CubicSpline and quad for arbitrary tables; closed forms of the ship
in ship.py; KM from small heels by the wall-sided formula, KN = sin (KM + BM tan^2 / 2) (Derrett and Barrass, Ship
Stability, chapter on wall-sided ships).
"""

from dataclasses import replace
from itertools import pairwise
from math import radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize_scalar

from service.core.cross_curves import CrossCurves, CrossCurveTable, KnCurve, km_from_levers
from service.core.errors import OutsideTable, UnusableBooklet
from service.core.polynomial import value
from service.core.righting_lever import RightingLever
from tests.core.ship import (
    DRAFTS,
    HEELS,
    KM,
    PER_METRE,
    SALT,
    cross_curve_table,
    cross_curves,
    curves_of,
    kn,
    lever_through,
)


def growing(trim: float) -> CrossCurveTable:
    """The ship's KN and 2 cm a metre of draft, 1 cm a metre of trim."""
    made = cross_curve_table(trim, more=0.01 * trim)
    return replace(made, levers=made.levers + 0.02 * np.array(DRAFTS)[:, None])


# --- the tables ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("displacement", "trim"), [(7500.0, 0.3), (3000.0, -1.0), (12000.0, 2.0), (9000.0, 1.0), (7600.0, -0.5)]
)
def test_kn_is_linear_in_displacement_and_in_trim(displacement, trim):
    """KN grows by 2 cm a metre of draft here, and by a centimetre a metre of trim."""
    curves = CrossCurves(SALT, HEELS, tuple(growing(t) for t in (-1.0, 0.0, 2.0)))
    expected = [kn(heel) + 0.02 * displacement / PER_METRE + 0.01 * trim for heel in HEELS]
    np.testing.assert_allclose(curves.kn(displacement, trim), expected, rtol=1e-13)


def test_a_single_trim_serves_every_trim():
    np.testing.assert_allclose(cross_curves().kn(7500.0, 4.0), cross_curves().kn(7500.0, 0.0), rtol=0.0)


def test_every_trim_must_reach_the_displacement():
    """Two trims, the second tabulated from 4 m of draft only: 4500 t are outside, whatever the trim."""
    tables = (cross_curve_table(0.0), cross_curve_table(1.0, drafts=(4.0, 6.0, 8.0)))
    curves = CrossCurves(SALT, HEELS, tables)
    with pytest.raises(OutsideTable) as caught:
        curves.kn(4500.0, 0.0)
    assert (caught.value.value, caught.value.low, caught.value.high) == (4500.0, 6000.0, 12000.0)


@pytest.mark.parametrize(
    ("heels", "displacements", "place"),
    [
        ((10.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((20.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((-10.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((0.0, 10.0), (1.0, 2.0), ("cross_curves", "heels")),
        ((), (1.0, 2.0), ("cross_curves", "heels")),
        ((10.0, 20.0), (2.0, 1.0), ("cross_curves", "displacements")),
        ((10.0, 20.0), (2.0, 2.0), ("cross_curves", "displacements")),
        ((10.0, 20.0), (2.0,), ("cross_curves", "displacements")),
    ],
)
def test_unusable_cross_curves_are_refused_by_place(heels, displacements, place):
    levers = np.ones((len(displacements), len(heels)))
    with pytest.raises(UnusableBooklet) as caught:
        CrossCurves(SALT, heels, (CrossCurveTable(0.0, displacements, levers),))
    assert caught.value.place == place


@pytest.mark.parametrize("trims", [(0.0,), (-1.0, 1.0)])
@pytest.mark.parametrize(
    ("displacement", "covered"),
    [
        (2999.9, False),
        (3000.0 - 0.9e-9 * 12000.0, True),
        (3000.0 - 1.1e-9 * 12000.0, False),
        (3000.0, True),
        (12000.0, True),
        (12000.0 * (1.0 + 0.9e-9), True),
        (12000.0 * (1.0 + 1.1e-9), False),
        (float("nan"), False),
    ],
)
def test_the_ends_of_the_displacements_and_what_they_cover(trims, displacement, covered):
    """With room for the rounding of units; beyond it they are neither led on nor held."""
    curves = CrossCurves(SALT, HEELS, tuple(cross_curve_table(t) for t in trims))
    assert curves.covers(displacement, 0.5) is covered
    if covered:
        np.testing.assert_allclose(curves.kn(displacement, 0.5), [kn(h) for h in HEELS], rtol=1e-12)
        return
    with pytest.raises(OutsideTable) as caught:
        curves.kn(displacement, 0.5)
    assert (caught.value.low, caught.value.high, caught.value.dimension) == (3000.0, 12000.0, "mass")
    assert "cross curves" in caught.value.quantity


@pytest.mark.parametrize(
    ("trim", "covered"), [(-1.001, False), (-1.0, True), (0.3, True), (1.0, True), (1.001, False)]
)
def test_the_ends_of_the_trims_and_what_they_cover(trim, covered):
    curves = CrossCurves(SALT, HEELS, (cross_curve_table(-1.0), cross_curve_table(1.0)))
    assert curves.covers(7500.0, trim) is covered
    if covered:
        assert len(curves.kn(7500.0, trim)) == len(HEELS)
        return
    with pytest.raises(OutsideTable) as caught:
        curves.kn(7500.0, trim)
    assert (caught.value.value, caught.value.low, caught.value.high) == (trim, -1.0, 1.0)
    assert (caught.value.quantity, caught.value.dimension) == ("trim in her cross curves", "length")


@pytest.mark.parametrize("trim", [-50.0, 0.0, 50.0])
def test_one_table_alone_covers_every_trim(trim):
    assert cross_curves().covers(7500.0, trim)
    assert not cross_curves().covers(15000.0, trim)


@pytest.mark.parametrize("draft", DRAFTS)
def test_the_table_comes_back_at_tabulated_heels_and_displacements(draft):
    curves = cross_curves()
    curve = RightingLever(KnCurve(curves, curves.kn(PER_METRE * draft, 0.0), KM), 0.0, 0.0)
    for heel in HEELS:
        assert curve.lever(heel) == pytest.approx(kn(heel), rel=1e-13)


# --- the curve -------------------------------------------------------------------------------------------------


@st.composite
def drawn(draw: st.DrawFn) -> tuple[KnCurve, CubicSpline, list[float]]:
    """KN at some heels with a KM, as one curve, and scipy's spline with the same slope upright."""
    heels = draw(
        st.sampled_from([(10.0, 20, 30, 40, 50, 60), (5.0, 12, 20, 30, 45, 60, 75), (15.0, 30, 52.5)])
    )
    km = draw(st.floats(-2.0, 15.0))
    levers = draw(st.lists(st.floats(-2.0, 8.0), min_size=len(heels), max_size=len(heels)))
    angles = np.radians([0.0, *heels])
    truth = CubicSpline(angles, [0.0, *levers], bc_type=((1, km), "not-a-knot"))
    return KnCurve(curves_of(heels), np.array(levers), km), truth, list(heels)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn())
def test_points_areas_and_pieces_are_those_of_one_spline(made):
    """At every point of the grid, and by the polynomials between the knots, against scipy (values, slopes, quad)."""
    curve, truth, heels = made
    grid = np.radians(curve.curves.grid)
    np.testing.assert_allclose(curve.points, truth(grid), atol=1e-11)
    np.testing.assert_allclose(curve.areas, truth.antiderivative()(grid), atol=1e-11)
    assert curve.knots == pytest.approx(np.radians([0.0, *heels]).tolist(), abs=1e-15)
    for angle in np.linspace(0.0, grid[-1], 31):
        assert value(curve.pieces, curve.knots, angle) == pytest.approx(float(truth(angle)), abs=1e-11)
        slope = float(truth.derivative()(angle))
        assert value(curve.slope_pieces, curve.knots, angle) == pytest.approx(slope, abs=1e-9)
        ends = [0.0, *(k for k in curve.knots[1:] if k < angle), angle]
        area = sum(quad(truth, a, b, epsabs=1e-13)[0] for a, b in pairwise(ends))
        assert value(curve.area_pieces, curve.knots, angle) == pytest.approx(area, abs=1e-11)


def test_the_grid_is_every_degree_up_to_the_last_heel():
    assert curves_of((10.0, 20.5)).grid == [*map(float, range(21)), 20.5]
    assert curves_of((10.0, 21.0)).grid == [*map(float, range(22))]
    assert curves_of((0.4,)).grid == [0.0, 0.4]
    curves = curves_of((10.0, 33.3))
    assert curves.last_heel == 33.3
    np.testing.assert_allclose(curves.grid_sine, np.sin(np.radians(curves.grid)), atol=1e-15)
    np.testing.assert_allclose(curves.grid_cosine, np.cos(np.radians(curves.grid)), atol=1e-15)


@pytest.mark.parametrize(("arm", "slope"), [(0.0, 0.0), (0.08, 0.0), (0.08, -0.03), (-0.05, 0.1)])
@pytest.mark.parametrize("tcg", [0.0, 0.1])
def test_levers_less_a_straight_line(arm, slope, tcg):
    """arm + slope x heel is taken off every lever, and its integral off every area, to this side."""
    curve = lever_through(HEELS, [kn(h) for h in HEELS], KM, 6.9, tcg)
    before = figures(curve)
    rest = RightingLever(curve.kn.less(arm, slope), curve.vcg, curve.tcg)
    for heel in (0.0, 4.0, 17.5, 30.0, 48.0, 60.0):
        a = np.radians(heel)
        assert rest.lever(heel) == pytest.approx(curve.lever(heel) - arm - slope * a, abs=1e-14)
        area = curve.area(0.0, heel) - arm * a - slope * a**2 / 2.0
        assert rest.area(0.0, heel) == pytest.approx(area, abs=1e-14)
    grid = np.radians(rest.heels)
    assert rest.levers == pytest.approx([rest.lever(heel) for heel in rest.heels], abs=1e-14)
    np.testing.assert_allclose(rest.kn.areas, curve.kn.areas - arm * grid - slope * grid**2 / 2.0, atol=1e-14)
    top = minimize_scalar(
        lambda h: -rest.lever(h), bounds=(1.0, 59.0), method="bounded", options={"xatol": 1e-9}
    )
    assert rest.angle_of_maximum == pytest.approx(top.x, abs=1e-4)
    assert rest.maximum == pytest.approx(-top.fun, abs=1e-12)
    assert figures(curve) == before, "the curve itself is not touched"


def figures(curve: RightingLever) -> list[float]:
    """Whatever of a curve and its KN may be shared with another one."""
    areas = [curve.area_from_upright(heel) for heel in (-9.0, 7.5, 59.0)]
    return [*curve.levers, *areas, *curve.kn.points, *curve.kn.areas, curve.maximum, curve.angle_of_maximum]


# --- KM from the levers ----------------------------------------------------------------------------------------


def wall_sided(km: float, bm: float, heel: float) -> float:
    return sin(radians(heel)) * (km + 0.5 * bm * tan(radians(heel)) ** 2)


@pytest.mark.parametrize("heels", [(5.0, 10.0, 20.0), (10.0, 20.0, 30.0), (12.0, 20.0, 30.0), (15.0, 25.0)])
def test_a_wall_sided_ships_km_comes_back_from_her_cross_curve(heels):
    """KM 6, BM 3: within 1 % of KM."""
    assert km_from_levers(heels, [wall_sided(6.0, 3.0, h) for h in heels]) == pytest.approx(6.0, rel=0.01)


def test_levers_that_grow_with_the_square_of_the_sine_give_it_exactly():
    levers = [sin(radians(h)) * (6.0 + 4.0 * sin(radians(h)) ** 2) for h in (5.0, 15.0, 40.0)]
    assert km_from_levers((5.0, 15.0, 40.0), levers) == pytest.approx(6.0, rel=1e-13)


@pytest.mark.parametrize(("heels", "first"), [((15.0, 30.0), 15.0), ((8.0, 25.5), 8.0), ((10.0,), 10.0)])
def test_one_small_heel_alone_gives_its_own_ratio(heels, first):
    """25 degrees is the last heel taken for small (common practice, no source)."""
    levers = [wall_sided(6.0, 3.0, h) for h in heels]
    assert km_from_levers(heels, levers) == pytest.approx(levers[0] / sin(radians(first)), rel=1e-15)


@pytest.mark.parametrize("heels", [(20.0, 30.0), (15.1, 20.0), (30.0, 40.0)])
def test_without_a_small_heel_there_is_no_slope(heels):
    assert km_from_levers(heels, [2.0, 3.0]) is None
