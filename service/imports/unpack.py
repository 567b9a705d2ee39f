"""The parts of a zip file, measured while they are unpacked: nothing the file says of itself is believed.

Nothing is written to disk, and a part that no reader asks for is never unpacked.
"""

import io
import zipfile
import zlib
from collections.abc import Callable, Iterator
from xml.parsers import expat

from service.imports.limits import (
    MAX_CELLS,
    MAX_DEPTH,
    MAX_ELEMENTS,
    MAX_MARKUP,
    MAX_PARTS,
    MAX_UNPACKED,
    FileRefused,
)

CHUNK = 64 * 1024
_ENCRYPTED = 0x1
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


class Parts:
    """The parts of one zip file, `elements_left` how many elements they may still have together. Raises
    `FileRefused`."""

    def __init__(self, data: bytes) -> None:
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(data))
        except (zipfile.BadZipFile, ValueError, OSError, EOFError, OverflowError):
            raise FileRefused("damaged") from None
        entries = self._archive.infolist()
        if len(entries) > MAX_PARTS:
            raise FileRefused("too_many_parts")
        self.names = [entry.filename for entry in entries]
        self._entries = {entry.filename: entry for entry in entries}
        if len(self._entries) != len(entries):
            raise FileRefused("damaged")
        self._unpacked = 0
        self.elements_left = MAX_ELEMENTS

    def read(self, name: str) -> bytes:
        """One part, unpacked."""
        return b"".join(self._chunks(name))

    def read_xml(self, name: str) -> bytes:
        """One part that is XML: no document type, no markup, depth or number of elements beyond the limits."""
        guard = _Guard(self)
        pieces = []
        for chunk in self._chunks(name):
            guard.feed(chunk)
            pieces.append(chunk)
        guard.close()
        return b"".join(pieces)

    def _chunks(self, name: str) -> Iterator[bytes]:
        entry = self._entries.get(name)
        if entry is None:
            raise FileRefused("damaged")
        if entry.flag_bits & _ENCRYPTED:
            raise FileRefused("locked")
        if entry.compress_type not in _METHODS:
            raise FileRefused("damaged")
        try:
            with self._archive.open(entry) as part:
                while chunk := part.read(CHUNK):
                    self._unpacked += len(chunk)
                    if self._unpacked > MAX_UNPACKED:
                        raise FileRefused("too_large")
                    yield chunk
        except (zipfile.BadZipFile, zlib.error, EOFError, ValueError, OSError, RuntimeError):
            raise FileRefused("damaged") from None


class _Guard:
    """Watches XML go by."""

    def __init__(self, parts: Parts) -> None:
        self._fed = 0
        self._parser = expat.ParserCreate()
        self._parser.ordered_attributes = True  # no dictionary for each element
        self._parser.StartElementHandler, self._parser.EndElementHandler = _counters(parts)
        self._parser.StartDoctypeDeclHandler = self._forbidden
        self._parser.EntityDeclHandler = self._forbidden

    def feed(self, chunk: bytes) -> None:
        """The next bytes."""
        self._fed += len(chunk)
        try:
            self._parser.Parse(chunk, False)
        except expat.ExpatError:
            raise FileRefused("damaged") from None
        if self._fed - self._parser.CurrentByteIndex > MAX_MARKUP:
            raise FileRefused("forbidden_xml")

    def close(self) -> None:
        """There are no more."""
        try:
            self._parser.Parse(b"", True)
        except expat.ExpatError:
            raise FileRefused("damaged") from None

    def _forbidden(self, *what: object) -> None:
        raise FileRefused("forbidden_xml")


def _counters(parts: Parts) -> tuple[Callable[[str, object], None], Callable[[str], None]]:
    """What is called for every element that begins, and that ends, in one part."""
    depth, cells, left = 0, 0, parts.elements_left

    def start(name: str, attributes: object) -> None:
        nonlocal depth, cells, left
        left -= 1
        parts.elements_left = left
        if left < 0:
            raise FileRefused("too_many_cells")
        depth += 1
        if depth > MAX_DEPTH:
            raise FileRefused("forbidden_xml")
        if name == "c" or name.endswith(":c"):
            cells += 1
            if cells > 2 * MAX_CELLS:  # empty ones included
                raise FileRefused("too_many_cells")

    def end(name: str) -> None:
        nonlocal depth
        depth -= 1

    return start, end
