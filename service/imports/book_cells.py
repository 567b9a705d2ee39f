"""The cells of a workbook: values last calculated, formats and merged headings.

Texts, number formats, dates and names of cells are read by openpyxl. Not `load_workbook`: it makes a cell for every
place of a merged range, so that one merge of a whole sheet ends the process. Sheets are read row by row instead, value
and formula of a cell in one pass, one sheet at a time. Nothing is evaluated, no link is followed, no part beyond these
is unpacked.
"""

import io
import posixpath
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from xml.etree.ElementTree import Element, iterparse

from defusedxml.ElementTree import fromstring
from openpyxl.cell.text import Text
from openpyxl.reader.strings import read_string_table
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.cell import coordinate_to_tuple, get_column_letter, range_boundaries
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel, from_ISO8601
from openpyxl.xml.constants import SHEET_MAIN_NS

from service.imports.limits import (
    MAX_CELL_TEXT,
    MAX_CELLS,
    MAX_COLUMN,
    MAX_ROW,
    MAX_SHEETS,
    MAX_TEXT,
    FileRefused,
)
from service.imports.unpack import Parts

_MAIN = f"{{{SHEET_MAIN_NS}}}"
_STRICT = (
    (b"http://purl.oclc.org/ooxml/spreadsheetml/main", SHEET_MAIN_NS.encode()),
    (
        b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
    ),
)
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_PACKAGE_RELATION = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
MAX_MERGES = 5_000
ODD = (ValueError, KeyError, IndexError, TypeError, AttributeError, OverflowError, SyntaxError)
"""What a parser meets in a file that breaks its own rules."""

SheetCells = dict[str, Any]
Entry = list[Any]
"""Row, column, kind and value of a cell, and how its format writes it where that differs."""


def sheets_of_book(parts: Parts) -> list[SheetCells]:
    """Every sheet of a workbook with its cells. Raises `FileRefused`."""
    warnings.simplefilter("ignore")
    try:
        return _sheets(parts)
    except ODD:
        raise FileRefused("damaged") from None


def _sheets(parts: Parts) -> list[SheetCells]:
    workbook = _target(parts, "", "officeDocument") or "xl/workbook.xml"
    if workbook not in parts.names:
        raise FileRefused("not_a_workbook")
    root = fromstring(_xml(parts, workbook))
    relations = _relations(parts, workbook)
    strings: list[str] = []
    found = _of_kind(relations, "sharedStrings")
    if found in parts.names:
        strings = [str(text) for text in read_string_table(io.BytesIO(_xml(parts, found)))]
    formats = _Formats(parts, _of_kind(relations, "styles"))
    properties = root.find(f"{_MAIN}workbookPr")
    mac = properties is not None and properties.get("date1904") in ("1", "true")
    reader = _Reader(strings, formats, CALENDAR_MAC_1904 if mac else CALENDAR_WINDOWS_1900)
    pages = root.findall(f"{_MAIN}sheets/{_MAIN}sheet")
    if len(pages) > MAX_SHEETS:
        raise FileRefused("too_many_sheets")
    budget = _Budget()
    sheets = []
    for page in pages:
        path, kind = relations.get(page.get(_RELATION, ""), ("", ""))
        if kind.endswith("/worksheet") and path in parts.names:
            source = _xml(parts, path)
            sheets.append(_sheet(page.get("name", ""), source, reader, budget))
    return sheets


def _xml(parts: Parts, name: str) -> bytes:
    data = parts.read_xml(name)
    for strict, usual in _STRICT:
        data = data.replace(strict, usual) if strict in data else data
    return data


def _relations(parts: Parts, part: str) -> dict[str, tuple[str, str]]:
    """Where the relations of a part lead: path and kind by their ids."""
    folder, name = posixpath.split(part)
    path = posixpath.join(folder, "_rels", f"{name}.rels")
    if path not in parts.names:
        return {}
    return {
        each.get("Id", ""): (
            posixpath.normpath(posixpath.join("/", folder, each.get("Target", ""))).lstrip("/"),
            each.get("Type", ""),
        )
        for each in fromstring(_xml(parts, path)).iter(_PACKAGE_RELATION)
        if each.get("TargetMode") != "External"
    }


def _of_kind(relations: dict[str, tuple[str, str]], kind: str) -> str:
    return next((path for path, each in relations.values() if each.endswith(f"/{kind}")), "")


def _target(parts: Parts, part: str, kind: str) -> str:
    return _of_kind(_relations(parts, part), kind)


class _Formats:
    """What number formats mean, by the index a cell names."""

    def __init__(self, parts: Parts, name: str) -> None:
        self.codes: list[str] = []
        if name in parts.names:
            root = fromstring(_xml(parts, name))
            own = {each.get("numFmtId"): each.get("formatCode", "") for each in root.iter(f"{_MAIN}numFmt")}
            styles = root.findall(f"{_MAIN}cellXfs/{_MAIN}xf")
            self.codes = [_code(each, own) for each in styles]
        short = [code[:200] for code in self.codes]
        self.dates = {i for i, code in enumerate(short) if is_date_format(code)}
        self.durations = {i for i, code in enumerate(short) if is_timedelta_format(code)}
        self.percents = {i for i, code in enumerate(short) if "%" in code}
        self.noughts = {i: len(code) for i, code in enumerate(short) if len(code) > 1 and set(code) == {"0"}}
        self.special = {str(i) for i in {*self.dates, *self.percents, *self.noughts}}


def _code(style: Element, own: dict[str | None, str]) -> str:
    number = style.get("numFmtId", "0")
    if number in own:
        return own[number]
    return str(BUILTIN_FORMATS.get(int(number), "General"))


class _Budget:
    """What all sheets together may still hold."""

    def __init__(self) -> None:
        self.cells, self.text = MAX_CELLS, MAX_TEXT

    def spend(self, cells: int, text: int) -> None:
        self.cells -= cells
        self.text -= text
        if self.cells < 0:
            raise FileRefused("too_many_cells")
        if self.text < 0:
            raise FileRefused("too_much_text")


class _Reader(NamedTuple):
    """What the cells of a sheet are read with."""

    strings: list[str]
    formats: _Formats
    epoch: datetime

    def rows(self, source: bytes, merges: list[str]) -> Iterator[list[Entry]]:
        """The cells of each row of a sheet that have something in them; its merged ranges are added to `merges`."""
        number = 0
        # no part with a document type gets here (see `unpack.py`): entities cannot be declared
        for _, element in iterparse(io.BytesIO(source)):  # noqa: S314
            tag = element.tag
            if tag == _ROW:
                given = element.get("r")
                number = number + 1 if given is None else int(float(given))
                yield self._row(element, number)
                element.clear()
            elif tag == f"{_MAIN}mergeCell":
                if len(merges) < MAX_MERGES:
                    merges.append(element.get("ref", ""))
                element.clear()
            elif tag not in _KEPT_OPEN:
                element.clear()

    def _row(self, row: Element, number: int) -> list[Entry]:
        """The cells of one row; what is no cell is passed over."""
        column, own, entries = 0, str(number), list[Entry]()
        special, strings = self.formats.special, self.strings
        for element in row:
            if element.tag != _CELL:
                continue
            at = element.get("r")
            line = number
            if not at:
                column += 1
            elif at.endswith(own) and (known := _COLUMNS.get(at[: -len(own)])):
                column = known
            else:
                line, column = coordinate_to_tuple(at)
            # nearly every cell is a plain number or a shared text without a formula
            kind = element.get("t", "n")
            if len(element) == 1 and element[0].tag == _VALUE and (text := element[0].text):
                if kind == "n" and (element.get("s") or "0") not in special:
                    entries.append([line, column, "n", _number(text)])
                    continue
                if kind == "s":
                    text = strings[int(text)]
                    if text and not text.isspace():
                        entries.append([line, column, "s", text])
                    continue
            entry = self._entry(element, kind)
            if entry is not None:
                entries.append([line, column, *entry])
        return entries

    def _entry(self, cell: Element, kind: str) -> Entry | None:
        """Kind and value of a cell, and how its format writes it where that differs; None for an empty one. Kinds: see
        `cells.py`; capitals: by a formula."""
        formula, style = False, int(cell.get("s") or 0)
        text: str | None = None
        for child in cell:
            if child.tag == _VALUE:
                text = text or child.text
            elif child.tag == _FORMULA:
                formula = True
        if kind == "inlineStr":
            inline = cell.find(f"{_MAIN}is")
            text = None if inline is None else Text.from_tree(inline).content
        if text is None:
            return ["U", ""] if formula else None
        entry = self._value(kind, text, style)
        if entry is not None and formula:
            entry[0] = entry[0].upper()
        return entry

    def _value(self, kind: str, text: str, style: int) -> Entry | None:
        if kind == "n":
            return self._styled(_number(text), style)
        if kind == "s":
            text = self.strings[int(text)]
        elif kind == "b":
            return ["b", bool(int(text))]
        elif kind == "e":
            return ["e", text]
        elif kind == "d":
            return _of_time(from_ISO8601(text))
        return ["s", text] if text.strip() else None

    def _styled(self, value: float, style: int) -> Entry:
        """A number, or the date or time that its format makes of it."""
        formats = self.formats
        if style in formats.dates:
            try:
                return _of_time(from_excel(value, self.epoch, timedelta=style in formats.durations))
            except (OverflowError, ValueError):
                return ["e", "#VALUE!"]
        kind, width = "p" if style in formats.percents else "n", formats.noughts.get(style)
        if width and float(value).is_integer() and 0 <= value < 10**15:
            return [kind, value, f"{int(value):0{width}d}"]
        return [kind, value]


_COLUMNS = {get_column_letter(column): column for column in range(1, MAX_COLUMN + 1)}


def _number(text: str) -> float:
    """A number as openpyxl reads it: whole where it is written so."""
    return float(text) if "." in text or "E" in text or "e" in text else int(text)


def _of_time(value: datetime | date | time | timedelta) -> Entry:
    return ["d", str(value) if isinstance(value, timedelta) else value.isoformat()]


_ROW, _CELL, _VALUE, _FORMULA = (f"{_MAIN}{name}" for name in ("row", "c", "v", "f"))
_KEPT_OPEN = {
    f"{_MAIN}{name}" for name in ("c", "v", "f", "is", "t", "r", "rPr", "sheetData", "rPh", "phoneticPr")
}


def _sheet(name: str, source: bytes, reader: _Reader, budget: _Budget) -> SheetCells:
    cells: list[Entry] = []
    far: list[list[int]] = []
    merges: list[str] = []
    for row in reader.rows(source, merges):
        texts = [entry[3] for entry in row if type(entry[3]) is str]
        budget.spend(len(row), sum(map(len, texts)))
        for entry in row:
            if entry[0] > MAX_ROW or entry[1] > MAX_COLUMN:
                if len(far) < 20:
                    far.append(entry[:2])
                continue
            if type(entry[3]) is str and len(entry[3]) > MAX_CELL_TEXT:
                entry[2:4] = "l", entry[3][:MAX_CELL_TEXT]
            cells.append(entry)
    return {"name": name[:100], "cells": cells, "far": far, "merged": _merged(merges), "encoding": ""}


def _merged(refs: list[str]) -> list[list[int]]:
    """Merged ranges in reach, as first row, first column, last row, last column."""
    found = []
    for ref in refs:
        try:
            left, top, right, bottom = range_boundaries(ref)
        except ValueError:
            continue
        if None not in (left, top, right, bottom) and top <= MAX_ROW and left <= MAX_COLUMN:
            found.append([top, left, min(bottom, MAX_ROW), min(right, MAX_COLUMN)])
    return found
