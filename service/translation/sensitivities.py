"""Sensitivities of a condition: the question into the core, its answer as a document."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.core.assessment import Assessment
from service.core.conventions import CALCULATION_VERSION
from service.core.rules.limit import Criterion
from service.core.search import (
    Effect,
    Gain,
    Jump,
    TankSensitivity,
    WeightSensitivity,
    gains_of,
    tank_sensitivity,
    weight_sensitivity,
)
from service.core.vessel import Vessel
from service.translation.answer_criteria import finite, unit_in
from service.translation.assess_documents import assessed_documents
from service.translation.contradictions import Contradictions
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.units import SCALES, Scale
from service.wire.assessment import CAUTION
from service.wire.problem import error
from service.wire.refusal import Refusal
from service.wire.sensitivity import MAX_TANKS_ASKED, SensitivitiesQuestion

Row = dict[str, Any]
NAMES_OF_VESSEL = ("vessel", "vessel_id", "vessel_revision")
METHOD = (
    "differences of the whole calculation, central over the step where no free surface appears or goes within it, else "
    "to the side away from that"
)


def question_of(members: Row) -> Row:
    """The members of a request without those that name the vessel."""
    return {name: value for name, value in members.items() if name not in NAMES_OF_VESSEL}


def sensitivities(members: Row, prepared: PreparedVessel) -> Row:
    """The answer to a parsed request about a vessel; raises Refusal."""
    question = validated(SensitivitiesQuestion, question_of(members), ())
    document, base = assessed_documents(prepared, members["condition"])
    vessel, condition, scale = prepared.vessel, base.condition, SCALES[document.units]
    tanks = tanks_of(question.tanks, vessel)
    weights = _weights(question.weights, [weight.name for weight in document.weights])
    criteria = _criteria(question.criteria, base)
    found = [tank_sensitivity(vessel, condition, base, tank) for tank in tanks]
    moved = [weight_sensitivity(vessel, condition, base, weight) for weight in weights]
    return {
        "units": scale.names,
        "tanks": [_tank(each, vessel, criteria, scale) for each in found],
        "weights": [
            _weight(each, document.weights[each.weight].name, criteria, base, scale) for each in moved
        ],
        "gains": [
            _gains(criteria[id], gains, vessel, scale) for id, gains in gains_of(found, criteria).items()
        ],
        "verdict": base.verdict,
        "gm_corrected": _in(base.situation.gm_corrected, scale.length),
        "draft_at_lcf": _in(
            None if base.situation.flotation is None else base.situation.flotation.draft_at_lcf, scale.length
        ),
        "method": METHOD,
        "vessel": prepared.reference,
        "calculation_version": CALCULATION_VERSION,
        "caution": CAUTION,
    }


def tanks_of(names: Sequence[str] | None, vessel: Vessel) -> list[int]:
    """The tanks a request names, by index, all of hers when it names none; raises Refusal."""
    contradictions = Contradictions(())
    if names is None:
        if len(vessel.tanks) > MAX_TANKS_ASKED:
            words = f"she has more than {MAX_TANKS_ASKED} tanks: name those to look at."
            raise Refusal("invalid_request", words, [error(("tanks",), "missing", words)])
        return list(range(len(vessel.tanks)))
    for i, name in enumerate(names):
        if name not in vessel.index:
            contradictions.add(("tanks", i), "unknown_tank", "the booklet has no tank with this id.")
        elif name in names[:i]:
            contradictions.add(("tanks", i), "duplicate", "this tank is named twice.")
    contradictions.refuse("unknown_tank", "A tank is named that cannot be looked at.")
    return [vessel.index[name] for name in names]


def _weights(asked: Sequence[str] | None, names: Sequence[str]) -> list[int]:
    contradictions = Contradictions(())
    for i, name in enumerate(asked or ()):
        if names.count(name) != 1:
            code = "ambiguous_weight" if name in names else "unknown_weight"
            words = "several weights have this name." if name in names else "no weight has this name."
            contradictions.add(("weights", i), code, words)
    contradictions.refuse("invalid_request", "A weight is named that cannot be looked at.")
    return [names.index(name) for name in asked or ()]


def _criteria(asked: Sequence[str] | None, base: Assessment) -> dict[str, Criterion]:
    """Those asked for, else those that are judged, by id."""
    every = {criterion.row.id: criterion for _, criterion in base.criteria}
    if asked is None:
        return {id: criterion for id, criterion in every.items() if criterion.is_judged}
    contradictions = Contradictions(())
    for i, id in enumerate(asked):
        if id not in every:
            contradictions.add(("criteria", i), "target_unknown", "this criterion is not checked here.")
    contradictions.refuse("target_unknown", "A criterion is named that is not checked in this condition.")
    return {id: every[id] for id in asked}


def _tank(each: TankSensitivity, vessel: Vessel, criteria: Mapping[str, Criterion], s: Scale) -> Row:
    filling = each.filling
    tank = vessel.tanks[filling.tank]
    return {
        "tank": tank.id,
        "name": tank.name,
        "mass": filling.mass / s.mass,
        "state": filling.piece_of(filling.mass).state,
        "step": each.step / s.mass,
        "kink": each.kink,
        **_effect(each.effect, criteria, s, s.mass),
        "press_up": _jump(each.press_up, criteria, s),
        "empty": _jump(each.empty, criteria, s),
    }


def _weight(
    each: WeightSensitivity, name: str, criteria: Mapping[str, Criterion], base: Assessment, s: Scale
) -> Row:
    return {
        "weight": name,
        "mass": base.condition.weights[each.weight].mass / s.mass,
        "per_mass": _effect(each.per_mass, criteria, s, s.mass),
        "per_height": _effect(each.per_height, criteria, s, s.length),
    }


def _effect(effect: Effect, criteria: Mapping[str, Criterion], s: Scale, per: float) -> Row:
    """In units of the answer, for one unit (`per` of the core's) of what is changed."""
    return {
        **{
            name: _in(value, (1.0 if name == "list" else s.length) / per)
            for name, value in effect.figures.items()
        },
        "margins": _margins(effect.margins, criteria, s, per),
    }


def _margins(
    margins: Mapping[str, float | None], criteria: Mapping[str, Criterion], s: Scale, per: float
) -> Row:
    found = {}
    for id, criterion in criteria.items():
        factor, _ = unit_in(criterion.row.unit, s)
        found[id] = _in(margins.get(id), 1.0 / (factor * per))
    return found


def _jump(jump: Jump | None, criteria: Mapping[str, Criterion], s: Scale) -> Row | None:
    if jump is None:
        return None
    figures = jump.effect.figures
    return {
        "mass_change": jump.mass_change / s.mass,
        "gm_corrected": _in(figures["gm_corrected"], s.length),
        "list": figures["list"],
        "margins": _margins(jump.effect.margins, criteria, s, 1.0),
        "verdict": jump.verdict,
        "failing": [_failing(criterion, s) for criterion in jump.failing],
    }


def _failing(criterion: Criterion, s: Scale) -> Row:
    factor, unit = unit_in(criterion.row.unit, s)
    return {
        "criterion": criterion.row.id,
        "title": criterion.row.title,
        "margin": _in(finite(criterion.margin), 1.0 / factor),
        "unit": unit,
    }


def _gains(criterion: Criterion, gains: Sequence[Gain], vessel: Vessel, s: Scale) -> Row:
    factor, unit = unit_in(criterion.row.unit, s)
    return {
        "criterion": criterion.row.id,
        "title": criterion.row.title,
        "unit": unit,
        "margin": _in(finite(criterion.margin), 1.0 / factor),
        "tanks": [
            {
                "tank": vessel.tanks[gain.tank].id,
                "move": gain.move,
                "per_mass": gain.per_mass * factor * s.mass,
                "mass_change": _in(gain.mass_change, s.mass),
                "change": _in(gain.change, 1.0 / factor),
            }
            for gain in gains
        ],
    }


def _in(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
