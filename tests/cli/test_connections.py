"""Connections before any key is read: idle ones, heads without an end, too many from one address."""

import http.client
import json
import os
import resource
import socket
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

import pytest

from service.app import create_app
from service.cli.http_protocol import GuardedProtocol, Limits
from service.cli.local_server import local_server
from service.settings import Settings
from service.web.problem_kinds import KINDS
from tests.benchmarks.server_process import processor_time
from tests.endurance.server import free_port

ROOT = Path(__file__).parents[2]
GET = b"GET /livez HTTP/1.1\r\nHost: 127.0.0.1\r\n"


class Hurried(GuardedProtocol):
    """Limits that a test can wait for."""

    @classmethod
    def limits(cls) -> Limits:
        return Limits(head_seconds=0.6, per_address=8)


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    with local_server(create_app(Settings(database_url="", access_log=False)), Hurried) as address:
        yield int(address.rpartition(":")[2])


def _connected(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=10)


def _all_from(connection: socket.socket) -> bytes:
    pieces = []
    try:
        while piece := connection.recv(65_536):
            pieces.append(piece)
    except ConnectionResetError:
        pass
    return b"".join(pieces)


def _is_closed_while(connection: socket.socket, pieces: Iterable[bytes], pause: float = 0.0) -> bool:
    """Whether the other side closes while pieces are sent."""
    try:
        for piece in pieces:
            connection.sendall(piece)
            time.sleep(pause)
    except OSError:
        return True
    return False


@pytest.mark.parametrize("sent", [b"", GET, b"GET /livez HTT"])
def test_a_connection_without_a_whole_head_is_closed(port: int, sent: bytes) -> None:
    with closing(_connected(port)) as connection:
        connection.sendall(sent)
        began = time.monotonic()
        assert _all_from(connection) == b""
        assert 0.4 < time.monotonic() - began < 5.0


def test_a_head_that_comes_byte_by_byte_is_not_waited_for(port: int) -> None:
    with closing(_connected(port)) as connection:
        assert _is_closed_while(connection, (bytes((byte,)) for byte in GET * 100), pause=0.02)


def test_a_second_head_is_waited_for_no_longer_than_the_first(port: int) -> None:
    with closing(_connected(port)) as connection:
        connection.sendall(GET + b"\r\n")
        assert connection.recv(10_000).startswith(b"HTTP/1.1 200")
        connection.sendall(GET)
        began = time.monotonic()
        assert b"HTTP/1.1 200" not in _all_from(connection)
        assert time.monotonic() - began < 4.0


def test_a_body_may_take_longer_than_a_head(port: int) -> None:
    with closing(_connected(port)) as connection:
        head = b"POST /v1/assessments HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        connection.sendall(head + b"Content-Length: 2\r\n\r\n{")
        time.sleep(1.2)
        connection.sendall(b"}")
        assert connection.recv(10_000).startswith(b"HTTP/1.1 422")


@pytest.mark.parametrize("unit", [b"a", b"X: y\r\n", b"X" * 100 + b": " + b"y" * 9_000 + b"\r\n"])
def test_a_long_head_is_refused(port: int, unit: bytes) -> None:
    with closing(_connected(port)) as connection:
        connection.sendall(GET + (b"X-Long: " if unit == b"a" else b""))
        answer = b""
        try:
            for _ in range(200_000 // len(unit)):
                connection.sendall(unit)
        except OSError:
            pass
        answer = _all_from(connection)
        assert answer == b"" or answer.startswith(b"HTTP/1.1 431 ")


def test_the_refusal_of_a_long_head_is_a_problem_document(port: int) -> None:
    with closing(_connected(port)) as connection:
        connection.sendall(GET + b"X-Long: " + b"a" * (66_000 - len(GET)))
        head, _, body = _all_from(connection).partition(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 431 ")
        problem = json.loads(body)
        kind = KINDS["header_too_large"]
        assert (problem["code"], problem["status"], problem["title"]) == (kind.code, kind.status, kind.title)


def test_a_whole_head_that_is_too_long_is_refused(port: int) -> None:
    fields = b"".join(b"X-%d: " % n + b"a" * 8_000 + b"\r\n" for n in range(9))
    with closing(_connected(port)) as connection:
        connection.sendall(GET + fields + b"\r\n")
        assert b"HTTP/1.1 200 " not in _all_from(connection)  # 431, where the rest unread does not reset it
    with closing(_connected(port)) as connection:
        connection.sendall(GET + fields[:56_000] + b"\r\n\r\n")
        assert connection.recv(10_000).startswith(b"HTTP/1.1 200 ")


POST = b"POST /v1/assessments HTTP/1.1\r\nHost: 127.0.0.1\r\n"


@pytest.mark.parametrize(
    "head",
    [
        GET + b"Host: other.example\r\n\r\n",
        b"GET /livez HTTP/1.1\r\n\r\n",
        b"FOO /livez HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n",
        POST + b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        POST + b"Content-Length: 4\r\nContent-Length: 5\r\n\r\n0000",
        POST + b"Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n",
        GET + b"X: a\rb\r\n\r\n",
    ],
)
def test_a_head_that_a_proxy_may_read_otherwise_is_refused_by_a_problem_document(
    port: int, head: bytes
) -> None:
    """One Host field, one length (RFC 9112, sections 3.2 and 6.3); nothing that follows is read as a request."""
    with closing(_connected(port)) as connection:
        connection.sendall(head + GET + b"\r\n")
        fields, _, body = _all_from(connection).partition(b"\r\n\r\n")
        assert fields.startswith(b"HTTP/1.1 400 ")
        assert b"application/problem+json" in fields
        assert json.loads(body)["code"] == "bad_request"


def test_a_request_of_http_1_0_needs_no_host(port: int) -> None:
    with closing(_connected(port)) as connection:
        connection.sendall(b"GET /livez HTTP/1.0\r\n\r\n")
        assert _all_from(connection).startswith(b"HTTP/1.1 200 ")


def test_fields_after_a_body_have_an_end(port: int) -> None:
    with closing(_connected(port)) as connection:
        head = b"POST /v1/assessments/batch HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-ndjson\r\n"
        connection.sendall(head + b"Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\nX: ")
        assert _is_closed_while(connection, [b"a" * 1_000] * 400, pause=0.001)


def test_requests_in_one_packet_and_long_bodies_are_answered(port: int) -> None:
    body = b" " * 1_000_000
    post = b"POST /v1/assessments HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: "
    with closing(_connected(port)) as connection:
        connection.sendall(
            3 * (GET + b"\r\n") + post + b"1000000\r\n\r\n" + body + GET + b"Connection: close\r\n\r\n"
        )
        answers = _all_from(connection)
    assert answers.count(b"HTTP/1.1 200 ") == 4
    assert answers.count(b"HTTP/1.1 400 ") == 1


def test_beyond_the_cap_the_longest_silent_connection_goes(port: int) -> None:
    with ExitStack() as stack:
        kept = [stack.enter_context(closing(_connected(port))) for _ in range(8)]
        kept[0].sendall(GET + b"Content-Length: 2\r\n\r\n")  # a whole head
        time.sleep(0.1)
        stack.enter_context(closing(_connected(port)))
        assert _all_from(kept[1]) == b""
        kept[2].sendall(GET + b"\r\n")
        assert kept[2].recv(10_000).startswith(b"HTTP/1.1 200 ")


@contextmanager
def _served(**settings: str) -> Iterator[tuple[int, int]]:
    """Port and process id of a server of its own."""
    port = free_port()
    environment = {**os.environ, "LOADING_DATABASE_URL": "", "LOADING_PORT": str(port), **settings}
    process = subprocess.Popen(
        [sys.executable, "-m", "service", "serve"], cwd=ROOT, env=environment, stderr=subprocess.DEVNULL
    )
    try:
        until = time.monotonic() + 60
        while True:
            try:
                _connected(port).close()
                break
            except OSError:
                assert process.poll() is None
                assert time.monotonic() < until
                time.sleep(0.05)
        yield port, process.pid
    finally:
        process.kill()
        process.wait()


def _livez_seconds(port: int) -> float:
    began = time.monotonic()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    with closing(connection):
        connection.request("GET", "/livez")
        assert connection.getresponse().status == 200
    return time.monotonic() - began


@pytest.mark.parametrize("cap", ["256", "0"])
def test_livez_under_a_thousand_idle_connections(cap: str) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, max(soft, 4_096)), hard))
    with _served(LOADING_CONNECTIONS_PER_ADDRESS=cap) as (port, pid), ExitStack() as stack:
        connections = [stack.enter_context(closing(_connected(port))) for _ in range(1_000)]
        assert max(_livez_seconds(port) for _ in range(20)) < 2.0
        connections[-1].sendall(GET + b"\r\n")
        assert connections[-1].recv(10_000).startswith(b"HTTP/1.1 200 ")
        before = processor_time(pid)
        endless = stack.enter_context(closing(_connected(port)))
        assert _is_closed_while(endless, [GET + b"X: ", *[b"a" * 1_000] * 30_000])
        assert processor_time(pid) - before < 1.0
