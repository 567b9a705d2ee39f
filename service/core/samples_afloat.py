"""How every sample of a condition floats, and her levers, up to what a rule may read: arrays [N] along the samples for
what is the same work in each, one `Situation` at a time from there on.

The formulas are those of `flotation.py`, `hydrostatics.py`, `cross_curves.py` and `waterplane.py`, where their sources
are. A sample off any table is not `ordinary` and is left to `assess`, which says why.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .conventions import Floats
from .cross_curves import CrossCurves, KnCurve
from .displacement import Displacement
from .flotation import ITERATION_METHOD, LARGEST_TRIM, MOMENT_METHOD, Flotation
from .hydrostatics import COLUMNS, Hydrostatics, HydrostaticTable
from .interpolation import ROOM_AT_THE_ENDS, intervals
from .righting_lever import RightingLever
from .samples_aboard import Aboard, Flags
from .situation import Situation
from .stability import Rest
from .waterplane import LevelTables, Waterplane

if TYPE_CHECKING:
    from .assessment import Assessment
    from .vessel import Vessel

DRAFT, LCB, LCF, KM, TPC, MCTC, VCB, TCB, BLOCK, AREA = range(len(COLUMNS))


class Upright(NamedTuple):
    """Rows of her tables [N, COLUMNS] with nan for what is not printed, trims (m), levers left unbalanced (m; None by
    moment), and where there is an equilibrium on her tables."""

    rows: Floats
    trim: Floats
    residual: Floats | None
    on_tables: Flags


def upright(hydrostatics: Hydrostatics, length_bp: float, load: Aboard) -> Upright:
    """As `flotation.float_on`, for all samples. Source: see there."""
    mass = load.mass * (hydrostatics.density / load.water_density)
    if len(hydrostatics.tables) == 1:
        (table,) = hydrostatics.tables
        rows = _rows(table, mass)
        trim: Floats = table.trim + mass * (rows[:, LCB] - load.lcg) / (100.0 * rows[:, MCTC])
        return Upright(rows, trim, None, _reaches(table.displacement, mass) & (np.abs(trim) <= LARGEST_TRIM))
    return _by_iteration(hydrostatics, length_bp, load, mass)


def _by_iteration(hydrostatics: Hydrostatics, length_bp: float, load: Aboard, mass: Floats) -> Upright:
    """As `flotation._equilibrium`."""
    trims, every = np.array(hydrostatics.trims), np.arange(len(mass))
    tabled = np.stack([_rows(table, mass) for table in hydrostatics.tables])
    reached = np.stack([_reaches(table.displacement, mass) for table in hydrostatics.tables])
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
    on_tables = _is_inside(trim, trims[0], trims[-1]) & reached[first, every] & reached[second, every]
    low, share = tabled[first, every], np.clip(part, 0.0, 1.0)[:, None]
    return Upright(low + share * (tabled[second, every] - low), trim, unbalanced(part), on_tables)


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


def _reaches(displacements: Sequence[float], mass: Floats) -> Flags:
    """Where a table is not off, as its `is_off` tells."""
    low, high = displacements[0], displacements[-1]
    room = ROOM_AT_THE_ENDS * abs(high)
    inside: Flags = (low - room <= mass) & (mass <= high + room)
    return inside


def _is_inside(values: Floats, low: float, high: float) -> Flags:
    """The opposite of `interpolation.is_outside`."""
    room = ROOM_AT_THE_ENDS * max(abs(low), abs(high))
    inside: Flags = (low - room <= values) & (values <= high + room)
    return inside


def _by_trim(curves: CrossCurves, trim: Floats, tables: Sequence[Floats]) -> Floats:
    """One table, or part of the way between two tabulated trims."""
    if len(tables) == 1:
        return tables[0]
    i, part = intervals(np.array(curves.trims), trim)
    stacked, every = np.stack(tables), np.arange(len(trim))
    low = stacked[i, every]
    blended: Floats = low + part[:, None] * (stacked[i + 1, every] - low)
    return blended


def _kn(curves: CrossCurves, mass: Floats, trim: Floats) -> Floats:
    """As `CrossCurves.kn`, held beyond the tables: [N, H]."""
    tables = []
    for table in curves.tables:
        i, part = intervals(np.array(table.displacements), mass)
        low = table.levers[i]
        tables.append(low + part[:, None] * (table.levers[i + 1] - low))
    return _by_trim(curves, trim, tables)


def _falls(levels: LevelTables, mass: Floats, trim: Floats) -> Floats:
    """As `LevelTables.fall`: [N, W]."""
    tables = []
    for table in levels.tables:
        i, t = intervals(np.array(table.displacements), mass)
        first, second, third = np.moveaxis(table.coefficients[i], 1, 0)
        part = t[:, None]
        tables.append(first + part * (second + part * third))
    return _by_trim(levels.curves, trim, tables)


class Afloat:
    """All samples of a condition afloat."""

    def __init__(self, vessel: "Vessel", nominal: "Assessment", load: Aboard) -> None:
        """Raises ValueError without cross curves."""
        curves, levels = vessel.cross_curves, vessel.levels
        if curves is None or levels is None:
            raise ValueError("samples need cross curves")
        self.vessel, self.nominal, self.load, self.curves, self.levels = vessel, nominal, load, curves, levels
        with np.errstate(all="ignore"):
            found = upright(vessel.hydrostatics, vessel.particulars.length_bp, load)
            mass = load.mass * (curves.density / load.water_density)
            self.ordinary = load.ordinary & found.on_tables
            for table in curves.tables:
                self.ordinary &= _reaches(table.displacements, mass)
            if len(curves.tables) > 1:
                self.ordinary &= _is_inside(found.trim, curves.trims[0], curves.trims[-1])
            kn, km, vcg = self._levers(_kn(curves, mass, found.trim), found.rows[:, KM])
            falls = _falls(levels, mass, found.trim)
        # what is finite is so in every figure that a sample needs
        self.ordinary &= np.isfinite(kn).all(axis=1) & np.isfinite(km) & np.isfinite(vcg)
        self._kn, self._falls, self._mass = kn, falls, mass.tolist()
        self._km, self._vcg = km.tolist(), vcg.tolist()
        self._flotations = self._as_flotations(found)
        self._loads = self._as_displacements()
        self._varies = bool((load.water_density != nominal.condition.water_density).any())

    def _levers(self, kn: Floats, km: Floats) -> tuple[Floats, Floats, Floats]:
        """KN [N, H], KM and fluid VCG for the curve: tanks that take part with their actual moments taken out of the
        latter, as `situation.lever_curve` does."""
        load, nominal, vessel = self.load, self.nominal, self.vessel
        vcg = load.vcg + load.free_surface_moment / load.mass
        for k, at_filling, density, moment in load.heeled:
            line, liquid = nominal.condition.tanks[k], nominal.liquids[k]
            heeled = vessel.heeled[line.tank]
            if line.slack_between is not None or liquid.state != "slack" or not heeled.covers(liquid.fill):
                continue
            part = np.where(at_filling, density / load.mass, 0.0)
            kn = kn - part[:, None] * heeled.at(liquid.fill)
            less = np.where(at_filling, moment / load.mass, 0.0)
            km, vcg = km - less, vcg - less
        return kn, km, vcg

    def _as_flotations(self, found: Upright) -> list[Flotation]:
        """As `flotation.floating`."""
        hydrostatics, length = self.vessel.hydrostatics, self.vessel.particulars.length_bp
        rows, trim = found.rows, found.trim
        draft, several = rows[:, DRAFT], len(hydrostatics.tables) > 1
        if hydrostatics.midship_draft:
            given = trim if several else hydrostatics.tables[0].trim
            draft = draft + given * (0.5 - rows[:, LCF] / length)
        aft = draft + trim * (rows[:, LCF] / length)
        scale = self.load.water_density / hydrostatics.density
        residual = np.full(len(trim), np.nan) if found.residual is None else found.residual
        columns = [draft, aft - trim, aft - 0.5 * trim, aft, trim, rows[:, KM], rows[:, TPC] * scale]
        columns += [rows[:, MCTC] * scale, rows[:, LCB], rows[:, LCF], rows[:, VCB], rows[:, TCB]]
        columns += [rows[:, BLOCK], residual, rows[:, AREA]]
        method = ITERATION_METHOD if several else MOMENT_METHOD
        return [_flotation(row, length, method) for row in np.column_stack(columns).tolist()]

    def _as_displacements(self) -> list[Displacement]:
        load = self.load
        with np.errstate(all="ignore"):
            correction = load.free_surface_moment / load.mass
        columns = (load.mass, load.lcg, load.tcg, load.vcg, load.vcg + correction, load.free_surface_moment)
        return [Displacement(*row) for row in np.column_stack((*columns, correction)).tolist()]

    def situation(self, n: int) -> Situation:
        """Sample `n`, before it is known how she rests. Source: see `assessment.py`."""
        vessel, condition = self.vessel, self.nominal.condition
        flotation, load = self._flotations[n], self._loads[n]
        if self._varies:
            condition = replace(condition, water_density=float(self.load.water_density[n]))
        waterplane = Waterplane(self.levels, self._mass[n], flotation, self._falls[n])
        wind, edge = vessel.wind_profile, vessel.deck_edge
        solid = flotation.km - load.vcg_solid
        return Situation(
            vessel=vessel,
            condition=condition,
            displacement=load,
            flotation=flotation,
            km=flotation.km,
            gm_solid=solid,
            gm_corrected=solid - load.free_surface_correction,
            waterplane=waterplane,
            wind=None
            if wind is None
            else wind.at(flotation.draft_midship, condition.wind_area, condition.wind_moment),
            deck_edge=None if edge is None else edge.angle(flotation, waterplane, vessel.deck_points),
            rest=Rest(None, None),
            gaps={},
            liquids=tuple(self.nominal.liquids),
        )

    def curve(self, n: int, ship: Situation) -> RightingLever:
        """Her levers to the side she leans to. Source: see `righting_lever.py`."""
        kn = KnCurve(self.curves, self._kn[n], self._km[n])
        return RightingLever(kn, self._vcg[n], abs(ship.heeling_arm))


def _flotation(row: list[float], length_bp: float, method: str) -> Flotation:
    """From draft_at_lcf to residual, then the area of the waterplane; nan where nothing is printed."""
    vcb, tcb, block, residual, area = (None if each != each else each for each in row[10:])
    draft, forward, midship, aft, trim, km, tpc, mctc, lcb, lcf = row[:10]
    return Flotation(
        draft_at_lcf=draft,
        draft_forward=forward,
        draft_midship=midship,
        draft_aft=aft,
        trim=trim,
        km=km,
        tpc=tpc,
        mctc=mctc,
        lcb=lcb,
        lcf=lcf,
        vcb=vcb,
        tcb=tcb or 0.0,
        block_coefficient=block,
        residual=residual,
        length_bp=length_bp,
        method=method,
        waterplane_area=area,
    )
