"""POST /v1/reassessments: kept conditions judged again, as a report."""

from functools import partial
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from service.actions.reassess import reassess_conditions
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, bad_cursor, limit_of, page_answer, position
from service.api.record_exchange import posted
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.web.parts import record_parts_of
from service.wire.reassessment import MAX_CONDITIONS, ReassessmentReport, ReassessmentRequest

router = APIRouter(tags=["Conditions"])


@router.post(
    "/v1/reassessments",
    summary="Judge stored conditions again",
    description="Those of one vessel or of the whole fleet: by other data of the vessel, by more rule sets, or by "
    "today's calculation. A report: every kept answer stays as it is. Where there is a `next`, post the same body "
    "there.",
    responses={
        200: answer_of(ReassessmentReport, READ),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, ReassessmentRequest, "Which conditions, and by what."),
)
async def post_reassessment(
    request: Request, caller: WhoAsks, query: Annotated[PageQuery, Query()]
) -> Response:
    """A page of the report."""
    parts = record_parts_of(request)
    document, _ = await posted(request)
    wanted = ReassessmentRequest.model_validate(document)
    page = query.model_copy(update={"limit": min(limit_of(request, query), MAX_CONDITIONS)})
    asked = wanted.model_dump_json()
    report = partial(
        reassess_conditions,
        parts.records,
        parts.assessor,
        caller,
        wanted,
        position=_place(position(request, query, asked)),
        limit=page.limit,
    )
    head, items, last = await parts.slots.run(report)
    return page_answer(request, page, items, f"{last[0]}/{last[1]}" if last else None, head, asked)


def _place(text: str | None) -> tuple[str, int] | None:
    if text is None:
        return None
    condition, _, number = text.partition("/")
    if not number.isdigit() or len(number) > 9:
        raise bad_cursor()
    return condition, int(number)
