"""Where calculations run, so that they never keep the service from saying that it is alive.

A calculation holds the interpreter. At most `slots` run at once, in threads; `waiting_room` more may wait, and
beyond that a request is refused at once with a hint when to come back. A small calculation is faster done on the
spot than handed to a thread, so it may run inline, at most `INLINE_PER_TURN` between two turns of the
event loop: what else is ready, such as a health check, waits for no more than those.
"""

import asyncio
from collections.abc import Callable, Generator
from contextlib import contextmanager
from typing import TypeVar

import anyio
from anyio import to_thread

from service.api.metrics import Metrics
from service.api.problems import RequestRefused

INLINE_PER_TURN = 1
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
        self._inline_this_turn = 0

    async def run(self, work: Callable[[], T], *, small: bool = False) -> T:
        """`work()`, in a thread or, when it is `small` and the loop has time, on the spot.

        Raises `RequestRefused` (busy) when the waiting room is full.
        """
        if small and self._takes_inline():
            return work()
        if self._in_hand >= self._admitted:
            raise self._busy()
        self._in_hand += 1
        self._metrics.calculations.set(self._in_hand)
        try:
            return await to_thread.run_sync(work, limiter=self._limiter)
        finally:
            self._in_hand -= 1
            self._metrics.calculations.set(self._in_hand)

    async def run_chunk(self, work: Callable[[], T]) -> T:
        """`work()` for a batch that was let in: it takes its turn among the calculations, however long that is."""
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

    def _takes_inline(self) -> bool:
        if self._inline_this_turn >= INLINE_PER_TURN:
            return False
        if self._inline_this_turn == 0:
            asyncio.get_running_loop().call_soon(self._next_turn)
        self._inline_this_turn += 1
        return True

    def _next_turn(self) -> None:
        self._inline_this_turn = 0

    def _busy(self) -> RequestRefused:
        self._metrics.refused_busy.inc()
        return RequestRefused(
            "busy", "All calculation slots are taken; try again shortly.", retry_after=RETRY_AFTER_SECONDS
        )
