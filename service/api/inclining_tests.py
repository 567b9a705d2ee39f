"""POST /v1/inclining-tests: GM by weights moved across her, and the lightship that follows."""

from functools import partial

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.api.description.answers import problems_of, request_body
from service.api.request_body import query_of, read_body
from service.api.vcg_limits import NoQuery
from service.translation.inclining import inclining
from service.web.accepted import JSON
from service.web.caller import WhoAsks
from service.web.parts import parts_of
from service.wire.inclining import Inclining, IncliningRequest

router = APIRouter(tags=["Assessments"])


@router.post(
    "/v1/inclining-tests",
    summary="GM and lightship by an inclining test",
    description="Stateless. Displacement and trim by the drafts observed, GM by the slope of one line through all "
    "readings, the lightship by taking off what the condition lists. The vessel's own lightship is not used.",
    responses={
        200: {"model": Inclining, "description": "The test."},
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, IncliningRequest, "A vessel, what is aboard, and the readings."),
)
async def post_inclining_test(request: Request, caller: WhoAsks) -> Response:
    """Computed in a thread, as any request that takes its time."""
    query_of(request, NoQuery)
    parts, body = parts_of(request), await read_body(request)
    work = partial(parts.assessor.within(caller.vessels).answer_about_vessel, body, inclining)
    return Response(await parts.slots.run(work, text=len(body)), media_type="application/json")
