"""An application without sockets: requests are given to it as a server would, on an event loop of this thread."""

import asyncio
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, NamedTuple
from urllib.parse import unquote

from fastapi import FastAPI

from service.app import create_app
from service.settings import Settings

Headers = Sequence[tuple[bytes, bytes]]
BLOCK = 64 * 1024


class Answer(NamedTuple):
    """What came back; `status` 0 where nothing did."""

    status: int
    headers: dict[bytes, bytes]
    body: bytes


class InProcess:
    """An application that is started. `ask` asks it once, one request after the other."""

    def __init__(self, app: FastAPI, runner: asyncio.Runner) -> None:
        self._app, self._runner = app, runner

    def ask(
        self,
        method: str,
        target: str | bytes,
        body: bytes = b"",
        headers: Headers = (),
        *,
        client: str = "127.0.0.1",
    ) -> Answer:
        """The answer to one request. A `host` that means this machine is added where none is given."""
        given = [(name.lower(), value) for name, value in headers]
        if not any(name == b"host" for name, _ in given):
            given.append((b"host", b"127.0.0.1"))
        return self._runner.run(self._asked(method, target, body, given, client))

    async def _asked(
        self, method: str, target: str | bytes, body: bytes, headers: list[tuple[bytes, bytes]], client: str
    ) -> Answer:
        raw = target if isinstance(target, bytes) else target.encode("latin-1")
        path, _, query = raw.partition(b"?")
        scope = {
            "type": "http",
            "asgi": {"version": "3.0", "spec_version": "2.3"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": unquote(path.decode("latin-1")),
            "raw_path": path,
            "query_string": query,
            "root_path": "",
            "headers": headers,
            "client": (client, 50_000),
            "server": ("127.0.0.1", 8000),
            "state": {},
        }
        blocks = [body[at : at + BLOCK] for at in range(0, len(body), BLOCK)] or [b""]
        waiting = [
            {"type": "http.request", "body": block, "more_body": n + 1 < len(blocks)}
            for n, block in enumerate(blocks)
        ][::-1]
        started: dict[str, Any] = {"status": 0, "headers": []}
        pieces: list[bytes] = []
        answered = asyncio.Event()

        async def receive() -> Any:
            if waiting:
                return waiting.pop()
            await answered.wait()
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            if message["type"] == "http.response.start":
                started.update(message)
                return
            pieces.append(message.get("body", b""))
            if not message.get("more_body", False):
                answered.set()

        await self._app(scope, receive, send)
        return Answer(started["status"], dict(started["headers"]), b"".join(pieces))


@contextmanager
def in_process(settings: Settings, create: Callable[[Settings], FastAPI] = create_app) -> Iterator[InProcess]:
    """An application as these settings say, for as long as a block of code runs."""
    app = create(settings)
    with asyncio.Runner() as runner:
        running = app.router.lifespan_context(app)
        runner.run(_entered(running))
        try:
            yield InProcess(app, runner)
        finally:
            runner.run(_left(running))


async def _entered(running: Any) -> None:
    await running.__aenter__()


async def _left(running: Any) -> None:
    await running.__aexit__(None, None, None)
