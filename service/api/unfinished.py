"""GET PUT DELETE /v1/vessels/{id}/unfinished/{name}: conditions that are being typed."""

import re
from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from service.actions.keep_unfinished import (
    keep_unfinished,
    list_unfinished,
    remove_unfinished,
    show_unfinished,
)
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import IF_MATCH_UNFINISHED, READ, STATE_SET, UNCHANGED, headers_of
from service.api.record_exchange import (
    NO_QUERY,
    document_answer,
    made_answer,
    posted,
    record_answer,
    required_tags,
)
from service.web.accepted import JSON
from service.web.addresses import VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.refusal import Refusal
from service.wire.unfinished import (
    DAYS,
    MOST_BYTES,
    MOST_OF_A_VESSEL,
    NAME_PATTERN,
    UnfinishedCondition,
    UnfinishedList,
)

router = APIRouter(tags=["Unfinished conditions"], dependencies=[NO_QUERY])
PATH = "/v1/vessels/{vessel}/unfinished/{name}"
NameAddress = Annotated[
    str,
    Path(
        description="A name of your own choice: letters, digits, dots, hyphens and underscores.",
        max_length=64,
    ),
]


def _name(text: str) -> str:
    """A name of the form it may have. Raises Refusal."""
    if not re.fullmatch(NAME_PATTERN, text):
        raise Refusal("unknown_unfinished", "Nothing can be kept under such a name.")
    return text


@router.get(
    "/v1/vessels/{vessel}/unfinished",
    summary="What is being typed of a vessel",
    responses={200: answer_of(UnfinishedList, READ), **problems_of(401, 404, 429, 503)},
)
async def get_unfinished_list(request: Request, caller: WhoAsks, vessel: VesselAddress) -> Response:
    """The one written last first."""
    records = record_parts_of(request).records
    return document_answer(
        await in_thread(request, list_unfinished, records, caller, identifier(vessel, "vessel"))
    )


@router.get(
    PATH,
    summary="A condition that is being typed",
    responses={200: answer_of(UnfinishedCondition, READ), **UNCHANGED, **problems_of(401, 404, 429, 503)},
)
async def get_unfinished(
    request: Request, caller: WhoAsks, vessel: VesselAddress, name: NameAddress
) -> Response:
    """With the tag that the next write has to name."""
    records = record_parts_of(request).records
    place = identifier(vessel, "vessel"), _name(name)
    text, etag = await in_thread(request, show_unfinished, records, caller, *place)
    return record_answer(request, text, etag)


@router.put(
    PATH,
    summary="Keep what is being typed, complete or not",
    description="Any members of a condition, with objects, lists and single values where a condition has them; "
    "what the values say is not checked. No revision, no review, no line in "
    f"the feed. Written over, forgotten {DAYS} days after the last write, at most {MOST_OF_A_VESSEL} of a vessel and "
    f"{MOST_BYTES:,} bytes each. The first write needs no `If-Match`, each later one does.",
    responses={
        200: answer_of(UnfinishedCondition, STATE_SET),
        201: answer_of(UnfinishedCondition, STATE_SET),
        **problems_of(400, 401, 403, 404, 406, 409, 412, 413, 415, 422, 428, 429, 503),
    },
    openapi_extra=headers_of(IF_MATCH_UNFINISHED)
    | {
        "requestBody": {
            "required": True,
            "description": "The condition as far as it is typed.",
            "content": {JSON[0]: {"schema": {"type": "object", "additionalProperties": True}}},
        }
    },
)
async def put_unfinished(
    request: Request, caller: WhoAsks, vessel: VesselAddress, name: NameAddress
) -> Response:
    """Last write wins, as long as it has seen the one before."""
    caller.require("write_condition")
    place = identifier(vessel, "vessel"), _name(name)
    expected = required_tags(request) if "if-match" in request.headers else None
    document, _ = await posted(request)
    records = record_parts_of(request).records
    made, new = await in_thread(
        request, keep_unfinished, records, caller, *place, document, expected=expected
    )
    return made_answer(made, 201 if new else 200)


@router.delete(
    PATH,
    summary="Remove what was being typed",
    status_code=204,
    responses={204: {"description": "Removed."}, **problems_of(401, 403, 404, 412, 428, 429, 503)},
    openapi_extra=headers_of(IF_MATCH_UNFINISHED),
)
async def delete_unfinished(
    request: Request, caller: WhoAsks, vessel: VesselAddress, name: NameAddress
) -> Response:
    """In the state that `If-Match` names, where it names one."""
    place = identifier(vessel, "vessel"), _name(name)
    expected = required_tags(request) if "if-match" in request.headers else None
    records = record_parts_of(request).records
    await in_thread(request, remove_unfinished, records, caller, *place, expected=expected)
    return Response(status_code=204)
