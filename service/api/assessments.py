"""POST /v1/assessments and its batch: a loading condition in, every figure of it out, nothing stored."""

from functools import partial
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from service.actions.assess import AnswerLength
from service.api.batch.stream import BatchAnswer
from service.api.description.answers import answer_of, lines_of, parameters, problems_of, request_body
from service.api.direct_route import DirectRoute
from service.api.request_body import JSON_LINES, query_of, read_body, require_content_type
from service.running.line_assessor import PooledAssessor
from service.web.accepted import JSON, require_accepted
from service.web.addresses import MAX_POINT
from service.web.caller import WhoAsks, caller_of
from service.web.parts import parts_of
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.plan_point import PointAnswer
from service.wire.refusal import Refusal
from service.wire.request import AssessmentRequest, StoredConditionRequest

router = APIRouter(tags=["Assessments"])
direct = APIRouter(tags=["Assessments"], route_class=DirectRoute)


class AnswerQuery(BaseModel):
    """Query of an assessment; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    units: UnitSystem | None = Field(
        default=None, description="Units of the answer; the condition's own when absent."
    )


class AssessmentQuery(AnswerQuery):
    """Query of one assessment."""

    working: bool | Literal["compact"] = Field(
        default=False,
        description="`true`: the answer carries its `working`, every figure with the inputs it follows from, as nodes "
        "that close on themselves. `compact`: the same in a fifth of the size, every text once. Of a plan, ask for a "
        "`point` of it.",
    )
    curves: bool = Field(
        default=False,
        description="`true`: `strength` carries its curves along her length. Not with `working` or `point`.",
    )
    point: int | None = Field(
        default=None,
        ge=0,
        le=MAX_POINT,
        description="Number of a point of the plan: answered with `condition`, as it would be typed out there, and "
        "`assessment`. 0 is the condition itself.",
    )


class BatchQuery(AnswerQuery):
    """Query of a batch."""

    detail: AnswerLength = Field(
        default="full", description="`summary`: the verdict and the main figures of each condition only."
    )
    working: bool = Field(default=False, description="Refused here: the working is given for one condition.")


_LINE = {
    "anyOf": [
        {"$ref": f"#/components/schemas/{each}"}
        for each in ("Assessment", "AssessmentSummary", "LineProblem", "StreamEnd")
    ]
}


@direct.post(
    "/v1/assessments",
    summary="Assess a loading condition",
    description="Stateless: a vessel (her document, or the id of a stored one) and a condition give the "
    "assessment. Nothing is stored. A verdict of `pass` is no approval: the answer's `caution` says what stands "
    "above it.",
    responses={
        200: answer_of(
            Assessment | PointAnswer, description="The assessment; with `point`, that of a point."
        ),
        **problems_of(400, 401, 404, 406, 413, 415, 422, 429, 503),
    },
    openapi_extra=request_body(JSON, AssessmentRequest, "A vessel and a condition of hers.")
    | parameters(AssessmentQuery),
)
async def post_assessment(request: Request) -> Response:
    """The bytes that the assessor makes of the posted document.

    Caller and query are taken from the request by hand: as dependencies they cost as much as reading the document."""
    parts = parts_of(request)
    caller = await caller_of(request)
    query = query_of(request, AssessmentQuery)
    units, point, body = query.units, query.point, await read_body(request)
    assessor = parts.assessor.within(caller.vessels)
    if query.curves and (query.working or point is not None):
        raise Refusal(
            "query_members_exclude_each_other", "Ask for curves by themselves, without working or point."
        )
    if query.working and point is None:
        work = partial(assessor.worked_answer, body, units, compact=query.working == "compact")
        worked = await parts.slots.run(work, text=len(body))
        return Response(worked, media_type="application/json")
    if query.curves:
        work = partial(assessor.answer_with_curves, body, units)
        return Response(await parts.slots.run(work, text=len(body)), media_type="application/json")
    if point is not None:
        work = partial(assessor.answer_point, body, point, units, query.working)
        return Response(await parts.slots.run(work, text=len(body)), media_type="application/json")
    answer = await parts.slots.run_briefly(partial(assessor.answer_if_small, body, units))
    if answer is None:
        answer = await PooledAssessor(assessor, parts.workers, parts.slots).answer(body, units)
    return Response(answer, media_type="application/json")


@router.post(
    "/v1/assessments/batch",
    summary="Assess many loading conditions in one stream",
    description="One request document per line in, one answer per line out, in order and while the lines still "
    "come in, each with its number in `line` and the request's own `reference`. A line may name a stored condition "
    'instead, `{"condition_id": ...}`: it is judged by the present calculation and, unless the line says otherwise, '
    "by the vessel's data it was kept with. A line that is refused is answered with its own problem document; the rest "
    "goes on. The last line is "
    '`{"type": "end", "count": N, "failed": M, "complete": true}`: an answer without it was cut off. Blank lines are '
    "skipped. A batch of which 1,000 lines in a row are refused, or of which nothing comes for half a minute, is "
    "ended, with a problem document without `line` before the last one; so is one under way when the service stops "
    "(503, `not_ready`): send the rest again then.",
    response_class=Response,
    responses={
        200: {
            "description": "One assessment or problem per line.",
            "content": {media_type: lines_of(_LINE) for media_type in JSON_LINES},
        },
        **problems_of(400, 401, 406, 413, 415, 429, 503),
    },
    openapi_extra=request_body(
        JSON_LINES,
        (AssessmentRequest, StoredConditionRequest),
        "One vessel and condition, or one stored condition, per line.",
    ),
)
async def post_batch(request: Request, caller: WhoAsks, query: Annotated[BatchQuery, Query()]) -> Response:
    """An answer that reads the request's stream by itself, so that nothing of it is lost."""
    media_type = require_content_type(request, JSON_LINES)
    require_accepted(request, JSON_LINES)
    parts = parts_of(request)
    if query.working:
        raise Refusal("working_not_in_batch", "The working is given for one condition at a time.")
    return BatchAnswer(
        PooledAssessor(parts.assessor.within(caller.vessels), parts.workers, parts.slots),
        parts.slots,
        parts.metrics,
        key=caller.key_id,
        detail=query.detail,
        units=query.units,
        media_type=media_type,
        max_line_bytes=parts.max_line_bytes,
        chunk_lines=parts.batch_chunk_lines,
    )
