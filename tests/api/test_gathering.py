"""Requests answered together are answered as if each were alone; bounds on counts, not on time."""

import asyncio
import copy
import json
import threading
from typing import Any

import anyio
import pytest

from service.actions import assess, worker_pool
from service.actions.assess import AssessmentDesk, prepare_vessel
from service.actions.refusal import Refusal
from service.actions.worker_pool import WorkerPool
from service.api import gathering
from service.api.calculation_slots import CalculationSlots
from service.api.gathering import Gathering
from service.api.metrics import Metrics
from service.api.problems import RequestRefused
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel

pytestmark = pytest.mark.anyio


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture(scope="module")
def desk() -> AssessmentDesk:
    ships = {id: prepare_vessel(json.loads(read_vessel(id)), ("vessel",), id, 1) for id in demo_vessel_ids()}
    return AssessmentDesk(lambda ship, revision: ships[ship])


def requests() -> list[dict[str, Any]]:
    good = [
        {"vessel_id": ship, "condition": json.loads(read_condition(ship, name))}
        for ship in demo_vessel_ids()
        for name in condition_names(ship)
    ]
    bad = copy.deepcopy(good[0])
    bad["condition"]["tanks"][0]["tank"] = "none"
    sunk = copy.deepcopy(good[1])
    sunk["condition"]["weights"][0]["mass"] = 90000.0
    return [*good, bad, sunk, {}]


def _gathering(slots: int = 1, waiting: int = 100) -> Gathering:
    return Gathering(CalculationSlots(slots, waiting, 1, Metrics()), WorkerPool(0, 32))


def _watched(monkeypatch: pytest.MonkeyPatch) -> tuple[list[int], threading.Event]:
    """The sizes of the rounds that were begun, and what lets them go on."""
    sizes: list[int] = []
    gate = threading.Event()

    def watched(asked: Any) -> list[Any]:
        sizes.append(len(asked))
        assert gate.wait(20)
        return assess.answer_together(asked)

    monkeypatch.setattr(worker_pool, "answer_together", watched)
    return sizes, gate


async def test_together_is_as_alone(desk: AssessmentDesk) -> None:
    gathered = _gathering()
    asked = [(request, units) for request in requests() for units in (None, "us")]
    together = await asyncio.gather(
        *(gathered.answer(desk, request, units, assess.as_json) for request, units in asked),
        return_exceptions=True,
    )
    for (request, units), answer in zip(asked, together):
        if isinstance(answer, bytes):
            alone = desk.assessment(request, units)
            assert _nearly(json.loads(answer), alone)
        else:
            with pytest.raises(Refusal) as refused:
                desk.assessment(request, units)
            assert isinstance(answer, Refusal)
            assert (answer.code, answer.errors) == (refused.value.code, refused.value.errors)


def _nearly(one: Any, other: Any) -> bool:
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_nearly(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(_nearly, one, other))
    return one == other or one == pytest.approx(other, rel=1e-12, abs=1e-12)


async def test_those_who_wait_share_the_next_round(
    desk: AssessmentDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes, gate = _watched(monkeypatch)
    gathered, request = _gathering(slots=1), requests()[0]
    first = asyncio.create_task(gathered.answer(desk, request, None, assess.as_json))
    with anyio.fail_after(20):
        while not sizes:  # noqa: ASYNC110 - told from a thread
            await asyncio.sleep(0.01)
        rest = [asyncio.create_task(gathered.answer(desk, request, None, assess.as_json)) for _ in range(40)]
        await asyncio.sleep(0)
        rest[3].cancel()
        gate.set()
        answers = await asyncio.gather(first, *rest, return_exceptions=True)
    assert sizes == [1, gathering.MOST_TOGETHER, 40 - gathering.MOST_TOGETHER]
    assert [type(answer) for answer in answers].count(bytes) == 40
    assert isinstance(answers[4], asyncio.CancelledError)


async def test_whoever_asks_again_at_once_is_answered(desk: AssessmentDesk) -> None:
    gathered = _gathering(slots=1)
    with anyio.fail_after(20):
        for request in requests()[:3]:
            assert isinstance(await gathered.answer(desk, request, None, assess.as_json), bytes)


class Rounds:
    """A gathering whose rounds wait at a gate, and the requests that were put to it."""

    def __init__(self, desk: AssessmentDesk, monkeypatch: pytest.MonkeyPatch) -> None:
        self.sizes, self._gate = _watched(monkeypatch)
        self._gathering, self._desk = _gathering(slots=2), desk
        self._asked: list[asyncio.Task[bytes]] = []

    async def ask(self, times: int, begun: int) -> list[int]:
        """Put requests, wait until as many rounds have `begun`; the sizes of those that have a little later."""
        question = requests()[0]
        self._asked.extend(
            asyncio.create_task(self._gathering.answer(self._desk, question, None, assess.as_json))
            for _ in range(times)
        )
        while len(self.sizes) < begun:  # noqa: ASYNC110 - told from a thread
            await asyncio.sleep(0.01)
        await asyncio.sleep(0.05)
        return list(self.sizes)

    async def let_go(self) -> list[int]:
        """Answer all; the sizes of all rounds."""
        self._gate.set()
        await asyncio.gather(*self._asked)
        return self.sizes


async def test_another_round_begins_beside_one_only_when_it_would_be_full(
    desk: AssessmentDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gathering, "PATIENCE_SECONDS", 60.0)
    rounds, full = Rounds(desk, monkeypatch), gathering.MOST_TOGETHER
    with anyio.fail_after(20):
        assert await rounds.ask(1, begun=1) == [1]
        assert await rounds.ask(full - 1, begun=1) == [1]
        assert await rounds.ask(3, begun=2) == [1, full]
        assert await rounds.let_go() == [1, full, 2]


async def test_a_slow_round_holds_nobody_up_for_long(
    desk: AssessmentDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    rounds = Rounds(desk, monkeypatch)
    with anyio.fail_after(20):
        assert await rounds.ask(1, begun=1) == [1]
        assert await rounds.ask(3, begun=2) == [1, 3]
        assert await rounds.let_go() == [1, 3]


async def test_a_full_waiting_room_refuses_and_recovers(desk: AssessmentDesk) -> None:
    gathered, request = _gathering(slots=1, waiting=2), requests()[0]
    with anyio.fail_after(20):
        answers = await asyncio.gather(
            *(gathered.answer(desk, request, None, assess.as_json) for _ in range(10)), return_exceptions=True
        )
        assert [type(answer) for answer in answers] == [bytes] * 3 + [RequestRefused] * 7
        assert isinstance(await gathered.answer(desk, request, None, assess.as_json), bytes)


async def test_an_unexpected_failure_reaches_everybody_of_its_round(
    desk: AssessmentDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(asked: Any) -> list[bytes | Exception]:
        raise ZeroDivisionError

    monkeypatch.setattr(worker_pool, "answer_together", broken)
    gathered = _gathering()
    with anyio.fail_after(20):
        answers = await asyncio.gather(
            *(gathered.answer(desk, requests()[0], None, assess.as_json) for _ in range(3)),
            return_exceptions=True,
        )
    assert [type(answer) for answer in answers] == [ZeroDivisionError] * 3
