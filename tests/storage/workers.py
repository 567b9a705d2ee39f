"""What other processes do in the tests of concurrency; they find it here by name."""

import multiprocessing
from collections.abc import Callable
from typing import Any

from service.storage import Busy, Stale, Storage, migrate
from tests.storage.records import condition, vessel

# A clean process imports everything once and the workers are forked from it: no connection of ours is carried over.
PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["tests.storage.workers"])


def together(work: Callable[..., None], calls: list[tuple[Any, ...]]) -> list[Any]:
    """Run `work(*call, answers)` in a process for each call; what they put, in any order. All must end well."""
    answers = PROCESSES.Queue()
    processes = [PROCESSES.Process(target=work, args=(*call, answers)) for call in calls]
    for process in processes:
        process.start()
    found = [answers.get(timeout=90) for _ in processes]
    for process in processes:
        process.join(30)
        assert process.exitcode == 0
    answers.close()
    answers.join_thread()
    return found


def count_up(url: str, id: str, times: int, answers: Any) -> None:
    """Read the number in the title of the head, write the next one; answers how many writes were acknowledged."""
    storage = Storage(url)
    kept = 0
    while kept < times:
        with storage.transaction() as tx:
            head = tx.conditions.get(id)
        try:
            with storage.transaction(write=True) as tx:
                tx.conditions.append(id, condition(str(int(head.title) + 1)), expected=head.head_digest)
            kept += 1
        except (Stale, Busy):
            continue
    storage.close()
    answers.put(kept)


def add_conditions(url: str, vessel: str, times: int, answers: Any) -> None:
    """Create conditions, some in transactions that are given up; answers the ids of those kept."""
    storage = Storage(url)
    kept = []
    for number in range(times):
        try:
            with storage.transaction(write=True) as tx:
                made = tx.conditions.create(vessel, condition(f"C{number}"))
                if number % 5 == 4:
                    raise KeyError("given up")
            kept.append(made.condition)
        except KeyError:
            continue
    storage.close()
    answers.put(kept)


def upgrade(url: str, answers: Any) -> None:
    """Migrate; answers the schema the database stands at."""
    migrate(url)
    storage = Storage(url)
    answers.put(storage.schema_revision())
    storage.close()


def write_until_killed(url: str, name: int, acknowledged: Any) -> None:
    """Append to a condition of its own for ever; says each digest only after the commit."""
    storage = Storage(url)
    with storage.transaction(write=True) as tx:
        head = tx.conditions.create(tx.vessels.create(vessel(f"V{name}")).vessel, condition())
    while True:
        acknowledged.send((head.condition, head.number, head.digest))
        with storage.transaction(write=True) as tx:
            entry = condition(f"{head.number + 1}", assessment="x" * 20_000)
            head = tx.conditions.append(head.condition, entry, expected=head.digest)
