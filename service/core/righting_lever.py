"""Righting levers: her cross curves made into one continuous curve for each condition.

    GZ(heel) = KN(heel) - KG sin(heel) - TCG cos(heel),   for the side she leans to,

with KN between tabulated displacements linearly and across heel by the odd spline of `spline.py`, whose slope at
the origin is KM: so dGZ/dheel at 0 is GM, and at tabulated heels the table comes back exactly. Areas, roots and the
maximum are those of this one curve, never of a grid of points. Angles are degrees outside, radians inside.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from .errors import NoEquilibrium, OutsideTable, Refusals, UnusableBooklet
from .flotation import Flotation
from .frame import Bools, Floats, Ints
from .interpolation import locate, outside, refuse_outside
from .spline import OddSpline

STEP = 1.0
"""Degrees between the points of the printed curve; roots are bracketed on them and then solved for."""


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
    spline: OddSpline = field(init=False)
    grid: Floats = field(init=False)
    grid_of_values: Floats = field(init=False)
    grid_of_slope: Floats = field(init=False)

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
            ("spline", spline),
            ("grid", grid),
            ("grid_of_values", of_values),
            ("grid_of_slope", of_slope),
        ):
            object.__setattr__(self, name, value)

    @property
    def last_heel(self) -> float:
        """End of the curve in degrees. Source: the vessel's booklet."""
        return float(self.heels[-1])

    def values(self, displacement: Floats, trim: Floats, refusals: Refusals) -> Floats:
        """KN [N, H] (m) at displacements [N] (t, in the water of the table) and trims [N] (m by the stern).

        Linear in displacement and in trim; refuses what lies outside. Source: common practice, no source."""
        for table in self.tables:
            refuse_outside(
                refusals, "displacement in her cross curves", displacement, table.displacements, "mass"
            )
        at_trims = []
        for table in self.tables:
            index, fraction = locate(table.displacements, displacement)
            low = table.levers[index]
            at_trims.append(low + fraction[:, None] * (table.levers[index + 1] - low))
        if len(self.tables) == 1:
            return at_trims[0]
        trims = np.array([table.trim for table in self.tables])
        for n in np.flatnonzero(outside(trim, float(trims[0]), float(trims[-1]))):
            refusals.add(
                int(n),
                OutsideTable(
                    "trim in her cross curves", float(trim[n]), float(trims[0]), float(trims[-1]), "length"
                ),
            )
        index, fraction = locate(trims, trim)
        stacked, every = np.stack(at_trims), np.arange(len(trim))
        result: Floats = stacked[index, every] + fraction[:, None] * (
            stacked[index + 1, every] - stacked[index, every]
        )
        return result


@dataclass(frozen=True)
class Crossing:
    """A search: where the curve crosses `level` [N] (m) upward (rising) or downward, the first beyond `after` [N]."""

    level: Floats
    rising: bool
    after: Floats | None = None


class RightingLever:
    """GZ of each condition of a batch as one curve: N curves, heels 0 to the last tabulated one (odd below 0, but
    for TCG).

    Source: definition of GZ from KN; 2008 IS Code Part B 3.5 (free-trim calculation is the booklet's).
    """

    def __init__(self, curves: CrossCurves, values: Floats, km: Floats, vcg: Floats, tcg: Floats) -> None:
        """values [N, H] KN in m at `curves.heels`; km, vcg (fluid), tcg (positive to the side she heels to) [N] m."""
        self.curves = curves
        self.knots = curves.spline.knots
        self.values = np.concatenate((np.zeros((len(km), 1)), values), axis=1)
        self.km, self.vcg, self.tcg = km, vcg, tcg
        self.slopes = curves.spline.slopes(self.values, km)
        radians = np.radians(curves.grid)
        kn = self.values @ curves.grid_of_values.T + km[:, None] * curves.grid_of_slope
        self.levers: Floats = kn - vcg[:, None] * np.sin(radians) - tcg[:, None] * np.cos(radians)
        self._steps = np.diff(self.knots)
        inner = 0.5 * self._steps * (self.values[:, :-1] + self.values[:, 1:])
        inner = inner + self._steps**2 / 12.0 * (self.slopes[:, :-1] - self.slopes[:, 1:])
        self._areas = np.concatenate((np.zeros((len(km), 1)), np.cumsum(inner, axis=1)), axis=1)
        self.maximum, self.angle_of_maximum = self._find_maximum()

    @property
    def heels(self) -> Floats:
        """Angles [A] of `levers` [N, A], degrees. Source: definition."""
        return self.curves.grid

    def lever(self, angle: Floats) -> Floats:
        """GZ in m at angles [N] or [N, R] in degrees, negative angles included. Source: see the module."""
        radians = np.radians(angle)
        return (
            self._kn(radians)[0]
            - self._per(self.vcg, angle) * np.sin(radians)
            - self._per(self.tcg, angle) * np.cos(radians)
        )

    def area(self, first: Floats, last: Floats) -> Floats:
        """Integral of GZ from `first` to `last` [N] degrees, m.rad: exact for this curve. Source: definition."""
        return self._area_from_zero(last) - self._area_from_zero(first)

    def _area_from_zero(self, angle: Floats) -> Floats:
        radians = np.abs(np.radians(angle))
        index, step, s = self._place(radians)
        line = np.arange(len(radians))
        y0, y1 = self.values[line, index], self.values[line, index + 1]
        m0, m1 = self.slopes[line, index] * step, self.slopes[line, index + 1] * step
        third, fourth = 3.0 * (y1 - y0) - 2.0 * m0 - m1, 2.0 * (y0 - y1) + m0 + m1
        part = s * (y0 + s * (m0 / 2.0 + s * (third / 3.0 + s * fourth / 4.0)))
        kn = self._areas[line, index] + step * part  # even in the angle: KN is odd
        return kn - self.vcg * (1.0 - np.cos(radians)) - self.tcg * np.sin(np.radians(angle))

    def first_crossings(self, searches: Sequence[Crossing]) -> Floats:
        """Angles [N, S] in degrees of the crossings asked for; NaN where there is none up to the last heel.

        The curve is bracketed on its printed points and at its maximum, then solved to rounding.
        Source: root of the curve, definition; bracketed Newton iteration (Press et al., Numerical Recipes, 9.4)."""
        nodes, levers = self._nodes()
        low, high = np.zeros((2, len(self.km), len(searches)))
        level = np.stack([s.level for s in searches], axis=1)
        line = np.arange(len(self.km))
        found = np.zeros(low.shape, dtype=bool)
        for s, search in enumerate(searches):
            above = levers - search.level[:, None] >= 0.0
            above[:, 0] &= (levers[:, 0] > search.level) | (self._slope_upright() >= 0.0)
            change = above[:, 1:] & ~above[:, :-1] if search.rising else above[:, :-1] & ~above[:, 1:]
            if search.after is not None:
                change &= nodes[:, 1:] > search.after[:, None]
            k = np.argmax(change, axis=1)
            found[:, s] = change[line, k]
            low[:, s], high[:, s] = nodes[line, k], nodes[line, k + 1]
            if search.rising:  # already above the level when upright: that is where she rests
                upright = above[:, 0] & above[:, 1]
                found[:, s] |= upright
                high[upright, s] = low[upright, s] = 0.0
        rising = np.array([s.rising for s in searches])
        root = self._solve(low, high, level, np.where(rising, 1.0, -1.0))
        return np.where(found, root, np.nan)

    def _slope_upright(self) -> Floats:
        return self.km - self.vcg

    def _nodes(self) -> tuple[Floats, Floats]:
        """The printed points with the one nearest the maximum moved onto it, so that no root pair is stepped over."""
        nodes = np.repeat(self.heels[None, :], len(self.km), axis=0)
        levers = self.levers.copy()
        line = np.arange(len(self.km))
        nearest = np.clip(np.rint(self.angle_of_maximum / STEP).astype(np.int64), 0, nodes.shape[1] - 1)
        inside = (nearest > 0) & (nearest < nodes.shape[1] - 1)
        nodes[line, nearest] = np.where(inside, self.angle_of_maximum, nodes[line, nearest])
        levers[line, nearest] = np.where(inside, self.maximum, levers[line, nearest])
        return nodes, levers

    def _solve(self, low: Floats, high: Floats, level: Floats, sign: Floats) -> Floats:
        """Newton steps on brackets [N, S] (degrees), falling back to halving whenever a step leaves its bracket."""
        low, high = np.radians(low), np.radians(high)
        vcg, tcg = self.vcg[:, None], self.tcg[:, None]
        angle = 0.5 * (low + high)
        for _ in range(60):
            kn, slope = self._kn(angle)
            sine, cosine = np.sin(angle), np.cos(angle)
            value = sign * (kn - vcg * sine - tcg * cosine - level)
            slope = sign * (slope - vcg * cosine + tcg * sine)
            low, high = np.where(value < 0.0, angle, low), np.where(value < 0.0, high, angle)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = angle - value / slope
            better = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            done = np.abs(better - angle) <= 1e-14
            angle = better
            if done.all():
                break
        result: Floats = np.degrees(angle)
        return result

    def _find_maximum(self) -> tuple[Floats, Floats]:
        """Greatest GZ [N] (m) and its angle [N] (degrees), by Newton on the slope next to the greatest printed point."""
        line = np.arange(len(self.km))
        best = np.argmax(self.levers, axis=1)
        low = np.radians(self.heels[np.maximum(best - 1, 0)])
        high = np.radians(self.heels[np.minimum(best + 1, len(self.heels) - 1)])
        angle = np.radians(self.heels[best])
        for _ in range(40):
            _, slope, curvature = self._kn_twice(angle)
            sine, cosine = np.sin(angle), np.cos(angle)
            slope = slope - self.vcg * cosine + self.tcg * sine
            curvature = curvature + self.vcg * sine + self.tcg * cosine
            low, high = np.where(slope > 0.0, angle, low), np.where(slope > 0.0, high, angle)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = angle - slope / curvature
            better = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
            done = np.abs(better - angle) <= 1e-13
            angle = better
            if done.all():
                break
        degrees = np.degrees(angle)
        lever = self.lever(degrees)
        kept = lever >= self.levers[line, best]
        return np.where(kept, lever, self.levers[line, best]), np.where(kept, degrees, self.heels[best])

    def _place(self, radians: Floats) -> tuple[Ints, Floats, Floats]:
        index = np.clip(np.searchsorted(self.knots, radians, side="right") - 1, 0, len(self._steps) - 1)
        step = self._steps[index]
        return index, step, (radians - self.knots[index]) / step

    def _kn(self, radians: Floats) -> tuple[Floats, Floats]:
        """KN and its slope per radian at angles [N] or [N, R] in radians."""
        kn, slope, _ = self._kn_twice(radians)
        return kn, slope

    def _kn_twice(self, radians: Floats) -> tuple[Floats, Floats, Floats]:
        sign, size = np.sign(radians), np.abs(radians)
        index, step, s = self._place(size)
        line = np.arange(len(self.km))
        if radians.ndim == 2:
            line = line[:, None]
        y0, y1 = self.values[line, index], self.values[line, index + 1]
        m0, m1 = self.slopes[line, index] * step, self.slopes[line, index + 1] * step
        second, third = 3.0 * (y1 - y0) - 2.0 * m0 - m1, 2.0 * (y0 - y1) + m0 + m1
        kn = y0 + s * (m0 + s * (second + s * third))
        slope = (m0 + s * (2.0 * second + 3.0 * s * third)) / step
        curvature = (2.0 * second + 6.0 * s * third) / step**2
        return sign * kn, slope, sign * curvature

    def _per(self, value: Floats, angle: Floats) -> Floats:
        return value if angle.ndim == 1 else value[:, None]


def vanishing_angle(curve: RightingLever) -> Floats:
    """Angle [N] in degrees beyond the maximum at which GZ falls to zero; NaN where it does not up to the last heel.

    Source: definition (range of stability)."""
    zero = np.zeros_like(curve.km)
    return curve.first_crossings([Crossing(zero, False, curve.angle_of_maximum)])[:, 0]


def equilibrium_angle(curve: RightingLever, refusals: Refusals, asked: Bools) -> Floats:
    """Angle [N] in degrees at which GZ first rises through zero: her list or loll under no heeling moment.

    Refuses those of the `asked` [N] conditions that have none. Source: definition of equilibrium."""
    angle = curve.first_crossings([Crossing(np.zeros_like(curve.km), True)])[:, 0]
    for n in np.flatnonzero(asked & np.isnan(angle)):
        refusals.add(
            int(n),
            NoEquilibrium(
                "her righting lever rises through zero at no angle of the cross curves: she would capsize"
            ),
        )
    return angle


@dataclass(frozen=True)
class Stability:
    """Initial stability of each condition [N]: list in degrees positive to port, NaN-free unless refused; loll is
    NaN where GM is positive. `from_curve` tells that the list is a root of GZ."""

    list_angle: Floats
    loll: Floats
    from_curve: Bools


SMALL_ANGLE = 5.0
"""Degrees up to which the list is taken from tan(list) = TCG / GM. Source: common practice, no source."""


def list_angle(curve: RightingLever, gm: Floats, side: Floats, tcg: Floats, refusals: Refusals) -> Stability:
    """List [N] from TCG and GM (both m) for small angles, else from the curve of the heavy side (`side` +1 port).

    With GM not positive she lies at her angle of loll. Source: Derrett and Barrass, Ship Stability, chapters on list
    and on angle of loll: tan(list) = GG1 / GM.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        small = np.degrees(np.arctan(np.abs(tcg) / gm))
    positive = gm > 0.0
    from_curve = ~positive | (small > SMALL_ANGLE)
    angle = np.where(from_curve, 0.0, small)
    loll = np.full_like(gm, np.nan)
    if from_curve.any():
        angle = np.where(from_curve, equilibrium_angle(curve, refusals, from_curve), angle)
        loll = np.where(positive, np.nan, angle)
    return Stability(side * angle, loll, from_curve)


def flotation_side(flotation: Flotation, tcg: Floats) -> Floats:
    """Side [N] she leans to: +1 port, -1 starboard; port for an upright ship. Source: definition."""
    return np.where(tcg - flotation.tcb < 0.0, -1.0, 1.0)
