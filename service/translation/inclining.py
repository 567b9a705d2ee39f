"""An inclining test: the request into the core, its answer as a document."""

from dataclasses import replace
from typing import Any

from service.core.assessment import assess
from service.core.condition import Condition
from service.core.conventions import CALCULATION_VERSION
from service.core.draft_survey import OFF_TABLE, QUARTER, TOO_FEW, trim_between_marks
from service.core.errors import CoreError, OutsideTable
from service.core.inclining import (
    AsInclined,
    Inclining,
    Movement,
    NoPositiveGm,
    Pendulum,
    as_inclined,
    inclining_test,
    sister_tolerance,
)
from service.core.weight import Weight
from service.translation.answer import finding_row
from service.translation.axes import AxesAndUnits
from service.translation.condition import condition_of, reason_of, refusal_of
from service.translation.contradictions import Contradictions
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.units import SCALES, Scale
from service.wire.assessment import CAUTION
from service.wire.inclining import IncliningDocument, IncliningQuestion
from service.wire.pointer import pointer_of
from service.wire.problem import error
from service.wire.refusal import Refusal

Row = dict[str, Any]
NAMES_OF_VESSEL = ("vessel", "vessel_id", "vessel_revision")


def inclining(members: Row, prepared: PreparedVessel) -> Row:
    """The answer to a parsed request about a vessel; raises Refusal."""
    rest = {name: value for name, value in members.items() if name not in NAMES_OF_VESSEL}
    question = validated(IncliningQuestion, rest, ())
    document, vessel = question.condition, prepared.vessel
    scale = SCALES[document.units]
    if document.plan is not None:
        wrong = [error(("condition", "plan"), "not_here", "a test is of one moment.")]
        raise Refusal("invalid_request", "A plan is not asked for here.", wrong)
    condition = condition_of(document, vessel, prepared.axes)
    axes = AxesAndUnits.of(scale, document.axes or prepared.axes, vessel.particulars.length_bp)
    pendulums, movements = _test(question.inclining, axes)
    try:
        day = _day(question.inclining, condition, prepared, scale)
        found = inclining_test(vessel, condition, day, pendulums, movements)
    except NoPositiveGm as none:
        raise _refused("no_positive_gm", ("inclining", "movements"), none, scale) from None
    except OutsideTable as off:
        if off.tank is not None:
            raise refusal_of(off, document, vessel, scale) from None
        raise _refused("outside_table", ("inclining",), off, scale) from None
    except CoreError as problem:
        raise _refused("not_computable", ("inclining",), problem, scale) from None
    return _answer(found, movements, prepared, scale)


def _refused(code: str, place: tuple[str | int, ...], problem: CoreError, scale: Scale) -> Refusal:
    words = reason_of(problem, scale)
    return Refusal(code, words, [error(place, code, words)])


def _test(document: IncliningDocument, axes: AxesAndUnits) -> tuple[list[Pendulum], list[Movement]]:
    contradictions, scale = Contradictions(("inclining",)), axes.scale
    contradictions.repeated([pendulum.name for pendulum in document.pendulums], "name", ("pendulums",))
    names = {pendulum.name for pendulum in document.pendulums}
    movements, moved = list[Movement](), 0.0
    for i, movement in enumerate(document.movements):
        place = ("movements", i)
        if (movement.moment is None) == (movement.shifts is None):
            contradictions.add(place, "one_quantity", "give exactly one of moment and shifts.")
        for shift in movement.shifts or ():
            moved += shift.mass * scale.mass * (axes.y(shift.to_y) - axes.y(shift.from_y))
        if movement.moment is not None:
            moved = movement.moment * scale.moment
        for name in movement.readings:
            if name not in names:
                contradictions.add(
                    (*place, "readings", name), "unknown_pendulum", "no pendulum has this name."
                )
        readings = {name: read * scale.length for name, read in movement.readings.items()}
        movements.append(Movement(moved, readings))
    if len({movement.moment for movement in movements}) < 2:
        contradictions.add(("movements",), "one_moment", "the readings are all at one moment: move a weight.")
    contradictions.refuse("invalid_request", "The test contradicts itself.")
    return [Pendulum(each.name, each.length * scale.length) for each in document.pendulums], movements


def _day(
    document: IncliningDocument, condition: Condition, prepared: PreparedVessel, scale: Scale
) -> AsInclined:
    """Displacement and trim, by the drafts read; the displacement by a number where one is given."""
    vessel, survey = prepared.vessel, None
    if condition.observed_drafts:
        asked = replace(condition, survey_mean=condition.survey_mean or QUARTER)
        survey = assess(vessel, asked).survey
    mass = None if document.displacement is None else document.displacement * scale.mass
    trim = None if survey is None else survey.trim
    if trim is None:
        trim = trim_between_marks(vessel, condition.observed_drafts)
    if mass is None:
        mass = None if survey is None else survey.displacement
    if mass is None:
        words = OFF_TABLE if survey is not None and survey.trim is not None else TOO_FEW
        place = ("condition", "observed", "drafts")
        raise Refusal("not_computable", f"{words}.", [error(place, "not_computable", f"{words}.")])
    return as_inclined(vessel, mass, trim, condition.water_density)


def _answer(found: Inclining, movements: list[Movement], prepared: PreparedVessel, s: Scale) -> Row:
    vessel, light = prepared.vessel, found.lightship
    percent, lcg = sister_tolerance(vessel.particulars.rule_length)
    return {
        "units": s.names,
        "displacement": found.day.displacement / s.mass,
        "trim": _scaled(found.day.trim, s),
        "km": found.day.km / s.length,
        "readings": found.line.points,
        "slope": found.line.slope * s.moment,
        "intercept": found.line.intercept,
        "gm": found.gm / s.length,
        "gm_low": _scaled(found.gm_low, s),
        "gm_high": _scaled(found.gm_high, s),
        "vcg_as_inclined": found.vcg_as_inclined / s.length,
        "lcg_as_inclined": _scaled(found.lcg_as_inclined, s),
        "tcg_as_inclined": found.tcg_as_inclined / s.length,
        "free_surface_moment": found.free_surface_moment / s.moment,
        "lightship": {
            "mass": light.mass / s.mass,
            "lcg": _scaled(found.lightship_lcg, s),
            "vcg": light.vcg / s.length,
            "tcg": light.tcg / s.length,
            "vcg_low": _scaled(found.vcg_low, s),
            "vcg_high": _scaled(found.vcg_high, s),
        },
        "movements": [
            {"moment": movement.moment / s.moment, "tan_mean": mean, "residual": residual}
            for movement, (mean, residual) in zip(movements, found.means)
        ],
        "against_booklet": _against(found, vessel.lightship, s),
        "sister_tolerance": {"mass_percent": percent, "lcg": lcg / s.length},
        "findings": [
            {**finding_row(finding), "path": pointer_of(finding.place)} for finding in found.findings
        ],
        "vessel": prepared.reference,
        "calculation_version": CALCULATION_VERSION,
        "caution": CAUTION,
    }


def _against(found: Inclining, booklet: Weight, s: Scale) -> Row | None:
    if not booklet.mass > 0.0:
        return None
    lcg = found.lightship_lcg
    return {
        "mass_percent": 100.0 * (found.lightship.mass / booklet.mass - 1.0),
        "lcg": None if lcg is None else (lcg - booklet.lcg) / s.length,
        "vcg": (found.lightship.vcg - booklet.vcg) / s.length,
    }


def _scaled(value: float | None, s: Scale) -> float | None:
    return None if value is None else value / s.length
