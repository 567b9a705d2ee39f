"""One point of a plan: the condition as it would be typed out there, and its assessment."""

from datetime import datetime
from typing import Any, NamedTuple

from service.core import condition as core
from service.core.assessment import Assessment, assess
from service.core.condition import TankLine
from service.core.errors import CoreError, OutsideTable
from service.core.tank import Tank
from service.core.voyage import AtStage, PlanTooLong, Point, itinerary_of
from service.core.voyage_result import STOCK_GONE, Voyage, assess_plan
from service.core.weight import Weight
from service.translation.axes import AxesAndUnits
from service.translation.condition import ROOT, reason_of, refusal_of
from service.translation.plan import TranslatedPlan, plan_of
from service.translation.prepared_vessel import PreparedVessel
from service.translation.units import SCALES, Scale
from service.wire import condition as wire
from service.wire.fields import Extent
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

Row = dict[str, Any]


def voyage_of(
    document: wire.Condition, condition: core.Condition, assessed: Assessment, prepared: PreparedVessel
) -> tuple[Voyage, datetime | None]:
    """The plan of a condition that is translated and assessed already, and its time of departure; raises Refusal."""
    translated = plan_of(document, condition, prepared.vessel, prepared.axes)
    try:
        return assess_plan(prepared.vessel, translated.plan, assessed), translated.departs
    except (AtStage, PlanTooLong) as problem:
        raise plan_refusal(problem, translated, prepared, SCALES[document.units]) from None


class AssessedPoint(NamedTuple):
    """A point of a plan: the condition there as it would be typed out, and as it is assessed."""

    document: wire.Condition
    assessed: Assessment

    @property
    def typed(self) -> Row:
        """The document as it is answered with."""
        return self.document.model_dump(by_alias=True, exclude_none=True, exclude_unset=True)


def point_of(
    document: wire.Condition, condition: core.Condition, prepared: PreparedVessel, number: int
) -> AssessedPoint:
    """A point by its number, 0 being the condition itself without its plan; raises Refusal."""
    if number == 0:
        typed = document.model_copy(update={"plan": None})
        return _assessed(typed, condition, prepared)
    if document.plan is None:
        raise no_such_point()
    translated = plan_of(document, condition, prepared.vessel, prepared.axes)
    scale = SCALES[document.units]
    try:
        points = itinerary_of(prepared.vessel.tanks, translated.plan).points
    except (AtStage, PlanTooLong) as problem:
        raise plan_refusal(problem, translated, prepared, scale) from None
    if number >= len(points):
        raise no_such_point()
    point = points[number]
    if point.condition is None:
        raise Refusal("not_computable", f"The point cannot be assessed: {STOCK_GONE}.")
    typed = typed_out(translated, point, prepared, scale)
    try:
        return _assessed(typed, point.condition, prepared)
    except Refusal as refused:
        raise Refusal("not_computable", f"The point cannot be assessed: {refused.detail}") from None


def _assessed(document: wire.Condition, condition: core.Condition, prepared: PreparedVessel) -> AssessedPoint:
    try:
        return AssessedPoint(document, assess(prepared.vessel, condition))
    except CoreError as problem:
        raise refusal_of(problem, document, prepared.vessel, SCALES[document.units]) from None


def no_such_point() -> Refusal:
    """The refusal of a number that no point of the plan has."""
    return Refusal("point_not_found", "The plan of this condition has no point of that number.")


def plan_refusal(
    problem: AtStage | PlanTooLong, translated: TranslatedPlan, prepared: PreparedVessel, scale: Scale
) -> Refusal:
    """What a core error in a stage means for the person who posted the plan."""
    place = (*ROOT, "plan", "stages", problem.stage - 1)
    if isinstance(problem, PlanTooLong):
        return Refusal("plan_too_long", f"{problem}.", [error(place, "plan_too_long", f"{problem}.")])
    inner = problem.problem
    if isinstance(inner, OutsideTable) and inner.tank is not None:
        number = translated.plan.stages[problem.stage - 1].after.document
        refused = refusal_of(inner, translated.documents[number], prepared.vessel, scale)
        origins = translated.origins[number]
        errors: list[ProblemError] = [
            {**found, "pointer": origins.posted(found["pointer"])} for found in refused.errors
        ]
        return Refusal(refused.code, refused.detail, errors)
    words = reason_of(inner, scale)
    return Refusal("not_computable", words, [error(place, "not_computable", words)])


def typed_out(
    translated: TranslatedPlan, point: Point, prepared: PreparedVessel, scale: Scale
) -> wire.Condition:
    """The condition of a point as it would be typed out: lines as they were posted, but for what has changed since.

    That a tank counts as slack at a point whatever its filling cannot be typed."""
    assert point.condition is not None
    document, template = translated.documents[point.lines.document], point.lines.condition
    axes = AxesAndUnits.of(scale, document.axes or prepared.axes, prepared.vessel.particulars.length_bp)
    tanks = [
        _tank(typed, before, now, prepared.vessel.tanks[now.tank], scale)
        for typed, before, now in zip(document.tanks, template.tanks, point.condition.tanks)
    ]
    weights = [
        _weight(typed, before, now, axes)
        for typed, before, now in zip(document.weights, template.weights, point.condition.weights)
    ]
    update: Row = {"tanks": tanks, "weights": weights, "load_line_mark": point.mark}
    return document.model_copy(update=update)


def _tank(
    typed: wire.TankFilling, before: TankLine, now: TankLine, tank: Tank, scale: Scale
) -> wire.TankFilling:
    if now._replace(slack_between=None) == before:
        return typed
    mass = tank.liquid(now).mass / scale.mass
    return wire.TankFilling.model_construct(
        {"tank", "contents", "density", "mass"},
        tank=typed.tank,
        contents=now.contents,
        density=now.density,
        mass=mass,
    )


def _weight(typed: wire.Weight, before: Weight, now: Weight, axes: AxesAndUnits) -> wire.Weight:
    if now == before:
        return typed
    moved: Row = {"mass": now.mass / axes.scale.mass}
    if now[1:4] != before[1:4]:
        moved["lcg"] = (now.lcg - axes.origin) / axes.sense_x
        moved["vcg"] = now.vcg / axes.scale.length
        moved["tcg"] = now.tcg / axes.sense_y
    if now.extent != before.extent:
        ends = now.extent
        moved["extent"] = None
        if ends is None:
            moved["hold"] = None
        else:
            aft, forward = ((x - axes.origin) / axes.sense_x for x in ends)
            moved["extent"] = Extent(x_from=aft, x_to=forward)
    return typed.model_copy(update=moved)
