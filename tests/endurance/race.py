"""Two writers who saw the same state and write at the same moment: one wins, the other is told, nothing is lost.

On PostgreSQL each writer has a server process of its own; a SQLite file has one server.
"""

import json
import threading
from contextlib import ExitStack
from dataclasses import dataclass

import httpx

from service.demo import read_condition, read_vessel
from service.storage import Storage, verify
from tests.endurance.server import ServerProcess

SHIP = "halvenmoor"
MERGE_PATCH = {"Content-Type": "application/merge-patch+json"}


@dataclass
class Outcome:
    """What came of the rounds."""

    rounds: int
    won: tuple[int, int] = (0, 0)
    """Rounds each writer won."""
    revisions: int = 0

    def __str__(self) -> str:
        return (
            f"{self.rounds} races with one If-Match: {self.won[0]} and {self.won[1]} won, {self.rounds} told 412; "
            f"{self.revisions} revisions verified"
        )


def run(database: str, rounds: int) -> Outcome:
    """Race `rounds` times on one condition. Raises AssertionError where there is not exactly one winner."""
    outcome = Outcome(rounds)
    processes = 2 if database.startswith("postgresql") else 1
    with ExitStack() as stack:
        servers = [stack.enter_context(ServerProcess(database)) for _ in range(processes)]
        writers = [
            stack.enter_context(
                httpx.Client(base_url=servers[n % processes].address, timeout=60, trust_env=False)
            )
            for n in range(2)
        ]
        vessel = writers[0].post("/v1/vessels", json=json.loads(read_vessel(SHIP))).json()["vessel"]
        document = json.loads(read_condition(SHIP, "ballast-departure"))
        made = writers[0].post(f"/v1/vessels/{vessel}/conditions", json=document)
        path, tag = f"/v1/conditions/{made.json()['condition']}", made.headers["ETag"]
        for number in range(rounds):
            first, second = _at_once(writers, path, tag, number)
            winner = 0 if first.status_code == 200 else 1
            won, lost = (first, second) if winner == 0 else (second, first)
            assert (won.status_code, lost.status_code) == (200, 412), (first.text, second.text)
            assert won.json()["revision"] == number + 2
            assert lost.headers["ETag"] == won.headers["ETag"] != tag
            present = writers[1 - winner].get(path)
            assert present.json()["title"] == f"race {number} by {winner}"
            tag = present.headers["ETag"]
            outcome.won = (outcome.won[0] + (winner == 0), outcome.won[1] + (winner == 1))
    storage = Storage(database)
    outcome.revisions = verify(storage).condition_revisions
    storage.close()
    assert outcome.revisions == rounds + 1
    return outcome


def _at_once(writers: list[httpx.Client], path: str, tag: str, number: int) -> tuple[httpx.Response, ...]:
    """Both writers send their change at the same moment."""
    answers: dict[int, httpx.Response] = {}
    start = threading.Barrier(len(writers))

    def write(n: int) -> None:
        body = json.dumps({"title": f"race {number} by {n}"})
        start.wait()
        answers[n] = writers[n].patch(path, content=body, headers={**MERGE_PATCH, "If-Match": tag})

    threads = [threading.Thread(target=write, args=(n,)) for n in range(len(writers))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return answers[0], answers[1]
