"""A queue of bytes between the task that receives a stream and the one that works through it."""

import tempfile

import anyio

_IN_MEMORY = 4 * 1024 * 1024
_BLOCK = 1024 * 1024


class Spool:
    """Takes bytes at once and gives them back in order; beyond a few megabytes they wait in a temporary file."""

    def __init__(self) -> None:
        # Closed by `close`; it lives as long as the stream does.
        self._file = tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY)  # noqa: SIM115
        self._read_at = 0
        self._written = 0
        self._ended = False
        self._changed = anyio.Event()

    def write(self, data: bytes) -> None:
        """Append; never waits. What comes after the end is thrown away."""
        if self._ended:
            return
        if self._read_at == self._written:
            self._read_at = self._written = 0
            self._file.truncate(0)
        self._file.seek(self._written)
        self._file.write(data)
        self._written += len(data)
        self._changed.set()

    def end(self) -> None:
        """Nothing more will be written."""
        self._ended = True
        self._changed.set()

    def stop(self) -> None:
        """End, and throw away what was not read yet."""
        self._read_at = self._written
        self.end()

    async def read(self) -> bytes:
        """The next block, waiting for it where needed; empty at the end."""
        while self._read_at == self._written:
            if self._ended:
                return b""
            self._changed = anyio.Event()
            await self._changed.wait()
        self._file.seek(self._read_at)
        block = self._file.read(_BLOCK)
        self._read_at += len(block)
        return block

    def close(self) -> None:
        """Give the memory and the file back."""
        self._file.close()
