"""Rows are held back and sent together; nobody who asks can tell."""

import pytest

from service.storage import Conflict, Storage, verify
from tests.storage.records import condition, filled, vessel


def test_what_was_added_is_seen_by_whoever_asks_in_the_same_transaction(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel())
        assert tx.vessels.get(ship.vessel).head_digest == ship.digest
        first = tx.conditions.create(ship.vessel, condition())
        second = tx.conditions.append(first.condition, condition("Second"), expected=first.digest)
        assert tx.conditions.revision(first.condition) == second
        assert [line.id for line in tx.changes.after()] == [1, 2, 3]


def test_rows_of_one_table_go_after_those_they_refer_to(storage: Storage) -> None:
    """A revision of an old condition is added first, then a new condition with its revision: a row of revisions waits
    before there is one of conditions.
    """
    _, old = filled(storage)
    with storage.transaction(write=True) as tx:
        head = tx.conditions.get(old)
        new = [tx.conditions.create(head.vessel, condition("New"))]
        tx.conditions.append(old, condition("Fourth"), expected=head.head_digest)
        new += [tx.conditions.create(head.vessel, condition(f"New {n}")) for n in range(3)]
    with storage.transaction() as tx:
        assert [tx.conditions.revision(kept.condition) for kept in new] == new
    verify(storage)


def test_what_the_database_refuses_keeps_nothing_of_its_transaction(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel(), id="taken")

    def twice() -> None:
        with storage.transaction(write=True) as tx:
            tx.vessels.create(vessel("Other"))
            tx.vessels.create(vessel("Again"), id="taken")

    with pytest.raises(Conflict):
        twice()
    with storage.transaction() as tx:
        assert [line.id for line in tx.vessels.list()] == [ship.vessel]
    verify(storage)
