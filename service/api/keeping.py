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
from service.api.waiting import Waiting

Work = Callable[[Any], Made]
"""What to do in the writing transaction it is given."""


class Keeping:
    """The queue before the one writer. Belongs to one event loop."""

    def __init__(self, records: Records, threads: anyio.CapacityLimiter) -> None:
        self._records, self._threads = records, threads
        self._waiting = Waiting[Work]()
        self._writing: asyncio.Task[None] | None = None

    async def keep(self, work: Work) -> Made:
        """What `work` makes, once it is committed. Raises what it is refused with."""
        made: asyncio.Future[Made] = self._waiting.enter(work)
        if self._writing is None or self._writing.done():
            self._writing = asyncio.create_task(self._waiting.serve(self._written))
        return await made

    async def _written(self, works: list[Work]) -> list[Made | Exception]:
        return await to_thread.run_sync(partial(write_together, self._records, works), limiter=self._threads)
