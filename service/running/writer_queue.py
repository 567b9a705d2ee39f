"""The queue before the one writer. Writes that come while others are kept share the next transaction and its commit.

Writers come one at a time on either database, and a commit costs as much as many rows. Each write is answered after its
commit. Nobody waits when nobody else is there.
"""

import asyncio
from collections import deque
from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

import anyio
from anyio import to_thread

from service.actions.records.transactions import Records, write_together
from service.running.tracing import Span, no_span

MOST_TOGETHER = 32
"""Writes of one transaction: few enough for the health check to come between two of them, and for others to have their
turn. A write that keeps many conditions counts as many."""

T = TypeVar("T")


class WriterQueue:
    """Writes in the order they came. Belongs to one event loop."""

    def __init__(self, records: Records, threads: anyio.CapacityLimiter, span: Span = no_span) -> None:
        self._records, self._threads, self._span = records, threads, span
        self._waiting: deque[tuple[Callable[[Any], Any], int, asyncio.Future[Any]]] = deque()
        self._writing: asyncio.Task[None] | None = None

    async def keep(self, work: Callable[[Any], T], size: int = 1) -> T:
        """What `work` makes in the writing transaction it is given, once it is committed. Raises what it is refused
        with. size: how many writes it counts as."""
        made: asyncio.Future[T] = asyncio.get_running_loop().create_future()
        self._waiting.append((work, size, made))
        if self._writing is None or self._writing.done():
            self._writing = asyncio.create_task(self._write())
        with self._span("commit"):
            return await made

    def waiting(self) -> int:
        """Writes that wait for the next transaction."""
        return len(self._waiting)

    async def _write(self) -> None:
        """Do all that waits and what comes meanwhile."""
        while self._waiting:
            taken = self._next_writes()
            works = [work for work, _ in taken]
            results: list[Any]
            try:
                results = await to_thread.run_sync(
                    partial(write_together, self._records, works), limiter=self._threads
                )
            except Exception as failure:  # noqa: BLE001 - those who wait are told, whatever it was
                results = [failure] * len(taken)
            for (_, made), result in zip(taken, results, strict=True):
                if made.done():  # its client went away; what was kept stays kept
                    continue
                if isinstance(result, Exception):
                    made.set_exception(result)
                else:
                    made.set_result(result)

    def _next_writes(self) -> list[tuple[Callable[[Any], Any], asyncio.Future[Any]]]:
        """The next writes to be kept together: the first one that waits, and what fits in beside it."""
        taken: list[tuple[Callable[[Any], Any], asyncio.Future[Any]]] = []
        room = MOST_TOGETHER
        while self._waiting and (not taken or self._waiting[0][1] <= room):
            work, size, made = self._waiting.popleft()
            taken.append((work, made))
            room -= size
        return taken
