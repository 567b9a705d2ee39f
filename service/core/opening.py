"""Angles at which points of the ship come under water: down-flooding openings and the deck edge.

Where the booklet prints immersion angles by draft they are used, for the trim they state. At another trim they are
entered with the draft she would have at theirs, and corrected by the difference that the level of the waterplane gives
between the two trims. Where nothing is printed that
level gives the angle itself, sinkage and trim included; it needs cross curves: see `waterplane.py`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan, cos, degrees, inf, isinf, radians, sin, tan
from typing import NamedTuple

import numpy as np

from .cross_curves import CrossCurves
from .flotation import Flotation
from .interpolation import interpolated
from .waterplane import SAME_TRIM, Points, Waterplane

NEARLY_SAME_TRIM = 0.1
"""m within which a printed angle of the deck edge is taken to hold where nothing can correct it: no points of the deck
edge, or no cross curves. Common practice, no source."""


@dataclass(frozen=True)
class ImmersionTable:
    """Angles [R] in degrees by increasing moulded draft amidships [R] in m, as a booklet prints them for one trim (m by
    the stern)."""

    draft: Sequence[float]
    angle: Sequence[float]
    trim: float = 0.0

    def at(self, draft: float) -> float | None:
        """Angle at a draft, 0 where she immerses it upright; None outside the table.

        Source: linear interpolation (common practice, no source)."""
        angle = interpolated(self.draft, self.angle, draft)
        return None if angle is None else max(angle, 0.0)


def nearest_table(tables: Sequence[ImmersionTable], trim: float) -> ImmersionTable:
    """The table whose trim is nearest to hers. Source: definition."""
    return min(tables, key=lambda table: abs(table.trim - trim))


def corrected(printed: float, at_its_trim: float, at_hers: float) -> float:
    """A printed angle brought to another trim by the difference of two computed ones, degrees.

    Where the point stays dry at one of the trims there is no difference: the smaller of the printed angle and the one
    computed for her trim counts. Source: see the module."""
    if isinf(at_its_trim) or isinf(at_hers):
        return min(printed, at_hers)
    return max(printed + at_hers - at_its_trim, 0.0)


@dataclass(frozen=True)
class Opening:
    """A point (m) through which she would flood; `protection` as in the Load Line Convention's terms."""

    id: str
    name: str
    x: float
    y: float
    z: float
    protection: str
    closes_automatically: bool = False
    immersion: Sequence[ImmersionTable] = ()

    @property
    def floods(self) -> bool:
        """Whether it cannot be closed weathertight. Source: 2008 IS Code Part A 2.3.1."""
        return self.protection == "unprotected"

    @property
    def floods_unless_automatic(self) -> bool:
        """Whether it does not close watertight automatically. Source: 46 CFR 170.055."""
        return not (self.closes_automatically and self.protection == "watertight")

    def angle(self, flotation: Flotation, waterplane: Waterplane | None, side: float) -> float | None:
        """Heel to `side` (+1 port, -1 starboard) at which it immerses, in degrees.

        inf where heeling that way lifts it out; None where her own table does not cover the draft, or where it must
        be computed and she has no cross curves. Source: 2008 IS Code Part A 2.3.1 (angle of down-flooding)."""
        toward = self.y * side
        if not self.immersion:
            return None if waterplane is None else waterplane.immersion_angle(self.x, toward, self.z)
        if toward < 0.0:
            return inf
        table = nearest_table(self.immersion, flotation.trim)
        if abs(flotation.trim - table.trim) <= SAME_TRIM:
            return table.at(flotation.draft_midship)
        if waterplane is None:
            return None
        there = waterplane.at_trim(table.trim)
        printed = table.at(there.draft_midship)
        if printed is None:
            return None
        at_its_trim = there.immersion_angle(self.x, toward, self.z, printed)
        at_hers = waterplane.immersion_angle(self.x, toward, self.z, printed)
        return corrected(printed, at_its_trim, at_hers)

    def height_at_rest(
        self, flotation: Flotation, waterplane: Waterplane | None, side: float, heel: float
    ) -> float:
        """How far it stands above the water when she rests at `heel` degrees to `side`, m along the normal of the
        waterplane; negative under water. Without cross curves (`waterplane` None) the level of the upright waterplane
        is taken, which is never below the true one. Source: see `waterplane.py`."""
        if waterplane is not None:
            return waterplane.height(self.x, self.y * side, self.z, heel)
        angle = radians(heel)
        above = self.z * cos(angle) - self.y * side * sin(angle)
        return above - flotation.draft_at(self.x)


class FirstImmersion(NamedTuple):
    """Smallest angle in degrees (inf: there is none; None: unknown) and the opening it belongs to."""

    angle: float | None
    opening: Opening | None = None


def first_immersion(
    openings: Sequence[Opening], angles: Mapping[int, float | None], counted: Sequence[int]
) -> FirstImmersion:
    """First of the openings `counted` (by index) to immerse, from the angle at which each does; the angle is unknown
    where that of one of them is.

    Source: 2008 IS Code Part A 2.3.1: openings which cannot be closed weathertight."""
    least, first, known = inf, None, True
    for i in counted:
        angle = angles[i]
        if angle is None:
            known = False
        elif angle < least:
            least, first = angle, openings[i]
    return FirstImmersion(least if known else None, first)


@dataclass(frozen=True)
class DeckEdge:
    """Points (x, half-breadth, z in m) of the deck edge, or tables of immersion angles, or both."""

    points: Sequence[tuple[float, float, float]]
    immersion: Sequence[ImmersionTable] = ()

    def laid_out(self, curves: CrossCurves) -> Points | None:
        """The points at the heels of cross curves; None where there are none. Source: definition."""
        if not self.points:
            return None
        x, y, z = np.array(self.points, dtype=float).T
        return Points.of(curves, x, y, z)

    def angle(
        self, flotation: Flotation, waterplane: Waterplane | None, points: Points | None
    ) -> float | None:
        """Heel in degrees that immerses the deck edge; None outside her own table, or where it must be computed and she
        has no cross curves; `points` are her own, laid out. Source: definition, see the module."""
        if not self.immersion:
            return waterplane.first_immersion_angle(points) if waterplane and points else None
        table = nearest_table(self.immersion, flotation.trim)
        away = abs(flotation.trim - table.trim)
        if waterplane is None or points is None:
            return table.at(flotation.draft_midship) if away <= NEARLY_SAME_TRIM else None
        if away <= SAME_TRIM:
            return table.at(flotation.draft_midship)
        there = waterplane.at_trim(table.trim)
        printed = table.at(there.draft_midship)
        if printed is None:
            return None
        at_its_trim = there.first_immersion_angle(points)
        return corrected(printed, at_its_trim, waterplane.first_immersion_angle(points))

    def half_freeboard_angle(
        self,
        flotation: Flotation,
        waterplane: Waterplane | None,
        points: Points | None,
        curves: CrossCurves | None,
    ) -> float | None:
        """Heel in degrees that immerses half the freeboard to the deck edge; None where it is unknown.

        Without points, tan(angle) is taken as half that of the printed angle. Source: 46 CFR 170.170(a)."""
        if points is not None and curves is not None:
            if waterplane is None:
                return None
            waterline = flotation.draft_aft - flotation.trim * (points.x / flotation.length_bp)
            half_way = Points.of(curves, points.x, points.toward, 0.5 * (waterline + points.z))
            return waterplane.first_immersion_angle(half_way)
        whole = self.angle(flotation, waterplane, points)
        return None if whole is None else degrees(atan(0.5 * tan(radians(min(whole, 90.0)))))
