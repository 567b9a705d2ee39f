"""Where samples are computed: in worker processes where there are any, else in a thread of this one."""

import asyncio
from collections import deque
from dataclasses import dataclass
from functools import partial

from service.actions.assess import Assessor, as_json
from service.actions.sample_uncertainty import Part, SampleTask, parts_of_samples
from service.running.calculation_slots import CalculationSlots
from service.running.line_assessor import PATIENCE_SECONDS, Workers
from service.translation.uncertainty import Samples, Sampling, sampling_of

WORTH_A_PROCESS = 500
"""Samples below which they are computed here."""


@dataclass(frozen=True)
class Sampler:
    """Answers questions of uncertainty, the vessels they name found by `assessor`: it knows what its caller may see."""

    assessor: Assessor
    workers: Workers
    slots: CalculationSlots

    async def answer(self, text: bytes) -> bytes:
        """The text of the answer. Raises Refusal and UnreadableJson."""
        sampling = await self.slots.run(partial(self.assessor.question, text, sampling_of), text=len(text))
        parts, processes = deque(parts_of_samples(sampling)), self.workers.pool.processes
        done: dict[Part, Samples] = {}
        if sampling.samples < WORTH_A_PROCESS or not processes:
            done = await self._here(sampling, list(parts))
        else:
            await asyncio.gather(*(self._share(sampling, text, parts, done) for _ in range(processes)))
        return await self.slots.run(lambda: as_json(sampling.answer([done[part] for part in sorted(done)])))

    async def _share(
        self, sampling: Sampling, text: bytes, parts: deque[Part], done: dict[Part, Samples]
    ) -> None:
        """One part after the other by a worker, until there are none left; here whenever no worker answers, as while
        they start."""
        while parts:
            part = parts.popleft()
            found = await self.workers.results(self.assessor, SampleTask(text, part), PATIENCE_SECONDS)
            done |= await self._here(sampling, [part]) if found is None else {part: found[0]}

    async def _here(self, sampling: Sampling, parts: list[Part]) -> dict[Part, Samples]:
        return await self.slots.run(lambda: {part: sampling.part(*part) for part in parts})
