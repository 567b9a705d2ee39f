"""Cross curves (KN) and angles of immersion of a hull, at constant displacement.

The hull sinks or rises freely while it heels; the trim is held (fixed-trim calculation).  KN is the distance
from the baseline amidships to the line of buoyancy, at right angles to that line:
KN = y_B * cos(heel) + z_B * sin(heel).  Source: definition.
Heel in degrees, positive to port (port side down).  One unit of length throughout.
"""

import numpy as np

from .hull import Hull
from .hydrostatics import levels_along
from .sections import immersed, settled_level


def floating_level(hull: Hull, volume: float, heel: float, trim: float = 0.0) -> float:
    """Level of the waterplane (from the baseline amidships, at right angles to it) at a heel.

    Raises ValueError when the hull cannot displace the volume at that heel.  Source: definition.
    """
    return settled_level(hull.sections, volume, heel, levels_along(hull, 0.0, trim))


def kn(hull: Hull, volume: float, heel: float, trim: float = 0.0) -> float:
    """KN at a displaced volume and heel, trim held.  Source: definition (see the module)."""
    if heel == 0.0:
        return 0.0
    level = floating_level(hull, volume, heel, trim)
    cut = immersed(hull.sections, heel, levels_along(hull, level, trim))
    return float(hull.sections.weight @ cut.moment_across) / float(hull.sections.weight @ cut.area)


def immersion_angle(
    hull: Hull, volume: float, x: float, y: float, z: float, *, trim: float = 0.0, limit: float = 140.0
) -> float:
    """Smallest heel, towards the point's own side, at which a point of the ship immerses.

    x, z: where the point is; y: its distance from the centreline (its side does not matter).  The ship
    displaces the same volume at every heel, her trim is held.  Returns degrees.
    Raises ValueError when the point is immersed upright, or stays dry up to `limit`.
    Source: definition: the point immerses where the waterplane through it displaces just that volume.
    """

    def spare(heel: float) -> float:
        """Volume displaced up to the point, less the ship's: positive while the point is dry."""
        angle = np.radians(heel)
        level = z * np.cos(angle) - abs(y) * np.sin(angle) + trim * (x / hull.length - 0.5)
        cut = immersed(hull.sections, heel, levels_along(hull, float(level), trim))
        return float(hull.sections.weight @ cut.area) - volume

    low, above = 0.0, spare(0.0)
    if above <= 0.0:
        raise ValueError("the point is immersed upright")
    high, below = low, above
    while below > 0.0:
        if high >= limit:
            raise ValueError(f"the point stays dry up to {limit} degrees")
        low, above = high, below
        high = low + 6.0
        below = spare(high)
    for _ in range(60):
        # false position, drawn to the middle when it clings to one end
        middle = low + (high - low) * min(max(above / (above - below), 0.02), 0.98)
        value = spare(middle)
        if abs(value) < 1e-8 * volume or high - low < 1e-8:
            break
        if value > 0.0:
            low, above, below = middle, value, below / 2.0
        else:
            high, below, above = middle, value, above / 2.0
    return middle
