"""Many tasks, computed by the worker processes of this machine or on an existing Dask cluster, behind one function.

What is computed where changes how fast results come, never which ones, nor their order.
"""

from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass
from itertools import chain, islice
from typing import Any, Protocol, TypeVar

from service.actions.assess import AnswerLength, Assessor
from service.running.line_assessor import PATIENCE_SECONDS
from service.running.worker import Task
from service.running.worker_pool import WorkerPool
from service.wire.parse import MAX_DEPTH, UnreadableJson, parse_json

CONDITIONS_OF_A_TASK = 256
BYTES_OF_A_TASK = 16_000_000
AHEAD = 2
"""Tasks under way for each one that can be computed at the same time."""


class ManyTask(Task, Protocol):
    """A task that can also be done where this process cannot be asked for vessels."""

    @property
    def vessels(self) -> tuple[tuple[str, int], ...]:
        """Id and revision of the stored vessels it names. The demonstration ships need not be listed."""


AnyTask = TypeVar("AnyTask", bound=ManyTask)


class Waitable(Protocol):
    """A result to come."""

    def result(self) -> Any:
        """The result, waited for."""


class CannotCompute(Exception):
    """No result comes any more; the text says why."""


@dataclass(frozen=True, slots=True)
class Requests:
    """Requests to assess, one a line. around: the beginning of a request, with her vessel, for bare conditions."""

    lines: list[bytes]
    around: bytes | None
    detail: AnswerLength
    vessels: tuple[tuple[str, int], ...] = ()

    def results(self, assessor: Assessor) -> Iterator[bytes | Exception]:
        """One answer or error a line."""
        return assessor.answers([whole_request(line, self.around) for line in self.lines], self.detail)


def whole_request(text: bytes, around: bytes | None) -> bytes:
    """`text` as a request: put beside the vessel in `around` where it is a bare condition."""
    if around is None:
        return text
    try:
        is_request = not {"condition", "condition_id"}.isdisjoint(parse_json(text))
    except UnreadableJson:
        return text  # as it stands, so that the answer names what is wrong with it
    return text if is_request else around + b'"condition":' + text + b"}"


def results_in_order(
    tasks: Iterable[AnyTask], assessor: Assessor, *, processes: int, scheduler: str | None = None
) -> Iterator[tuple[AnyTask, list[Any]]]:
    """Each task with what its works come to, a result or an exception each, in the order of the tasks.

    processes: worker processes of this machine, used where there is more than one task. scheduler: address of the Dask
    cluster to use instead. assessor: finds the vessels that tasks name. Raises CannotCompute when the cluster cannot
    be reached or used."""
    if scheduler is not None:
        from service.running.dask_cluster import computed_by_cluster

        return computed_by_cluster(tasks, assessor, scheduler)
    first = list(islice(waiting := iter(tasks), 2))
    several = len(first) > 1 and processes > 1
    return (_by_processes if several else _here)(chain(first, waiting), assessor, processes)


def in_order(
    tasks: Iterable[AnyTask], begin: Callable[[AnyTask], Waitable], ahead: int
) -> Generator[tuple[AnyTask, list[Any]]]:
    """Begin `ahead` tasks before the first result is waited for, then one after each."""
    under_way: deque[tuple[AnyTask, Waitable]] = deque()
    for task in tasks:
        under_way.append((task, begin(task)))
        if len(under_way) >= ahead:
            task, begun = under_way.popleft()
            yield task, begun.result()
    for task, begun in under_way:
        yield task, begun.result()


def _here(tasks: Iterable[AnyTask], assessor: Assessor, _: int) -> Generator[tuple[AnyTask, list[Any]]]:
    for task in tasks:
        yield task, list(task.results(assessor))


def _by_processes(
    tasks: Iterable[AnyTask], assessor: Assessor, processes: int
) -> Generator[tuple[AnyTask, list[Any]]]:
    """By a pool; in this process where no worker answers, as while they start."""
    is_over = False

    def work(task: AnyTask) -> list[Any]:
        results = pool.results(assessor, task, PATIENCE_SECONDS)
        return list(task.results(assessor)) if results is None and not is_over else results or []

    with ThreadPoolExecutor(processes) as threads, closing(WorkerPool(processes, MAX_DEPTH)) as pool:
        try:
            yield from in_order(tasks, lambda task: threads.submit(work, task), AHEAD * processes)
        finally:
            is_over = True
            threads.shutdown(wait=False, cancel_futures=True)
