"""A condition document into the core's condition, and the core's errors back into places of the document."""

from collections.abc import Mapping
from typing import Any

from service.core import condition as core
from service.core.condition import TankLine
from service.core.errors import CoreError, NotTabulated, OutsideTable, SeveralErrors
from service.core.rules.catalogue import NAMES
from service.core.strength.weight_curve import is_inside
from service.core.tank import QUANTITIES
from service.core.vessel import Vessel
from service.core.weight import Weight
from service.translation.axes import AxesAndUnits
from service.translation.contradictions import Contradictions
from service.translation.grain import grain_of
from service.translation.ship_type import in_her_condition
from service.translation.strength import extent_of
from service.translation.units import SCALES, Scale
from service.translation.view import (
    check_limits,
    icing_of,
    obstructions_of,
    own_limits,
    timber_of,
    without_top,
)
from service.wire import condition as wire
from service.wire.fields import Axes
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

ROOT = ("condition",)


def condition_of(document: wire.Condition, vessel: Vessel, vessel_axes: Axes | None) -> core.Condition:
    """Translate a condition of `vessel`; refuses what contradicts itself or her booklet, naming each place."""
    scale = SCALES[document.units]
    contradictions = Contradictions(ROOT)
    axes = AxesAndUnits.of(scale, document.axes or vessel_axes, vessel.particulars.length_bp)
    tanks = _tanks(document, vessel, scale, contradictions)
    weights = _weights(document, axes, vessel, contradictions)
    grain = grain_of(document.grain or (), vessel.holds, scale, contradictions)
    for i, name in enumerate(document.rule_sets or ()):
        if name not in NAMES:
            contradictions.add(("rule_sets", i), "unknown_rule_set", "this rule set is not in /v1/rule-sets.")
    marks = {mark.name for mark in vessel.draft_marks}
    observed = document.observed
    drafts = (observed.drafts if observed is not None else None) or {}
    for name in drafts:
        if name not in marks:
            contradictions.add(
                ("observed", "drafts", name), "unknown_mark", "the booklet has no draft mark with this name."
            )
    additions = document.wind_additions or ()
    of_type = in_her_condition(document, vessel, axes, contradictions)
    without, lee = _deck_cargo(document, contradictions)
    more = _subjects(document, axes, vessel, contradictions)
    contradictions.refuse("invalid_condition", "The condition does not fit the vessel.")
    area = sum(a.area for a in additions) * scale.area
    moment = sum(a.area * a.centroid_height for a in additions) * scale.volume
    return core.Condition(
        tanks=tanks,
        weights=weights,
        water_density=document.water_density,
        basis=document.free_surface.basis,
        rule_sets=tuple(document.rule_sets or ()),
        wind_area=area,
        wind_moment=moment,
        wind_lowest=min((a.centroid_height * scale.length for a in additions if a.area > 0.0), default=None),
        deck_cargo_without_area=without,
        deck_cargo_of_no_area=lee,
        load_line_mark=document.load_line_mark,
        drafts_at=tuple(axes.x(x) for x in document.drafts_at or ()),
        deflection=document.deflection * scale.length,
        deflection_given="deflection" in document.model_fields_set,
        grain=grain,
        observed_drafts={name: mean_reading(draft) * scale.length for name, draft in drafts.items()},
        observed_sides=_sides(drafts, scale),
        survey_mean=_survey_mean(observed),
        observed_list=None if observed is None else observed.list,
        observed_roll_period=None if observed is None else observed.roll_period,
        **of_type,
        **more,
    )


def _subjects(
    document: wire.Condition, axes: AxesAndUnits, vessel: Vessel, contradictions: Contradictions
) -> dict[str, Any]:
    """What few conditions say: the phase of the voyage, ice, timber, limits, the view ahead."""
    check_limits(document.limits or (), contradictions)
    voyage = document.voyage
    return {
        "in_port": voyage is not None and voyage.phase == "in_port",
        "ballast": voyage is not None and voyage.ballast,
        "dock_water": document.dock_water,
        "inland": document.inland,
        "icing": icing_of(document, axes, vessel, contradictions),
        "timber": timber_of(document, contradictions),
        "own_limits": own_limits(document.limits or (), axes.scale),
        "obstructions": obstructions_of(document.obstructions or (), axes),
        "deck_cargo_without_top": _without_top(document, vessel, contradictions),
    }


def _without_top(document: wire.Condition, vessel: Vessel, contradictions: Contradictions) -> tuple[int, ...]:
    """Deck cargo without its top, where the view ahead is judged."""
    found = without_top(document, contradictions)
    judged = "solas-v-22" in (*vessel.rule_sets, *(document.rule_sets or ()))
    return found if judged else ()


def mean_reading(reading: float | wire.ReadingOfSides) -> float:
    """One reading of a set of marks: the mean where both sides were read."""
    if isinstance(reading, wire.ReadingOfSides):
        return 0.5 * (reading.port + reading.starboard)
    return reading


def _sides(drafts: Mapping[str, float | wire.ReadingOfSides], scale: Scale) -> dict[str, tuple[float, float]]:
    return {
        name: (reading.port * scale.length, reading.starboard * scale.length)
        for name, reading in drafts.items()
        if isinstance(reading, wire.ReadingOfSides)
    }


def _survey_mean(observed: wire.Observed | None) -> str | None:
    """How the drafts of a survey are averaged; None where the readings are no survey: none by sides, no mean named."""
    if observed is None or not observed.drafts:
        return None
    by_sides = any(isinstance(reading, wire.ReadingOfSides) for reading in observed.drafts.values())
    return observed.mean or ("quarter" if by_sides else None)


def _tanks(
    document: wire.Condition, vessel: Vessel, scale: Scale, contradictions: Contradictions
) -> list[TankLine]:
    seen = set[str]()
    factors = (scale.mass, scale.volume, 1.0, scale.length, scale.length)
    lines = []
    for i, line in enumerate(document.tanks):
        name = line.tank
        tank = vessel.index.get(name)
        if tank is None or name in seen:
            code = "unknown_tank" if tank is None else "duplicate"
            words = "the booklet has no tank with this id." if tank is None else "this tank is filled twice."
            contradictions.add(("tanks", i, "tank"), code, words)
            continue
        seen.add(name)
        values = (line.mass, line.volume, line.fill, line.sounding, line.ullage)
        if values.count(None) != 4:
            contradictions.add(
                ("tanks", i), "one_quantity", "give exactly one of mass, volume, fill, sounding, ullage."
            )
            continue
        kind, value = next((k, v) for k, v in enumerate(values) if v is not None)
        contents = line.contents or vessel.tanks[tank].contents
        density = line.density or vessel.tanks[tank].default_density(contents)
        lines.append(TankLine(tank, QUANTITIES[kind], value * factors[kind], density, contents))
    return lines


def _weights(
    document: wire.Condition, axes: AxesAndUnits, vessel: Vessel, contradictions: Contradictions
) -> list[Weight]:
    holds = {hold.id: i for i, hold in enumerate(vessel.holds)}
    spread = vessel.strength is not None and vessel.strength.is_complete
    mass, up = axes.scale.mass, axes.scale.length
    origin, sense_x, sense_y = axes.origin, axes.sense_x, axes.sense_y
    weights = []
    for i, w in enumerate(document.weights):
        if (w.mass < 0.0) != (w.category == "removal") and w.mass != 0.0:
            words = "only a weight of category removal has a negative mass, and it must have one."
            contradictions.add(("weights", i, "mass"), "sign", words)
        weight = Weight(w.mass * mass, origin + sense_x * w.lcg, w.vcg * up, sense_y * w.tcg, w.category)
        if w.extent is not None or w.hold is not None:
            weight = _placed(w, weight, axes, vessel, holds, ("weights", i), contradictions)
        if spread and weight.extent is not None and weight.mass and not is_inside(weight.lcg, weight.extent):
            words = "its centre lies outside its fore and aft ends, over which it is spread for strength."
            contradictions.add(("weights", i, "lcg"), "lcg_outside_extent", words)
        weights.append(weight)
    return weights


def _placed(
    line: wire.Weight,
    weight: Weight,
    axes: AxesAndUnits,
    vessel: Vessel,
    holds: dict[str, int],
    place: tuple[str | int, ...],
    contradictions: Contradictions,
) -> Weight:
    """A weight with its ends, or those of its hold; notes a hold that she has not."""
    hold = None if line.hold is None else holds.get(line.hold)
    if line.hold is not None and hold is None:
        contradictions.add((*place, "hold"), "unknown_hold", "her booklet has no hold of this id.")
    extent = extent_of(line.extent, axes)
    if extent is None and hold is not None and hold < len(vessel.hold_extents):
        extent = vessel.hold_extents[hold]
    return weight._replace(extent=extent, hold=hold)


def _deck_cargo(
    document: wire.Condition, contradictions: Contradictions
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Deck cargo, by index among the weights, whose lateral area is not given, and what is said to stand in the lee."""
    additions = document.wind_additions or ()
    names = [weight.name for weight in document.weights]
    for i, addition in enumerate(additions):
        if addition.of is not None and names.count(addition.of) != 1:
            code = "ambiguous_weight" if addition.of in names else "unknown_weight"
            words = (
                "no weight has this name." if code == "unknown_weight" else "several weights have this name."
            )
            contradictions.add(("wind_additions", i, "of"), code, words)
    areas: dict[str | None, float] = {}
    for addition in additions:
        areas[addition.of] = areas.get(addition.of, 0.0) + addition.area
    cargo = [i for i, w in enumerate(document.weights) if w.category == "deck_cargo" and w.mass > 0.0]
    without = tuple(i for i in cargo if names[i] not in areas and None not in areas)
    return without, tuple(i for i in cargo if areas.get(names[i], areas.get(None)) == 0.0)


def refusal_of(problem: CoreError, document: wire.Condition, vessel: Vessel, scale: Scale) -> Refusal:
    """What a core error means for the person who posted the condition: each place, and the range that would do."""
    errors = problem.errors if isinstance(problem, SeveralErrors) else [problem]
    found = [_place_of(each, document, vessel, scale) for each in errors]
    detail = (
        found[0]["detail"]
        if len(found) == 1
        else f"{len(found)} places of the condition are outside a table."
    )
    return Refusal(found[0]["code"], detail, found)


def _place_of(problem: CoreError, document: wire.Condition, vessel: Vessel, scale: Scale) -> ProblemError:
    if not isinstance(problem, OutsideTable | NotTabulated):
        return error(ROOT, "not_computable", f"{problem}.")
    place: tuple[str | int, ...] = ROOT
    code, words = "not_computable", f"{problem}."
    if isinstance(problem, OutsideTable):
        code, words = "outside_table", reason_of(problem, scale)
    if problem.tank is not None:
        tank = vessel.tanks[problem.tank].id
        line = next(i for i, entry in enumerate(document.tanks) if entry.tank == tank)
        place, words = (*ROOT, "tanks", line), f"tank {tank}: {words}"
    return error(place, code, words)


def reason_of(problem: CoreError, scale: Scale) -> str:
    """A core error as a sentence, its numbers in the units of a document."""
    if not isinstance(problem, OutsideTable):
        return f"{problem}."
    factor: float = getattr(scale, problem.dimension)
    value, low, high = (f"{number / factor:.6g}" for number in (problem.value, problem.low, problem.high))
    return f"{problem.quantity}: {value} is outside {low} to {high} ({scale.names[problem.dimension]})."
