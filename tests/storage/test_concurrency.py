"""Several processes on one database: no lost update, a feed without gaps, on both engines."""

import threading

from service.storage import Stale, Storage, verify
from tests.storage.records import condition, vessel
from tests.storage.workers import add_conditions, count_up, together


def test_six_processes_lose_no_update(storage: Storage, migrated_url: str) -> None:
    times = 20
    with storage.transaction(write=True) as tx:
        id = tx.conditions.create(tx.vessels.create(vessel()).vessel, condition("0")).condition
    assert sum(together(count_up, [(migrated_url, id, times)] * 6)) == 6 * times
    with storage.transaction() as tx:
        history = tx.conditions.history(id, limit=1000)
    assert [line.title for line in history] == [str(n) for n in range(6 * times, -1, -1)]
    assert verify(storage).condition_revisions == 6 * times + 1


def test_a_poller_beside_writers_misses_and_doubles_nothing(storage: Storage, migrated_url: str) -> None:
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel()).vessel
    seen: list[int] = []
    subjects: list[str | None] = []
    done = threading.Event()

    def poll() -> None:
        while True:
            last_round = done.is_set()
            with storage.transaction() as tx:
                lines = tx.changes.after(seen[-1] if seen else 0, limit=7)
            seen.extend(line.id for line in lines)
            subjects.extend(line.condition for line in lines)
            if last_round and not lines:
                return

    poller = threading.Thread(target=poll)
    poller.start()
    kept = together(add_conditions, [(migrated_url, ship, 40)] * 4)
    done.set()
    poller.join(60)
    assert not poller.is_alive()
    acknowledged = [id for ids in kept for id in ids]
    assert len(acknowledged) == 4 * 32
    # Had a smaller number ever appeared after a greater one was read, it would be missing here.
    assert seen == list(range(1, 2 + len(acknowledged)))
    assert sorted(id for id in subjects if id) == sorted(acknowledged)


def test_sixteen_threads_have_one_winner_for_each_revision(storage: Storage) -> None:
    with storage.transaction(write=True) as tx:
        id = tx.conditions.create(tx.vessels.create(vessel()).vessel, condition("0")).condition
    won: list[int] = []
    lost: list[tuple[int, int]] = []
    start = threading.Barrier(16)

    def edit(name: int) -> None:
        start.wait()
        for _ in range(4):
            with storage.transaction() as tx:
                head = tx.conditions.get(id)
            try:
                with storage.transaction(write=True) as tx:
                    kept = tx.conditions.append(id, condition(f"by {name}"), expected=head.head_digest)
                won.append(kept.number)
            except Stale as stale:
                lost.append((head.head_number, stale.number or 0))

    threads = [threading.Thread(target=edit, args=(name,)) for name in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert len(won) + len(lost) == 16 * 4
    assert all(present > seen for seen, present in lost)
    assert sorted(won) == list(range(2, len(won) + 2))
    assert verify(storage).condition_revisions == len(won) + 1
