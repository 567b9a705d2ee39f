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

Nothing is rounded. A condition that cannot be computed raises one error with its place.
"""

from dataclasses import dataclass
from math import fsum

from .condition import Condition
from .displacement import Displacement, displacement_of
from .finding import Finding, findings_of
from .flotation import Flotation, float_on
from .free_surface import IMO, Assumed, Counting, Surface
from .rolling import coefficient, period
from .rules.catalogue import CATALOGUE
from .rules.limit import (
    FAIL,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    Criterion,
    is_less_favourable,
    towards,
)
from .situation import Heeled, Situation, lever_curve
from .stability import Rest, rest_of, vanishing_angle
from .tank import Liquid
from .vessel import Vessel


@dataclass(frozen=True, slots=True)
class Assessment:
    """All results for one condition, in the units, axes and signs of `frame.py`; liquids and surfaces a tank line.

    `heeled` is the less favourable side. None: not to be had from this booklet.
    """

    condition: Condition
    liquids: list[Liquid]
    surfaces: list[Surface]
    assumed: list[Assumed]
    situation: Situation
    heeled: Heeled
    actual_moments: bool
    roll_period: float | None
    rest: Rest
    vanishing_angle: float | None
    criteria: list[tuple[str, Criterion]]
    findings: list[Finding]

    @property
    def displacement(self) -> Displacement:
        """Mass, centres and the loss to free surface. Source: definition."""
        return self.situation.displacement

    @property
    def flotation(self) -> Flotation:
        """Drafts and trim. Source: definition."""
        return self.situation.flotation

    @property
    def verdict(self) -> str:
        """pass, fail or incomplete. Anything that could not be checked, or nothing checked at all, is never a pass.

        Source: definition."""
        verdicts = {criterion.verdict for _, criterion in self.criteria}
        if FAIL in verdicts:
            return "fail"
        if NOT_COMPUTABLE in verdicts or OUTSIDE_VALIDITY in verdicts or PASS not in verdicts:
            return "incomplete"
        return "pass"


def assess(vessel: Vessel, condition: Condition) -> Assessment:
    """Assess one condition of a ship. Raises CoreError for a condition that cannot be computed.

    Source: the documents named in the docstring of this module."""
    # 1 liquids in tanks, 2 free surface
    lines = condition.tanks
    liquids = [vessel.tanks[line.tank].liquid(line) for line in lines]
    counting = _counting(vessel, condition)
    surfaces = [
        counting.surface(vessel.tanks[line.tank], line, liquid) for line, liquid in zip(lines, liquids)
    ]
    assumed = counting.assumed(vessel.tanks, vessel.units_of, lines, liquids, surfaces)
    moment = fsum([surface.moment for surface in surfaces] + [line.moment for line in assumed])
    # 3 displacement and centres
    load = displacement_of(vessel.lightship, liquids, condition.weights, moment)
    # 4 drafts and trim
    length, water = vessel.particulars.length_bp, condition.water_density
    flotation = float_on(vessel.hydrostatics, length, load.mass, load.lcg, load.vcg_solid, water)
    # 5 GM, 8 deck edge, 9 wind
    situation = _situation(vessel, condition, load, flotation)
    # 6 righting levers, 8 down-flooding: on the side she leans to, and on the other where that may differ
    arm = situation.heeling_arm
    side = -1.0 if arm < 0.0 else 1.0
    curve, actual = lever_curve(vessel, condition, load, flotation, liquids, surfaces, side * arm)
    sides = [Heeled.to(side, vessel, flotation, curve)]
    if vessel.two_sided:
        other = None if curve is None else curve.leaning(-side * arm)
        sides.append(Heeled.to(-side, vessel, flotation, other))
    # 7 list or loll
    rest = rest_of(curve, situation.gm_corrected, side, arm)
    # 10 criteria, each on its less favourable side; the levers shown are those of the less favourable side of all
    criteria, heeled = _criteria(situation, sides)
    return Assessment(
        condition=condition,
        liquids=liquids,
        surfaces=surfaces,
        assumed=assumed,
        situation=situation,
        heeled=heeled,
        actual_moments=actual,
        roll_period=_roll_period(situation),
        rest=rest,
        vanishing_angle=None if heeled.curve is None else vanishing_angle(heeled.curve),
        criteria=criteria,
        findings=findings_of(situation, sides[0], liquids, surfaces, rest),  # 11
    )


def _counting(vessel: Vessel, condition: Condition) -> Counting:
    """How free surface is counted: by the rules of the sets that bind her, the Code's where none brings one."""
    rules = {CATALOGUE[name].surfaces for name in condition.rule_sets} - {None}
    named = frozenset(rule for rule in rules if rule is not None) or frozenset((IMO,))
    return Counting(condition.basis, named, vessel.particulars.minimum_service_displacement)


def _situation(vessel: Vessel, condition: Condition, load: Displacement, flotation: Flotation) -> Situation:
    profile, edge = vessel.wind_profile, vessel.deck_edge
    gm_solid = flotation.km - load.vcg_solid
    return Situation(
        vessel=vessel,
        condition=condition,
        displacement=load,
        flotation=flotation,
        gm_solid=gm_solid,
        gm_corrected=gm_solid - load.free_surface_correction,
        wind=None
        if profile is None
        else profile.at(flotation.draft_midship, condition.wind_area, condition.wind_moment),
        deck_edge=None if edge is None else edge.angle(flotation),
        half_freeboard=None if edge is None else edge.angle(flotation, 0.5),
    )


def _criteria(situation: Situation, sides: list[Heeled]) -> tuple[list[tuple[str, Criterion]], Heeled]:
    """Every clause that binds on its less favourable side, in the order of the catalogue, and the side that has more
    of those."""
    criteria: list[tuple[str, Criterion]] = []
    votes = 0
    for name, rule_set in CATALOGUE.items():
        if name not in situation.condition.rule_sets:
            continue
        if rule_set.evaluate is None or len(sides) == 1:
            criteria += [(name, criterion) for criterion in rule_set.judged(situation, sides[0])]
            continue
        for first, second in zip(*(rule_set.judged(situation, heeled) for heeled in sides)):
            worse = is_less_favourable(second, first)
            votes += 1 if worse else -1 if is_less_favourable(first, second) else 0
            side = sides[1].side if worse else sides[0].side
            criteria.append((name, towards(second if worse else first, side)))
    return criteria, sides[1] if votes > 0 else sides[0]


def _roll_period(situation: Situation) -> float | None:
    p = situation.vessel.particulars
    if p.length_waterline is None:
        return None
    c = coefficient(p.breadth, situation.flotation.draft_midship, p.length_waterline)
    return period(c, p.breadth, situation.gm_corrected)
