"""Review a kept revision: accepted, or returned to its author. Reviews are kept like revisions, never changed."""

from typing import cast

from pydantic_core import to_json

from service.actions.access import Caller
from service.actions.records.audit_note import write_audit_line
from service.actions.records.repeatable_request import RequestName, WriteResult, answer_once
from service.actions.records.transactions import Records
from service.storage import Review, ReviewEntry
from service.wire import review as wire
from service.wire.record import ReviewState


def review_condition(
    records: Records,
    caller: Caller,
    id: str,
    number: int,
    request: wire.ReviewRequest,
    *,
    name: RequestName | None = None,
) -> WriteResult:
    """Keep a review of one revision. Raises Refusal (own_revision) for its author."""
    caller.require("review")
    entry = ReviewEntry(
        decision=request.decision,
        note=request.note,
        author_key=caller.key_id,
        author_name=caller.name,
        request_id=caller.request_id,
    )
    with records.writing() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")

        def make() -> WriteResult:
            kept = tx.reviews.append(id, number, entry)
            write_audit_line(
                tx,
                caller,
                "review_condition",
                201,
                reason=request.decision,
                vessel=head.vessel,
                condition=id,
                revision=number,
                digest_before=head.review_digest,
                digest_after=kept.digest,
            )
            place = f"/v1/conditions/{id}/revisions/{number}/reviews"
            return WriteResult(to_json(_wire_review(kept)).decode(), place, kept.digest)

        return answer_once(tx, caller, name, make)


def list_reviews(records: Records, caller: Caller, id: str, number: int) -> wire.ReviewList:
    """The reviews of one revision, in the order they were given."""
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        tx.conditions.revision(id, number)
        found = tx.reviews.of(id, number)
    state = cast(ReviewState, found[-1].decision if found else "unreviewed")
    return {
        "condition": id,
        "revision": number,
        "review_state": state,
        "items": [_wire_review(review) for review in found],
    }


def _wire_review(review: Review) -> wire.Review:
    return {
        "condition": review.condition,
        "number": review.number,
        "revision": review.revision,
        "revision_digest": review.revision_digest,
        "decision": cast(wire.Decision, review.decision),
        "note": review.note,
        "author": {"key": review.author_key, "name": review.author_name},
        "created": review.created,
        "digest": review.digest,
        "previous_digest": review.previous,
    }
