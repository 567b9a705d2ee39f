"""Calculations never keep the event loop: bounds on counts, not on time."""

import asyncio
import threading
from functools import partial

import anyio
import pytest

from service.api.calculation_slots import CalculationSlots
from service.api.metrics import Metrics
from service.api.problems import RequestRefused

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
        with pytest.raises(RequestRefused) as refused:
            await slots.run(gate.work)
        gate.open()
        await asyncio.gather(*tasks)
        assert await slots.run(lambda: 7) == 7
    assert refused.value.code == "busy"
    assert int(refused.value.headers["Retry-After"]) >= 1


async def test_a_failing_calculation_gives_its_place_back() -> None:
    slots = _slots(slots=1, waiting=0)
    for _ in range(3):
        with pytest.raises(ZeroDivisionError):
            await slots.run(lambda: 1 // 0)
    assert await slots.run(lambda: 7) == 7


async def test_batches_are_bounded() -> None:
    slots = _slots(batches=1)
    with slots.batch():
        with pytest.raises(RequestRefused), slots.batch():
            pass
        assert await slots.run_chunk(partial(int, "7")) == 7
    with slots.batch():
        pass
