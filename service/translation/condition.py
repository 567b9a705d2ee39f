"""A condition document into the core's condition, and the core's errors back into places of the document."""

from service.core import condition as core
from service.core.condition import TankLine
from service.core.errors import CoreError, NotTabulated, OutsideTable, SeveralErrors
from service.core.rules.catalogue import NAMES
from service.core.tank import QUANTITIES
from service.core.vessel import Vessel
from service.core.weight import Weight
from service.translation.axes import AxesAndUnits
from service.translation.contradictions import Contradictions
from service.translation.grain import grain_of
from service.translation.ship_type import in_her_condition
from service.translation.units import SCALES, Scale
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
    weights = _weights(document, axes, contradictions)
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
        deck_cargo_without_area=without,
        deck_cargo_of_no_area=lee,
        load_line_mark=document.load_line_mark,
        deflection=document.deflection * scale.length,
        grain=grain,
        observed_drafts={name: draft * scale.length for name, draft in drafts.items()},
        observed_list=None if observed is None else observed.list,
        observed_roll_period=None if observed is None else observed.roll_period,
        **of_type,
        in_port=document.voyage is not None and document.voyage.phase == "in_port",
    )


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


def _weights(document: wire.Condition, axes: AxesAndUnits, contradictions: Contradictions) -> list[Weight]:
    mass, up = axes.scale.mass, axes.scale.length
    origin, sense_x, sense_y = axes.origin, axes.sense_x, axes.sense_y
    weights = []
    for i, w in enumerate(document.weights):
        if (w.mass < 0.0) != (w.category == "removal") and w.mass != 0.0:
            words = "only a weight of category removal has a negative mass, and it must have one."
            contradictions.add(("weights", i, "mass"), "sign", words)
        weights.append(
            Weight(w.mass * mass, origin + sense_x * w.lcg, w.vcg * up, sense_y * w.tcg, w.category)
        )
    return weights


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
