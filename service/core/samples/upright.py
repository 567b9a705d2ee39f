"""How every sample of a condition floats upright: arrays [N] along the samples.

The formulas are those of `flotation.py` and `hydrostatics.py`, where their sources are.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..conventions import Floats
from ..flotation import LARGEST_TRIM
from ..hydrostatics import COLUMNS, Hydrostatics, HydrostaticTable
from ..interpolation import ROOM_AT_THE_ENDS, interval, intervals
from .aboard import Aboard, Flags

DRAFT, LCB, LCF, KM, TPC, MCTC, VCB, TCB, BLOCK, AREA = range(len(COLUMNS))


class Upright(NamedTuple):
    """Displacements (t, in the water of her tables), rows of the tables [N, COLUMNS] with nan for what is not printed,
    trims (m), levers left unbalanced (m; None by moment), and where there is an equilibrium on her tables."""

    hydrostatics: Hydrostatics
    length_bp: float
    mass: Floats
    rows: Floats
    trim: Floats
    residual: Floats | None
    on_tables: Flags

    @property
    def draft_at_lcf(self) -> Floats:
        """As `Hydrostatics.draft_at_lcf`, m. Source: definition of trim."""
        return self._draft_at_lcf(self.rows, self.trim)

    def at_trim(self, trim: float) -> tuple[Floats, Floats]:
        """Draft at the LCF, and the LCF, at the same displacements and a trim (m by the stern), as `Waterplane.at_trim`
        finds them. Source: definition of linear interpolation."""
        tables = self.hydrostatics.tables
        if len(tables) == 1:
            rows = self.rows
        else:
            i, part = interval(self.hydrostatics.trims, trim)
            low = _rows(tables[i], self.mass)
            rows = low + part * (_rows(tables[i + 1], self.mass) - low)
        return self._draft_at_lcf(rows, np.full_like(self.mass, trim)), rows[:, LCF]

    def _draft_at_lcf(self, rows: Floats, trim: Floats) -> Floats:
        tables = self.hydrostatics.tables
        if not self.hydrostatics.midship_draft:
            return rows[:, DRAFT]
        given = trim if len(tables) > 1 else tables[0].trim
        draft: Floats = rows[:, DRAFT] + given * (0.5 - rows[:, LCF] / self.length_bp)
        return draft


def upright(hydrostatics: Hydrostatics, length_bp: float, load: Aboard) -> Upright:
    """As `flotation.float_on`, for all samples. Source: see there."""
    mass = load.mass * (hydrostatics.density / load.water_density)
    if len(hydrostatics.tables) == 1:
        (table,) = hydrostatics.tables
        rows = _rows(table, mass)
        trim: Floats = table.trim + mass * (rows[:, LCB] - load.lcg) / (100.0 * rows[:, MCTC])
        on_table = reaches(table.displacement, mass) & (np.abs(trim) <= LARGEST_TRIM)
        return Upright(hydrostatics, length_bp, mass, rows, trim, None, on_table)
    return _by_iteration(hydrostatics, length_bp, load, mass)


def _by_iteration(hydrostatics: Hydrostatics, length_bp: float, load: Aboard, mass: Floats) -> Upright:
    """As `flotation._equilibrium`."""
    trims, every = np.array(hydrostatics.trims), np.arange(len(mass))
    tabled = np.stack([_rows(table, mass) for table in hydrostatics.tables])
    reached = np.stack([reaches(table.displacement, mass) for table in hydrostatics.tables])
    lcb, vcb = tabled[:, :, LCB], tabled[:, :, VCB]
    normal = trims[:, None] / length_bp * (load.vcg - vcb)
    levers = load.lcg - lcb - np.where(np.isnan(vcb), 0.0, normal)
    first = np.clip((levers <= 0.0).sum(axis=0) - 1, 0, len(trims) - 2)
    second = first + 1
    t0, dt, b0 = trims[first], trims[second] - trims[first], lcb[first, every]
    known = np.where(np.isnan(vcb), load.vcg, vcb)
    v0 = known[first, every]
    db, dv = lcb[second, every] - b0, known[second, every] - v0

    def unbalanced(part: Floats) -> Floats:
        left: Floats = load.lcg - b0 - part * db - (t0 + part * dt) / length_bp * (load.vcg - v0 - part * dv)
        return left

    part = levers[first, every] / (levers[first, every] - levers[second, every])
    for _ in range(3):
        trim = t0 + part * dt
        part = part - unbalanced(part) / (-db - (dt * (load.vcg - v0 - part * dv) - trim * dv) / length_bp)
    trim = t0 + part * dt
    on_tables = is_inside(trim, trims[0], trims[-1]) & reached[first, every] & reached[second, every]
    low, share = tabled[first, every], np.clip(part, 0.0, 1.0)[:, None]
    rows = low + share * (tabled[second, every] - low)
    return Upright(hydrostatics, length_bp, mass, rows, trim, unbalanced(part), on_tables)


def _rows(table: HydrostaticTable, mass: Floats) -> Floats:
    """As `HydrostaticTable.at`: [N, COLUMNS], nan for what is not printed."""
    printed = np.array([[np.nan if each is None else each for each in row] for row in table.rows])
    known = np.array(table.displacement)
    i, part = intervals(known, mass)
    low, high = printed[i], printed[i + 1]
    rows: Floats = np.where(part[:, None] == 0.0, low, low + part[:, None] * (high - low))
    first, second = (1.0 - part) * known[i], part * known[i + 1]
    rows[:, KM] = np.where(
        part == 0.0, low[:, KM], (first * low[:, KM] + second * high[:, KM]) / (first + second)
    )
    return rows


def reaches(displacements: Sequence[float], mass: Floats) -> Flags:
    """Where a table by displacement is not off, as its `is_off` tells. Source: definition."""
    low, high = displacements[0], displacements[-1]
    room = ROOM_AT_THE_ENDS * abs(high)
    inside: Flags = (low - room <= mass) & (mass <= high + room)
    return inside


def is_inside(values: Floats, low: float, high: float) -> Flags:
    """The opposite of `interpolation.is_outside`. Source: definition."""
    room = ROOM_AT_THE_ENDS * max(abs(low), abs(high))
    inside: Flags = (low - room <= values) & (values <= high + room)
    return inside
