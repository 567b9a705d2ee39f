"""POST /v1/conditions/{id}/copies: a new condition from one that is kept."""

from functools import partial

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.copy_condition import copied_condition
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import CREATED, IDEMPOTENCY_KEY, headers_of
from service.api.record_exchange import NO_QUERY, in_flight, made_answer, name_of, posted
from service.web.accepted import JSON
from service.web.addresses import ConditionAddress, identifier
from service.web.caller import WhoAsks
from service.web.change_condition import change_condition
from service.web.parts import record_parts_of
from service.wire.condition_record import ConditionRevision
from service.wire.copy import CopyRequest

router = APIRouter(tags=["Conditions"], dependencies=[NO_QUERY])


@router.post(
    "/v1/conditions/{condition}/copies",
    status_code=201,
    summary="A new condition from this one, or the arrival from this departure",
    description="Made of the latest revision, judged by the latest data of the vessel. With `consumables` fuel, diesel "
    "and lubricating oil, fresh water and stores are used up by so many percent, or as the plan of the condition says "
    "in so many days; a departure becomes an arrival, and the plan is left out. Id, reference and what was read aboard "
    "are not carried over.",
    responses={
        201: answer_of(ConditionRevision, CREATED),
        **problems_of(400, 401, 403, 404, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=headers_of(IDEMPOTENCY_KEY)
    | request_body(JSON, CopyRequest, "Its title, and what is used up."),
)
async def post_copy(request: Request, caller: WhoAsks, condition: ConditionAddress) -> Response:
    """Kept as every new condition is."""
    parts = record_parts_of(request)
    caller.require("write_condition")
    identifier(condition, "condition")
    document, body = await posted(request)
    wanted = CopyRequest.model_validate(document)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        make = partial(copied_condition, parts.records, parts.assessor, caller, condition, wanted)
        copied = await parts.slots.run(make)
        made = await change_condition(parts, caller, copied.draft, copied.reason, name)
    return made_answer(made, 201)
