"""One assessment of documents: validate, translate, assess, answer."""

from collections.abc import Mapping
from typing import Any, Literal

from service.core.assessment import Assessment, assess
from service.core.errors import CoreError
from service.translation.answer import full_answer, summary_answer
from service.translation.condition import condition_of, refusal_of
from service.translation.prepared_vessel import PreparedVessel, validated
from service.translation.units import SCALES
from service.translation.working.worksheet import working_of
from service.wire.condition import Condition as ConditionDocument

AnswerLength = Literal["full", "summary"]
Answer = dict[str, Any]


def assess_documents(
    prepared: PreparedVessel, condition: object, detail: AnswerLength, units: str | None
) -> Answer:
    """The answer to a condition document (parsed, not yet validated) of a vessel that is ready.

    units: system of the answer, None for that of the condition. Raises Refusal with places below `condition`."""
    document, assessed = assessed_documents(prepared, condition)
    build = full_answer if detail == "full" else summary_answer
    return build(assessed, SCALES[units or document.units], prepared.reference, document.title)


def worked_documents(
    prepared: PreparedVessel, vessel: Mapping[str, Any], condition: Mapping[str, Any], units: str | None
) -> Answer:
    """The full answer with its working. vessel: her document as typed. Raises Refusal as `assess_documents` does."""
    document, assessed = assessed_documents(prepared, condition)
    scale = SCALES[units or document.units]
    answer = full_answer(assessed, scale, prepared.reference, document.title)
    return {**answer, "working": working_of(assessed, answer, scale, vessel, condition)}


def assessed_documents(prepared: PreparedVessel, condition: object) -> tuple[ConditionDocument, Assessment]:
    """A condition document (parsed, not yet validated) of a vessel that is ready, validated, and its assessment.

    Raises Refusal with places below `condition`."""
    document = validated(ConditionDocument, condition, ("condition",))
    translated = condition_of(document, prepared.vessel, prepared.axes)
    try:
        return document, assess(prepared.vessel, translated)
    except CoreError as problem:
        raise refusal_of(problem, document, prepared.vessel, SCALES[document.units]) from None
