"""The history of a condition: its revisions, none of which ever changes."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.list_files import REVISIONS
from service.actions.show_condition import (
    list_condition_revisions,
    record_units,
    show_condition_revision,
)
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ, UNCHANGED
from service.api.paging import PageQuery, limit_of, list_answer, number_position
from service.api.record_exchange import FOR_EVER, FRESH, UnitsQuery, record_answer
from service.api.table_files import LIST_CONTENT
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.condition_record import ConditionRevision, ConditionRevisionList
from service.wire.fields import UnitSystem

router = APIRouter(tags=["Conditions"])


class RevisionsQuery(PageQuery):
    """Query of the history of a condition."""

    units: UnitSystem = Field(default="metric", description="Units of the figures of the list.")


@router.get(
    "/v1/conditions/{condition}/revisions",
    summary="The history of a condition",
    responses={
        200: answer_of(ConditionRevisionList, READ, LIST_CONTENT),
        **problems_of(400, 401, 404, 406, 429, 503),
    },
)
async def get_revisions(
    request: Request, caller: WhoAsks, condition: ConditionAddress, query: Annotated[RevisionsQuery, Query()]
) -> Response:
    """Newest first, without documents and assessments."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_condition_revisions,
        parts.records,
        caller,
        identifier(condition, "condition"),
        before=number_position(request, query),
        limit=limit_of(request, query),
        units=query.units,
    )
    members = {"units": record_units(query.units)}
    return await list_answer(
        request, query, items, items[-1]["revision"] if items else None, REVISIONS, members
    )


@router.get(
    "/v1/conditions/{condition}/revisions/{number}",
    summary="One revision of a condition, as it was posted and as it was judged",
    responses={
        200: answer_of(ConditionRevision, READ),
        **UNCHANGED,
        **problems_of(400, 401, 404, 429, 503),
    },
)
async def get_revision(
    request: Request,
    caller: WhoAsks,
    condition: ConditionAddress,
    number: RevisionNumber,
    query: Annotated[UnitsQuery, Query()],
) -> Response:
    """The same for ever; with `units`, its assessment converted."""
    parts = record_parts_of(request)
    text, etag = await in_thread(
        request,
        show_condition_revision,
        parts.records,
        caller,
        identifier(condition, "condition"),
        number,
        query.units,
    )
    return record_answer(request, text, etag, cache=FRESH if query.units else FOR_EVER)
