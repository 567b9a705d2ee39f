"""Tables of text (CSV, or tabs from a clipboard) as cells."""

import csv
import io
import re
from typing import Any

from service.imports.limits import (
    MAX_CELL_TEXT,
    MAX_CELLS,
    MAX_COLUMN,
    MAX_ROW,
    MAX_TEXT,
    MAX_TEXT_FILE,
    FileRefused,
)

_CONTROLS = re.compile("[\x00-\x08\x0e-\x1f]")
_SEP = re.compile(r'"?sep=(.)"?\r?\n', re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"')
LINES_LOOKED_AT = 60
GUARDED = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "'", "\t", "\r", "\n")
"""What a text of a CSV file must not begin with: a spreadsheet would take it for a formula, also in the full width of
East Asian texts (OWASP, CSV Injection)."""

SheetCells = dict[str, Any]


def sheet_of_text(data: bytes, name: str) -> SheetCells:
    """The cells of one table of text. Raises `FileRefused`."""
    if len(data) > MAX_TEXT_FILE:
        raise FileRefused("too_large")
    text, encoding = _decoded(data)
    if _CONTROLS.search(text):
        raise FileRefused("not_text")
    given = _SEP.match(text)
    separator = given[1] if given else _separator(text)
    csv.field_size_limit(MAX_TEXT_FILE)
    cells: list[list[Any]] = []
    far: list[list[int]] = []
    size = 0
    lines = io.StringIO(text, newline="")
    try:
        for i, row in enumerate(csv.reader(lines, delimiter=separator), 1):
            if given and i == 1:
                continue
            for j, value in enumerate(row, 1):
                if not value or value.isspace():
                    continue
                size += len(value)
                if i > MAX_ROW or j > MAX_COLUMN:
                    if len(far) < 20:
                        far.append([i, j])
                    continue
                cells.append(
                    [i, j, "l" if len(value) > MAX_CELL_TEXT else "s", unguarded(value[:MAX_CELL_TEXT])]
                )
                if len(cells) > MAX_CELLS:
                    raise FileRefused("too_many_cells")
                if size > MAX_TEXT:
                    raise FileRefused("too_much_text")
    except csv.Error:
        raise FileRefused("not_text") from None
    return {"name": name, "cells": cells, "far": far, "merged": [], "encoding": encoding}


def _decoded(data: bytes) -> tuple[str, str]:
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
    ):
        if data.startswith(mark):
            try:
                return data[len(mark) :].decode(encoding), ""
            except UnicodeDecodeError:
                raise FileRefused("not_text") from None
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252"), "windows-1252"
    except UnicodeDecodeError:
        raise FileRefused("not_text") from None


def _separator(text: str) -> str:
    """Tab or semicolon where a third of the first lines, or one with three fields, has it, or where it alone stands
    between quoted fields; else the comma."""
    lines = [_QUOTED.sub("", line) for line in text[:200_000].splitlines()[:LINES_LOOKED_AT] if line.strip()]
    for candidate in "\t;":
        counts = [line.count(candidate) for line in lines]
        if max(counts, default=0) > 1 or sum(count > 0 for count in counts) * 3 >= max(len(lines), 1):
            return candidate
        if any(set(line) == {candidate} for line in lines):
            return candidate
    return ","


def guarded(text: str) -> str:
    """A text of a CSV file that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(GUARDED) else text


def unguarded(text: str) -> str:
    """The text that `guarded` made this of."""
    return text[1:] if text[:1] == "'" and text[1:].startswith(GUARDED) else text
