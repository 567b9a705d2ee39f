"""Conditions: appended, never overwritten; lists follow the head."""

import pytest

from service.storage import Conflict, Filter, NotFound, OwnRevision, Stale, Storage
from tests.storage.records import MATE, condition, filled, review, vessel


def test_a_revision_comes_back_as_it_was_kept(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel())
        kept = tx.conditions.create(ship.vessel, condition(reason="ümläut ✓", smallest_margin=0.1 + 0.2))
    with storage.transaction() as tx:
        assert tx.conditions.revision(kept.condition, 1) == kept
        assert tx.conditions.revision(kept.condition) == kept
        head = tx.conditions.get(kept.condition)
    assert kept.smallest_margin == 0.1 + 0.2
    assert kept.vessel_digest == ship.digest
    assert kept.previous is None
    assert (head.head_number, head.head_digest, head.review_state) == (1, kept.digest, "unreviewed")
    assert kept.created.endswith("Z")
    assert len(kept.created) == 27


def test_a_stale_writer_is_told_the_head_and_keeps_nothing(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        first = tx.conditions.create(tx.vessels.create(vessel()).vessel, condition())
    with storage.transaction(write=True) as tx:
        second = tx.conditions.append(first.condition, condition("Second"), expected=first.digest)
    with pytest.raises(Stale) as stale, storage.transaction(write=True) as tx:
        tx.conditions.append(first.condition, condition("Lost"), expected=first.digest)
    assert (stale.value.number, stale.value.digest) == (2, second.digest)
    with storage.transaction() as tx:
        assert [line.title for line in tx.conditions.history(first.condition)] == ["Second", "Departure"]
    assert second.previous == first.digest


def test_an_exception_in_the_block_keeps_nothing(storage: Storage) -> None:
    with pytest.raises(ZeroDivisionError), storage.transaction(write=True) as tx:  # noqa: PT012
        tx.conditions.create(tx.vessels.create(vessel()).vessel, condition())
        raise ZeroDivisionError
    with storage.transaction() as tx:
        assert tx.conditions.list() == []
        assert tx.changes.head() is None


def test_unknown_things_are_not_found(storage: Storage) -> None:
    ship, kept = filled(storage)
    with storage.transaction() as tx:
        for missing in (
            lambda: tx.vessels.get("none"),
            lambda: tx.vessels.revision("none"),
            lambda: tx.vessels.revision(ship, 3),
            lambda: tx.conditions.get("none"),
            lambda: tx.conditions.revision("none"),
            lambda: tx.conditions.revision(kept, 4),
            lambda: tx.keys.get("none"),
        ):
            with pytest.raises(NotFound):
                missing()
    with pytest.raises(NotFound) as found, storage.transaction(write=True) as tx:
        tx.conditions.create(ship, condition(vessel_revision=3))
    assert (found.value.kind, found.value.number) == ("vessel_revision", 3)
    with pytest.raises(NotFound), storage.transaction(write=True) as tx:
        tx.reviews.append(kept, 9, review())


def test_reviews_decide_the_state_of_their_revision_and_a_new_revision_is_unreviewed(
    storage: Storage,
) -> None:
    _, kept = filled(storage, revisions=2)
    with storage.transaction() as tx:
        assert tx.conditions.get(kept).review_state == "accepted"
        assert [line.review_state for line in tx.conditions.history(kept)] == ["accepted", "unreviewed"]
    with storage.transaction(write=True) as tx:
        tx.reviews.append(kept, 2, review("returned", note="ballast tank 4 is forgotten"))
        assert tx.conditions.get(kept).review_state == "returned"
    with storage.transaction(write=True) as tx:
        head = tx.conditions.get(kept)
        tx.conditions.append(kept, condition("Third"), expected=head.head_digest)
        tx.reviews.append(kept, 1, review("accepted"))
    with storage.transaction() as tx:
        assert tx.conditions.get(kept).review_state == "unreviewed"
        states = [line.review_state for line in tx.conditions.history(kept)]
        assert states == ["unreviewed", "returned", "accepted"]
        assert [(r.number, r.revision, r.decision) for r in tx.reviews.of(kept)] == [
            (1, 2, "accepted"),
            (2, 2, "returned"),
            (3, 1, "accepted"),
        ]
        assert [r.number for r in tx.reviews.of(kept, 2)] == [1, 2]


def test_nobody_reviews_his_own_revision(storage: Storage) -> None:
    _, kept = filled(storage, revisions=1)
    with pytest.raises(OwnRevision), storage.transaction(write=True) as tx:
        tx.reviews.append(kept, 1, review(**MATE))


def test_lists_are_narrowed_and_paged(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        ships = [tx.vessels.create(vessel(name)).vessel for name in ("Brise", "Calme", "Dune")]
        kept = [
            tx.conditions.create(ships[n % 3], condition(f"C{n}", verdict=verdict, phase=phase)).condition
            for n, (verdict, phase) in enumerate(
                [("pass", "departure"), ("fail", "arrival"), ("incomplete", None)] * 4
            )
        ]
    with storage.transaction(write=True) as tx:
        tx.reviews.append(kept[4], 1, review("returned"))

    def ids(wanted: Filter = Filter(), **page: object) -> list[str]:  # noqa: B008
        with storage.transaction() as tx:
            return [item.id for item in tx.conditions.list(wanted, **page)]  # type: ignore[arg-type]

    newest_first = sorted(kept, reverse=True)
    assert ids() == newest_first
    assert ids(limit=5) + ids(before=ids(limit=5)[-1], limit=100) == newest_first
    assert set(ids(Filter(verdict="fail"))) == {kept[n] for n in (1, 4, 7, 10)}
    assert set(ids(Filter(vessel=ships[0]))) == {kept[n] for n in (0, 3, 6, 9)}
    assert set(ids(Filter(vessels=[ships[0]], verdict="fail"))) == set()
    assert ids(Filter(vessels=[])) == []
    assert ids(Filter(review_state="returned")) == [kept[4]]
    assert set(ids(Filter(phase="arrival", review_state="unreviewed"))) == {kept[n] for n in (1, 7, 10)}
    with storage.transaction() as tx:
        time = tx.conditions.get(kept[0]).updated
    assert ids(Filter(updated_after=time)) == []
    assert ids(Filter(updated_before=time)) == []
    assert len(ids(Filter(updated_after="2000-01-01T00:00:00.000000Z"))) == 12


def test_history_is_paged(storage: Storage) -> None:
    _, kept = filled(storage, revisions=7)
    with storage.transaction() as tx:
        first = tx.conditions.history(kept, limit=4)
        rest = tx.conditions.history(kept, before=first[-1].number, limit=4)
    assert [line.number for line in first + rest] == [7, 6, 5, 4, 3, 2, 1]


def test_the_database_refuses_a_verdict_it_does_not_know(storage: Storage) -> None:
    ship, _ = filled(storage)
    with pytest.raises(Conflict), storage.transaction(write=True) as tx:
        tx.conditions.create(ship, condition(verdict="perhaps"))
