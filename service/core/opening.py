"""Angles at which points of the ship come under water: down-flooding openings and the deck edge.

Where the booklet prints immersion angles by draft they are used. Otherwise the waterline is turned about the
centreline at the draft of the point's own section: tan(angle) = (height above the waterline) / (distance from the
centreline). That is how 46 CFR 170.055 words the down-flooding angle (value from memory) and close for a
wall-sided ship; it takes no account of the sinkage as she heels.
"""

from dataclasses import dataclass

import numpy as np

from .flotation import Flotation
from .frame import Bools, Floats


@dataclass(frozen=True)
class ImmersionTable:
    """Angles [R] in degrees by increasing moulded draft amidships [R] in m, as a booklet prints them."""

    draft: Floats
    angle: Floats

    def at(self, draft: Floats) -> Floats:
        """Angle [N] at drafts [N]; NaN outside the table. Source: linear interpolation (common practice)."""
        return np.interp(draft, self.draft, self.angle, left=np.nan, right=np.nan)


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

    def angle(self, flotation: Flotation, side: Floats) -> Floats:
        """Heel [N] to `side` [N] (+1 port, -1 starboard) at which it immerses, in degrees.

        inf where heeling that way lifts it out; NaN where her own table does not cover the draft.
        Source: 2008 IS Code Part A 2.3.1 (angle of down-flooding); see the module."""
        if self.immersion is not None:
            return np.where(self.y * side < 0.0, np.inf, self.immersion.at(flotation.draft_midship))
        return turned_waterline(flotation, self.x, self.y * side, self.z)


def turned_waterline(flotation: Flotation, x: float, toward: Floats, z: float) -> Floats:
    """Heel [N] in degrees at which the point (x, z) at `toward` [N] m on the low side meets the waterline.

    0 where it is already under water; inf above 90. Source: definition, see the module."""
    height = np.maximum(z - flotation.draft_at(x), 0.0)
    angle = np.degrees(np.arctan2(height, toward))
    return np.where(height == 0.0, 0.0, np.where(angle > 90.0, np.inf, angle))


@dataclass(frozen=True)
class FirstImmersion:
    """Smallest angle [N] in degrees (inf: none; NaN: unknown) and the index [N] of the opening (-1: none)."""

    angle: Floats
    opening: np.ndarray


def first_immersion(
    openings: tuple[Opening, ...] | None, counts: Bools, flotation: Flotation, side: Floats
) -> FirstImmersion:
    """First of the openings that count [O] to immerse when she heels to `side`.

    `openings` None: the booklet does not say, the angle is unknown (NaN); an empty tuple: she has none (inf).
    Source: 2008 IS Code Part A 2.3.1: openings which cannot be closed weathertight.
    """
    none = np.full(len(flotation.trim), -1)
    if openings is None:
        return FirstImmersion(np.full_like(flotation.trim, np.nan), none)
    chosen = [(i, o) for i, o in enumerate(openings) if counts[i]]
    if not chosen:
        return FirstImmersion(np.full_like(flotation.trim, np.inf), none)
    angles = np.stack([o.angle(flotation, side) for _, o in chosen])
    unknown = np.isnan(angles).any(axis=0)
    least = np.argmin(np.where(np.isnan(angles), np.inf, angles), axis=0)
    angle = angles[least, np.arange(angles.shape[1])]
    index = np.array([i for i, _ in chosen])[least]
    return FirstImmersion(np.where(unknown, np.nan, angle), np.where(np.isfinite(angle), index, -1))


@dataclass(frozen=True)
class DeckEdge:
    """Points [P, 3] of the deck edge (x, half-breadth, z in m) or a table of immersion angles."""

    points: Floats
    immersion: ImmersionTable | None = None

    def angle(self, flotation: Flotation, part_of_freeboard: float = 1.0) -> Floats:
        """Heel [N] in degrees that immerses the given part of the freeboard to the deck edge (1: the deck edge
        itself, 0.5: half the freeboard, as in 46 CFR 170.170). NaN outside her own table.

        Source: 46 CFR 170.170(a) for half the freeboard; definition, see the module."""
        if self.immersion is not None:
            whole = np.radians(self.immersion.at(flotation.draft_midship))
            return np.degrees(np.arctan(part_of_freeboard * np.tan(whole)))
        drafts = flotation.draft_aft[:, None] - flotation.trim[:, None] * (
            self.points[:, 0] / flotation.length_bp
        )
        height = np.maximum(self.points[:, 2] - drafts, 0.0)
        angle: Floats = np.degrees(np.arctan2(part_of_freeboard * height, self.points[:, 1])).min(axis=1)
        return angle
