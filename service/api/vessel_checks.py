"""GET /v1/vessels/{id}/check: places of a kept booklet to look up again."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.check_vessel import check_stored_vessel
from service.api.description.answers import answer_of, problems_of
from service.api.record_exchange import Revision, document_answer
from service.web.addresses import VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.vessel_check import VesselCheck

router = APIRouter(tags=["Vessels"])


class CheckQuery(BaseModel):
    """Query of a check; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    revision: Revision | None = Field(
        default=None, description="Revision of the vessel's data; the latest when absent."
    )


@router.get(
    "/v1/vessels/{vessel}/check",
    summary="Doubts about the tables of a vessel's booklet",
    description="Rows that do not fit their neighbours, tables that contradict one another. It refuses nothing.",
    responses={
        200: answer_of(VesselCheck, description="The doubts."),
        **problems_of(400, 401, 404, 429, 503),
    },
)
async def get_vessel_check(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[CheckQuery, Query()]
) -> Response:
    """In the order of the document."""
    parts = record_parts_of(request)
    check = await in_thread(
        request, check_stored_vessel, parts.records, caller, identifier(vessel, "vessel"), query.revision
    )
    return document_answer(check)
