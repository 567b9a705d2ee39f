"""GET /v1/changes: the feed that office systems poll."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.show_fleet import list_changes
from service.api.description.answers import problems_of
from service.api.description.record_answers import READ
from service.api.record_exchange import document_answer
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.change import Changes

router = APIRouter(tags=["Changes"])


class ChangesQuery(BaseModel):
    """Query of the feed; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    after: Annotated[int, Field(ge=0, le=2**53)] = Field(
        default=0, description="Id of the last change that was taken; 0 for the beginning."
    )
    limit: Annotated[int, Field(ge=1, le=10_000)] = Field(
        default=100, description="Most items of an answer; capped by the installation."
    )


@router.get(
    "/v1/changes",
    summary="What was stored since",
    description="Every stored revision, review and state, oldest first, no gaps. Poll with the `after` of the last "
    "answer. Where `after` is beyond the end of the feed, as after a restored backup, the answer is 409 "
    "`feed_rewound`.",
    responses={200: {"model": Changes, **READ}, **problems_of(400, 401, 409, 429, 503)},
)
async def get_changes(request: Request, caller: WhoAsks, query: Annotated[ChangesQuery, Query()]) -> Response:
    """A smaller id never appears after a greater one was seen."""
    parts = record_parts_of(request)
    limit = min(query.limit, parts.max_page_size)
    return document_answer(
        await in_thread(request, list_changes, parts.records, caller, after=query.after, limit=limit)
    )
