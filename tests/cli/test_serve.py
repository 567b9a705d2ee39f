"""`serve`: who is let in, and several processes."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from tests.api.office import vessel_document
from tests.endurance.server import free_port
from tests.postgres import Server, postgres_server  # noqa: F401

ROOT = Path(__file__).parents[2]


def _command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "service", "serve", *arguments]


def test_several_processes_need_postgresql(tmp_path: Path) -> None:
    environment = {**os.environ, "LOADING_DATABASE_URL": f"sqlite:///{tmp_path}/records.db"}
    done = subprocess.run(
        _command("--workers", "2"),
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert "need PostgreSQL" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.timeout(120)
def test_two_processes_on_postgresql_answer_as_one(postgres_server: Server) -> None:  # noqa: F811
    database, port = postgres_server.create(), free_port()
    environment = {**os.environ, "LOADING_DATABASE_URL": database, "LOADING_KEY_PEPPER": "p"}
    process = subprocess.Popen(
        _command("--workers", "2", "--port", str(port)), cwd=ROOT, env=environment, stderr=subprocess.PIPE
    )
    try:
        address = f"http://127.0.0.1:{port}"
        _wait(f"{address}/readyz")
        made = httpx.post(f"{address}/v1/vessels", json=vessel_document(), timeout=30, trust_env=False)
        assert made.status_code == 201
        for _ in range(8):  # each on a connection of its own, so by either process
            found = httpx.get(address + made.headers["Location"], timeout=30, trust_env=False)
            assert found.content == made.content
        process.send_signal(signal.SIGTERM)
        _, told = process.communicate(timeout=40)
        assert b"Traceback" not in told
        assert b"No key yet" in told
    finally:
        process.kill()
        process.wait()
    postgres_server.drop(database)


def _wait(url: str) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            if httpx.get(url, timeout=5, trust_env=False).status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError("the server did not become ready")
