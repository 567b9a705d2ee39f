"""Who answers the lines of batches: worker processes where there are any, threads of this process otherwise."""

from dataclasses import dataclass
from functools import partial
from typing import Any, Protocol

import anyio
from anyio import to_thread

from service.actions.assess import Assessor, Detail
from service.actions.worker import Lines, Task
from service.actions.worker_pool import WorkerPool
from service.api.calculation_slots import CalculationSlots
from service.wire.fields import UnitSystem

WORTH_A_PROCESS = 32
"""Lines below which a chunk is answered here: what goes to a worker and back costs as much as a few of them."""


class LineAssessor(Protocol):
    """Answers the lines of a batch."""

    async def answer_lines(
        self, lines: list[bytes], detail: Detail, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """For each line, in order, its assessment as one line of UTF-8 JSON or what it was refused with."""


class Workers:
    """The worker processes of a service and the threads that wait for them. Belongs to one event loop."""

    def __init__(self, pool: WorkerPool) -> None:
        self.pool = pool
        self._waiting = anyio.CapacityLimiter(max(1, pool.processes))

    async def results(self, assessor: Assessor, task: Task) -> list[Any] | None:
        """`WorkerPool.results`, waited for in a thread."""
        return await to_thread.run_sync(partial(self.pool.results, assessor, task), limiter=self._waiting)


@dataclass(frozen=True)
class PooledAssessor:
    """Answers the lines of a batch, the vessels they name found by `assessor`: it knows what its caller may see."""

    assessor: Assessor
    workers: Workers
    slots: CalculationSlots

    async def answer_lines(
        self, lines: list[bytes], detail: Detail, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """As the protocol says; in this process where no worker answers."""
        if self.workers.pool.processes and len(lines) >= WORTH_A_PROCESS:
            answers = await self.workers.results(self.assessor, Lines(lines, detail, units))
            if answers is not None:
                return answers
        return await self.slots.run_chunk(partial(self.assessor.answer_lines, lines, detail, units))
