"""The server's side of a connection, guarded before any key is read.

uvicorn's protocol on httptools, with limits around the head of a request: how long it may take, how many bytes it may
have, and how many connections one address may have open. What is counted are a few numbers a connection; bytes are
looked at by the compiled parser alone.
"""

import asyncio
import json
import resource
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar
from weakref import WeakKeyDictionary

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol, RequestResponseCycle
from uvicorn.server import ServerState

from service.settings import Settings

SPARE_FILES = 256
"""Open files kept back for the database, reports and worker processes."""


@dataclass(frozen=True)
class Limits:
    """head_seconds: without a whole head after which a connection is closed. head_bytes: of a head, and of what stands
    around the body's own bytes. per_address: connections of one address, 0 for no limit. connections: of all."""

    head_seconds: float = 15.0
    head_bytes: int = 64 * 1024
    per_address: int = 256
    connections: int = 10_000


@lru_cache(maxsize=1)
def limits_of_this_process() -> Limits:
    """What the settings and the operating system allow."""
    files, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    if files < most:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))
    room = most - SPARE_FILES if most > 2 * SPARE_FILES else most // 2
    return Limits(per_address=Settings().connections_per_address, connections=min(Limits.connections, room))


class _Register:
    """The connections of one server, in the order in which they began to wait for a head."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.open: set[GuardedProtocol] = set()
        self.waiting: dict[GuardedProtocol, float] = {}
        self._open_of: dict[str, int] = {}
        self._waiting_of: dict[str, dict[GuardedProtocol, None]] = {}
        self._sweeping = False

    def enter(self, connection: "GuardedProtocol") -> None:
        """Let a connection in; close the one that has longest sent no whole head where there are too many."""
        limits, address = self.limits, connection.address
        self.open.add(connection)
        self._open_of[address] = self._open_of.get(address, 0) + 1
        self.wait(connection)
        if limits.per_address and address and self._open_of[address] > limits.per_address:
            next(iter(self._waiting_of[address])).close()
        elif len(self.open) > limits.connections:
            next(iter(self.waiting)).close()
        if not self._sweeping:
            self._sweeping = True
            connection.loop.call_later(min(1.0, limits.head_seconds / 4), self._sweep, connection.loop)

    def leave(self, connection: "GuardedProtocol") -> None:
        """Forget a connection."""
        if connection in self.open:
            self.open.discard(connection)
            self.end_wait(connection)
            left = self._open_of[connection.address] - 1
            if left:
                self._open_of[connection.address] = left
            else:
                del self._open_of[connection.address]
                self._waiting_of.pop(connection.address, None)

    def wait(self, connection: "GuardedProtocol") -> None:
        """From now on the connection owes a head."""
        self.waiting[connection] = connection.loop.time()
        self._waiting_of.setdefault(connection.address, {})[connection] = None

    def end_wait(self, connection: "GuardedProtocol") -> None:
        """The head is there."""
        if self.waiting.pop(connection, None) is not None:
            self._waiting_of[connection.address].pop(connection, None)

    def _sweep(self, loop: asyncio.AbstractEventLoop) -> None:
        before = loop.time() - self.limits.head_seconds
        late = []
        for connection, since in self.waiting.items():
            if since > before:
                break
            late.append(connection)
        for connection in late:
            connection.close()
        self._sweeping = bool(self.open)
        if self._sweeping:
            loop.call_later(min(1.0, self.limits.head_seconds / 4), self._sweep, loop)


class GuardedProtocol(HttpToolsProtocol):
    """Hand it to uvicorn as `http`."""

    _registers: ClassVar[WeakKeyDictionary[ServerState, _Register]] = WeakKeyDictionary()

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._register = self._register_of(self.server_state)
        self._head_limit = self._register.limits.head_bytes
        self._plain_bytes = 0
        """Bytes of a head, or since the last bytes of a body."""
        self._head_done = self._is_refused = False
        self.address = ""

    @classmethod
    def limits(cls) -> Limits:
        """The limits of every server in this process."""
        return limits_of_this_process()

    @classmethod
    def _register_of(cls, server: ServerState) -> _Register:
        register = cls._registers.get(server)
        if register is None:
            register = cls._registers[server] = _Register(cls.limits())
        return register

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A connection begins; it owes a head."""
        super().connection_made(transport)
        self.address = self.client[0] if self.client else ""
        self._register.enter(self)

    def connection_lost(self, exc: Exception | None) -> None:
        """A connection is over."""
        self._register.leave(self)
        super().connection_lost(exc)

    def shutdown(self) -> None:
        """The server ends gracefully: what goes on for long comes to its end, and whoever waits is answered now."""
        if stopping := self.app_state.get("stopping"):
            stopping()
        super().shutdown()

    def close(self) -> None:
        """End the connection, which owes a head."""
        self._register.leave(self)
        if not self.transport.is_closing():
            self.transport.close()

    def data_received(self, data: bytes) -> None:
        """Feed the parser, unless a head, or what stands around a body, is too long by then."""
        if self._is_refused:
            return
        self._plain_bytes += len(data)
        super().data_received(data)
        if self._plain_bytes > self._head_limit and not self.transport.is_closing():
            self._refuse(_TOO_LARGE)

    def on_headers_complete(self) -> None:
        """The head is there; whether it was too long is counted where it may have been."""
        if self._plain_bytes > self._head_limit:
            length = len(self.url) + sum(len(name) + len(value) + 4 for name, value in self.headers)
            if length > self._head_limit:
                self._refuse(_TOO_LARGE)
                return
        hosts = [value for name, value in self.headers if name == b"host"]
        if len(hosts) > 1 or (not hosts and self.parser.get_http_version() == "1.1"):
            self._refuse(_HOST)  # a proxy may have gone by another one
            return
        self._plain_bytes = 0
        self._head_done = True
        self._register.end_wait(self)
        super().on_headers_complete()

    def on_header(self, name: bytes, value: bytes) -> None:
        """Note a field of the head; those that follow a body are not used by anyone."""
        if not self._head_done:
            super().on_header(name, value)

    def on_body(self, body: bytes) -> None:
        """Take what belongs to a body."""
        self._plain_bytes = 0
        if not self._is_refused:
            super().on_body(body)

    def on_message_begin(self) -> None:
        """A head begins."""
        self._head_done = False
        super().on_message_begin()

    def on_message_complete(self) -> None:
        """A request has come whole."""
        self._plain_bytes = 0
        if not self._is_refused:
            super().on_message_complete()

    def on_response_complete(self) -> None:
        """An answer is sent: the next head is owed, or the rest of a body that nobody waits for."""
        super().on_response_complete()
        register = self._register
        if self.cycle.response_complete and self in register.open and self not in register.waiting:
            register.wait(self)

    def send_400_response(self, msg: str) -> None:
        """Answer what is no HTTP."""
        self._refuse(_NOT_HTTP)

    def _refuse(self, answer: bytes) -> None:
        """Answer that the head is not taken, once, and read nothing further."""
        if self._is_refused:
            return
        self._is_refused = True
        answering: RequestResponseCycle | None = self.cycle
        if answering is None or answering.response_complete:
            self.transport.write(answer)
        self.transport.close()


def _answer(status: bytes, code: str, title: str, detail: str) -> bytes:
    """What a head is answered with that the application never sees."""
    number = int(status[:3])
    problem = {"type": f"/problems/{code}", "title": title, "status": number, "detail": detail, "code": code}
    body = json.dumps({**problem, "request_id": "none"}).encode()
    fields = b"content-type: application/problem+json\r\nconnection: close\r\ncontent-length: %d" % len(body)
    return b"HTTP/1.1 " + status + b"\r\n" + fields + b"\r\n\r\n" + body


_TOO_LARGE = _answer(
    b"431 Request Header Fields Too Large",
    "header_too_large",
    "Header field too large",
    "The head of the request is longer than 64 kB.",
)
_NOT_HTTP = _answer(
    b"400 Bad Request", "bad_request", "Bad request", "This is no request of HTTP/1.1 (RFC 9112)."
)
_HOST = _answer(
    b"400 Bad Request", "bad_request", "Bad request", "A request has one Host field (RFC 9112, section 3.2)."
)
