"""Review a kept revision: accepted, or returned to its author. Reviews are kept like revisions, never changed."""

from typing import cast

from pydantic_core import to_json

from service.actions.access import Caller
from service.actions.records.audit_note import write_audit_line
from service.actions.records.repeatable_request import RequestName, WriteResult, answer_once
from service.actions.records.transactions import Records
from service.actions.set_state import append_state
from service.storage import Review, ReviewEntry
from service.wire import review as wire
from service.wire.problem import error
from service.wire.record import ReviewState
from service.wire.refusal import Refusal


def review_condition(
    records: Records,
    caller: Caller,
    id: str,
    number: int,
    request: wire.ReviewRequest,
    *,
    name: RequestName | None = None,
) -> WriteResult:
    """Keep a review of one revision. Raises Refusal (own_revision) for its author.

    With `in_force` the condition takes force in the same transaction."""
    caller.require("review")
    if request.in_force and request.decision != "accepted":
        wrong = [error(("in_force",), "not_accepted", "What is returned does not take force.")]
        raise Refusal("invalid_request", "Only an accepted condition takes force.", wrong)
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
            if request.in_force and number != tx.conditions.get(id).head_number:
                raise Refusal("conflict", "A later revision is there: she cannot sail with this one.")
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
            if request.in_force:
                append_state(tx, caller, tx.conditions.get(id), "in_force", request.note)
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
