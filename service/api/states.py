"""States of conditions and vessels: which condition she sails with, what is put aside or withdrawn."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.set_state import (
    set_condition_state,
    set_vessel_state,
    show_condition_state,
    show_vessel_state,
)
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import (
    IDEMPOTENCY_KEY,
    IF_MATCH_OPTIONAL,
    IF_MATCH_STATE,
    READ,
    STATE_SET,
    UNCHANGED,
    headers_of,
)
from service.api.record_exchange import (
    NO_QUERY,
    in_flight,
    made_answer,
    name_of,
    posted,
    record_answer,
    required_tags,
    tags_if_any,
)
from service.web.accepted import JSON
from service.web.addresses import ConditionAddress, VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.state import (
    ConditionStateRecord,
    ConditionStateRequest,
    VesselStateRecord,
    VesselStateRequest,
)

router = APIRouter(tags=["States"], dependencies=[NO_QUERY])
_REFUSALS = problems_of(400, 401, 403, 404, 406, 409, 412, 413, 415, 422, 428, 429, 503)


@router.get(
    "/v1/conditions/{condition}/state",
    summary="The state of a condition",
    responses={200: answer_of(ConditionStateRecord, READ), **UNCHANGED, **problems_of(401, 404, 429, 503)},
)
async def get_condition_state(request: Request, caller: WhoAsks, condition: ConditionAddress) -> Response:
    """With the events that set it."""
    records = record_parts_of(request).records
    text, etag = await in_thread(
        request, show_condition_state, records, caller, identifier(condition, "condition")
    )
    return record_answer(request, text, etag)


@router.put(
    "/v1/conditions/{condition}/state",
    summary="Take a condition in force, put it aside, withdraw it, or work on it again",
    description="Kept for ever as an event, in the feed too. At most one condition of a vessel is in force: taking "
    "force puts the former one aside. The ship and a reviewer may.",
    responses={200: answer_of(ConditionStateRecord, STATE_SET), **_REFUSALS},
    openapi_extra=headers_of(IF_MATCH_STATE, IDEMPOTENCY_KEY)
    | request_body(JSON, ConditionStateRequest, "The new state."),
)
async def put_condition_state(request: Request, caller: WhoAsks, condition: ConditionAddress) -> Response:
    """Compared with revision and state."""
    caller.require("set_state")
    identifier(condition, "condition")
    expected = required_tags(request)
    document, body = await posted(request)
    wanted = ConditionStateRequest.model_validate(document)
    name = name_of(request, body)
    records = record_parts_of(request).records
    with in_flight(request, caller, name):
        made = await in_thread(
            request, set_condition_state, records, caller, condition, wanted, expected=expected, name=name
        )
    return made_answer(made, 200)


@router.get(
    "/v1/vessels/{vessel}/state",
    summary="The state of a vessel",
    responses={200: answer_of(VesselStateRecord, READ), **UNCHANGED, **problems_of(401, 404, 429, 503)},
)
async def get_vessel_state(request: Request, caller: WhoAsks, vessel: VesselAddress) -> Response:
    """With the events that set it."""
    records = record_parts_of(request).records
    text, etag = await in_thread(request, show_vessel_state, records, caller, identifier(vessel, "vessel"))
    return record_answer(request, text, etag)


@router.put(
    "/v1/vessels/{vessel}/state",
    summary="Withdraw a vessel, or make her active again",
    description="A withdrawn vessel and her conditions leave fleet and lists unless they are asked for with `state`. "
    "Nothing is deleted: her address and those of her conditions answer as before. An IMO number belongs to one active "
    "vessel. An administrator may.",
    responses={200: answer_of(VesselStateRecord, STATE_SET), **_REFUSALS},
    openapi_extra=headers_of(IF_MATCH_OPTIONAL, IDEMPOTENCY_KEY)
    | request_body(JSON, VesselStateRequest, "The new state."),
)
async def put_vessel_state(request: Request, caller: WhoAsks, vessel: VesselAddress) -> Response:
    """Compared with her revision where a tag is named."""
    caller.require("add_vessel")
    identifier(vessel, "vessel")
    expected = tags_if_any(request)
    document, body = await posted(request)
    wanted = VesselStateRequest.model_validate(document)
    name = name_of(request, body)
    records = record_parts_of(request).records
    with in_flight(request, caller, name):
        made = await in_thread(
            request, set_vessel_state, records, caller, vessel, wanted, expected=expected, name=name
        )
    return made_answer(made, 200)
