"""Cubic splines as linear maps of their data: what depends on the knots alone is worked out once per ship.

`OddSpline` is the curve between tabulated heels: odd about zero, with a given slope at the origin. `slopes_through`
is the plain cubic spline through a column of a table.
"""

from dataclasses import dataclass

import numpy as np

from .conventions import Floats


@dataclass(frozen=True)
class OddSpline:
    """Cubic spline through the origin and values at `knots[1:]`, twice differentiable between knots.

    knots [K] radians, knots[0] = 0. The slope at the origin is given with the data; at the last knot the third
    derivative is continuous across the last interior knot (the "not-a-knot" end), or the second derivative is zero
    where there are fewer than three tabulated heels. Source: de Boor, A Practical Guide to Splines, chapter IV.
    """

    knots: Floats
    from_values: Floats  # [K, K] slopes at the knots from the values
    from_slope: Floats  # [K] slopes at the knots per unit slope at the origin

    @classmethod
    def through(cls, heels: Floats) -> "OddSpline":
        """Prepare for tabulated heels [K-1], radians, positive and increasing. Source: de Boor, chapter IV."""
        knots = np.concatenate(([0.0], heels))
        left, right = _interior(knots)
        left[0, 0] = 1.0
        step = np.diff(knots)
        if len(knots) > 3:
            _not_a_knot_at_the_end(left, right, step)
        else:
            left[-1, -2:] = 1.0, 2.0
            right[-1, -2:] = -3.0 / step[-1], 3.0 / step[-1]
        slope = np.zeros(len(knots))
        slope[0] = 1.0
        inverse: Floats = np.linalg.inv(left).astype(np.float64)
        return cls(knots, inverse @ right, inverse @ slope)

    def basis(self, angle: Floats) -> tuple[Floats, Floats]:
        """Matrices that give the spline at fixed angles [A] (radians, within the knots) from its data.

        Returns [A, K] for the values and [A] for the slope at the origin. Source: cubic Hermite basis, definition.
        """
        index = np.clip(np.searchsorted(self.knots, angle, side="right") - 1, 0, len(self.knots) - 2)
        step = self.knots[index + 1] - self.knots[index]
        s = (angle - self.knots[index]) / step
        of_value = np.zeros((len(angle), len(self.knots)))
        of_slope = np.zeros_like(of_value)
        row = np.arange(len(angle))
        of_value[row, index] = (1 + 2 * s) * (1 - s) ** 2
        of_value[row, index + 1] = s * s * (3 - 2 * s)
        of_slope[row, index] = s * (1 - s) ** 2 * step
        of_slope[row, index + 1] = s * s * (s - 1) * step
        return of_value + of_slope @ self.from_values, of_slope @ self.from_slope


def slopes_through(knots: Floats) -> Floats:
    """Matrix [K, K] that gives the slopes at increasing knots [K], K >= 2, of the cubic spline through values there.

    "Not-a-knot" at both ends; a parabola through three values, a straight line through two. Source: de Boor,
    A Practical Guide to Splines, chapter IV."""
    count, step = len(knots), np.diff(knots)
    if count == 2:
        line: Floats = np.array([[-1.0, 1.0], [-1.0, 1.0]]) / step[0]
        return line
    if count == 3:
        a, b = step
        return np.array(
            [
                [-(2.0 * a + b) / (a * (a + b)), (a + b) / (a * b), -a / (b * (a + b))],
                [-b / (a * (a + b)), (b - a) / (a * b), a / (b * (a + b))],
                [b / (a * (a + b)), -(a + b) / (a * b), (a + 2.0 * b) / (b * (a + b))],
            ]
        )
    left, right = _interior(knots)
    _not_a_knot_at_the_end(left, right, step)
    # the first row is the last one of the mirrored table
    left[0, :2] = (step[0] + step[1], step[1])[::-1]
    first, second, third = _not_a_knot(step[1], step[0])
    right[0, :3] = -third, -second, -first
    slopes: Floats = np.linalg.solve(left, right).astype(np.float64)
    return slopes


def _interior(knots: Floats) -> tuple[Floats, Floats]:
    """Left and right side [K, K] of the system for the slopes, its interior rows filled in."""
    count, step = len(knots), np.diff(knots)
    left, right = np.zeros((count, count)), np.zeros((count, count))
    for i in range(1, count - 1):
        before, after = step[i - 1], step[i]
        left[i, i - 1 : i + 2] = after, 2.0 * (before + after), before
        right[i, i - 1 : i + 2] = _three_point(before, after)
    return left, right


def _not_a_knot_at_the_end(left: Floats, right: Floats, step: Floats) -> None:
    before, last = step[-2], step[-1]
    left[-1, -2:] = before + last, before
    right[-1, -3:] = _not_a_knot(before, last)


def _three_point(before: float, after: float) -> tuple[float, float, float]:
    """Right-hand side of the continuity of curvature at an interior knot, as weights of three values."""
    a, b = after / before, before / after
    return -3.0 * a, 3.0 * (a - b), 3.0 * b


def _not_a_knot(before: float, last: float) -> tuple[float, float, float]:
    """Right-hand side of the not-a-knot end, as weights of the last three values."""
    total = before + last
    first = last * last / total
    second = (2.0 * total + last) * before / total
    return -first / before, first / before - second / last, second / last
