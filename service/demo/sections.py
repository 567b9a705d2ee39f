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
    y, z: (S, V) polygon vertices, up the port side and down the starboard side; the last joins the first.
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
    across_next, above_next = np.roll(across, -1, axis=1), np.roll(above, -1, axis=1)
    wet, wet_next = above <= 0.0, above_next <= 0.0
    crossing = wet != wet_next
    share = np.where(crossing, above / np.where(crossing, above - above_next, 1.0), 0.0)
    at_cut = across + share * (across_next - across)
    a1 = np.where(wet, across, at_cut)
    u1 = np.where(wet, above, 0.0)
    a2 = np.where(wet_next, across_next, at_cut)
    u2 = np.where(wet_next, above_next, 0.0)
    cross = a1 * u2 - a2 * u1
    # the polygon runs anticlockwise seen with y to the right: it leaves the water on the positive side
    side = np.where(crossing, np.where(wet, 1.0, -1.0), 0.0)
    return Immersion(
        area=cross.sum(axis=1) / 2.0,
        moment_across=(cross * (a1 + a2)).sum(axis=1) / 6.0,
        moment_up=(cross * (u1 + u2)).sum(axis=1) / 6.0,
        width=(side * at_cut).sum(axis=1),
        width_second=(side * at_cut**3).sum(axis=1) / 3.0,
    )


def quadrature(breaks: tuple[float, ...], nodes: int) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on consecutive panels.

    breaks: ends of the panels, increasing; nodes: points in every panel.
    Returns positions (P * nodes,) and weights (same shape).  Source: definition (Gauss-Legendre rule).
    """
    points, weights = np.polynomial.legendre.leggauss(nodes)
    start, end = np.asarray(breaks[:-1])[:, None], np.asarray(breaks[1:])[:, None]
    half = (end - start) / 2.0
    return (start + half * (1.0 + points)).ravel(), (half * weights).ravel()
