"""The cells of a workbook, as openpyxl's own parsers read them: values last calculated, formats and merged headings.

Not `load_workbook`: it makes a cell for every place of a merged range, so that one merge of a whole sheet ends the
process. Its parser of sheets is used row by row instead, sees value and formula of a cell in one pass, and holds one
sheet at a time. Nothing is evaluated, no link is followed, no part beyond these is unpacked.
"""

import io
import posixpath
import warnings
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring, iterparse
from openpyxl.reader.strings import read_string_table
from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format, is_timedelta_format
from openpyxl.utils.cell import range_boundaries
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900
from openpyxl.worksheet._reader import WorkSheetParser
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
    pages = root.findall(f"{_MAIN}sheets/{_MAIN}sheet")
    if len(pages) > MAX_SHEETS:
        raise FileRefused("too_many_sheets")
    budget = _Budget()
    sheets = []
    for page in pages:
        path, kind = relations.get(page.get(_RELATION, ""), ("", ""))
        if kind.endswith("/worksheet") and path in parts.names:
            source = _xml(parts, path)
            sheets.append(_sheet(page.get("name", ""), source, strings, formats, mac, budget))
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


def _code(style: Element, own: dict[str | None, str]) -> str:
    number = style.get("numFmtId", "0")
    if number in own:
        return own[number]
    return str(BUILTIN_FORMATS.get(int(number), "General"))


class _Budget:
    """What all sheets together may still hold."""

    def __init__(self) -> None:
        self.cells, self.text = MAX_CELLS, MAX_TEXT

    def spend(self, text: int) -> None:
        self.cells -= 1
        self.text -= text
        if self.cells < 0:
            raise FileRefused("too_many_cells")
        if self.text < 0:
            raise FileRefused("too_much_text")


class _Parser(WorkSheetParser):  # type: ignore[misc]
    """openpyxl's parser of a sheet, with formulas marked and everything but cells and merged ranges passed over."""

    def rows(self) -> Iterator[list[dict[str, Any]]]:
        """The cells of each row."""
        self.merges: list[str] = []
        for _, element in iterparse(self.source):
            if element.tag == f"{_MAIN}row":
                yield self.parse_row(element)[1]
                element.clear()
            elif element.tag == f"{_MAIN}mergeCell":
                if len(self.merges) < MAX_MERGES:
                    self.merges.append(element.get("ref", ""))
                element.clear()
            elif element.tag not in _KEPT_OPEN:
                element.clear()

    def parse_row(self, row: Element) -> tuple[int, list[dict[str, Any]]]:
        """The cells of one row; what is no cell is passed over."""
        number = row.get("r")
        self.row_counter: int = self.row_counter + 1 if number is None else int(float(number))
        self.col_counter = 0
        return self.row_counter, [self.parse_cell(each) for each in row if each.tag == f"{_MAIN}c"]

    def parse_cell(self, element: Element) -> dict[str, Any]:
        """A cell with its value, and whether a formula stands behind it."""
        cell: dict[str, Any] = super().parse_cell(element)
        cell["formula"] = element.find(f"{_MAIN}f") is not None
        return cell


_KEPT_OPEN = {
    f"{_MAIN}{name}" for name in ("c", "v", "f", "is", "t", "r", "rPr", "sheetData", "rPh", "phoneticPr")
}


def _sheet(
    name: str, source: bytes, strings: list[str], formats: _Formats, mac: bool, budget: _Budget
) -> SheetCells:
    parser = _Parser(
        io.BytesIO(source),
        strings,
        data_only=True,
        epoch=CALENDAR_MAC_1904 if mac else CALENDAR_WINDOWS_1900,
        date_formats=formats.dates,
        timedelta_formats=formats.durations,
    )
    cells: list[list[Any]] = []
    far: list[list[int]] = []
    for row in parser.rows():
        for cell in row:
            entry = _entry(cell, formats)
            if entry is None:
                continue
            budget.spend(len(entry[3]) if isinstance(entry[3], str) else 0)
            if entry[0] > MAX_ROW or entry[1] > MAX_COLUMN:
                if len(far) < 20:
                    far.append(entry[:2])
                continue
            if isinstance(entry[3], str) and len(entry[3]) > MAX_CELL_TEXT:
                entry[2:4] = "l", entry[3][:MAX_CELL_TEXT]
            cells.append(entry)
    return {"name": name[:100], "cells": cells, "far": far, "merged": _merged(parser.merges), "encoding": ""}


def _entry(cell: dict[str, Any], formats: _Formats) -> list[Any] | None:
    """Row, column, kind and value of a cell; None for an empty one. Kinds: see `cells.py`; capitals: by a formula."""
    value, kind, style = cell["value"], cell["data_type"], cell["style_id"]
    text = None
    entry: tuple[str, Any]
    if value is None:
        if not cell["formula"]:
            return None
        return [cell["row"], cell["column"], "U", ""]
    if kind == "e":
        entry = "e", str(value)
    elif isinstance(value, bool):
        entry = "b", value
    elif isinstance(value, int | float):
        entry = "p" if style in formats.percents else "n", value
        width = formats.noughts.get(style)
        if width and float(value).is_integer() and 0 <= value < 10**15:
            text = f"{int(value):0{width}d}"
    elif isinstance(value, datetime | date | time):
        entry = "d", value.isoformat()
    elif isinstance(value, timedelta):
        entry = "d", str(value)
    else:
        if not str(value).strip():
            return None
        entry = "s", str(value)
    code = entry[0].upper() if cell["formula"] else entry[0]
    return [cell["row"], cell["column"], code, entry[1], *(() if text is None else (text,))]


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
