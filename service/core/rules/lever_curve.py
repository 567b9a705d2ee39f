"""Quantities that several documents measure on the righting lever curve, with the reasons they cannot be had.

No document: only the arithmetic they share. The curve ends where the first opening floods (angle of down-flooding);
beyond it no righting lever is counted.
"""

from dataclasses import dataclass

import numpy as np

from ..frame import Bools, Floats
from ..opening import FirstImmersion
from ..righting_lever import RightingLever
from .limit import FAIL, NOT_COMPUTABLE, Cause, Detail

UNKNOWN_FLOODING = (
    "the angle of down-flooding is unknown: her booklet gives no openings, or none at this draft"
)


@dataclass(frozen=True)
class CurveMeasures:
    """A curve [N] with the end of its usable part, `usable` [N] degrees (NaN: unknown), the angle of its greatest
    lever there [N] degrees, and the reason where the end is unknown."""

    curve: RightingLever
    flooding: Floats
    usable: Floats
    angle_of_greatest: Floats
    unknown: Cause

    @classmethod
    def of(cls, curve: RightingLever, flooding: FirstImmersion) -> "CurveMeasures":
        """The curve up to the angle of down-flooding or its last heel. Source: 2008 IS Code Part A 2.3.1, 2.2.3."""
        usable = np.minimum(flooding.angle, curve.curves.last_heel)
        unknown = Cause(np.isnan(usable), NOT_COMPUTABLE, UNKNOWN_FLOODING)
        return cls(curve, flooding.angle, usable, curve.angle_of_greatest(usable), unknown)

    def flooding_detail(self, name: str) -> Detail:
        """The angle of down-flooding as an intermediate value under the document's own name. Source: definition."""
        return Detail(name, "degree", np.where(np.isinf(self.flooding), np.nan, self.flooding))

    def areas(self) -> tuple[Floats, Floats, Floats]:
        """m.rad up to 30, up to 40 and from 30 to 40 degrees [N], each ending at the angle of down-flooding where that
        comes first (the last is then 0). Source: 2008 IS Code Part A 2.2.1; 46 CFR 170.173."""
        to_30, to_40 = self.curve.area_from_upright(
            np.stack((np.minimum(self.usable, 30.0), np.minimum(self.usable, 40.0)), axis=1)
        ).T
        return to_30, to_40, np.where(self.usable > 30.0, to_40 - to_30, 0.0 * to_40)

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
        return np.where(np.isnan(self.usable), np.nan, np.where(self.flooding <= angle, 0.0, greatest))

    def area_to_greatest(self) -> Floats:
        """m.rad from upright to the angle of the greatest lever [N]. Source: 46 CFR 170.173(c)."""
        return self.curve.area_from_upright(self.angle_of_greatest[:, None])[:, 0]

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
