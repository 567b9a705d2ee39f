"""Who answers lines that are to be kept: judged by worker processes where there are any, kept in shared commits."""

import asyncio
from dataclasses import dataclass
from functools import partial
from typing import Any

import anyio
from anyio import to_thread

from service.actions.access import Caller
from service.actions.assess import AnswerLength, Assessor
from service.actions.keep_condition import Judged
from service.actions.keep_in_bulk import BulkDrafts, LineAnswer, bulk_work, known_lines
from service.actions.records.transactions import Records
from service.running.calculation_slots import CalculationSlots
from service.running.line_assessor import PATIENCE_SECONDS, Workers
from service.running.writer_queue import WriterQueue
from service.wire.fields import UnitSystem

WORTH_A_PROCESS = 8


@dataclass
class BulkKeeper:
    """Keeps lines of one vessel for one caller, in their order; stands where a batch has who answers its lines.

    Made for one stream."""

    records: Records
    caller: Caller
    vessel: str
    reason: str | None
    json_depth: int
    assessor: Assessor
    workers: Workers
    slots: CalculationSlots
    writer_queue: WriterQueue
    threads: anyio.CapacityLimiter
    _before: asyncio.Event | None = None
    """Set when the chunk that came last is kept."""

    async def answer_lines(
        self, lines: list[bytes], detail: AnswerLength, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """One answer a line, once it is committed. `detail` and `units` change nothing here."""
        before, done = self._before, asyncio.Event()
        self._before = done
        try:
            return await self._answers(lines, before)
        finally:
            done.set()

    async def _answers(self, lines: list[bytes], before: asyncio.Event | None) -> list[LineAnswer]:
        """Judged beside the chunk before, kept after it."""
        known = await to_thread.run_sync(
            partial(known_lines, self.records, self.caller, lines), limiter=self.threads
        )
        new = [line for line, answer in zip(lines, known, strict=True) if answer is None]
        judged = await self._judge(new) if new else []
        if before is not None:
            await before.wait()
        kept = iter(await self._store([each for each in judged if isinstance(each, Judged)]))
        made = iter([next(kept) if isinstance(each, Judged) else each for each in judged])
        return [next(made) if answer is None else answer for answer in known]

    async def _judge(self, lines: list[bytes]) -> list[Any]:
        task = BulkDrafts(lines, self.caller, self.vessel, self.reason, self.json_depth)
        if self.workers.pool.processes and len(lines) >= WORTH_A_PROCESS:
            results = await self.workers.results(self.assessor, task, PATIENCE_SECONDS)
            if results is not None:
                return results
        return await self.slots.run_chunk(lambda: list(task.results(self.assessor)))

    async def _store(self, judged: list[Judged]) -> list[LineAnswer]:
        """One write: a chunk is as long as a transaction may be."""
        if not judged:
            return []
        try:
            return await self.writer_queue.keep(bulk_work(self.caller, judged), len(judged))
        except Exception as fault:  # noqa: BLE001 - told in the answers to these lines
            return [fault] * len(judged)
