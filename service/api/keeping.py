"""Writes that arrive while others are kept are kept together, in one transaction and one commit.

Writers come one at a time on either database. So whoever comes while one is at work waits for the next transaction,
and all who wait share it; each is answered after its commit. Nobody waits when nobody else is there.
"""

import asyncio
from collections.abc import Callable
from functools import partial
from typing import Any

import anyio
from anyio import to_thread

from service.actions.once import Made
from service.actions.records import Records, write_together

MOST_TOGETHER = 32

Work = Callable[[Any], Made]
"""What to do in the writing transaction it is given."""


class Keeping:
    """The queue before the one writer. Belongs to one event loop."""

    def __init__(self, records: Records, threads: anyio.CapacityLimiter) -> None:
        self._records, self._threads = records, threads
        self._waiting: list[tuple[Work, asyncio.Future[Made]]] = []
        self._writing: asyncio.Task[None] | None = None

    async def keep(self, work: Work) -> Made:
        """What `work` makes, once it is committed. Raises what it is refused with."""
        made: asyncio.Future[Made] = asyncio.get_running_loop().create_future()
        self._waiting.append((work, made))
        if self._writing is None or self._writing.done():
            self._writing = asyncio.create_task(self._write())
        return await made

    async def _write(self) -> None:
        while self._waiting:
            taken, self._waiting = self._waiting[:MOST_TOGETHER], self._waiting[MOST_TOGETHER:]
            works = [work for work, _ in taken]
            try:
                done = await to_thread.run_sync(
                    partial(write_together, self._records, works), limiter=self._threads
                )
            except Exception as failure:  # noqa: BLE001 - those who wait are told, whatever it was
                done = [failure] * len(taken)
            for (_, future), made in zip(taken, done, strict=True):
                if future.done():  # its client went away; what it wrote stays
                    continue
                if isinstance(made, Exception):
                    future.set_exception(made)
                else:
                    future.set_result(made)
