"""A worker process: does tasks for the process that started it, and asks it for the vessels they name.

It needs neither storage nor keys: which vessels and conditions there are, and which of them the caller may name, is
decided by the parent. It keeps the vessels it was sent.
"""

import os
import pickle
import signal
import socket
import threading
import time
import traceback
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Protocol

from service.actions.assess import AnswerLength, Assessor
from service.actions.cache import Cache
from service.actions.named_condition import StoredCondition
from service.running.garbage_collection import collect_seldom
from service.running.worker_channel import Channel
from service.translation.prepared_vessel import PreparedVessel
from service.wire.parse import UnreadableJson
from service.wire.refusal import Refusal

SECONDS_BETWEEN_LOOKS_AT_THE_PARENT = 2.0
SECONDS_BETWEEN_SIGNS_OF_LIFE = 1.0
MOST_VESSELS = 256


class Task(Protocol):
    """To a worker: several works of one kind. Pickled, so of a class that both processes import."""

    def results(self, assessor: Assessor) -> Iterator[Any]:
        """What each work comes to, in order: a result or the exception it ended with."""


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a batch, to be answered."""

    lines: list[bytes]
    detail: AnswerLength
    units: str | None

    def results(self, assessor: Assessor) -> Iterator[bytes | Exception]:
        """One answer or error a line."""
        return assessor.answers(self.lines, self.detail, self.units)


@dataclass(frozen=True, slots=True)
class LongRequest:
    """A request by itself, to be answered."""

    text: bytes
    units: str | None

    def results(self, assessor: Assessor) -> Iterator[bytes | Exception]:
        """Its answer or error."""
        try:
            yield assessor.answer(self.text, "full", self.units)
        except Exception as fault:  # noqa: BLE001 - raised where it was posted
            yield fault


@dataclass(frozen=True, slots=True)
class Named:
    """To the parent: which vessel is this? It answers with her key, or with what the caller is refused with."""

    id: str
    revision: int | None


@dataclass(frozen=True, slots=True)
class NamedStoredCondition:
    """To the parent: what is this condition? It answers with it, or with what the caller is refused with."""

    id: str
    revision: int | None


@dataclass(frozen=True, slots=True)
class Lacking:
    """To the parent: the vessel just named is not here. It answers with her."""


@dataclass(frozen=True, slots=True)
class Working:
    """To the parent: ready for a task, or still at work on one."""


def key_of(vessel: PreparedVessel) -> str:
    """What tells a stored vessel's revision from every other."""
    reference = vessel.reference
    return f"{reference['id']} {reference['revision']} {reference['digest']}"


def serve(end: socket.socket, json_depth: int, parent: int) -> None:
    """Do tasks until the parent hangs up or ends. Interrupts are left to it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    worker = _Worker(Channel(end), json_depth)
    collect_seldom()
    with suppress(EOFError, OSError):
        worker.serve()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(SECONDS_BETWEEN_LOOKS_AT_THE_PARENT)
    os._exit(0)


class _Worker:
    def __init__(self, channel: Channel, json_depth: int) -> None:
        self._channel = channel
        assessor = Assessor(self._find, json_depth=json_depth)
        self._assessor = assessor.with_conditions_from(self._find_condition)
        self._vessels = Cache[str, PreparedVessel](MOST_VESSELS)

    def serve(self) -> None:
        """One task after the other. Raises EOFError or OSError when the parent hung up."""
        self._channel.send(Working())
        while True:
            self._channel.send(self._results(self._channel.receive()))

    def _results(self, task: Task) -> list[Any]:
        results = []
        told = time.monotonic()
        for result in task.results(self._assessor):
            results.append(portable(result) if isinstance(result, Exception) else result)
            if time.monotonic() - told > SECONDS_BETWEEN_SIGNS_OF_LIFE:
                self._channel.send(Working())
                told = time.monotonic()
        return results

    def _find(self, id: str, revision: int | None) -> PreparedVessel:
        self._channel.send(Named(id, revision))
        key: str | Exception = self._channel.receive()
        if isinstance(key, Exception):
            raise key
        vessel = self._vessels.get(key)
        if vessel is None:
            self._channel.send(Lacking())
            vessel = self._channel.receive()
            assert isinstance(vessel, PreparedVessel)
            self._vessels.put(key, vessel)
        return vessel

    def _find_condition(self, id: str, revision: int | None) -> StoredCondition:
        self._channel.send(NamedStoredCondition(id, revision))
        found: StoredCondition | Exception = self._channel.receive()
        if isinstance(found, Exception):
            raise found
        return found


def portable(fault: Exception) -> Exception:
    """An exception that another process can read, an unexpected one with the trace that would be lost on the way."""
    if isinstance(fault, Refusal | UnreadableJson):
        return fault
    fault.add_note("In the other process:\n" + "".join(traceback.format_exception(fault)))
    try:
        pickle.loads(pickle.dumps(fault))  # noqa: S301 - made here
    except Exception:  # noqa: BLE001 - whatever its kind has against it
        return RuntimeError("\n".join(fault.__notes__))
    return fault
