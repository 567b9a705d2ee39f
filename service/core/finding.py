"""What an attentive colleague would point out about a condition, besides the criteria.

Findings never change a number. Thresholds without a source are common practice.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import inf

from . import rolling
from .condition import Condition
from .finding_kinds import CAUTION, INFO, Finding, finding
from .flotation import MOMENT_METHOD
from .free_surface import FreeSurfaces
from .grain import grain_mass
from .load_line_figures import load_line_check
from .passenger import is_overcrowded
from .rules.afloat import lowest_opening
from .rules.limit import FAIL, Criterion, RuleSet
from .situation import Situation
from .tank import CONSUMABLE, CONTENTS, EMPTY, OVERFULL, PRESSED_UP, SLACK, USUAL_DENSITY, Liquid
from .vessel import Vessel
from .view import freeboard_least

USUALLY_PRESSED_UP = ("ballast", "fresh_water")
"""Liquids that are filled to the top as a matter of course: nothing spills but water. Common practice, no source."""


def findings_of(
    ship: Situation, sets: Sequence[RuleSet], liquids: Sequence[Liquid], surfaces: FreeSurfaces
) -> list[Finding]:
    """Everything worth saying about a condition, in a fixed order.

    Source: MSC/Circ.854 3.4 and 3.5 (screening and alerts); thresholds: common practice."""
    condition, vessel = ship.condition, ship.vessel
    return [
        *_rule_sets(sets),
        *_tanks(condition, liquids, surfaces),
        *_liquids(condition, vessel),
        *_forgotten(condition, vessel),
        *_consumables(condition, liquids, surfaces),
        *_weights(condition, vessel),
        *_deck_cargo(condition),
        *_grain(condition, vessel),
        *_passengers(condition, vessel),
        *_water(condition),
        *_stability(ship),
        *_openings(ship),
        *_deck_edge(ship),
        *_flotation(ship),
        *_load_line(ship),
        *_view_and_propeller(ship),
        *_observed(ship),
    ]


def _rule_sets(sets: Sequence[RuleSet]) -> Iterator[Finding]:
    if not any(rule_set.judges_stability for rule_set in sets):
        yield finding("no_stability_criteria", ("rule_sets",))


def _tanks(condition: Condition, liquids: Sequence[Liquid], surfaces: FreeSurfaces) -> Iterator[Finding]:
    for i, (line, liquid) in enumerate(zip(condition.tanks, liquids)):
        if liquid.state not in (PRESSED_UP, OVERFULL):
            continue
        # a rule may count one all the same: full cargo tanks, and whatever is below 98 %
        counted = (
            "its free surface is counted, and"
            if surfaces.judged.moments[i] > 0.0
            else "no free surface is counted, but"
        )
        if liquid.state == OVERFULL:
            yield finding("tank_overfull", ("tanks", i), counted=counted)
        else:
            yield finding(
                "tank_pressed_up",
                ("tanks", i),
                severity=INFO if line.contents in USUALLY_PRESSED_UP else CAUTION,
                counted=counted,
            )


def _liquids(condition: Condition, vessel: Vessel) -> Iterator[Finding]:
    for i, line in enumerate(condition.tanks):
        low, high = USUAL_DENSITY[line.contents]
        if not low - 1e-9 <= line.density <= high + 1e-9:
            yield finding("density_unusual", ("tanks", i, "density"), contents=_words(line.contents))
    for i, line in enumerate(condition.tanks):
        own = vessel.tanks[line.tank].contents
        if line.contents != own:
            yield finding(
                "contents_unusual", ("tanks", i, "contents"), contents=_words(line.contents), own=_words(own)
            )


def _forgotten(condition: Condition, vessel: Vessel) -> Iterator[Finding]:
    if len(condition.tanks) == len(vessel.tanks):
        return
    lines = {line.tank: i for i, line in enumerate(condition.tanks)}
    for pair in vessel.pairs:
        if len(pair) == 2 and (pair[0] in lines) != (pair[1] in lines):
            there, missing = pair if pair[0] in lines else (pair[1], pair[0])
            yield finding(
                "partner_tank_not_mentioned", ("tanks", lines[there]), partner=vessel.tanks[missing].id
            )
    names = ", ".join(tank.id for i, tank in enumerate(vessel.tanks) if i not in lines)
    yield finding("tanks_not_mentioned", ("tanks",), names=names)


def _consumables(
    condition: Condition, liquids: Sequence[Liquid], surfaces: FreeSurfaces
) -> Iterator[Finding]:
    if surfaces.by_rule is not None:  # the rule sees to it
        return
    states: dict[str, set[str]] = {}
    for line, liquid in zip(condition.tanks, liquids):
        if line.contents in CONSUMABLE and liquid.state != EMPTY:
            states.setdefault(line.contents, set()).add(liquid.state)
    for contents in CONTENTS:
        if contents in states and SLACK not in states[contents]:
            yield finding(
                "consumable_without_slack_tank", ("free_surface", "basis"), contents=_words(contents)
            )


def _weights(condition: Condition, vessel: Vessel) -> Iterator[Finding]:
    p = vessel.particulars
    aft, forward, breadth = -0.1 * p.length_bp, 1.1 * p.length_bp, p.breadth
    for i, weight in enumerate(condition.weights):
        if not aft <= weight.lcg <= forward or abs(weight.tcg) > breadth or weight.vcg < 0.0:
            yield finding("weight_outside_ship", ("weights", i))
    for i, weight in enumerate(condition.weights):
        if weight.mass < 0.0:
            yield finding("weight_removed", ("weights", i))


def _deck_cargo(condition: Condition) -> Iterator[Finding]:
    for i in condition.deck_cargo_without_area:
        yield finding("deck_cargo_without_wind_area", ("weights", i))
    for i in condition.deck_cargo_of_no_area:
        yield finding("deck_cargo_area_zero", ("weights", i))


def _grain(condition: Condition, vessel: Vessel) -> Iterator[Finding]:
    if not condition.grain:
        return
    for i, line in enumerate(condition.grain):
        if not 1.0 <= line.stowage_factor <= 3.0:
            yield finding("stowage_factor_unusual", ("grain", i, "stowage_factor"))
    cargo = sum(w.mass for w in condition.weights if w.category == "cargo")
    if cargo < 0.8 * sum(grain_mass(line, vessel.holds) for line in condition.grain):
        yield finding("grain_mass_missing", ("grain",))


def _passengers(condition: Condition, vessel: Vessel) -> Iterator[Finding]:
    if not any(line.number for line in condition.passengers):
        return
    if any(weight.category == "passengers" and weight.mass > 0.0 for weight in condition.weights):
        yield finding("passengers_twice", ("passengers",))
    for i, line in enumerate(condition.passengers):
        space = vessel.passenger_spaces[line.space]
        if is_overcrowded(line, space):
            yield finding(
                "space_overcrowded", ("passengers", i, "number"), space=space.id, room=f"{space.room:.0f}"
            )


def _water(condition: Condition) -> Iterator[Finding]:
    if not 0.995 <= condition.water_density <= 1.032:
        yield finding("water_density_unusual", ("water_density",))


def _stability(ship: Situation) -> Iterator[Finding]:
    gm, rest = ship.gm_corrected, ship.rest
    if gm is not None and gm <= 0.0:
        yield finding("gm_not_positive")
    if rest.sought and not rest.found:
        yield finding("no_equilibrium")
        return
    # a list that is not known although GM is positive is too large for small angles, without curves to find it on
    unknown = inf if gm is not None and gm > 0.0 and ship.flotation is not None else 0.0
    size = unknown if rest.list_angle is None else abs(rest.list_angle)
    if size > 5.0:
        yield finding("list_large")
    elif size > 1.0:
        yield finding("list")


def _openings(ship: Situation) -> Iterator[Finding]:
    if ship.vessel.openings is None:
        yield finding("openings_not_given")
        return
    lowest = ship.once(lowest_opening)
    if lowest is not None and lowest[0] <= 0.0:
        yield finding("opening_under_water")


def _deck_edge(ship: Situation) -> Iterator[Finding]:
    edge, flotation, angle = ship.vessel.deck_edge, ship.flotation, ship.rest.list_angle
    if edge is None or not edge.points or flotation is None or angle is None:
        return
    if freeboard_least(edge.points, flotation, angle) <= 0.0:
        yield finding("deck_edge_under_water")


def _flotation(ship: Situation) -> Iterator[Finding]:
    flotation, curves = ship.flotation, ship.vessel.cross_curves
    if flotation is None:
        return
    if flotation.trim < -1e-3:
        yield finding("trim_by_the_head")
    if flotation.method == MOMENT_METHOD and abs(flotation.trim) > 0.01 * flotation.length_bp:
        yield finding("trim_beyond_even_keel_tables")
    if curves is not None and len(curves.trims) == 1:
        away = abs(flotation.trim - curves.trims[0])
        if away > 0.005 * flotation.length_bp:
            yield finding("cross_curves_at_one_trim")


def _load_line(ship: Situation) -> Iterator[Finding]:
    check = None if ship.condition.inland else ship.once(load_line_check)
    if check is None or check.least is None or check.greatest is None:
        return
    over = "every mark she has" if check.mark is None else f"load line mark {check.mark}"
    place, low_side = ("load_line_mark",), check.low_side or 0.0
    if check.midship > check.greatest + 1e-9:
        yield finding("draft_over_load_line", place, over=over)
    elif low_side > check.greatest + 1e-9:
        yield finding("low_side_over", place, over=over)
    elif check.mark is None and max(check.midship, low_side) > check.least + 1e-9:
        yield finding("load_line_mark_missing", place)


def _view_and_propeller(ship: Situation) -> Iterator[Finding]:
    propeller, bridge, flotation = ship.vessel.propeller, ship.vessel.bridge, ship.flotation
    if flotation is None:
        return
    if propeller is not None:
        tip = propeller.shaft_height + 0.5 * propeller.diameter
        if flotation.draft_at(propeller.x) < tip:
            yield finding("propeller_not_immersed")
    if bridge is None:
        return
    eye = bridge.eye_z - flotation.draft_at(bridge.eye_x)
    top = bridge.obstruction_z - flotation.draft_at(bridge.obstruction_x)
    reach = eye * (bridge.obstruction_x - bridge.eye_x) / (eye - top) if eye > top else inf
    blind = 0.0 if top <= 0.0 else reach - (bridge.bow_x - bridge.eye_x)
    if blind > min(2.0 * bridge.length_overall, 500.0):
        yield finding("view_from_bridge_obscured")


def _observed(ship: Situation) -> Iterator[Finding]:
    condition, flotation, p = ship.condition, ship.flotation, ship.vessel.particulars
    if not condition.is_observed or flotation is None:
        return
    for mark in ship.vessel.draft_marks:
        read = condition.observed_drafts.get(mark.name)
        if read is not None and abs(read - flotation.draft_at(mark.x) - mark.keel_offset) > 0.05:
            yield finding("observed_draft_differs", ("observed", "drafts", mark.name))
    observed, angle = condition.observed_list, ship.rest.list_angle
    if observed is not None and angle is not None and abs(observed - angle) > 0.5:
        yield finding("observed_list_differs", ("observed", "list"))
    period, computed = condition.observed_roll_period, ship.gm_corrected
    draft = flotation.draft_midship
    if period is not None and p.length_waterline is not None and computed is not None and draft > 0.0:
        c = rolling.coefficient(p.breadth, draft, p.length_waterline)
        shortest = max(period, 1e-3)  # a slip of the pen must not overflow
        gm = rolling.metacentric_height(c, p.breadth, shortest)
        if abs(gm - computed) > 0.2 * max(gm, 0.15):
            yield finding("observed_roll_period_differs", ("observed", "roll_period"))


def sea_criteria_not_met(
    criteria: Iterable[tuple[RuleSet, Criterion]], condition: Condition
) -> Iterator[Finding]:
    """What she could not sail with, while she lies in port. Source: common practice, no source."""
    if not condition.in_port:
        return
    failed = [
        row.row.id
        for rule_set, row in criteria
        if row.verdict == FAIL
        and rule_set.counts(row.row, in_port=False)
        and not rule_set.counts(row.row, True)
    ]
    if failed:
        yield finding("sea_criteria_not_met", ("voyage", "phase"), ids=", ".join(failed))


def _words(contents: str) -> str:
    return contents.replace("_", " ")
