"""GET /v1/conditions/{id}/revisions/{n}/points/{p}: one point of the plan of a kept condition."""

from functools import partial
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.show_point import show_point
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.record_exchange import (
    UnitsQuery,
    document_answer,
)
from service.web.addresses import ConditionAddress, PointNumber, RevisionNumber, identifier
from service.web.caller import WhoAsks
from service.web.parts import record_parts_of
from service.wire.plan_point import PointAnswer

router = APIRouter(tags=["Conditions"])


class PointQuery(UnitsQuery):
    """Query of one point."""

    working: bool | Literal["compact"] = Field(
        default=False,
        description="`true`: the assessment carries its `working`, as nodes; `compact`: in a fifth of the size. What "
        "they say was typed in the condition stands in `condition`.",
    )


@router.get(
    "/v1/conditions/{condition}/revisions/{number}/points/{point}",
    summary="One point of the plan of a condition",
    description="The condition as it would be typed out at that point, and its assessment, worked out by the vessel's "
    "data that the revision was judged by and today's calculation.",
    responses={200: answer_of(PointAnswer, READ), **problems_of(400, 401, 404, 422, 429, 503)},
)
async def get_point(
    request: Request,
    caller: WhoAsks,
    condition: ConditionAddress,
    number: RevisionNumber,
    point: PointNumber,
    query: Annotated[PointQuery, Query()],
) -> Response:
    """Computed for this answer, as a request to assess is."""
    parts = record_parts_of(request)
    show = partial(
        show_point,
        parts.records,
        parts.assessor,
        caller,
        identifier(condition, "condition"),
        number,
        point,
        query.units,
        query.working,
    )
    return document_answer(await parts.slots.run(show))
