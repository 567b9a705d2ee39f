"""Righting levers: her cross curves made into one continuous curve for each condition.

    GZ(heel) = KN(heel) - KG sin(heel) - TCG cos(heel),   for the side she leans to,

with KN between tabulated displacements linearly and across heel by the odd spline of `spline.py`, whose slope at
the origin is KM: so dGZ/dheel at 0 is GM, and at tabulated heels the table comes back exactly. Areas, roots and the
maximum are those of this one curve, never of a grid of points. Angles are degrees outside, radians inside.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field

import numpy as np

from .errors import Refusals, UnusableBooklet
from .frame import Floats, Ints
from .interpolation import TableStack, between, outside, refuse
from .spline import OddSpline

STEP = 1.0
"""Degrees between the points of the printed curve; roots are bracketed on them and then solved for."""
HAIR = 1e-6
"""Degrees over which a curve shows whether it rises or falls."""


@dataclass(frozen=True)
class CrossCurveTable:
    """KN [D, H] (m) at one trim (m by the stern) for displacements [D] (t, in the water of the table)."""

    trim: float
    displacements: Floats
    levers: Floats


@dataclass(frozen=True)
class CrossCurves:
    """All tabulated trims, increasing, at common heels [H] (degrees) and for water of `density` (t/m3)."""

    density: float
    heels: Floats
    tables: tuple[CrossCurveTable, ...]
    trims: Floats = field(init=False)
    stack: TableStack = field(init=False)
    spline: OddSpline = field(init=False)
    grid: Floats = field(init=False)
    grid_of_values: Floats = field(init=False)
    grid_of_slope: Floats = field(init=False)
    grid_sine: Floats = field(init=False)
    grid_cosine: Floats = field(init=False)

    def __post_init__(self) -> None:
        """Check the order of the tables and prepare the spline and the points of the printed curve."""
        if len(self.heels) < 1 or not (np.diff(self.heels) > 0).all() or self.heels[0] <= 0:
            raise UnusableBooklet("heels must be positive and increase", ("cross_curves", "heels"))
        for table in self.tables:
            if len(table.displacements) < 2 or not (np.diff(table.displacements) > 0).all():
                raise UnusableBooklet("displacements must increase", ("cross_curves", "displacements"))
        last = float(self.heels[-1])
        grid = np.append(np.arange(0.0, last - 1e-9, STEP), last)
        spline = OddSpline.through(np.radians(self.heels))
        of_values, of_slope = spline.basis(np.radians(grid))
        for name, value in (
            ("trims", np.array([table.trim for table in self.tables])),
            ("stack", TableStack([t.displacements for t in self.tables], [t.levers for t in self.tables])),
            ("spline", spline),
            ("grid", grid),
            ("grid_of_values", of_values),
            ("grid_of_slope", of_slope),
            ("grid_sine", np.sin(np.radians(grid))),
            ("grid_cosine", np.cos(np.radians(grid))),
        ):
            object.__setattr__(self, name, value)

    @property
    def last_heel(self) -> float:
        """End of the curve in degrees. Source: the vessel's booklet."""
        return float(self.heels[-1])

    def values(self, displacement: Floats, trim: Floats, refusals: Refusals) -> Floats:
        """KN [N, H] (m) at displacements [N] (t, in the water of the table) and trims [N] (m by the stern).

        Linear in displacement and in trim; refuses what lies outside. Source: common practice, no source."""
        off = self.stack.off(displacement)
        for k in np.flatnonzero(off.any(axis=1)):
            ends = self.tables[k].displacements
            words = "displacement in her cross curves"
            refuse(refusals, off[k], words, displacement, float(ends[0]), float(ends[-1]), "mass")
        values = self.stack.at_all(displacement)
        if len(self.tables) == 1:
            only: Floats = values[0]
            return only
        low, high = float(self.trims[0]), float(self.trims[-1])
        refuse(refusals, outside(trim, low, high), "trim in her cross curves", trim, low, high, "length")
        index, fraction = between(self.trims, trim)
        every = np.arange(len(trim))
        below = values[index, every]
        blended: Floats = below + fraction[:, None] * (values[index + 1, every] - below)
        return blended


@dataclass(frozen=True)
class Crossing:
    """A search: where the curve crosses `level` [N] (m) upward (rising) or downward.

    The first one, or the first beyond the crossing found by the search of index `following` in the same list."""

    level: Floats
    rising: bool
    following: int | None = None


class RightingLever:
    """GZ of each condition of a batch as one curve: N curves, heels 0 to the last tabulated one (odd below 0, but
    for TCG).

    Source: definition of GZ from KN; 2008 IS Code Part B 3.5 (free-trim calculation is the booklet's).
    """

    def __init__(self, curves: CrossCurves, values: Floats, km: Floats, vcg: Floats, tcg: Floats) -> None:
        """values [N, H] KN in m at `curves.heels`; km, vcg (fluid), tcg (positive to the side she heels to) [N] m."""
        self.curves = curves
        self.km, self.vcg, self.tcg = km, vcg, tcg
        values = np.concatenate((np.zeros((len(km), 1)), values), axis=1)
        kn = values @ curves.grid_of_values.T + km[:, None] * curves.grid_of_slope
        self.levers: Floats = kn - vcg[:, None] * curves.grid_sine - tcg[:, None] * curves.grid_cosine
        self._knots = curves.spline.knots
        self._pieces, self._areas = self._polynomials(values, curves.spline.slopes(values, km))
        self._first_piece = np.arange(len(km)) * (len(self._knots) - 1)
        self.maximum, self.angle_of_maximum = self._greatest_near(self.levers.argmax(axis=1))

    def rows(self, index: Ints) -> "RightingLever":
        """The curves at the given rows [M]. Source: definition."""
        chosen, intervals = copy(self), len(self._knots) - 1
        for name in ("km", "vcg", "tcg", "levers", "maximum", "angle_of_maximum"):
            setattr(chosen, name, getattr(self, name)[index])
        pieces = (index[:, None] * intervals + np.arange(intervals)).ravel()
        chosen._pieces, chosen._areas = self._pieces[:, pieces], self._areas[pieces]
        chosen._first_piece = np.arange(len(index)) * intervals
        return chosen

    def mirrored(self) -> "RightingLever":
        """The same ships heeling to the other side. Source: definition (KN is the same on both sides)."""
        return self._leaning(-self.tcg)

    def centred(self) -> "RightingLever":
        """The same curves for a centre of gravity on the centreline. Source: definition."""
        return self._leaning(np.zeros_like(self.tcg))

    def _leaning(self, tcg: Floats) -> "RightingLever":
        other = copy(self)
        other.tcg = tcg
        other.levers = self.levers + (self.tcg - tcg)[:, None] * self.curves.grid_cosine
        other.maximum, other.angle_of_maximum = other._greatest_near(other.levers.argmax(axis=1))
        return other

    def angle_of_greatest(self, last: Floats) -> Floats:
        """Angle [N] in degrees of the greatest lever between upright and `last` [N] degrees; NaN where that is NaN.

        Where the curve has a second hump beyond `last`, its first one counts. Source: definition."""
        angle, beyond = np.minimum(self.angle_of_maximum, last), self.angle_of_maximum > last
        if not beyond.any():
            return angle
        before = np.where(self.heels <= last[:, None], self.levers, -np.inf)
        highest = np.maximum(before.max(axis=1), self.lever(last - HAIR))
        passed = beyond & (self.lever(last) < highest)
        if passed.any():
            first = self._greatest_near(before.argmax(axis=1))[1]
            angle = np.where(passed, np.minimum(first, last), angle)
        return angle

    def less(self, arm: Floats, slope: Floats) -> "RightingLever":
        """The same curves less a heeling lever that is a straight line: `arm` [N] m upright, growing by `slope` [N]
        m a radian. For heels to this side only. Source: definition (a straight line is a polynomial too)."""
        rest, start = copy(self), self._knots[:-1]
        arm, slope = arm[:, None], slope[:, None]
        rest._pieces = self._pieces.copy()
        rest._pieces[0] -= (arm + slope * start).ravel()
        rest._pieces[1] -= np.repeat(slope, len(start))
        rest._areas = self._areas - (start * (arm + 0.5 * slope * start)).ravel()
        rest.levers = self.levers - arm - slope * np.radians(self.heels)
        rest.maximum, rest.angle_of_maximum = rest._greatest_near(rest.levers.argmax(axis=1))
        return rest

    def _polynomials(self, values: Floats, slopes: Floats) -> tuple[Floats, Floats]:
        """KN of every interval as c0 + c1 t + c2 t^2 + c3 t^3, t radians from its left knot: [4, N * (K-1)], and the
        area under KN from upright to each left knot [N * (K-1)]. Source: cubic Hermite form, definition."""
        step = np.diff(self._knots)
        y0, m0, m1 = values[:, :-1], slopes[:, :-1], slopes[:, 1:]
        mean = (values[:, 1:] - y0) / step
        pieces = np.array((y0, m0, (3.0 * mean - 2.0 * m0 - m1) / step, (m0 + m1 - 2.0 * mean) / step**2))
        inner = step * (0.5 * (y0 + values[:, 1:]) + step / 12.0 * (m0 - m1))
        areas = np.zeros_like(inner)
        np.cumsum(inner[:, :-1], axis=1, out=areas[:, 1:])
        return pieces.reshape(4, -1), areas.ravel()

    @property
    def heels(self) -> Floats:
        """Angles [A] of `levers` [N, A], degrees. Source: definition."""
        return self.curves.grid

    def lever(self, angle: Floats) -> Floats:
        """GZ [N] in m at angles [N] in degrees, negative angles included. Source: see the module."""
        radians = np.radians(angle)
        size = np.abs(radians)
        piece, t = self._place(size)
        c = self._pieces[:, piece]
        kn = np.copysign(1.0, radians) * (c[0] + t * (c[1] + t * (c[2] + t * c[3])))
        result: Floats = kn - self.vcg * np.sin(radians) - self.tcg * np.cos(radians)
        return result

    def area(self, first: Floats, last: Floats) -> Floats:
        """Integral of GZ from `first` to `last` [N] degrees, m.rad: exact for this curve. Source: definition."""
        both = self.area_from_upright(np.stack((first, last), axis=1))
        result: Floats = both[:, 1] - both[:, 0]
        return result

    def area_from_upright(self, angle: Floats) -> Floats:
        """Integral of GZ from upright to angles [N, R] in degrees (negative to windward), m.rad. Source: definition."""
        radians = np.radians(angle)
        piece, t = self._place(np.abs(radians))
        c = self._pieces[:, piece]
        kn = self._areas[piece] + t * (c[0] + t * (c[1] / 2.0 + t * (c[2] / 3.0 + t * c[3] / 4.0)))
        # even in the angle, because KN is odd; so is the term of KG, but not that of TCG
        result: Floats = (
            kn - self.vcg[:, None] * (1.0 - np.cos(radians)) - self.tcg[:, None] * np.sin(radians)
        )
        return result

    def first_crossings(self, searches: Sequence[Crossing]) -> Floats:
        """Angles [N, S] in degrees of the crossings asked for; NaN where there is none up to the last heel.

        The curve is bracketed on its printed points and at its maximum, then solved to rounding.
        Source: root of the curve, definition; bracketed Newton iteration (Press et al., Numerical Recipes, 9.4)."""
        nodes, levers = self._nodes()
        low, high, start = np.zeros((3, len(self.km), len(searches)))
        line = np.arange(len(self.km))
        found = np.zeros(low.shape, dtype=bool)
        brackets: list[Ints] = []
        for s, search in enumerate(searches):
            above = levers >= search.level[:, None]
            above[:, 0] &= (levers[:, 0] > search.level) | (self.km >= self.vcg)
            change = above[:, 1:] & ~above[:, :-1] if search.rising else above[:, :-1] & ~above[:, 1:]
            if search.following is not None:
                change &= np.arange(change.shape[1]) >= brackets[search.following][:, None]
            k = change.argmax(axis=1)
            there = change[line, k]
            first, last = nodes[line, k], nodes[line, k + 1]
            below = levers[line, k] - search.level
            chord = first + (last - first) * below / np.where(
                there, below - levers[line, k + 1] + search.level, 1.0
            )
            low[:, s], high[:, s] = np.where(there, first, 0.0), np.where(there, last, 0.0)
            start[:, s] = np.where(there, chord, 0.0)
            # already above the level when upright: that is where she rests
            resting = above[:, 0] & above[:, 1] & search.rising
            low[resting, s] = high[resting, s] = start[resting, s] = 0.0
            found[:, s] = there | resting
            brackets.append(np.where(resting, 0, k))
        level = np.stack([s.level for s in searches], axis=1)
        sign = np.array([1.0 if s.rising else -1.0 for s in searches])
        return np.where(found, self._solve(low, high, start, level, sign), np.nan)

    def _nodes(self) -> tuple[Floats, Floats]:
        """The printed points with the one nearest the maximum moved onto it, so that no root pair is stepped over."""
        nodes = np.repeat(self.heels[None, :], len(self.km), axis=0)
        levers = self.levers.copy()
        line = np.arange(len(self.km))
        nearest = np.minimum(np.rint(self.angle_of_maximum / STEP).astype(np.int64), nodes.shape[1] - 1)
        inside = (nearest > 0) & (nearest < nodes.shape[1] - 1)
        nodes[line, nearest] = np.where(inside, self.angle_of_maximum, nodes[line, nearest])
        levers[line, nearest] = np.where(inside, self.maximum, levers[line, nearest])
        return nodes, levers

    def _solve(self, low: Floats, high: Floats, start: Floats, level: Floats, sign: Floats) -> Floats:
        """Newton steps from `start` on brackets [N, S] (degrees), halving whenever a step leaves its bracket."""
        low, high, angle = np.radians(low), np.radians(high), np.radians(start)
        vcg, tcg = self.vcg[:, None], self.tcg[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            for _ in range(60):
                piece, t = self._place(angle)
                c = self._pieces[:, piece]
                sine, cosine = np.sin(angle), np.cos(angle)
                value = c[0] + t * (c[1] + t * (c[2] + t * c[3])) - vcg * sine - tcg * cosine - level
                slope = c[1] + t * (2.0 * c[2] + 3.0 * t * c[3]) - vcg * cosine + tcg * sine
                below = sign * value < 0.0
                low, high = np.where(below, angle, low), np.where(below, high, angle)
                step = angle - value / slope
                angle, done = _next(angle, step, low, high)
                if done:
                    break
        result: Floats = np.degrees(angle)
        return result

    def _greatest_near(self, best: Ints) -> tuple[Floats, Floats]:
        """Greatest GZ [N] (m) next to the printed points `best` [N] and its angle [N] (degrees), by Newton steps."""
        line = np.arange(len(self.km))
        low = np.radians(self.heels[np.maximum(best - 1, 0)])
        high = np.radians(self.heels[np.minimum(best + 1, len(self.heels) - 1)])
        angle = self._vertex(best)
        with np.errstate(divide="ignore", invalid="ignore"):
            for _ in range(40):
                piece, t = self._place(angle)
                c = self._pieces[:, piece]
                sine, cosine = np.sin(angle), np.cos(angle)
                slope = c[1] + t * (2.0 * c[2] + 3.0 * t * c[3]) - self.vcg * cosine + self.tcg * sine
                curvature = 2.0 * c[2] + 6.0 * t * c[3] + self.vcg * sine + self.tcg * cosine
                rising = slope > 0.0
                low, high = np.where(rising, angle, low), np.where(rising, high, angle)
                step = angle - slope / curvature
                angle, done = _next(angle, step, low, high)
                if done:
                    break
        degrees = np.degrees(angle)
        lever, printed = self.lever(degrees), self.levers[line, best]
        kept = lever >= printed
        return np.where(kept, lever, printed), np.where(kept, degrees, self.heels[best])

    def _vertex(self, best: Ints) -> Floats:
        """Where the parabola through the greatest printed point and its neighbours is greatest, radians [N]."""
        line = np.arange(len(self.km))
        middle = np.minimum(np.maximum(best, 1), len(self.heels) - 2)
        before, at, after = (self.levers[line, middle + k] for k in (-1, 0, 1))
        with np.errstate(divide="ignore", invalid="ignore"):
            part = 0.5 * (before - after) / (before - 2.0 * at + after)
        inside = (
            (middle == best) & (np.abs(part) < 1.0) & (self.heels[middle + 1] - self.heels[middle] == STEP)
        )
        return np.radians(self.heels[best] + np.where(inside, part * STEP, 0.0))

    def _place(self, radians: Floats) -> tuple[Ints, Floats]:
        """Column of `_pieces` and radians from its left knot: angles [N] or [N, S], upright to the last heel."""
        interval = self._knots[1:-1].searchsorted(radians, side="right")
        first = self._first_piece if radians.ndim == 1 else self._first_piece[:, None]
        return first + interval, radians - self._knots[interval]


QUADRATIC = 1e-9
"""Radians: a Newton step this short leaves an error of the order of its square."""


def _next(angle: Floats, step: Floats, low: Floats, high: Floats) -> tuple[Floats, bool]:
    """The Newton step where it stays in the bracket, else the middle; and whether every angle is found."""
    inside = (step >= low) & (step <= high)
    better = np.where(inside, step, 0.5 * (low + high))
    return better, bool((np.abs(better - angle) <= np.where(inside, QUADRATIC, 1e-14)).all())
