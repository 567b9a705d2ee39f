"""One assessment of documents: validate, translate, assess, answer."""

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

from service.core import condition as core
from service.core.assessment import Assessment, assess
from service.core.errors import CoreError
from service.translation.answer import full_answer, summary_answer
from service.translation.answer_plan import summary_with_plan, with_plan
from service.translation.answer_strength import strength_curves
from service.translation.condition import condition_of, refusal_of
from service.translation.plan_point import point_of, voyage_of
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.units import SCALES
from service.translation.working.shapes import compact as compact_working
from service.translation.working.shapes import nodes_of
from service.translation.working.typed import Figures
from service.translation.working.worksheet import sheet_of
from service.wire.condition import Condition as ConditionDocument
from service.wire.problem import error
from service.wire.refusal import Refusal

AnswerLength = Literal["full", "summary"]
Answer = dict[str, Any]


class _Assessed(NamedTuple):
    """A condition as posted, in the core's terms, and assessed."""

    document: ConditionDocument
    condition: core.Condition
    assessment: Assessment


def assess_documents(
    prepared: PreparedVessel, condition: object, detail: AnswerLength, units: str | None
) -> Answer:
    """The answer to a condition document (parsed, not yet validated) of a vessel that is ready, judged over its plan
    where it has one.

    units: system of the answer, None for that of the condition. Raises Refusal with places below `condition`."""
    document, translated, assessed = _assessed(prepared, condition)
    build = full_answer if detail == "full" else summary_answer
    scale = SCALES[units or document.units]
    answer = build(assessed, scale, prepared.reference, document.title)
    if document.plan is None:
        return answer
    voyage, departs = voyage_of(document, translated, assessed, prepared)
    return (with_plan if detail == "full" else summary_with_plan)(answer, voyage, departs, scale)


class Working(NamedTuple):
    """That the working of an answer is wanted: the vessel's document as typed, and whether compact."""

    vessel: Mapping[str, Any]
    compact: bool = False


def point_documents(
    prepared: PreparedVessel,
    condition: object,
    number: int,
    units: str | None,
    working: Working | None = None,
) -> Answer:
    """One point of the plan of a condition document by its number: the condition there and its assessment, with its
    working where that is wanted: what it says was typed stands in that condition.

    Raises Refusal as `assess_documents` does, and `point_not_found`."""
    document = validated(ConditionDocument, condition, ("condition",))
    translated = condition_of(document, prepared.vessel, prepared.axes)
    point, scale = point_of(document, translated, prepared, number), SCALES[units or document.units]
    answer, typed = full_answer(point.assessed, scale, prepared.reference, document.title), point.typed
    if working is not None:
        answer = _with_working(answer, point.assessed, prepared, typed, working)
    return {"condition": typed, "assessment": answer}


def worked_documents(
    prepared: PreparedVessel, condition: Mapping[str, Any], units: str | None, working: Working
) -> Answer:
    """The full answer with its working, as nodes or compact. Raises Refusal as `assess_documents` does, and where the
    condition has a plan."""
    document, _, assessed = _assessed(prepared, condition)
    if document.plan is not None:
        place = error(("condition", "plan"), "not_here", "ask for a point of the plan.")
        raise Refusal("working_not_with_plan", "The working is given for a point of a plan.", [place])
    scale = SCALES[units or document.units]
    answer = full_answer(assessed, scale, prepared.reference, document.title)
    return _with_working(answer, assessed, prepared, condition, working)


def _with_working(
    answer: Answer,
    assessed: Assessment,
    prepared: PreparedVessel,
    condition: Mapping[str, Any],
    working: Working,
) -> Answer:
    """A full answer with its working. condition: the document that was assessed."""
    system = answer["units"]["system"]
    figures = prepared.figures.setdefault(system, Figures())
    sheet = sheet_of(assessed, answer, SCALES[system], working.vessel, condition, figures)
    return {**answer, "working": compact_working(sheet) if working.compact else nodes_of(sheet)}


def curved_documents(prepared: PreparedVessel, condition: object, units: str | None) -> Answer:
    """The full answer of `assess_documents`, with the curves of `strength` where that is computed."""
    answer = assess_documents(prepared, condition, "full", units)
    found = _assessed(prepared, condition).assessment.situation.strength
    if found is None:
        return answer
    curves = strength_curves(found, SCALES[answer["units"]["system"]])
    return {**answer, "strength": {**answer["strength"], "curves": curves}}


def assessed_documents(prepared: PreparedVessel, condition: object) -> tuple[ConditionDocument, Assessment]:
    """A condition document (parsed, not yet validated) of a vessel that is ready, validated, and its assessment.

    Raises Refusal with places below `condition`, and where the condition has a plan."""
    document, _, assessed = _assessed(prepared, condition)
    if document.plan is not None:
        advice = "ask for a point of the plan, and post its condition."
        place = error(("condition", "plan"), "not_here", advice)
        raise Refusal("question_not_with_plan", "This is answered for a condition by itself.", [place])
    return document, assessed


def _assessed(prepared: PreparedVessel, condition: object) -> _Assessed:
    document = validated(ConditionDocument, condition, ("condition",))
    translated = condition_of(document, prepared.vessel, prepared.axes)
    try:
        return _Assessed(document, translated, assess(prepared.vessel, translated))
    except CoreError as problem:
        raise refusal_of(problem, document, prepared.vessel, SCALES[document.units]) from None
