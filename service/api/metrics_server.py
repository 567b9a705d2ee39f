"""`/metrics` at an address of its own, which the service's other addresses do not show.

One short answer a connection, read and written with limits: no framework stands behind this port.
"""

import asyncio
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager

from service.running.metrics import MEDIA_TYPE, Metrics

HEAD_SECONDS = 5.0
HEAD_BYTES = 8 * 1024
MAX_CONNECTIONS = 32


def host_and_port(address: str) -> tuple[str, int]:
    """The parts of `host:port`, also of `[::1]:port`. Raises ValueError."""
    host, colon, port = address.rpartition(":")
    host = host.removeprefix("[").removesuffix("]")
    if not colon or not host or not port.isdecimal() or not 0 <= int(port) <= 65_535:
        raise ValueError(f"{address!r} is not of the form host:port")
    return host, int(port)


@asynccontextmanager
async def metrics_server(metrics: Metrics, address: str) -> AsyncGenerator[int]:
    """Answer at `address` for as long as a block of code runs; gives the port. Raises OSError where it is taken."""
    open_now = 0

    async def answer(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        nonlocal open_now
        open_now += 1
        try:
            if open_now <= MAX_CONNECTIONS:
                async with asyncio.timeout(HEAD_SECONDS):
                    head = await reader.readuntil(b"\r\n\r\n")
                    writer.write(_answer_to(head, metrics))
                    await writer.drain()
        except (TimeoutError, OSError, asyncio.IncompleteReadError, asyncio.LimitOverrunError):
            pass
        finally:
            open_now -= 1
            writer.close()

    host, port = host_and_port(address)
    server = await asyncio.start_server(answer, host, port, limit=HEAD_BYTES)
    async with server:
        yield server.sockets[0].getsockname()[1]


def _answer_to(head: bytes, metrics: Metrics) -> bytes:
    method, _, rest = head.partition(b" ")
    path = rest.partition(b" ")[0].partition(b"?")[0]
    known = path == b"/metrics" and method in (b"GET", b"HEAD")
    body = metrics.exposition() if known else b"Not found.\n"
    fields = (
        f"HTTP/1.1 {'200 OK' if known else '404 Not Found'}\r\ncontent-type: {MEDIA_TYPE}\r\n"
        f"content-length: {len(body)}\r\nconnection: close\r\n\r\n"
    )
    return fields.encode() + (b"" if method == b"HEAD" else body)
