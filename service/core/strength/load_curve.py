"""Weight less buoyancy along her length, integrated exactly: shear force and bending moment.

Weight and buoyancy a metre are linear between knots, so the load is linear, the shear force a parabola and the
bending moment a cubic between two of them. Extremes are roots of those, not the best of a grid.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

import numpy as np

from ..conventions import Floats
from .weight_curve import Load

AT_A_KNOT = 1e-6
"""m within which a station stands where a load does: rounding of units."""


class Value(NamedTuple):
    """A shear force (t) or bending moment (t.m) at x (m)."""

    x: float
    value: float


class Cut(NamedTuple):
    """What acts at one place: shear force (t) just aft and just forward of it, bending moment (t.m)."""

    shear_aft: float
    shear_forward: float
    bending: float

    @property
    def shear(self) -> float:
        """The larger of both sides, with its sign, t. Source: definition."""
        return max(self.shear_aft, self.shear_forward, key=abs)


@dataclass(frozen=True)
class LoadCurve:
    """Knots [K] (m); weight and buoyancy (t/m) at the aft and forward end of each interval [K - 1]; at each knot
    [K] the shear force (t) just aft and just forward of it and the bending moment (t.m), integrated forward from
    aft.

    `load_turns_inside`, `shear_may_turn_inside`: intervals inside which the load changes its sign, and those inside
    which the shear force may; `shear_peaks`, `bending_peaks`: knots at which either may have an extreme. All
    increasing."""

    knots: list[float]
    weight_aft: list[float]
    weight_forward: list[float]
    buoyancy_aft: list[float]
    buoyancy_forward: list[float]
    shear_aft: list[float]
    shear_forward: list[float]
    bending: list[float]
    load_turns_inside: list[int]
    shear_may_turn_inside: list[int]
    shear_peaks: list[int]
    bending_peaks: list[int]

    @classmethod
    def of(cls, loads: Sequence[Load], section_x: Sequence[float], buoyancy: Sequence[float]) -> "LoadCurve":
        """Loads against a buoyancy (t/m) at each section, linear between two of them.

        Source: IACS UR S11.2.1.1 (downward positive, integrated forward from aft); definition of shear force and
        bending moment."""
        loads = [load for load in loads if load.mass or load.at_aft or load.at_forward]
        spread = [load for load in loads if load.aft < load.forward]
        points = [load for load in loads if load.aft == load.forward]
        ends = [end for load in loads for end in (load.aft, load.forward)]
        knots = np.unique(np.array([*section_x, *ends], dtype=float))
        low, high = knots[:-1], knots[1:]
        weight_aft, weight_forward = _weight(spread, low, high)
        buoyancy_aft, buoyancy_forward = _buoyancy(np.array(section_x), np.array(buoyancy), low, high)
        left, right, step = weight_aft - buoyancy_aft, weight_forward - buoyancy_forward, high - low
        jumps = np.zeros(len(knots))
        np.add.at(jumps, np.searchsorted(knots, [p.aft for p in points]), [p.mass for p in points])
        forward = np.cumsum(jumps)
        forward[1:] += np.cumsum(0.5 * step * (left + right))
        grown = forward[:-1] * step + step * step * (2.0 * left + right) / 6.0
        aft = forward - jumps
        inside = left * right < 0.0
        shear_peaks, bending_peaks = forward != aft, aft * forward <= 0.0
        shear_peaks[1:-1] |= right[:-1] * left[1:] <= 0.0
        shear_peaks[[0, -1]] = bending_peaks[[0, -1]] = True
        return cls(
            knots=knots.tolist(),
            weight_aft=weight_aft.tolist(),
            weight_forward=weight_forward.tolist(),
            buoyancy_aft=buoyancy_aft.tolist(),
            buoyancy_forward=buoyancy_forward.tolist(),
            shear_aft=aft.tolist(),
            shear_forward=forward.tolist(),
            bending=[0.0, *np.cumsum(grown).tolist()],
            load_turns_inside=np.flatnonzero(inside).tolist(),
            shear_may_turn_inside=np.flatnonzero(inside | (forward[:-1] * aft[1:] < 0.0)).tolist(),
            shear_peaks=np.flatnonzero(shear_peaks).tolist(),
            bending_peaks=np.flatnonzero(bending_peaks).tolist(),
        )

    def at(self, x: float) -> Cut:
        """Shear force on both sides of x (m) and bending moment there; nothing beyond her ends.

        Source: definition."""
        first = bisect_left(self.knots, x - AT_A_KNOT)
        last = bisect_right(self.knots, x + AT_A_KNOT) - 1
        if first <= last:
            return Cut(self.shear_aft[first], self.shear_forward[last], self.bending[first])
        if last < 0 or first == len(self.knots):
            return Cut(0.0, 0.0, 0.0)
        shear, bending = self._inside(last, x - self.knots[last])
        return Cut(shear, shear, bending)

    def shear_extremes(self) -> list[Value]:
        """Every local extreme of the shear force: where the load changes its sign, on both sides of a load at a point,
        and her ends. Source: definition of an extreme."""
        found = []
        for k in self.shear_peaks:
            x, aft, forward = self.knots[k], self.shear_aft[k], self.shear_forward[k]
            found += [Value(x, aft), Value(x, forward)] if forward != aft else [Value(x, aft)]
        return [*found, *(Value(self.knots[i] + t, self._inside(i, t)[0]) for i, t in self._load_roots())]

    def bending_extremes(self) -> list[Value]:
        """Every local extreme of the bending moment: where the shear force changes its sign, and her ends.

        Source: definition of an extreme."""
        found = [Value(self.knots[k], self.bending[k]) for k in self.bending_peaks]
        return [*found, *(Value(self.knots[i] + t, self._inside(i, t)[1]) for i, t in self._shear_roots())]

    @property
    def closure(self) -> tuple[float, float]:
        """Shear force (t) and bending moment (t.m) left at the forward end. Source: definition."""
        return self.shear_forward[-1], self.bending[-1]

    def _inside(self, i: int, t: float) -> tuple[float, float]:
        """Shear force and bending moment t m forward of knot i."""
        left, bend = self._load(i)
        shear, moment = self.shear_forward[i], self.bending[i]
        return (
            shear + t * (left + t * 0.5 * bend),
            moment + t * (shear + t * (0.5 * left + t * bend / 6.0)),
        )

    def _load(self, i: int) -> tuple[float, float]:
        """Load at the aft end of an interval (t/m), and how fast it grows (t/m2)."""
        left = self.weight_aft[i] - self.buoyancy_aft[i]
        right = self.weight_forward[i] - self.buoyancy_forward[i]
        return left, (right - left) / (self.knots[i + 1] - self.knots[i])

    def _load_roots(self) -> Iterator[tuple[int, float]]:
        """Intervals inside which the load changes its sign, and how far (m) forward of their knot."""
        for i in self.load_turns_inside:
            left = self.weight_aft[i] - self.buoyancy_aft[i]
            right = self.weight_forward[i] - self.buoyancy_forward[i]
            yield i, (self.knots[i + 1] - self.knots[i]) * left / (left - right)

    def _shear_roots(self) -> Iterator[tuple[int, float]]:
        """The same for the shear force, which is a parabola: it may change its sign twice."""
        for i in self.shear_may_turn_inside:
            left, bend = self._load(i)
            step = self.knots[i + 1] - self.knots[i]
            for t in quadratic_roots(0.5 * bend, left, self.shear_forward[i]):
                if 0.0 < t < step:
                    yield i, t


def quadratic_roots(a: float, b: float, c: float) -> list[float]:
    """Real roots of a t^2 + b t + c, none where it is constant, without cancellation.

    Source: Press et al., Numerical Recipes, 5.6."""
    if a == 0.0:
        return [] if b == 0.0 else [-c / b]
    inside = b * b - 4.0 * a * c
    if inside < 0.0:
        return []
    q = -0.5 * (b + (sqrt(inside) if b >= 0.0 else -sqrt(inside)))
    return [q / a, *([c / q] if q else [])]


def _weight(spread: Sequence[Load], low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """t/m at both ends of every interval: each load where it covers the interval."""
    if not spread:
        return np.zeros(len(low)), np.zeros(len(low))
    aft, forward, at_aft, at_forward, _ = np.array(spread).T[:, :, None]
    covers = (aft <= low) & (high <= forward)
    slope = (at_forward - at_aft) / (forward - aft)
    left = np.where(covers, at_aft + slope * (low - aft), 0.0).sum(axis=0)
    right = np.where(covers, at_aft + slope * (high - aft), 0.0).sum(axis=0)
    return left, right


def _buoyancy(x: Floats, values: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """t/m at both ends of every interval; none beyond the first and last section."""
    i = np.clip(np.searchsorted(x, 0.5 * (low + high)) - 1, 0, len(x) - 2)
    step = x[i + 1] - x[i]
    slope = np.divide(values[i + 1] - values[i], step, out=np.zeros(len(low)), where=step > 0.0)
    inside = (low >= x[0]) & (high <= x[-1])
    return (
        np.where(inside, values[i] + slope * (low - x[i]), 0.0),
        np.where(inside, values[i] + slope * (high - x[i]), 0.0),
    )
