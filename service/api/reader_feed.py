"""GET /feed: the latest changes as Atom for a person's reader, at an address of its own instead of a key.

Not among the resources of the API: programs show their key to `/v1/changes`.
"""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.access import on_behalf
from service.actions.notices.feed_address import caller_at
from service.api.changes import MOST_ENTRIES, atom_answer
from service.web.caller import in_thread, require_few_unknown_keys
from service.web.parts import record_parts_of
from service.wire.refusal import Refusal

router = APIRouter(include_in_schema=False)


@router.get("/feed")
async def get_feed(request: Request) -> Response:
    """What the key of the address may see. The secret stands in the query, which is not logged here."""
    parts = record_parts_of(request)
    token = request.query_params.get("address", "")[:200]
    try:
        caller = await in_thread(request, caller_at, parts.records, parts.access, token)
    except Refusal as refused:
        if refused.code == "unauthenticated":
            require_few_unknown_keys(request)
        raise
    request.state.key_id = caller.key_id
    address = request.client.host if request.client else None
    caller = on_behalf(caller, request.state.request_id, address)
    answer = await atom_answer(request, parts, caller, after=0, limit=MOST_ENTRIES)
    answer.headers["X-Robots-Tag"] = "noindex"
    return answer
