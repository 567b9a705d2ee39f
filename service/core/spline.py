"""The curve between tabulated heels: a cubic spline, odd about zero, with a given slope at the origin.

The spline depends linearly on its data (slope at the origin and tabulated values), so everything that depends on
the heels alone is worked out once per ship: a batch then costs one matrix product.
"""

from dataclasses import dataclass

import numpy as np

from .frame import Floats


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
        count = len(knots)
        step = np.diff(knots)
        left = np.zeros((count, count))
        right = np.zeros((count, count))
        left[0, 0] = 1.0
        for i in range(1, count - 1):
            before, after = step[i - 1], step[i]
            left[i, i - 1 : i + 2] = after, 2.0 * (before + after), before
            right[i, i - 1 : i + 2] = _three_point(before, after)
        before, last = (step[-2], step[-1]) if count > 2 else (step[-1], step[-1])
        if count > 3:
            left[-1, -2:] = before + last, before
            right[-1, -3:] = _not_a_knot(before, last)
        else:
            left[-1, -2:] = 1.0, 2.0
            right[-1, -2:] = -3.0 / last, 3.0 / last
        slope = np.zeros(count)
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
