"""POST /v1/uncertainty: how sure the figures of a condition are."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.answers import answer_of, problems_of, request_body
from service.api.record_exchange import refuse_query
from service.api.request_body import read_body
from service.running.sampling import Sampler
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.web.parts import parts_of
from service.wire.uncertainty import Uncertainty, UncertaintyRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/uncertainty",
    summary="How sure the figures of a condition are",
    description="Stateless. The condition is assessed many times with what is uncertain varied by the deviations typed "
    "in; the same seed gives the same samples.",
    responses={
        200: answer_of(Uncertainty, description="Figures, margins and probabilities over the samples."),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, UncertaintyRequest, "A vessel, a condition, and what is uncertain."),
)
async def post_uncertainty(request: Request, caller: WhoAsks) -> Response:
    """Computed by worker processes."""
    parts = parts_of(request)
    await refuse_query(request)
    body = await read_body(request)
    sampler = Sampler(parts.assessor.within(caller.vessels), parts.workers, parts.slots)
    return Response(await sampler.answer(body), media_type="application/json")
