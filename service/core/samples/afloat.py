"""How every sample of a condition floats, and her levers, up to what a rule may read: arrays [N] along the samples for
what is the same work in each, one `Situation` at a time from there on.

The formulas are those of `flotation.py`, `cross_curves.py` and `situation.py`, where their sources are. A sample off
any table is not `ordinary` and is left to `assess`, which says why.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ..conventions import Floats
from ..cross_curves import CrossCurves
from ..displacement import Displacement
from ..errors import OutsideTable
from ..flotation import ITERATION_METHOD, MOMENT_METHOD, Flotation, require_within_hull
from ..interpolation import intervals
from ..situation import Situation
from ..stability import Rest
from ..waterplane import Waterplane
from .aboard import Aboard
from .heeled import Immersions, Waterplanes, by_trim
from .levers import Levers
from .upright import (
    AREA,
    BLOCK,
    KM,
    LCB,
    LCF,
    MCTC,
    TCB,
    TPC,
    VCB,
    Upright,
    is_inside,
    reaches,
    upright,
)

if TYPE_CHECKING:
    from ..assessment import Assessment
    from ..vessel import Vessel


def _kn(curves: CrossCurves, mass: Floats, trim: Floats) -> Floats:
    """As `CrossCurves.kn`, held beyond the tables: [N, H]."""

    def levers_at(k: int, mass: Floats) -> Floats:
        table = curves.tables[k]
        i, part = intervals(np.array(table.displacements), mass)
        low = table.levers[i]
        found: Floats = low + part[:, None] * (table.levers[i + 1] - low)
        return found

    return by_trim(curves, trim, mass, levers_at)


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
                self.ordinary &= reaches(table.displacements, mass)
            if len(curves.tables) > 1:
                self.ordinary &= is_inside(found.trim, curves.trims[0], curves.trims[-1])
            kn, km, vcg = self._levers(_kn(curves, mass, found.trim), found.rows[:, KM])
            self._immersions(found, mass)
        # what is finite is so in every figure that a sample needs
        self.ordinary &= np.isfinite(kn).all(axis=1) & np.isfinite(km) & np.isfinite(vcg)
        self._mass = mass.tolist()
        self._flotations = self._as_flotations(found)
        self.ordinary &= np.array([_is_within(each, vessel.highest_deck) for each in self._flotations])
        self._loads = self._as_displacements()
        with np.errstate(all="ignore"):
            tcb = np.where(np.isnan(found.rows[:, TCB]), 0.0, found.rows[:, TCB])
            self.levers = Levers(curves, kn, km, vcg, np.abs(load.tcg - tcb))
        self._varies = bool((load.water_density != nominal.condition.water_density).any())
        self._densities = load.water_density.tolist()

    def _immersions(self, found: Upright, mass: Floats) -> None:
        """Angles of the deck edge, and of the openings that count to either side by their index."""
        vessel, rows = self.vessel, found.rows
        length, edge = vessel.particulars.length_bp, vessel.deck_edge
        hers = Waterplanes.of(self.levels, mass, found.draft_at_lcf, rows[:, LCF], found.trim, length)
        angles = Immersions(hers, mass, found)
        closure = any(rule_set.automatic_closure for rule_set in self.nominal.sets)
        counted = {*vessel.flooding, *(vessel.flooding_automatic if closure else ())}
        openings = vessel.openings or ()
        self._falls = hers.fall
        self._deck_edge = None
        if edge is not None:
            self._deck_edge = _known(angles.deck_edge(edge, vessel.deck_points))
        self._floods = {
            side: {i: _known(angles.opening(openings[i], side)) for i in counted} for side in (1.0, -1.0)
        }

    def flooding(self, n: int) -> dict[float, dict[int, float | None]]:
        """Angles at which the openings that count immerse, by side (+1 port) and index.

        Source: see `opening.py`."""
        return {side: {i: each[n] for i, each in angles.items()} for side, angles in self._floods.items()}

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
        draft, several = found.draft_at_lcf, len(hydrostatics.tables) > 1
        aft = draft + trim * (rows[:, LCF] / length)
        self.drafts_at_ends = aft, aft - trim
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
            condition = condition.in_water(self._densities[n])
        waterplane = Waterplane(self.levels, self._mass[n], flotation, self._falls[n])
        wind = vessel.wind_profile
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
            deck_edge=None if self._deck_edge is None else self._deck_edge[n],
            rest=Rest(None, None),
            gaps={},
            liquids=tuple(self.nominal.liquids),
        )

    def with_lines(self, n: int, ship: Situation) -> Situation:
        """The same with the tank lines and weights of sample `n`, for clauses that read them. Source: definition."""
        nominal, vessel = self.nominal, self.vessel
        lightship, weights = self.load.carried(n, vessel.lightship, nominal.condition.weights)
        if lightship != vessel.lightship:
            vessel = vessel.with_lightship(lightship)
        liquids, condition = self.load.liquids(n, nominal), replace(ship.condition, weights=weights)
        return replace(ship, vessel=vessel, condition=condition, liquids=tuple(liquids))


def _is_within(flotation: Flotation, top: float | None) -> bool:
    try:
        require_within_hull(flotation, top)
    except OutsideTable:
        return False
    return True


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


def _known(angles: Floats) -> list[float | None]:
    """None where an angle is not known."""
    return [None if angle != angle else angle for angle in angles.tolist()]
