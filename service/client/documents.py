"""Documents as they are sent: JSON texts, lines of a stream, parameters of an address."""

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any
from urllib.parse import quote

from pydantic import BaseModel

LINES_PER_REQUEST = 500
BYTES_PER_REQUEST = 16_000_000
JSON = "application/json"
MERGE_PATCH = "application/merge-patch+json"
NDJSON = "application/x-ndjson"

Document = Mapping[str, Any] | BaseModel | bytes
"""A request document: a mapping, a model of `loading_conditions.wire`, or its text as UTF-8 JSON."""
Filter = str | int | bool | datetime | Iterable[str] | None
"""A filter of a list: one value, or several of one kind; a time with its zone. None: not asked for."""
Parameters = dict[str, str | list[str]]


def text_of(document: Document) -> bytes:
    """The JSON text of a document. Of a model, the members that were set."""
    if isinstance(document, bytes):
        return document
    if isinstance(document, BaseModel):
        return document.model_dump_json(exclude_unset=True, by_alias=True).encode("utf-8")
    return json.dumps(document, ensure_ascii=False).encode("utf-8")


def line_of(document: Document) -> bytes:
    """The JSON text of a document in one line."""
    return b" ".join(text_of(document).splitlines()).strip() or b"{}"


def address(*steps: str | int) -> str:
    """A path of the service, ids written so that they stay one step each."""
    return "".join(f"/{quote(str(step), safe='')}" for step in steps)


def parameters(**filters: Filter) -> Parameters:
    """Parameters of an address: those that are not None; several values of one as a list."""
    return {name: _parameter(value) for name, value in filters.items() if value is not None}


def _parameter(value: str | int | bool | datetime | Iterable[str]) -> str | list[str]:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str | int):
        return str(value)
    if isinstance(value, datetime):
        return value.isoformat()
    return list(value)


class LineBuffer:
    """Cuts a stream of bytes into lines. Only the line feed ends a line: JSON strings may hold other line breaks."""

    def __init__(self) -> None:
        self._rest = b""

    def feed(self, block: bytes) -> list[bytes]:
        """The lines that `block` completes, blank ones left out."""
        *lines, self._rest = (self._rest + block).split(b"\n")
        return [line for line in lines if line.strip()]

    def finish(self) -> list[bytes]:
        """What stands behind the last line feed."""
        return [self._rest] if self._rest.strip() else []


class LineGroup:
    """Lines that are sent in one request: a few hundred, or so many bytes of them."""

    def __init__(self) -> None:
        self.lines: list[bytes] = []
        self._size = 0

    def takes(self, line: bytes) -> bool:
        """Whether `line` still goes into it."""
        full = len(self.lines) >= LINES_PER_REQUEST or self._size + len(line) > BYTES_PER_REQUEST
        return not (self.lines and full)

    def add(self, line: bytes) -> None:
        """Put a line into it."""
        self.lines.append(line)
        self._size += len(line) + 1
