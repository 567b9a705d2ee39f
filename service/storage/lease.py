"""Leases of the rows of an outbox: whoever holds one sends, and when he is gone it runs out and another one sends.

An outbox has the columns id, state (waiting until nobody sends any more), created, next_attempt, lease_owner and
lease_until.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import BindParameter, Table, bindparam, case, delete, func, or_, select, update
from sqlalchemy import table as light_table
from sqlalchemy.sql import column

from .statements import Statements

_REVISIONS = light_table("condition_revisions", *map(column, ("condition", "number", "verdict")))
_VERDICT_BEFORE = select(_REVISIONS.c.verdict).where(
    _REVISIONS.c.condition == bindparam("the_condition"), _REVISIONS.c.number == bindparam("the_number")
)


def verdict_before(statements: Statements, change: dict[str, Any]) -> str | None:
    """The verdict of the revision before the one that a line of the feed tells of, where it was another one."""
    place = {"the_condition": change["condition"], "the_number": change["revision"] - 1}
    before: str | None = statements.execute(_VERDICT_BEFORE, place).scalar_one_or_none()
    return None if before == change["verdict"] else before


class Leases:
    """Those of one outbox. `sent`: the state of a row that arrived."""

    def __init__(self, outbox: Table, sent: str) -> None:
        self._outbox, self._sent = outbox, sent
        c = outbox.c
        clock: BindParameter[str] = bindparam("clock", type_=c.created.type)
        free = or_(c.lease_until.is_(None), c.lease_until <= clock)
        self.is_waiting = c.state == "waiting"
        self.is_due = self.is_waiting & (c.next_attempt <= clock) & free
        """Waits, at the time `clock`, for whoever takes it."""
        self.first = func.min(case((c.lease_until > c.next_attempt, c.lease_until), else_=c.next_attempt))
        """When the first row is due and under no lease."""
        self._release = (
            update(outbox)
            .where(self.is_waiting, c.lease_owner.is_not(None))
            .values(lease_owner=None, lease_until=None)
        )

    def take(self, statements: Statements, ids: Sequence[str], owner: str, until: str) -> None:
        """Let `owner` have these rows until then."""
        if ids:
            lease = {"lease_owner": owner, "lease_until": until}
            statements.execute(update(self._outbox).where(self._outbox.c.id.in_(ids)).values(lease))

    def finish(self, statements: Statements, ids: Sequence[str], owner: str, values: dict[str, Any]) -> int:
        """Note how an attempt ended and give the leases back; how many rows still waited.

        A failure counts only while the lease is `owner`'s: another sender may have had more luck."""
        place = self._outbox.c.id.in_(ids) & self.is_waiting
        if values.get("state") != self._sent:
            place &= self._outbox.c.lease_owner == owner
        ended = {**values, "lease_owner": None, "lease_until": None}
        return statements.execute(update(self._outbox).where(place).values(ended)).rowcount

    def release(self, statements: Statements, owner: str | None) -> None:
        """Give back the leases of a sender that stops; of all where nobody else can be sending."""
        of_owner = self._release.where(self._outbox.c.lease_owner == owner)
        statements.execute(self._release if owner is None else of_owner)

    def purge(self, statements: Statements, before: str) -> int:
        """Forget rows made before that time that nobody will send any more; how many."""
        gone = delete(self._outbox).where(~self.is_waiting, self._outbox.c.created < before)
        return statements.execute(gone).rowcount
