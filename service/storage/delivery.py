"""The outbox of webhooks: one row for each webhook and change, written in the transaction of the change itself.

Senders take rows under a lease: whoever holds it sends, and when he is gone the lease runs out and another one sends.
So every change is sent at least once, under an id that stays the same, by which a receiver leaves out what comes twice.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import (
    BindParameter,
    CheckConstraint,
    Index,
    bindparam,
    delete,
    exists,
    func,
    insert,
    select,
    text,
    update,
)

from .lease import Leases, verdict_before
from .statements import Statements
from .table import Record, moment, new_id, table, whole
from .table import text as text_column
from .webhook import WEBHOOKS, Listener

EVENTS = {
    "condition_revision": "revision.kept",
    "vessel_revision": "vessel.revised",
    "review": "review.made",
    "state": "state.changed",
}
"""What a webhook calls each kind of line of the feed; a kind without a row is sent to nobody."""
VERDICT_CHANGED = "verdict.changed"
"""Derived: the revision that was kept has another verdict than the one before it."""

TEST = "test"
"""A message that tells of nothing: somebody wants to see whether it arrives."""


class Delivery(Record):
    """A message to a webhook: the line `change` of the feed, as an event of `type`. Of a test `change` is 0, `vessel`
    empty.

    `id` is the webhook-id of every attempt. `state`: waiting, delivered, or dead when nobody tries again.
    `next_attempt`: not before that. `lease_owner` and `lease_until`: who is sending it. `status` and `error`: of the
    last attempt, its HTTP status or why there was none. `previous_verdict`: beside an event verdict.changed.
    """

    id: str = text_column(primary_key=True)
    webhook: str = text_column(foreign_key="webhooks.id")
    change: int = whole()
    type: str = text_column()
    vessel: str = text_column()
    previous_verdict: str | None = text_column(default=None)
    created: str = moment()
    state: str = text_column()
    attempts: int = whole()
    next_attempt: str = moment()
    lease_owner: str | None = text_column(default=None)
    lease_until: str | None = moment(default=None)
    last_attempt: str | None = moment(default=None)
    status: int | None = whole(default=None)
    error: str | None = text_column(default=None)


class DeliveryTable(Delivery, table=True):
    __tablename__ = "webhook_deliveries"
    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'delivered', 'dead')", name="state"),
        Index(None, "webhook", "state", "next_attempt"),
        Index(None, "webhook", "id"),
        Index(None, "state", "created"),
        {"sqlite_strict": True},
    )


DELIVERIES = table(DeliveryTable)
_d = DELIVERIES.c
_ID: BindParameter[str] = bindparam("the_id")
_WEBHOOK: BindParameter[str] = bindparam("the_webhook")
_ADD = insert(DELIVERIES)
_LEASES = Leases(DELIVERIES, "delivered")
_WITH_DUE = select(WEBHOOKS.c.id).where(
    WEBHOOKS.c.state == "active", exists().where(_d.webhook == WEBHOOKS.c.id, _LEASES.is_due)
)
_OF_WEBHOOK = (
    select(DELIVERIES)
    .where(_d.webhook == _WEBHOOK, _LEASES.is_due)
    .order_by(_d.next_attempt, _d.id)
    .limit(bindparam("most"))
)
_NEXT = (
    select(_LEASES.first)
    .join_from(DELIVERIES, WEBHOOKS, WEBHOOKS.c.id == _d.webhook)
    .where(_LEASES.is_waiting, WEBHOOKS.c.state == "active")
)
_WAITING = select(func.count()).select_from(DELIVERIES).where(_d.state == "waiting")
_POSTGRESQL_CLOCK = text(
    "SELECT to_char(clock_timestamp() AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US\"Z\"')"
)


class DeliveryRepository:
    """Rows are added by the transaction that keeps changes, and taken by senders."""

    def __init__(self, statements: Statements, now: str, dialect: str) -> None:
        self._statements, self._now, self._dialect = statements, now, dialect

    def add_for(self, changes: Iterable[dict[str, Any]], listeners: Sequence[Listener]) -> None:
        """A row for every webhook that wants to be told of one of these lines of the feed, and may be."""
        for change in changes:
            type = EVENTS.get(change["event"])
            hearing = [listener for listener in listeners if listener.sees(change["vessel"])]
            if type is None or not hearing:
                continue
            before = self._verdict_before(change, hearing)
            for listener in hearing:
                wanted, about = (
                    listener.webhook.event_types,
                    {"change": change["id"], "vessel": change["vessel"]},
                )
                if type in wanted:
                    self._add(listener.webhook.id, type, **about)
                if before is not None and VERDICT_CHANGED in wanted:
                    self._add(listener.webhook.id, VERDICT_CHANGED, before=before, **about)

    def _verdict_before(self, change: dict[str, Any], hearing: Sequence[Listener]) -> str | None:
        """The verdict of the revision before, where it was another one and somebody wants to know."""
        if change["event"] != "condition_revision" or change["revision"] == 1:
            return None
        if not any(VERDICT_CHANGED in listener.webhook.event_types for listener in hearing):
            return None
        return verdict_before(self._statements, change)

    def add_test(self, webhook: str) -> Delivery:
        """A test, to be sent from now on."""
        return self._add(webhook, TEST)

    def _add(
        self, webhook: str, type: str, *, change: int = 0, vessel: str = "", before: str | None = None
    ) -> Delivery:
        row = Delivery(
            id=new_id(self._now),
            webhook=webhook,
            change=change,
            type=type,
            vessel=vessel,
            previous_verdict=before,
            created=self._now,
            state="waiting",
            attempts=0,
            next_attempt=self._now,
        )
        self._statements.add(_ADD, row.values())
        return row

    def clock(self) -> str:
        """The time that leases are counted by: the database's own, where several servers use it."""
        if self._dialect != "postgresql":
            return self._now
        return str(self._statements.execute(_POSTGRESQL_CLOCK).scalar_one())

    def with_due(self, clock: str) -> list[str]:
        """Ids of active webhooks that something is to be sent to at that time."""
        return list(self._statements.execute(_WITH_DUE, {"clock": clock}).scalars())

    def claim(self, webhook: str, owner: str, *, clock: str, until: str, most: int) -> list[Delivery]:
        """Take up to `most` messages that are due under a lease; those due longest first."""
        place = {"the_webhook": webhook, "clock": clock, "most": most}
        found = [Delivery.of(row) for row in self._statements.execute(_OF_WEBHOOK, place).mappings()]
        _LEASES.take(self._statements, [delivery.id for delivery in found], owner, until)
        return found

    def release(self, owner: str | None = None) -> None:
        """Give back the leases of a sender that stops; of all where nobody else can be sending."""
        _LEASES.release(self._statements, owner)

    def finish(self, id: str, owner: str, values: dict[str, Any]) -> bool:
        """Note how an attempt ended and give the lease back; False where the message is gone or delivered by now.

        A failure counts only while the lease is `owner`'s: another sender may have had more luck.
        """
        return _LEASES.finish(self._statements, [id], owner, values) == 1

    def list(
        self, webhook: str, *, state: str | None = None, before: str | None = None, limit: int = 100
    ) -> list[Delivery]:
        """Messages to a webhook, newest first; `before`: the last id of the page before."""
        statement = select(DELIVERIES).where(_d.webhook == webhook).order_by(_d.id.desc()).limit(limit)
        if state is not None:
            statement = statement.where(_d.state == state)
        if before is not None:
            statement = statement.where(_d.id < before)
        return [Delivery.of(row) for row in self._statements.execute(statement).mappings()]

    def again(self, webhook: str, ids: Sequence[str] | None) -> int:
        """Send messages again from now on, under their ids: those named, or all that are dead. How many."""
        place = (_d.webhook == webhook) & (_d.state != "waiting")
        place &= _d.state == "dead" if ids is None else _d.id.in_(ids)
        again = {"state": "waiting", "attempts": 0, "next_attempt": self._now}
        return self._statements.execute(update(DELIVERIES).where(place).values(again)).rowcount

    def next_attempt(self) -> str | None:
        """When the next message is due and under no lease, None where none waits."""
        found: str | None = self._statements.execute(_NEXT).scalar_one_or_none()
        return found

    def waiting(self) -> int:
        """How many messages wait."""
        return int(self._statements.execute(_WAITING).scalar_one())

    def delete_of(self, webhook: str) -> None:
        """Forget all messages to a webhook."""
        self._statements.execute(delete(DELIVERIES).where(_d.webhook == webhook))

    def purge(self, before: str) -> int:
        """Forget messages made before that time that nobody will send any more; how many."""
        return _LEASES.purge(self._statements, before)
