"""Cutting a stream of bytes into numbered lines."""

from typing import NamedTuple


class Line(NamedTuple):
    """A line that is not blank. `text` is None where the line was longer than allowed."""

    number: int
    text: bytes | None


class LineSplitter:
    """Cuts blocks into lines, whatever their borders. Holds at most one unfinished line."""

    def __init__(self, max_bytes: int) -> None:
        self._max_bytes = max_bytes
        self._rest = b""
        self._too_long = False
        self._number = 0

    def feed(self, block: bytes) -> list[Line]:
        """The lines that `block` completes, blank ones counted and left out."""
        first, *others = block.split(b"\n")
        pieces = [self._rest + first, *others]
        self._rest = pieces.pop()
        lines = [line for piece in pieces if (line := self._line(piece)) is not None]
        if len(self._rest) > self._max_bytes:
            self._too_long = True
            self._rest = b""
        return lines

    def finish(self) -> list[Line]:
        """The last line, where the stream does not end with a line break."""
        rest, self._rest = self._rest, b""
        line = self._line(rest)
        return [] if line is None else [line]

    def _line(self, piece: bytes) -> Line | None:
        self._number += 1
        too_long = self._too_long or len(piece) > self._max_bytes
        self._too_long = False
        if too_long:
            return Line(self._number, None)
        text = piece.strip(b" \t\r\n")
        return Line(self._number, text) if text else None
