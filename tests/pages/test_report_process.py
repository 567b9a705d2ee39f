"""Reports come from a process that is bounded, recycled, and replaced where it is lost."""

import os
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from service.pages.report.process import ReportLimits, ReportProcess
from service.pages.report.sheet import report_of
from service.wire.refusal import Refusal
from tests.pages.harbour import Harbour


@pytest.fixture(scope="module")
def record(harbour: Harbour) -> dict[str, Any]:
    path = f"/v1/conditions/{harbour.enter()}/revisions/1"
    found: dict[str, Any] = harbour.http.get(path, headers=harbour.bearer("ship")).json()
    return found


@contextmanager
def _process(**limits: Any) -> Iterator[ReportProcess]:
    process = ReportProcess(ReportLimits(**limits))
    try:
        yield process
    finally:
        process.close()


def _has_ended(pid: int) -> bool:
    until = time.monotonic() + 10
    while time.monotonic() < until:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.02)
    return False


@pytest.mark.timeout(240)
def test_the_bytes_are_those_of_this_process_and_the_process_is_replaced(record: dict[str, Any]) -> None:
    with _process(reports=2) as process:
        pids = []
        for _ in range(3):
            assert process.pdf(record, [], 1) == report_of(record, [], 1)
            assert process.pid is not None
            pids.append(process.pid)
        assert pids[0] == pids[1] != pids[2]
        assert _has_ended(pids[0])
    assert _has_ended(pids[2])
    assert process.pid is None


@pytest.mark.timeout(240)
def test_a_process_that_is_lost_or_stopped_is_replaced(record: dict[str, Any]) -> None:
    with _process(seconds=3.0) as process:
        process.pdf(record, [], 1)
        for how in (signal.SIGKILL, signal.SIGSTOP):
            lost = process.pid
            assert lost is not None
            os.kill(lost, how)
            with pytest.raises(Refusal, match="within its limits"):
                process.pdf(record, [], 1)
            assert _has_ended(lost)
            assert process.pdf(record, [], 1).startswith(b"%PDF")


@pytest.mark.timeout(240)
def test_memory_and_time_are_bounded(record: dict[str, Any]) -> None:
    with _process(memory=150 * 1024**2) as process, pytest.raises(Refusal, match="within its limits"):
        process.pdf(record, [], 1)
    with _process(seconds=0.001) as process, pytest.raises(Refusal, match="within its limits"):
        process.pdf(record, [], 1)


def test_what_cannot_be_set_is_told(record: dict[str, Any]) -> None:
    with _process() as process, pytest.raises(RuntimeError, match="KeyError"):
        process.pdf({"assessment": record["assessment"]}, [], 1)
