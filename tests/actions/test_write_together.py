"""Works that share a commit: each is kept, refused or fails as if it had been alone."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

import pytest

from service.actions.records.transactions import Records, not_found, write_together
from service.storage import Full, Storage, Transaction, verify
from service.wire.refusal import Refusal
from tests.postgres import database_url, migrated_url, postgres_server  # noqa: F401
from tests.storage.records import condition, vessel

Work = Callable[[Transaction], str]


@pytest.fixture
def records(migrated_url: str) -> Iterator[Records]:  # noqa: F811
    storage = Storage(migrated_url)
    yield Records(storage)
    storage.close()


@pytest.fixture
def ship(records: Records) -> str:
    with records.writing() as tx:
        return tx.vessels.create(vessel()).vessel


def new(ship: str, tx: Transaction) -> str:
    return tx.conditions.create(ship, condition()).condition


def refused_at_once(tx: Transaction) -> str:
    raise not_found("condition")


def refused_late(ship: str, tx: Transaction) -> str:
    new(ship, tx)
    raise not_found("condition")


def refused_by_the_database(tx: Transaction) -> str:
    return tx.vessels.create(vessel(), id="taken").vessel


def failing(ship: str, tx: Transaction) -> str:
    new(ship, tx)
    raise ZeroDivisionError


def counted(records: Records) -> tuple[int, int]:
    """Conditions kept, and commits since the ship was entered, told by the different times of the feed."""
    verify(records.storage)
    with records.reading() as tx:
        return len(tx.conditions.list()), len({line.created for line in tx.changes.after(1)})


@pytest.mark.parametrize("stop", [refused_at_once, refused_late, refused_by_the_database, failing])
def test_one_that_is_stopped_costs_the_others_nothing(
    records: Records, ship: str, stop: Callable[..., str]
) -> None:
    with records.writing() as tx:
        tx.vessels.create(vessel(), id="taken")
    stopped: Work = partial(stop, ship) if stop in (refused_late, failing) else stop
    make: Work = partial(new, ship)
    made = write_together(records, [make, stopped, make, make])
    assert [type(done) for done in (made[0], made[2], made[3])] == [str] * 3
    assert isinstance(made[1], ZeroDivisionError if stop is failing else Refusal)
    if isinstance(made[1], Refusal):
        assert made[1].code == ("conflict" if stop is refused_by_the_database else "unknown_condition")
    assert counted(records)[0] == 3


def test_all_that_go_well_share_one_commit_with_those_refused_before_they_wrote(
    records: Records, ship: str
) -> None:
    make: Work = partial(new, ship)
    made = write_together(records, [make, refused_at_once, make])
    assert [type(done) for done in made] == [str, Refusal, str]
    assert counted(records) == (2, 1)


def test_two_that_follow_the_same_revision_have_one_winner(records: Records, ship: str) -> None:
    with records.writing() as tx:
        first = tx.conditions.create(ship, condition())

    def revise(title: str, tx: Transaction) -> str:
        return tx.conditions.append(first.condition, condition(title), expected=first.digest).title

    made = write_together(records, [partial(revise, "one"), partial(revise, "other")])
    assert made[0] == "one"
    assert isinstance(made[1], Refusal)
    assert made[1].code == "stale"
    with records.reading() as tx:
        assert [line.title for line in tx.conditions.history(first.condition)] == ["one", "Departure"]


def test_when_the_records_fail_all_fail_and_nothing_is_kept(records: Records, ship: str) -> None:
    times: list[Any] = []

    def out_of_room(tx: Transaction) -> str:
        times.append(tx)
        raise Full("the disk of the database is full")

    with pytest.raises(Refusal) as refused:
        write_together(records, [partial(new, ship), out_of_room, partial(new, ship)])
    assert refused.value.retry_after == 30
    assert len(times) == 1
    assert counted(records)[0] == 0
