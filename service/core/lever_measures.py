"""Quantities that several documents measure on the righting lever curve up to the angle of down-flooding.

No document: only the arithmetic they share. The curve ends where the first opening floods; beyond it no righting
lever is counted.
"""

from functools import cached_property
from math import inf

from .righting_lever import RightingLever


class LeverMeasures:
    """A curve with the end of its usable part: `flooding` in degrees (None: unknown, inf: none), `usable` degrees of
    it (None: unknown)."""

    def __init__(self, curve: RightingLever, flooding: float | None) -> None:
        self.curve, self.flooding = curve, flooding
        self.usable = None if flooding is None else min(flooding, curve.last_heel)

    @cached_property
    def angle_of_greatest(self) -> float | None:
        """Degrees of the greatest lever on the usable part. Source: 2008 IS Code Part A 2.2.3."""
        return None if self.usable is None else self.curve.angle_of_greatest(self.usable)

    def area_to(self, angle: float) -> float | None:
        """m.rad from upright to `angle` degrees, or to the end of the usable part where that comes first.

        Source: 2008 IS Code Part A 2.2.1; 46 CFR 170.173."""
        return None if self.usable is None else self.curve.area_from_upright(min(self.usable, angle))

    @cached_property
    def area_to_30(self) -> float | None:
        """m.rad up to 30 degrees. Source: 2008 IS Code Part A 2.2.1; 46 CFR 170.173."""
        return self.area_to(30.0)

    @cached_property
    def area_to_40(self) -> float | None:
        """m.rad up to 40 degrees. Source: 2008 IS Code Part A 2.2.1; 46 CFR 170.173."""
        return self.area_to(40.0)

    @property
    def area_30_to_40(self) -> float | None:
        """m.rad from 30 to 40 degrees; 0 where the usable part ends before. Source: 2008 IS Code Part A 2.2.1."""
        if self.usable is None or self.area_to_30 is None or self.area_to_40 is None:
            return None
        return self.area_to_40 - self.area_to_30 if self.usable > 30.0 else 0.0

    def greatest_from(self, angle: float) -> float | None:
        """Greatest lever (m) at or beyond `angle` degrees on the usable part; 0 where it ends before.

        Source: 2008 IS Code Part A 2.2.2."""
        if self.usable is None or self.flooding is None:
            return None
        if self.flooding <= angle:
            return 0.0
        curve = self.curve
        inside = [lever for heel, lever in zip(curve.heels, curve.levers) if angle <= heel <= self.usable]
        greatest = max(*inside, -inf, curve.lever(angle), curve.lever(max(angle, self.usable)))
        if angle <= curve.angle_of_maximum <= self.usable:
            greatest = max(greatest, curve.maximum)
        return greatest

    def area_to_greatest(self) -> float | None:
        """m.rad from upright to the angle of the greatest lever. Source: 46 CFR 170.173(c)."""
        angle = self.angle_of_greatest
        return None if angle is None else self.curve.area_from_upright(angle)

    def is_shorter_than(self, angle: float) -> bool:
        """Whether the cross curves end before `angle` degrees and before any flooding. Source: definition."""
        end = self.curve.last_heel
        return end < angle - 1e-9 and self.flooding is not None and self.flooding > end
