"""Closed forms and ordinate tables as hulls for the hull calculation of `service.core.hull`."""

from collections.abc import Callable, Sequence

import numpy as np

from service.core.hull.hull import Hull
from service.core.hull.sections import Array


def prism(
    length: float, half_breadth: Callable[[Array], Array], depth: float, levels: int = 1, nodes: int = 2
) -> Hull:
    """The same section all along: half-breadth by height, its side straight between `levels` equal steps.

    Above `depth` its sides go up vertically, so that it can be asked for its waterplane at that very draft.
    """
    return Hull(
        length=length,
        half_breadth=lambda x, z: half_breadth(np.minimum(z, depth)) + 0.0 * x,
        top=lambda x: np.full(x.shape, 2.0 * depth),
        breaks=(0.0, length),
        levels=np.append(np.linspace(0.0, depth, levels + 1), 2.0 * depth),
        nodes=nodes,
    )


def box(length: float, breadth: float, depth: float) -> Hull:
    """A box-shaped vessel, closed at its depth."""
    return Hull(
        length=length,
        half_breadth=lambda x, z: np.full(np.broadcast(x, z).shape, 0.5 * breadth),
        top=lambda x: np.full(x.shape, depth),
        breaks=(0.0, length),
        levels=np.array([0.0, depth]),
        nodes=2,
    )


def simpson_curve(
    ordinates: Sequence[float], spacing: float, cubic_end: bool = False
) -> Callable[[Array], Array]:
    """The curve that Simpson's first rule is exact for: one parabola through each three ordinates.

    cubic_end: the last four ordinates lie on one cubic, for which his second rule is exact.
    """
    last = len(ordinates) - 4 if cubic_end else len(ordinates) - 1
    starts = [*range(0, last, 2), *([last] if cubic_end else [])]
    pieces = []
    for start in starts:
        count = 4 if cubic_end and start == last else 3
        at = np.arange(start, start + count) * spacing
        pieces.append(np.polynomial.Polynomial.fit(at, ordinates[start : start + count], count - 1))
    edges = np.array(starts[1:]) * spacing

    def value(at: Array) -> Array:
        index = np.searchsorted(edges, at, side="right")
        return np.choose(index, [piece(at) for piece in pieces])

    return value


def waterplane(half_ordinates: Sequence[float], spacing: float, cubic_end: bool = False) -> Hull:
    """A wall-sided vessel, 2 deep, of this waterplane: its half-ordinates from x = 0, `spacing` apart."""
    curve = simpson_curve(half_ordinates, spacing, cubic_end)
    length = spacing * (len(half_ordinates) - 1)
    return Hull(
        length=length,
        half_breadth=lambda x, z: curve(x) + 0.0 * z,
        top=lambda x: np.full(x.shape, 2.0),
        breaks=tuple(float(x) for x in np.arange(len(half_ordinates)) * spacing),
        levels=np.array([0.0, 2.0]),
    )
