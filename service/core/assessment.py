"""A loading condition assessed, in the order of a stability booklet.

    1  Liquids in tanks                 tank.py             MSC/Circ.920 3.3 (tank tables)
    2  Free surface                     free_surface.py     2008 IS Code Part B 3.1; 46 CFR 170.285
    3  Displacement and centres         weight.py           first moments
    4  Drafts and trim                  flotation.py        hydrostatic tables
    5  GM, solid and corrected          (here)              2008 IS Code Part B 3.1.7, 3.1.8
    6  Righting levers                  righting_lever.py   2008 IS Code Part B 3.1.9.2, 3.5
    7  List or loll                     righting_lever.py
    8  Down-flooding and deck edge      opening.py          2008 IS Code Part A 2.3.1; 46 CFR 170.055, 170.170
    9  Wind                             heeling_lever.py    2008 IS Code Part A 2.3.2
    10 Criteria                         rules/              one module a document, see rules/catalogue.py
    11 Findings                         finding.py          MSC/Circ.854 3.4, 3.5

Everything is computed for a batch of conditions of one ship at once; a single condition is a batch of one. Nothing
is rounded. A condition that cannot be computed is refused with its first error; the others are not touched by it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from .condition import Batch, Condition
from .errors import CoreError, Refusals
from .finding import Finding, findings_of
from .flotation import Flotation, float_on
from .frame import Bools, Floats, Ints
from .free_surface import AS_FILLED, BY_RULE, Assumed, FreeSurfaces
from .opening import first_immersion
from .righting_lever import RightingLever, Stability, flotation_side, list_angle, vanishing_angle
from .rolling import coefficient, period
from .rules.catalogue import CATALOGUE
from .rules.limit import FAIL, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS, Criterion, worse_half
from .situation import Situation
from .tank import SLACK, Liquids
from .vessel import Vessel
from .weight import Moments, sum_of


@dataclass(frozen=True)
class Assessment:
    """All results for N conditions (P tank lines), in the units, axes and signs of `frame.py`.

    `refused[n]` is the error of a condition that could not be computed: its other entries mean nothing.
    `side` [N] is +1 where the righting levers are those to port. NaN: not to be had from this booklet.
    """

    batch: Batch
    refused: list[CoreError | None]
    liquids: Liquids
    surfaces: FreeSurfaces
    assumed: list[Assumed]
    tank_moments: Moments
    weight_moments: Moments
    displacement: Floats
    lcg: Floats
    tcg: Floats
    vcg_solid: Floats
    vcg_corrected: Floats
    free_surface_moment: Floats
    free_surface_correction: Floats
    flotation: Flotation
    gm_solid: Floats
    gm_corrected: Floats
    roll_period: Floats
    stability: Stability
    side: Floats
    curve: RightingLever | None
    vanishing_angle: Floats
    situation: Situation
    actual_moments_in_curve: Bools
    criteria: dict[str, list[Criterion]]
    findings: list[list[Finding]]

    def criteria_of(self, n: int) -> list[tuple[str, Criterion]]:
        """Rule set and criterion, in the order of the catalogue, that bind condition n. Source: definition."""
        names = self.batch.conditions[n].rule_sets
        return [(name, c) for name, rows in self.criteria.items() if name in names for c in rows]

    def verdict(self, n: int) -> str:
        """pass, fail or incomplete. Anything that could not be checked, or nothing checked at all, is never a pass.

        Source: definition."""
        verdicts = {int(criterion.verdict[n]) for _, criterion in self.criteria_of(n)}
        if FAIL in verdicts:
            return "fail"
        if NOT_COMPUTABLE in verdicts or OUTSIDE_VALIDITY in verdicts or PASS not in verdicts:
            return "incomplete"
        return "pass"


def assess(vessel: Vessel, conditions: Sequence[Condition]) -> Assessment:
    """Assess conditions of one ship. Never raises for a bad condition: see `Assessment.refused`.

    Source: the documents named in the docstring of this module."""
    batch = Batch.of(conditions)
    refusals = Refusals(len(batch))
    # 1 liquids in tanks, 2 free surface
    liquids, surfaces, assumed = _liquids(vessel, batch, refusals)
    moment = batch.sum_by_condition(surfaces.moment)
    for line in assumed:
        moment[line.condition] += line.moment
    # 3 displacement and centres
    tank_moments = _moments_of(batch, liquids)
    weight_moments = sum_of([c.weights for c in conditions])
    total = sum_of([[vessel.lightship]] * len(batch)).plus(tank_moments).plus(weight_moments)
    displacement = np.where(total.mass > 0.0, total.mass, np.nan)
    lcg, vcg, tcg = (
        total.longitudinal / displacement,
        total.vertical / displacement,
        total.transverse / displacement,
    )
    correction = moment / displacement
    # 4 drafts and trim
    flotation = float_on(
        vessel.hydrostatics,
        vessel.particulars.length_bp,
        displacement,
        lcg,
        vcg,
        batch.water_density,
        refusals,
    )
    # 5 GM
    gm_solid = flotation.km - vcg
    gm = gm_solid - correction
    # 6 righting levers, 7 list or loll
    heeling = tcg - flotation.tcb
    side = flotation_side(flotation, tcg)
    levers = Levers.of(vessel, batch, displacement, flotation, liquids, surfaces, vcg + correction, refusals)
    curve = levers.curve(side * heeling)
    stability = _list(curve, gm, side, heeling, refusals)
    # 8 down-flooding and deck edge, 9 wind
    situation = _situation(vessel, batch, displacement, vcg, vcg + correction, gm, flotation, curve, side)
    # 10 criteria, 11 findings
    criteria = _criteria(situation, levers, heeling, side)
    vanishing = np.full_like(gm, np.nan) if curve is None else vanishing_angle(curve)
    return Assessment(
        batch=batch,
        refused=refusals.first,
        liquids=liquids,
        surfaces=surfaces,
        assumed=assumed,
        tank_moments=tank_moments,
        weight_moments=weight_moments,
        displacement=displacement,
        lcg=lcg,
        tcg=tcg,
        vcg_solid=vcg,
        vcg_corrected=vcg + correction,
        free_surface_moment=moment,
        free_surface_correction=correction,
        flotation=flotation,
        gm_solid=gm_solid,
        gm_corrected=gm,
        roll_period=_roll_period(vessel, flotation, gm),
        stability=stability,
        side=side,
        curve=curve,
        vanishing_angle=vanishing,
        situation=situation,
        actual_moments_in_curve=levers.actual_moments,
        criteria=criteria,
        findings=findings_of(situation, liquids, stability.list_angle),
    )


def _liquids(vessel: Vessel, batch: Batch, refusals: Refusals) -> tuple[Liquids, FreeSurfaces, list[Assumed]]:
    book = vessel.free_surfaces
    liquids = vessel.book.liquids(batch.fillings, refusals)
    if book.printed.any():
        column = book.column(batch.fillings)
        liquids = replace(liquids, state=book.states(batch.fillings, liquids, column))
    cfr = batch.bound_by("46-cfr")
    imo = batch.bound_by("is-code") | ~cfr
    surfaces = book.moments(
        batch.fillings, liquids, batch.basis, imo, cfr, vessel.particulars.minimum_service_displacement
    )
    ruled = [n for n, condition in enumerate(batch.conditions) if condition.basis == BY_RULE]
    return liquids, surfaces, book.assumed(batch.fillings, liquids, ruled, imo) if ruled else []


def _moments_of(batch: Batch, liquids: Liquids) -> Moments:
    mass = liquids.mass
    return Moments(
        batch.sum_by_condition(mass),
        batch.sum_by_condition(mass * liquids.lcg),
        batch.sum_by_condition(mass * liquids.vcg),
        batch.sum_by_condition(mass * liquids.tcg),
    )


@dataclass(frozen=True)
class Levers:
    """What the curves of both sides share: KN [N, H], KM and the VCG that goes with them [N], m."""

    vessel: Vessel
    values: Floats | None
    km: Floats
    vcg: Floats
    actual_moments: Bools

    @classmethod
    def of(
        cls,
        vessel: Vessel,
        batch: Batch,
        displacement: Floats,
        flotation: Flotation,
        liquids: Liquids,
        surfaces: FreeSurfaces,
        vcg: Floats,
        refusals: Refusals,
    ) -> "Levers":
        """KN at displacement and trim; a slack tank with a heeled-moment table takes part with its actual moment at
        each heel, every other tank through the fluid VCG. Source: 2008 IS Code Part B 3.1.9."""
        none = np.zeros(len(batch), dtype=bool)
        curves = vessel.cross_curves
        if curves is None:
            return cls(vessel, None, flotation.km, vcg, none)
        equivalent = displacement * (curves.density / batch.water_density)
        values, km = curves.values(equivalent, flotation.trim, refusals), flotation.km
        for heeled in vessel.heeled:
            lines = np.flatnonzero(
                (batch.fillings.tank == heeled.tank)
                & (liquids.state == SLACK)
                & (batch.basis[batch.fillings.condition] == AS_FILLED)
            )
            n = batch.fillings.condition[lines]
            part = batch.fillings.density[lines] / displacement[n]
            at = _columns_at(heeled.fillings, heeled.moments, liquids.fill[lines])
            values[n] -= part[:, None] * at
            upright = surfaces.moment[lines] / displacement[n]
            km, vcg, none = km.copy(), vcg.copy(), none.copy()
            km[n] -= upright
            vcg[n] -= upright
            none[n] = True
        return cls(vessel, values, km, vcg, none)

    def curve(self, toward: Floats) -> RightingLever | None:
        """The curve for a TCG of `toward` [N] m to the side she heels to. Source: see `righting_lever`."""
        curves = self.vessel.cross_curves
        if curves is None or self.values is None:
            return None
        return RightingLever(curves, self.values, self.km, self.vcg, toward)


def _columns_at(argument: Floats, table: Floats, value: Floats) -> Floats:
    return np.stack([np.interp(value, argument, column) for column in table.T], axis=1)


def _list(
    curve: RightingLever | None, gm: Floats, side: Floats, heeling: Floats, refusals: Refusals
) -> Stability:
    if curve is not None:
        return list_angle(curve, gm, side, heeling, refusals)
    with np.errstate(divide="ignore", invalid="ignore"):
        angle = np.where(gm > 0.0, np.degrees(np.arctan(heeling / gm)), np.nan)
    return Stability(angle, np.full_like(gm, np.nan), np.zeros(len(gm), dtype=bool))


def _situation(
    vessel: Vessel,
    batch: Batch,
    displacement: Floats,
    vcg_solid: Floats,
    vcg_corrected: Floats,
    gm: Floats,
    flotation: Flotation,
    curve: RightingLever | None,
    side: Floats,
) -> Situation:
    unknown = np.full_like(gm, np.nan)
    area, height = unknown, unknown
    if vessel.wind_profile is not None:
        area, height = vessel.wind_profile.at(flotation.draft_midship, batch.wind_area, batch.wind_moment)
    edge = vessel.deck_edge
    return Situation(
        vessel=vessel,
        batch=batch,
        displacement=displacement,
        vcg_solid=vcg_solid,
        vcg_corrected=vcg_corrected,
        gm_corrected=gm,
        flotation=flotation,
        curve=curve,
        flooding=first_immersion(vessel.openings, vessel.floods, flotation, side),
        flooding_automatic=first_immersion(vessel.openings, vessel.floods_unless_automatic, flotation, side),
        deck_edge=unknown if edge is None else edge.angle(flotation),
        half_freeboard=unknown if edge is None else edge.angle(flotation, 0.5),
        wind_area=area,
        wind_height=height,
    )


def _criteria(
    situation: Situation, levers: Levers, heeling: Floats, side: Floats
) -> dict[str, list[Criterion]]:
    """Every rule set that binds any condition; on both sides where her openings are not the same on both.

    The sides then stand one after the other along the first axis, and the less favourable counts."""
    asked = {name for condition in situation.batch.conditions for name in condition.rule_sets}
    rule_sets = [rule_set for name, rule_set in CATALOGUE.items() if name in asked]
    if not situation.vessel.two_sided:
        return {rule_set.name: rule_set.evaluate(situation) for rule_set in rule_sets}
    both = _both_sides(situation, levers, heeling, side)
    return {r.name: [worse_half(criterion, side) for criterion in r.evaluate(both)] for r in rule_sets}


def _both_sides(situation: Situation, levers: Levers, heeling: Floats, side: Floats) -> Situation:
    """The same conditions twice: heeling to `side` [N], then to the other one."""
    vessel, batch = situation.vessel, situation.batch
    twice = twofold(situation)
    flotation = twofold(situation.flotation)
    towards = np.concatenate((side, -side))
    return replace(
        twice,
        batch=replace(
            batch,
            conditions=[*batch.conditions, *batch.conditions],
            water_density=np.tile(batch.water_density, 2),
        ),
        flotation=flotation,
        curve=twofold(levers).curve(towards * np.tile(heeling, 2)),
        flooding=first_immersion(vessel.openings, vessel.floods, flotation, towards),
        flooding_automatic=first_immersion(
            vessel.openings, vessel.floods_unless_automatic, flotation, towards
        ),
    )


Columns = TypeVar("Columns", Situation, Flotation, Levers)


def twofold(columns: Columns) -> Columns:
    """The same record with every array of its own repeated along the first axis. Source: definition."""
    arrays: dict[str, Any] = {
        name: np.concatenate((value, value))
        for name, value in vars(columns).items()
        if isinstance(value, np.ndarray)
    }
    return replace(columns, **arrays)


def _roll_period(vessel: Vessel, flotation: Flotation, gm: Floats) -> Floats:
    p = vessel.particulars
    if p.length_waterline is None:
        return np.full_like(gm, np.nan)
    return period(coefficient(p.breadth, flotation.draft_midship, p.length_waterline), p.breadth, gm)


__all__ = ["Assessment", "Ints", "assess"]
