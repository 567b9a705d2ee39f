"""Whether anything kept of a condition has changed since somebody looked: asked in one transaction, with one row."""

from typing import NamedTuple

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.storage import Visit


class ConditionMark(NamedTuple):
    """Id of a condition, and the digests that the chains of its revisions, reviews and states end with (None for an
    empty one). While it is the same, so is all that is kept of the condition: each digest is made of the one before."""

    condition: str
    revision: str
    review: str | None
    state: str | None


def mark_and_visit(records: Records, caller: Caller, id: str) -> tuple[ConditionMark, Visit | None]:
    """The mark of a condition, and the visit noted of the caller (see `last_visit`). Raises Refusal."""
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        visit = tx.visits.get(caller.key_id)
    return ConditionMark(id, head.head_digest, head.review_digest, head.state_digest), visit
