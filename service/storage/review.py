"""Reviews: a person's decision on one revision of a condition. Kept like revisions, in a chain of their
own.
"""

from sqlalchemy import (
    BindParameter,
    CheckConstraint,
    ForeignKeyConstraint,
    bindparam,
    column,
    insert,
    select,
    update,
)
from sqlalchemy import table as light_table

from .change import ChangeRepository
from .digest import FORM, digest
from .errors import NotFound, OwnRevision, Stale
from .statements import Statements
from .table import Record, moment, table, text, whole


class ReviewEntry(Record):
    """What a caller hands over. `decision`: accepted or returned."""

    decision: str = text()
    note: str | None = text(default=None)
    author_key: str = text()
    author_name: str = text()
    request_id: str | None = text(default=None)


class Review(ReviewEntry):
    """A kept review: the `number`-th of its condition, on `revision`, whose digest is `revision_digest`."""

    condition: str = text(primary_key=True)
    number: int = whole(primary_key=True)
    revision: int = whole()
    revision_digest: str = text()
    created: str = moment()
    form: int = whole()
    previous: str | None = text()
    digest: str = text()


class ReviewTable(Review, table=True):
    __tablename__ = "reviews"
    __table_args__ = (
        ForeignKeyConstraint(
            ["condition", "revision"], ["condition_revisions.condition", "condition_revisions.number"]
        ),
        CheckConstraint("decision IN ('accepted', 'returned')", name="decision"),
        {"sqlite_strict": True},
    )


REVIEWS = table(ReviewTable)

# The two tables of `condition`, named here by their columns because that module builds on this one.
_HEADS = light_table(
    "conditions", *map(column, ("id", "head_number", "reviews", "review_digest", "review_state"))
)
_REVISIONS = light_table(
    "condition_revisions", *map(column, ("condition", "number", "vessel", "digest", "author_key", "verdict"))
)
_ID: BindParameter[str] = bindparam("the_id")
_AT: BindParameter[int] = bindparam("the_number")
_REVISION = (
    select(
        *(_REVISIONS.c[name] for name in ("vessel", "digest", "author_key", "verdict")),
        *(_HEADS.c[name] for name in ("head_number", "reviews", "review_digest", "review_state")),
    )
    .join_from(_REVISIONS, _HEADS, _HEADS.c.id == _REVISIONS.c.condition)
    .where(_REVISIONS.c.condition == _ID, _REVISIONS.c.number == _AT)
)
_OF = select(REVIEWS).where(REVIEWS.c.condition == _ID).order_by(REVIEWS.c.number)
_APPEND = insert(REVIEWS)
_MOVE = (
    update(_HEADS)
    .where(_HEADS.c.id == _ID, _HEADS.c.reviews == bindparam("old_reviews"))
    .values({name: bindparam(f"new_{name}") for name in ("reviews", "review_digest", "review_state")})
)


class ReviewRepository:
    """Append and list. No method changes or removes a review."""

    def __init__(self, statements: Statements, now: str, changes: ChangeRepository) -> None:
        self._statements, self._now, self._changes = statements, now, changes

    def append(self, condition: str, revision: int, entry: ReviewEntry) -> Review:
        """A review of one revision; the last review decides its state.

        Raises NotFound, and OwnRevision when the reviewer's key wrote the revision.
        """
        found = self._statements.execute(
            _REVISION, {"the_id": condition, "the_number": revision}
        ).one_or_none()
        if found is None:
            raise NotFound("condition_revision", condition, revision)
        if found.author_key == entry.author_key:
            raise OwnRevision("a revision is reviewed by somebody other than its author")
        values = entry.values()
        values |= {"condition": condition, "number": found.reviews + 1, "revision": revision}
        values |= {"revision_digest": found.digest, "created": self._now}
        values |= {"form": FORM, "previous": found.review_digest}
        values["digest"] = digest("review", values)
        return self.keep(Review.of(values))

    def keep(self, review: Review) -> Review:
        """Store a finished review; called from outside only for a history that was checked.

        Raises NotFound, and Stale when it does not follow the last review.
        """
        place = {"the_id": review.condition, "the_number": review.revision}
        found = self._statements.execute(_REVISION, place).one_or_none()
        if found is None:
            raise NotFound("condition_revision", review.condition, review.revision)
        if review.previous != found.review_digest or review.number != found.reviews + 1:
            raise Stale("condition", review.condition)
        self._statements.add(_APPEND, review.values())
        head = {
            "the_id": review.condition,
            "old_reviews": found.reviews,
            "new_reviews": review.number,
            "new_review_digest": review.digest,
            "new_review_state": review.decision
            if review.revision == found.head_number
            else found.review_state,
        }
        if self._statements.execute(_MOVE, head).rowcount != 1:
            raise Stale("condition", review.condition)
        self._changes.record(
            "review",
            vessel=found.vessel,
            condition=review.condition,
            revision=review.revision,
            review=review.number,
            verdict=found.verdict,
            decision=review.decision,
            subject=review.digest,
        )
        return review

    def of(self, condition: str, revision: int | None = None) -> list[Review]:
        """The reviews of a condition, or of one of its revisions, in the order they were given."""
        statement = _OF if revision is None else _OF.where(REVIEWS.c.revision == revision)
        return [
            Review.of(row) for row in self._statements.execute(statement, {"the_id": condition}).mappings()
        ]
