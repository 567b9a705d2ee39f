"""POST /v1/vcg-limits: the greatest VCG and the least GM by draft and trim."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.answers import answer_of, problems_of, request_body
from service.api.vessel_question import answer_question
from service.translation.vcg_limits import vcg_limits
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.wire.vcg_limit import VcgLimits, VcgLimitsRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/vcg-limits",
    summary="Greatest VCG and least GM by draft and trim",
    description="Stateless. For each draft and trim the greatest VCG of the fluid at which every criterion of the rule "
    "sets holds, her weight amidships; each criterion by itself as well. Not asked: load lines, grain and what else "
    "reads the loading.",
    responses={
        200: answer_of(VcgLimits, description="The limits."),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, VcgLimitsRequest, "A vessel, drafts and trims."),
)
async def post_vcg_limits(request: Request, caller: WhoAsks) -> Response:
    """Computed in its turn."""
    return await answer_question(request, caller, vcg_limits)
