"""Hulls defined by formulas: half-breadth at any (x, z), and the top of the watertight body at any x.

Axes: x from the aft perpendicular, forward positive; z up from the baseline; half-breadths never negative.
One unit of length throughout (metres or feet, whichever the ship's booklet uses).
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .sections import Array, Sections, quadrature


@dataclass(frozen=True)
class Hull:
    """A hull symmetric about its centreplane.

    length: between perpendiculars.
    half_breadth: function of (x, z) arrays that broadcast together, returning half-breadths >= 0.
    top: function of an array x, returning the height of the uppermost watertight deck at side
        (enclosed superstructures included; the deck is taken flat across, without camber).
    breaks: panel ends for the quadrature along x; every knuckle of the form stands at one of them.
    levels: heights of the section vertices; they are cut off at `top`.
    nodes: quadrature nodes in every panel.
    """

    length: float
    half_breadth: Callable[[Array, Array], Array]
    top: Callable[[Array], Array]
    breaks: tuple[float, ...]
    levels: Array
    nodes: int = 5

    @cached_property
    def sections(self) -> Sections:
        """Section polygons at the quadrature nodes along the whole hull.  Source: definition."""
        x, weight = quadrature(self.breaks, self.nodes)
        z = np.minimum(self.levels[None, :], self.top(x)[:, None])
        y = self.half_breadth(x[:, None], z)
        return Sections(
            x, weight, np.hstack((y, -y[:, ::-1], y[:, :1])), np.hstack((z, z[:, ::-1], z[:, :1]))
        )
