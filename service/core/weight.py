"""Masses and their moments: what she carries besides liquids, and the sum of everything."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum
from typing import NamedTuple

import numpy as np

from .frame import Floats


class Weight(NamedTuple):
    """One line of the deadweight: t, and the coordinates of its centre in m."""

    mass: float
    lcg: float
    vcg: float
    tcg: float = 0.0
    category: str = "other"


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


def sum_of(lists: Sequence[Sequence[Weight]]) -> Moments:
    """Exactly rounded sums, so that the order of the lines cannot move a digit.

    One list of weights a condition; returns Moments of [N]. Source: definition of the first moment.
    """
    table = [
        (
            fsum([w[0] for w in weights]),
            fsum([w[0] * w[1] for w in weights]),
            fsum([w[0] * w[2] for w in weights]),
            fsum([w[0] * w[3] for w in weights]),
        )
        for weights in lists
    ]
    mass, longitudinal, vertical, transverse = np.array(table).T
    return Moments(mass, longitudinal, vertical, transverse)
