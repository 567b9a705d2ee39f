"""kill -9 of writers in mid-work: what was acknowledged is there, every chain holds, the next writer goes on."""

import os
import random
import time

import pytest

from service.storage import Storage, verify
from tests.storage.workers import PROCESSES, write_until_killed

ROUNDS = int(os.environ.get("CRASH_ROUNDS", "3"))


@pytest.mark.timeout(60 + 10 * ROUNDS)
def test_killed_writers_lose_nothing_acknowledged(storage: Storage, migrated_url: str) -> None:
    rng = random.Random(ROUNDS)
    acknowledged: set[tuple[str, int, str]] = set()
    for round in range(ROUNDS):
        writers = []
        for name in range(2):
            told, tell = PROCESSES.Pipe(duplex=False)
            process = PROCESSES.Process(
                target=write_until_killed, args=(migrated_url, 2 * round + name, tell)
            )
            process.start()
            tell.close()
            writers.append((process, told))
        for _, told in writers:
            acknowledged.add(told.recv())
        time.sleep(rng.uniform(0.02, 0.25))
        for process, told in writers:
            process.kill()
            process.join(30)
            try:
                while True:
                    acknowledged.add(told.recv())
            except (EOFError, OSError):  # the last message may be cut in two
                told.close()
            process.close()
        verify(storage)
    with storage.transaction() as tx:
        kept = {
            (line.condition, line.number, line.digest)
            for condition in tx.conditions.list(limit=1000)
            for line in tx.conditions.history(condition.id, limit=100_000)
        }
    print(f"{ROUNDS} rounds, {len(acknowledged)} acknowledged, {len(kept) - len(acknowledged)} more kept")
    assert len(acknowledged) > 2 * ROUNDS
    assert acknowledged <= kept
    # Each killed writer may have kept one more revision than it lived to say.
    assert len(kept) - len(acknowledged) <= 2 * ROUNDS
