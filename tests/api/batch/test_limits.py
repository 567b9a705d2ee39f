"""What ends a batch before its body does, and what one key's batches leave to those of others."""

import asyncio
import json
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from typing import Any

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.settings import Settings
from service.web import middleware
from tests.api.office import Office, condition_document, running_office

LINES = {"Content-Type": "application/x-ndjson"}
HEAD = (
    "POST /v1/assessments/batch HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-ndjson\r\n"
    "Authorization: {}\r\nTransfer-Encoding: chunked\r\n\r\n"
)


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with running_office(f"sqlite:///{tmp_path_factory.mktemp('batches')}/r.db", demo=True) as office:
        yield office


def _line() -> bytes:
    return json.dumps({"vessel_id": "halvenmoor", "condition": condition_document()}).encode() + b"\n"


def _answers(response: httpx.Response) -> list[dict[str, Any]]:
    return [json.loads(line) for line in response.text.splitlines()]


def test_a_thousand_refused_lines_in_a_row_end_a_batch(office: Office) -> None:
    key = office.key("integrator")
    body = _line() + b"{}\n" * 998 + _line() + b"{}\n" * 5_000
    answers = _answers(
        office.http.post("/v1/assessments/batch?detail=summary", content=body, headers=LINES | key)
    )
    *lines, problem, end = answers
    assert problem["code"] == "too_many_refused"
    assert 2_000 <= len(lines) < 2_300
    assert end == {"type": "end", "count": len(lines), "failed": len(lines) - 2, "complete": False}


def test_eight_idle_batches_of_one_key_do_not_hold_those_of_another(office: Office) -> None:
    first, second = office.key("integrator"), office.key("ship")
    port = int(office.address.rpartition(":")[2])
    with ExitStack() as stack:
        for _ in range(8):
            connection = stack.enter_context(
                closing(socket.create_connection(("127.0.0.1", port), timeout=10))
            )
            connection.sendall(HEAD.format(first["Authorization"]).encode())
            assert connection.recv(1_000).startswith(b"HTTP/1.1 200 ")
        refused = office.http.post("/v1/assessments/batch", content=_line(), headers=LINES | first)
        assert refused.status_code == 503
        assert "This key" in refused.json()["detail"]
        answered = office.http.post("/v1/assessments/batch", content=_line(), headers=LINES | second)
        assert _answers(answered)[-1]["complete"]


def test_a_body_of_which_nothing_comes_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(middleware.RequestMiddleware.__init__, "__kwdefaults__", {"body_seconds": 0.5})
    app = create_app(Settings(database_url="", access_log=False))
    with local_server(app) as address:
        port = int(address.rpartition(":")[2])
        began = time.monotonic()
        for path, media, wanted in (
            ("/v1/assessments", "json", b'"body_too_slow"'),
            ("/v1/assessments/batch", "x-ndjson", b'"complete":false'),
        ):
            with closing(socket.create_connection(("127.0.0.1", port), timeout=10)) as connection:
                connection.sendall(
                    f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/{media}\r\n"
                    "Connection: close\r\nContent-Length: 9\r\n\r\n{".encode()
                )
                answer = b""
                while piece := connection.recv(65_536):
                    answer += piece
            assert wanted in answer
            assert b"Nothing more of the body came" in answer
        assert 1.0 <= time.monotonic() - began < 8.0


def test_a_client_may_take_its_time_when_its_body_is_sent() -> None:
    """The limit is for a body that is waited for: an answer that takes longer is none of it."""

    async def asked() -> str:
        messages = [{"type": "http.request", "body": b"", "more_body": False}]

        async def receive() -> Any:
            if messages:
                return messages.pop()
            await asyncio.sleep(0.2)
            return {"type": "http.disconnect"}

        limited = middleware._limited(receive, 10, 0.05)
        await limited()
        return str((await limited())["type"])

    assert asyncio.run(asked()) == "http.disconnect"
