"""What changed since the last accepted revision, as the condition page tells it."""

from collections.abc import Sequence

from service.actions.access import Caller
from service.actions.compare_conditions import compare_revisions
from service.pages.change_in_words import Letter, letter_of
from service.pages.page import PageParts
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fields import UnitSystem


def earlier_revision(number: int, history: Sequence[ConditionHistoryLine]) -> int | None:
    """The last accepted revision before `number`, else the one just before it; None for the first."""
    before = [line for line in history if line["revision"] < number]
    accepted = [line["revision"] for line in before if line["review_state"] == "accepted"]
    return max(accepted) if accepted else max((line["revision"] for line in before), default=None)


def what_changed(
    parts: PageParts,
    caller: Caller,
    condition: str,
    number: int,
    history: Sequence[ConditionHistoryLine],
    units: UnitSystem,
) -> Letter | None:
    """None for a first revision."""
    since = earlier_revision(number, history)
    if since is None:
        return None
    lines = {line["revision"]: line for line in history}
    key = (lines[since]["digest"], lines[since]["review_state"], condition, number, units)

    def made() -> Letter:
        """From the two kept revisions."""
        compared = compare_revisions(
            parts.records, parts.assessor, caller, condition, since, number, units=units
        )
        return letter_of(compared)

    return parts.pages.pieces.value(("letter", *key), made)
