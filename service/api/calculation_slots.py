"""Where calculations run, so that they never keep the service from saying that it is alive.

A calculation holds the interpreter. At most `slots` run at once, in threads; `waiting_room` more may wait, and
beyond that a request is refused at once with a hint when to come back.
"""

from collections.abc import Callable, Generator
from contextlib import contextmanager
from typing import TypeVar

import anyio
from anyio import to_thread

from service.api.metrics import Metrics
from service.api.problems import RequestRefused

RETRY_AFTER_SECONDS = 1

T = TypeVar("T")


class CalculationSlots:
    """Threads for calculations and the room to wait for them. Belongs to one event loop."""

    def __init__(self, slots: int, waiting_room: int, max_batches: int, metrics: Metrics) -> None:
        self.slots = slots
        self._limiter = anyio.CapacityLimiter(slots)
        self._admitted = slots + waiting_room
        self._max_batches = max_batches
        self._metrics = metrics
        self._in_hand = 0
        self._batches = 0

    async def run(self, work: Callable[[], T]) -> T:
        """`work()`, in a thread. Raises `RequestRefused` (busy) when the waiting room is full."""
        with self.admitted():
            return await to_thread.run_sync(work, limiter=self._limiter)

    @contextmanager
    def admitted(self) -> Generator[None]:
        """A place for one calculation. Raises `RequestRefused` (busy) when the waiting room is full."""
        if self._in_hand >= self._admitted:
            raise self._busy()
        self._in_hand += 1
        self._metrics.calculations.set(self._in_hand)
        try:
            yield
        finally:
            self._in_hand -= 1
            self._metrics.calculations.set(self._in_hand)

    async def run_chunk(self, work: Callable[[], T]) -> T:
        """`work()` for what was let in before: it takes its turn among the calculations, however long that is."""
        return await to_thread.run_sync(work, limiter=self._limiter)

    @contextmanager
    def batch(self) -> Generator[None]:
        """Room for one batch. Raises `RequestRefused` (busy) when there is none."""
        if self._batches >= self._max_batches:
            raise self._busy()
        self._batches += 1
        self._metrics.batches.set(self._batches)
        try:
            yield
        finally:
            self._batches -= 1
            self._metrics.batches.set(self._batches)

    def _busy(self) -> RequestRefused:
        self._metrics.refused_busy.inc()
        return RequestRefused(
            "busy", "All calculation slots are taken; try again shortly.", retry_after=RETRY_AFTER_SECONDS
        )
