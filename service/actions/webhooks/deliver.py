"""Messages to webhooks: taken from the outbox under a lease, made, and what became of them noted.

Sending itself is not here: between taking and noting lies no transaction.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from pydantic_core import to_json

from service.actions.records.transactions import Records
from service.actions.show_fleet import feed_line
from service.actions.webhooks.signature import signatures
from service.storage import TEST, Delivery, Listener, Transaction, Webhook, as_text, later, now
from service.storage import NotFound as NoSuchRow
from service.wire.webhook import TEST_MESSAGE, Event, TestEvent

FIRST_WAIT: Final = 5.0
WAITS: Final = (FIRST_WAIT, 300, 1800, 7200, 18_000, 36_000, 50_400, 72_000, 86_400)
"""Seconds from each failed attempt to the next: ten attempts in three days (Standard Webhooks, "Retry schedule")."""
MOST_ATTEMPTS: Final = len(WAITS) + 1
JITTER: Final = 0.1
GONE: Final = 410
UNREACHABLE_DAYS: Final = 5
DAYS_REMEMBERED: Final = 30
MOST_BYTES: Final = 20_000
"""Of a body: it names what changed, and holds no document (Standard Webhooks, "Payload size")."""


@dataclass(frozen=True, slots=True)
class Message:
    """A delivery to be sent."""

    delivery: Delivery
    webhook: Webhook
    body: bytes


@dataclass(frozen=True, slots=True)
class Outcome:
    """How an attempt ended: with an HTTP status, or with why there is none."""

    delivery: Delivery
    status: int | None
    error: str | None = None

    @property
    def succeeded(self) -> bool:
        """Whether the receiver has it."""
        return self.status is not None and 200 <= self.status < 300


@dataclass(frozen=True)
class Sender:
    """Who sends: `name` stands in the leases. `first_wait`: seconds to a second attempt; later waits grow with it."""

    name: str
    lease_seconds: float
    first_wait: float = FIRST_WAIT

    def wait_after(self, attempts: int) -> float:
        """Seconds to the next attempt; a little by chance, so that not all come at once."""
        planned = WAITS[attempts - 1] * self.first_wait / FIRST_WAIT
        return planned * random.uniform(1 - JITTER, 1 + JITTER)  # noqa: S311 - spreads load


def take_messages(
    records: Records, sender: Sender, outcomes: Sequence[Outcome], room: Callable[[str], int], most: int
) -> tuple[list[Message], float | None]:
    """Note `outcomes`, then take what is due, `most` together and for each webhook no more than `room` says.

    And in how many seconds something is due next that is under no lease, None where nothing is.
    """
    with records.reading() as tx:
        due = [id for id in tx.deliveries.with_due(tx.deliveries.clock()) if room(id) > 0]
    taken: list[tuple[Delivery, Webhook]] = []
    if due or outcomes:
        with records.writing() as tx:
            for outcome in outcomes:
                _note(tx, sender, outcome)
            taken = _take(tx, sender, due, room, most)
    with records.reading() as tx:
        messages = [Message(delivery, webhook, _body(tx, delivery)) for delivery, webhook in taken]
        following, clock = tx.deliveries.next_attempt(), tx.deliveries.clock()
    if following is None:
        return messages, None
    return messages, (datetime.fromisoformat(following) - datetime.fromisoformat(clock)).total_seconds()


def release_messages(records: Records, sender: Sender | None, outcomes: Sequence[Outcome] = ()) -> None:
    """Note `outcomes` and give back the leases of a sender that stops; of everybody where it is None."""
    with records.writing() as tx:
        for outcome in outcomes:
            if sender is not None:
                _note(tx, sender, outcome)
        tx.deliveries.release(None if sender is None else sender.name)


def headers_of(message: Message, pepper: bytes) -> dict[str, str]:
    """The headers of an attempt made now (Standard Webhooks, "Webhook headers")."""
    moment = now()
    seconds = int(datetime.fromisoformat(moment).timestamp())
    id = message.delivery.id
    return {
        "Content-Type": "application/json",
        "webhook-id": id,
        "webhook-timestamp": str(seconds),
        "webhook-signature": signatures(pepper, message.webhook, id, seconds, message.body, moment),
    }


def forget_old_deliveries(records: Records) -> int:
    """Forget messages of `DAYS_REMEMBERED` ago that nobody sends any more; how many."""
    with records.writing() as tx:
        before = datetime.fromisoformat(tx.now) - timedelta(days=DAYS_REMEMBERED)
        return tx.deliveries.purge(as_text(before))


def _take(
    tx: Transaction, sender: Sender, due: Sequence[str], room: Callable[[str], int], most: int
) -> list[tuple[Delivery, Webhook]]:
    clock = tx.deliveries.clock()
    until = later(clock, timedelta(seconds=sender.lease_seconds))
    listeners = tx.webhooks.listeners(clock)
    taken: list[tuple[Delivery, Webhook]] = []
    for id in due:
        count = min(room(id), most - len(taken))
        for delivery in tx.deliveries.claim(id, sender.name, clock=clock, until=until, most=count):
            listener = listeners.get(id)
            if _may_see(listener, delivery):
                assert listener is not None
                taken.append((delivery, listener.webhook))
            else:
                refused = {"state": "dead", "error": "The key of the webhook may not see this any more."}
                tx.deliveries.finish(delivery.id, sender.name, refused)
    return taken


def _may_see(listener: Listener | None, delivery: Delivery) -> bool:
    """Whether the key still works and still sees the vessel, where it is about one."""
    if listener is None:
        return False
    return delivery.type == TEST or listener.scope is None or delivery.vessel in listener.scope


def _note(tx: Transaction, sender: Sender, outcome: Outcome) -> None:
    clock = tx.deliveries.clock()
    delivery, attempts = outcome.delivery, outcome.delivery.attempts + 1
    values: dict[str, Any] = {"attempts": attempts, "last_attempt": clock, "status": outcome.status}
    values["error"] = outcome.error and outcome.error[:200]
    if outcome.succeeded:
        values["state"] = "delivered"
    elif outcome.status == GONE or attempts >= MOST_ATTEMPTS or delivery.type == TEST:
        values["state"] = "dead"
    else:
        values["next_attempt"] = later(clock, timedelta(seconds=sender.wait_after(attempts)))
    if tx.deliveries.finish(delivery.id, sender.name, values):
        given_up = values.get("state") == "dead" and delivery.type != TEST
        _note_at_webhook(tx, delivery.webhook, outcome, clock, is_dead=given_up)


def _note_at_webhook(tx: Transaction, id: str, outcome: Outcome, clock: str, *, is_dead: bool) -> None:
    try:
        webhook = tx.webhooks.get(id)
    except NoSuchRow:
        return
    values: dict[str, Any] = {"last_success" if outcome.succeeded else "last_failure": clock}
    if outcome.status == GONE:
        values |= {"state": "stopped", "reason": "The receiver answered 410 Gone."}
    elif is_dead and (webhook.last_success or webhook.created) < later(
        clock, -timedelta(days=UNREACHABLE_DAYS)
    ):
        values |= {"state": "stopped", "reason": f"Nothing was taken for {UNREACHABLE_DAYS} days."}
    tx.webhooks.change(id, values, touch=False)


def _test_event(delivery: Delivery) -> TestEvent:
    return {
        "type": "test",
        "timestamp": delivery.created,
        "data": {"webhook": delivery.webhook, "message": TEST_MESSAGE},
    }


def _body(tx: Transaction, delivery: Delivery) -> bytes:
    """The same bytes at every attempt: what they tell of never changes."""
    if delivery.type == TEST:
        return to_json(_test_event(delivery))
    change = tx.changes.get(delivery.change)
    figures = tx.conditions.figures_in_feed(change.id - 1, change.id)
    place = (
        f"/v1/vessels/{change.vessel}" if change.condition is None else f"/v1/conditions/{change.condition}"
    )
    if change.revision:
        place += f"/revisions/{change.revision}"
    event: Event = {
        "type": delivery.type,  # type: ignore[typeddict-item]
        "timestamp": change.created,
        "data": {
            **feed_line(change, figures),
            "previous_verdict": delivery.previous_verdict,  # type: ignore[typeddict-item]
            "address": place,
        },
    }
    body = to_json(event)
    assert len(body) <= MOST_BYTES
    return body
