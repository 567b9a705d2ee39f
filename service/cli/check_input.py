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
    """One request or bare condition as text, where it came from, and how many bytes of that it was.

    unreadable: why a file holds none; empty for what can be looked at."""

    where: str
    text: bytes
    size: int
    unreadable: str = ""


def inputs_of(files: list[Path]) -> Iterator[Input]:
    """What the files hold (`-`: standard input), in order.

    A line that cannot be read is passed on as it stands, so that the answer names it."""
    for file in files:
        try:
            yield from _inputs_in(file)
        except OSError as error:
            yield Input(str(file), b"", 0, str(error.strerror))
        except UnreadableJson as error:
            yield Input(str(file), b"", 0, error.detail)


def _inputs_in(file: Path) -> Iterator[Input]:
    if file == Path("-"):
        yield from _whole_or_lines("standard input", sys.stdin.buffer.read())
    elif file.suffix.lower() in _SHEET_SUFFIXES:
        data = file.read_bytes()
        yield Input(str(file), condition_in_sheet(data), len(data))
    elif file.suffix in _LINE_SUFFIXES:
        with file.open("rb") as stream:
            yield from _lines(str(file), stream)
    else:
        yield from _whole_or_lines(str(file), file.read_bytes())


def _whole_or_lines(name: str, text: bytes) -> Iterator[Input]:
    try:
        parse_json(text)
    except UnreadableJson:
        lines = [line for line in text.splitlines() if line.strip()]
        if len(lines) < 2 or not _is_document(lines[0]):
            raise
        yield from _lines(name, text.splitlines())
    else:
        yield Input(name, text, len(text))


def _lines(name: str, lines: Iterable[bytes] | BinaryIO) -> Iterator[Input]:
    for number, line in enumerate(lines, start=1):
        if line.strip():
            yield Input(f"{name}:{number}", line.strip(), len(line))


def _is_document(text: bytes) -> bool:
    try:
        parse_json(text)
    except UnreadableJson:
        return False
    return True
