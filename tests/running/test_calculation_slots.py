"""Calculations never keep the event loop: bounds on counts, not on time."""

import asyncio
import threading
from collections.abc import Callable
from functools import partial

import anyio
import pytest

from service.running import calculation_slots
from service.running.calculation_slots import CalculationSlots
from service.running.metrics import Metrics
from service.wire.refusal import Refusal

pytestmark = pytest.mark.anyio


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


def _slots(slots: int = 2, waiting: int = 3, batches: int = 1) -> CalculationSlots:
    return CalculationSlots(slots, waiting, batches, Metrics())


class _Gate:
    """Work that holds its slot until it is let go."""

    def __init__(self) -> None:
        self._open = threading.Event()
        self._changed = threading.Condition()
        self.running = self.most = 0

    def work(self) -> int:
        with self._changed:
            self.running += 1
            self.most = max(self.most, self.running)
            self._changed.notify_all()
        assert self._open.wait(20)
        with self._changed:
            self.running -= 1
        return threading.get_ident()

    def wait_for(self, running: int) -> None:
        """Until that many run."""
        with self._changed:
            assert self._changed.wait_for(lambda: self.running >= running, 20)

    def open(self) -> None:
        self._open.set()


async def test_as_many_run_as_there_are_slots_and_the_loop_goes_on() -> None:
    slots, gate = _slots(slots=2, waiting=3), _Gate()
    tasks = [asyncio.create_task(slots.run(gate.work)) for _ in range(5)]
    with anyio.fail_after(20):
        await asyncio.to_thread(gate.wait_for, 2)
        for _ in range(100):  # the loop turns although every slot is held
            await asyncio.sleep(0)
        gate.open()
        threads = await asyncio.gather(*tasks)
    assert gate.most == 2
    assert threading.get_ident() not in threads


async def test_a_full_waiting_room_refuses_at_once() -> None:
    slots, gate = _slots(slots=2, waiting=3), _Gate()
    tasks = [asyncio.create_task(slots.run(gate.work)) for _ in range(5)]
    with anyio.fail_after(20):
        await asyncio.sleep(0)
        with pytest.raises(Refusal) as refused:
            await slots.run(gate.work)
        gate.open()
        await asyncio.gather(*tasks)
        assert await slots.run(lambda: 7) == 7
    assert refused.value.code == "busy"
    assert refused.value.retry_after == 1


async def test_a_failing_calculation_gives_its_place_back() -> None:
    slots = _slots(slots=1, waiting=0)
    for _ in range(3):
        with pytest.raises(ZeroDivisionError):
            await slots.run(lambda: 1 // 0)
    assert await slots.run(lambda: 7) == 7


async def test_batches_are_bounded() -> None:
    slots = _slots(batches=1)
    with slots.batch("a"):
        with pytest.raises(Refusal), slots.batch("b"):
            pass
        assert await slots.run_chunk(partial(int, "7")) == 7
    with slots.batch("b"):
        pass


# --- small calculations on the event loop: a clock that only they move -----------------------------------------


class _Clock:
    """Takes the place of the time: work says how long it takes."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now, self.done = 1.0, list[str]()
        monkeypatch.setattr(calculation_slots, "perf_counter", lambda: self.now)

    def work(self, name: str, seconds: float) -> Callable[[], str]:
        def work() -> str:
            self.now += seconds
            self.done.append(name)
            return f"{name} on {threading.current_thread().name}"

        return work


async def test_a_small_calculation_is_done_at_once_and_here(monkeypatch: pytest.MonkeyPatch) -> None:
    slots, clock = _slots(), _Clock(monkeypatch)
    task = asyncio.create_task(slots.run_briefly(clock.work("a", 0.001)))
    await asyncio.sleep(0)
    assert task.done()
    assert await task == f"a on {threading.current_thread().name}"


async def test_small_calculations_wait_for_the_next_turn_once_this_one_is_spent(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of 2 ms each, three are begun in a turn of 5 ms; the others follow in their order, three a turn."""
    slots, clock = _slots(waiting=100), _Clock(monkeypatch)
    tasks = [asyncio.create_task(slots.run_briefly(clock.work(str(n), 0.002))) for n in range(8)]
    done = []
    while len(clock.done) < 8:
        await asyncio.sleep(0)
        done.append(len(clock.done))
    assert done == [3, 6, 8]
    assert clock.done == [str(n) for n in range(8)]
    assert [answer.partition(" ")[0] for answer in await asyncio.gather(*tasks)] == clock.done


async def test_whoever_comes_later_does_not_overtake(monkeypatch: pytest.MonkeyPatch) -> None:
    slots, clock = _slots(waiting=100), _Clock(monkeypatch)
    tasks = [asyncio.create_task(slots.run_briefly(clock.work(str(n), 0.006))) for n in range(3)]
    await asyncio.sleep(0)
    tasks.append(asyncio.create_task(slots.run_briefly(clock.work("late", 0.0))))
    await asyncio.gather(*tasks)
    assert clock.done == ["0", "1", "2", "late"]


async def test_a_small_calculation_that_fails_or_is_given_up_holds_nobody_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    slots, clock = _slots(slots=1, waiting=3), _Clock(monkeypatch)

    def fail() -> None:
        clock.now += 0.01
        raise ZeroDivisionError

    for _ in range(3):
        failing = [asyncio.create_task(slots.run_briefly(fail)) for _ in range(2)]
        given_up = asyncio.create_task(slots.run_briefly(clock.work("given up", 0.01)))
        last = asyncio.create_task(slots.run_briefly(clock.work("last", 0.01)))
        await asyncio.sleep(0)
        given_up.cancel()
        found = await asyncio.gather(*failing, given_up, last, return_exceptions=True)
        assert [type(result) for result in found[:3]] == [ZeroDivisionError] * 2 + [asyncio.CancelledError]
        assert str(found[3]).startswith("last")
    assert clock.done == ["last"] * 3


async def test_a_full_waiting_room_refuses_small_calculations_too(monkeypatch: pytest.MonkeyPatch) -> None:
    slots, clock = _slots(slots=1, waiting=2), _Clock(monkeypatch)
    tasks = [asyncio.create_task(slots.run_briefly(clock.work(str(n), 0.006))) for n in range(10)]
    found = await asyncio.gather(*tasks, return_exceptions=True)
    assert [isinstance(result, Refusal) for result in found].count(True) == 6, "one done, three waiting"
    assert await slots.run_briefly(clock.work("after", 0.0))


def test_batches_of_one_key_leave_room_for_those_of_others() -> None:
    slots = CalculationSlots(1, 1, 8, Metrics(), max_batches_per_key=2)
    with slots.batch("a"), slots.batch("a"):
        with pytest.raises(Refusal, match="This key"), slots.batch("a"):
            pass
        with slots.batch("b"):
            pass
    with slots.batch("a"):
        pass
