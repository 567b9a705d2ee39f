"""Righting levers as one continuous curve:

    GZ(heel) = KN(heel) - KG sin(heel) - TCG cos(heel),   for the side she leans to,

with KN the curve of `cross_curves.py`, whose slope at the origin is KM: so dGZ/dheel at 0 is GM. Areas, roots and the
maximum are those of this one curve, never of a grid of points. Angles are degrees outside, radians inside.
"""

from bisect import bisect_right
from math import cos, degrees, radians, sin
from typing import NamedTuple

from .cross_curves import STEP, KnCurve
from .polynomial import root, value

HAIR = 1e-6
"""Degrees over which a curve shows whether it rises or falls."""


class Greatest(NamedTuple):
    """Levers (m) at the heels of the printed curve, the greatest of the whole curve and its angle in degrees."""

    levers: list[float]
    lever: float
    angle: float


class RightingLever:
    """GZ as one curve from upright to the last tabulated heel (odd below 0, but for TCG).

    Source: definition of GZ from KN; 2008 IS Code Part B 3.5 (free-trim calculation is the booklet's).
    """

    def __init__(
        self,
        kn: KnCurve,
        vcg: float,
        tcg: float,
        greatest: Greatest | None = None,
        other_side: "RightingLever | None" = None,
    ) -> None:
        """vcg (fluid) and tcg (positive to the side she heels to) in m; `greatest` and `other_side` where they were
        worked out before."""
        self.kn, self.vcg, self.tcg, self._other_side = kn, vcg, tcg, other_side
        self.heels: list[float] = kn.curves.grid
        self.last_heel = self.heels[-1]
        self.levers: list[float]
        if greatest is None:
            levers = kn.points - vcg * kn.curves.grid_sine - tcg * kn.curves.grid_cosine
            self.levers = levers.tolist()
            greatest = Greatest(self.levers, *self._greatest_near(self.levers.index(max(self.levers))))
        self.levers, self.maximum, self.angle_of_maximum = greatest
        self._set_nodes()

    def _set_nodes(self) -> None:
        """The nodes that roots are bracketed on."""
        levers, heels = self.levers, self.heels
        # the printed point nearest the maximum is moved onto it, so that no pair of roots is stepped over
        self._nodes, self._node_levers = heels, levers
        nearest = min(round(self.angle_of_maximum / STEP), len(heels) - 1)
        if 0 < nearest < len(heels) - 1:
            self._nodes, self._node_levers = heels.copy(), levers.copy()
            self._nodes[nearest], self._node_levers[nearest] = self.angle_of_maximum, self.maximum

    def leaning(self, tcg: float) -> "RightingLever":
        """The same curve for another TCG (m, positive to the side she heels to). Source: definition."""
        return RightingLever(self.kn, self.vcg, tcg)

    def other_side(self) -> "RightingLever":
        """The curve of her heeling to the other side, where her TCG has the other sign.

        Source: definition (KN is the same on both sides)."""
        return self._other_side or RightingLever(self.kn, self.vcg, -self.tcg, other_side=self)

    def lever(self, angle: float) -> float:
        """GZ in m at an angle in degrees, negative ones included. Source: see the module."""
        size = radians(abs(angle))
        righting = value(self.kn.pieces, self.kn.knots, size) - self.vcg * sin(size)
        return (righting if angle >= 0.0 else -righting) - self.tcg * cos(size)

    @property
    def vanishing_angle(self) -> float | None:
        """Angle in degrees beyond her rest at which GZ first falls to zero; None where it does not up to the last heel.

        A curve that rises again further over does not bring her back. Source: definition (range of stability)."""
        return self.fall(0.0, beyond=self.rise(0.0) or 0.0)

    def area(self, first: float, last: float) -> float:
        """Integral of GZ between two angles in degrees, m.rad: exact for this curve. Source: definition."""
        return self.area_from_upright(last) - self.area_from_upright(first)

    def area_from_upright(self, angle: float) -> float:
        """Integral of GZ from upright to an angle in degrees (negative to windward), m.rad. Source: definition."""
        heel = radians(angle)
        kn = value(self.kn.area_pieces, self.kn.knots, abs(heel))
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
        above = levers[0] > level or (levers[0] == level and self.kn.km >= self.vcg)
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
            above = levers[0] > level or (levers[0] == level and self.kn.km >= self.vcg)
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
        if k == 0 and below == 0.0:
            # upright on the level and leaving it: where she is back on it lies further over
            first, below = HAIR, self.lever(HAIR) - level
        chord = first + (last - first) * below / (below - after)
        terms, bracket = (-level, -self.vcg, -self.tcg), (radians(first), radians(last))
        return degrees(root(self.kn.pieces, self.kn.knots, terms, bracket, radians(chord), rising=rising))

    def _greatest_near(self, best: int) -> tuple[float, float]:
        """Greatest GZ (m) next to the printed point `best` and its angle (degrees)."""
        heels = self.heels
        bracket = radians(heels[max(best - 1, 0)]), radians(heels[min(best + 1, len(heels) - 1)])
        terms, start = (0.0, self.tcg, -self.vcg), radians(self._vertex(best))
        angle = degrees(root(self.kn.slope_pieces, self.kn.knots, terms, bracket, start, rising=False))
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
