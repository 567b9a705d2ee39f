"""Shear forces and bending moments along her length in every sample of a condition: arrays [N, K], samples by knots.

The formulas are those of `load_curve.py`, where their sources are. Knots are sorted in every sample and may stand at
one place: the last of them speaks for all, and the interval between two of them has no length.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from .load_curve import AT_A_KNOT
from .samples_loads import Flags, Loads

RESIDUE = 1e-13
"""Part of the greatest mass a metre below which a sum of masses a metre is rounding: there is nothing."""
Indices = NDArray[np.intp]


class Values(NamedTuple):
    """Values (t or t.m) at places (m) [M] of samples [M], which increase; every sample has some."""

    sample: Indices
    x: Floats
    value: Floats

    @classmethod
    def joined(cls, parts: "list[Values]") -> "Values":
        """All of them, sample by sample. Source: definition."""
        sample, x, value = (np.concatenate(each) for each in zip(*parts))
        order = np.argsort(sample, kind="stable")
        return cls(sample[order], x[order], value[order])


class Cuts(NamedTuple):
    """As `Cut` in every sample [N]."""

    shear_aft: Floats
    shear_forward: Floats
    bending: Floats


class LoadCurves:
    """As `LoadCurve` in every sample."""

    def __init__(self, loads: Loads, sections: Floats, buoyancy: Floats) -> None:
        """Loads against buoyancies (t/m) [N, S] at the places of the sections [S] (m).

        Source: see `LoadCurve.of`."""
        n, s = buoyancy.shape
        none, slope = np.zeros((n, s)), loads.slope
        places = np.concatenate((np.broadcast_to(sections, (n, s)), loads.aft, loads.forward), axis=1)
        order = np.argsort(places, axis=1, kind="stable")

        def sorted_events(at_section: Floats, at_aft: Floats, at_forward: Floats) -> Floats:
            return np.take_along_axis(np.concatenate((at_section, at_aft, at_forward), axis=1), order, axis=1)

        self.knots = np.take_along_axis(places, order, axis=1)
        step = np.diff(self.knots, axis=1)
        grows = np.cumsum(sorted_events(none, slope, -slope), axis=1)[:, :-1]
        weight = np.cumsum(sorted_events(none, loads.at_aft, -loads.at_forward), axis=1)
        weight[:, 1:] += np.cumsum(grows * step, axis=1)
        at_point = np.where(loads.aft == loads.forward, loads.mass, 0.0)
        jumps = np.cumsum(sorted_events(none, at_point, np.zeros_like(at_point)), axis=1)
        section = np.cumsum(order < s, axis=1)[:, :-1] - 1
        least = RESIDUE * np.abs(weight).max(axis=1, keepdims=True)
        weights = weight[:, :-1], weight[:, :-1] + grows * step
        buoyancies = _buoyancies(sections, buoyancy, section, self.knots)
        self.left, self.right = (
            np.where(np.abs(down) <= least, 0.0, down) - up for down, up in zip(weights, buoyancies)
        )
        self.step, self.is_last = step, np.concatenate((step > 0.0, np.ones((n, 1), dtype=bool)), axis=1)
        self._integrate(jumps)

    def _integrate(self, jumps: Floats) -> None:
        """Shear force on both sides of each knot and bending moment, [N, K]."""
        left, right, step = self.left, self.right, self.step
        self.forward = jumps.copy()
        self.forward[:, 1:] += np.cumsum(0.5 * step * (left + right), axis=1)
        grown = self.forward[:, :-1] * step + step * step * (2.0 * left + right) / 6.0
        self.bending = np.zeros_like(jumps)
        np.cumsum(grown, axis=1, out=self.bending[:, 1:])
        places = np.arange(jumps.shape[1])
        before = np.full(jumps.shape, -1)
        before[:, 1:] = np.maximum.accumulate(np.where(self.is_last, places, -1), axis=1)[:, :-1]
        self.is_first = before < 0
        self.before = np.maximum(before, 0)
        jumped = jumps - np.where(self.is_first, 0.0, np.take_along_axis(jumps, self.before, axis=1))
        self.aft = self.forward - jumped

    def _inside(self, row: Indices, i: Indices, t: Floats) -> tuple[Floats, Floats]:
        """As `LoadCurve._inside`."""
        left, shear = self.left[row, i], self.forward[row, i]
        bend = (self.right[row, i] - left) / self.step[row, i]
        return (
            shear + t * (left + t * 0.5 * bend),
            self.bending[row, i] + t * (shear + t * (0.5 * left + t * bend / 6.0)),
        )

    def at(self, x: float) -> Cuts:
        """As `LoadCurve.at`. Source: see there."""
        knots, every, k = self.knots, np.arange(len(self.knots)), self.knots.shape[1]
        first = (knots < x - AT_A_KNOT).sum(axis=1)
        last = (knots <= x + AT_A_KNOT).sum(axis=1) - 1
        on, beyond = first <= last, (last < 0) | (first == k)
        i = np.clip(last, 0, k - 2)
        with np.errstate(all="ignore"):
            shear, bending = self._inside(every, i, x - knots[every, i])
        shear, bending = np.where(beyond, 0.0, shear), np.where(beyond, 0.0, bending)
        first, last = np.minimum(first, k - 1), np.maximum(last, 0)
        return Cuts(
            np.where(on, self.aft[every, first], shear),
            np.where(on, self.forward[every, last], shear),
            np.where(on, self.bending[every, first], bending),
        )

    def shear_extremes(self) -> Values:
        """As `LoadCurve.shear_extremes`. Source: see there."""
        before = np.take_along_axis(self.right, np.minimum(self.before, self.right.shape[1] - 1), axis=1)
        peaks = self.is_first | (self.forward != self.aft)
        peaks[:, :-1] |= before[:, :-1] * self.left <= 0.0
        peaks[:, -1] = True
        row, k = np.nonzero(peaks & self.is_last)
        x, (turns, i) = self.knots[row, k], np.nonzero(self._load_turns())
        left, right = self.left[turns, i], self.right[turns, i]
        t = self.step[turns, i] * left / (left - right)
        inside = Values(turns, self.knots[turns, i] + t, self._inside(turns, i, t)[0])
        return Values.joined([Values(row, x, self.aft[row, k]), Values(row, x, self.forward[row, k]), inside])

    def bending_extremes(self) -> Values:
        """As `LoadCurve.bending_extremes`. Source: see there."""
        peaks = self.is_first | (self.aft * self.forward <= 0.0)
        peaks[:, -1] = True
        row, k = np.nonzero(peaks & self.is_last)
        found = [Values(row, self.knots[row, k], self.bending[row, k])]
        ahead = self.forward[:, :-1] + 0.5 * self.step * (self.left + self.right)
        turns = self._load_turns() | (self.is_last[:, :-1] & (self.forward[:, :-1] * ahead < 0.0))
        row, i = np.nonzero(turns)
        left, step = self.left[row, i], self.step[row, i]
        bend = (self.right[row, i] - left) / step
        for t in _quadratic_roots(0.5 * bend, left, self.forward[row, i]):
            real = (t > 0.0) & (t < step)
            samples, at, t = row[real], i[real], t[real]
            found.append(Values(samples, self.knots[samples, at] + t, self._inside(samples, at, t)[1]))
        return Values.joined(found)

    def _load_turns(self) -> Flags:
        """Intervals inside which the load changes its sign."""
        turns: Flags = self.is_last[:, :-1] & (self.left * self.right < 0.0)
        return turns


def _buoyancies(x: Floats, values: Floats, section: NDArray[np.intp], knots: Floats) -> tuple[Floats, Floats]:
    """t/m at both ends of every interval forward of a section (index; -1: aft of all)."""
    inside = (section >= 0) & (section <= len(x) - 2)
    i = np.clip(section, 0, len(x) - 2)
    length = np.diff(x)
    slopes = np.divide(
        np.diff(values, axis=1), length, out=np.zeros((len(values), len(length))), where=length > 0.0
    )
    slope = np.take_along_axis(slopes, i, axis=1)
    at_section = np.take_along_axis(values, i, axis=1)
    left = np.where(inside, at_section + slope * (knots[:, :-1] - x[i]), 0.0)
    return left, np.where(inside, at_section + slope * (knots[:, 1:] - x[i]), 0.0)


def _quadratic_roots(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """As `quadratic_roots`, nan where there is none."""
    with np.errstate(all="ignore"):
        q = -0.5 * (b + np.where(b >= 0.0, 1.0, -1.0) * np.sqrt(b * b - 4.0 * a * c))
        first = np.where(a == 0.0, np.where(b == 0.0, np.nan, -c / b), q / a)
        return first, np.where((a == 0.0) | (q == 0.0), np.nan, c / q)
