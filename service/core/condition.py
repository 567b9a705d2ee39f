"""What is aboard: one loading condition."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import NamedTuple

from .grain import GrainLine
from .icing import IcingCase
from .lift import Lift
from .load_line import LINEAR
from .own_limit import OwnLimit
from .passenger import PassengerLine
from .timber import TimberLine
from .view import Obstruction
from .weight import Weight


class TankLine(NamedTuple):
    """A quantity in a tank: index in the booklet, one of QUANTITIES, value (t, m3, percent, m, m), t/m3, one of
    CONTENTS.

    `slack_between`: volumes in m3 between which the filling changes; the tank counts as slack whatever its filling,
    with its greatest surface between them."""

    tank: int
    quantity: str
    value: float
    density: float
    contents: str
    slack_between: tuple[float, float] | None = None


@dataclass(frozen=True)
class Condition:
    """One loading condition in the units and axes of the core; basis is one of free_surface.BASES.

    `rule_sets` are those added to the ship's own. `wind_area` (m2) and `wind_moment` (m3 about the baseline) stand
    in the wind beside her profile; `wind_lowest` (m) is the lowest centroid among them, None where nothing is added.
    `deck_cargo_without_area` are the weights (by index) of deck cargo whose lateral area nobody gave,
    `deck_cargo_of_no_area` those given as standing in the lee. `deflection` (m) is how much lower
    she is amidships than her perpendiculars say: positive when she sags; `deflection_given` is False where nobody
    said so, and it is taken as none. `in_port` tells that she lies in port:
    limits of the harbour are in force, and the criteria for the sea do not count; `inland` that she lies in a river
    or inland water, where load lines do not bind. `dock_water` is LINEAR or EXACT of `load_line.py`. `ballast` tells
    that it is a ballast condition; `deck_cargo_without_top` are the weights (by index) of deck cargo that no
    obstruction stands for. `timber` is what is said about timber on deck, `icing` the ice that is counted (None:
    none). `observed_sides` are the readings to port and starboard (m) whose means `observed_drafts` has;
    `survey_mean`, one of draft_survey.MEANS, asks for a draft survey by them. `drafts_at` are places (m) at which
    the draft is wanted. `lift` hangs on her crane, `escort_moment` (t.m) is the greatest with which an escorted ship
    heels her."""

    tanks: Sequence[TankLine]
    weights: Sequence[Weight]
    water_density: float
    basis: str
    rule_sets: tuple[str, ...]
    wind_area: float = 0.0
    wind_moment: float = 0.0
    wind_lowest: float | None = None
    deck_cargo_without_area: tuple[int, ...] = ()
    deck_cargo_of_no_area: tuple[int, ...] = ()
    load_line_mark: str | None = None
    drafts_at: tuple[float, ...] = ()
    deflection: float = 0.0
    deflection_given: bool = True
    grain: Sequence[GrainLine] = ()
    observed_drafts: dict[str, float] = field(default_factory=dict)
    observed_list: float | None = None
    observed_roll_period: float | None = None
    in_port: bool = False
    dock_water: str = LINEAR
    inland: bool = False
    ballast: bool = False
    obstructions: tuple[Obstruction, ...] = ()
    deck_cargo_without_top: tuple[int, ...] = ()
    own_limits: tuple[OwnLimit, ...] = ()
    timber: tuple[TimberLine, ...] = ()
    icing: IcingCase | None = None
    observed_sides: dict[str, tuple[float, float]] = field(default_factory=dict)
    survey_mean: str | None = None
    passengers: tuple[PassengerLine, ...] = ()
    lift: Lift | None = None
    escort_moment: float | None = None

    def in_water(self, density: float) -> "Condition":
        """The same in water of another density (t/m3). Source: definition."""
        other = copy(self)
        object.__setattr__(other, "water_density", density)
        return other

    @property
    def timber_aboard(self) -> tuple[TimberLine, ...]:
        """What is said about timber on deck that is there: lines whose weight has a mass. Source: definition."""
        return tuple(line for line in self.timber if self.weights[line.weight].mass > 0.0)

    @property
    def is_observed(self) -> bool:
        """Whether anything was read on board. Source: definition."""
        return (
            bool(self.observed_drafts)
            or self.observed_list is not None
            or self.observed_roll_period is not None
        )
