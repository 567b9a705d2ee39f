"""A loopback proxy before several servers, as a load balancer would stand there: TCP connections, in turn."""

import asyncio
import threading
from collections.abc import Sequence
from contextlib import suppress
from itertools import count
from types import TracebackType
from typing import Self

from tests.endurance.server import free_port


class Proxy:
    """Hands each new connection to the next server that takes it. When a server dies, its connections end."""

    def __init__(self, ports: Sequence[int]) -> None:
        self._ports, self._turn = list(ports), count()
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._stop = asyncio.Event()

    def __enter__(self) -> Self:
        self._thread.start()
        assert self._ready.wait(10)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join(10)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.run_until_complete(self._serve())
        relays = asyncio.all_tasks(self._loop)
        for task in relays:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*relays, return_exceptions=True))
        self._loop.run_until_complete(asyncio.sleep(0.01))  # connections that were closed end here
        self._loop.close()

    async def _serve(self) -> None:
        server = await asyncio.start_server(self._relay, "127.0.0.1", self.port)
        self._ready.set()
        await self._stop.wait()
        server.close()

    async def _relay(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        found = None
        try:
            found = await self._connected()
            if found is not None:
                there, back = found
                await asyncio.gather(_pump(reader, back), _pump(there, writer))
        except (OSError, asyncio.CancelledError):
            pass
        finally:
            writer.close()
            if found is not None:
                found[1].close()

    async def _connected(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter] | None:
        """A connection to the next server that takes one."""
        first = next(self._turn) % len(self._ports)  # once: beside others, each turn could meet the dead one
        for port in (*self._ports[first:], *self._ports[:first]):
            with suppress(ConnectionError):
                return await asyncio.open_connection("127.0.0.1", port)
        return None


async def _pump(source: asyncio.StreamReader, target: asyncio.StreamWriter) -> None:
    """Bytes one way until that way ends; then the other side hears of it."""
    with suppress(OSError):
        while block := await source.read(65536):
            target.write(block)
            await target.drain()
    target.close()
