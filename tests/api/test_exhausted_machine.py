"""A machine without a thread, a file descriptor or memory left: what cannot be done is refused as busy, in every answer
the caller sees, and background work goes on afterwards."""

import asyncio
import json
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
import structlog

from service.imports import cells
from service.running import fleet_refresh, purge
from service.web.problems import problem_of
from service.wire.refusal import Refusal
from tests.api.in_process import Answer, InProcess, in_process
from tests.api.office import condition_document, settings_for
from tests.running.test_child_process import files_left

LINES = [(b"content-type", b"application/x-ndjson")]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[InProcess]:
    database = f"sqlite:///{tmp_path_factory.mktemp('exhausted')}/records.db"
    with in_process(settings_for(database, demo=True, worker_processes=0)) as app:
        app.ask("GET", "/v1/vessels")
        yield app


@pytest.fixture
def no_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """No thread can be started, as where the limit of processes (RLIMIT_NPROC) is reached."""

    def start(*given: Any) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading, "_start_new_thread", start)
    monkeypatch.setattr("anyio._backends._asyncio.WorkerThread.start", start)


def _is_busy(answer: Answer) -> None:
    assert answer.status == 503, answer.body[:300]
    assert json.loads(answer.body)["code"] == "busy"
    assert int(answer.headers[b"retry-after"]) >= 1


def _without_idle_threads(app: InProcess) -> None:
    """Threads that wait for work would do it."""
    from anyio._backends._asyncio import _threadpool_idle_workers

    async def forget() -> None:
        _threadpool_idle_workers.get().clear()

    with suppress(LookupError):
        app._runner.run(forget())


def test_without_a_file_descriptor(app: InProcess) -> None:
    with files_left(0), structlog.testing.capture_logs() as logs:
        workbook = app.ask("GET", "/v1/vessels/halvenmoor/workbook")
        page = app.ask("GET", "/vessels/new", b"", [(b"accept", b"text/html")])
    # what is in memory already needs none
    assert {workbook.status, page.status} <= {200, 503}
    assert {line["event"] for line in logs} <= {"machine_exhausted"}
    assert app.ask("GET", "/v1/vessels/halvenmoor/workbook").status == 200


def test_without_a_thread(app: InProcess, no_threads: None) -> None:
    _without_idle_threads(app)
    _is_busy(app.ask("GET", "/v1/vessels"))
    page = app.ask("GET", "/", b"", [(b"accept", b"text/html")])
    assert page.status == 503
    assert page.headers[b"retry-after"] == b"1"
    line = json.dumps({"vessel_id": "halvenmoor", "condition": condition_document()}).encode()
    batch = app.ask("POST", "/v1/assessments/batch", line, LINES)  # refused before its first line, or with it
    assert batch.status in (200, 503)
    assert json.loads(batch.body.splitlines()[0])["code"] == "busy"
    assert problem_of(MemoryError(), "reference")["code"] == "busy"  # of a line of a batch


def test_a_file_is_refused_as_busy_where_its_reader_has_no_thread(no_threads: None) -> None:
    with pytest.raises(Refusal) as refused:
        cells.pages_of(b"Sheet\n")
    assert refused.value.code == "busy"


def test_background_work_outlives_a_moment_without_threads(
    monkeypatch: pytest.MonkeyPatch, no_threads: None, tmp_path: Path
) -> None:
    for module in (purge, fleet_refresh):
        monkeypatch.setattr(module, "SECONDS_BETWEEN", 0.0)

    async def still_running() -> list[bool]:
        nothing: Any = None
        tasks = [
            asyncio.create_task(work(nothing))
            for work in (purge.keep_purging, fleet_refresh.keep_fleet_fresh)
        ]
        await asyncio.sleep(0.02)
        running = [not task.done() for task in tasks]
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        return running

    with structlog.testing.capture_logs() as logs:
        assert asyncio.run(still_running()) == [True, True]
    assert {line["event"] for line in logs} == {"purge_failed", "fleet_refresh_failed"}
