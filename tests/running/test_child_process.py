"""A machine without a file descriptor left: work is done otherwise or refused as busy, and nothing leaks."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from service.imports.cells import pages_of
from service.pages.report.process import ReportProcess
from service.running.child_process import start_child
from service.running.worker_pool import WorkerPool
from service.wire.refusal import Refusal

OPEN_FILES = Path("/proc/self/fd")


def open_files() -> set[str]:
    return {place.name for place in OPEN_FILES.iterdir() if place.exists()}


@contextmanager
def files_left(count: int) -> Iterator[None]:
    """No more than so many file descriptors can be opened in this process while a block of code runs."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    first = [n for n in range(4096) if not (OPEN_FILES / str(n)).exists()][count]
    resource.setrlimit(resource.RLIMIT_NOFILE, (first, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.parametrize("count", [0, 1, 2, 3, 4, 5])
def test_a_child_that_cannot_start_leaves_nothing_open(count: int) -> None:
    before = open_files()
    with files_left(count), pytest.raises(OSError, match="Too many open files"):
        start_child(print)
    assert open_files() == before


def test_a_pool_that_cannot_start_workers_says_that_none_is_there() -> None:
    pool = WorkerPool(2, 20)
    try:
        with files_left(3):
            assert not pool.are_ready()
            assert pool.started() == 0
    finally:
        pool.close()


def test_reports_and_files_are_refused_as_busy() -> None:
    process = ReportProcess()
    with files_left(3):
        with pytest.raises(Refusal, match="within its limits") as report:
            process.pdf({}, [], 1)
        with pytest.raises(Refusal, match="no process could be started") as file:
            pages_of(b"Sheet\n")
    assert report.value.code == file.value.code == "busy"
    assert report.value.retry_after == file.value.retry_after == 1
    assert process.pid is None
