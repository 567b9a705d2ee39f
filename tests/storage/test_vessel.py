"""Vessels: a PUT is a new revision, the first one stays."""

import pytest

from service.storage import NotFound, Stale, Storage
from tests.storage.records import filled, vessel


def test_revisions_are_kept_with_source_author_and_reason(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        first = tx.vessels.create(vessel())
    with storage.transaction(write=True) as tx:
        second = tx.vessels.append(first.vessel, vessel("Brise II", reason="renamed"), expected=first.digest)
    with storage.transaction() as tx:
        assert tx.vessels.revision(first.vessel, 1) == first
        assert tx.vessels.revision(first.vessel) == second
        head = tx.vessels.get(first.vessel)
        lines = tx.vessels.history(first.vessel)
        assert tx.vessels.history(first.vessel, before=2)[0].number == 1
    assert (head.name, head.head_number, head.head_digest) == ("Brise II", 2, second.digest)
    assert head.created == first.created
    assert head.updated == second.created
    assert [(line.number, line.reason, line.source) for line in lines] == [
        (2, "renamed", "booklet, issue 2"),
        (1, None, "booklet, issue 2"),
    ]
    assert not hasattr(lines[0], "document")


def test_a_stale_writer_is_told_the_head(storage: Storage) -> None:
    ship, _ = filled(storage)
    with storage.transaction() as tx:
        first, second = tx.vessels.revision(ship, 1), tx.vessels.revision(ship, 2)
    with pytest.raises(Stale) as stale, storage.transaction(write=True) as tx:
        tx.vessels.append(ship, vessel(), expected=first.digest)
    assert (stale.value.kind, stale.value.number, stale.value.digest) == ("vessel", 2, second.digest)
    with pytest.raises(NotFound), storage.transaction(write=True) as tx:
        tx.vessels.append("none", vessel(), expected=first.digest)


def test_vessels_are_listed_by_scope_name_and_time_in_pages(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ids = [tx.vessels.create(vessel(name)).vessel for name in ("Brise", "Calme", "100%", "Brisant")]
    with storage.transaction() as tx:
        assert {v.id for v in tx.vessels.list()} == set(ids)
        assert {v.name for v in tx.vessels.list(name="BRIS")} == {"Brise", "Brisant"}
        assert {v.name for v in tx.vessels.list(name="%")} == {"100%"}
        assert {v.id for v in tx.vessels.list(vessels=ids[1:3])} == set(ids[1:3])
        assert tx.vessels.list(vessels=[]) == []
        assert tx.vessels.list(updated_after=tx.vessels.get(ids[0]).updated) == []
        assert len(tx.vessels.list(updated_before="9999-12-31T23:59:59.999999Z")) == 4
        page = tx.vessels.list(limit=3)
        assert [v.id for v in page + tx.vessels.list(after=page[-1].id)] == sorted(ids)
