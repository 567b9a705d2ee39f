"""Tasks on an existing Dask cluster. Its machines need this package in the same release; nothing is kept there.

The scheduler does a task again whose worker was lost, and makes prepared vessels anew that were lost with it. Nobody
checks who talks to a scheduler or what is sent: it belongs in a network of its own.
"""

from collections.abc import Generator, Iterable
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from service.actions.assess import Assessor
from service.actions.cache import Cache
from service.actions.demo_vessel import find_demo_vessel
from service.running.many_conditions import (
    AHEAD,
    BYTES_OF_A_TASK,
    AnyTask,
    CannotCompute,
    ManyTask,
    in_order,
)
from service.running.worker import key_of, portable
from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.prepared_vessel import PreparedVessel

REACH_SECONDS = 10
SECONDS_WITHOUT_WORKERS = 30.0
MOST_BYTES_SENT = 8 * BYTES_OF_A_TASK
"""Size of a task, with what it is judged against, from which Dask warns."""
MOST_VESSELS = 64
"""Prepared vessels that the cluster is asked to keep."""


def computed_by_cluster(
    tasks: Iterable[AnyTask], assessor: Assessor, address: str
) -> Generator[tuple[AnyTask, list[Any]]]:
    """Each task with its results, in the order of the tasks. Raises CannotCompute."""
    with closing(_Cluster(address, assessor)) as cluster:
        yield from in_order(tasks, cluster.begin, AHEAD * cluster.threads() + 1)


class _Cluster:
    def __init__(self, address: str, assessor: Assessor) -> None:
        try:
            distributed: Any = import_module("distributed")
        except ImportError:
            raise CannotCompute(
                "Dask is not installed here: it comes with the extra `dask` of this package."
            ) from None
        # A task carries its conditions, up to the limit of its bytes: nothing the user could do otherwise.
        import_module("dask").config.set({"distributed.admin.large-graph-warning-threshold": MOST_BYTES_SENT})
        self._assessor = assessor
        self._vessels = Cache[str, Any](MOST_VESSELS)
        try:
            self._client: Any = distributed.Client(address, timeout=REACH_SECONDS, set_as_default=False)
        except (OSError, ValueError) as fault:
            raise CannotCompute(f"No Dask scheduler answers at {address}.") from fault

    def threads(self) -> int:
        """How many tasks the cluster computes at a time. Raises CannotCompute where there is no worker."""
        try:
            self._client.wait_for_workers(1, timeout=REACH_SECONDS)
        except TimeoutError:
            raise CannotCompute("The Dask cluster has no worker.") from None
        return int(sum(self._client.nthreads().values()))

    def begin(self, task: ManyTask) -> "_Begun":
        vessels = [self._kept_there(*name) for name in task.vessels]
        return _Begun(self, task, self._client.submit(_results, task, vessels, pure=False))

    def has_workers(self) -> bool:
        return bool(self._client.nthreads())

    def close(self) -> None:
        self._client.close()

    def results_here(self, task: ManyTask) -> list[Any]:
        return list(task.results(self._assessor))

    def _kept_there(self, id: str, revision: int) -> Any:
        """A vessel on the cluster, as the result of a task: made anew by the scheduler where it was lost."""
        vessel = self._assessor.stored(id, revision)
        key = f"vessel {key_of(vessel)} {CALCULATION_VERSION}"
        kept = self._vessels.get(key)
        if kept is None:
            kept = self._client.submit(_vessel, vessel, key=key)
            self._vessels.put(key, kept)
        return kept


@dataclass(frozen=True, slots=True)
class _Begun:
    cluster: _Cluster
    task: ManyTask
    future: Any

    def result(self) -> list[Any]:
        """Results of the task; computed here where workers ended over it. Raises CannotCompute."""
        killed: type[Exception] = import_module("distributed").KilledWorker
        while True:
            try:
                version, results = self.future.result(timeout=SECONDS_WITHOUT_WORKERS)
            except TimeoutError as late:
                if self.future.done():
                    raise CannotCompute(f"The Dask cluster is lost: {late}") from late
                if not self.cluster.has_workers():
                    raise CannotCompute("No worker of the Dask cluster is left.") from None
            except killed:
                return self.cluster.results_here(self.task)
            except Exception as fault:
                told = f"{type(fault).__name__}: {fault}"
                raise CannotCompute(f"The Dask cluster cannot do this: {told}") from fault
            else:
                if version != CALCULATION_VERSION:
                    raise CannotCompute(
                        f"A worker of the Dask cluster has calculation version {version}, here it is "
                        f"{CALCULATION_VERSION}: all need the same release."
                    )
                return list(results)


def _vessel(vessel: PreparedVessel) -> PreparedVessel:
    return vessel


def _results(task: ManyTask, vessels: list[PreparedVessel]) -> tuple[str, list[Any]]:
    """On a worker: what the works of a task come to, and by which calculation."""
    known = {(vessel.reference["id"], vessel.reference["revision"]): vessel for vessel in vessels}

    def find(id: str, revision: int | None) -> PreparedVessel:
        return known.get((id, revision)) or find_demo_vessel(id, revision)

    results = task.results(_assessor().with_vessels_from(find))
    return CALCULATION_VERSION, [
        portable(result) if isinstance(result, Exception) else result for result in results
    ]


@cache
def _assessor() -> Assessor:
    """That of a worker process: it keeps the inline vessels of tasks."""
    return Assessor(find_demo_vessel)
