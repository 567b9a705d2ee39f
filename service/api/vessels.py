"""Vessels: what the service holds of their booklets, revision by revision."""

from functools import partial
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.keep_vessel import add_vessel, prepare_to_store, revise_vessel
from service.actions.list_files import VESSELS
from service.actions.list_order import position_of
from service.actions.show_vessel import (
    compare_vessel_revisions,
    list_vessel_revisions,
    list_vessels,
    show_vessel,
)
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import (
    CREATED,
    IDEMPOTENCY_KEY,
    IF_MATCH,
    KEPT,
    READ,
    UNCHANGED,
    headers_of,
)
from service.api.paging import (
    PageQuery,
    Several,
    UpdatedQuery,
    limit_of,
    list_answer,
    number_position,
    page_answer,
    position,
)
from service.api.record_exchange import (
    FOR_EVER,
    NO_QUERY,
    ReasonQuery,
    Revision,
    document_answer,
    in_flight,
    made_answer,
    name_of,
    posted,
    record_answer,
    required_tags,
)
from service.api.table_files import LIST_CONTENT
from service.web.accepted import JSON
from service.web.addresses import RevisionNumber, VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.fields import NAME_PATTERN, ImoNumber, Reference
from service.wire.state import VesselState
from service.wire.vessel import Vessel
from service.wire.vessel_record import (
    VesselComparison,
    VesselList,
    VesselRecord,
    VesselRevision,
    VesselRevisionList,
)

router = APIRouter(tags=["Vessels"])


class VesselQuery(UpdatedQuery):
    """Query of the list of vessels."""

    name: Annotated[str, Field(max_length=200, pattern=NAME_PATTERN)] | None = Field(
        default=None, description="Part of the name."
    )
    imo_number: Annotated[list[ImoNumber], Several] | None = Field(
        default=None, description="Her IMO number; any of several."
    )
    reference: Annotated[list[Reference], Several] | None = Field(
        default=None, description="The sender's own name for her; any of several."
    )
    state: Annotated[list[VesselState], Several] = Field(
        default=["active"], description="Withdrawn vessels are listed when asked for; any of several."
    )
    sort: Literal["created", "-created", "updated", "-updated", "name", "-name"] | None = Field(
        default=None, description="Order; `-` for the last first. `created` when absent."
    )


@router.get(
    "/v1/vessels",
    summary="Vessels stored here",
    responses={200: answer_of(VesselList, READ, LIST_CONTENT), **problems_of(400, 401, 406, 429, 503)},
)
async def get_vessels(request: Request, caller: WhoAsks, query: Annotated[VesselQuery, Query()]) -> Response:
    """In the order they were entered."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_vessels,
        parts.records,
        caller,
        name=query.name,
        imo_number=query.imo_number,
        reference=query.reference,
        updated_after=query.updated_after,
        updated_before=query.updated_before,
        created_after=query.created_after,
        created_before=query.created_before,
        state=query.state,
        sort=query.sort,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    last = position_of(items[-1], query.sort) if items else None
    return await list_answer(request, query, items, last, VESSELS)


@router.post(
    "/v1/vessels",
    status_code=201,
    summary="Enter a vessel",
    description="Her document is checked as for a calculation and kept as revision 1.",
    responses={
        201: answer_of(VesselRevision, CREATED),
        **problems_of(400, 401, 403, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=headers_of(IDEMPOTENCY_KEY) | request_body(JSON, Vessel, "What her booklet says."),
)
async def post_vessel(request: Request, caller: WhoAsks, query: Annotated[ReasonQuery, Query()]) -> Response:
    """Checked first, then kept in one transaction."""
    parts = record_parts_of(request)
    caller.require("add_vessel")
    document, body = await posted(request)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        checked = await parts.slots.run(partial(prepare_to_store, parts.assessor, document))
        made = await in_thread(
            request, add_vessel, parts.records, caller, checked, reason=query.reason, name=name
        )
    return made_answer(made, 201)


@router.get(
    "/v1/vessels/{vessel}",
    summary="A vessel's latest data",
    dependencies=[NO_QUERY],
    responses={200: answer_of(VesselRecord, READ), **UNCHANGED, **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel(request: Request, caller: WhoAsks, vessel: VesselAddress) -> Response:
    """With the tag that a change has to name."""
    parts = record_parts_of(request)
    text, etag = await in_thread(request, show_vessel, parts.records, caller, identifier(vessel, "vessel"))
    return record_answer(request, text, etag)


@router.put(
    "/v1/vessels/{vessel}",
    summary="Keep a new revision of a vessel's data",
    description="Nothing is overwritten: conditions judged before keep the revision they were judged by.",
    responses={
        200: answer_of(VesselRevision, KEPT),
        **problems_of(400, 401, 403, 404, 406, 409, 412, 413, 415, 422, 428, 429, 503),
    },
    openapi_extra=headers_of(IF_MATCH, IDEMPOTENCY_KEY)
    | request_body(JSON, Vessel, "What her booklet says."),
)
async def put_vessel(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[ReasonQuery, Query()]
) -> Response:
    """Checked first, then kept in one transaction."""
    parts = record_parts_of(request)
    caller.require("write_vessel")
    caller.require_vessel(identifier(vessel, "vessel"))
    expected = required_tags(request)
    document, body = await posted(request)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        checked = await parts.slots.run(partial(prepare_to_store, parts.assessor, document))
        made = await in_thread(
            request,
            revise_vessel,
            parts.records,
            caller,
            vessel,
            checked,
            expected=expected,
            reason=query.reason,
            name=name,
        )
    return made_answer(made, 200)


@router.get(
    "/v1/vessels/{vessel}/revisions",
    summary="The revisions of a vessel's data",
    responses={200: answer_of(VesselRevisionList, READ), **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel_revisions(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[PageQuery, Query()]
) -> Response:
    """Newest first, without the data."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_vessel_revisions,
        parts.records,
        caller,
        identifier(vessel, "vessel"),
        before=number_position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["revision"] if items else None)


@router.get(
    "/v1/vessels/{vessel}/revisions/{number}",
    summary="One revision of a vessel's data",
    dependencies=[NO_QUERY],
    responses={200: answer_of(VesselRevision, READ), **UNCHANGED, **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel_revision(
    request: Request, caller: WhoAsks, vessel: VesselAddress, number: RevisionNumber
) -> Response:
    """The same for ever."""
    parts = record_parts_of(request)
    text, etag = await in_thread(
        request, show_vessel, parts.records, caller, identifier(vessel, "vessel"), number
    )
    return record_answer(request, text, etag, cache=FOR_EVER)


class RevisionPairQuery(BaseModel):
    """Which two revisions; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    since: Revision | None = Field(
        default=None, alias="from", description="The one before; the one before `to` when absent."
    )
    to: Revision | None = Field(default=None, description="The one after; the latest when absent.")


@router.get(
    "/v1/vessels/{vessel}/comparison",
    summary="What changed between two revisions of a vessel's data",
    description="Tank by tank and row by row, as the documents were posted.",
    responses={200: answer_of(VesselComparison, READ), **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel_comparison(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[RevisionPairQuery, Query()]
) -> Response:
    """Nothing is computed: the documents alone are compared."""
    parts = record_parts_of(request)
    compared = await in_thread(
        request,
        compare_vessel_revisions,
        parts.records,
        caller,
        identifier(vessel, "vessel"),
        query.since,
        query.to,
    )
    return document_answer(compared)
