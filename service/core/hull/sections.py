"""Transverse sections as polygons, and what an inclined waterplane cuts from them.

Axes: x from the aft perpendicular, forward positive; y to port; z up from the baseline.  Any one unit of
length may be used.  Heel is positive to port (port side down), trim positive by the stern.

The clipping is exact for polygons.  Every section is turned upright to the water, with the origin on the
waterline; by Green's theorem the area and its moments are sums over the immersed edges, and the closing
edges, lying on a line through the origin, add nothing.
Source: definition (Green's theorem for polygons); no approximation beyond the polygon itself.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Sections:
    """Closed section polygons at the nodes of a quadrature along the ship.

    x: (S,) positions of the sections.
    weight: (S,) quadrature weights; their sum is the length of the hull.
    y, z: (S, V) polygon vertices, up the port side and down the starboard side; the last repeats the first.
    """

    x: Array
    weight: Array
    y: Array
    z: Array


@dataclass(frozen=True)
class Immersion:
    """Immersed areas and waterline cuts of every section under one waterplane.

    area: (S,) immersed area.
    moment_across: (S,) moment of that area, positive to the low side when heel is positive: about the line
        through the baseline amidships at right angles to the waterplane (so that it yields KN).
    moment_up: (S,) moment about the waterplane at that section, positive upwards (hence never positive).
    width: (S,) breadth of the section in the waterplane.
    width_second: (S,) integral of the squared coordinate across, over that breadth.
    """

    area: Array
    moment_across: Array
    moment_up: Array
    width: Array
    width_second: Array


def immersed(sections: Sections, heel: float, level: float | Array) -> Immersion:
    """Cut all sections by a waterplane.

    heel: degrees, positive to port.
    level: distance from the baseline amidships to the waterplane, at right angles to the waterplane;
        a scalar, or (S,) where the waterplane is also inclined lengthwise.
    Returns an Immersion.  Source: definition (see the module).
    """
    sine, cosine = np.sin(np.radians(heel)), np.cos(np.radians(heel))
    across = sections.y * cosine + sections.z * sine
    above = sections.z * cosine - sections.y * sine - np.reshape(level, (-1, 1))
    wet = above <= 0.0
    u1, u2 = above[:, :-1], above[:, 1:]
    a1, a2 = across[:, :-1], across[:, 1:]
    crossing = wet[:, :-1] != wet[:, 1:]
    # where an edge meets the waterline, and there only
    row, edge = np.nonzero(crossing)
    from_above, to_above = u1[row, edge], u2[row, edge]
    start, end = a1[row, edge], a2[row, edge]
    cut = start + from_above / (from_above - to_above) * (end - start)
    rising = to_above > from_above
    cross = np.where(wet[:, :-1] & wet[:, 1:], a1 * u2 - a2 * u1, 0.0)
    area, moment_across, moment_up = (
        cross.sum(axis=1),
        (cross * (a1 + a2)).sum(axis=1),
        (cross * (u1 + u2)).sum(axis=1),
    )
    # the immersed part of a cut edge: from its wet end to the waterline, or the other way round
    part = np.where(rising, -cut * from_above, cut * to_above)
    wet_across, wet_above = np.where(rising, start, end), np.where(rising, from_above, to_above)
    count = len(sections.x)
    area = area + _sums(row, part, count)
    moment_across = moment_across + _sums(row, part * (cut + wet_across), count)
    moment_up = moment_up + _sums(row, part * wet_above, count)
    # the polygon runs anticlockwise seen with y to the right: it leaves the water on the positive side
    side = np.where(rising, 1.0, -1.0)
    return Immersion(
        area=area / 2.0,
        moment_across=moment_across / 6.0,
        moment_up=moment_up / 6.0,
        width=_sums(row, side * cut, count),
        width_second=_sums(row, side * cut**3, count) / 3.0,
    )


def _sums(row: NDArray[np.intp], values: Array, count: int) -> Array:
    """Sums of the values that belong to each row, (count,)."""
    return np.bincount(row, values, count).astype(np.float64)


def settled_level(sections: Sections, volume: float, heel: float, slope: Array | None = None) -> float:
    """Level of the waterplane below which the sections hold a volume, at a heel in degrees.

    slope: (S,) how far the waterplane lies above that level at each section (0 when not given).
    Used for a hull in water and for a liquid in a tank.  Source: definition; Newton's method, held in a
    bracket.  Raises ValueError when the sections cannot hold the volume.
    """
    tilt = np.zeros(len(sections.x)) if slope is None else slope
    heights = sections.z * np.cos(np.radians(heel)) - sections.y * np.sin(np.radians(heel))
    low, high = float(heights.min() - tilt.max()), float(heights.max() - tilt.min())
    level = (low + high) / 2.0
    error = np.inf
    for _ in range(100):
        cut = immersed(sections, heel, level + tilt)
        error = float(sections.weight @ cut.area) - volume
        if abs(error) <= 1e-11 * volume or high - low < 1e-13 * (abs(high) + abs(low)):
            break
        low, high = (low, level) if error > 0.0 else (level, high)
        step = level - error / max(float(sections.weight @ cut.width), 1e-12)
        level = step if low < step < high else (low + high) / 2.0
    if abs(error) > 1e-6 * volume:
        raise ValueError(f"the sections cannot hold {volume} at a heel of {heel} degrees")
    return level


def quadrature(breaks: tuple[float, ...], nodes: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on consecutive panels.

    breaks: ends of the panels, increasing; nodes: points in every panel.
    Returns positions (P * nodes,) and weights (same shape).  Source: definition (Gauss-Legendre rule).
    """
    points, weights = np.polynomial.legendre.leggauss(nodes)
    start, end = np.asarray(breaks[:-1])[:, None], np.asarray(breaks[1:])[:, None]
    half = (end - start) / 2.0
    return (start + half * (1.0 + points)).ravel(), (half * weights).ravel()
