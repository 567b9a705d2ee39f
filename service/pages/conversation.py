"""What was said about a revision: its reviews, and the words of whoever returned the revisions before it."""

from collections.abc import Sequence

from service.actions.access import Caller
from service.actions.review_condition import list_reviews
from service.pages.page import PageParts
from service.wire.condition_record import ConditionHistoryLine
from service.wire.review import Review

MOST_BEFORE = 2


def said_about(
    parts: PageParts, caller: Caller, line: ConditionHistoryLine, history: Sequence[ConditionHistoryLine]
) -> list[Review]:
    """In the order it was said: the last words on up to two returned revisions right before this one, which it answers,
    then all reviews of its own. Nothing is read where there is nothing."""
    condition, number = line["condition"], line["revision"]
    before: list[ConditionHistoryLine] = []
    for earlier in (h for h in history if h["revision"] < number):
        if earlier["review_state"] == "accepted" or len(before) == MOST_BEFORE:
            break
        if earlier["review_state"] == "returned":
            before.append(earlier)
    found = [
        list_reviews(parts.records, caller, condition, earlier["revision"])["items"][-1]
        for earlier in reversed(before)
    ]
    if line["review_state"] != "unreviewed":
        found += list_reviews(parts.records, caller, condition, number)["items"]
    return found
