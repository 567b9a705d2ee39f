"""Reviews of one revision of a condition."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.review_condition import list_reviews, review_condition
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import CREATED, IDEMPOTENCY_KEY, READ, headers_of
from service.api.record_exchange import NO_QUERY, document_answer, in_flight, made_answer, name_of, posted
from service.web.accepted import JSON
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.review import Review, ReviewList, ReviewRequest

router = APIRouter(tags=["Reviews"], dependencies=[NO_QUERY])
PATH = "/v1/conditions/{condition}/revisions/{number}/reviews"


@router.get(
    PATH,
    summary="Reviews of a revision",
    responses={200: answer_of(ReviewList, READ), **problems_of(400, 401, 404, 429, 503)},
)
async def get_reviews(
    request: Request, caller: WhoAsks, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """In the order they were given; the last one decides."""
    parts = record_parts_of(request)
    return document_answer(
        await in_thread(
            request, list_reviews, parts.records, caller, identifier(condition, "condition"), number
        )
    )


@router.post(
    PATH,
    status_code=201,
    summary="Accept a revision or return it",
    description="Never by the revision's own author. A later revision is unreviewed again.",
    responses={
        201: answer_of(Review, CREATED),
        **problems_of(400, 401, 403, 404, 406, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=headers_of(IDEMPOTENCY_KEY) | request_body(JSON, ReviewRequest, "The decision."),
)
async def post_review(
    request: Request, caller: WhoAsks, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Kept for ever beside the revision."""
    parts = record_parts_of(request)
    caller.require("review")
    identifier(condition, "condition")
    document, body = await posted(request)
    review = ReviewRequest.model_validate(document)
    name = name_of(request, body)
    with in_flight(request, caller, name):
        made = await in_thread(
            request, review_condition, parts.records, caller, condition, number, review, name=name
        )
    return made_answer(made, 201)
