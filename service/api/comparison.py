"""What changed between two revisions of a condition, or of two of one vessel, and what it did."""

from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.compare_conditions import RevisionName, compare_conditions, compare_revisions
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.record_exchange import Revision, document_answer
from service.web.addresses import ConditionAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.comparison import Comparison
from service.wire.fields import UnitSystem

router = APIRouter(tags=["Conditions"])
NamedRevision = Annotated[
    str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,63}(/[1-9][0-9]{0,8})?$", examples=["departure/7"])
]


class ComparisonQuery(BaseModel):
    """Query of a comparison; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    since: Revision | None = Field(
        default=None, alias="from", description="The revision before; the one before `to` when absent."
    )
    to: Revision | None = Field(default=None, description="The revision after; the latest when absent.")
    units: UnitSystem | None = Field(
        default=None, description="Units of the answer; those of the later document when absent."
    )
    reassess: bool = Field(
        default=False,
        description="Judge both by today's calculation as well, and list the numbers that moved.",
    )


@router.get(
    "/v1/conditions/{condition}/comparison",
    summary="What changed between two revisions, and what it did",
    description="Line by line, in the reader's units; verdicts that flipped come first. The two revisions may have "
    "been judged by different revisions of the vessel's data: what changed there is listed too.",
    responses={200: answer_of(Comparison, READ), **problems_of(400, 401, 404, 429, 503)},
)
async def get_comparison(
    request: Request, caller: WhoAsks, condition: ConditionAddress, query: Annotated[ComparisonQuery, Query()]
) -> Response:
    """From what is kept; computed anew only where that is asked for."""
    parts = record_parts_of(request)
    compare = partial(
        compare_revisions,
        parts.records,
        parts.assessor,
        caller,
        identifier(condition, "condition"),
        query.since,
        query.to,
        units=query.units,
        reassess=query.reassess,
    )
    return document_answer(
        await (parts.slots.run(compare) if query.reassess else in_thread(request, compare))
    )


class AnyComparisonQuery(BaseModel):
    """Query of a comparison of two conditions; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    since: NamedRevision = Field(alias="from", description="The one before, as CONDITION/REVISION.")
    to: NamedRevision = Field(description="The one after, as CONDITION/REVISION.")
    units: UnitSystem | None = Field(
        default=None, description="Units of the answer; those of the later document when absent."
    )
    reassess: bool = Field(
        default=False,
        description="Judge both by today's calculation as well, and list the numbers that moved.",
    )


@router.get(
    "/v1/comparison",
    summary="What differs between any two conditions of a vessel, and what it does",
    description="Each named as CONDITION/REVISION; without the number its latest revision. Answered as the comparison "
    "of two revisions of one condition: `revision_from` and `revision_to` name their conditions.",
    responses={200: answer_of(Comparison, READ), **problems_of(400, 401, 404, 429, 503)},
)
async def get_any_comparison(
    request: Request, caller: WhoAsks, query: Annotated[AnyComparisonQuery, Query()]
) -> Response:
    """A departure and the arrival made from it, two proposals, what was done last time."""
    parts = record_parts_of(request)
    first, last = _revision_name(query.since), _revision_name(query.to)
    compare = partial(
        compare_conditions,
        parts.records,
        parts.assessor,
        caller,
        first,
        last,
        units=query.units,
        reassess=query.reassess,
    )
    return document_answer(
        await (parts.slots.run(compare) if query.reassess else in_thread(request, compare))
    )


def _revision_name(text: str) -> RevisionName:
    condition, _, number = text.partition("/")
    return RevisionName(condition, int(number) if number else None)
