"""A server that is told to stop ends what is under way properly: SIGTERM, as every supervisor sends it."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import httpx

from tests.api.office import condition_document
from tests.endurance.server import free_port

ROOT = Path(__file__).parents[2]


def test_batches_get_an_end_and_requests_their_answer(tmp_path: Path) -> None:
    port = free_port()
    environment = {
        **os.environ,
        "LOADING_DATABASE_URL": f"sqlite:///{tmp_path}/records.db",
        "LOADING_BATCH_CHUNK_LINES": "4",
        "LOADING_WORKER_PROCESSES": "1",
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "service", "serve", "--demo", "--port", str(port)],
        cwd=ROOT, env=environment, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        _wait(f"http://127.0.0.1:{port}/readyz")
        line = json.dumps({"vessel_id": "halvenmoor", "condition": condition_document()}).encode() + b"\n"
        with socket.create_connection(("127.0.0.1", port), timeout=60) as batch:
            batch.sendall(_head("/v1/assessments/batch?detail=summary", "application/x-ndjson", 64_000_000))
            batch.sendall(4 * line)  # the rest never comes
            answer = batch.makefile("rb")
            assert b"200" in answer.readline()
            answers = _chunked(answer)
            first = next(answers)
            slow = _Request(port, {"vessel_id": "halvenmoor", "condition": condition_document()})
            slow.begin()
            process.send_signal(signal.SIGTERM)
            time.sleep(0.3)
            slow.end()
            *between, cut, end = [first, *answers]
        assert [row["line"] for row in between] == [1, 2, 3, 4]
        assert (cut["code"], cut["detail"][:24]) == ("not_ready", "The service is stopping;")
        assert end == {"type": "end", "count": 4, "failed": 0, "complete": False}
        assert slow.status() == 200
        _, told = process.communicate(timeout=30)
        assert process.returncode in (0, -signal.SIGTERM)  # the server hands the signal on at its end
        assert b"Traceback" not in told
        assert b"rror" not in told.replace(b'"error"', b"")
    finally:
        process.kill()
        process.wait()


class _Request:
    """A request whose body is half sent before the stop and half after it."""

    def __init__(self, port: int, document: dict[str, Any]) -> None:
        self._body = json.dumps(document).encode()
        self._socket = socket.create_connection(("127.0.0.1", port), timeout=60)

    def begin(self) -> None:
        head = _head("/v1/assessments", "application/json", len(self._body))
        self._socket.sendall(head + self._body[:500])
        time.sleep(0.3)

    def end(self) -> None:
        self._socket.sendall(self._body[500:])

    def status(self) -> int:
        with self._socket, self._socket.makefile("rb") as answer:
            return int(answer.readline().split()[1])


def _head(path: str, media_type: str, length: int) -> bytes:
    fields = f"Host: 127.0.0.1\r\nContent-Type: {media_type}\r\nContent-Length: {length}\r\n"
    return f"POST {path} HTTP/1.1\r\n{fields}\r\n".encode()


def _chunked(answer: Any) -> Any:
    """The lines of an answer in chunks (RFC 9112, section 7.1)."""
    while answer.readline().strip():
        pass
    rest = b""
    while size := int(answer.readline(), 16):
        rest += answer.read(size)
        answer.readline()
        *lines, rest = rest.split(b"\n")
        yield from map(json.loads, lines)
    assert rest == b""


def _wait(url: str) -> None:
    until = time.monotonic() + 90
    while time.monotonic() < until:
        try:
            if httpx.get(url, timeout=5, trust_env=False).status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.1)
    raise AssertionError("the server did not become ready")
