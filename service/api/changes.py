"""GET /v1/changes: the feed that office systems poll or wait for, and people's readers read."""

import asyncio
import time
from contextlib import suppress
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.news import latest_news
from service.actions.records.transactions import moment_text
from service.actions.show_fleet import list_changes
from service.api.atom import ATOM, atom_feed
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.record_exchange import document_answer, is_known
from service.web.accepted import JSON, preferred
from service.web.caller import WhoAsks, in_thread
from service.web.parts import RecordParts, record_parts_of
from service.web.query_errors import wrong_parameter
from service.wire.change import Changes
from service.wire.refusal import Refusal

router = APIRouter(tags=["Changes"])
MOST_SECONDS = 25
SECONDS_BETWEEN_LOOKS = 0.1
"""Where every change wakes one who may see none of them."""
MOST_ENTRIES = 100


class ChangesQuery(BaseModel):
    """Query of the feed; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    after: Annotated[int, Field(ge=0, le=2**53)] = Field(
        default=0, description="Id of the last change that was taken; 0 for the beginning."
    )
    limit: Annotated[int, Field(ge=1, le=10_000)] = Field(
        default=100, description="Most items of an answer; capped by the installation."
    )
    wait: Annotated[int, Field(ge=0, le=MOST_SECONDS)] = Field(
        default=0,
        description="Seconds to wait where there is nothing after `after` yet: answered as soon as something comes, "
        "and empty when nothing did. A key may wait 8 times at once. Not with Atom.",
    )


@router.get(
    "/v1/changes",
    summary="What was stored since",
    description="Every stored revision, review and state, oldest first, no gaps. Ask again with the `after` of the "
    "last answer, with `wait` as often as you like. Where `after` is beyond the end of the feed, as after a restored "
    "backup, the answer is 409 `feed_rewound`.\n\n"
    f"`Accept: {ATOM}`: the latest changes for a person's reader, newest first, at most {MOST_ENTRIES} (RFC 4287). It "
    "may ask once a second, and is told what it knows by `ETag`.",
    responses={
        200: answer_of(Changes, READ, {"content": {ATOM: {"schema": {"type": "string"}}}}),
        304: {"description": "The reader has the feed already."},
        **problems_of(400, 401, 409, 429, 503),
    },
)
async def get_changes(request: Request, caller: WhoAsks, query: Annotated[ChangesQuery, Query()]) -> Response:
    """A smaller id never appears after a greater one was seen."""
    parts = record_parts_of(request)
    if preferred(request, (*JSON, ATOM)) == ATOM:
        return await _atom(request, parts, caller, query)
    limit = min(query.limit, parts.max_page_size)
    if not query.wait:
        return document_answer(await _changes(request, parts, caller, query.after, limit))
    with parts.changes.place(caller.key_id):
        return document_answer(await _waited_for(request, parts, caller, query, limit))


async def _changes(request: Request, parts: RecordParts, caller: Caller, after: int, limit: int) -> Changes:
    return await in_thread(request, list_changes, parts.records, caller, after=after, limit=limit)


async def _waited_for(
    request: Request, parts: RecordParts, caller: Caller, query: ChangesQuery, limit: int
) -> Changes:
    """What comes within the time asked for; nothing where nothing comes, the sender goes, or the server ends."""
    until = time.monotonic() + query.wait
    gone = asyncio.create_task(_until_gone(request))
    try:
        while True:
            version = parts.changes.version
            found = await _changes(request, parts, caller, query.after, limit)
            left = until - time.monotonic()
            if found["items"] or left <= 0:
                return found
            waiting = asyncio.create_task(parts.changes.wait(version, left))
            await asyncio.wait((waiting, gone), return_when=asyncio.FIRST_COMPLETED)
            if gone.done() or not await waiting:
                waiting.cancel()
                return found
            await asyncio.sleep(SECONDS_BETWEEN_LOOKS if caller.vessels is not None else 0)
    finally:
        gone.cancel()


async def _until_gone(request: Request) -> None:
    """Until the sender closes the connection."""
    with suppress(Refusal):
        while (await request.receive())["type"] != "http.disconnect":
            pass


async def _atom(request: Request, parts: RecordParts, caller: Caller, query: ChangesQuery) -> Response:
    if query.wait:
        raise wrong_parameter(
            "wait", "not_with_atom", "A reader of Atom asks now and then; it does not wait."
        )
    allowed, fields = parts.reader_rate.take(caller.key_id)
    if not allowed:
        wait = int(fields["Retry-After"])
        raise Refusal("rate_limited", "An Atom feed is read once a second at most.", retry_after=wait)
    limit = min(query.limit, parts.max_page_size, MOST_ENTRIES)
    first, news = await in_thread(request, latest_news, parts.records, caller, after=query.after, limit=limit)
    moment = moment_text(datetime.now(UTC)) or ""
    etag = f"{news[0].change['digest'] if news else 'empty'}.{limit}.{query.after}.{len(news)}"
    headers = {"ETag": f'W/"{etag}"', "Cache-Control": "private, no-cache", "Vary": "Accept, Authorization"}
    if is_known(request, etag):
        return Response(status_code=304, headers=headers)
    base = str(request.base_url).rstrip("/")
    return Response(atom_feed(news, first, moment, base), headers=headers, media_type=f"{ATOM};charset=utf-8")
