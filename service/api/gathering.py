"""Requests that arrive while others are computed are computed together.

The core assesses many conditions of a ship in little more time than one. So whoever comes while a round is under way
waits for the next one, and all who wait are answered in it. Nobody waits when nobody else is there.
"""

import asyncio
from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

from service.actions.assess import Answer, Asked, AssessmentDesk
from service.actions.worker_pool import WorkerPool
from service.api.calculation_slots import CalculationSlots
from service.api.waiting import MOST_TOGETHER, Waiting

PATIENCE_SECONDS = 0.05
"""How long a request waits for a slow round before another begins beside it."""

T = TypeVar("T")


class Gathering:
    """Answers single requests in rounds, at most as many at once as there are calculation slots."""

    def __init__(self, slots: CalculationSlots, pool: WorkerPool) -> None:
        self._slots, self._pool = slots, pool
        self._waiting = Waiting[Asked]()
        self._rounds = 0
        self._tasks: set[asyncio.Task[None]] = set()

    async def answer(
        self, desk: AssessmentDesk, request: dict[str, Any], units: str | None, finish: Callable[[Answer], T]
    ) -> T:
        """What `finish` makes of the answer to one request, in the round's thread.

        Raises what the request is refused with; busy when the waiting room is full.
        """
        with self._slots.admitted():
            answer: asyncio.Future[T] = self._waiting.enter((desk, request, units, finish))
            if not self._rounds or len(self._waiting) >= MOST_TOGETHER:  # two small rounds cost more than one
                self._begin_round()
            else:
                asyncio.get_running_loop().call_later(PATIENCE_SECONDS, self._lose_patience, answer)
            return await answer

    def _lose_patience(self, answer: asyncio.Future[Any]) -> None:
        if self._waiting.holds(answer):
            self._begin_round()

    def _begin_round(self) -> None:
        if self._rounds < self._slots.slots:
            self._rounds += 1
            begun = asyncio.create_task(self._go_round())
            self._tasks.add(begun)
            begun.add_done_callback(self._tasks.discard)

    async def _go_round(self) -> None:
        try:
            await self._waiting.serve(self._answered)
        finally:  # at once: who is told now may ask again before this task counts as done
            self._rounds -= 1

    async def _answered(self, asked: list[Asked]) -> list[Any]:
        return await self._slots.run_chunk(partial(self._pool.answer_together, asked))
