"""Loading conditions and their revisions: what was posted, what was answered, by whom and by which method."""

from collections.abc import Collection

from sqlalchemy import (
    BindParameter,
    CheckConstraint,
    ForeignKeyConstraint,
    Index,
    bindparam,
    case,
    func,
    insert,
    select,
    tuple_,
    update,
)
from sqlalchemy import text as sql

from .change import CHANGES, ChangeRepository
from .condition_figures import ConditionFigures, FleetFigures
from .condition_filter import EVERY, Filter
from .condition_records import (
    Condition,
    ConditionEntry,
    ConditionHistoryLine,
    ConditionRevision,
    ConditionRevisionLine,
    TextFacts,
)
from .digest import CONDITION_FORM, SINCE_FORM_2, digest
from .errors import NotFound, Stale
from .last_review import LastReview, join_last_review
from .reference import reference_of
from .review import REVIEWS
from .sorting import Sorting
from .statements import Statements
from .table import new_id, table
from .vessel import VESSEL_REVISIONS

IN_FORCE = sql("state = 'in_force'")
_VERDICT = CheckConstraint("verdict IN ('pass', 'fail', 'incomplete')", name="verdict")


class ConditionRevisionTable(ConditionRevision, table=True):
    __tablename__ = "condition_revisions"
    __table_args__ = (
        ForeignKeyConstraint(
            ["vessel", "vessel_revision"], ["vessel_revisions.vessel", "vessel_revisions.number"]
        ),
        _VERDICT,
        {"sqlite_strict": True},
    )


SHOWN = tuple(FleetFigures.model_fields)


class ListedCondition(Condition, LastReview):
    """A condition in a list, with the last review of its head."""


class ConditionTable(Condition, table=True):
    __tablename__ = "conditions"
    __table_args__ = (
        CheckConstraint("review_state IN ('unreviewed', 'accepted', 'returned')", name="review_state"),
        Index(None, "vessel", "state", "updated", "id"),
        Index(None, "vessel", "state", "verdict", "review_state"),
        Index(None, "state", "created", "id"),
        Index(
            "uq_conditions_in_force", "vessel", unique=True, sqlite_where=IN_FORCE, postgresql_where=IN_FORCE
        ),
        Index(None, "verdict", "created", "id"),
        Index(None, "review_state", "created", "id"),
        Index(None, "updated", "id"),
        Index(None, "created", "id"),
        Index(None, "vessel", "created", "id"),
        Index(None, "reference", "id"),
        Index(None, "title", "id"),
        Index(None, "voyage", "id"),
        Index(None, "author_name", "id"),
        Index(None, "author_key", "id"),
        {"sqlite_strict": True},
    )


CONDITIONS = table(ConditionTable)
CONDITION_REVISIONS = table(ConditionRevisionTable)

_ID: BindParameter[str] = bindparam("the_id")
_AT: BindParameter[int] = bindparam("the_number")
FOLLOWS = [
    *("title", "phase", "voyage", "verdict", "smallest_margin", "smallest_margin_criterion", "displacement"),
    *("gm_corrected", "vessel_revision", "calculation_version", "author_key", "author_name"),
]
_MOVED = ["updated", "head_number", "head_digest", "review_state", *FOLLOWS, "figures_number", "reference"]
_MOVED += [*SINCE_FORM_2, *SHOWN, "shown_number"]
_LINE = [CONDITION_REVISIONS.c[name] for name in ConditionRevisionLine.model_fields]
LAST_DECISION = (
    select(REVIEWS.c.decision)
    .where(
        REVIEWS.c.condition == CONDITION_REVISIONS.c.condition,
        REVIEWS.c.revision == CONDITION_REVISIONS.c.number,
    )
    .order_by(REVIEWS.c.number.desc())
    .limit(1)
    .correlate(CONDITION_REVISIONS)
    .scalar_subquery()
)
_CURRENT = CONDITIONS.c.figures_number == CONDITIONS.c.head_number
HEAD_FIGURES = {
    name: case((_CURRENT, CONDITIONS.c[name]), else_=None).label(name)
    for name in (*SINCE_FORM_2, "reference")
} | {
    name: case((CONDITIONS.c.shown_number == CONDITIONS.c.head_number, CONDITIONS.c[name]), else_=None).label(
        name
    )
    for name in SHOWN
}
"""Dangers, margins, reference, ports and drafts of the head, null where they belong to a revision before it."""
_HEADS = select(*(HEAD_FIGURES.get(name, CONDITIONS.c[name]) for name in Condition.model_fields))
_LISTED = join_last_review(_HEADS, CONDITIONS)
_TAKEN = select(CONDITIONS.c.id).where(CONDITIONS.c.id == _ID)
_GET = _HEADS.where(CONDITIONS.c.id == _ID)
_ONE = select(CONDITION_REVISIONS).where(
    CONDITION_REVISIONS.c.condition == _ID, CONDITION_REVISIONS.c.number == _AT
)
_LATEST = (
    select(CONDITION_REVISIONS)
    .join(
        CONDITIONS,
        (CONDITIONS.c.id == CONDITION_REVISIONS.c.condition)
        & (CONDITIONS.c.head_number == CONDITION_REVISIONS.c.number),
    )
    .where(CONDITIONS.c.id == _ID)
)
_HISTORY = (
    select(*_LINE, func.coalesce(LAST_DECISION, "unreviewed").label("review_state"))
    .where(CONDITION_REVISIONS.c.condition == _ID)
    .order_by(CONDITION_REVISIONS.c.number.desc())
)
_VESSEL_DIGEST = select(VESSEL_REVISIONS.c.digest).where(
    VESSEL_REVISIONS.c.vessel == _ID, VESSEL_REVISIONS.c.number == _AT
)
_BEFORE = (
    select(CONDITIONS.c.vessel, CONDITIONS.c.head_number, CONDITIONS.c.head_digest, VESSEL_REVISIONS.c.digest)
    .join_from(
        CONDITIONS,
        VESSEL_REVISIONS,
        (VESSEL_REVISIONS.c.vessel == CONDITIONS.c.vessel) & (VESSEL_REVISIONS.c.number == _AT),
        isouter=True,
    )
    .where(CONDITIONS.c.id == _ID)
)
_ENTERED = select(CONDITIONS.c.created, CONDITIONS.c.id).where(CONDITIONS.c.id == bindparam("the_last"))
_CREATE, _APPEND = insert(CONDITIONS), insert(CONDITION_REVISIONS)
_CREATED = {"reviews": 0, "review_digest": None, "state": "worked_on", "states": 0, "state_digest": None}
_MOVE = (
    update(CONDITIONS)
    .where(CONDITIONS.c.id == _ID, CONDITIONS.c.head_digest == bindparam("the_digest"))
    .values({name: bindparam(f"new_{name}") for name in _MOVED})
)

_NAMED = (CHANGES.c.condition == CONDITION_REVISIONS.c.condition) & (
    CHANGES.c.revision == CONDITION_REVISIONS.c.number
)
_IN_FEED = (
    select(*(CONDITION_REVISIONS.c[name] for name in ("condition", "number", *SINCE_FORM_2)))
    .join_from(CHANGES, CONDITION_REVISIONS, _NAMED)
    .where(CHANGES.c.id > bindparam("after"), CHANGES.c.id <= bindparam("last"))
)


class ConditionRepository:
    """Append, get, history, list. No method changes or removes a revision."""

    def __init__(self, statements: Statements, now: str, changes: ChangeRepository) -> None:
        self._statements, self._now, self._changes = statements, now, changes
        self._vessel_digests: dict[tuple[str, int], str] = {}

    def create(
        self,
        vessel: str,
        entry: ConditionEntry,
        *,
        id: str | None = None,
        shown: FleetFigures | None = None,
        facts: TextFacts | None = None,
    ) -> ConditionRevision:
        """A new condition of `vessel` with revision 1; `id` when it is chosen by somebody (Conflict when it is taken).
        facts: of the entry's texts, where they are known. Raises NotFound for an unknown revision of the vessel.
        """
        facts = facts or TextFacts.of(entry.document, entry.assessment)
        digest = self._vessel_digest(vessel, entry.vessel_revision)
        revision = self._revision(entry, facts, id or new_id(self._now), 1, None, vessel, digest)
        return self._store(revision, shown, facts.reference)

    def append(
        self,
        id: str,
        entry: ConditionEntry,
        *,
        expected: str,
        shown: FleetFigures | None = None,
        facts: TextFacts | None = None,
    ) -> ConditionRevision:
        """The next revision. `expected` is the digest of the head the writer has seen.

        Raises NotFound (also for an unknown revision of the vessel), and Stale when the head is another one.
        """
        place = {"the_id": id, "the_number": entry.vessel_revision}
        before = self._statements.execute(_BEFORE, place).one_or_none()
        if before is None:
            raise NotFound("condition", id)
        vessel, number, digest, vessel_digest = before
        if digest != expected:
            raise Stale("condition", id, number, digest)
        if vessel_digest is None:
            raise NotFound("vessel_revision", vessel, entry.vessel_revision)
        facts = facts or TextFacts.of(entry.document, entry.assessment)
        revision = self._revision(entry, facts, id, number + 1, digest, vessel, vessel_digest)
        return self._store(revision, shown, facts.reference)

    def keep(self, revision: ConditionRevision) -> ConditionRevision:
        """Store a finished revision of a history that was checked as the new head. What the fleet shows of it is filled
        in later (see `FleetFiguresRepository`).

        Raises Stale when it does not follow the head, Conflict when it is a first revision of a known
        condition.
        """
        return self._store(revision, None, reference_of(revision.document))

    def _store(
        self, revision: ConditionRevision, shown: FleetFigures | None, reference: str | None
    ) -> ConditionRevision:
        """A finished revision as the new head."""
        head = {name: getattr(revision, name) for name in (*FOLLOWS, *SINCE_FORM_2)} | {
            "figures_number": revision.number,
            "updated": revision.created,
            "head_number": revision.number,
            "head_digest": revision.digest,
            "review_state": "unreviewed",
            "reference": reference,
            **(shown or FleetFigures()).values(),
            "shown_number": None if shown is None else revision.number,
        }
        if revision.number == 1:
            first = {"id": revision.condition, "vessel": revision.vessel, "created": revision.created}
            self._statements.add(_CREATE, first | head | _CREATED)
        else:
            place = {"the_id": revision.condition, "the_digest": revision.previous}
            moved = self._statements.execute(
                _MOVE, place | {f"new_{name}": value for name, value in head.items()}
            )
            if moved.rowcount != 1:
                raise Stale("condition", revision.condition)
        self._statements.add(_APPEND, revision.values())
        self._changes.record(
            "condition_revision",
            vessel=revision.vessel,
            condition=revision.condition,
            revision=revision.number,
            verdict=revision.verdict,
            subject=revision.digest,
        )
        return revision

    def is_taken(self, id: str) -> bool:
        """Whether there is a condition of that id."""
        return self._statements.execute(_TAKEN, {"the_id": id}).first() is not None

    def taken(self, ids: Collection[str]) -> set[str]:
        """Those of the ids that conditions have."""
        return set(
            self._statements.execute(select(CONDITIONS.c.id).where(CONDITIONS.c.id.in_(ids))).scalars()
        )

    def get(self, id: str) -> Condition:
        """The condition with the head of its revisions. Raises NotFound."""
        row = self._statements.execute(_GET, {"the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("condition", id)
        return Condition.of(row)

    def revision(self, id: str, number: int | None = None) -> ConditionRevision:
        """One revision with its texts, the latest when `number` is None. Raises NotFound."""
        if number is None:
            found = self._statements.execute(_LATEST, {"the_id": id})
        else:
            found = self._statements.execute(_ONE, {"the_id": id, "the_number": number})
        row = found.mappings().one_or_none()
        if row is None:
            raise NotFound("condition" if number is None else "condition_revision", id, number)
        return ConditionRevision.of(row)

    def history(self, id: str, *, before: int | None = None, limit: int = 100) -> list[ConditionHistoryLine]:
        """Revisions without texts, newest first; `before` is the last number of the page before.

        Empty for an unknown condition.
        """
        statement = _HISTORY if before is None else _HISTORY.where(CONDITION_REVISIONS.c.number < before)
        rows = self._statements.execute(statement.limit(limit), {"the_id": id})
        return [ConditionHistoryLine.of(row) for row in rows.mappings()]

    def list(
        self,
        wanted: Filter = EVERY,
        *,
        before: str | None = None,
        limit: int = 100,
        sorting: Sorting | None = None,
    ) -> list[ListedCondition]:
        """Conditions, the one created last first; `before` is the last id of the page before. `sorting`: in another
        order, `before` not counted."""
        c = CONDITIONS.c
        if sorting is not None:
            ordered = sorting.apply(wanted.apply(_LISTED, CONDITIONS), CONDITIONS).limit(limit)
            return [ListedCondition.of(row) for row in self._statements.execute(ordered).mappings()]
        statement = wanted.apply(_LISTED, CONDITIONS).order_by(c.created.desc(), c.id.desc()).limit(limit)
        if before is not None:
            last = self._statements.execute(_ENTERED, {"the_last": before}).one_or_none()
            if last is None:
                return []
            statement = statement.where(tuple_(c.created, c.id) < tuple_(*last))
        return [ListedCondition.of(row) for row in self._statements.execute(statement).mappings()]

    def count(self, wanted: Filter = EVERY) -> tuple[int, int]:
        """How many conditions there are, and how many revisions of them."""
        sums = select(func.count(), func.coalesce(func.sum(CONDITIONS.c.head_number), 0))
        conditions, revisions = self._statements.execute(wanted.apply(sums, CONDITIONS)).one()
        return int(conditions), int(revisions)

    def figures_in_feed(self, after: int, last: int) -> dict[tuple[str, int], ConditionFigures]:
        """Dangers and margins of the revisions that the feed names from line `after` + 1 to `last` (also by a review),
        by condition and number.
        """
        found = self._statements.execute(_IN_FEED, {"after": after, "last": last})
        return {
            (row.condition, row.number): ConditionFigures.of({n: row._mapping[n] for n in SINCE_FORM_2})
            for row in found
        }

    def lines(self, revisions: Collection[tuple[str, int]]) -> dict[tuple[str, int], ConditionRevisionLine]:
        """Revisions without texts, by condition and number; those that are not kept are missing."""
        c = CONDITION_REVISIONS.c
        rows = self._statements.execute(select(*_LINE).where(tuple_(c.condition, c.number).in_(revisions)))
        return {(row["condition"], row["number"]): ConditionRevisionLine.of(row) for row in rows.mappings()}

    def _vessel_digest(self, vessel: str, number: int) -> str:
        """Of a kept revision, which never changes."""
        known = self._vessel_digests.get((vessel, number))
        if known is None:
            pinned = {"the_id": vessel, "the_number": number}
            known = self._statements.execute(_VESSEL_DIGEST, pinned).scalar_one_or_none()
            if known is None:
                raise NotFound("vessel_revision", vessel, number)
            self._vessel_digests[vessel, number] = known
        return known

    def _revision(
        self,
        entry: ConditionEntry,
        facts: TextFacts,
        id: str,
        number: int,
        previous: str | None,
        vessel: str,
        vessel_digest: str,
    ) -> ConditionRevision:
        values = entry.values()
        values |= {"condition": id, "number": number, "vessel": vessel, "vessel_digest": vessel_digest}
        values |= {"created": self._now, "form": CONDITION_FORM, "previous": previous}
        values["digest"] = digest("condition_revision", values, facts._asdict())
        return ConditionRevision.of(values)
