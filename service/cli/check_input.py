"""What `check` is given: files with one request or bare condition each, or one per line."""

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO, NamedTuple

from service.actions.read_condition_sheet import condition_in_sheet
from service.wire.parse import UnreadableJson, parse_json

_LINE_SUFFIXES = (".ndjson", ".jsonl")
_SHEET_SUFFIXES = (".xlsx", ".zip")


class Input(NamedTuple):
    """One request as text, where it came from, and how many bytes of that it was."""

    where: str
    text: bytes
    size: int


def inputs_of(file: Path, around: bytes | None) -> Iterator[Input]:
    """The requests in `file` (`-`: standard input). A bare condition is put beside the vessel in `around`.

    A line that cannot be read is passed on as it stands, so that the answer names it. Raises `OSError`, and
    `UnreadableJson` where a whole file is neither one document nor one per line.
    """
    if file == Path("-"):
        yield from _whole_or_lines("standard input", sys.stdin.buffer.read(), around)
    elif file.suffix.lower() in _SHEET_SUFFIXES:
        data = file.read_bytes()
        yield Input(str(file), _request(condition_in_sheet(data), around), len(data))
    elif file.suffix in _LINE_SUFFIXES:
        with file.open("rb") as stream:
            yield from _lines(str(file), stream, around)
    else:
        yield from _whole_or_lines(str(file), file.read_bytes(), around)


def _whole_or_lines(name: str, text: bytes, around: bytes | None) -> Iterator[Input]:
    try:
        parse_json(text)
    except UnreadableJson:
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) < 2 or not _is_document(lines[0]):
            raise
        yield from _lines(name, text.splitlines(), around)
    else:
        yield Input(name, _request(text, around), len(text))


def _lines(name: str, lines: Iterable[bytes] | BinaryIO, around: bytes | None) -> Iterator[Input]:
    for number, line in enumerate(lines, start=1):
        if line.strip():
            yield Input(f"{name}:{number}", _request(line, around), len(line))


def _request(text: bytes, around: bytes | None) -> bytes:
    """`text` as a request: put beside the vessel when it is a bare condition."""
    if around is None or not _is_document(text) or "condition" in parse_json(text):
        return text
    return around + b'"condition":' + text + b"}"


def _is_document(text: bytes) -> bool:
    try:
        parse_json(text)
    except UnreadableJson:
        return False
    return True
