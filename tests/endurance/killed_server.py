"""A server killed at random moments under concurrent writers: what it acknowledged is there, once, and every chain
holds.

Three writers enter conditions under names of their own (`Idempotency-Key`) and send the same request again after a
crash; three revise one condition they share, naming the state they saw (`If-Match`).
"""

import json
import random
import statistics
import threading
import time
from dataclasses import dataclass, field
from typing import Any

import httpx

from service.demo import read_condition, read_vessel
from service.storage import Storage, Verified, verify
from tests.endurance.server import ServerProcess

SHIP = "halvenmoor"
WRITERS = 3
LONGEST = 0.5
EARLY = 0.2
"""Share of the rounds whose kill comes while the server prepares its first answers; the others wait for one."""
FIRST_ANSWER_SECONDS = 30.0


@dataclass
class Outcome:
    """What writers were told, and what the database holds after the last round."""

    rounds: int
    entered: dict[str, str] = field(default_factory=dict)
    """Condition by the name of its request."""
    revised: list[tuple[int, str]] = field(default_factory=list)
    """Number and digest of each acknowledged revision of the shared condition."""
    replayed: int = 0
    """Requests answered with what a killed server had kept but not acknowledged."""
    starts: list[float] = field(default_factory=list)
    verified: Verified | None = None

    @property
    def acknowledged(self) -> int:
        """How many writes were answered."""
        return len(self.entered) + len(self.revised)

    def __str__(self) -> str:
        assert self.verified is not None
        return (
            f"{self.rounds} kills: {len(self.entered)} conditions and {len(self.revised)} revisions acknowledged, all "
            f"there; {self.replayed} found kept though unacknowledged; {self.verified.condition_revisions} revisions "
            f"verified; start to ready {statistics.median(self.starts):.2f} s"
        )


def run(database: str, rounds: int, seed: int = 1) -> Outcome:
    """Kill a server `rounds` times, then check everything. Raises AssertionError where a promise was broken."""
    chance = random.Random(seed)
    outcome = Outcome(rounds)
    server = ServerProcess(database)
    with server:
        vessel = _enter(server, "/v1/vessels", json.loads(read_vessel(SHIP)))["vessel"]
        body = json.loads(read_condition(SHIP, "ballast-departure"))
        shared = _enter(server, f"/v1/vessels/{vessel}/conditions", body)["condition"]
        pending: dict[int, str] = {}
        for _ in range(rounds):
            early = chance.random() < EARLY
            _round(server, outcome, vessel, shared, body, pending, chance.uniform(0, LONGEST), early=early)
            outcome.starts.append(server.start())
        _settle(server, outcome, vessel, body, pending)
    _check(database, outcome, shared)
    return outcome


def _round(
    server: ServerProcess,
    outcome: Outcome,
    vessel: str,
    shared: str,
    body: dict[str, Any],
    pending: dict[int, str],
    seconds: float,
    *,
    early: bool,
) -> None:
    """Write from all sides, and kill `seconds` after the first answer (early: after the first request)."""
    before = outcome.acknowledged
    writers = [
        threading.Thread(target=_enter_conditions, args=(server.address, outcome, vessel, body, pending, n))
        for n in range(WRITERS)
    ]
    writers += [
        threading.Thread(target=_revise, args=(server.address, outcome, shared)) for _ in range(WRITERS)
    ]
    for writer in writers:
        writer.start()
    until = time.monotonic() + FIRST_ANSWER_SECONDS
    while not early and outcome.acknowledged == before and time.monotonic() < until:
        time.sleep(0.001)
    time.sleep(seconds)
    server.kill()
    for writer in writers:
        writer.join(30)
        assert not writer.is_alive()


def _enter_conditions(
    address: str, outcome: Outcome, vessel: str, body: dict[str, Any], pending: dict[int, str], writer: int
) -> None:
    with _client(address) as http:
        while True:
            # The name of a request whose answer was lost is used again: it must be made once.
            name = pending.setdefault(writer, f"{writer}-{random.randbytes(8).hex()}")
            try:
                answer = http.post(
                    f"/v1/vessels/{vessel}/conditions", json=body, headers={"Idempotency-Key": name}
                )
            except httpx.TransportError:
                return
            if answer.status_code == 201:
                _note_entered(outcome, name, answer)
                del pending[writer]
            else:
                assert answer.status_code in (409, 503), answer.text


def _revise(address: str, outcome: Outcome, condition: str) -> None:
    path = f"/v1/conditions/{condition}"
    with _client(address) as http:
        while True:
            try:
                tag = http.get(path).headers["ETag"]
                answer = http.patch(
                    path,
                    content=json.dumps({"title": random.randbytes(6).hex()}),
                    headers={"Content-Type": "application/merge-patch+json", "If-Match": tag},
                )
            except httpx.TransportError:
                return
            if answer.status_code == 200:
                outcome.revised.append((answer.json()["revision"], answer.json()["digest"]))
            else:
                assert answer.status_code in (412, 503), answer.text


def _settle(
    server: ServerProcess, outcome: Outcome, vessel: str, body: dict[str, Any], pending: dict[int, str]
) -> None:
    """Send once more what was left unanswered."""
    with _client(server.address) as http:
        for name in pending.values():
            answer = http.post(
                f"/v1/vessels/{vessel}/conditions", json=body, headers={"Idempotency-Key": name}
            )
            assert answer.status_code == 201, answer.text
            _note_entered(outcome, name, answer)


def _note_entered(outcome: Outcome, name: str, answer: httpx.Response) -> None:
    assert name not in outcome.entered
    outcome.entered[name] = answer.json()["condition"]
    outcome.replayed += answer.headers.get("Idempotency-Replayed") == "true"


def _check(database: str, outcome: Outcome, shared: str) -> None:
    storage = Storage(database)
    outcome.verified = verify(storage)  # also: no number missing in any chain
    with storage.transaction() as tx:
        kept: set[str] = set()
        last = None
        while page := tx.conditions.list(before=last, limit=1000):
            kept |= {condition.id for condition in page}
            last = page[-1].id
        digests = {}
        before = None
        while history := tx.conditions.history(shared, before=before, limit=1000):
            digests |= {line.number: line.digest for line in history}
            before = history[-1].number
    storage.close()
    assert kept == {shared, *outcome.entered.values()}  # each acknowledged one is there, and none twice
    assert len(kept) == 1 + len(outcome.entered)
    numbers = [number for number, _ in outcome.revised]
    assert len(numbers) == len(set(numbers))
    assert all(digests.get(number) == digest for number, digest in outcome.revised)


def _enter(server: ServerProcess, path: str, document: dict[str, Any]) -> dict[str, Any]:
    with _client(server.address) as http:
        answer = http.post(path, json=document)
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json()
    return found


def _client(address: str) -> httpx.Client:
    return httpx.Client(base_url=address, timeout=30, trust_env=False)
