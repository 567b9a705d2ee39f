"""The odd spline against scipy's cubic spline with the same ends (scipy.interpolate.CubicSpline) and closed forms."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from service.core.spline import OddSpline

VALUES = st.floats(-5.0, 5.0)


@st.composite
def tables(draw: st.DrawFn, least: int) -> tuple[np.ndarray, np.ndarray, float]:
    steps = draw(st.lists(st.floats(2.0, 15.0), min_size=least, max_size=8))
    heels = np.radians(np.cumsum(steps))
    values = np.array(draw(st.lists(VALUES, min_size=len(steps), max_size=len(steps))))
    return heels, values, draw(st.floats(-2.0, 12.0))


def evaluated(heels: np.ndarray, values: np.ndarray, slope: float, at: np.ndarray) -> np.ndarray:
    of_values, of_slope = OddSpline.through(heels).basis(at)
    return of_values @ np.concatenate(([0.0], values)) + slope * of_slope


@settings(max_examples=60, deadline=None, derandomize=True)
@given(tables(3))
def test_it_is_the_cubic_spline_with_a_given_slope_at_the_origin_and_a_not_a_knot_end(table):
    heels, values, slope = table
    at = np.linspace(0.0, heels[-1], 97)
    knots, y = np.concatenate(([0.0], heels)), np.concatenate(([0.0], values))
    truth = CubicSpline(knots, y, bc_type=((1, slope), "not-a-knot"))
    scale = 1.0 + np.abs(y).max() + abs(slope)
    np.testing.assert_allclose(evaluated(heels, values, slope, at), truth(at), atol=1e-11 * scale)
    spline = OddSpline.through(heels)
    slopes = spline.from_values @ y + spline.from_slope * slope
    np.testing.assert_allclose(slopes, truth(knots, 1), atol=1e-9 * scale)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(tables(2).filter(lambda t: len(t[0]) == 2))
def test_with_two_heels_the_curvature_vanishes_at_the_last(table):
    heels, values, slope = table
    at = np.linspace(0.0, heels[-1], 31)
    knots, y = np.concatenate(([0.0], heels)), np.concatenate(([0.0], values))
    truth = CubicSpline(knots, y, bc_type=((1, slope), (2, 0.0)))
    np.testing.assert_allclose(evaluated(heels, values, slope, at), truth(at), atol=1e-10)


@pytest.mark.parametrize("heel", [5.0, 30.0, 60.0])
def test_with_one_heel_it_is_the_cubic_without_curvature_there(heel):
    """y = s x - (s - v) x^3-like cubic: y(h) = v, y'(0) = s, y''(h) = 0."""
    end, value, slope = np.radians(heel), 0.7, 2.0
    at = np.linspace(0.0, end, 11)
    third = (slope * end - value) / (2.0 * end**3)  # y = s x - 3 c h x^2 + c x^3 fulfils all three
    expected = slope * at - 3.0 * third * end * at**2 + third * at**3
    np.testing.assert_allclose(evaluated(np.array([end]), np.array([value]), slope, at), expected, atol=1e-13)


def test_cubics_come_back_exactly():
    heels = np.radians([10.0, 20.0, 30.0, 45.0, 60.0])
    at = np.linspace(0.0, heels[-1], 50)
    got = evaluated(heels, 3.0 * heels - 1.2 * heels**3, 3.0, at)
    np.testing.assert_allclose(got, 3.0 * at - 1.2 * at**3, atol=1e-14)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(tables(1))
def test_tabulated_values_come_back_exactly(table):
    heels, values, slope = table
    np.testing.assert_allclose(evaluated(heels, values, slope, heels), values, atol=1e-12)
