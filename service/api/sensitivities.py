"""POST /v1/sensitivities: what a little more or less in each tank does."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.answers import answer_of, problems_of, request_body
from service.api.vessel_question import answer_question
from service.translation.sensitivities import sensitivities
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.wire.sensitivity import Sensitivities, SensitivitiesRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/sensitivities",
    summary="What a little more or less in each tank does",
    description="Stateless. For each tank the change of GM, list, trim, drafts and margins for a tonne more in it, the "
    "whole change when it is pressed up or emptied, and for each criterion the tanks that help most.",
    responses={
        200: answer_of(Sensitivities, description="The changes."),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(
        JSON, SensitivitiesRequest, "A vessel, a condition of hers, what is asked for."
    ),
)
async def post_sensitivities(request: Request, caller: WhoAsks) -> Response:
    """Computed in its turn."""
    return await answer_question(request, caller, sensitivities)
