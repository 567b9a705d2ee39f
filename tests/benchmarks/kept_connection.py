"""One kept HTTP/1.1 connection over a bare socket: a client that costs next to nothing beside what it measures."""

import socket
from types import TracebackType
from typing import Self

HOST = "127.0.0.1"


def request_bytes(method: str, path: str, body: bytes = b"", media_type: str = "application/json") -> bytes:
    """A whole request, made once."""
    fields = ("Host: " + HOST, f"Content-Type: {media_type}", f"Content-Length: {len(body)}")
    return "\r\n".join((f"{method} {path} HTTP/1.1", *fields, "", "")).encode("ascii") + body


class KeptConnection:
    """Asks one thing after the other."""

    def __init__(self, port: int) -> None:
        self._socket = socket.create_connection((HOST, port), timeout=30)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._socket.close()

    def ask(self, request: bytes) -> tuple[int, bytes]:
        """Status and body of the answer; a body that came in chunks with their heads."""
        self._socket.sendall(request)
        received = bytearray()
        while (end := received.find(b"\r\n\r\n")) < 0:
            received += self._receive()
        head = bytes(received[:end]).lower()
        if b"transfer-encoding: chunked" in head:
            while not received.endswith(b"\r\n0\r\n\r\n"):
                received += self._receive()
            return int(head[9:12]), bytes(received[end + 4 :])
        at = head.index(b"content-length:") + len(b"content-length:")
        length = int(head[at:].split(b"\r\n", 1)[0])
        while len(received) < end + 4 + length:
            received += self._receive()
        return int(head[9:12]), bytes(received[end + 4 :])

    def _receive(self) -> bytes:
        block = self._socket.recv(1 << 18)
        assert block, "the server closed the connection"
        return block
