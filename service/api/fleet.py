"""GET /v1/fleet: every vessel with the condition she sails with."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.list_files import FLEET
from service.actions.show_condition import record_units
from service.actions.show_fleet import list_fleet
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import READ
from service.api.paging import PageQuery, limit_of, list_answer, position
from service.api.table_files import LIST_CONTENT
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.fields import UnitSystem
from service.wire.fleet import Fleet
from service.wire.record import ReviewState, Verdict
from service.wire.state import VesselState

router = APIRouter(tags=["Fleet"])


class FleetQuery(PageQuery):
    """Query of the fleet."""

    verdict: Verdict | None = Field(default=None, description="Of the condition shown.")
    review_state: ReviewState | None = Field(default=None, description="Of the condition shown.")
    state: VesselState = Field(default="active", description="Withdrawn vessels are listed when asked for.")
    units: UnitSystem = Field(default="metric", description="Units of the figures.")


@router.get(
    "/v1/fleet",
    summary="Every vessel with the condition she sails with",
    description="Where none is in force, the one being worked on that was changed last.",
    responses={200: answer_of(Fleet, READ, LIST_CONTENT), **problems_of(400, 401, 406, 429, 503)},
)
async def get_fleet(request: Request, caller: WhoAsks, query: Annotated[FleetQuery, Query()]) -> Response:
    """With verdict, dangers, margins, review state and age."""
    parts = record_parts_of(request)
    as_of, items = await in_thread(
        request,
        list_fleet,
        parts.records,
        caller,
        verdict=query.verdict,
        review_state=query.review_state,
        state=query.state,
        units=query.units,
        after=position(request, query),
        limit=limit_of(request, query),
    )
    members = {"as_of": as_of, "units": record_units(query.units)}
    return await list_answer(request, query, items, items[-1]["vessel"] if items else None, FLEET, members)
