"""Cutting a stream of bytes into numbered lines."""

import re
from collections.abc import Iterator
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

    def feed(self, block: bytes) -> Iterator[Line]:
        """The lines that `block` completes, blank ones counted and left out.

        Cut as they are asked for, so that the event loop has its turn among very many; all of them, before the next
        block is fed."""
        end = block.rfind(b"\n")
        if end >= 0:
            yield from self._cut(bytes(self._rest + block[:end]))
        self._keep(block[end + 1 :])

    def finish(self) -> Iterator[Line]:
        """The last line, where the stream does not end with a line break."""
        return self._cut(bytes(self._rest))

    def _keep(self, piece: bytes) -> None:
        """Remember what a line begins with, as long as it is not too long."""
        if self._too_long or len(self._rest) + len(piece) > self._max_bytes:
            self._too_long = True
            self._rest.clear()
        else:
            self._rest += piece

    def _cut(self, text: bytes) -> Iterator[Line]:
        """The lines of `text`, which ends where its last line does; the first one may have begun too long."""
        at = 0
        self._rest.clear()
        if self._too_long:
            self._too_long = False
            self._number += 1
            yield Line(self._number, None)
            at = text.find(b"\n") + 1
            if not at:
                return
        for found in _TEXT.finditer(text, at):
            start = text.rfind(b"\n", at, found.start()) + 1 or at
            if start > at:
                yield from self._blank(text, at, start)
            self._number += 1
            too_long = found.end() - start > self._max_bytes
            yield Line(self._number, None if too_long else found[0].rstrip(_BLANKS))
            at = found.end() + 1
        if at <= len(text):
            yield from self._blank(text + b"\n", at, len(text) + 1)

    def _blank(self, text: bytes, start: int, end: int) -> Iterator[Line]:
        """Count the blank lines from `start` to `end`, which is behind a line break; those that are too long are told
        like any other. As many as one line may be long are counted at a time."""
        while start < end:
            last = text.rfind(b"\n", start, min(end, start + self._max_bytes + 1))
            if last < 0:
                self._number += 1
                yield Line(self._number, None)
                last = text.find(b"\n", start)
            else:
                self._number += text.count(b"\n", start, last + 1)
            start = last + 1
