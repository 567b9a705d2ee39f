"""A condition document into the core's condition, and the core's errors back into places of the document."""

from service.actions.refusal import Refusal
from service.actions.translate_frame import Doubts, Frame
from service.actions.translate_grain import grain_of
from service.actions.units import SCALES, Scale
from service.core import condition as core
from service.core.condition import TankLine
from service.core.errors import CoreError, NoEquilibrium, OutsideTable
from service.core.rules.catalogue import CATALOGUE
from service.core.tank import QUANTITIES
from service.core.vessel import Vessel
from service.core.weight import Weight
from service.wire import condition as wire
from service.wire.fields import Axes
from service.wire.problem import error

ROOT = ("condition",)


def condition_of(document: wire.Condition, vessel: Vessel, vessel_axes: Axes | None) -> core.Condition:
    """Translate a condition of `vessel`; refuses what contradicts itself or her booklet, naming each place."""
    scale = SCALES[document.units]
    doubts = Doubts(ROOT)
    frame = Frame.of(scale, document.axes or vessel_axes, vessel.particulars.length_bp)
    tanks = _tanks(document, vessel, scale, doubts)
    weights = _weights(document, frame, doubts)
    grain = grain_of(document.grain or (), vessel.holds, scale, doubts)
    rule_sets = vessel.rule_sets if document.rule_sets is None else tuple(document.rule_sets)
    rule_sets += tuple(
        name
        for name, rule_set in CATALOGUE.items()
        if name not in rule_sets
        and rule_set.binds_with is not None
        and getattr(document, rule_set.binds_with)
    )
    for i, name in enumerate(document.rule_sets or ()):
        if name not in CATALOGUE:
            doubts.add(("rule_sets", i), "unknown_rule_set", "this rule set is not in /v1/rule-sets.")
    marks = {mark.name for mark in vessel.draft_marks}
    observed = document.observed
    drafts = (observed.drafts if observed is not None else None) or {}
    for name in drafts:
        if name not in marks:
            doubts.add(
                ("observed", "drafts", name), "unknown_mark", "her booklet has no draft mark of this name."
            )
    doubts.refuse("invalid_condition", "The condition does not fit the vessel.")
    additions = document.wind_additions or ()
    area = sum(a.area for a in additions) * scale.area
    moment = sum(a.area * a.centroid_height for a in additions) * scale.volume
    return core.Condition(
        tanks=tanks,
        weights=weights,
        water_density=document.water_density,
        basis=document.free_surface.basis,
        rule_sets=rule_sets,
        wind_area=area,
        wind_moment=moment,
        load_line_mark=document.load_line_mark,
        grain=grain,
        observed_drafts={name: draft * scale.length for name, draft in drafts.items()},
        observed_list=None if observed is None else observed.list,
        observed_roll_period=None if observed is None else observed.roll_period,
    )


def _tanks(document: wire.Condition, vessel: Vessel, scale: Scale, doubts: Doubts) -> list[TankLine]:
    seen = set[str]()
    factors = (scale.mass, scale.volume, 1.0, scale.length, scale.length)
    lines = []
    for i, line in enumerate(document.tanks):
        name = line.tank
        tank = vessel.index.get(name)
        if tank is None or name in seen:
            code = "unknown_tank" if tank is None else "duplicate"
            words = "her booklet has no tank of this id." if tank is None else "this tank is filled twice."
            doubts.add(("tanks", i, "tank"), code, words)
            continue
        seen.add(name)
        values = (line.mass, line.volume, line.fill, line.sounding, line.ullage)
        if values.count(None) != 4:
            doubts.add(
                ("tanks", i), "one_quantity", "give exactly one of mass, volume, fill, sounding, ullage."
            )
            continue
        kind, value = next((k, v) for k, v in enumerate(values) if v is not None)
        contents = line.contents or vessel.tanks[tank].contents
        density = line.density or vessel.tanks[tank].default_density(contents)
        lines.append(TankLine(tank, QUANTITIES[kind], value * factors[kind], density, contents))
    return lines


def _weights(document: wire.Condition, frame: Frame, doubts: Doubts) -> list[Weight]:
    mass, up = frame.scale.mass, frame.scale.length
    origin, sense_x, sense_y = frame.origin, frame.sense_x, frame.sense_y
    weights = []
    for i, w in enumerate(document.weights):
        if (w.mass < 0.0) != (w.category == "removal") and w.mass != 0.0:
            words = "only a weight of category removal has a negative mass, and it must have one."
            doubts.add(("weights", i, "mass"), "sign", words)
        weights.append(
            Weight(w.mass * mass, origin + sense_x * w.lcg, w.vcg * up, sense_y * w.tcg, w.category)
        )
    return weights


def refusal_of(problem: CoreError, document: wire.Condition, vessel: Vessel, scale: Scale) -> Refusal:
    """What a core error means for the person who posted the condition: the place, and the range that would do."""
    if isinstance(problem, NoEquilibrium):
        return Refusal("no_equilibrium", f"{problem}.", [error(ROOT, "no_equilibrium", f"{problem}.")])
    if not isinstance(problem, OutsideTable):
        return Refusal("not_computable", f"{problem}.", [error(ROOT, "not_computable", f"{problem}.")])
    factor: float = getattr(scale, problem.dimension)
    words = scale.names[problem.dimension]
    place: tuple[str | int, ...] = ROOT
    subject = problem.quantity
    if problem.tank is not None:
        tank = vessel.tanks[problem.tank].id
        line = next(i for i, entry in enumerate(document.tanks) if entry.tank == tank)
        place, subject = (*ROOT, "tanks", line), f"tank {tank}: {problem.quantity}"
    value, low, high = (f"{number / factor:.6g}" for number in (problem.value, problem.low, problem.high))
    detail = f"{subject}: {value} is outside {low} to {high} ({words})."
    return Refusal("outside_table", detail, [error(place, "outside_table", detail)])
