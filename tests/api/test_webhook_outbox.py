"""The outbox of webhooks without anybody who sends: leases, retries, death, forgetting."""

import contextlib
import time
from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from service.actions.records.lifecycle import visited_records
from service.actions.records.transactions import Records
from service.actions.webhooks.deliver import (
    MOST_ATTEMPTS,
    WAITS,
    Message,
    Outcome,
    Sender,
    forget_old_deliveries,
    release_messages,
    take_messages,
)
from service.storage import Delivery, Webhook, as_text
from tests.storage.records import vessel

EVENTS = ["vessel.revised"]
HASTY = Sender("hasty", lease_seconds=60, first_wait=1e-5)


@pytest.fixture
def records(migrated_url: str) -> Iterator[Records]:
    with visited_records(migrated_url) as found:
        yield found


def hook(records: Records) -> Webhook:
    with records.writing() as tx:
        return tx.webhooks.add(
            "local", url="https://a.example/", events=EVENTS, vessels=None, description=None, salt="s"
        )


def change(records: Records) -> None:
    with records.writing() as tx:
        tx.vessels.create(vessel())


def taken(records: Records, sender: Sender, *outcomes: Outcome, most: int = 10) -> list[Message]:
    return take_messages(records, sender, outcomes, lambda _: most, most)[0]


def only(records: Records, webhook: Webhook) -> Delivery:
    with records.reading() as tx:
        [found] = tx.deliveries.list(webhook.id)
    return found


def test_what_is_undone_is_told_to_nobody(records: Records) -> None:
    """The message is of the same transaction as the change."""
    webhook = hook(records)
    with contextlib.suppress(ZeroDivisionError), records.writing() as tx:
        tx.vessels.create(vessel())
        _ = 1 / 0
    with records.reading() as tx:
        assert tx.deliveries.list(webhook.id) == []
    change(records)
    assert only(records, webhook).change == 1


def test_a_lease_keeps_others_away_until_it_runs_out(records: Records) -> None:
    hook(records)
    change(records)
    short, other = Sender("short", 0.3), Sender("other", 60)
    [message] = taken(records, short)
    assert taken(records, other) == []
    time.sleep(0.4)
    [again] = taken(records, other)
    assert again.delivery.id == message.delivery.id
    assert again.body == message.body
    # The one whose lease ran out tells of a failure: it does not count. A success does.
    assert taken(records, short, Outcome(message.delivery, 500, "late")) == []
    assert only(records, message.webhook).attempts == 0
    taken(records, short, Outcome(message.delivery, 204))
    assert only(records, message.webhook).state == "delivered"
    taken(records, other, Outcome(again.delivery, 500, "later"))
    assert only(records, message.webhook).state == "delivered"


def test_leases_are_given_back(records: Records) -> None:
    hook(records)
    change(records)
    [message] = taken(records, HASTY)
    release_messages(records, HASTY)
    assert [each.delivery.id for each in taken(records, Sender("next", 60))] == [message.delivery.id]
    release_messages(records, None)
    assert len(taken(records, HASTY)) == 1


def test_ten_attempts_then_it_is_dead(records: Records) -> None:
    """Standard Webhooks, "Retry schedule": immediately, 5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 14 h, 20 h, 24 h."""
    minutes, hours = 60, 3600
    published = (5, 5 * minutes, 30 * minutes, *(n * hours for n in (2, 5, 10, 14, 20, 24)))
    assert published == WAITS
    webhook = hook(records)
    change(records)
    outcomes: list[Outcome] = []
    until = time.monotonic() + 30
    attempts = 0
    while only(records, webhook).state == "waiting":
        assert time.monotonic() < until
        messages = taken(records, HASTY, *outcomes)
        outcomes = [Outcome(message.delivery, 500, "no") for message in messages]
        attempts += len(messages)
        time.sleep(0.005)
    assert attempts == MOST_ATTEMPTS == 10
    dead = only(records, webhook)
    assert (dead.state, dead.attempts, dead.status, dead.error) == ("dead", 10, 500, "no")
    assert taken(records, HASTY) == []
    with records.reading() as tx:
        assert tx.webhooks.get(webhook.id).state == "active"  # made less than five days ago


def test_a_webhook_that_nobody_answers_for_days_is_stopped(records: Records) -> None:
    webhook = hook(records)
    change(records)
    long_ago = as_text(datetime.now().astimezone() - timedelta(days=6))
    with records.writing() as tx:
        tx.webhooks.change(webhook.id, {"created": long_ago}, touch=False)
    [message] = taken(records, HASTY)
    message.delivery.attempts = MOST_ATTEMPTS - 1
    taken(records, HASTY, Outcome(message.delivery, None, "There was no connection to the receiver."))
    with records.reading() as tx:
        stopped = tx.webhooks.get(webhook.id)
    assert (stopped.state, stopped.reason) == ("stopped", "Nothing was taken for 5 days.")


def test_a_webhook_has_no_more_at_once_than_there_is_room_for(records: Records) -> None:
    first, second = hook(records), hook(records)
    for _ in range(5):
        change(records)
    with records.reading() as tx:
        assert tx.deliveries.waiting() == 10
    messages = take_messages(records, HASTY, (), lambda webhook: 2 if webhook == first.id else 0, 10)[0]
    assert [message.webhook.id for message in messages] == [first.id] * 2
    messages, due = take_messages(records, HASTY, (), lambda _: 4, 5)
    assert len(messages) == 5
    assert {message.webhook.id for message in messages} == {first.id, second.id}
    assert due is not None


def test_old_messages_are_forgotten(records: Records) -> None:
    webhook = hook(records)
    change(records)
    change(records)
    [first, _] = taken(records, HASTY)
    taken(records, HASTY, Outcome(first.delivery, 204))
    assert forget_old_deliveries(records) == 0
    long_ago = as_text(datetime.now().astimezone() - timedelta(days=31))
    with records.writing() as tx:
        for delivery in tx.deliveries.list(webhook.id):
            tx.deliveries.finish(delivery.id, HASTY.name, {"created": long_ago})
        tx.connection.exec_driver_sql(f"UPDATE webhook_deliveries SET created = '{long_ago}'")
    assert forget_old_deliveries(records) == 1
    assert only(records, webhook).state == "waiting"
