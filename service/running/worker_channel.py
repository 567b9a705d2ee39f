"""Messages between a process and a worker of its own, over a pair of sockets. Every wait has its time limit."""

import pickle
import socket
from contextlib import suppress
from typing import Any

_LENGTH = 8


class Channel:
    """One end. Messages are pickled: whoever holds the other end is trusted."""

    def __init__(self, end: socket.socket) -> None:
        self._end = end

    def send(self, message: object, seconds: float | None = None) -> None:
        """Send one message. Raises TimeoutError when that takes longer, OSError when the other end is gone."""
        data = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
        self._end.settimeout(seconds)
        self._end.sendall(len(data).to_bytes(_LENGTH, "little"))
        self._end.sendall(data)

    def receive(self, seconds: float | None = None) -> Any:
        """The next message. Raises TimeoutError when nothing comes for that long, EOFError when nobody is there."""
        self._end.settimeout(seconds)
        length = int.from_bytes(self._exactly(_LENGTH), "little")
        return pickle.loads(self._exactly(length))  # noqa: S301 - from a process of our own

    def has_message(self) -> bool:
        """Whether something came in, or the other end is gone. Never waits."""
        self._end.settimeout(0.0)
        try:
            self._end.recv(1, socket.MSG_PEEK)
        except BlockingIOError:
            return False
        except OSError:
            return True
        return True

    def close(self) -> None:
        """Hang up, also on a thread that waits here."""
        with suppress(OSError):
            self._end.shutdown(socket.SHUT_RDWR)
        self._end.close()

    def _exactly(self, size: int) -> bytearray:
        data = bytearray(size)
        view = memoryview(data)
        while view:
            count = self._end.recv_into(view)
            if not count:
                raise EOFError
            view = view[count:]
        return data
