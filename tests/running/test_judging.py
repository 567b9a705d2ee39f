"""Conditions that wait to be judged together are judged as each would be alone, and each author hears of his own."""

import asyncio
import json
from typing import Any

import anyio
import pytest

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import Draft, Judged, judge
from service.actions.request_members import SMALL_LINES
from service.demo import condition_names, read_condition, read_vessel
from service.running.calculation_slots import CalculationSlots
from service.running.judging import MOST_TOGETHER, WORTH_A_PROCESS, JudgeQueue
from service.running.metrics import Metrics
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel, unknown_vessel
from service.wire.refusal import Refusal

pytestmark = pytest.mark.anyio
SHIP = "halvenmoor"
MATE = Caller("mate", "Chief mate", "ship", None)


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture(scope="module")
def assessor() -> Assessor:
    prepared = prepare_vessel(json.loads(read_vessel(SHIP)), ("vessel",), SHIP, 1)

    def find(id: str, revision: int | None) -> PreparedVessel:
        if id != SHIP:
            raise unknown_vessel()
        return prepared

    return Assessor(find, lambda ship, revision: prepared if ship == SHIP else None)


class Bench:
    """In the place of the worker processes: does tasks in this one, when it is told to go on."""

    def __init__(self, outcome: Any = "done", free: bool = True) -> None:
        self._outcome, self.free = outcome, free
        self.sizes: list[int] = []
        self.begun, self.go_on = asyncio.Event(), asyncio.Event()
        self.go_on.set()

    def are_free(self) -> bool:
        return self.free

    async def results(self, assessor: Assessor, task: Any, patience: float) -> Any:
        self.sizes.append(len(task.drafts))
        self.begun.set()
        await self.go_on.wait()
        if isinstance(self._outcome, Exception):
            raise self._outcome
        return list(task.results(assessor)) if self._outcome == "done" else self._outcome


def queue_of(assessor: Assessor, bench: Bench, waiting: int = 100) -> JudgeQueue:
    return JudgeQueue(assessor, CalculationSlots(1, waiting, 1, Metrics()), bench)  # type: ignore[arg-type]


def drafts(count: int) -> list[Draft]:
    """Good ones and refused ones in turn, none with a plan: those are not small."""
    names = [name for name in condition_names(SHIP) if "plan" not in json.loads(read_condition(SHIP, name))]
    made = []
    for number in range(count):
        document = {**json.loads(read_condition(SHIP, names[number % len(names)])), "title": f"No. {number}"}
        if number % 3 == 1:
            document["tanks"] = [{"tank": "none", "fill": 1.0}]
        made.append(Draft(SHIP, document))
    return made


def as_compared(result: Any) -> Any:
    return result if isinstance(result, Judged) else (type(result), vars(result))


async def all_judged(queue: JudgeQueue, several: list[Draft]) -> list[Any]:
    with anyio.fail_after(60):
        found = await asyncio.gather(
            *(queue.judged(MATE, draft, draft.document["title"]) for draft in several), return_exceptions=True
        )
    return [as_compared(result) for result in found]


def alone(assessor: Assessor, draft: Draft) -> Any:
    try:
        return judge(assessor, MATE, draft, draft.document["title"])
    except Refusal as refused:
        return as_compared(refused)


@pytest.mark.parametrize(
    "bench",
    [Bench(), Bench(outcome=None), Bench(outcome=ZeroDivisionError()), Bench(free=False)],
    ids=["worker", "worker lost", "worker fails", "no worker free"],
)
async def test_together_is_as_alone(assessor: Assessor, bench: Bench) -> None:
    several = drafts(2 * WORTH_A_PROCESS + 1)
    expected = [alone(assessor, draft) for draft in several]
    assert sum(isinstance(result, Judged) for result in expected) > WORTH_A_PROCESS
    assert await all_judged(queue_of(assessor, bench), several) == expected
    assert bench.sizes == ([len(several)] if bench.free else [])


async def test_few_are_judged_here(assessor: Assessor) -> None:
    bench = Bench()
    several = drafts(WORTH_A_PROCESS - 1)
    assert await all_judged(queue_of(assessor, bench), several) == [
        alone(assessor, draft) for draft in several
    ]
    assert bench.sizes == []


async def test_whoever_comes_meanwhile_is_judged_next(assessor: Assessor) -> None:
    bench = Bench()
    bench.go_on.clear()
    queue, several = queue_of(assessor, bench), drafts(WORTH_A_PROCESS + MOST_TOGETHER + 5)
    first = asyncio.create_task(all_judged(queue, several[:WORTH_A_PROCESS]))
    await bench.begun.wait()
    rest = asyncio.create_task(all_judged(queue, several[WORTH_A_PROCESS:]))
    for _ in range(10):
        await asyncio.sleep(0)
    assert bench.sizes == [WORTH_A_PROCESS]
    bench.go_on.set()
    assert await first + await rest == [alone(assessor, draft) for draft in several]
    assert bench.sizes == [WORTH_A_PROCESS, MOST_TOGETHER, 5]


async def test_a_client_that_goes_away_holds_nobody_up(assessor: Assessor) -> None:
    bench = Bench()
    bench.go_on.clear()
    queue, several = queue_of(assessor, bench), drafts(WORTH_A_PROCESS)
    tasks = [asyncio.create_task(queue.judged(MATE, draft, draft.document["title"])) for draft in several]
    await bench.begun.wait()
    tasks[0].cancel()
    bench.go_on.set()
    found = [as_compared(r) for r in (await asyncio.gather(*tasks, return_exceptions=True))[1:]]
    assert found == [alone(assessor, draft) for draft in several[1:]]
    assert await all_judged(queue, several[:1]) == [alone(assessor, several[0])]


async def test_a_full_waiting_room_refuses_and_recovers(assessor: Assessor) -> None:
    queue, several = queue_of(assessor, Bench(), waiting=5), drafts(10)
    found = await all_judged(queue, several)
    assert [result[1]["code"] == "busy" for result in found if isinstance(result, tuple)].count(True) == 4
    assert await all_judged(queue, several[:1]) == [alone(assessor, several[0])]


async def test_a_large_one_is_judged_in_a_thread_of_its_own(assessor: Assessor) -> None:
    bench = Bench()
    (draft,) = drafts(1)
    weight = {"name": "Box", "category": "cargo", "mass": 0.001, "lcg": 50.0, "vcg": 5.0, "tcg": 0.0}
    draft.document["weights"] += [{**weight, "name": f"Box {n}"} for n in range(SMALL_LINES)]
    several = [draft] * WORTH_A_PROCESS
    assert await all_judged(queue_of(assessor, bench), several) == [alone(assessor, draft)] * WORTH_A_PROCESS
    assert bench.sizes == []
