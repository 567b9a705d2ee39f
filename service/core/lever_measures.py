"""Quantities that several documents measure on the righting lever curve up to the angle of down-flooding.

No document: only the arithmetic they share. The curve ends where the first opening floods; beyond it no righting
lever is counted.
"""

from bisect import bisect_left, bisect_right
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

    @property
    def ends_rising(self) -> bool:
        """Whether the cross curves end, before any flooding, while the lever still rises. Source: definition."""
        angle, last = self.angle_of_greatest, self.curve.last_heel
        return angle is not None and self.usable == last and angle >= last - 1e-9

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

    def greatest_from(self, angle: float) -> tuple[float, float] | None:
        """Greatest lever (m) at or beyond `angle` degrees on the usable part, and its own angle; no lever is left (0)
        where the usable part ends before.

        Source: 2008 IS Code Part A 2.2.2."""
        if self.usable is None or self.flooding is None:
            return None
        if self.flooding <= angle:
            return 0.0, angle
        curve, end = self.curve, max(angle, self.usable)
        found = [(curve.lever(angle), angle), (curve.lever(end), end)]
        if angle <= curve.angle_of_maximum <= self.usable:
            found.append((curve.maximum, curve.angle_of_maximum))
        else:  # the maximum lies elsewhere: another hump may count
            first, last = bisect_left(curve.heels, angle), bisect_right(curve.heels, self.usable)
            found += zip(curve.levers[first:last], curve.heels[first:last])
        return max(found)

    def area_to_greatest(self, most: float = inf) -> float | None:
        """m.rad from upright to the angle of the greatest lever, or to `most` degrees where that comes first.

        Source: 46 CFR 170.173(c)."""
        angle = self.angle_of_greatest
        return None if angle is None else self.curve.area_from_upright(min(angle, most))

    def is_shorter_than(self, angle: float) -> bool:
        """Whether the cross curves end before `angle` degrees and before any flooding. Source: definition."""
        end = self.curve.last_heel
        return end < angle - 1e-9 and self.flooding is not None and self.flooding > end
