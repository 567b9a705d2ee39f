"""What her booklet says about her strength, prepared once."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import product

from .hold_mass import HoldStrength
from .limits import BENDING, HARBOUR, SEA, SHEAR, LimitLine, Station
from .sections import Sections
from .weight_curve import Load, Segment


@dataclass(frozen=True)
class StrengthBooklet:
    """Her read-out points, from aft to forward, her lightship along her length and her sections, each None or empty
    where the booklet does not print it; holds and pairs of adjacent holds with limits of mass.

    `shear_correction_required`: her manual corrects shear forces where holds are loaded alternately, by factors
    that are not computed here."""

    stations: Sequence[Station] = ()
    segments: Sequence[Segment] = ()
    sections: Sections | None = None
    shear_correction_required: bool = False
    holds: Sequence[HoldStrength] = ()
    pairs: Sequence[HoldStrength] = ()
    lines: dict[tuple[str, str, bool], LimitLine] = field(init=False, repr=False, compare=False)
    lightship_loads: Sequence[Load] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Lay out the limits between stations: by set, quantity, and whether the value is negative."""
        stations = sorted(self.stations, key=lambda station: station.x)
        lines = {
            (which, quantity, negative): LimitLine.of(stations, which, quantity, -1.0 if negative else 1.0)
            for which, quantity, negative in product((SEA, HARBOUR), (SHEAR, BENDING), (False, True))
        }
        object.__setattr__(self, "stations", tuple(stations))
        object.__setattr__(self, "lightship_loads", [each.load for each in self.segments])
        object.__setattr__(self, "lines", lines)

    def carrying(self, share: float, forward: float) -> "StrengthBooklet":
        """The same with a `share` of the lightship's mass, all of it further forward by so much (m).

        Source: definition."""
        segments = [
            Segment(each.aft + forward, each.forward + forward, share * each.at_aft, share * each.at_forward)
            for each in self.segments
        ]
        other = copy(self)
        object.__setattr__(other, "segments", segments)
        object.__setattr__(other, "lightship_loads", [each.load for each in segments])
        return other

    @property
    def is_complete(self) -> bool:
        """Whether shear forces and bending moments can be computed. Source: definition."""
        return self.missing is None

    @property
    def is_used(self) -> bool:
        """Whether anything at all can be computed: forces, or masses in holds. Source: definition."""
        return self.is_complete or bool(self.holds or self.pairs)

    @property
    def missing(self) -> str | None:
        """What a computation would need and the booklet does not give, in words; None where nothing is.

        Source: definition."""
        if not self.stations:
            return "the booklet has no limits of shear force and bending moment"
        if self.sections is None:
            return "the booklet has no areas of sections by draft"
        if not self.segments:
            return "the booklet does not say how her lightship is spread along her length"
        return None

    def limit_between(self, which: str, quantity: str, x: float, value: float) -> float | None:
        """The limit (t or t.m) of a value at x (m) by its own sign, linear between two stations; None beyond them.

        Source: linear interpolation (value from memory)."""
        return self.lines[which, quantity, value < 0.0].at(x)
