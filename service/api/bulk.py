"""POST /v1/vessels/{vessel}/conditions/bulk: many conditions kept in one stream."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from service.actions.keep_in_bulk import require_stored
from service.api.batch.stream import BatchAnswer
from service.api.description.answers import lines_of, problems_of, request_body
from service.api.record_exchange import ReasonQuery
from service.api.request_body import JSON_LINES, require_content_type
from service.running.bulk import BulkKeeper
from service.running.writer_queue import MOST_TOGETHER
from service.web.accepted import require_accepted
from service.web.addresses import VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.condition import Condition

router = APIRouter(tags=["Conditions"])
_LINE = {
    "anyOf": [{"$ref": f"#/components/schemas/{each}"} for each in ("BulkLine", "LineProblem", "StreamEnd")]
}


@router.post(
    "/v1/vessels/{vessel}/conditions/bulk",
    summary="Enter many conditions in one stream",
    description="One condition per line in, one answer per line out, in order, each after its commit. Every line has a "
    "`reference`: sent again by the same key, the same line enters nothing new and is answered with what it made "
    "(`replayed`); another condition under that reference is refused. So a stream that was cut off is sent again as a "
    "whole. Lines that are refused, and the last line, are those of a batch of assessments.",
    response_class=Response,
    responses={
        200: {
            "description": "What became of each line.",
            "content": {media_type: lines_of(_LINE) for media_type in JSON_LINES},
        },
        **problems_of(400, 401, 403, 404, 406, 413, 415, 429, 503),
    },
    openapi_extra=request_body(
        JSON_LINES, Condition, "One condition of hers per line, each with its `reference`."
    ),
)
async def post_conditions_bulk(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[ReasonQuery, Query()]
) -> Response:
    """An answer that reads the request's stream by itself, so that nothing of it is lost."""
    parts = record_parts_of(request)
    caller.require("write_condition")
    caller.require_vessel(identifier(vessel, "vessel"))
    media_type = require_content_type(request, JSON_LINES)
    require_accepted(request, JSON_LINES)
    await in_thread(request, require_stored, parts.records, vessel)
    keeper = BulkKeeper(
        records=parts.records,
        caller=caller,
        vessel=vessel,
        reason=query.reason,
        json_depth=parts.max_json_depth,
        assessor=parts.assessor.within(caller.vessels),
        workers=parts.workers,
        slots=parts.slots,
        writer_queue=parts.writer_queue,
        threads=parts.record_threads,
    )
    return BatchAnswer(
        keeper,
        parts.slots,
        parts.metrics,
        key=caller.key_id,
        detail="full",
        units=None,
        media_type=media_type,
        max_line_bytes=parts.max_line_bytes,
        chunk_lines=min(parts.batch_chunk_lines, MOST_TOGETHER),
    )
