"""Areas of weather decks, for ice, and their centroids: from the half-breadths of the hull. One unit of length."""

import numpy as np

from service.core.hull.sections import quadrature

from .printing import Printing, Row, rounded
from .ship_form import ShipForm

NODES, PANELS = 6, 12


def deck(form: ShipForm, printing: Printing, name: str, x_from: float, x_to: float, less: float = 0.0) -> Row:
    """The uppermost deck between two places, over her breadth less `less` (a house or hatch of that breadth on it).

    Source: definition (area and its centroid)."""
    x, weight = quadrature(tuple(np.linspace(x_from, x_to, PANELS + 1)), NODES)
    z = form.top(x)
    breadth = np.maximum(2.0 * form.half_breadth(x, z) - less, 0.0)
    area = float(weight @ breadth)
    return _surface(
        printing, name, area, float(weight @ (breadth * x)) / area, float(weight @ (breadth * z)) / area
    )


def flat(printing: Printing, name: str, x_from: float, x_to: float, breadth: float, z: float) -> Row:
    """A rectangular top at a height: hatch covers, a house."""
    return _surface(printing, name, (x_to - x_from) * breadth, 0.5 * (x_from + x_to), z)


def _surface(printing: Printing, name: str, area: float, x: float, z: float) -> Row:
    return {
        "name": name,
        "kind": "deck",
        "area": rounded(area, 1),
        "x": printing.x(x, 2),
        "z": rounded(z, 2),
        "y": 0.0,
    }
