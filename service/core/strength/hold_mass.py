"""Masses in holds against what her booklet permits at the draft there: one hold, or two adjacent ones together."""

from collections.abc import Mapping, Sequence
from math import fsum, inf
from typing import NamedTuple

from ..interpolation import interpolated
from .limits import HARBOUR, SEA
from .weight_curve import Extent


class MassLimit(NamedTuple):
    """Greatest and least mass (t; None: no limit) at a moulded draft (m) at the middle of the hold, or of the pair;
    for one set of SEA and HARBOUR, or for both (None)."""

    draft: float
    most: float | None
    least: float | None
    set: str | None = None


class HoldStrength(NamedTuple):
    """What her booklet says of holds that are judged together, one or two: their indices, their ends (m), the tanks
    (by index) whose contents count as in way of them, and their limits [R]."""

    holds: tuple[int, ...]
    extent: Extent
    tanks_in_way: tuple[int, ...]
    limits: Sequence[MassLimit]

    @property
    def middle(self) -> float:
        """Half way between their ends, m. Source: IACS UR S1A (draught at mid-hold; at mid-length of the pair)."""
        return 0.5 * (self.extent[0] + self.extent[1])


class HoldMass(NamedTuple):
    """Mass aboard (t), the draft at mid-hold (m), what is permitted there (t); None where the booklet gives no
    limit of the kind in force. `off` tells that it gives one, but not at this draft."""

    holds: tuple[int, ...]
    mass: float
    draft: float
    most: float | None
    least: float | None
    off: bool


def hold_mass(
    strength: HoldStrength,
    lines: Sequence[tuple[int | None, float]],
    liquids: Mapping[int, float],
    draft: float,
    harbour: bool,
) -> HoldMass:
    """Mass in the holds of every line (index of its hold, t), and of the liquids (t, by tank) in way of them,
    against the limits interpolated at a draft (m) at mid-hold.

    Source: IACS UR S1A (mass curves by draught at mid-hold, sea and harbour); what lies in the double bottom in way
    counts too: value from memory."""
    mass = fsum(
        [
            *(each for hold, each in lines if hold in strength.holds),
            *(liquids.get(tank, 0.0) for tank in strength.tanks_in_way),
        ]
    )
    which = HARBOUR if harbour else SEA
    rows = [row for row in strength.limits if row.set in (None, which)]
    most, most_off = _at(draft, [(row.draft, row.most) for row in rows])
    least, least_off = _at(draft, [(row.draft, row.least) for row in rows])
    return HoldMass(strength.holds, mass, draft, most, least, most_off or least_off)


def _at(draft: float, rows: Sequence[tuple[float, float | None]]) -> tuple[float | None, bool]:
    """The limit at a draft, and whether there is one that does not reach it."""
    given = sorted((at, limit) for at, limit in rows if limit is not None)
    if not given:
        return None, False
    if len(given) == 1:
        return (given[0][1], False) if given[0][0] == draft else (None, True)
    found = interpolated([at for at, _ in given], [limit for _, limit in given], draft)
    return found, found is None


def least_room(masses: Sequence[HoldMass], kind: str) -> HoldMass | None:
    """The holds nearest to their limit of a kind, `most` or `least`; None where none has one. Source: definition."""
    given = [mass for mass in masses if getattr(mass, kind) is not None]
    return min(given, key=lambda each: _room(each, kind), default=None)


def _room(each: HoldMass, kind: str) -> float:
    limit = each.most if kind == "most" else each.least
    if limit is None:
        return inf
    return limit - each.mass if kind == "most" else each.mass - limit
