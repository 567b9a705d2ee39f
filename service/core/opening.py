"""Angles at which points of the ship come under water: down-flooding openings and the deck edge.

Where the booklet prints immersion angles by draft they are used. Otherwise the waterline is turned about the
centreline at the draft of the point's own section: tan(angle) = (height above the waterline) / (distance from the
centreline). That is how 46 CFR 170.055 words the down-flooding angle (value from memory) and close for a
wall-sided ship; it takes no account of the sinkage as she heels.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, atan2, degrees, inf, radians, tan
from typing import NamedTuple

from .flotation import Flotation
from .interpolation import interpolated


@dataclass(frozen=True)
class ImmersionTable:
    """Angles [R] in degrees by increasing moulded draft amidships [R] in m, as a booklet prints them."""

    draft: Sequence[float]
    angle: Sequence[float]

    def at(self, draft: float) -> float | None:
        """Angle at a draft, 0 where she immerses it upright; None outside the table.

        Source: linear interpolation (common practice, no source)."""
        angle = interpolated(self.draft, self.angle, draft)
        return None if angle is None else max(angle, 0.0)


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
    immersion: ImmersionTable | None = None

    @property
    def floods(self) -> bool:
        """Whether it cannot be closed weathertight. Source: 2008 IS Code Part A 2.3.1."""
        return self.protection == "unprotected"

    @property
    def floods_unless_automatic(self) -> bool:
        """Whether it does not close watertight automatically. Source: 46 CFR 170.055."""
        return not (self.closes_automatically and self.protection == "watertight")

    def angle(self, flotation: Flotation, side: float) -> float | None:
        """Heel to `side` (+1 port, -1 starboard) at which it immerses, in degrees.

        inf where heeling that way lifts it out; None where her own table does not cover the draft.
        Source: 2008 IS Code Part A 2.3.1 (angle of down-flooding); see the module."""
        if self.immersion is not None:
            return inf if self.y * side < 0.0 else self.immersion.at(flotation.draft_midship)
        return turned_waterline(flotation, self.x, self.y * side, self.z)


def turned_waterline(flotation: Flotation, x: float, toward: float, z: float) -> float:
    """Heel in degrees at which the point (x, z) at `toward` m on the low side meets the waterline.

    0 where it is already under water; inf above 90. Source: definition, see the module."""
    height = z - flotation.draft_at(x)
    if height <= 0.0:
        return 0.0
    angle = degrees(atan2(height, toward))
    return inf if angle > 90.0 else angle


class FirstImmersion(NamedTuple):
    """Smallest angle in degrees (inf: there is none; None: unknown) and the opening it belongs to."""

    angle: float | None
    opening: Opening | None = None


def first_immersion(
    openings: Sequence[Opening], angles: Sequence[float | None], counted: Sequence[int]
) -> FirstImmersion:
    """First of the openings `counted` (by index) to immerse, from the angles [O] at which each does; the angle is
    unknown where that of one of them is.

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
    """Points (x, half-breadth, z in m) of the deck edge or a table of immersion angles."""

    points: Sequence[tuple[float, float, float]]
    immersion: ImmersionTable | None = None

    def angle(self, flotation: Flotation, part_of_freeboard: float = 1.0) -> float | None:
        """Heel in degrees that immerses the given part of the freeboard to the deck edge (1: the deck edge itself,
        0.5: half the freeboard, as in 46 CFR 170.170). None outside her own table.

        Source: 46 CFR 170.170(a) for half the freeboard; definition, see the module."""
        if self.immersion is not None:
            whole = self.immersion.at(flotation.draft_midship)
            if whole is None:
                return None
            return degrees(atan(part_of_freeboard * tan(radians(min(whole, 90.0)))))
        return min(
            degrees(atan2(part_of_freeboard * max(z - flotation.draft_at(x), 0.0), y))
            for x, y, z in self.points
        )
