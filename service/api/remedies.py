"""POST /v1/remedies: what would help."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.propose_remedy import remedies
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.vessel_question import answer_question
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.wire.remedy import Remedies, RemediesRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/remedies",
    summary="Fillings of tanks at which targets hold",
    description="Stateless. `single`: for each tank the least change at which every target and criterion holds. "
    "`shift`: the least mass moved among tanks; where nothing does, the targets that contradict one another. Each "
    "proposal comes with its whole assessment.",
    responses={
        200: answer_of(Remedies, description="What would help."),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 501, 503),
    },
    openapi_extra=request_body(JSON, RemediesRequest, "A vessel, a condition of hers, and what has to hold."),
)
async def post_remedies(request: Request, caller: WhoAsks) -> Response:
    """Computed in its turn."""
    return await answer_question(request, caller, remedies)
