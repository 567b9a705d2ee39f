"""Choice between the paragraphs of one document. No document: only how the choice is told."""

from collections.abc import Sequence

from .limit import CONDITION, FAIL, NOT_APPLICABLE, PASS, Criterion


def standing(rows: Sequence[Criterion]) -> int:
    """0 where every row is met, 1 where one could not be judged, 2 where one is not met, 3 where none applies.

    Source: definition."""
    verdicts = {criterion.verdict for criterion in rows} - {NOT_APPLICABLE}
    if not verdicts:
        return 3
    return 2 if FAIL in verdicts else 0 if verdicts == {PASS} else 1


def not_chosen(rows: Sequence[Criterion], reason: str) -> list[Criterion]:
    """Rows of a paragraph that another stands instead of; a row that does not apply anyway keeps its own reason.

    Source: definition."""
    return [
        row
        if row.verdict == NOT_APPLICABLE
        else row._replace(verdict=NOT_APPLICABLE, reason=reason, because=CONDITION)
        for row in rows
    ]


def better_of(
    first: tuple[str, Sequence[Criterion]], second: tuple[str, Sequence[Criterion]]
) -> list[Criterion]:
    """The rows of the paragraph that stands better as judged, the first where both stand alike, and those of the other
    as not chosen; each paragraph with its name. Source: definition."""
    (one, rows), (two, others) = first, second
    if standing(rows) <= standing(others):
        return [*rows, *not_chosen(others, f"{one} chosen{_why(rows)}")]
    return [*not_chosen(rows, f"{two} chosen{_why(others)}"), *others]


def _why(rows: Sequence[Criterion]) -> str:
    return ": it is met" if standing(rows) == 0 else ": the other is not met" if standing(rows) == 1 else ""
