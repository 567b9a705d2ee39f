"""What is aboard: one loading condition, and a batch of them side by side."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from .frame import Bools, Floats, Ints
from .grain import GrainLine
from .tank import Fillings
from .weight import Weight, Weights, side_by_side


class TankLine(NamedTuple):
    """A quantity in a tank: index in the booklet, index in QUANTITIES, value (t, m3, percent, m, m), t/m3, index in
    CONTENTS."""

    tank: int
    quantity: int
    value: float
    density: float
    contents: int


@dataclass(frozen=True)
class Condition:
    """One loading condition in the units and axes of the core; basis is an index in free_surface.BASES."""

    tanks: Sequence[TankLine]
    weights: Sequence[Weight]
    water_density: float
    basis: int
    rule_sets: tuple[str, ...]
    wind_area: float = 0.0
    wind_moment: float = 0.0
    load_line_mark: str | None = None
    grain: Sequence[GrainLine] = ()
    observed_drafts: dict[str, float] = field(default_factory=dict)
    observed_list: float | None = None
    observed_roll_period: float | None = None

    @property
    def is_observed(self) -> bool:
        """Whether anything was read on board. Source: definition."""
        return (
            bool(self.observed_drafts)
            or self.observed_list is not None
            or self.observed_roll_period is not None
        )


@dataclass(frozen=True)
class Batch:
    """Conditions of one ship along the first axis of every array."""

    conditions: Sequence[Condition]
    fillings: Fillings
    first_line: Ints
    weights: Weights
    water_density: Floats
    basis: Ints
    wind_area: Floats
    wind_moment: Floats

    @classmethod
    def of(cls, conditions: Sequence[Condition]) -> "Batch":
        """Lay conditions side by side. Source: definition."""
        counts = np.array([len(condition.tanks) for condition in conditions], dtype=np.int64)
        tank, kind, value, density, contents = side_by_side([c.tanks for c in conditions], 5)
        scalars = np.array([(c.water_density, c.basis, c.wind_area, c.wind_moment) for c in conditions]).T
        fillings = Fillings(
            np.repeat(np.arange(len(conditions)), counts),
            tank.astype(np.int64),
            kind.astype(np.int64),
            value,
            density,
            contents.astype(np.int64),
        )
        return cls(
            conditions,
            fillings,
            np.concatenate(([0], np.cumsum(counts))),
            Weights.of([c.weights for c in conditions]),
            scalars[0],
            scalars[1].astype(np.int64),
            scalars[2],
            scalars[3],
        )

    def repeated(self, rows: Ints) -> "Batch":
        """The same conditions at the given rows [M], without lines of their own. Source: definition."""
        return Batch(
            [self.conditions[n] for n in rows],
            self.fillings,
            self.first_line,
            self.weights,
            self.water_density[rows],
            self.basis[rows],
            self.wind_area[rows],
            self.wind_moment[rows],
        )

    def __len__(self) -> int:
        """Number of conditions. Source: definition."""
        return len(self.conditions)

    def bound_by(self, prefix: str) -> Bools:
        """Which conditions [N] name a rule set that begins with `prefix`. Source: definition."""
        return np.array(
            [any(name.startswith(prefix) for name in c.rule_sets) for c in self.conditions], dtype=bool
        )

    def sum_by_condition(self, values: Floats) -> Floats:
        """Sums [N] of a quantity [P] of the tank lines. Source: definition."""
        sums = np.zeros(len(self))
        np.add.at(sums, self.fillings.condition, values)
        return sums
