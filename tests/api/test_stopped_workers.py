"""Worker processes that stop answering: the service goes on, and gets rid of them."""

import json
import os
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from service.app import create_app
from service.cli.local_server import local_server
from service.running import judging, line_assessor
from service.settings import Settings

NDJSON = {"Content-Type": "application/x-ndjson"}
LINES = 1_000
PATIENCE = 3.0


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    database = f"sqlite:///{tmp_path}/records.db"
    return create_app(Settings(access_log=False, database_url=database, demo=True, worker_processes=2))


@pytest.fixture
def http(app: FastAPI) -> Iterator[httpx.Client]:
    with local_server(app) as address, httpx.Client(base_url=address, timeout=60, trust_env=False) as client:
        yield client


def batch(http: httpx.Client, request: dict[str, Any], count: int) -> httpx.Response:
    body = b"\n".join([json.dumps(request).encode()] * count)
    return http.post("/v1/assessments/batch?detail=summary", content=body, headers=NDJSON)


def wait_for_workers(app: FastAPI) -> list[int]:
    end = time.monotonic() + 60
    while not app.state.parts.workers.pool.are_ready():
        assert time.monotonic() < end, "the workers did not start"
        time.sleep(0.05)
    ids: list[int] = app.state.parts.workers.pool.ids()
    return ids


def test_stopped_workers_hold_nobody_up_and_are_ended(
    app: FastAPI, http: httpx.Client, request_document: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(line_assessor, "PATIENCE_SECONDS", PATIENCE)
    expected = batch(http, request_document, LINES).content
    ids = wait_for_workers(app)
    assert batch(http, request_document, LINES).content == expected
    for id in ids:
        os.kill(id, signal.SIGSTOP)
    answers: list[httpx.Response] = []
    asking = threading.Thread(target=lambda: answers.append(batch(http, request_document, LINES)))
    began = time.monotonic()
    asking.start()
    slowest = {"/livez": 0.0, "small": 0.0, "large": 0.0}
    weight = {"name": "Box", "category": "cargo", "mass": 0.001, "lcg": 50.0, "vcg": 5.0, "tcg": 0.0}
    boxes = [{**weight, "name": f"Box {n}"} for n in range(300)]
    aboard = request_document["condition"]
    large = {**request_document, "condition": {**aboard, "weights": aboard["weights"] + boxes}}
    while asking.is_alive() and time.monotonic() < began + PATIENCE / 2:
        for name, ask in (
            ("/livez", lambda: http.get("/livez")),
            ("small", lambda: http.post("/v1/assessments", json=request_document)),
            ("large", lambda: http.post("/v1/assessments", json=large)),
        ):
            before = time.monotonic()
            answer = ask()
            slowest[name] = max(slowest[name], time.monotonic() - before)
            assert answer.status_code == 200, answer.text
    assert asking.is_alive(), "the batch waited for its workers all the while"
    assert max(slowest.values()) < PATIENCE / 2, slowest
    asking.join(60)
    assert answers[0].content == expected
    assert time.monotonic() - began > PATIENCE
    assert not any(Path(f"/proc/{id}").exists() for id in ids)
    assert not set(ids) & set(wait_for_workers(app))
    assert batch(http, request_document, LINES).content == expected


def test_stopped_workers_keep_no_condition_from_being_stored(
    app: FastAPI, http: httpx.Client, condition: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Conditions that come together are judged by a worker; without one they are judged here, each once."""
    monkeypatch.setattr(judging, "PATIENCE_SECONDS", 1.0)
    monkeypatch.setattr(judging, "WORTH_A_PROCESS", 1)
    wait_for_workers(app)
    ids = set(app.state.parts.workers.pool.ids())
    for id in ids:
        os.kill(id, signal.SIGSTOP)

    def store(number: int) -> httpx.Response:
        document = {**condition, "title": f"No. {number}"}
        return http.post("/v1/vessels/halvenmoor/conditions", json=document)

    began = time.monotonic()
    with ThreadPoolExecutor(16) as threads:
        answers = list(threads.map(store, range(64)))
    assert [answer.status_code for answer in answers] == [201] * 64
    assert [answer.json()["title"] for answer in answers] == [f"No. {number}" for number in range(64)]
    assert time.monotonic() - began < 30.0
    assert ids - set(app.state.parts.workers.pool.ids()), "one was asked at least, and ended"
    assert http.get("/livez").status_code == 200
