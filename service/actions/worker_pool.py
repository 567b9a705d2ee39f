"""Chunks of a batch, and requests that came together, answered in processes of their own, one a core: an interpreter
computes on one core only.

A worker is handed what is asked and whatever vessels that names, already found for the caller, so it needs neither
storage nor keys. It keeps the vessels it was given. While the workers start, or when one dies, all is answered here:
the pool changes how fast an answer comes, never which.
"""

import os
import pickle
import re
import signal
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from typing import Any, cast

from service.actions.assess import (
    Asked,
    AssessmentDesk,
    Detail,
    Finish,
    Found,
    PreparedVessel,
    answer_together,
)
from service.actions.garbage import settle
from service.actions.refusal import Refusal

Name = tuple[str, int | None]
Answer = bytes | Exception
WORTH_A_PROCESS = 32
"""Lines below which a chunk is answered here."""
ROUND_WORTH_A_PROCESS = 4
"""Requests that came together below which they are answered here."""
SECONDS_BETWEEN_LOOKS_AT_THE_PARENT = 2.0

_VESSEL_ID = re.compile(rb'"vessel_id"\s*:\s*"([^"\\]*)"')
_VESSEL_REVISION = re.compile(rb'"vessel_revision"\s*:\s*(\d{1,10})')


class WorkerPool:
    """Worker processes, started with the first chunk or round that is worth it. Safe to use from several threads."""

    def __init__(self, processes: int, json_depth: int) -> None:
        """processes: how many; with 0 all is answered here."""
        self._processes, self._json_depth = processes, json_depth
        self._executor: ProcessPoolExecutor | None = None
        self._awake: list[Future[int]] = []
        self._lock = threading.Lock()

    def answer_lines(
        self, desk: AssessmentDesk, lines: list[bytes], detail: Detail, units: str | None
    ) -> list[Answer]:
        """What `desk.answer_lines` answers, from a worker where one is free."""
        executor = self._ready() if len(lines) >= WORTH_A_PROCESS else None
        if executor is None:
            return desk.answer_lines(lines, detail, units)
        held = {name: _found(desk, name) for name in _names(lines)}
        keys = {name: v if isinstance(v, Refusal) else _key(v) for name, v in held.items()}
        vessels = {_key(v): v for v in held.values() if isinstance(v, PreparedVessel)}
        answers = self._worked(executor, partial(_answer_lines, lines, detail, units, keys), vessels)
        # None also for a vessel named in a way the look through the text did not see
        return desk.answer_lines(lines, detail, units) if answers is None else answers

    def answer_together(self, asked: Sequence[Asked]) -> list[Any]:
        """What `assess.answer_together` answers, from a worker where one is free.

        What becomes of an answer is made in the worker, so it and the way to it can be pickled."""
        executor = self._ready() if len(asked) >= ROUND_WORTH_A_PROCESS else None
        if executor is None:
            return answer_together(asked)
        found: dict[int, Found] = {}
        named = {i: v for i, (desk, request, _, _) in enumerate(asked) if (v := _named(desk, request, found))}
        jobs = [(_key(vessel), *asked[i][1:]) for i, vessel in named.items()]
        vessels = {_key(vessel): vessel for vessel in named.values()}
        answers = self._worked(executor, partial(_answer_round, jobs), vessels) if jobs else []
        if answers is None:
            return answer_together(asked)
        here = [i for i in range(len(asked)) if i not in named]
        placed = dict(zip(named, answers)) | dict(zip(here, answer_together([asked[i] for i in here])))
        return [placed[i] for i in range(len(asked))]

    def _worked(
        self, executor: ProcessPoolExecutor, work: "Work", vessels: dict[str, PreparedVessel]
    ) -> list[Any] | None:
        """What a worker makes of `work`, which may ask for `vessels` by their keys; None where none can."""
        try:
            answers = executor.submit(_work, work, {}).result()
            if isinstance(answers, _Lacking):
                given = {key: pickle.dumps(vessel) for key, vessel in vessels.items()}
                answers = executor.submit(_work, work, given).result()
        except BrokenProcessPool:
            self.close()
            return None
        except (RuntimeError, CancelledError):  # closed by another thread, which found it broken
            return None
        return None if isinstance(answers, _Lacking) else answers

    def serving(self, desk: AssessmentDesk) -> "PooledDesk":
        """A desk whose lines are answered by this pool."""
        return PooledDesk(self, desk)

    def close(self) -> None:
        """End the workers."""
        with self._lock:
            executor, self._executor, self._awake = self._executor, None, []
        if executor is not None:
            executor.shutdown(wait=False, cancel_futures=True)

    def _ready(self) -> ProcessPoolExecutor | None:
        """The executor once every worker has its imports behind it."""
        if not self._processes:
            return None
        with self._lock:
            if self._executor is None:
                # spawn: a forked worker would inherit the listening socket and keep the port after a crash
                self._executor = ProcessPoolExecutor(
                    self._processes, get_context("spawn"), _begin, (self._json_depth, os.getpid())
                )
                self._awake = [self._executor.submit(os.getpid) for _ in range(2 * self._processes)]
            return self._executor if all(call.done() for call in self._awake) else None


@dataclass(frozen=True)
class PooledDesk:
    """Answers lines through the pool; the vessels they name are found by `desk`."""

    pool: WorkerPool
    desk: AssessmentDesk

    def answer_lines(self, lines: list[bytes], detail: Detail, units: str | None) -> list[Answer]:
        """One answer or error a line, in order."""
        return self.pool.answer_lines(self.desk, lines, detail, units)


class _Lacking:
    """Answered by a worker that was not given a vessel it needs."""


def _names(lines: list[bytes]) -> set[Name]:
    """Vessels that the lines seem to name; too many do no harm."""
    names: set[Name] = set()
    for line in lines:
        revisions: set[int | None] = {int(found) for found in _VESSEL_REVISION.findall(line)}
        names |= {
            (id.decode("utf-8", "replace"), r)
            for id in _VESSEL_ID.findall(line)
            for r in revisions or (None,)
        }
    return names


def _found(desk: AssessmentDesk, name: Name) -> PreparedVessel | Refusal:
    try:
        return desk.held(*name)
    except Refusal as refusal:
        return refusal


def _named(desk: AssessmentDesk, request: dict[str, Any], found: dict[int, Found]) -> PreparedVessel | None:
    """The kept vessel a request names; None for a vessel of its own and for what is to be refused."""
    if "vessel" in request:
        return None
    try:
        return desk.vessel_for(request, found.setdefault(id(desk), {}))
    except Exception:  # noqa: BLE001 - met again where it is answered
        return None


def _key(vessel: PreparedVessel) -> str:
    reference = vessel.reference
    return f"{reference['id']} {reference['revision']} {reference['digest']}"


# In the worker


_vessels: dict[str, PreparedVessel] = {}
_desk: AssessmentDesk | None = None
MOST_VESSELS = 256

Work = Callable[[], list[Any]]


def _begin(json_depth: int, parent: int) -> None:
    """Set up a worker: it answers for one parent, ends with it, and leaves interrupts to it."""
    global _desk
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    _desk = AssessmentDesk(json_depth=json_depth)
    settle()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(SECONDS_BETWEEN_LOOKS_AT_THE_PARENT)
    os._exit(0)


def _work(work: Work, given: dict[str, bytes]) -> list[Any] | _Lacking:
    """Do some work in the worker; `given` are vessels it did not have, by key."""
    if len(_vessels) + len(given) > MOST_VESSELS:
        _vessels.clear()
    _vessels.update((key, pickle.loads(vessel)) for key, vessel in given.items())  # noqa: S301 - from our own parent
    try:
        return work()
    except _LackingError:
        return _Lacking()


def _vessel(key: str | None) -> PreparedVessel:
    if key is None or key not in _vessels:
        raise _LackingError
    return _vessels[key]


def _answer_lines(
    lines: list[bytes], detail: Detail, units: str | None, keys: dict[Name, str | Refusal]
) -> list[Answer]:
    def find(id: str, revision: int | None) -> PreparedVessel:
        key = keys.get((id, revision))
        if isinstance(key, Refusal):
            raise key
        return _vessel(key)

    return cast(AssessmentDesk, _desk).finding(find).answer_lines(lines, detail, units)


def _answer_round(jobs: list[tuple[str, dict[str, Any], str | None, Finish]]) -> list[Any]:
    desks = {key: _desk_with(_vessel(key)) for key, *_ in jobs}
    return answer_together([(desks[key], request, units, finish) for key, request, units, finish in jobs])


def _desk_with(vessel: PreparedVessel) -> AssessmentDesk:
    def find(id: str, revision: int | None) -> PreparedVessel:
        return vessel

    return cast(AssessmentDesk, _desk).finding(find)


class _LackingError(Exception):
    """Ends work whose vessel is not here."""
