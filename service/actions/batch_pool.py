"""Chunks of a batch answered in processes of their own, one a core: an interpreter computes on one core only.

A worker is handed the lines as they came and whatever vessels they name, already found for the caller, so it needs
neither storage nor keys. It keeps the vessels it was given. While the workers start, or when one dies, chunks are
answered here: the pool changes how fast an answer comes, never which.
"""

import gc
import os
import pickle
import re
import signal
import threading
import time
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context
from typing import cast

from service.actions.assess import AssessmentDesk, Detail, PreparedVessel
from service.actions.refusal import Refusal

Name = tuple[str, int | None]
Answer = bytes | Exception
WORTH_A_PROCESS = 32
"""Lines below which a chunk is answered here."""
SECONDS_BETWEEN_LOOKS_AT_THE_PARENT = 2.0

_VESSEL_ID = re.compile(rb'"vessel_id"\s*:\s*"([^"\\]*)"')
_VESSEL_REVISION = re.compile(rb'"vessel_revision"\s*:\s*(\d{1,10})')


class BatchPool:
    """Worker processes, started with the first chunk that is worth it. Safe to use from several threads."""

    def __init__(self, processes: int, json_depth: int) -> None:
        """processes: how many; none at all with 0 or 1, where they would gain nothing."""
        self._processes, self._json_depth = processes if processes > 1 else 0, json_depth
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
        try:
            answers = executor.submit(_answer, lines, detail, units, keys, {}).result()
            if isinstance(answers, _Lacking):
                prepared = [v for v in held.values() if isinstance(v, PreparedVessel)]
                given = {_key(v): pickle.dumps(v) for v in prepared}
                answers = executor.submit(_answer, lines, detail, units, keys, given).result()
        except BrokenProcessPool:
            self.close()
            return desk.answer_lines(lines, detail, units)
        if isinstance(answers, _Lacking):  # a vessel named in a way the look through the text did not see
            return desk.answer_lines(lines, detail, units)
        return answers

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

    pool: BatchPool
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


def _key(vessel: PreparedVessel) -> str:
    reference = vessel.reference
    return f"{reference['id']} {reference['revision']} {reference['digest']}"


# In the worker


_vessels: dict[str, PreparedVessel] = {}
_desk: AssessmentDesk | None = None
MOST_VESSELS = 256


def _begin(json_depth: int, parent: int) -> None:
    """Set up a worker: it answers for one parent, ends with it, and leaves interrupts to it."""
    global _desk
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    _desk = AssessmentDesk(json_depth=json_depth)
    gc.collect()
    gc.freeze()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(SECONDS_BETWEEN_LOOKS_AT_THE_PARENT)
    os._exit(0)


def _answer(
    lines: list[bytes],
    detail: Detail,
    units: str | None,
    keys: dict[Name, str | Refusal],
    given: dict[str, bytes],
) -> list[Answer] | _Lacking:
    """Answer lines in the worker; `given` are vessels it did not have, by key."""
    if len(_vessels) + len(given) > MOST_VESSELS:
        _vessels.clear()
    _vessels.update((key, pickle.loads(vessel)) for key, vessel in given.items())  # noqa: S301 - from our own parent

    def find(id: str, revision: int | None) -> PreparedVessel:
        key = keys.get((id, revision))
        if isinstance(key, Refusal):
            raise key
        if key is None or key not in _vessels:
            raise _LackingError
        return _vessels[key]

    try:
        return cast(AssessmentDesk, _desk).finding(find).answer_lines(lines, detail, units)
    except _LackingError:
        return _Lacking()


class _LackingError(Exception):
    """Ends a chunk whose vessel is not here."""
