"""How sure the figures of a condition are: samples in parts, so that several processes may do them."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.actions.assess import Answer, Assessor, PreparedVessel
from service.translation.uncertainty import Samples, Sampling, sampling_of

PART = 500
"""Samples of a part: a worker does one at a time, in less than a second."""

Part = tuple[int, int]
"""Number of the first sample, and how many."""


@dataclass(frozen=True, slots=True)
class SampleTask:
    """A part of the samples that a request asks for: a task for a worker process."""

    text: bytes
    part: Part

    def results(self, assessor: Assessor) -> Iterator[Samples]:
        """The part. Raises Refusal and UnreadableJson."""
        yield assessor.question(self.text, sampling_of).part(*self.part)


def parts_of_samples(sampling: Sampling) -> list[Part]:
    """All samples, in parts."""
    return [(first, min(PART, sampling.samples - first)) for first in range(0, sampling.samples, PART)]


def uncertainty_answer(members: dict[str, object], prepared: PreparedVessel) -> Answer:
    """The answer to a parsed request, all samples one after the other; raises Refusal."""
    sampling = sampling_of(members, prepared)
    return sampling.answer([sampling.part(*part) for part in parts_of_samples(sampling)])
