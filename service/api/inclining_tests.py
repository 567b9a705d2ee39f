"""POST /v1/inclining-tests: GM by weights moved across her, and the lightship that follows."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.answers import answer_of, problems_of, request_body
from service.api.vessel_question import answer_question
from service.translation.inclining import inclining
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.wire.inclining import Inclining, IncliningRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/inclining-tests",
    summary="GM and lightship by an inclining test",
    description="Stateless. Displacement and trim by the drafts observed, GM by the slope of one line through all "
    "readings, the lightship by taking off what the condition lists. The vessel's own lightship is not used.",
    responses={
        200: answer_of(Inclining, description="The test."),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, IncliningRequest, "A vessel, what is aboard, and the readings."),
)
async def post_inclining_test(request: Request, caller: WhoAsks) -> Response:
    """Computed in its turn."""
    return await answer_question(request, caller, inclining)
