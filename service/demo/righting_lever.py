"""Cross curves (KN) and angles of immersion of a hull, at constant displacement.

The hull sinks or rises freely while it heels; the trim is held (fixed-trim calculation).  KN is the distance
from the baseline amidships to the line of buoyancy, at right angles to that line:
KN = y_B * cos(heel) + z_B * sin(heel).  Source: definition.
Heel in degrees, positive to port (port side down).  One unit of length throughout.
"""

import numpy as np

from .hull import Hull
from .hydrostatics import levels_along
from .sections import immersed


def floating_level(hull: Hull, volume: float, heel: float, trim: float = 0.0) -> float:
    """Level of the waterplane (from the baseline amidships, at right angles to it) at a heel.

    Raises ValueError when the hull cannot displace the volume at that heel.  Source: definition.
    """
    sections = hull.sections
    sine, cosine = np.sin(np.radians(heel)), np.cos(np.radians(heel))
    heights = sections.z * cosine - sections.y * sine
    reach = abs(trim)
    low, high = float(heights.min()) - reach, float(heights.max()) + reach
    level = (low + high) / 2.0
    for _ in range(100):
        cut = immersed(sections, heel, levels_along(hull, level, trim))
        error = float(sections.weight @ cut.area) - volume
        if abs(error) <= 1e-11 * volume or high - low < 1e-13 * (abs(high) + abs(low)):
            break
        low, high = (low, level) if error > 0.0 else (level, high)
        step = level - error / max(float(sections.weight @ cut.width), 1e-12)
        level = step if low < step < high else (low + high) / 2.0
    if abs(error) > 1e-6 * volume:
        raise ValueError(f"the hull cannot displace {volume} at a heel of {heel} degrees")
    return level


def kn(hull: Hull, volume: float, heel: float, trim: float = 0.0) -> float:
    """KN at a displaced volume and heel, trim held.  Source: definition (see the module)."""
    if heel == 0.0:
        return 0.0
    level = floating_level(hull, volume, heel, trim)
    cut = immersed(hull.sections, heel, levels_along(hull, level, trim))
    return float(hull.sections.weight @ cut.moment_across) / float(hull.sections.weight @ cut.area)


def immersion_angle(
    hull: Hull, volume: float, y: float, z: float, *, step: float = 2.0, limit: float = 100.0
) -> float:
    """Smallest heel, towards the point's own side, at which a point of the ship immerses.

    y: distance of the point from the centreline (its side does not matter); z: its height.  Even keel.
    The ship displaces the same volume at every heel.  Returns degrees.  Raises ValueError when the point is
    immersed upright, or stays dry up to `limit`.
    """
    y = abs(y)

    def dry(heel: float) -> float:
        """Height of the point above the water at a heel."""
        sine, cosine = np.sin(np.radians(heel)), np.cos(np.radians(heel))
        return float(z * cosine - y * sine) - floating_level(hull, volume, heel)

    low = 0.0
    if dry(low) <= 0.0:
        raise ValueError("the point is immersed upright")
    while dry(low + step) > 0.0:
        low += step
        if low > limit:
            raise ValueError(f"the point stays dry up to {limit} degrees")
    high = low + step
    for _ in range(30):
        middle = (low + high) / 2.0
        low, high = (middle, high) if dry(middle) > 0.0 else (low, middle)
    return (low + high) / 2.0
