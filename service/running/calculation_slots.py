"""Where calculations run, so that they never keep the service from saying that it is alive.

A calculation holds the interpreter. A small one is done on the event loop, where the hop to a thread would cost as much
as the work: in the order they came, for `BRIEF_SECONDS` between two looks at the sockets. A large one is done in a
thread, `slots` of them at once. `waiting_room` more of either kind may wait, and beyond that a request is refused at
once with a hint when to come back.
"""

import asyncio
from collections import Counter, deque
from collections.abc import Callable, Generator
from contextlib import contextmanager
from time import perf_counter
from typing import Any, TypeVar

import anyio
from anyio import to_thread

from service.running.metrics import Metrics
from service.running.tracing import Span, no_span
from service.wire.refusal import Refusal

RETRY_AFTER_SECONDS = 1
BRIEF_SECONDS = 0.005
"""How long small calculations may keep the event loop before it looks at its sockets again."""

LONG_TEXT = 64 * 1024
"""Bytes of a text beyond which parsing it is a matter of milliseconds."""

T = TypeVar("T")


class CalculationSlots:
    """Threads for calculations and the room to wait for them. Belongs to one event loop."""

    def __init__(
        self,
        slots: int,
        waiting_room: int,
        max_batches: int,
        metrics: Metrics,
        *,
        max_batches_per_key: int | None = None,
        span: Span = no_span,
    ) -> None:
        """max_batches_per_key: as many as there are at all when None."""
        self.slots = slots
        self._limiter = anyio.CapacityLimiter(slots)
        self._long_texts = anyio.CapacityLimiter(1)
        self._admitted = slots + waiting_room
        self._max_batches = max_batches
        self._max_batches_per_key = max_batches_per_key or max_batches
        self._batches_of: Counter[str] = Counter()
        self._metrics = metrics
        self._span = span
        self._in_hand = 0
        self._batches = 0
        self._brief: deque[tuple[Callable[[], Any], asyncio.Future[Any]]] = deque()
        self.stopping = asyncio.Event()
        """Set when the server ends: what goes on for long comes to its end then."""
        self._spent = 0.0
        """Seconds of small calculations since the event loop last looked at its sockets."""

    async def run(self, work: Callable[[], T], *, text: int = 0) -> T:
        """`work()`, in a thread. Raises `Refusal` (busy) when the waiting room is full.

        text: bytes that it parses. Long ones are parsed one at a time: a parser keeps the interpreter all the while."""
        with self.admitted(), self._span("calculation"):
            if text <= LONG_TEXT:
                return await to_thread.run_sync(work, limiter=self._limiter)
            async with self._long_texts:
                return await to_thread.run_sync(work, limiter=self._limiter)

    async def run_briefly(self, work: Callable[[], T]) -> T:
        """`work()`, which takes a few milliseconds at most, on the event loop in its turn.

        Raises `Refusal` (busy) when the waiting room is full."""
        with self.admitted(), self._span("calculation"):
            return await self.in_turn(work)

    async def in_turn(self, work: Callable[[], T]) -> T:
        """The same for work that was let in before."""
        if self._spent < BRIEF_SECONDS and not self._brief:
            return self._timed(work)
        done: asyncio.Future[T] = asyncio.get_running_loop().create_future()
        self._brief.append((work, done))
        return await done

    def _timed(self, work: Callable[[], T]) -> T:
        if not self._spent:
            asyncio.get_running_loop().call_soon(self._next_turn)
        began = perf_counter()
        try:
            return work()
        finally:
            self._spent += perf_counter() - began

    def _next_turn(self) -> None:
        """The sockets were looked at: do what waits, for as long as a turn may take."""
        self._spent = 0.0
        while self._brief and self._spent < BRIEF_SECONDS:
            work, done = self._brief.popleft()
            if done.done():  # its client went away
                continue
            try:
                result = self._timed(work)
            except Exception as fault:  # noqa: BLE001 - given to the one who waits for it
                done.set_exception(fault)
            else:
                done.set_result(result)

    @contextmanager
    def admitted(self) -> Generator[None]:
        """A place for one calculation. Raises `Refusal` (busy) when the waiting room is full."""
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
        with self._span("calculation"):
            return await to_thread.run_sync(work, limiter=self._limiter)

    @contextmanager
    def batch(self, key: str) -> Generator[None]:
        """Room for one batch of a key. Raises `Refusal` (busy) when there is none."""
        if self._batches >= self._max_batches:
            raise self._busy()
        if self._batches_of[key] >= self._max_batches_per_key:
            raise self._busy("This key has as many batches under way as it may; wait for one of them to end.")
        self._batches += 1
        self._batches_of[key] += 1
        self._metrics.batches.set(self._batches)
        try:
            yield
        finally:
            self._batches -= 1
            self._batches_of[key] -= 1
            if not self._batches_of[key]:
                del self._batches_of[key]
            self._metrics.batches.set(self._batches)

    def _busy(self, detail: str = "All calculation slots are taken; try again shortly.") -> Refusal:
        self._metrics.refused_busy.inc()
        return Refusal("busy", detail, retry_after=RETRY_AFTER_SECONDS)
