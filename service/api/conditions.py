"""Conditions: every change is a new revision, judged and kept."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.keep_condition import draft_new, draft_or_made_before
from service.actions.list_files import CONDITIONS
from service.actions.list_order import position_of
from service.actions.records.repeatable_request import WriteResult
from service.actions.show_condition import ConditionChoice, list_conditions, record_units, show_condition
from service.api.description.answers import answer_of, parameters, problems_of, request_body
from service.api.description.record_answers import (
    CREATED,
    IDEMPOTENCY_KEY,
    IF_MATCH,
    KEPT,
    READ,
    UNCHANGED,
)
from service.api.direct_route import DirectRoute
from service.api.paging import Several, TextQuery, UpdatedQuery, limit_of, list_answer, position
from service.api.record_exchange import (
    MERGE_PATCH,
    ReasonQuery,
    UnitsQuery,
    in_flight,
    made_answer,
    name_of,
    posted,
    record_answer,
    required_tags,
)
from service.api.request_body import id_of, query_of
from service.api.table_files import LIST_CONTENT
from service.web.accepted import JSON
from service.web.addresses import VesselAddress, identifier
from service.web.caller import WhoAsks, caller_of, in_thread
from service.web.change_condition import change_condition
from service.web.parts import record_parts_of
from service.wire.condition import Condition
from service.wire.condition_record import ConditionList, ConditionRecord, ConditionRevision
from service.wire.fields import ImoNumber, Reference, UnitSystem, VesselId
from service.wire.record import Phase, ReviewState, Verdict
from service.wire.state import ConditionState

router = APIRouter(tags=["Conditions"])
direct = APIRouter(tags=["Conditions"], route_class=DirectRoute)
_CHANGE_REFUSALS = problems_of(400, 401, 403, 404, 406, 409, 412, 413, 415, 422, 428, 429, 503)


ConditionSort = Literal["created", "-created", "updated", "-updated", "title", "-title", "vessel", "-vessel"]


class ConditionQuery(UpdatedQuery):
    """Query of a list of conditions. Filters that are lists may be given more than once: any of the values does."""

    verdict: Annotated[list[Verdict], Several] | None = Field(
        default=None, description="Of the latest revision."
    )
    review_state: Annotated[list[ReviewState], Several] | None = Field(
        default=None, description="Of the latest revision."
    )
    phase: Annotated[list[Phase], Several] | None = Field(default=None, description="Part of the voyage.")
    reference: Annotated[list[Reference], Several] | None = Field(
        default=None, description="The sender's own name for it."
    )
    state: Annotated[list[ConditionState], Several] | None = Field(
        default=None, description="Of the condition. Withdrawn ones are listed when asked for."
    )
    title: TextQuery | None = Field(default=None, description="Part of the title.")
    voyage: Annotated[list[TextQuery], Several] | None = Field(
        default=None, description="Number of the voyage."
    )
    author: TextQuery | None = Field(
        default=None, description="Who wrote the latest revision: name or id of the key."
    )
    sort: ConditionSort | None = Field(
        default=None, description="Order; `-` for the greatest or latest first. `-created` when absent."
    )
    units: UnitSystem = Field(default="metric", description="Units of the figures of the list.")


class FleetConditionQuery(ConditionQuery):
    """Query of a list of the conditions of every vessel."""

    vessel: Annotated[list[VesselId], Several] | None = Field(default=None, description="Id of a vessel.")
    imo_number: Annotated[list[ImoNumber], Several] | None = Field(
        default=None, description="IMO number of a vessel."
    )


@router.get(
    "/v1/vessels/{vessel}/conditions",
    summary="Conditions of a vessel",
    responses={
        200: answer_of(ConditionList, READ, LIST_CONTENT),
        **problems_of(400, 401, 404, 406, 429, 503),
    },
)
async def get_vessel_conditions(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[ConditionQuery, Query()]
) -> Response:
    """The one entered last first."""
    return await _condition_list(request, caller, query, identifier(vessel, "vessel"))


@router.get(
    "/v1/conditions",
    summary="Conditions of every vessel",
    responses={
        200: answer_of(ConditionList, READ, LIST_CONTENT),
        **problems_of(400, 401, 404, 406, 429, 503),
    },
)
async def get_conditions(
    request: Request, caller: WhoAsks, query: Annotated[FleetConditionQuery, Query()]
) -> Response:
    """The one entered last first; those of withdrawn vessels when `vessel` names her."""
    return await _condition_list(request, caller, query, None)


@direct.post(
    "/v1/vessels/{vessel}/conditions",
    status_code=201,
    summary="Enter a condition",
    description="Judged by the latest data of the vessel and kept as revision 1, whatever the verdict.",
    responses={
        201: answer_of(ConditionRevision, CREATED),
        **problems_of(400, 401, 403, 404, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=parameters(ReasonQuery, IDEMPOTENCY_KEY, in_path={"vessel": "Id of the vessel."})
    | request_body(JSON, Condition, "What is aboard."),
)
async def post_condition(request: Request) -> Response:
    """Judged outside the transaction, kept inside it, answered after it."""
    caller = await caller_of(request)
    vessel, query = id_of(request, "vessel"), query_of(request, ReasonQuery)
    caller.require("write_condition")
    caller.require_vessel(identifier(vessel, "vessel"))
    document, body = await posted(request)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        draft = draft_new(caller, vessel, document)
        made = await change_condition(record_parts_of(request), caller, draft, query.reason, name)
    return made_answer(made, 201)


@direct.get(
    "/v1/conditions/{condition}",
    summary="A condition: its latest revision with the state of its reviews",
    responses={200: answer_of(ConditionRecord, READ), **UNCHANGED, **problems_of(400, 401, 404, 429, 503)},
    openapi_extra=parameters(UnitsQuery, in_path={"condition": "Id of the condition."}),
)
async def get_condition(request: Request) -> Response:
    """With the tag that a change has to name."""
    parts = record_parts_of(request)
    caller = await caller_of(request)
    condition, query = id_of(request, "condition"), query_of(request, UnitsQuery)
    text, etag = await in_thread(
        request, show_condition, parts.records, caller, identifier(condition, "condition"), query.units
    )
    return record_answer(request, text, etag)


@direct.put(
    "/v1/conditions/{condition}",
    summary="Keep a new revision of a condition",
    responses={200: answer_of(ConditionRevision, KEPT), **_CHANGE_REFUSALS},
    openapi_extra=parameters(
        ReasonQuery, IF_MATCH, IDEMPOTENCY_KEY, in_path={"condition": "Id of the condition."}
    )
    | request_body(JSON, Condition, "What is aboard."),
)
async def put_condition(request: Request) -> Response:
    """The whole document."""
    return await _change(request, patch=False)


@direct.patch(
    "/v1/conditions/{condition}",
    summary="Keep a new revision of a condition, sending what differs",
    description="A JSON merge patch (RFC 7396): members that are sent replace, `null` removes, lists are replaced as a "
    "whole.",
    responses={200: answer_of(ConditionRevision, KEPT), **_CHANGE_REFUSALS},
    openapi_extra=parameters(
        ReasonQuery, IF_MATCH, IDEMPOTENCY_KEY, in_path={"condition": "Id of the condition."}
    )
    | {
        "requestBody": {
            "required": True,
            "description": "What differs from the latest revision's document.",
            "content": {MERGE_PATCH[0]: {"schema": {"type": "object", "additionalProperties": True}}},
        }
    },
)
async def patch_condition(request: Request) -> Response:
    """What differs from the latest revision."""
    return await _change(request, patch=True)


async def _condition_list(
    request: Request, caller: WhoAsks, query: ConditionQuery, vessel: str | None
) -> Response:
    parts = record_parts_of(request)
    fleet = query if isinstance(query, FleetConditionQuery) else None
    wanted = ConditionChoice(
        vessels=fleet.vessel if fleet else None,
        imo_numbers=fleet.imo_number if fleet else None,
        verdicts=query.verdict,
        review_states=query.review_state,
        phases=query.phase,
        references=query.reference,
        voyages=query.voyage,
        states=query.state,
        **query.model_dump(
            include={
                *("title", "author", "sort"),
                *("updated_after", "updated_before", "created_after", "created_before"),
            }
        ),
    )
    items = await in_thread(
        request,
        list_conditions,
        parts.records,
        caller,
        vessel=vessel,
        wanted=wanted,
        units=query.units,
        before=position(request, query),
        limit=limit_of(request, query),
    )
    members = {"units": record_units(query.units)}
    last = position_of(items[-1], query.sort) if items else None
    return await list_answer(request, query, items, last, CONDITIONS, members)


async def _change(request: Request, *, patch: bool) -> Response:
    parts = record_parts_of(request)
    caller = await caller_of(request)
    condition, query = id_of(request, "condition"), query_of(request, ReasonQuery)
    caller.require("write_condition")
    identifier(condition, "condition")
    expected = required_tags(request)
    document, body = await posted(request, MERGE_PATCH if patch else JSON)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        found = await in_thread(
            request,
            draft_or_made_before,
            parts.records,
            caller,
            condition,
            document,
            name,
            expected=expected,
            patch=patch,
        )
        if isinstance(found, WriteResult):
            return made_answer(found, 200)
        return made_answer(await change_condition(parts, caller, found, query.reason, name), 200)
