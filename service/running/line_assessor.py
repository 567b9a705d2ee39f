"""Who answers lines of batches and long requests: worker processes where there are any, threads otherwise."""

from dataclasses import dataclass
from functools import partial
from typing import Any, Protocol

import anyio
from anyio import to_thread

from service.actions.assess import AnswerLength, Assessor
from service.running.calculation_slots import CalculationSlots
from service.running.worker import Lines, LongRequest, Task
from service.running.worker_pool import WorkerPool
from service.wire.fields import UnitSystem

WORTH_A_PROCESS = 32
"""Lines below which a chunk is answered here: what goes to a worker and back costs as much as a few of them."""
LONG_REQUEST = 256 * 1024
"""Bytes of a request beyond which reading it keeps this process from everything else for too long."""
PATIENCE_SECONDS = 15.0
"""How long a worker that answers lines may give no sign of life."""


class LineAssessor(Protocol):
    """Answers the lines of a batch."""

    async def answer_lines(
        self, lines: list[bytes], detail: AnswerLength, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """For each line, in order, its assessment as one line of UTF-8 JSON or what it was refused with."""


class Workers:
    """The worker processes of a service and the threads that wait for them. Belongs to one event loop."""

    def __init__(self, pool: WorkerPool) -> None:
        self.pool = pool
        self._waiting = anyio.CapacityLimiter(max(1, pool.processes))

    def are_free(self) -> bool:
        """Whether nobody has to wait for another one's task."""
        return self.pool.processes > self._waiting.borrowed_tokens

    async def results(self, assessor: Assessor, task: Task, patience: float) -> list[Any] | None:
        """`WorkerPool.results`, waited for in a thread."""
        work = partial(self.pool.results, assessor, task, patience)
        return await to_thread.run_sync(work, limiter=self._waiting)


@dataclass(frozen=True)
class PooledAssessor:
    """Answers what takes long, the vessels it names found by `assessor`: it knows what its caller may see."""

    assessor: Assessor
    workers: Workers
    slots: CalculationSlots

    async def answer_lines(
        self, lines: list[bytes], detail: AnswerLength, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """As the protocol says; in this process where no worker answers."""
        if self.workers.pool.processes and len(lines) >= WORTH_A_PROCESS:
            task = Lines(lines, detail, units)
            answers = await self.workers.results(self.assessor, task, PATIENCE_SECONDS)
            if answers is not None:
                return answers
        return await self.slots.run_chunk(partial(self.assessor.answer_lines, lines, detail, units))

    async def answer(self, text: bytes, units: UnitSystem | None) -> bytes:
        """`Assessor.answer` to one request, a long one by a worker; raises what it raises, and Refusal (busy)."""
        if self.workers.pool.processes and len(text) > LONG_REQUEST:
            with self.slots.admitted():
                task = LongRequest(text, units)
                done = await self.workers.results(self.assessor, task, PATIENCE_SECONDS)
            if done is not None:
                return _value(done[0])
        return await self.slots.run(partial(self.assessor.answer, text, "full", units), text=len(text))


def _value(result: bytes | Exception) -> bytes:
    if isinstance(result, Exception):
        raise result
    return result
