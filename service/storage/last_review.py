"""The review that decides the state of a condition's latest revision, beside its head in lists."""

from typing import Any

from sqlalchemy import Select, Table, func, select

from .review import REVIEWS
from .table import Record

_last, _same = REVIEWS.alias("last_review"), REVIEWS.alias("same")
COLUMNS = (
    _last.c.author_key.label("reviewer_key"),
    _last.c.author_name.label("reviewer_name"),
    _last.c.created.label("reviewed"),
    _last.c.note.label("review_note"),
)


class LastReview(Record):
    """Who reviewed the latest revision last, when and with which note; None while it is unreviewed."""

    reviewer_key: str | None = None
    reviewer_name: str | None = None
    reviewed: str | None = None
    review_note: str | None = None


def join_last_review(statement: Select[Any], conditions: Table) -> Select[Any]:
    """A statement about heads of conditions with `COLUMNS` of the last review of each head's revision."""
    at_head = (_same.c.condition == conditions.c.id) & (_same.c.revision == conditions.c.head_number)
    number = select(func.max(_same.c.number)).where(at_head).correlate(conditions).scalar_subquery()
    found = (
        (conditions.c.review_state != "unreviewed")
        & (_last.c.condition == conditions.c.id)
        & (_last.c.number == number)
    )
    return statement.add_columns(*COLUMNS).outerjoin_from(conditions, _last, found)
