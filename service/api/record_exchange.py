"""What requests about kept records bring, and how they are answered: tags, names of requests, identifiers."""

import hashlib
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Annotated, Any

from fastapi import Depends, Request
from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.assess import SMALL_TEXT
from service.actions.records.repeatable_request import RequestName, WriteResult
from service.api.request_body import read_body
from service.web.accepted import JSON
from service.web.parts import record_parts_of
from service.web.query_errors import unknown_parameters
from service.wire.fields import UnitSystem
from service.wire.parse import parse_json
from service.wire.refusal import Refusal
from service.wire.typed_reason import TypedReason

MERGE_PATCH = ("application/merge-patch+json",)
MAX_NAME = 255
FRESH = "private, no-cache"
FOR_EVER = "private, max-age=31536000, immutable"

_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e]*)"')
_NAME = re.compile(r'"?([\x21\x23-\x7e]{1,255})"?\Z')

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

    reason: TypedReason | None = Field(
        default=None,
        description="Why; kept with the revision. At most 500 characters, percent-encoded UTF-8.",
    )


async def refuse_query(request: Request) -> None:
    """For addresses that take no parameters."""
    if request.query_params:
        raise unknown_parameters(list(request.query_params))


NO_QUERY = Depends(refuse_query)


async def posted(request: Request, media_types: tuple[str, ...] = JSON) -> tuple[dict[str, Any], bytes]:
    """The posted document and its bytes."""
    parts = record_parts_of(request)
    body = await read_body(request, media_types)
    parse = partial(parse_json, body, max_depth=parts.max_json_depth)
    return parse() if len(body) <= SMALL_TEXT else await parts.slots.run(parse, text=len(body)), body


def required_tags(request: Request) -> frozenset[str]:
    """The tags a change names in If-Match. Raises `Refusal` without one (RFC 6585, section 3)."""
    given = ",".join(request.headers.getlist("if-match"))
    if not given.strip() or given.strip() == "*":
        raise Refusal("precondition_required", "Name the state you have seen: send its `ETag` as `If-Match`.")
    return frozenset(tag for weak, tag in _tags(given) if not weak)


def tags_if_any(request: Request) -> frozenset[str] | None:
    """The tags a change names where it need not name one."""
    given = ",".join(request.headers.getlist("if-match")).strip()
    return None if given in ("", "*") else required_tags(request)


def is_known(request: Request, etag: str) -> bool:
    """Whether the sender has this state already (If-None-Match)."""
    given = ",".join(request.headers.getlist("if-none-match"))
    if not given:
        return False
    return given.strip() == "*" or any(tag == etag for _, tag in _tags(given))


def _tags(given: str) -> list[tuple[bool, str]]:
    return [(bool(weak), tag) for weak, tag in _TAG.findall(given)]


def name_of(request: Request, body: bytes) -> RequestName | None:
    """The sender's name for a POST that may be repeated, with the fingerprint of the request."""
    given = request.headers.getlist("idempotency-key")
    if not given:
        return None
    found = _NAME.match(given[0]) if len(given) == 1 else None
    if found is None:
        raise Refusal("invalid_header", f"An Idempotency-Key has 1 to {MAX_NAME} visible ASCII characters.")
    url = request.url
    parts = (request.method.encode(), url.path.encode(), url.query.encode(), body)
    digest = hashlib.sha256(b"\0".join(parts)).hexdigest()
    return RequestName(found[1], digest)


@contextmanager
def in_flight(request: Request, caller: Caller, name: RequestName | None) -> Iterator[None]:
    """Refuse a repetition while the first request is still being answered by this process.

    Another process lets it wait for the first one's commit, and answers with what that one made.
    """
    parts = record_parts_of(request)
    if name is None:
        yield
        return
    mark = (caller.key_id, name.name)
    if mark in parts.in_flight:
        raise Refusal(
            "idempotency_in_flight", "A request with this Idempotency-Key is being answered.", retry_after=1
        )
    parts.in_flight.add(mark)
    try:
        yield
    finally:
        parts.in_flight.discard(mark)


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


def made_answer(made: WriteResult, status: int) -> Response:
    """What a write made. The commit lies behind: whoever reads this can rely on it."""
    headers = {
        "ETag": f'"{made.etag}"',
        "Location": made.address,
        "Cache-Control": FRESH,
        "Vary": "Authorization",
    }
    if made.shows is not None:
        headers["Content-Location"] = made.shows
    if made.replayed:
        headers["Idempotency-Replayed"] = "true"
    return Response(made.body.encode("utf-8"), status, headers, "application/json")
