"""Cutting a stream of bytes into numbered lines."""

import re
from typing import NamedTuple

_BLANKS = b" \t\r\n"
# From the first byte of a line that is not blank to its end; blank lines are passed over without a step for each.
_TEXT = re.compile(rb"[^ \t\r\n][^\n]*")


class Line(NamedTuple):
    """A line that is not blank. `text` is None where the line was longer than allowed."""

    number: int
    text: bytes | None


class LineSplitter:
    """Cuts blocks into lines, whatever their borders. Holds at most one unfinished line."""

    def __init__(self, max_bytes: int) -> None:
        self._max_bytes = max_bytes
        self._rest = bytearray()
        self._too_long = False
        self._number = 0

    def feed(self, block: bytes) -> list[Line]:
        """The lines that `block` completes, blank ones counted and left out."""
        end = block.rfind(b"\n")
        if end < 0:
            self._keep(block)
            return []
        lines = self._cut(bytes(self._rest + block[:end]))
        self._keep(block[end + 1 :])
        return lines

    def finish(self) -> list[Line]:
        """The last line, where the stream does not end with a line break."""
        return self._cut(bytes(self._rest))

    def _keep(self, piece: bytes) -> None:
        """Remember what a line begins with, as long as it is not too long."""
        if self._too_long or len(self._rest) + len(piece) > self._max_bytes:
            self._too_long = True
            self._rest.clear()
        else:
            self._rest += piece

    def _cut(self, text: bytes) -> list[Line]:
        """The lines of `text`, which ends where its last line does; the first one may have begun too long."""
        lines, at = [], 0
        self._rest.clear()
        if self._too_long:
            self._too_long = False
            self._number += 1
            lines.append(Line(self._number, None))
            at = text.find(b"\n") + 1
            if not at:
                return lines
        for found in _TEXT.finditer(text, at):
            start = text.rfind(b"\n", at, found.start()) + 1 or at
            lines += self._blank(text, at, start)
            self._number += 1
            too_long = found.end() - start > self._max_bytes
            lines.append(Line(self._number, None if too_long else found[0].rstrip(_BLANKS)))
            at = found.end() + 1
        if at <= len(text):
            lines += self._blank(text + b"\n", at, len(text) + 1)
        return lines

    def _blank(self, text: bytes, start: int, end: int) -> list[Line]:
        """Count the blank lines from `start` to `end`; those that are too long are told like any other."""
        if end - start <= self._max_bytes:
            self._number += text.count(b"\n", start, end)
            return []
        lines = []
        for piece in text[start : end - 1].split(b"\n"):
            self._number += 1
            if len(piece) > self._max_bytes:
                lines.append(Line(self._number, None))
        return lines
