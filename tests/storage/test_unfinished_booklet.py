"""Booklets that are being typed in: kept for their key alone, written over, forgotten by age."""

import pytest

from service.storage import Conflict, NotFound, Storage, UnfinishedBooklet

EMPTY = ("{}", '{"decimal":"point","tables":{}}', "[]")
LATER = "9999-01-01T00:00:00.000000Z"


def begun(storage: Storage, owner: str = "k1", name: str = "Brise") -> UnfinishedBooklet:
    """One that was just begun."""
    with storage.transaction(write=True) as tx:
        return tx.unfinished_booklets.begin(owner, name, *EMPTY)


def test_one_is_begun_and_found_by_its_key_alone(storage: Storage) -> None:
    kept = begun(storage)
    assert (kept.number, kept.bytes) == (1, sum(map(len, EMPTY)))
    assert kept.created == kept.updated
    with storage.transaction() as tx:
        assert tx.unfinished_booklets.get("k1", kept.id) == kept
        for owner, id in (("k2", kept.id), ("k1", "none")):
            with pytest.raises(NotFound):
                tx.unfinished_booklets.get(owner, id)


def test_it_is_written_over_and_counted(storage: Storage) -> None:
    """Bytes are those of UTF-8 (RFC 3629): the Greek letter has two."""
    first = begun(storage)
    with storage.transaction(write=True) as tx:
        second = tx.unfinished_booklets.write(first, "Brise 2", '{"name":"Ω"}', EMPTY[1], '["a"]')
    with storage.transaction() as tx:
        found = tx.unfinished_booklets.get("k1", first.id)
    assert found == second
    assert (found.name, found.document, found.accepted, found.number) == (
        "Brise 2",
        '{"name":"Ω"}',
        '["a"]',
        2,
    )
    assert found.bytes == len('{"name":"O"}') + 1 + len(EMPTY[1]) + len('["a"]')
    assert found.created == first.created
    assert found.updated > first.updated


def test_who_read_before_somebody_wrote_cannot_write(storage: Storage) -> None:
    first = begun(storage)
    with storage.transaction(write=True) as tx:
        second = tx.unfinished_booklets.write(first, "A", *EMPTY)
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.unfinished_booklets.write(first, "B", *EMPTY)
    stranger = UnfinishedBooklet.of(second.values() | {"owner_key": "k2"})
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.unfinished_booklets.write(stranger, "C", *EMPTY)
    with storage.transaction() as tx:
        assert tx.unfinished_booklets.get("k1", first.id) == second


def test_those_of_a_key_are_listed_without_their_contents(storage: Storage) -> None:
    older, newer = begun(storage, name="Older"), begun(storage, name="Newer")
    begun(storage, owner="k2")
    with storage.transaction() as tx:
        assert [kept.id for kept in tx.unfinished_booklets.of_owner("k1")] == [newer.id, older.id]
        assert [tx.unfinished_booklets.count(owner) for owner in ("k1", "k2", "k3")] == [2, 1, 0]
    with storage.transaction(write=True) as tx:
        tx.unfinished_booklets.write(older, "Older", '{"units":"us"}', *EMPTY[1:])
    with storage.transaction() as tx:
        listed = tx.unfinished_booklets.of_owner("k1")
    assert [(kept.id, kept.document, kept.number) for kept in listed] == [
        (older.id, "{}", 2),
        (newer.id, "{}", 1),
    ]


def test_one_is_removed_by_its_key_alone(storage: Storage) -> None:
    kept = begun(storage)
    with storage.transaction(write=True) as tx:
        assert tx.unfinished_booklets.remove("k2", kept.id) == 0
        assert tx.unfinished_booklets.remove("k1", kept.id) == 1
        assert tx.unfinished_booklets.remove("k1", kept.id) == 0
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.unfinished_booklets.write(kept, "A", *EMPTY)


def test_what_nobody_wrote_for_long_is_forgotten(storage: Storage) -> None:
    older, newer = begun(storage), begun(storage, owner="k2")
    assert older.updated < newer.updated
    with storage.transaction(write=True) as tx:
        assert tx.unfinished_booklets.purge(older.updated) == 0
        assert tx.unfinished_booklets.purge(newer.updated) == 1
        with pytest.raises(NotFound):
            tx.unfinished_booklets.get("k1", older.id)
        assert tx.unfinished_booklets.get("k2", newer.id) == newer
        assert tx.unfinished_booklets.purge(LATER) == 1


def test_nothing_of_a_broken_transaction_stays(storage: Storage) -> None:
    kept: list[str] = []

    def begin_and_fail() -> None:
        with storage.transaction(write=True) as tx:
            kept.append(tx.unfinished_booklets.begin("k1", "Brise", *EMPTY).id)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        begin_and_fail()
    with storage.transaction() as tx, pytest.raises(NotFound):
        tx.unfinished_booklets.get("k1", kept[0])


def test_a_large_one_comes_back_whole(storage: Storage) -> None:
    """Four million bytes are the most that pages keep; texts of both engines hold them (PostgreSQL: 1 GB)."""
    text = '{"name":"' + "x" * 4_000_000 + '"}'
    with storage.transaction(write=True) as tx:
        kept = tx.unfinished_booklets.begin("k1", "Brise", text, *EMPTY[1:])
    with storage.transaction() as tx:
        assert tx.unfinished_booklets.get("k1", kept.id).document == text
