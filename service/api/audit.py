"""GET /v1/audit: which key wrote what, for administrators."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.show_audit import list_audit
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, limit_of, number_position, page_answer
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.audit import AuditLog
from service.wire.fields import VesselId

router = APIRouter(tags=["Keys"])


class AuditQuery(PageQuery):
    """Query of the log."""

    vessel: VesselId | None = Field(default=None, description="Id of a vessel.")
    key: VesselId | None = Field(default=None, description="Id of a key.")


@router.get(
    "/v1/audit",
    summary="Which key wrote what, when and from where",
    responses={200: answer_of(AuditLog, READ), **problems_of(400, 401, 403, 429, 503)},
)
async def get_audit(request: Request, caller: WhoAsks, query: Annotated[AuditQuery, Query()]) -> Response:
    """Newest first."""
    parts = record_parts_of(request)
    items = await in_thread(
        request,
        list_audit,
        parts.records,
        caller,
        vessel=query.vessel,
        key=query.key,
        before=number_position(request, query),
        limit=limit_of(request, query),
    )
    return page_answer(request, query, items, items[-1]["id"] if items else None)
