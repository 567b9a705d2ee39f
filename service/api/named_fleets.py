"""Fleets, for administrators: named sets of ships that keys may have as their scope."""

import re
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from service.actions.named_fleets import list_named_fleets, set_named_fleet, show_named_fleet
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import IF_MATCH_FLEET, READ, STATE_SET, UNCHANGED, headers_of
from service.api.paging import PageQuery, limit_of, page_answer, position
from service.api.record_exchange import NO_QUERY, made_answer, posted, record_answer, required_tags
from service.web.accepted import JSON
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.fields import CHOSEN_ID_PATTERN
from service.wire.named_fleet import NamedFleet, NamedFleetList, NamedFleetRequest
from service.wire.refusal import Refusal

router = APIRouter(tags=["Fleets"])
FleetAddress = Annotated[
    str, Path(description="Id of the fleet: lower case, digits, hyphens.", max_length=64)
]


def _id(text: str) -> str:
    if not re.fullmatch(CHOSEN_ID_PATTERN, text):
        raise Refusal("unknown_fleet", "There is no fleet at this address, and none can be made here.")
    return text


@router.get(
    "/v1/fleets",
    summary="Fleets",
    responses={200: answer_of(NamedFleetList, READ), **problems_of(400, 401, 403, 429, 503)},
)
async def get_named_fleets(
    request: Request, caller: WhoAsks, query: Annotated[PageQuery, Query()]
) -> Response:
    """In the order of their ids."""
    items = await in_thread(
        request,
        list_named_fleets,
        record_parts_of(request).records,
        caller,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["id"] if items else None)


@router.get(
    "/v1/fleets/{fleet}",
    summary="One fleet",
    dependencies=[NO_QUERY],
    responses={
        200: answer_of(NamedFleet, READ),
        **UNCHANGED,
        **problems_of(400, 401, 403, 404, 429, 503),
    },
)
async def get_named_fleet(request: Request, caller: WhoAsks, fleet: FleetAddress) -> Response:
    """With the tag that the next change has to name."""
    records = record_parts_of(request).records
    caller.require("administer")
    text, etag = await in_thread(request, show_named_fleet, records, caller, _id(fleet))
    return record_answer(request, text, etag)


@router.put(
    "/v1/fleets/{fleet}",
    summary="Make a fleet, or set its name and ships",
    description="Keys that name it see its ships, those added now within a second, in every process. It is never "
    "deleted: without ships it shows none. A ship that a key comes to see is not told of anew in the feed.",
    dependencies=[NO_QUERY],
    responses={
        200: answer_of(NamedFleet, STATE_SET),
        201: answer_of(NamedFleet, STATE_SET),
        **problems_of(400, 401, 403, 404, 406, 412, 413, 415, 422, 428, 429, 503),
    },
    openapi_extra=headers_of(IF_MATCH_FLEET) | request_body(JSON, NamedFleetRequest, "The fleet, whole."),
)
async def put_named_fleet(request: Request, caller: WhoAsks, fleet: FleetAddress) -> Response:
    """Whole: ships that are not named leave it."""
    parts = record_parts_of(request)
    caller.require("administer")
    id = _id(fleet)
    expected = required_tags(request) if "if-match" in request.headers else None
    document, _ = await posted(request)
    wanted = NamedFleetRequest.model_validate(document)
    made, new = await in_thread(
        request, set_named_fleet, parts.records, parts.access, caller, id, wanted, expected=expected
    )
    return made_answer(made, 201 if new else 200)
