"""Values and roots of piecewise polynomials with a sine and a cosine, against numpy and scipy's brentq."""

from math import cos, sin

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from service.core.polynomial import root, value

KNOTS = [0.0, 0.4, 1.0]
PIECES = [[1.0, -2.0, 0.5, 0.25, -0.1], [0.2, 1.0, -3.0, 0.0, 0.7]]


@pytest.mark.parametrize(
    ("angle", "piece"), [(0.0, 0), (0.39, 0), (0.4, 1), (0.7, 1), (1.0, 1), (-0.1, 0), (1.2, 1)]
)
def test_the_polynomial_of_the_interval_that_holds_the_angle(angle, piece):
    """Lowest power first, from the left knot of the interval; the outer pieces go on beyond the knots."""
    expected = np.polynomial.polynomial.polyval(angle - KNOTS[piece], PIECES[piece])
    assert value(PIECES, KNOTS, angle) == pytest.approx(expected, rel=1e-14)


COEFFICIENTS = st.lists(st.floats(-2.0, 2.0), min_size=5, max_size=5)
TERMS = st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0))


@pytest.mark.parametrize("number", [float, np.float64])
@settings(
    max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.filter_too_much]
)
@given(COEFFICIENTS, COEFFICIENTS, TERMS, st.floats(0.0, 1.0))
def test_a_crossing_in_a_bracket_is_brentqs(number, first, second, terms, part):
    """Rising or falling, whatever the start, for numbers of either kind: the pieces meet with one value and slope, as
    those of a spline do. Where there are several crossings the one found is one of them."""
    constant, sine, cosine = terms
    step, slope = KNOTS[1], np.polynomial.polynomial.polyder(first)
    joined = [np.polynomial.polynomial.polyval(step, each) for each in (first, slope)]
    pieces = [first, [*map(float, joined), *second[2:]]]

    def function(angle: float) -> float:
        return constant + sine * sin(angle) + cosine * cos(angle) + value(pieces, KNOTS, angle)

    ends = function(0.0), function(0.9)
    assume(ends[0] * ends[1] < -1e-6)
    bracket, start = (number(0.0), number(0.9)), number(0.9 * part)
    found = root(pieces, KNOTS, tuple(map(number, terms)), bracket, start, rising=ends[0] < 0.0)
    assert 0.0 <= found <= 0.9
    assert function(found) == pytest.approx(0.0, abs=1e-12)
    changes = np.sign([function(a) for a in np.linspace(0.0, 0.9, 400)])
    if np.count_nonzero(np.diff(changes)) == 1:
        assert found == pytest.approx(brentq(function, 0.0, 0.9, xtol=1e-15), abs=1e-6)


def test_a_flat_start_is_left_by_halving():
    """The slope is nothing at the start: x^4 - 0.001 from 0."""
    flat = [[-0.001, 0.0, 0.0, 0.0, 1.0]]
    found = root(flat, [0.0, 1.0], (0.0, 0.0, 0.0), (0.0, 1.0), 0.0, rising=True)
    assert found == pytest.approx(0.001**0.25, rel=1e-12)


def test_a_step_that_leaves_the_bracket_is_halved():
    """A cubic whose tangent at the start points away from the root."""
    cubic = [[-0.3, 1.0, -3.0, 2.4, 0.0]]
    found = root(cubic, [0.0, 1.4], (0.0, 0.0, 0.0), (0.5, 1.4), 0.55, rising=True)
    exact = brentq(lambda x: -0.3 + x - 3.0 * x**2 + 2.4 * x**3, 0.5, 1.4, xtol=1e-14)
    assert found == pytest.approx(exact, rel=1e-12)
