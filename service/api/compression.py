"""Packed bodies (RFC 9110, section 8.4; RFC 1952): gzip out for programs with a key, gzip in for everybody.

Answers are packed only where the key came in the header: a browser sends a cookie for any site that makes it ask, and
the length of a packed answer then tells of its contents. A packed answer keeps the `ETag` of the record, which a
change has to name; `Vary` tells caches that there are two forms of it.
"""

import zlib
from collections.abc import Awaitable, Callable

from anyio import to_thread
from anyio.lowlevel import checkpoint
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.middleware import limit_by_ending
from service.web.problems import problem_response
from service.wire.problem import shortened
from service.wire.refusal import Refusal

WORTH_PACKING = 1024
"""Bytes below which an answer is sent as it is."""
_WORTH_A_THREAD = 64 * 1024
_PIECE = 256 * 1024
_MOST_MEMBERS = 1000
_LEVEL = 1
_GZIP = 31  # zlib: a window of 32 kB, header and trailer of gzip
_PACKABLE = (
    b"application/json",
    b"application/problem+json",
    b"application/x-ndjson",
    b"application/jsonl",
    b"text/",
)
_CODINGS = (b"gzip", b"x-gzip")


class Compression:
    """A layer of the application that packs answers and unpacks requests.

    `body_limits` gives the longest unpacked body by the end of a path where it differs from `body_limit`.
    """

    def __init__(self, app: ASGIApp, *, body_limit: int, body_limits: dict[str, int]) -> None:
        self._app = app
        self._body_limit = body_limit
        self._body_limits = body_limits

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        coding = accepted = authorization = b""
        for name, value in scope["headers"]:
            if name == b"content-encoding":
                coding += b"," + value if coding else value
            elif name == b"accept-encoding":
                accepted += b"," + value
            elif name == b"authorization":
                authorization = value
        if authorization[:7].lower() == b"bearer ":
            send = _Packing(send, takes_gzip(accepted)).send
        if coding and coding.strip().lower() != b"identity":
            await self._unpack(coding.strip().lower(), scope, receive, send)
        else:
            await self._app(scope, receive, send)

    async def _unpack(self, coding: bytes, scope: Scope, receive: Receive, send: Send) -> None:
        if coding not in _CODINGS:
            words = shortened(coding.decode("latin-1"))
            refused = Refusal("unsupported_media_type", f"The body is packed as {words}; send gzip or none.")
            path = shortened(scope["path"], 200)
            answer = problem_response(
                refused, scope["state"]["request_id"], path, {"Accept-Encoding": "gzip"}
            )
            await answer(scope, receive, send)
            return
        limit = limit_by_ending(scope["path"], self._body_limits, self._body_limit)
        headers = [
            pair for pair in scope["headers"] if pair[0] not in (b"content-encoding", b"content-length")
        ]
        inner = {**scope, "headers": headers}
        try:
            await self._app(inner, _Unpacking(receive, limit).receive, send)
        finally:
            scope["route"] = inner.get("route")


def takes_gzip(accepted: bytes) -> bool:
    """Whether an Accept-Encoding field takes gzip (RFC 9110, section 12.5.3)."""
    weights: dict[bytes, bool] = {}
    for part in accepted.lower().split(b","):
        coding, _, parameters = part.partition(b";")
        weight = parameters.replace(b" ", b"").partition(b"q=")[2]
        weights[coding.strip()] = weight.strip(b"0.") != b"" if weight else True
    return weights.get(b"gzip", weights.get(b"x-gzip", weights.get(b"*", False)))


class _Packing:
    """Sends one answer, packed where that is worth it. Where it comes in parts, each part is sent at once."""

    def __init__(self, send: Send, takes_gzip: bool) -> None:
        self._send = send
        self._takes_gzip = takes_gzip
        self._start: Message | None = None
        self._packer: zlib._Compress | None = None

    async def send(self, message: Message) -> None:
        """Take the next message of the application."""
        if message["type"] == "http.response.start":
            if _is_packable(message) or message["status"] == 304:  # the same field as with the whole answer
                message = {**message, "headers": _varying(message["headers"])}
                if self._takes_gzip and message["status"] != 304:
                    self._start = message
                    return
        elif message["type"] == "http.response.body":
            message = await self._body(message)
        await self._send(message)

    async def _body(self, message: Message) -> Message:
        body, more = message.get("body", b""), message.get("more_body", False)
        if self._start is not None:
            start, self._start = self._start, None
            if more or len(body) > WORTH_PACKING:
                self._packer = zlib.compressobj(_LEVEL, zlib.DEFLATED, _GZIP)
                headers = [pair for pair in start["headers"] if pair[0].lower() != b"content-length"]
                start = {**start, "headers": [*headers, (b"content-encoding", b"gzip")]}
                if not more:
                    body = await self._packed(body, last=True)
                    start["headers"].append((b"content-length", str(len(body)).encode("ascii")))
                    await self._send(start)
                    return {**message, "body": body}
            await self._send(start)
        if self._packer is None:
            return message
        return {**message, "body": await self._packed(body, last=not more)}

    async def _packed(self, body: bytes, *, last: bool) -> bytes:
        packer = self._packer
        assert packer is not None

        def pack() -> bytes:
            return packer.compress(body) + packer.flush(zlib.Z_FINISH if last else zlib.Z_SYNC_FLUSH)

        return pack() if len(body) < _WORTH_A_THREAD else await to_thread.run_sync(pack)


def _varying(headers: list[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    """Header fields that name Accept-Encoding among what the answer depends on."""
    named = any(name.lower() == b"vary" and b"accept-encoding" in value.lower() for name, value in headers)
    return headers if named else [*headers, (b"vary", b"Accept-Encoding")]


def _is_packable(start: Message) -> bool:
    if start["status"] in (204, 206, 304):
        return False
    kind = b""
    for name, value in start["headers"]:
        if name.lower() == b"content-encoding":
            return False
        if name.lower() == b"content-type":
            kind = value
    return kind.startswith(_PACKABLE)


class _Unpacking:
    """Receives a body of gzip members, unpacked piece by piece.

    Raises Refusal as soon as more than `limit` bytes have come out, and for what is no gzip."""

    def __init__(self, receive: Callable[[], Awaitable[Message]], limit: int) -> None:
        self._receive = receive
        self._limit = limit
        self._unpacker = zlib.decompressobj(_GZIP)
        self._packed = b""
        self._unpacked = 0
        self._members = 1
        self._pending = False
        self._more = True
        self._ended = False

    async def receive(self) -> Message:
        """The next message for the application."""
        if self._ended:
            return await self._receive()
        await checkpoint()  # others have their turn between two pieces
        while True:
            if not self._packed and not self._pending and self._more:
                message = await self._receive()
                if message["type"] != "http.request":
                    return message
                self._packed = message.get("body", b"")
                self._more = message.get("more_body", False)
            piece = self._piece()
            self._ended = not (self._packed or self._pending or self._more)
            if self._ended and not self._unpacker.eof:
                raise _unreadable("The packed body ends too early.")
            if piece or self._ended:
                return {"type": "http.request", "body": piece, "more_body": not self._ended}

    def _piece(self) -> bytes:
        if self._unpacker.eof and self._packed:
            self._members += 1
            if self._members > _MOST_MEMBERS:
                raise _unreadable(f"The packed body has more than {_MOST_MEMBERS} members.")
            self._unpacker = zlib.decompressobj(_GZIP)
        most = min(_PIECE, self._limit - self._unpacked + 1)
        try:
            piece = self._unpacker.decompress(self._packed, most)
        except zlib.error:
            raise _unreadable("The body is not packed as gzip (RFC 1952).") from None
        self._packed = self._unpacker.unused_data if self._unpacker.eof else self._unpacker.unconsumed_tail
        self._pending = len(piece) == most and not self._unpacker.eof
        self._unpacked += len(piece)
        if self._unpacked > self._limit:
            raise Refusal("body_too_large", f"The unpacked body is longer than {self._limit} bytes.")
        return piece


def _unreadable(detail: str) -> Refusal:
    return Refusal("unreadable_encoding", detail)
