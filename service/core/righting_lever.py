"""Righting levers: her cross curves made into one continuous curve.

    GZ(heel) = KN(heel) - KG sin(heel) - TCG cos(heel),   for the side she leans to,

with KN between tabulated displacements linearly and across heel by the odd spline of `spline.py`, whose slope at
the origin is KM: so dGZ/dheel at 0 is GM, and at tabulated heels the table comes back exactly. Areas, roots and the
maximum are those of this one curve, never of a grid of points. Angles are degrees outside, radians inside.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, degrees, inf, radians, sin

import numpy as np

from .errors import OutsideTable, UnusableBooklet
from .frame import Floats
from .interpolation import ROOM_AT_THE_ENDS, interval, is_outside
from .spline import OddSpline

STEP = 1.0
"""Degrees between the points of the printed curve; roots are bracketed on them and then solved for."""
HAIR = 1e-6
"""Degrees over which a curve shows whether it rises or falls."""
QUADRATIC = 1e-9
"""Radians: a Newton step this short leaves an error of the order of its square."""


@dataclass(frozen=True)
class CrossCurveTable:
    """KN [D, H] (m) at one trim (m by the stern) for displacements [D] (t, in the water of the table)."""

    trim: float
    displacements: Sequence[float]
    levers: Floats

    def require(self, displacement: float) -> None:
        """Raise OutsideTable for a displacement (t, in the water of the table) beyond an end. Source: definition."""
        low, high = self.displacements[0], self.displacements[-1]
        room = ROOM_AT_THE_ENDS * abs(high)
        if not low - room <= displacement <= high + room:
            raise OutsideTable("displacement in her cross curves", displacement, low, high, "mass")

    def at(self, displacement: float) -> Floats:
        """KN [H] (m) at a displacement (t, in the water of the table), held at both ends.

        Linear in displacement. Source: common practice, no source."""
        i, part = interval(self.displacements, displacement)
        levers: Floats = self.levers[i] + part * (self.levers[i + 1] - self.levers[i])
        return levers


@dataclass(frozen=True)
class CrossCurves:
    """All tabulated trims, increasing, at common heels [H] (degrees) and for water of `density` (t/m3).

    Everything about a curve that is linear in its data [KN [H], KM, KG, TCG] is one product with `matrix`: its points
    at the heels `grid` [A], the polynomials of KN between the heels [4 x (K-1)] and the areas under KN up to each of
    them [K-1], K knots being upright and the heels."""

    density: float
    heels: Sequence[float]
    tables: tuple[CrossCurveTable, ...]
    trims: list[float] = field(init=False, repr=False, compare=False)
    knots: list[float] = field(init=False, repr=False, compare=False)
    grid: list[float] = field(init=False, repr=False, compare=False)
    grid_cosine: Floats = field(init=False, repr=False, compare=False)
    matrix: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the order of the tables and prepare the spline and the points of the printed curve."""
        heels = [0.0, *self.heels]
        if len(heels) < 2 or any(b <= a for a, b in pairwise(heels)):
            raise UnusableBooklet("heels must be positive and increase", ("cross_curves", "heels"))
        for table in self.tables:
            rises = all(a < b for a, b in pairwise(table.displacements))
            if len(table.displacements) < 2 or not rises:
                raise UnusableBooklet("displacements must increase", ("cross_curves", "displacements"))
        last = heels[-1]
        grid = np.append(np.arange(0.0, last - 1e-9, STEP), last)
        spline = OddSpline.through(np.radians(self.heels))
        prepared = {
            "trims": [table.trim for table in self.tables],
            "knots": spline.knots.tolist(),
            "grid": grid.tolist(),
            "grid_cosine": np.cos(np.radians(grid)),
            "matrix": np.vstack((_points(spline, np.radians(grid)), _pieces(spline))),
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)

    @property
    def last_heel(self) -> float:
        """End of the curve in degrees. Source: the vessel's booklet."""
        return self.grid[-1]

    def kn(self, displacement: float, trim: float) -> Floats:
        """KN [H] (m) at a displacement (t, in the water of the table) and trim (m by the stern).

        Linear in displacement and in trim. Raises OutsideTable. Source: common practice, no source."""
        for table in self.tables:
            table.require(displacement)
        if len(self.tables) == 1:
            return self.tables[0].at(displacement)
        if is_outside(trim, self.trims[0], self.trims[-1]):
            raise OutsideTable("trim in her cross curves", trim, self.trims[0], self.trims[-1], "length")
        i, part = interval(self.trims, trim)
        below, above = self.tables[i].at(displacement), self.tables[i + 1].at(displacement)
        blended: Floats = below + part * (above - below)
        return blended


def _points(spline: OddSpline, grid: Floats) -> Floats:
    """GZ [A] at the angles `grid` (radians) from [KN [H], KM, KG, TCG]."""
    of_values, of_slope = spline.basis(grid)
    return np.column_stack((of_values[:, 1:], of_slope, -np.sin(grid), -np.cos(grid)))


def _pieces(spline: OddSpline) -> Floats:
    """KN of every interval as c0 + c1 t + c2 t^2 + c3 t^3, t radians from its left knot, and the area under KN from
    upright to that knot: [5 x (K-1)] from [KN [H], KM, KG, TCG]. Source: cubic Hermite form, definition."""
    step = np.diff(spline.knots)[:, None]
    count = len(spline.knots)
    value = np.hstack((np.eye(count), np.zeros((count, 1))))  # of [0, KN, KM]
    slope = np.column_stack((spline.from_values, spline.from_slope))
    y0, y1, m0, m1 = value[:-1], value[1:], slope[:-1], slope[1:]
    mean = (y1 - y0) / step
    inner = step * (0.5 * (y0 + y1) + step / 12.0 * (m0 - m1))
    areas = np.cumsum(inner, axis=0) - inner
    columns = (y0, m0, (3.0 * mean - 2.0 * m0 - m1) / step, (m0 + m1 - 2.0 * mean) / step**2, areas)
    pieces = np.stack(columns, axis=1).reshape(-1, count + 1)[:, 1:]
    return np.hstack((pieces, np.zeros((len(pieces), 2))))


class RightingLever:
    """GZ as one curve from upright to the last tabulated heel (odd below 0, but for TCG).

    Source: definition of GZ from KN; 2008 IS Code Part B 3.5 (free-trim calculation is the booklet's).
    """

    def __init__(self, curves: CrossCurves, kn: Floats, km: float, vcg: float, tcg: float) -> None:
        """kn [H] in m at `curves.heels`; km, vcg (fluid), tcg (positive to the side she heels to) in m."""
        self.curves = curves
        self.km, self.vcg, self.tcg = km, vcg, tcg
        data = curves.matrix @ np.concatenate((kn, (km, vcg, tcg)))
        points = len(curves.grid)
        self.levers: list[float] = data[:points].tolist()
        self._pieces: list[list[float]] = data[points:].reshape(-1, 5).tolist()
        self._knots = curves.knots
        self._measure()

    def _measure(self) -> None:
        """Find the maximum, and the nodes that roots are bracketed on."""
        levers, heels = self.levers, self.heels
        best = levers.index(max(levers))
        self.maximum, self.angle_of_maximum = self._greatest_near(best)
        # the printed point nearest the maximum is moved onto it, so that no pair of roots is stepped over
        self._nodes, self._node_levers = heels, levers
        nearest = min(round(self.angle_of_maximum / STEP), len(heels) - 1)
        if 0 < nearest < len(heels) - 1:
            self._nodes, self._node_levers = heels.copy(), levers.copy()
            self._nodes[nearest], self._node_levers[nearest] = self.angle_of_maximum, self.maximum

    def leaning(self, tcg: float) -> "RightingLever":
        """The same curve for another TCG (m, positive to the side she heels to): of the other side, its negative.

        Source: definition (KN is the same on both sides)."""
        other = copy(self)
        other.tcg = tcg
        shift = (self.tcg - tcg) * self.curves.grid_cosine
        other.levers = (np.array(self.levers) + shift).tolist()
        other._measure()
        return other

    def less(self, arm: float, slope: float) -> "RightingLever":
        """The same curve less a heeling lever that is a straight line: `arm` m upright, growing by `slope` m a radian.
        For heels to this side only. Source: definition (a straight line is a polynomial too)."""
        rest = copy(self)
        rest._pieces = [
            [c0 - arm - slope * start, c1 - slope, c2, c3, area - start * (arm + 0.5 * slope * start)]
            for (c0, c1, c2, c3, area), start in zip(self._pieces, self._knots)
        ]
        rest.levers = [lever - arm - slope * radians(heel) for lever, heel in zip(self.levers, self.heels)]
        rest._measure()
        return rest

    @property
    def heels(self) -> list[float]:
        """Angles [A] of `levers` [A], degrees. Source: definition."""
        return self.curves.grid

    @property
    def last_heel(self) -> float:
        """End of the curve in degrees. Source: the vessel's booklet."""
        return self.curves.grid[-1]

    def lever(self, angle: float) -> float:
        """GZ in m at an angle in degrees, negative ones included. Source: see the module."""
        size = radians(abs(angle))
        (c0, c1, c2, c3, _), t = self._piece(size)
        kn = c0 + t * (c1 + t * (c2 + t * c3))
        if angle < 0.0:
            return -kn + self.vcg * sin(size) - self.tcg * cos(size)
        return kn - self.vcg * sin(size) - self.tcg * cos(size)

    def area(self, first: float, last: float) -> float:
        """Integral of GZ between two angles in degrees, m.rad: exact for this curve. Source: definition."""
        return self.area_from_upright(last) - self.area_from_upright(first)

    def area_from_upright(self, angle: float) -> float:
        """Integral of GZ from upright to an angle in degrees (negative to windward), m.rad. Source: definition."""
        heel = radians(angle)
        (c0, c1, c2, c3, area), t = self._piece(abs(heel))
        kn = area + t * (c0 + t * (c1 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0)))
        # even in the angle, because KN is odd; so is the term of KG, but not that of TCG
        return kn - self.vcg * (1.0 - cos(heel)) - self.tcg * sin(heel)

    def angle_of_greatest(self, last: float) -> float:
        """Angle in degrees of the greatest lever between upright and `last` degrees.

        Where the curve has a second hump beyond `last`, its first one counts. Source: definition."""
        if self.angle_of_maximum <= last:
            return self.angle_of_maximum
        inside = self.levers[: bisect_right(self.heels, last)]
        highest = max(inside)
        if self.lever(last) >= max(highest, self.lever(last - HAIR)):
            return last
        return min(self._greatest_near(inside.index(highest))[1], last)

    def rise(self, level: float) -> float | None:
        """First angle in degrees at which the curve rises through a level (m), 0 where it is above it already when she
        is upright; None where it does not up to the last heel. Source: root of the curve, definition."""
        levers = self._node_levers
        above = levers[0] > level or (levers[0] == level and self.km >= self.vcg)
        if above and levers[1] >= level:
            return 0.0  # that is where she rests
        for k in range(1, len(levers)):
            if levers[k] < level:
                above = False
            elif above:
                continue
            else:
                return self._root(k - 1, level, rising=True)
        return None

    def fall(self, level: float, beyond: float = 0.0) -> float | None:
        """First angle in degrees after `beyond` at which the curve falls through a level (m); None where it does not
        up to the last heel. Source: root of the curve, definition."""
        levers, nodes = self._node_levers, self._nodes
        first = max(bisect_right(nodes, beyond) - 1, 0)
        above = levers[first] >= level
        if first == 0:
            above = levers[0] > level or (levers[0] == level and self.km >= self.vcg)
        for k in range(first + 1, len(levers)):
            if levers[k] >= level:
                above = True
            elif above:
                return self._root(k - 1, level, rising=False)
        return None

    def _root(self, k: int, level: float, *, rising: bool) -> float:
        """The crossing between the nodes k and k + 1, from the chord between them."""
        first, last = self._nodes[k], self._nodes[k + 1]
        below, after = self._node_levers[k] - level, self._node_levers[k + 1] - level
        chord = first + (last - first) * below / (below - after)
        vcg, tcg = self.vcg, self.tcg

        def step(angle: float) -> tuple[bool, float]:
            (c0, c1, c2, c3, _), t = self._piece(angle)
            sine, cosine = sin(angle), cos(angle)
            value = c0 + t * (c1 + t * (c2 + t * c3)) - vcg * sine - tcg * cosine - level
            slope = c1 + t * (2.0 * c2 + 3.0 * t * c3) - vcg * cosine + tcg * sine
            return (value < 0.0) is rising, angle - value / slope if slope else inf

        return degrees(_newton(step, radians(first), radians(last), radians(chord)))

    def _greatest_near(self, best: int) -> tuple[float, float]:
        """Greatest GZ (m) next to the printed point `best` and its angle (degrees)."""
        heels, vcg, tcg = self.heels, self.vcg, self.tcg

        def step(angle: float) -> tuple[bool, float]:
            (_, c1, c2, c3, _), t = self._piece(angle)
            sine, cosine = sin(angle), cos(angle)
            slope = c1 + t * (2.0 * c2 + 3.0 * t * c3) - vcg * cosine + tcg * sine
            curvature = 2.0 * c2 + 6.0 * t * c3 + vcg * sine + tcg * cosine
            return slope > 0.0, angle - slope / curvature if curvature else inf

        low, high = radians(heels[max(best - 1, 0)]), radians(heels[min(best + 1, len(heels) - 1)])
        angle = degrees(_newton(step, low, high, radians(self._vertex(best))))
        lever = self.lever(angle)
        return (lever, angle) if lever >= self.levers[best] else (self.levers[best], heels[best])

    def _vertex(self, best: int) -> float:
        """Where the parabola through the greatest printed point and its neighbours is greatest, degrees."""
        if not 0 < best < len(self.heels) - 1 or self.heels[best + 1] - self.heels[best] != STEP:
            return self.heels[best]
        before, at, after = self.levers[best - 1 : best + 2]
        bend = before - 2.0 * at + after
        part = 0.5 * (before - after) / bend if bend else 0.0
        return self.heels[best] + (part * STEP if abs(part) < 1.0 else 0.0)

    def _piece(self, size: float) -> tuple[list[float], float]:
        """The polynomial of KN at an angle in radians, upright to the last heel, and radians from its left knot."""
        i = min(bisect_right(self._knots, size) - 1, len(self._pieces) - 1)
        return self._pieces[i], size - self._knots[i]


def _newton(step: Callable[[float], tuple[bool, float]], low: float, high: float, angle: float) -> float:
    """The root in a bracket (radians): Newton steps from `angle`, halving whenever one leaves the bracket.

    `step` gives whether the root lies above an angle, and the Newton step from there. Source: bracketed Newton
    iteration (Press et al., Numerical Recipes, 9.4)."""
    for _ in range(60):
        above, better = step(angle)
        if above:
            low = angle
        else:
            high = angle
        inside = low <= better <= high
        if not inside:
            better = 0.5 * (low + high)
        if abs(better - angle) <= (QUADRATIC if inside else 1e-14):
            return better
        angle = better
    return angle
