"""Quantities that several documents measure on the righting lever curve, with the reasons they cannot be had.

No document: only the arithmetic they share. The curve ends where the first opening floods (angle of down-flooding);
beyond it no righting lever is counted.
"""

from dataclasses import dataclass

import numpy as np

from ..frame import Bools, Floats
from ..opening import FirstImmersion
from ..righting_lever import RightingLever
from .limit import FAIL, NOT_COMPUTABLE, Cause

UNKNOWN_FLOODING = (
    "the angle of down-flooding is unknown: her booklet gives no openings, or none at this draft"
)


@dataclass(frozen=True)
class CurveMeasures:
    """A curve [N] with the end of its usable part, `usable` [N] degrees (NaN: unknown)."""

    curve: RightingLever
    flooding: Floats
    usable: Floats

    @classmethod
    def of(cls, curve: RightingLever, flooding: FirstImmersion) -> "CurveMeasures":
        """The curve up to the angle of down-flooding or its last heel. Source: 2008 IS Code Part A 2.3.1."""
        return cls(curve, flooding.angle, np.minimum(flooding.angle, curve.curves.last_heel))

    def area(self, first: float, last: float) -> Floats:
        """m.rad from `first` to the lesser of `last` and the angle of down-flooding [N]; 0 where that is empty.

        Source: 2008 IS Code Part A 2.2.1."""
        low = np.full_like(self.usable, first)
        return self.curve.area(low, np.maximum(low, np.minimum(self.usable, last)))

    def greatest_from(self, angle: float) -> Floats:
        """Greatest lever [N] (m) at or beyond `angle` degrees on the usable part. Source: 2008 IS Code A 2.2.2."""
        heels = np.repeat(self.curve.heels[None, :], len(self.usable), axis=0)
        inside = (heels >= angle) & (heels <= self.usable[:, None])
        greatest = np.where(inside, self.curve.levers, -np.inf).max(axis=1)
        ends = np.stack(
            [np.full_like(self.usable, angle), np.maximum(angle, np.minimum(self.usable, heels[:, -1]))]
        )
        for end in ends:
            greatest = np.maximum(greatest, self.curve.lever(np.nan_to_num(end)))
        peak = (self.curve.angle_of_maximum >= angle) & (self.curve.angle_of_maximum <= self.usable)
        greatest = np.where(peak, np.maximum(greatest, self.curve.maximum), greatest)
        return np.where(np.isnan(self.usable), np.nan, np.where(self.usable <= angle, 0.0, greatest))

    def angle_of_greatest(self) -> Floats:
        """Angle [N] (degrees) of the greatest lever on the usable part. Source: 2008 IS Code Part A 2.2.3."""
        return np.minimum(self.curve.angle_of_maximum, self.usable)

    def area_to_greatest(self) -> Floats:
        """m.rad from upright to the angle of the greatest lever [N]. Source: 46 CFR 170.173(c)."""
        return self.curve.area(np.zeros_like(self.usable), self.angle_of_greatest())

    def unknown(self) -> Cause:
        """The reason where the angle of down-flooding is unknown. Source: definition."""
        return Cause(np.isnan(self.usable), NOT_COMPUTABLE, UNKNOWN_FLOODING)

    def too_short(self, angle: float) -> Cause:
        """The reason where the cross curves end before `angle` and before any flooding. Source: definition."""
        end = self.curve.curves.last_heel
        short: Bools = (end < angle - 1e-9) & (self.flooding > end)
        return Cause(short, NOT_COMPUTABLE, "her cross curves end before the angle this clause needs")

    def floods_before(self, angle: float) -> Cause:
        """The reason where an opening floods at or before `angle`. Source: 2008 IS Code Part A 2.2."""
        floods: Bools = self.flooding <= angle
        return Cause(
            floods,
            FAIL,
            "an opening floods before the range of heel this clause measures: no lever is left to count",
        )
