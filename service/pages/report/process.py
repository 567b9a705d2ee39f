"""Reports are set in a process of their own: the typesetter's memory is bounded, it is ended where it takes too long,
and a new one takes its place after some reports.

One report at a time: setting one takes a processor for itself.
"""

import os
import resource
import socket
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from typing import Any, Literal

from service.running.child_process import start_child
from service.running.worker_channel import Channel
from service.wire.refusal import Refusal
from service.wire.review import Review

Subject = Literal["revision", "plan"]
START_SECONDS = 60.0
END_SECONDS = 2.0


@dataclass(frozen=True)
class ReportLimits:
    """seconds: of one report. memory: bytes of address space of the process. reports: until it is replaced."""

    seconds: float = 30.0
    memory: int = 2 * 1024**3
    reports: int = 50


class ReportProcess:
    """Sets reports one at a time. Safe to use from several threads. Starts with the first report."""

    def __init__(self, limits: ReportLimits | None = None) -> None:
        self._limits = limits or ReportLimits()
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None
        self._channel: Channel | None = None
        self._made = 0

    def pdf(
        self,
        record: dict[str, Any],
        reviews: Sequence[Review],
        latest: int,
        vessel: Mapping[str, Any] | None = None,
    ) -> bytes:
        """The report as `report_of` makes it. Raises Refusal (busy) where the process was lost on the way, RuntimeError
        where it could not be set."""
        return self._set("revision", (record, list(reviews), latest, vessel))

    def plan_pdf(
        self,
        record: dict[str, Any],
        reviews: Sequence[Review],
        latest: int,
        vessel: Mapping[str, Any] | None = None,
    ) -> bytes:
        """The report of a revision's whole plan as `plan_report_of` makes it; raises as `pdf` does."""
        return self._set("plan", (record, list(reviews), latest, vessel))

    def _set(self, subject: Subject, given: tuple[Any, ...]) -> bytes:
        with self._lock:
            if self._made >= self._limits.reports:
                self._end()
            try:
                channel = self._channel or self._start()
                channel.send((subject, given), self._limits.seconds)
                made: bytes | str = channel.receive(self._limits.seconds)
            except (EOFError, OSError):  # TimeoutError is one
                self._end()
                raise Refusal(
                    "busy", "The report was not set within its limits; try again.", retry_after=1
                ) from None
            except BaseException:
                self._end()
                raise
            self._made += 1
        if isinstance(made, str):
            raise RuntimeError(made)
        return made

    @property
    def pid(self) -> int | None:
        """Process id, None where there is none."""
        return None if self._process is None else self._process.pid

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._end()

    def _start(self) -> Channel:
        self._process, self._channel = start_child(set_reports, self._limits.memory)
        self._channel.receive(START_SECONDS)
        return self._channel

    def _end(self) -> None:
        channel, process = self._channel, self._process
        self._channel = self._process = None
        self._made = 0
        if channel is not None:
            channel.close()  # an idle process ends by that
        if process is not None:
            process.join(0 if channel is None else END_SECONDS / 10)
            if process.is_alive():
                process.kill()
            process.join(END_SECONDS)


def set_reports(end: socket.socket, memory: int) -> None:
    """What the process does: set one report after the other until its parent is gone."""
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.nice(5)
    from service.pages.report.plan_sheet import plan_report_of
    from service.pages.report.sheet import report_of

    makers = {"revision": report_of, "plan": plan_report_of}
    channel = Channel(end)
    channel.send("ready", None)
    while True:
        try:
            subject, given = channel.receive(None)
        except (EOFError, OSError):
            return
        try:
            made: bytes | str = makers[subject](*given)
        except Exception as fault:  # noqa: BLE001 - told to the parent, which logs it
            made = f"{type(fault).__name__}: {fault}"
        channel.send(made, None)
