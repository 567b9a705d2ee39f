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
    10 Longitudinal strength            strength/           IACS UR S11.2.1
    11 Criteria                         rules/              one module a document, see rules/catalogue.py
    12 Findings                         finding.py          MSC/Circ.854 3.4, 3.5

Nothing is rounded. A condition that contradicts her booklet raises one error with every place. One that her booklet
cannot answer in full is answered as far as it goes: what is missing is None, `Situation.gaps` says why, and what would
need it is not computable.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .added_weight import AddedWeight
from .condition import Condition
from .displacement import Displacement, displacement_of
from .draft_survey import DraftSurvey, draft_survey, survey_findings
from .errors import CoreError, NoEquilibrium, OutsideTable, SeveralErrors
from .finding import findings_of, sea_criteria_not_met
from .finding_kinds import Finding
from .flotation import Flotation, float_on, require_within_hull
from .free_surface import Counted, FreeSurfaces, free_surfaces
from .heeling_lever import Wind
from .icing import IcingEffect, ice
from .icing_effect import icing_effect, icing_findings
from .load_line_finding import load_line_findings
from .passenger import on_board
from .righting_lever import RightingLever
from .rolling import coefficient, period
from .rules.catalogue import binding_sets, listed_sets
from .rules.limit import (
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    SHIP,
    Criterion,
    RuleSet,
    is_less_favourable,
    towards,
)
from .situation import Heeled, Situation, lever_curve
from .stability import Rest, rest_of
from .strength.findings import strength_findings
from .strength.for_condition import with_strength
from .tank import Liquid
from .timber import absorbed, floats_on_timber
from .vessel import Vessel
from .view_finding import view_findings
from .waterplane import Waterplane


@dataclass(frozen=True, slots=True)
class Assessment:
    """All results for one condition, in the units, axes and signs of `conventions.py`; liquids a tank line.

    `sets` are those that bind, `heeled` the less favourable side, `added` what is aboard beside tanks and weights,
    `actual_moments` whether tanks heel by their own tables, `before_ice` her without ice. None: not available."""

    condition: Condition
    liquids: list[Liquid]
    surfaces: FreeSurfaces
    situation: Situation
    heeled: Heeled
    actual_moments: bool
    roll_period: float | None
    sets: list[RuleSet]
    criteria: list[tuple[RuleSet, Criterion]]
    findings: list[Finding]
    added: tuple[AddedWeight, ...] = ()
    icing: IcingEffect | None = None
    before_ice: Situation | None = None
    survey: DraftSurvey | None = None

    @property
    def displacement(self) -> Displacement:
        """Mass, centres and the loss to free surface. Source: definition."""
        return self.situation.displacement

    @property
    def verdict(self) -> str:
        """pass, fail or incomplete, of the clauses that count at sea or in port. Anything that could not be checked, or
        nothing checked that was asked for, is never a pass. Source: definition."""
        verdicts = {row.verdict for rule_set, row in self.criteria if self.counts(rule_set, row)}
        if FAIL in verdicts:
            return "fail"
        if NOT_COMPUTABLE in verdicts or OUTSIDE_VALIDITY in verdicts or self.unjudged:
            return "incomplete"
        return "pass"

    def counts(self, rule_set: RuleSet, criterion: Criterion) -> bool:
        """Whether a clause counts for the verdict in this phase of the voyage. Source: definition."""
        return rule_set.counts(criterion.row, self.condition.in_port)

    @property
    def unjudged(self) -> list[tuple[RuleSet | None, str]]:
        """Rule sets that were asked for and judged nothing because of what she is, each with the reason; None with a
        reason where no set that anybody listed judged anything. Source: definition."""
        missing: list[tuple[RuleSet | None, str]] = []
        for rule_set in self.sets:
            rows = [criterion for found, criterion in self.criteria if found is rule_set]
            owners = {row.because for row in rows if row.verdict == NOT_APPLICABLE}
            if not any(self.counts(rule_set, row) for row in rows):
                continue
            if SHIP in owners and all(row.verdict == NOT_APPLICABLE for row in rows):
                reason = next(row.reason for row in rows if row.because == SHIP)
                missing.append((rule_set, f"none of its clauses applies to this ship: {reason}"))
        listed = listed_sets(self.situation.vessel, self.condition)
        judging = {found.name for found, row in self.criteria if row.is_judged}
        if not judging.intersection(listed):
            missing.append((None, "no listed rule set judges anything in this condition"))
        return missing


def assess(
    vessel: Vessel,
    condition: Condition,
    kept: Sequence[Liquid] | None = None,
    like: Assessment | None = None,
) -> Assessment:
    """Assess one condition of a ship. Raises CoreError for one that contradicts her booklet.

    Two short cuts for one of many conditions, without findings and draft survey: `kept`, the liquids of the condition
    that this is a sample of (every tank keeps their state and filling as far as its surface goes); `like`, an
    assessment of the same ship (tank lines that are the very same objects are not looked up again).

    Source: the documents named in the docstring of this module."""
    if vessel.with_timber is not None and floats_on_timber(condition.timber_aboard):
        vessel = vessel.with_timber
    # 1 liquids in tanks, 2 free surface
    sets = binding_sets(vessel, condition)
    liquids = _liquids(vessel, condition, kept, like)
    surfaces = free_surfaces(
        vessel.tanks,
        vessel.units_of,
        condition.tanks,
        liquids,
        condition.basis,
        frozenset(rule_set.surfaces for rule_set in sets if rule_set.surfaces is not None),
        vessel.particulars.minimum_service_displacement,
    )
    # 3 displacement and centres
    added = _added_weights(vessel, condition)
    weights = [*condition.weights, *(each.weight for each in added)] if added else condition.weights
    load = displacement_of(vessel.lightship, liquids, weights, surfaces.judged.total)
    # 4 drafts and trim, 5 GM, 8 deck edge, 9 wind
    ship, icing, before_ice = _afloat(vessel, condition, load, liquids), None, None
    if condition.timber or condition.icing is not None:
        ship, added, icing, before_ice = _with_added(ship, added, liquids, surfaces.judged.total)
    # 6 righting levers, 8 down-flooding: on the side she leans to, and on the other where that may differ
    arm = ship.heeling_arm
    side = -1.0 if arm < 0.0 else 1.0
    curve, actual = _lever_curve(ship, liquids, surfaces.judged, side * arm)
    # 10 longitudinal strength, which no lever changes
    if vessel.strength is not None and vessel.strength.is_used:
        ship = with_strength(ship, vessel.strength, liquids, [each.weight for each in added])
    ship, criteria, heeled = judged(ship, sets, curve)
    alone = kept is None and like is None
    survey = draft_survey(ship) if alone else None
    remarks = _findings(ship, sets, liquids, surfaces, criteria) if alone else []
    return Assessment(
        condition=condition,
        liquids=liquids,
        surfaces=surfaces,
        situation=ship,
        heeled=heeled,
        actual_moments=actual,
        roll_period=_roll_period(ship),
        sets=sets,
        criteria=criteria,
        findings=[*remarks, *survey_findings(survey, ship)],  # 12
        added=added,
        icing=icing,
        before_ice=before_ice,
        survey=survey,
    )


def judged(
    ship: Situation,
    sets: Sequence[RuleSet],
    curve: RightingLever | None,
    other: RightingLever | None = None,
    flooding: Mapping[float, Mapping[int, float | None]] | None = None,
) -> tuple[Situation, list[tuple[RuleSet, Criterion]], Heeled]:
    """Steps 7 to 11 for her curve to the side she leans to (None: there is none): at rest, every clause on its less
    favourable side, and the side that is less favourable in more of them. `other`: her curve to the other side,
    `flooding`: angles at which openings immerse by side (+1 port) and index, where they are known already.

    Source: the documents named in the docstring of this module."""
    vessel, arm = ship.vessel, ship.heeling_arm
    side = -1.0 if arm < 0.0 else 1.0
    # 7 list or loll
    ship = _at_rest(ship, curve, side)
    closure = any(rule_set.automatic_closure for rule_set in sets)
    known = {} if flooding is None else flooding
    afloat = ship.flotation, ship.waterplane
    sides = [Heeled.to(side, vessel, *afloat, curve, closure, known.get(side))]
    if vessel.two_sided or arm != 0.0:
        other = other or (None if curve is None else curve.other_side())
        sides.append(Heeled.to(-side, vessel, *afloat, other, closure, known.get(-side)))
    # 11 criteria, each on its less favourable side; the levers shown are those of the less favourable side of all
    criteria, heeled = _criteria(ship, sets, sides)
    return ship, criteria, heeled


def _added_weights(vessel: Vessel, condition: Condition) -> tuple[AddedWeight, ...]:
    """What is aboard beside the lines of weights: passengers in their spaces, and the load on the hook."""
    added = on_board(condition.passengers, vessel.passenger_spaces)
    return tuple(added) if condition.lift is None else (*added, condition.lift.hook_load)


def _liquids(
    vessel: Vessel, condition: Condition, kept: Sequence[Liquid] | None, like: Assessment | None
) -> list[Liquid]:
    """Every tank line, as `assess` says; raises SeveralErrors with each that is off its tank's table."""
    liquids, errors = list[Liquid](), list[CoreError]()
    known = () if like is None else tuple(zip(like.condition.tanks, like.liquids))
    for k, line in enumerate(condition.tanks):
        if k < len(known) and known[k][0] is line:
            liquids.append(known[k][1])
            continue
        try:
            liquids.append(vessel.tanks[line.tank].liquid(line))
        except OutsideTable as off:
            errors.append(off)
    if errors:
        raise SeveralErrors(errors)
    if kept is not None:
        return [one._replace(state=was.state, fill=was.fill) for one, was in zip(liquids, kept)]
    return liquids


def _afloat(vessel: Vessel, condition: Condition, load: Displacement, liquids: Sequence[Liquid]) -> Situation:
    """Drafts, trim and GM as far as her tables reach, and what follows from the drafts."""
    tables, water, gaps = vessel.hydrostatics, condition.water_density, dict[str, CoreError]()
    flotation, km = None, None
    try:
        found = float_on(tables, vessel.particulars.length_bp, load.mass, load.lcg, load.vcg_solid, water)
        require_within_hull(found, vessel.highest_deck)
        flotation, km = found, found.km
    except CoreError as off:
        gaps |= {"flotation": off, "righting_lever": off, "list": off}
        km = tables.km_at(load.mass * (tables.density / water), 0.0)
        if km is None:
            gaps["stability"] = off
    solid = None if km is None else km - load.vcg_solid
    at = Waterline(None, None, None)
    if flotation is not None:
        at = waterline(vessel, condition, load.mass, flotation)
    return Situation(
        vessel=vessel,
        condition=condition,
        displacement=load,
        flotation=flotation,
        km=km,
        gm_solid=solid,
        gm_corrected=None if solid is None else solid - load.free_surface_correction,
        waterplane=at.waterplane,
        wind=at.wind,
        deck_edge=at.deck_edge,
        rest=Rest(None, None),
        gaps=gaps,
        liquids=tuple(liquids),
    )


def _with_added(
    ship: Situation, aboard: tuple[AddedWeight, ...], liquids: list[Liquid], free_surface_moment: float
) -> tuple[Situation, tuple[AddedWeight, ...], IcingEffect | None, Situation | None]:
    """Her afloat with what is `aboard` beside the lines of weights, with the water that timber absorbs and with ice,
    what the ice does, and her before it. Absorbed water comes first, and ice settles on what stands above the water."""
    vessel, condition = ship.vessel, ship.condition

    def afloat(added: Sequence[AddedWeight]) -> Situation:
        weights = [*condition.weights, *(each.weight for each in added)]
        load = displacement_of(vessel.lightship, liquids, weights, free_surface_moment)
        return _afloat(vessel, condition, load, liquids)

    water = absorbed(condition.timber, condition.weights)
    added = (*aboard, *water)
    if water:
        ship = afloat(added)
    if condition.icing is None:
        return ship, added, None, None
    side = None if ship.wind is None else (ship.wind.area, ship.wind.height)
    p = vessel.particulars
    settled = ice(condition.icing, vessel.icing_surfaces, side, p.length_bp, p.rule_length)
    iced = afloat([*added, *settled])
    return iced, (*added, *settled), icing_effect(condition.icing.factor, settled, ship, iced), ship


class Waterline(NamedTuple):
    """What her drafts mean as she heels: the level of the waterplane, the wind on her side, and the heel in degrees
    that immerses the deck edge; None as in `Situation`."""

    waterplane: Waterplane | None
    wind: Wind | None
    deck_edge: float | None


def waterline(vessel: Vessel, condition: Condition, mass: float, flotation: Flotation) -> Waterline:
    """The level of the waterplane as she heels, the deck edge and the wind at her drafts; `mass` is her displacement in
    t. Source: see the module."""
    waterplane, curves = None, vessel.cross_curves
    if curves is not None and vessel.levels is not None:
        equivalent = mass * (curves.density / condition.water_density)
        if curves.covers(equivalent, flotation.trim):
            waterplane = Waterplane(vessel.levels, equivalent, flotation)
    profile, edge, wind = vessel.wind_profile, vessel.deck_edge, None
    if profile is not None:
        wind = profile.at(flotation.draft_midship, condition.wind_area, condition.wind_moment)
    deck_edge = None if edge is None else edge.angle(flotation, waterplane, vessel.deck_points)
    return Waterline(waterplane, wind, deck_edge)


def _lever_curve(
    ship: Situation, liquids: list[Liquid], counted: Counted, toward: float
) -> tuple[RightingLever | None, bool]:
    """Her curve, or why there is none in the gaps; and whether tanks take part with heeled moments."""
    if ship.flotation is None:
        return None, False
    try:
        return lever_curve(
            ship.vessel, ship.condition, ship.displacement, ship.flotation, liquids, counted, toward
        )
    except OutsideTable as off:
        ship.gaps["righting_lever"] = off
        return None, False


def _at_rest(ship: Situation, curve: RightingLever | None, side: float) -> Situation:
    """The angle she rests at, or why there is none."""
    if ship.gm_corrected is None or ship.flotation is None:
        return ship
    rest = rest_of(curve, ship.gm_corrected, side, ship.heeling_arm)
    if not rest.found:
        words = "no cross curves to find the angle on"
        ship.gaps["list"] = ship.gaps.get("righting_lever") or CoreError(words)
        if rest.sought:
            ship.gaps["list"] = NoEquilibrium(
                "no angle of equilibrium within the cross curves: the ship would capsize"
            )
    return ship.resting(rest)


def _criteria(
    ship: Situation, sets: Sequence[RuleSet], sides: Sequence[Heeled]
) -> tuple[list[tuple[RuleSet, Criterion]], Heeled]:
    """Every clause that binds on its less favourable side, and the side that has more of those."""
    criteria: list[tuple[RuleSet, Criterion]] = []
    votes = 0
    for rule_set in sets:
        judged = rule_set.judged(ship, sides[0])
        if rule_set.evaluate is not None and len(sides) == 2:
            for k, (first, second) in enumerate(zip(judged, rule_set.judged(ship, sides[1]))):
                # which it is stays with the side she leans to where nothing sets them apart
                other = is_less_favourable(second, first)
                votes += 1 if other else -is_less_favourable(first, second)
                judged[k] = towards(second, sides[1].side) if other else towards(first, sides[0].side)
        if rule_set.choose is not None:
            judged = rule_set.choose(sides, judged)
        criteria += [(rule_set, criterion) for criterion in judged]
    return criteria, sides[1] if votes > 0 else sides[0]


def _findings(
    ship: Situation,
    sets: Sequence[RuleSet],
    liquids: Sequence[Liquid],
    surfaces: FreeSurfaces,
    criteria: Sequence[tuple[RuleSet, Criterion]],
) -> list[Finding]:
    """Everything worth saying, subject by subject."""
    return [
        *findings_of(ship, sets, liquids, surfaces),
        *load_line_findings(ship),
        *strength_findings(ship, liquids),
        *view_findings(ship.condition),
        *icing_findings(ship),
        *sea_criteria_not_met(criteria, ship.condition),
    ]


def _roll_period(ship: Situation) -> float | None:
    p, gm, afloat = ship.vessel.particulars, ship.gm_corrected, ship.flotation
    if p.length_waterline is None or gm is None or afloat is None or afloat.draft_midship <= 0.0:
        return None
    return period(coefficient(p.breadth, afloat.draft_midship, p.length_waterline), p.breadth, gm)
