"""Worker processes give the answers the desk itself gives, whatever they are told and however they end."""

import json
import os
import signal
import time
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest

from service.actions.access import Caller
from service.actions.assess import (
    Asked,
    AssessmentDesk,
    PreparedVessel,
    answer_together,
    as_json,
    prepare_vessel,
    unknown_vessel,
)
from service.actions.keep_condition import entry_of
from service.actions.refusal import Refusal
from service.actions.worker_pool import ROUND_WORTH_A_PROCESS, WORTH_A_PROCESS, WorkerPool
from service.demo import condition_names, read_condition, read_vessel
from service.storage import ConditionEntry

SECONDS_TO_START = 60.0
SHIPS = ("halvenmoor", "ostrel")


def find(id: str, revision: int | None) -> PreparedVessel:
    if id not in SHIPS or revision not in (None, 1):
        raise unknown_vessel()
    return prepare_vessel(json.loads(read_vessel(id)), ("vessel",), id, 1)


@pytest.fixture(scope="module")
def desk() -> AssessmentDesk:
    known = {(id, r): find(id, r) for id in SHIPS for r in (None, 1)}

    def find_once(id: str, revision: int | None) -> PreparedVessel:
        return known[id, revision] if (id, revision) in known else find(id, revision)

    return AssessmentDesk(find_once)


@pytest.fixture(scope="module")
def pool(desk: AssessmentDesk) -> Iterator[WorkerPool]:
    pool = WorkerPool(2, 32)
    wait_for_workers(pool, desk)
    yield pool
    pool.close()


def wait_for_workers(pool: WorkerPool, desk: AssessmentDesk) -> None:
    """Post until a worker answers; its process is not this one."""
    end = time.monotonic() + SECONDS_TO_START
    while pool._ready() is None:
        assert time.monotonic() < end, "the workers did not start"
        time.sleep(0.1)


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
    """The requests as lines, among others that cannot be read."""
    text = [json.dumps(request).encode() for request in requests()]
    text += [b"{", b'{"a": 1, "a": 2}', b"\xff", b'{"vessel_id": "halven\\u006door", "condition": {}}']
    return (text * (WORTH_A_PROCESS // len(text) + 1))[: max(WORTH_A_PROCESS, len(text))]


def told(answers: list[Any]) -> list[Any]:
    return [a if isinstance(a, bytes) else (type(a), vars(a)) for a in answers]


@pytest.mark.parametrize("detail", ["full", "summary"])
def test_workers_answer_as_the_desk_does(pool: WorkerPool, desk: AssessmentDesk, detail: Any) -> None:
    assert told(pool.answer_lines(desk, lines(), detail, "us")) == told(
        desk.answer_lines(lines(), detail, "us")
    )


def test_vessels_out_of_scope_stay_unknown_in_the_workers(pool: WorkerPool, desk: AssessmentDesk) -> None:
    pool.answer_lines(desk, lines(), "full", None)  # the workers hold both ships now
    scoped = desk.within({"ostrel"})
    answers = pool.answer_lines(scoped, lines(), "full", None)
    assert told(answers) == told(scoped.answer_lines(lines(), "full", None))
    assert not any(b'"Halvenmoor"' in a for a in answers if isinstance(a, bytes))


def asked(desk: AssessmentDesk) -> list[Asked]:
    """Requests of two callers, one of whom may see one ship only, with either thing that becomes of answers."""
    scoped, author = desk.within({"ostrel"}), Caller("mate", "Chief mate", "writer", None)
    rounds: list[Asked] = []
    for request in requests():
        kept = partial(entry_of, author, request.get("condition", {}), "loaded")
        rounds += [
            (desk, request, None, as_json),
            (scoped, request, "us", as_json),
            (desk, request, None, kept),
        ]
    return rounds


def test_a_round_is_answered_in_a_worker_as_it_is_here(pool: WorkerPool, desk: AssessmentDesk) -> None:
    of = asked(desk)
    there, here = pool.answer_together(of), answer_together(of)
    assert told(there) == told(here)
    assert sum(isinstance(answer, ConditionEntry) for answer in there) > 10
    assert sum(isinstance(answer, Refusal) for answer in there) > 10


def test_a_round_is_answered_by_another_process(pool: WorkerPool, desk: AssessmentDesk) -> None:
    request = requests()[0]
    inline = {"vessel": json.loads(read_vessel("halvenmoor")), "condition": request["condition"]}
    of: list[Asked] = [(desk, request, None, process_of)] * ROUND_WORTH_A_PROCESS
    assert os.getpid() not in pool.answer_together(of)
    assert pool.answer_together(of[1:]) == [os.getpid()] * (ROUND_WORTH_A_PROCESS - 1)
    mixed = pool.answer_together([*of, (desk, inline, None, process_of)])
    assert os.getpid() not in mixed[:-1]
    assert mixed[-1] == os.getpid()


def process_of(answer: Any) -> int:
    assert answer["verdict"]
    return os.getpid()


def test_a_killed_worker_costs_no_answer(desk: AssessmentDesk) -> None:
    pool = WorkerPool(2, 32)
    try:
        wait_for_workers(pool, desk)
        executor = pool._ready()
        assert executor is not None
        victim = executor.submit(os.getpid).result()
        assert victim != os.getpid()
        os.kill(victim, signal.SIGKILL)
        expected = told(desk.answer_lines(lines(), "full", None))
        assert told(pool.answer_lines(desk, lines(), "full", None)) == expected
        wait_for_workers(pool, desk)
        assert told(pool.answer_lines(desk, lines(), "full", None)) == expected
        executor = pool._ready()
        assert executor is not None
        for victim in executor._processes:
            os.kill(victim, signal.SIGKILL)
        together = answer_together(asked(desk))
        assert told(pool.answer_together(asked(desk))) == told(together)
    finally:
        pool.close()


def test_one_process_means_none() -> None:
    pool = WorkerPool(1, 32)
    assert pool._ready() is None
    pool.close()
