"""Worker processes, one a core, for many assessments at once: an interpreter computes on one core only.

The workers start with the first task. While they start, or when one ends or stops, whoever asked is
told that none answers and does the work himself: the pool changes how fast an answer comes, never which.
"""

import os
import threading
import time
from dataclasses import dataclass, field
from multiprocessing.process import BaseProcess
from typing import Any

import structlog

from service.actions.assess import Assessor
from service.actions.named_condition import StoredCondition
from service.running.child_process import start_child
from service.running.worker import (
    Lacking,
    Named,
    NamedStoredCondition,
    Task,
    Working,
    key_of,
    portable,
    serve,
)
from service.running.worker_channel import Channel
from service.translation.prepared_vessel import PreparedVessel

START_SECONDS = 120.0
"""How long it may take to import what it needs."""
SECONDS_BETWEEN_STARTS = 2.0
END_SECONDS = 2.0


class WorkerPool:
    """A number of worker processes. Safe to use from several threads."""

    def __init__(self, processes: int, json_depth: int) -> None:
        """processes: how many; 0 for none."""
        self.processes, self._json_depth = processes, json_depth
        self._lock = threading.Lock()
        self._workers: list[_WorkerProcess] = []
        self._idle: list[_WorkerProcess] = []
        self._started = float("-inf")
        self._closed = False

    def results(self, assessor: Assessor, task: Task, patience: float) -> list[Any] | None:
        """What `task.results(assessor)` gives, from a worker; None where none is free or the one asked was lost.

        The vessels that the task names are found by `assessor`, in this process. patience: after how many seconds
        without a sign of life a worker counts as lost; it gives one a second, or one a work where that takes longer."""
        worker = self._take()
        if worker is None:
            return None
        try:
            results = worker.results(assessor, task, patience)
        except (EOFError, OSError):  # TimeoutError is one
            self._remove(worker)
            return None
        except BaseException:  # whatever it is half way through is not for the next task
            self._remove(worker)
            raise
        with self._lock:
            self._idle.append(worker)
        return results

    def are_ready(self) -> bool:
        """Whether every worker waits for a task; starts them where they are not there yet."""
        with self._lock:
            self._look_after()
            return len(self._idle) == self.processes

    def idle(self) -> int:
        """How many workers wait for a task."""
        return len(self._idle)

    def started(self) -> int:
        """How many workers there are, those that still start among them."""
        return len(self._workers)

    def ids(self) -> list[int]:
        """Process ids of the workers."""
        with self._lock:
            return [worker.process.pid for worker in self._workers if worker.process.pid is not None]

    def close(self) -> None:
        """End the workers."""
        with self._lock:
            self._closed = True
            workers, self._workers, self._idle = self._workers, [], []
        for worker in workers:
            worker.channel.close()  # an idle one ends by that
        end = time.monotonic() + END_SECONDS
        for worker in workers:
            worker.process.join(max(0.0, end - time.monotonic()))
            worker.kill()

    def _take(self) -> "_WorkerProcess | None":
        with self._lock:
            self._look_after()
            return self._idle.pop() if self._idle else None

    def _look_after(self) -> None:
        """Start what is missing; see which ones are ready by now, and which never will be."""
        moment = time.monotonic()
        for worker in [worker for worker in self._workers if worker.starts_until is not None]:
            if worker.channel.has_message():
                self._begun(worker)
            elif moment > (worker.starts_until or 0.0):
                self._workers.remove(worker)
                worker.kill()
        missing = self.processes - len(self._workers)
        if missing > 0 and not self._closed and moment >= self._started + SECONDS_BETWEEN_STARTS:
            self._started = moment
            try:
                for _ in range(missing):
                    child = start_child(serve, self._json_depth, os.getpid())
                    self._workers.append(_WorkerProcess(*child))
            except OSError as fault:  # no process or file descriptor left on this machine: tried again later
                structlog.get_logger().warning("worker_not_started", fault=repr(fault))

    def _begun(self, worker: "_WorkerProcess") -> None:
        try:
            worker.channel.receive(END_SECONDS)
        except (EOFError, OSError):
            self._workers.remove(worker)
            worker.kill()
        else:
            worker.starts_until = None
            self._idle.append(worker)

    def _remove(self, worker: "_WorkerProcess") -> None:
        """End a worker that failed; another one takes its place with the next chunk."""
        with self._lock:
            if worker in self._workers:
                self._workers.remove(worker)
        worker.kill()


@dataclass(eq=False)
class _WorkerProcess:
    """A worker as its parent sees it; `starts_until` is None once it is ready."""

    process: BaseProcess
    channel: Channel
    starts_until: float | None = field(default_factory=lambda: time.monotonic() + START_SECONDS)

    def results(self, assessor: Assessor, task: Task, patience: float) -> list[Any]:
        """Have a task done. Raises EOFError, OSError or TimeoutError where the worker is lost."""
        self.channel.send(task, patience)
        vessel: PreparedVessel | None = None
        while True:
            message: list[Any] | Named | NamedStoredCondition | Lacking | Working = self.channel.receive(
                patience
            )
            match message:
                case Working():
                    continue
                case Named(id, revision):
                    try:
                        vessel = assessor.stored(id, revision)
                    except Exception as refused:  # noqa: BLE001 - told to the line that named her
                        self.channel.send(portable(refused), patience)
                    else:
                        self.channel.send(key_of(vessel), patience)
                case NamedStoredCondition(id, revision):
                    self.channel.send(_stored_condition(assessor, id, revision), patience)
                case Lacking():
                    self.channel.send(vessel, patience)
                case _:
                    return message

    def kill(self) -> None:
        """End this one process, also where it is stopped."""
        self.channel.close()
        if self.process.is_alive():
            self.process.kill()
        self.process.join(END_SECONDS)


def _stored_condition(assessor: Assessor, id: str, revision: int | None) -> StoredCondition | Exception:
    """A stored condition, or what the line that named it is refused with."""
    try:
        return assessor.stored_condition(id, revision)
    except Exception as refused:  # noqa: BLE001 - told to the line that named it
        return portable(refused)
