"""Where samples are computed: in worker processes where there are any, else in a thread of this one."""

import asyncio
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
        parts, processes = parts_of_samples(sampling), self.workers.pool.processes
        if sampling.samples < WORTH_A_PROCESS or not processes:
            found = await self._here(sampling, parts)
        else:
            shares = [
                parts[k * len(parts) // processes : (k + 1) * len(parts) // processes]
                for k in range(processes)
            ]
            results = await asyncio.gather(*(self._share(sampling, text, share) for share in shares if share))
            found = [part for share in results for part in share]
        return await self.slots.run(lambda: as_json(sampling.answer(found)))

    async def _share(self, sampling: Sampling, text: bytes, parts: list[Part]) -> list[Samples]:
        """Parts by a worker; here where none answers."""
        done = await self.workers.results(self.assessor, SampleTask(text, parts), PATIENCE_SECONDS)
        return await self._here(sampling, parts) if done is None else done

    async def _here(self, sampling: Sampling, parts: list[Part]) -> list[Samples]:
        return await self.slots.run(lambda: [sampling.part(*part) for part in parts])
