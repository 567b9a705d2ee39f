"""What requests about kept records bring, and how they are answered: tags, names of requests, identifiers."""

import hashlib
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Annotated, Any

from fastapi import Depends, Path, Request
from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.assess import SMALL_TEXT
from service.actions.once import Made, Once
from service.api.problems import RequestRefused
from service.api.request_body import JSON, read_body
from service.api.state import RecordState
from service.wire.fields import VESSEL_ID_PATTERN, Reason, UnitSystem
from service.wire.parse import parse_json

MERGE_PATCH = ("application/merge-patch+json",)
MAX_NAME = 255
FRESH = "private, no-cache"
FOR_EVER = "private, max-age=31536000, immutable"

_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e]*)"')
_NAME = re.compile(r'"?([\x21\x23-\x7e]{1,255})"?\Z')
_ID = re.compile(VESSEL_ID_PATTERN)

RevisionNumber = Annotated[int, Path(ge=1, le=2**31 - 1, description="Number of the revision.")]
Revision = Annotated[int, Field(ge=1, le=2**31 - 1)]


class UnitsQuery(BaseModel):
    """Query of a record; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    units: UnitSystem | None = Field(
        default=None, description="Units of the assessment; those it was made in when absent."
    )


class ReasonQuery(BaseModel):
    """Query of a change to a record; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    reason: Reason | None = Field(
        default=None,
        description="Why; kept with the revision. At most 500 characters, percent-encoded UTF-8.",
    )


async def refuse_query(request: Request) -> None:
    """For addresses that take no parameters."""
    if request.query_params:
        raise RequestRefused("invalid_query", "This address takes no query parameters.")


NO_QUERY = Depends(refuse_query)


def identifier(text: str, kind: str) -> str:
    """A part of an address that can be an id at all; anything else is simply not there."""
    if not _ID.fullmatch(text):
        raise RequestRefused(f"unknown_{kind}", f"There is no {kind} at this address.")
    return text


VesselAddress = Annotated[str, Path(description="Id of the vessel.", max_length=64)]
ConditionAddress = Annotated[str, Path(description="Id of the condition.", max_length=64)]


async def posted(request: Request, media_types: tuple[str, ...] = JSON) -> tuple[dict[str, Any], bytes]:
    """The posted document and its bytes."""
    state: RecordState = request.app.state
    body = await read_body(request, media_types)
    parse = partial(parse_json, body, max_depth=state.max_json_depth)
    return parse() if len(body) <= SMALL_TEXT else await state.slots.run(parse, text=len(body)), body


def required_tags(request: Request) -> frozenset[str]:
    """The tags a change names in If-Match. Raises `RequestRefused` without one (RFC 6585, section 3)."""
    given = ",".join(request.headers.getlist("if-match"))
    if not given.strip() or given.strip() == "*":
        raise RequestRefused(
            "precondition_required", "Name the state you have seen: send its `ETag` as `If-Match`."
        )
    return frozenset(tag for weak, tag in _tags(given) if not weak)


def is_known(request: Request, etag: str) -> bool:
    """Whether the sender has this state already (If-None-Match)."""
    given = ",".join(request.headers.getlist("if-none-match"))
    if not given:
        return False
    return given.strip() == "*" or any(tag == etag for _, tag in _tags(given))


def _tags(given: str) -> list[tuple[bool, str]]:
    return [(bool(weak), tag) for weak, tag in _TAG.findall(given)]


def name_of(request: Request, body: bytes) -> Once | None:
    """The sender's name for a POST that may be repeated, with the fingerprint of the request."""
    given = request.headers.getlist("idempotency-key")
    if not given:
        return None
    found = _NAME.match(given[0]) if len(given) == 1 else None
    if found is None:
        raise RequestRefused(
            "invalid_header", f"An Idempotency-Key has 1 to {MAX_NAME} visible ASCII characters."
        )
    url = request.url
    parts = (request.method.encode(), url.path.encode(), url.query.encode(), body)
    digest = hashlib.sha256(b"\0".join(parts)).hexdigest()
    return Once(found[1], digest)


@contextmanager
def in_flight(request: Request, caller: Caller, name: Once | None) -> Iterator[None]:
    """Refuse a repetition while the first request is still being answered by this process.

    Another process lets it wait for the first one's commit, and answers with what that one made.
    """
    state: RecordState = request.app.state
    if name is None:
        yield
        return
    mark = (caller.key_id, name.name)
    if mark in state.in_flight:
        raise RequestRefused(
            "idempotency_in_flight", "A request with this Idempotency-Key is being answered.", retry_after=1
        )
    state.in_flight.add(mark)
    try:
        yield
    finally:
        state.in_flight.discard(mark)


def record_answer(request: Request, text: str, etag: str, *, cache: str = FRESH) -> Response:
    """A kept record, or 304 for a sender who has it."""
    headers = {"ETag": f'"{etag}"', "Cache-Control": cache, "Vary": "Authorization"}
    if is_known(request, etag):
        return Response(status_code=304, headers=headers)
    return Response(text.encode("utf-8"), headers=headers, media_type="application/json")


def document_answer(document: Mapping[str, Any]) -> Response:
    """A document made for this answer."""
    headers = {"Cache-Control": FRESH, "Vary": "Authorization"}
    return Response(to_json(document), headers=headers, media_type="application/json")


def made_answer(made: Made, status: int) -> Response:
    """What a write made. The commit lies behind: whoever reads this can rely on it."""
    headers = {"ETag": f'"{made.etag}"', "Location": made.place, "Cache-Control": FRESH}
    if made.replayed:
        headers["Idempotency-Replayed"] = "true"
    return Response(made.body.encode("utf-8"), status, headers, "application/json")
