"""A part of pages that is sent as it is, packed once; and a page packed around it.

A stream of deflate is a row of blocks that end at a whole byte after a flush (RFC 1951, section 3.2.4; zlib manual,
`Z_SYNC_FLUSH`), and a block refers back to what its own packer has seen alone: so streams made apart may follow one
another. Their sum of check is made of the whole (RFC 1952, section 2.3.1).
"""

import secrets
import zlib
from collections.abc import Sequence
from typing import Final

from markupsafe import Markup

ONCE: Final = 6
"""Level of packing for what is packed once."""
EACH_TIME: Final = 1
SMALL, LITTLE_MEMORY = 16_384, 5
"""Bytes of a part for which zlib's tables cost more to empty than to use; its level of memory for them."""
_HEAD: Final = b"\x1f\x8b\x08" + bytes(6) + b"\xff"
_RAW: Final = -15
PLACE: Final = Markup(f"<!-- {secrets.token_hex(16)} -->")  # noqa: S704 - no text of anybody
"""What stands in a template where a kept part goes; never sent, and nobody can type it."""


class KeptPart:
    """The bytes of a part (UTF-8), and the same packed."""

    def __init__(self, text: str) -> None:
        self.plain = text.encode()
        self.packed = _deflated(self.plain, ONCE, zlib.Z_SYNC_FLUSH)

    def __len__(self) -> int:
        """Bytes that it takes in memory."""
        return len(self.plain) + len(self.packed)


class TitledPart(KeptPart):
    """The content of a page with the title of the page."""

    def __init__(self, text: str, title: Markup) -> None:
        super().__init__(text)
        self.title = title


def around(text: str, kept: KeptPart | None) -> list[bytes | KeptPart]:
    """A page with the part in its place."""
    if kept is None:
        return [text.encode()]
    before, _, after = text.partition(PLACE)
    return [before.encode(), kept, after.encode()]


def plain(parts: Sequence[bytes | KeptPart]) -> bytes:
    """The parts one after the other."""
    return b"".join(part.plain if isinstance(part, KeptPart) else part for part in parts)


def packed(parts: Sequence[bytes | KeptPart], whole: bytes) -> bytes:
    """The same as gzip. whole: `plain(parts)`."""
    streams = [
        part.packed if isinstance(part, KeptPart) else _deflated(part, EACH_TIME, zlib.Z_SYNC_FLUSH)
        for part in parts[:-1]
    ]
    last = parts[-1]
    streams.append(_deflated(last.plain if isinstance(last, KeptPart) else last, EACH_TIME, zlib.Z_FINISH))
    check = zlib.crc32(whole).to_bytes(4, "little") + (len(whole) & 0xFFFFFFFF).to_bytes(4, "little")
    return b"".join((_HEAD, *streams, check))


def _deflated(part: bytes, level: int, end: int) -> bytes:
    memory = LITTLE_MEMORY if len(part) < SMALL else zlib.DEF_MEM_LEVEL
    packer = zlib.compressobj(level, zlib.DEFLATED, _RAW, memory)
    return packer.compress(part) + packer.flush(end)
