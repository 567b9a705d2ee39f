"""Grain in bulk: how it lies in the holds, and the heeling moments her booklet gives for its assumed shift.

The mass of the grain is among the weights; here is only what it does when it shifts. Moments are volumetric (m4),
athwartships only, without the allowance for the vertical shift.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .interpolation import held

FILLINGS = ("filled_trimmed", "filled_untrimmed", "partly_filled")
"""Terms of the International Grain Code, A 2 (definitions)."""
FILLED_TRIMMED, FILLED_UNTRIMMED, PARTLY_FILLED = FILLINGS
VCG_BASES = ("cargo", "hold")
VCG_OF_CARGO, VCG_OF_HOLD = VCG_BASES


@dataclass(frozen=True)
class Hold:
    """A cargo space of `capacity` m3 with its volumetric heeling moments in m4, None where the booklet gives none: of
    the hold filled, and partly filled [R] by volume [R] (m3, increasing)."""

    id: str
    capacity: float
    filled_trimmed: float | None = None
    filled_untrimmed: float | None = None
    volume: Sequence[float] = ()
    partly_filled: Sequence[float] = ()


class GrainLine(NamedTuple):
    """Grain in one hold: index of the hold, one of FILLINGS, volume in m3 (partly filled), stowage factor in m3/t,
    a volumetric moment in m4 that replaces the booklet's, one of VCG_BASES."""

    hold: int
    filling: str
    volume: float | None
    stowage_factor: float
    heeling_moment: float | None
    vcg_basis: str


def volumetric_moment(line: GrainLine, holds: Sequence[Hold]) -> float | None:
    """Volumetric heeling moment of one line in m4; None where neither the line nor the booklet gives it.

    Linear between the rows of a partly filled hold, nothing beyond them. Source: MSC.23(59) A 6 (heeling moments
    of every hold, filled and partly filled, are part of the booklet); interpolation common practice, no source."""
    if line.heeling_moment is not None:
        return line.heeling_moment
    hold = holds[line.hold]
    if line.filling == FILLED_TRIMMED:
        return hold.filled_trimmed
    if line.filling == FILLED_UNTRIMMED:
        return hold.filled_untrimmed
    if line.volume is None or not hold.volume or not within(line.volume, hold.volume[0], hold.volume[-1]):
        return None
    return held(hold.volume, hold.partly_filled, line.volume)


def within(volume: float, low: float, high: float) -> bool:
    """Whether a volume lies between two others, but for the rounding of units. Source: definition."""
    return low * (1.0 - 1e-9) <= volume <= high * (1.0 + 1e-9)


def grain_mass(line: GrainLine, holds: Sequence[Hold]) -> float:
    """Mass in t that fills the volume of a line, the whole hold where it is filled. Source: definition of the
    stowage factor."""
    volume = line.volume if line.filling == PARTLY_FILLED else holds[line.hold].capacity
    return 0.0 if volume is None else volume / line.stowage_factor
