"""A clock that is set back, or that is behind another server's: times of what is kept only go up."""

from datetime import UTC, datetime, timedelta

from service.storage import Filter, Storage, as_text, verify
from service.storage.table import moved_on, new_id
from tests.storage.records import condition, review, vessel


class Clock:
    """A clock that stands where it was put."""

    def __init__(self) -> None:
        self.at = datetime(2026, 11, 26, 12, tzinfo=UTC)

    def __call__(self) -> str:
        return as_text(self.at)


def test_lists_by_time_miss_nothing_when_the_clock_is_set_back(migrated_url: str) -> None:
    clock = Clock()
    storage = Storage(migrated_url, clock=clock)
    with storage.transaction(write=True) as tx:
        ship = tx.vessels.create(vessel()).vessel
    clock.at += timedelta(seconds=1)
    with storage.transaction(write=True) as tx:
        first = tx.conditions.create(ship, condition("First"))
    clock.at += timedelta(seconds=1)
    with storage.transaction(write=True) as tx:
        second = tx.conditions.create(ship, condition("Second"))
    clock.at -= timedelta(hours=1)
    seen = second.created
    times = [first.created, second.created]
    for number in range(3):  # a poller asks after the last time it has seen
        with storage.transaction(write=True) as tx:
            before = tx.conditions.get(first.condition).head_digest
            kept = tx.conditions.append(first.condition, condition(f"Revised {number}"), expected=before)
        times.append(kept.created)
        with storage.transaction() as tx:
            [found] = tx.conditions.list(Filter(updated_after=seen))
            [line] = tx.fleet.list()
        assert (found.title, found.updated) == (f"Revised {number}", kept.created)
        assert line.condition == first.condition
        seen = found.updated
    with storage.transaction(write=True) as tx:
        made = tx.reviews.append(first.condition, 4, review())
        third = tx.conditions.create(ship, condition("Third"))
    with storage.transaction() as tx:
        assert [line.title for line in tx.conditions.list()] == ["Third", "Second", "Revised 2"]
        [line] = tx.fleet.list()
        assert line.condition == third.condition
        feed = [change.created for change in tx.changes.after()]
    assert times == sorted(set(times))
    assert made.created > times[-1]
    assert feed == sorted(feed)
    clock.at += timedelta(days=1)
    with storage.transaction(write=True) as tx:
        assert tx.now == clock()
    verify(storage)
    storage.close()


def test_two_servers_whose_clocks_differ_keep_one_order(migrated_url: str) -> None:
    ahead, behind = Clock(), Clock()
    ahead.at += timedelta(minutes=3)
    servers = [Storage(migrated_url, clock=ahead), Storage(migrated_url, clock=behind)]
    with servers[0].transaction(write=True) as tx:
        head = tx.conditions.create(tx.vessels.create(vessel()).vessel, condition())
    for number in range(6):
        with servers[number % 2].transaction(write=True) as tx:
            after = tx.conditions.append(head.condition, condition(str(number)), expected=head.digest)
        assert after.created > head.created
        head = after
    with servers[0].transaction() as tx:
        created = [change.created for change in tx.changes.after()]
        assert created == sorted(created)
    verify(servers[0])
    for server in servers:
        server.close()


def test_nothing_kept_yet_takes_the_time_of_the_clock(storage: Storage) -> None:
    clock = Clock()
    storage._clock = clock
    with storage.transaction(write=True) as tx:
        assert tx.now == clock()


def test_a_time_is_moved_on_by_the_least_step() -> None:
    last = "2026-12-31T23:59:59.999999Z"
    assert moved_on("2026-12-31T23:00:00.000000Z", last) == "2027-01-01T00:00:00.000000Z"
    assert moved_on(last, last) == "2027-01-01T00:00:00.000000Z"
    assert moved_on("2027-01-01T00:00:00.000000Z", last) == "2027-01-01T00:00:00.000000Z"
    assert moved_on(last, None) == last


def test_ids_sort_by_microseconds() -> None:
    start = datetime(2026, 11, 26, 12, tzinfo=UTC)
    ids = [new_id(as_text(start + timedelta(microseconds=n))) for n in range(3000)]
    assert ids == sorted(ids)
    assert len(set(ids)) == len(ids)
    assert {id[14] for id in ids} == {"7"}
    assert {id[19] for id in ids} <= set("89ab")
    # RFC 9562, appendix A.6: this time in milliseconds gives these first 48 bits.
    assert new_id("2022-02-22T19:22:22.000000Z").startswith("017f22e2-79b0-7")
