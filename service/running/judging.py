"""Where conditions are judged before they are kept.

One at a time they are judged on the event loop. Where several wait, they go to a worker process together: this process
has the requests and the records to do meanwhile, which take as long.
"""

import asyncio

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import Draft, Drafts, Judged, JudgeRequest, judge
from service.running.calculation_slots import CalculationSlots
from service.running.line_assessor import Workers

WORTH_A_PROCESS = 4
"""Drafts below which they are judged here."""
MOST_TOGETHER = 32
PATIENCE_SECONDS = 3.0
"""How long a worker may give no sign of life: the most drafts take a thirtieth of that."""


class JudgeQueue:
    """Drafts in the order they came. Belongs to one event loop."""

    def __init__(self, assessor: Assessor, slots: CalculationSlots, workers: Workers) -> None:
        self._assessor, self._slots, self._workers = assessor, slots, workers
        self._waiting: list[tuple[JudgeRequest, asyncio.Future[Judged]]] = []
        self._judging: asyncio.Task[None] | None = None

    async def judged(self, caller: Caller, draft: Draft, reason: str | None) -> Judged:
        """A draft with its assessment. Raises what it is refused with; busy when the waiting room is full."""
        if not self._assessor.is_small(draft.request):
            return await self._slots.run(lambda: judge(self._assessor, caller, draft, reason))
        with self._slots.admitted():
            done: asyncio.Future[Judged] = asyncio.get_running_loop().create_future()
            self._waiting.append((JudgeRequest(caller, draft, reason), done))
            if self._judging is None:
                self._judging = asyncio.create_task(self._judge())
            return await done

    async def _judge(self) -> None:
        """Judge all that waits and what comes meanwhile."""
        try:
            while self._waiting:
                taken, self._waiting = self._waiting[:MOST_TOGETHER], self._waiting[MOST_TOGETHER:]
                results = await self._judged_by_a_worker([asked for asked, _ in taken])
                for number, (asked, done) in enumerate(taken):
                    if results is None:
                        await self._judge_here(asked, done)
                    else:
                        _set_result(done, results[number])
        finally:
            self._judging = None

    async def _judged_by_a_worker(self, asked: list[JudgeRequest]) -> list[Judged | Exception] | None:
        """What a worker made of them; None where that is not worth it, or none can."""
        if len(asked) < WORTH_A_PROCESS or not self._workers.are_free():
            return None
        try:
            return await self._workers.results(self._assessor, Drafts(asked), PATIENCE_SECONDS)
        except Exception:  # noqa: BLE001 - whatever it is is met again here, by the draft it belongs to
            return None

    async def _judge_here(self, asked: JudgeRequest, done: asyncio.Future[Judged]) -> None:
        try:
            result: Judged | Exception = await self._slots.in_turn(lambda: judge(self._assessor, *asked))
        except Exception as fault:  # noqa: BLE001 - given to the one who waits for it
            result = fault
        _set_result(done, result)


def _set_result(done: asyncio.Future[Judged], result: Judged | Exception) -> None:
    if done.done():  # its client went away
        return
    if isinstance(result, Exception):
        done.set_exception(result)
    else:
        done.set_result(result)
