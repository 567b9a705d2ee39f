"""Masses and their moments: what she carries besides liquids, and the sum of everything."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum
from typing import Any, NamedTuple

import numpy as np

from .frame import Floats, Ints


class Weight(NamedTuple):
    """One line of the deadweight: t, and the coordinates of its centre in m."""

    mass: float
    lcg: float
    vcg: float
    tcg: float = 0.0
    category: str = "other"

    @property
    def moments(self) -> "Moments":
        """Its mass and first moments, as those of a batch: [1] each. Source: definition of the first moment."""
        mass, lcg, vcg, tcg, _ = self
        return Moments(*np.array([[mass], [mass * lcg], [mass * vcg], [mass * tcg]]))


@dataclass(frozen=True)
class Moments:
    """Mass [N] in t and its first moments [N] in t.m about the aft perpendicular, the baseline, the centreline."""

    mass: Floats
    longitudinal: Floats
    vertical: Floats
    transverse: Floats

    def plus(self, other: "Moments") -> "Moments":
        """Sum of two. Source: definition of the first moment."""
        return Moments(
            self.mass + other.mass,
            self.longitudinal + other.longitudinal,
            self.vertical + other.vertical,
            self.transverse + other.transverse,
        )


@dataclass(frozen=True)
class Weights:
    """Every weight of a batch, one after the other: [Q] each, `first` [N + 1] where those of a condition begin."""

    first: Ints
    mass: Floats
    lcg: Floats
    vcg: Floats
    tcg: Floats

    @classmethod
    def of(cls, lists: Sequence[Sequence[Weight]]) -> "Weights":
        """Lay the weights of N conditions side by side. Source: definition."""
        first = np.concatenate(([0], np.cumsum([len(weights) for weights in lists], dtype=np.int64)))
        return cls(first, *side_by_side(lists, 4))

    def moments(self) -> Moments:
        """Exactly rounded sums, so that the order of the lines cannot move a digit: Moments of [N].

        Source: definition of the first moment."""
        ends = self.first.tolist()
        return Moments(
            *(
                np.array([fsum(column[a:b]) for a, b in pairwise(ends)])
                for column in (
                    self.mass.tolist(),
                    (self.mass * self.lcg).tolist(),
                    (self.mass * self.vcg).tolist(),
                    (self.mass * self.tcg).tolist(),
                )
            )
        )

    def condition(self, weight: int) -> tuple[int, int]:
        """Condition and place in its list of one weight. Source: definition."""
        n = int(np.searchsorted(self.first, weight, side="right")) - 1
        return n, weight - int(self.first[n])


def side_by_side(lists: Sequence[Sequence[tuple[Any, ...]]], width: int) -> list[Floats]:
    """The first `width` columns of every row of N lists, end to end. Source: definition."""
    columns: list[list[float]] = [[] for _ in range(width)]
    for rows in lists:
        for column, values in zip(columns, zip(*rows)):
            column.extend(values)
    return [np.array(column, dtype=np.float64) for column in columns]
