"""A loading condition assessed, in the order of a stability booklet.

    1  Liquids in tanks                 tank.py             MSC/Circ.920 3.3 (tank tables)
    2  Free surface                     free_surface.py     2008 IS Code Part B 3.1; 46 CFR 170.285
    3  Displacement and centres         displacement.py     first moments; 2008 IS Code Part B 3.1.7
    4  Drafts and trim                  flotation.py        hydrostatic tables
    5  GM, solid and corrected          (here)              2008 IS Code Part B 3.1.8
    6  Righting levers                  righting_lever.py   2008 IS Code Part B 3.1.9.2, 3.5
    7  List or loll                     stability.py
    8  Down-flooding and deck edge      opening.py          2008 IS Code Part A 2.3.1; 46 CFR 170.055, 170.170
    9  Wind                             heeling_lever.py    2008 IS Code Part A 2.3.2
    10 Criteria                         rules/              one module a document, see rules/catalogue.py
    11 Findings                         finding.py          MSC/Circ.854 3.4, 3.5

Everything is computed for a batch of conditions of one ship at once; a single condition is a batch of one. Nothing
is rounded. A condition that cannot be computed is refused with its first error; the others are not touched by it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .condition import Batch, Condition
from .displacement import Displacement, displacement_of
from .errors import CoreError, Refusals
from .finding import Finding, findings_of
from .flotation import Flotation, float_on
from .frame import Floats
from .free_surface import BY_RULE, Assumed, FreeSurfaces
from .rolling import coefficient, period
from .rules.catalogue import CATALOGUE
from .rules.limit import FAIL, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS, Criterion, one_half, unfavourable
from .situation import Situation, situation_of
from .stability import Stability, stability_of, vanishing_angle
from .tank import Liquids
from .vessel import Vessel


@dataclass(frozen=True)
class Assessment:
    """All results for N conditions (P tank lines), in the units, axes and signs of `frame.py`.

    `refused[n]` is the error of a condition that could not be computed: its other entries mean nothing.
    `situation` is that of the less favourable side. NaN: not to be had from this booklet.
    """

    batch: Batch
    refused: list[CoreError | None]
    liquids: Liquids
    surfaces: FreeSurfaces
    assumed: list[Assumed]
    displacement: Displacement
    flotation: Flotation
    gm_solid: Floats
    gm_corrected: Floats
    roll_period: Floats
    stability: Stability
    vanishing_angle: Floats
    situation: Situation
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
    batch, refusals = Batch.of(conditions), Refusals(len(conditions))
    # 1 liquids in tanks, 2 free surface
    liquids, surfaces, assumed = _liquids(vessel, batch, refusals)
    # 3 displacement and centres
    load = displacement_of(vessel.lightship, batch, liquids, surfaces, assumed, refusals)
    # 4 drafts and trim
    length, water = vessel.particulars.length_bp, batch.water_density
    flotation = float_on(vessel.hydrostatics, length, load.mass, load.lcg, load.vcg_solid, water, refusals)
    # 5 GM
    gm_solid = flotation.km - load.vcg_solid
    gm_corrected = gm_solid - load.free_surface_correction
    # 6 righting levers, 8 down-flooding and deck edge, 9 wind: on one side or on both
    sides = situation_of(vessel, batch, load, flotation, liquids, surfaces, refusals)
    leaning = sides.first(batch)
    # 7 list or loll
    stability = stability_of(leaning.curve, gm_corrected, leaning.side, leaning.heeling_arm, refusals)
    # 10 criteria, each on its less favourable side; the levers shown are those of the less favourable side of all
    criteria, situation = _less_favourable(_judged(sides), sides, leaning)
    return Assessment(
        batch=batch,
        refused=refusals.first,
        liquids=liquids,
        surfaces=surfaces,
        assumed=assumed,
        displacement=load,
        flotation=flotation,
        gm_solid=gm_solid,
        gm_corrected=gm_corrected,
        roll_period=_roll_period(vessel, flotation, gm_corrected),
        stability=stability,
        vanishing_angle=vanishing_angle(situation.curve, len(batch)),
        situation=situation,
        criteria=criteria,
        findings=findings_of(leaning, liquids, surfaces, stability.list_angle),  # 11
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
    return liquids, surfaces, book.assumed(batch.fillings, liquids, surfaces, batch.basis == BY_RULE, imo)


def _judged(sides: Situation) -> dict[str, list[Criterion]]:
    """Every rule set that binds any condition, for every row of `sides`."""
    asked = {name for condition in sides.batch.conditions for name in condition.rule_sets}
    return {name: rule_set.evaluate(sides) for name, rule_set in CATALOGUE.items() if name in asked}


def _less_favourable(
    judged: dict[str, list[Criterion]], sides: Situation, leaning: Situation
) -> tuple[dict[str, list[Criterion]], Situation]:
    """Every criterion on its less favourable side, and the situation of the side that has more of those that bind."""
    if sides is leaning:
        return judged, leaning
    count, votes = len(leaning), np.zeros(len(leaning), dtype=np.int64)
    criteria: dict[str, list[Criterion]] = {name: [] for name in judged}
    for name, rows in judged.items():
        # a condition's neighbours may be judged by more rule sets: those do not bind it
        binds = np.array([name in condition.rule_sets for condition in leaning.batch.conditions])
        for criterion in rows:
            which = unfavourable(criterion)
            votes += which * binds
            criteria[name].append(one_half(criterion, which > 0, leaning.side))
    second = votes > 0
    if not second.any():
        return criteria, leaning
    return criteria, sides.rows(leaning.batch, np.arange(count) + count * second)


def _roll_period(vessel: Vessel, flotation: Flotation, gm: Floats) -> Floats:
    p = vessel.particulars
    if p.length_waterline is None:
        return np.full_like(gm, np.nan)
    return period(coefficient(p.breadth, flotation.draft_midship, p.length_waterline), p.breadth, gm)
