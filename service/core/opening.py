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
        """Angle [N] at drafts [N], 0 where she immerses it upright; NaN outside the table.

        Source: linear interpolation (common practice, no source)."""
        angle: Floats = np.interp(draft, self.draft, self.angle, left=np.nan, right=np.nan)
        return np.maximum(angle, 0.0)


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


def immersion_angles(
    openings: tuple[Opening, ...] | None, flotation: Flotation, side: Floats
) -> Floats | None:
    """Angles [O, N] at which the openings immerse when she heels to `side` [N]; None where the booklet does not say.

    Source: see `Opening.angle`."""
    if openings is None:
        return None
    if not openings:
        return np.zeros((0, len(side)))
    return np.stack([opening.angle(flotation, side) for opening in openings])


def first_immersion(angles: Floats | None, counts: Bools, rows: int) -> FirstImmersion:
    """First of the openings that count [O] to immerse, from their angles [O, N].

    None: the booklet does not say, the angle is unknown (NaN). None of them counts: there is none (inf).
    Source: 2008 IS Code Part A 2.3.1: openings which cannot be closed weathertight.
    """
    if angles is None or not counts.any():
        return FirstImmersion(np.full(rows, np.nan if angles is None else np.inf), np.full(rows, -1))
    chosen = np.where(counts[:, None], angles, np.inf)
    unknown = np.isnan(chosen)
    least = np.where(unknown, np.inf, chosen).argmin(axis=0)
    angle = chosen[least, np.arange(rows)]
    return FirstImmersion(
        np.where(unknown.any(axis=0), np.nan, angle), np.where(np.isfinite(angle), least, -1)
    )


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
            whole = np.radians(np.minimum(self.immersion.at(flotation.draft_midship), 90.0))
            return np.degrees(np.arctan(part_of_freeboard * np.tan(whole)))
        drafts = flotation.draft_aft[:, None] - flotation.trim[:, None] * (
            self.points[:, 0] / flotation.length_bp
        )
        height = np.maximum(self.points[:, 2] - drafts, 0.0)
        angle: Floats = np.degrees(np.arctan2(part_of_freeboard * height, self.points[:, 1])).min(axis=1)
        return angle
