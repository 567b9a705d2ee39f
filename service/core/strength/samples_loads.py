"""Masses along her length in every sample of a condition: arrays [N, L], samples by loads.

The formulas are those of `weight_curve.py`, where their sources are.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from .weight_curve import ROOM, SHORTEST, Segment

Flags = NDArray[np.bool_]


class Loads(NamedTuple):
    """As `Load`, [N, L] each."""

    aft: Floats
    forward: Floats
    at_aft: Floats
    at_forward: Floats
    mass: Floats

    @classmethod
    def joined(cls, *parts: "Loads") -> "Loads":
        """Loads beside one another. Source: definition."""
        return cls(*(np.concatenate(each, axis=1) for each in zip(*parts)))

    def totals(self) -> tuple[Floats, Floats]:
        """Mass (t) and moment (t.m) of all loads [N]. Source: first moments."""
        third = self.at_aft * (2.0 * self.aft + self.forward)
        third = third + self.at_forward * (self.aft + 2.0 * self.forward)
        linear = (self.forward - self.aft) * third / 6.0
        moment = np.where(self.aft == self.forward, self.mass * self.aft, linear)
        return self.mass.sum(axis=1), moment.sum(axis=1)

    @property
    def slope(self) -> Floats:
        """How fast the mass a metre grows forward, t/m2; nothing for a load at a point. Source: definition."""
        length = self.forward - self.aft
        grown = self.at_forward - self.at_aft
        return np.divide(grown, length, out=np.zeros_like(length), where=length > 0.0)


def lightships(segments: Sequence[Segment], share: Floats, forward: Floats) -> Loads:
    """Her lightship with a share [N] of its mass, so far [N] (m) forward, as `StrengthBooklet.carrying`.

    Source: definition."""
    aft, fore, at_aft, at_forward = np.array(segments).T[:, None, :]
    ends, shares = (aft + forward[:, None], fore + forward[:, None]), share[:, None]
    heights = shares * at_aft, shares * at_forward
    return Loads(*ends, *heights, 0.5 * (ends[1] - ends[0]) * (heights[0] + heights[1]))


def spread_all(
    mass: Floats, lcg: Floats, aft: Floats, forward: Floats, nowhere: float
) -> tuple[Loads, Flags]:
    """As `spread`, for masses (t), centres and extents (m; nan: none) [N, L], and the samples [N] in which no centre
    lies outside its extent. A mass of nothing is put to `nowhere`.

    Source: see `spread`."""
    with np.errstate(all="ignore"):
        length, middle = forward - aft, 0.5 * (aft + forward)
        beside = (lcg < aft - ROOM) | (lcg > forward + ROOM)
        away = np.minimum(np.maximum(lcg - middle, -0.5 * length), 0.5 * length)
        shortened = np.abs(lcg - middle) > length / 6.0 + ROOM
        base = 3.0 * (0.5 * length - np.abs(away))
        peak, even, tilt = 2.0 * mass / base, mass / length, 6.0 * away / length
    nothing = mass == 0.0
    point = np.isnan(aft) | nothing | np.where(shortened, base < SHORTEST, length < SHORTEST)
    aftward, at = shortened & (away < 0.0), np.where(nothing, nowhere, lcg)
    fore = shortened & ~aftward
    ends = np.where(fore, forward - base, aft), np.where(aftward, aft + base, forward)
    at_aft = np.where(aftward, peak, np.where(fore, 0.0, even * (1.0 - tilt)))
    at_forward = np.where(aftward, 0.0, np.where(fore, peak, even * (1.0 + tilt)))
    loads = Loads(
        np.where(point, at, ends[0]),
        np.where(point, at, ends[1]),
        np.where(point, 0.0, at_aft),
        np.where(point, 0.0, at_forward),
        mass,
    )
    return loads, ~(beside & ~nothing).any(axis=1)
