"""A client that costs little next to what it measures: HTTP/1.1 on kept connections, straight on asyncio protocols.

It runs in a process of its own and prints what it measured as JSON. Requests go to the floor and to the service in
turn, one block after the other; floor and service get the same bodies. PID is the server's: its processor time is
read before and after.

    python -m tests.benchmarks.http_load requests PORT PID VESSEL CONCURRENCY BLOCKS REQUESTS_PER_BLOCK
    python -m tests.benchmarks.http_load batch PORT PID VESSEL PATH LINES

VESSEL are the members of each request that name her, as JSON; null puts the whole document inline.
"""

import asyncio
import json
import sys
from collections.abc import Coroutine
from itertools import cycle
from time import perf_counter
from typing import Any, cast

import uvloop

from tests.benchmarks.reference_case import request_bodies
from tests.benchmarks.server_process import processor_time

HOST = "127.0.0.1"
FLOOR, SUBJECT = "/noop", "/v1/assessments"
BODIES = 64
BATCH_SECONDS = 90.0
Named = dict[str, Any] | None


class Connection(asyncio.Protocol):
    """One kept connection with one request in flight."""

    def __init__(self) -> None:
        self._received = bytearray()
        self._head = self._length = -1
        self._began = 0.0
        self._done: asyncio.Future[float] | None = None
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Keep the transport."""
        self._transport = cast(asyncio.Transport, transport)

    async def ask(self, request: bytes) -> float:
        """Seconds from writing the request to the last byte of its answer, which must be a 200."""
        assert self._transport is not None
        self._received.clear()
        self._head = -1
        self._done = asyncio.get_running_loop().create_future()
        self._began = perf_counter()
        self._transport.write(request)
        return await self._done

    def data_received(self, data: bytes) -> None:
        """Collect the answer; its length is in its head."""
        self._received += data
        if self._head < 0 and (end := self._received.find(b"\r\n\r\n")) >= 0:
            self._head = end + 4
            self._length = _content_length(bytes(self._received[:end]))
        if self._head >= 0 and len(self._received) >= self._head + self._length:
            assert self._done is not None
            took = perf_counter() - self._began
            if self._received.startswith(b"HTTP/1.1 200 "):
                self._done.set_result(took)
            else:
                self._done.set_exception(RuntimeError(self._received[:500].decode("latin-1")))

    def connection_lost(self, exc: Exception | None) -> None:
        """A connection that ends under a request is an error."""
        if self._done is not None and not self._done.done():
            self._done.set_exception(exc or ConnectionError("closed by the server"))

    def close(self) -> None:
        """Hang up."""
        assert self._transport is not None
        self._transport.close()


def _content_length(head: bytes) -> int:
    for line in head.lower().split(b"\r\n"):
        if line.startswith(b"content-length:"):
            return int(line[15:])
    raise RuntimeError("an answer without content-length")


def _request(path: str, body: bytes) -> bytes:
    head = f"POST {path} HTTP/1.1\r\nhost: {HOST}\r\ncontent-type: application/json\r\n"
    return f"{head}content-length: {len(body)}\r\n\r\n".encode() + body


async def load(
    port: int, pid: int, vessel: Named, *, concurrency: int, blocks: int, size: int
) -> dict[str, dict[str, list[float]]]:
    """For each path the seconds of every request, and the server's processor time per request by block.

    The first block of each path warms up and is not counted."""
    loop = asyncio.get_running_loop()
    connections = [(await loop.create_connection(Connection, HOST, port))[1] for _ in range(concurrency)]
    bodies = request_bodies(BODIES, vessel=vessel)
    requests = {path: cycle([_request(path, body) for body in bodies]) for path in (FLOOR, SUBJECT)}
    found: dict[str, dict[str, list[float]]] = {p: {"seconds": [], "processor": []} for p in (FLOOR, SUBJECT)}
    share = size // concurrency

    async def ask_in_turn(connection: Connection, path: str) -> list[float]:
        return [await connection.ask(next(requests[path])) for _ in range(share)]

    for block in range(blocks + 1):
        for path in (FLOOR, SUBJECT) if block % 2 else (SUBJECT, FLOOR):
            before = processor_time(pid)
            took = await asyncio.gather(*(ask_in_turn(c, path) for c in connections))
            spent = processor_time(pid) - before
            if block:
                found[path]["seconds"] += [seconds for part in took for seconds in part]
                found[path]["processor"].append(spent / (share * concurrency))
    for connection in connections:
        connection.close()
    return found


async def batch(port: int, pid: int, vessel: Named, path: str, lines: int) -> dict[str, float]:
    """Send one NDJSON stream while its answer comes back; seconds by the clock and of the server's processor, and the
    lines and refusals counted in the answer."""
    body = b"\n".join(request_bodies(lines, vessel=vessel)) + b"\n"
    reader, writer = await asyncio.open_connection(HOST, port, limit=2**22)
    began, before = perf_counter(), processor_time(pid)
    head = f"POST {path} HTTP/1.1\r\nhost: {HOST}\r\ncontent-type: application/x-ndjson\r\n"
    writer.write(f"{head}content-length: {len(body)}\r\n\r\n".encode())
    sending = asyncio.create_task(_send(writer, body))
    answer_head = await reader.readuntil(b"\r\n\r\n")
    if not answer_head.startswith(b"HTTP/1.1 200 "):
        raise RuntimeError(answer_head.decode("latin-1"))
    assert b"transfer-encoding: chunked" in answer_head.lower()
    received, last = 0, b""
    while size := int(await reader.readline(), 16):
        chunk = await reader.readexactly(size + 2)
        received += chunk.count(b"\n") - 1  # the chunk's own end of line is not one of the body's
        last = chunk
    took, spent = perf_counter() - began, processor_time(pid) - before
    await sending
    writer.close()
    end = json.loads(last.rstrip().rsplit(b"\n", 1)[-1])
    assert end["type"] == "end"
    assert end["complete"]
    counts = {"lines": received - 1, "count": end["count"], "failed": end["failed"]}
    return {"seconds": took, "processor": spent, **counts}


async def _send(writer: asyncio.StreamWriter, body: bytes) -> None:
    view = memoryview(body)
    for start in range(0, len(body), 2**18):
        writer.write(view[start : start + 2**18])
        await writer.drain()


def main() -> None:
    """Measure as the command line says and print the result as JSON."""
    kind, *rest = sys.argv[1:]
    port, pid, vessel = (json.loads(argument) for argument in rest[:3])
    if kind == "requests":
        concurrency, blocks, size = map(int, rest[3:])
        work: Coroutine[None, None, object] = load(
            port, pid, vessel, concurrency=concurrency, blocks=blocks, size=size
        )
    else:
        work = asyncio.wait_for(batch(port, pid, vessel, rest[3], int(rest[4])), BATCH_SECONDS)
    result = uvloop.run(work)
    print(json.dumps(result))


if __name__ == "__main__":
    main()
