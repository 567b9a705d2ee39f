"""Lateral area exposed to the wind: the ship's outline above the water, and its centroid.

Outlines are polygons (N, 2) of (x, z) that do not overlap.  One unit of length.
Source: definition (projected lateral area and its centroid).
"""

from itertools import pairwise

import numpy as np

from service.core.hull.sections import Array

from .ship_form import ShipForm


def hull_outline(form: ShipForm, count: int = 80) -> Array:
    """Outline of the hull with poop and forecastle: stem upwards, decks aftwards, stern downwards.

    count: points on the stem and on the stern.  Returns (N, 2) of (x, z).
    """
    foremost = form.foremost()
    stem_z = np.linspace(0.0, float(form.top(np.array([foremost]))[0]), count)
    stem = np.column_stack((form.stem(stem_z), stem_z))
    decks = []
    steps = (foremost, form.forecastle[0], form.poop[0], form.transom)
    for ahead, astern in pairwise(steps):
        x = np.linspace(ahead, astern, 40)
        # the erection's own deck on its own side of its bulkhead
        inside = np.clip(x, min(ahead, astern) + 1e-9, max(ahead, astern) - 1e-9)
        decks.append(np.column_stack((x, form.top(inside))))
    stern_z = np.linspace(float(form.top(np.array([form.transom]))[0]), 0.0, count)
    stern = np.column_stack((form.stern(stern_z), stern_z))
    return np.vstack((stem, *decks, stern))


def exposed(outlines: tuple[Array, ...], draft: float) -> tuple[float, float]:
    """Area of the outlines above a draft, and the height of its centroid above the baseline."""
    area = moment = 0.0
    for outline in outlines:
        x, z = outline[:, 0], outline[:, 1] - draft
        x2, z2 = np.roll(x, -1), np.roll(z, -1)
        dry, dry2 = z > 0.0, z2 > 0.0
        crossing = dry != dry2
        share = np.where(crossing, z / np.where(crossing, z - z2, 1.0), 0.0)
        cut = x + share * (x2 - x)
        xa, za = np.where(dry, x, cut), np.where(dry, z, 0.0)
        xb, zb = np.where(dry2, x2, cut), np.where(dry2, z2, 0.0)
        cross = xa * zb - xb * za
        orientation = np.sign(np.sum(x * z2 - x2 * z))
        area += float(orientation * cross.sum() / 2.0)
        moment += float(orientation * (cross * (za + zb)).sum() / 6.0)
    return area, draft + moment / area


def rectangle(form: ShipForm, x_from: float, x_to: float, top: float) -> Array:
    """Outline of a house or coaming that stands on the deck below it, with a flat top.  (N, 2)."""
    x = np.linspace(x_from, x_to, 20)
    deck = form.top(np.clip(x, x_from + 1e-9, x_to - 1e-9))
    return np.vstack((np.column_stack((x, deck)), [[x_to, top], [x_from, top]]))
