"""The feed of changes: one line for every kept revision, review and state, numbered without a gap in the order of
commits.

Numbers are given under the lock of writers, so that a reader who has seen number n will never see a smaller
one appear later. Each line holds the digest of the line before it (see `digest`).
"""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import bindparam, insert, select

from .digest import FORM, STATE_CHANGE_FORM, digest
from .errors import NotFound
from .statements import Statements
from .table import Record, moment, table, text, whole


class Change(Record):
    """One line of the feed.

    `event`: vessel_revision, condition_revision, review or state. `condition` is None for what concerns a vessel alone;
    `review` is the number of the review among those of its condition. `verdict` is that of a condition's
    revision (also beside its review or state), `decision` that of a review, `state` the new state and `state_number`
    its number among those of the condition, or of the vessel. `subject` is the digest of the revision, review or state.
    """

    id: int = whole(primary_key=True)
    created: str = moment()
    event: str = text()
    vessel: str = text()
    condition: str | None = text()
    revision: int = whole()
    review: int | None = whole()
    verdict: str | None = text()
    decision: str | None = text()
    subject: str = text()
    form: int = whole()
    previous: str | None = text()
    digest: str = text()
    state: str | None = text(default=None)
    state_number: int | None = whole(default=None)


class ChangeTable(Change, table=True):
    __tablename__ = "changes"
    __table_args__ = ({"sqlite_strict": True},)


CHANGES = table(ChangeTable)
ChangeTable.__table__.c.id.autoincrement = False  # type: ignore[attr-defined]


@dataclass(frozen=True, slots=True)
class Head:
    """An exported head: the number and digest of one line of the feed, and its time. Keep it elsewhere (see
    `digest`).

    `rows_id` and `rows_digest`: the same of the chain of `row_digest`, where `verify` gives them; 0 and None elsewhere.
    """

    id: int
    digest: str
    created: str
    rows_id: int = field(default=0, compare=False)
    rows_digest: str | None = field(default=None, compare=False)


_LAST = select(CHANGES.c.id, CHANGES.c.digest, CHANGES.c.created).order_by(CHANGES.c.id.desc()).limit(1)
_AFTER = (
    select(CHANGES).where(CHANGES.c.id > bindparam("after")).order_by(CHANGES.c.id).limit(bindparam("limit"))
)
_LATEST = select(CHANGES).order_by(CHANGES.c.id.desc()).limit(bindparam("limit"))
_ONE = select(CHANGES).where(CHANGES.c.id == bindparam("the_id"))
_APPEND = insert(CHANGES)


class ChangeRepository:
    """`record` is called by the other repositories alone."""

    def __init__(self, statements: Statements, now: str, last: tuple[int, str | None]) -> None:
        """`last`: number and digest of the last line; nobody else writes before a writing transaction ends."""
        self._statements, self._now, self._last = statements, now, last
        self.recorded: list[dict[str, Any]] = []
        """The lines of this transaction."""

    def record(
        self,
        event: str,
        *,
        vessel: str,
        revision: int,
        subject: str,
        condition: str | None = None,
        review: int | None = None,
        verdict: str | None = None,
        decision: str | None = None,
        state: str | None = None,
        state_number: int | None = None,
    ) -> None:
        """Append a line. The transaction must be a writing one."""
        last, previous = self._last
        values: dict[str, Any] = {
            "id": last + 1,
            "created": self._now,
            "event": event,
            "vessel": vessel,
            "condition": condition,
            "revision": revision,
            "review": review,
            "verdict": verdict,
            "decision": decision,
            "subject": subject,
            "form": FORM if state is None else STATE_CHANGE_FORM,
            "previous": previous,
            "state": state,
            "state_number": state_number,
        }
        values["digest"] = digest("change", values)
        self._last = values["id"], values["digest"]
        self._statements.add(_APPEND, values)
        self.recorded.append(values)

    def head(self) -> Head | None:
        """The last line, None while nothing was kept. Exported, it is what `verify` can be run against."""
        row = self._statements.execute(_LAST).one_or_none()
        return Head(*row) if row else None

    def get(self, id: int) -> Change:
        """One line. Raises NotFound."""
        row = self._statements.execute(_ONE, {"the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("change", str(id))
        return Change.of(row)

    def latest(self, limit: int, vessels: Collection[str] | None = None) -> list[Change]:
        """The last `limit` lines, newest first; of `vessels` only, when given."""
        statement = _LATEST if vessels is None else _LATEST.where(CHANGES.c.vessel.in_(vessels))
        rows = self._statements.execute(statement, {"limit": limit})
        return [Change.of(row) for row in rows.mappings()]

    def after(self, id: int = 0, limit: int = 100, vessels: Collection[str] | None = None) -> list[Change]:
        """Up to `limit` lines with numbers greater than `id`, in order; of `vessels` only, when given.

        A caller that sees all vessels finds no number missing.
        """
        statement = _AFTER if vessels is None else _AFTER.where(CHANGES.c.vessel.in_(vessels))
        rows = self._statements.execute(statement, {"after": id, "limit": limit})
        return [Change.of(row) for row in rows.mappings()]
