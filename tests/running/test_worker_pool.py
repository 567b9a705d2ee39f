"""Worker processes give the answers the assessor itself gives, whatever they are told and however they end."""

import asyncio
import json
import multiprocessing
import os
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import Draft, Drafts, Judged
from service.actions.named_condition import StoredCondition, unknown_condition
from service.demo import condition_names, read_condition, read_vessel
from service.running import worker
from service.running.calculation_slots import CalculationSlots
from service.running.line_assessor import LONG_REQUEST, PooledAssessor, Workers
from service.running.metrics import Metrics
from service.running.worker import Lacking, Lines, Named, Working, key_of
from service.running.worker_channel import Channel
from service.running.worker_pool import WorkerPool
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel, unknown_vessel
from service.wire.parse import UnreadableJson
from service.wire.refusal import Refusal

SECONDS_TO_START = 60.0
SHIPS = ("halvenmoor", "ostrel")


def prepared(id: str) -> PreparedVessel:
    return prepare_vessel(json.loads(read_vessel(id)), ("vessel",), id, 1)


@pytest.fixture(scope="module")
def assessor() -> Assessor:
    known = {id: prepared(id) for id in SHIPS}

    def find(id: str, revision: int | None) -> PreparedVessel:
        if id not in SHIPS or revision not in (None, 1):
            raise unknown_vessel()
        return known[id]

    return Assessor(find)


@contextmanager
def running_pool(processes: int = 2) -> Iterator[WorkerPool]:
    pool = WorkerPool(processes, 32)
    try:
        wait_for_workers(pool)
        yield pool
    finally:
        pool.close()


def wait_for_workers(pool: WorkerPool) -> None:
    end = time.monotonic() + SECONDS_TO_START
    while not pool.are_ready():
        assert time.monotonic() < end, "the workers did not start"
        time.sleep(0.05)


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with running_pool() as running:
        yield running


def test_a_worker_asks_for_stored_conditions_and_is_told_what_the_caller_may_not_see(
    pool: WorkerPool, assessor: Assessor
) -> None:
    name = condition_names("ostrel")[0]
    kept = {"a": "ostrel", "b": "halvenmoor"}

    def find(id: str, revision: int | None) -> StoredCondition:
        if id not in kept or revision not in (None, 1):
            raise unknown_condition()
        return StoredCondition(kept[id], 1, 1, read_condition("ostrel", name))

    narrow = assessor.with_conditions_from(find).within({"ostrel"})
    named: list[dict[str, Any]] = [{"condition_id": id} for id in ("a", "b", "c")]
    lines = [json.dumps(each).encode() for each in [*named, {"condition_id": "a", "revision": 2}]]
    found = pool.results(narrow, Lines(lines, "full", None), 10.0)
    assert found is not None
    first, *refused = found
    told = json.loads(first)
    assert (told.pop("condition_id"), told.pop("revision")) == ("a", 1)
    request = {"vessel_id": "ostrel", "condition": json.loads(read_condition("ostrel", name))}
    assert told == json.loads(assessor.answer(json.dumps(request).encode()))
    assert [(each.code, each.detail, each.errors) for each in refused] == [
        (each.code, each.detail, each.errors) for each in [unknown_condition()] * 3
    ]


def requests() -> list[dict[str, Any]]:
    """Good requests for both ships, by id, by revision and inline, among bad ones of every kind."""
    documents: list[dict[str, Any]] = [
        {"vessel_id": ship, "condition": json.loads(read_condition(ship, name))}
        for ship in SHIPS
        for name in condition_names(ship)
    ]
    first = documents[0]["condition"]
    inline = {"vessel": json.loads(read_vessel("ostrel")), "condition": documents[-1]["condition"]}
    bad = [
        {**documents[0], "vessel_revision": 1},
        {**documents[0], "vessel_revision": 7},
        {"vessel_id": "nobody", "condition": first},
        {"vessel_id": "halvenmoor", "condition": {**first, "water_density": 9.0}},
        {"vessel_id": "halvenmoor", "condition": {**first, "tanks": [{"tank": "none", "fill": 1.0}]}},
        {"vessel_id": "halvenmoor", "condition": {**first, "weights": []}},
        inline,
        {},
    ]
    return documents + bad


def lines() -> list[bytes]:
    """The requests as lines, among others that cannot be read, and one that names its ship by an escape."""
    text = [json.dumps(request).encode() for request in requests()]
    escaped = text[0].replace(b'"halvenmoor"', b'"halven\\u006door"')
    assert escaped != text[0]
    return [*text, b"{", b'{"a": 1, "a": 2}', b"\xff", escaped]


def answered(
    pool: WorkerPool, assessor: Assessor, text: list[bytes], detail: Any = "full", patience: float = 60.0
) -> list[Any] | None:
    """What a worker of the pool answers to lines."""
    return pool.results(assessor, Lines(text, detail, "us"), patience)


def as_compared(answers: list[Any] | None) -> list[Any]:
    assert answers is not None
    return [a if isinstance(a, bytes) else (type(a), vars(a)) for a in answers]


@pytest.mark.parametrize("detail", ["full", "summary"])
def test_workers_answer_as_the_assessor_does(pool: WorkerPool, assessor: Assessor, detail: Any) -> None:
    here = as_compared(assessor.answer_lines(lines(), detail, "us"))
    for _ in range(3):  # with the vessels sent, and with the vessels kept
        assert as_compared(answered(pool, assessor, lines(), detail)) == here
    assert sum(isinstance(answer, bytes) for answer in here) > 10


def test_a_long_request_is_answered_by_a_worker_as_it_would_be_here(
    pool: WorkerPool, assessor: Assessor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where it is refused; and here where no worker answers."""
    at_sea = assessor.within(["ostrel"])
    texts = [line + b" " * LONG_REQUEST for line in lines()]
    here = as_compared([_answer_or_refusal(at_sea.answer, text, "full", "us") for text in texts])
    assert sum(isinstance(answer, bytes) for answer in here) > 4
    slots = CalculationSlots(2, 64, 1, Metrics())

    def there(text: bytes, pool: WorkerPool) -> bytes:
        return asyncio.run(PooledAssessor(at_sea, Workers(pool), slots).answer(text, "us"))

    assert as_compared([_answer_or_refusal(there, text, WorkerPool(0, 32)) for text in texts]) == here
    monkeypatch.setattr(CalculationSlots, "run", None)
    assert as_compared([_answer_or_refusal(there, text, pool) for text in texts]) == here


def _answer_or_refusal(answer: Callable[..., bytes], *given: Any) -> bytes | Exception:
    try:
        return answer(*given)
    except (Refusal, UnreadableJson) as refused:
        return refused


def test_workers_judge_as_it_is_done_here(pool: WorkerPool, assessor: Assessor) -> None:
    mate = Caller("mate", "Chief mate", "ship", None)
    documents = [(request.get("vessel_id", "none"), request.get("condition", {})) for request in requests()]
    task = Drafts([(mate, Draft(ship, document), "loaded") for ship, document in documents])
    here = list(task.results(assessor))
    there = pool.results(assessor, task, 60.0)
    assert there is not None
    assert [r if isinstance(r, Judged) else (type(r), vars(r)) for r in there] == [
        r if isinstance(r, Judged) else (type(r), vars(r)) for r in here
    ]
    assert sum(isinstance(result, Judged) for result in here) > 10
    assert sum(isinstance(result, Refusal) for result in here) > 3


def test_vessels_out_of_scope_stay_unknown_in_the_workers(pool: WorkerPool, assessor: Assessor) -> None:
    for _ in range(2 * pool.processes):
        answered(pool, assessor, lines())  # the workers keep both ships now
    scoped = assessor.within({"ostrel"})
    answers = answered(pool, scoped, lines())
    assert as_compared(answers) == as_compared(scoped.answer_lines(lines(), "full", "us"))
    assert not any(b'"Halvenmoor"' in a for a in answers or [] if isinstance(a, bytes))


def test_a_vessel_is_looked_up_by_the_parent_once_a_chunk(pool: WorkerPool, assessor: Assessor) -> None:
    asked: list[tuple[str, int | None]] = []

    def find(id: str, revision: int | None) -> PreparedVessel:
        asked.append((id, revision))
        return assessor.stored(id, revision)

    line = json.dumps(requests()[0]).encode()
    answers = answered(pool, assessor.with_vessels_from(find), [line] * 20, "summary")
    assert all(isinstance(answer, bytes) for answer in answers or [None])
    assert asked == [("halvenmoor", None)]


class NotToBePickledError(Exception):
    def __reduce__(self) -> Any:
        raise TypeError("not this one")


@pytest.mark.parametrize("fault", [ZeroDivisionError("by chance"), NotToBePickledError("by chance")])
def test_what_goes_wrong_in_a_look_up_is_told_to_its_line_alone(
    pool: WorkerPool, assessor: Assessor, fault: Exception
) -> None:
    def find(id: str, revision: int | None) -> PreparedVessel:
        if id == "halvenmoor":
            raise fault
        return assessor.stored(id, revision)

    text = [
        json.dumps({**request, "vessel_id": ship}).encode() for request in requests()[-9:-8] for ship in SHIPS
    ]
    first, second = answered(pool, assessor.with_vessels_from(find), text, "summary") or (None, None)
    assert isinstance(first, Exception)
    assert "by chance" in str(first)
    assert "in find" in "".join(first.__notes__), "the trace comes along"
    assert isinstance(second, bytes)


def test_a_killed_worker_is_told_and_replaced(assessor: Assessor) -> None:
    with running_pool() as pool:
        before = pool.ids()
        for id in before:
            os.kill(id, signal.SIGKILL)
        assert answered(pool, assessor, lines()) is None
        assert answered(pool, assessor, lines()) is None
        wait_for_workers(pool)
        assert not set(before) & set(pool.ids())
        here = as_compared(assessor.answer_lines(lines(), "full", "us"))
        assert as_compared(answered(pool, assessor, lines())) == here


@pytest.mark.parametrize("padding", [0, 2_000_000], ids=["waits for the answer", "waits to send the lines"])
def test_a_stopped_worker_is_waited_for_no_longer_than_said_and_ended(
    assessor: Assessor, padding: int
) -> None:
    with running_pool(1) as pool:
        (stopped,) = pool.ids()
        os.kill(stopped, signal.SIGSTOP)
        began = time.monotonic()
        assert answered(pool, assessor, [*lines(), b" " * padding], patience=1.0) is None
        assert 0.9 < time.monotonic() - began < 20.0
        assert not Path(f"/proc/{stopped}").exists()
        wait_for_workers(pool)
        assert pool.ids() != [stopped]
        assert answered(pool, assessor, lines()[:1]) is not None


def test_stopped_workers_end_with_the_pool(assessor: Assessor) -> None:
    with running_pool() as pool:
        ids = pool.ids()
        for id in ids:
            os.kill(id, signal.SIGSTOP)
    assert not any(Path(f"/proc/{id}").exists() for id in ids)
    assert answered(pool, assessor, lines()) is None, "a closed pool starts nobody"


def test_a_worker_at_work_says_so(assessor: Assessor, monkeypatch: pytest.MonkeyPatch) -> None:
    """After every line here, so that no chunk is too long for those who wait for it. The worker is a thread."""
    monkeypatch.setattr(worker, "SECONDS_BETWEEN_SIGNS_OF_LIFE", -1.0)
    ours, its = socket.socketpair()
    parent, other = Channel(ours), Channel(its)

    def serve() -> None:
        with suppress(EOFError):
            worker._Worker(other, 32).serve()

    thread = threading.Thread(target=serve)
    thread.start()
    line = json.dumps(requests()[0]).encode()
    ship = assessor.stored("halvenmoor", None)
    replies = {Named("halvenmoor", None): key_of(ship), Lacking(): ship}
    assert parent.receive(20) == Working(), "ready"
    parent.send(Lines([line] * 3, "summary", None))
    heard: list[Any] = []
    while not heard or not isinstance(heard[-1], list):
        heard.append(parent.receive(20))
        if heard[-1].__class__ in (Named, Lacking):
            parent.send(replies[heard[-1]])
    assert heard[:-1] == [Named("halvenmoor", None), Lacking(), Working(), Working(), Working()]
    assert len(heard[-1]) == 3
    parent.close()
    thread.join(20)
    assert not thread.is_alive()
    other.close()


def _parent(ids: Any) -> None:
    """A process with workers, which ends without a farewell."""
    pool = WorkerPool(2, 32)
    wait_for_workers(pool)
    ids.send(pool.ids())
    ids.recv()
    os._exit(1)


def test_workers_end_with_their_parent() -> None:
    spawn = multiprocessing.get_context("spawn")
    here, there = spawn.Pipe()
    parent = spawn.Process(target=_parent, args=(there,))
    parent.start()
    assert here.poll(SECONDS_TO_START)
    ids = here.recv()
    assert len(ids) == 2
    here.send("end")
    parent.join(20)
    end = time.monotonic() + 20
    while any(_runs(id) for id in ids):
        assert time.monotonic() < end, "orphans"
        time.sleep(0.05)
    here.close()


def _runs(id: int) -> bool:
    """Whether a process is there and is no zombie that nobody collected."""
    try:
        return Path(f"/proc/{id}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_no_processes_means_none(assessor: Assessor) -> None:
    pool = WorkerPool(0, 32)
    assert answered(pool, assessor, lines()) is None
    assert pool.ids() == []
    pool.close()
