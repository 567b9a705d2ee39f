"""Doubts about the tables of a booklet: rows that do not fit their neighbours, tables that contradict one another.

Everything here is a ratio or an index, so that it holds in any units. Thresholds are common practice, no source.
"""

from collections.abc import Sequence
from math import isfinite
from statistics import median
from typing import NamedTuple

import numpy as np

from .conventions import Floats
from .opening import Opening
from .vessel import Vessel
from .waterplane import Upright, Waterplane

STANDS_OUT = 6.0
"""How many times the usual departure a row must depart to be doubted."""
LEAST = 0.003
"""Part of the range of a column below which a departure is taken for rounding."""
ECHO = 0.57
"""How much of a departure its neighbours must echo: 2/3 for a single wrong row, 1/2 for a knuckle of the hull."""


def departures(argument: Floats, values: Floats) -> Floats:
    """How far each value [R] lies from the cubic through its two neighbours on both sides; NaN at the ends.

    argument [R] strictly increasing. Source: Lagrange's interpolation formula.
    """
    result = np.full(len(values), np.nan)
    inner, around = len(values) - 4, (0, 1, 3, 4)
    if inner < 1:
        return result
    places = {k: argument[k : k + inner] for k in range(5)}
    expected = np.zeros(inner)
    for j in around:
        weight = np.ones(inner)
        for k in around:
            if k != j:
                weight = weight * ((places[2] - places[k]) / (places[j] - places[k]))
        expected = expected + weight * values[j : j + inner]
    result[2:-2] = values[2:-2] - expected
    return result


def rows_out_of_line(
    argument: Sequence[float], values: Sequence[float], least: float = 0.0
) -> list[tuple[int, float]]:
    """Rows that look mistyped, each with the value that its neighbours suggest.

    A single wrong row departs from its neighbours by e and makes each of them depart by about -2/3 e; a knuckle of
    the hull gives -1/2. Of rows near one another only the worst is named. Needs at least 7 rows; a departure up to
    `least` is never doubted. Source: method of differences (error patterns in a difference table).
    """
    x, y = np.asarray(argument, dtype=float), np.asarray(values, dtype=float)
    if len(x) < 7 or not (np.diff(x) > 0.0).all() or not np.isfinite(y).all():
        return []
    off: list[float] = departures(x, y).tolist()
    inner = [abs(each) for each in off[2:-2]]
    least = max(LEAST * float(y.max() - y.min()), least)
    found: dict[int, float] = {}
    for i in sorted(range(2, len(x) - 2), key=lambda k: -inner[k - 2]):
        size = inner[i - 2]
        if size <= least:
            break  # and so are all that follow
        if any(abs(i - k) <= 2 for k in found):
            continue
        rest = inner[: max(i - 4, 0)] + inner[i + 1 :]
        if size <= STANDS_OUT * (median(rest) if rest else 0.0):
            continue
        echoes = [-off[k] / off[i] for k in (i - 1, i + 1) if isfinite(off[k])]
        if echoes and min(echoes) > 0.0 and sum(echoes) / len(echoes) > ECHO:
            found[i] = float(y[i] - off[i])
    return sorted(found.items())


def falls(values: Sequence[float]) -> list[int]:
    """Indices of values smaller than the one before. Source: definition."""
    return [i for i in range(1, len(values)) if values[i] < values[i - 1]]


def immersion_from_displacements(draft: Sequence[float], displacement: Sequence[float]) -> Floats:
    """Mass per unit of draft between rows [R - 1]: what the mean TPC of two rows should be.

    Source: definition (TPC is the slope of displacement over draft).
    """
    result: Floats = np.diff(np.asarray(displacement, dtype=float)) / np.diff(np.asarray(draft, dtype=float))
    return result


LARGEST_BEND = 0.01
"""m of KM that straight lines between two rows may lose. Common practice, no source."""
LARGEST_DEPARTURE = 1.0
"""Degrees by which a printed immersion angle may differ from the computed one. Common practice, no source."""


def bends(displacement: Sequence[float], km: Sequence[float]) -> list[float]:
    """How far KM between the rows [R] around each inner row [R - 2] may be off, in its own unit, when its product with
    the displacement is interpolated by straight lines: the second difference over eight times the displacement.

    Source: error of linear interpolation, h^2 f'' / 8 (any text on numerical analysis)."""
    x, y = np.asarray(displacement, dtype=float), np.asarray(displacement, dtype=float) * np.asarray(km)
    before, after = np.diff(x)[:-1], np.diff(x)[1:]
    slopes = np.diff(y) / np.diff(x)
    curvature = np.diff(slopes) / (0.5 * (before + after))
    result: list[float] = (np.abs(curvature) * np.maximum(before, after) ** 2 / 8.0 / x[1:-1]).tolist()
    return result


class Departure(NamedTuple):
    """A printed immersion angle (degrees) beside the one that her cross curves give, by table and row."""

    table: int
    row: int
    printed: float
    computed: float


def immersion_departures(vessel: Vessel, opening: Opening) -> list[Departure]:
    """Printed angles of one opening that differ by more than a degree from those computed for the same draft and trim.

    Nothing where her cross curves or hydrostatics do not reach. Source: see `waterplane.py`."""
    curves, tables, length = vessel.cross_curves, vessel.hydrostatics, vessel.particulars.length_bp
    if curves is None or vessel.levels is None:
        return []
    found = []
    for t, table in enumerate(opening.immersion):
        for r, (draft, printed) in enumerate(zip(table.draft, table.angle)):
            mass = tables.displacement_at(draft, table.trim, length)
            if mass is None or not curves.covers(mass * (curves.density / tables.density), table.trim):
                continue
            lcf = tables.at(mass, table.trim).lcf
            upright = Upright(draft + table.trim * (0.5 - lcf / length), lcf, table.trim, length)
            waterplane = Waterplane(vessel.levels, mass * (curves.density / tables.density), upright)
            computed = waterplane.immersion_angle(opening.x, abs(opening.y), opening.z)
            if isfinite(computed) and abs(computed - printed) > LARGEST_DEPARTURE:
                found.append(Departure(t, r, printed, computed))
    return found
