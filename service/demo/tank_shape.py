"""Tanks and holds as solids bounded by planes and the hull, and their sounding tables.

A compartment is one or more blocks that do not overlap; each lies between two transverse planes, two
horizontal planes and two planes parallel to the centreplane, and is cut off by the hull.  Upright, on even
keel.  Axes as in `hull`: y to port.  One unit of length throughout.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from .hull import ShipForm
from .sections import Array, quadrature

NODES_ALONG = 6
NODES_UP = 4


@dataclass(frozen=True)
class Block:
    """One block: x_from < x_to; distances from the centreplane 0 <= inner < outer; bottom < top.

    `inside_hull` False keeps the planes only (a hatch coaming above the deck).
    """

    x_from: float
    x_to: float
    bottom: float
    top: float
    inner: float = 0.0
    outer: float = inf
    inside_hull: bool = True


@dataclass(frozen=True)
class Soundings:
    """A sounding table; every array has one value per level (N,).

    level: height of the surface above the baseline; sounding: the same above the lowest point.
    volume below the surface; lcg, vcg, tcg of that volume (of the bottom surface when it is 0).
    area of the free surface; inertia: its transverse second moment about its own centroidal axis.
    """

    level: Array
    sounding: Array
    volume: Array
    lcg: Array
    vcg: Array
    tcg: Array
    area: Array
    inertia: Array


def sounding_table(form: ShipForm, blocks: tuple[Block, ...], side: str, step: float) -> Soundings:
    """Table of a compartment from its bottom to its top.

    side: "port", "starboard" or "centre" (both halves, as one compartment with one surface).
    step: distance between rows; a last, shorter step reaches the top.
    Source: definition (integrals over the free surface, Gauss-Legendre along and up).
    """
    bottom, top = min(b.bottom for b in blocks), max(b.top for b in blocks)
    rows = np.append(np.arange(bottom, top - 0.3 * step, step), top)
    knuckles = {round(z, 9) for b in blocks for z in (b.bottom, b.top)}
    breaks = sorted(knuckles | {round(float(z), 9) for z in rows})
    nodes, weights = quadrature(tuple(breaks), NODES_UP)
    surfaces = _surfaces(form, blocks, nodes)
    parts = np.stack((surfaces[0], surfaces[1], surfaces[2], surfaces[0] * nodes)) * weights
    per_panel = parts.reshape(4, len(breaks) - 1, NODES_UP).sum(axis=2)
    sums = np.hstack((np.zeros((4, 1)), np.cumsum(per_panel, axis=1)))
    chosen = np.searchsorted(np.asarray(breaks), np.round(rows, 9))
    volume, along, across, up = sums[:, chosen]
    # the surface just below the row, so that a lower block still counts at its own top
    area, along_area, across_area, second = _surfaces(form, blocks, rows, below=True)
    full = volume > 0.0
    divisor = np.where(full, volume, 1.0)
    lcg = np.where(full, along / divisor, along_area / area)
    tcg = np.where(full, across / divisor, across_area / area)
    vcg = np.where(full, up / divisor, bottom)
    inertia = second - across_area**2 / area
    sign = {"port": 1.0, "starboard": -1.0, "centre": 0.0}[side]
    if side == "centre":
        volume, area, inertia = 2.0 * volume, 2.0 * area, 2.0 * second
    return Soundings(rows, rows - bottom, volume, lcg, vcg, sign * tcg, area, inertia)


def _surfaces(form: ShipForm, blocks: tuple[Block, ...], z: Array, below: bool = False) -> Array:
    """Area, moments about x = 0 and the centreplane, and second moment about it, of half the surface: (4, N).

    below: a block counts at its own top and not at its own bottom (except the lowest of all).
    """
    lowest = min(b.bottom for b in blocks)
    total = np.zeros((4, z.size))
    for block in blocks:
        panels = max(1, round((block.x_to - block.x_from) / _panel(form)))
        edges = tuple(np.linspace(block.x_from, block.x_to, panels + 1))
        x, weight = quadrature(edges, NODES_ALONG)
        inner, outer = np.full((x.size, z.size), block.inner), np.full((x.size, z.size), block.outer)
        if block.inside_hull:
            hull = form.half_breadth(x[:, None], z[None, :])
            inner, outer = np.minimum(inner, hull), np.minimum(outer, hull)
        if below:
            inside = ((z > block.bottom + 1e-9) | (np.abs(z - lowest) < 1e-9) & (block.bottom == lowest)) & (
                z <= block.top + 1e-9
            )
        else:
            inside = (z > block.bottom) & (z < block.top)
        total += inside * np.stack(
            (
                weight @ (outer - inner),
                (weight * x) @ (outer - inner),
                weight @ (outer**2 - inner**2) / 2.0,
                weight @ (outer**3 - inner**3) / 3.0,
            )
        )
    return total


def _panel(form: ShipForm) -> float:
    """Length of a quadrature panel: a fortieth of the ship."""
    return form.length / 40.0
