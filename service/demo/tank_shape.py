"""Tanks and holds as solids bounded by planes and the hull, and their sounding tables.

A compartment is one or more blocks that do not overlap; each lies between two transverse planes, two
horizontal planes and two planes parallel to the centreplane, and is cut off by the hull.  Upright, on even
keel.  Axes as in `hull`: y to port.  One unit of length throughout.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from service.core.hull.sections import Array, Sections, immersed, quadrature, settled_level

from .ship_form import ShipForm

NODES_ALONG = 6
LEVELS = 61
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
    volume below the surface; lcg, vcg, tcg of that volume (of the lowest surface when it is 0).
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
    area, _, across_area, second = _surfaces(form, blocks, rows, below=True)
    inertia = second - across_area**2 / np.maximum(area, 1e-12)
    # an empty tank's centre is that of its lowest surface, or of one just above a knife edge
    low = _surfaces(form, blocks, np.array([bottom + 0.01 * step]))[:, 0]
    divisor = np.where(volume > 0.0, volume, low[0])
    lcg = np.where(volume > 0.0, along, low[1]) / divisor
    tcg = np.where(volume > 0.0, across, low[2]) / divisor
    vcg = np.where(volume > 0.0, up / divisor, bottom)
    sign = {"port": 1.0, "starboard": -1.0, "centre": 0.0}[side]
    if side == "centre":
        volume, area, inertia = 2.0 * volume, 2.0 * area, 2.0 * second
    return Soundings(rows, rows - bottom, volume, lcg, vcg, sign * tcg, area, inertia)


def solid(form: ShipForm, blocks: tuple[Block, ...], side: str) -> Sections:
    """The compartment as section polygons, for surfaces at a heel.  Arguments as in `sounding_table`."""
    parts = []
    for block in blocks:
        x, weight, inner, outer, z = _section_sides(form, block)
        if side == "centre":
            y = np.hstack((outer, -outer[:, ::-1], outer[:, :1]))
        else:
            y = np.hstack((outer, inner[:, ::-1], outer[:, :1]))
        parts.append((x, weight, y, np.hstack((z, z[:, ::-1], z[:, :1]))))
    x, weight, y, z = (np.concatenate(arrays) for arrays in zip(*parts, strict=True))
    return Sections(x, weight, y, z)


def _section_sides(form: ShipForm, block: Block) -> tuple[Array, Array, Array, Array, Array]:
    """Positions and weights (S,), inner and outer boundary and heights (S, LEVELS) of one block."""
    panels = max(1, round((block.x_to - block.x_from) / _panel(form)))
    x, weight = quadrature(tuple(np.linspace(block.x_from, block.x_to, panels + 1)), NODES_ALONG)
    z = np.broadcast_to(np.linspace(block.bottom, block.top, LEVELS), (x.size, LEVELS))
    inner, outer = np.full(z.shape, block.inner), np.full(z.shape, block.outer)
    if block.inside_hull:
        hull = form.half_breadth(x[:, None], z)
        inner, outer = np.minimum(inner, hull), np.minimum(outer, hull)
    return x, weight, inner, outer, z


def shift_moment(sections: Sections, filling: float, heel: float) -> float:
    """Moment by which a liquid shifts to the low side when the ship heels, in volume times length.

    filling: share of the compartment's volume, 0 to 1; heel in degrees.  Volume times the distance, across
    the heeled ship, by which the liquid's centre lies further to the low side than if it had stayed:
    V [(y' - y) cos(heel) + (z' - z) sin(heel)].  For a small heel it is the inertia of the free surface
    times the heel in radians.
    Source: definition; 2008 IS Code Part B 3.1.9.1 (actual moment of fluid transfer).
    """
    full = immersed(sections, 0.0, float(sections.z.max()) + 1.0)
    volume = filling * float(sections.weight @ full.area)
    level = settled_level(sections, volume, 0.0)
    upright = immersed(sections, 0.0, level)
    across = float(sections.weight @ upright.moment_across)
    up = float(sections.weight @ (upright.moment_up + level * upright.area))
    heeled = immersed(sections, heel, settled_level(sections, volume, heel))
    stayed = across * np.cos(np.radians(heel)) + up * np.sin(np.radians(heel))
    return float(sections.weight @ heeled.moment_across) - float(stayed)


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
