"""The table of one sheet as a grid of cells to type in, and a grid or a pasted text as the cells that are read."""

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from service.actions.keep_unfinished_booklet import Booklet, Rows
from service.imports.cells import Cell, Page
from service.imports.layout import Entry, Sheet, plain
from service.imports.quantities import System, unit_shown
from service.imports.tables import Table, Written, at, cell_of, heading_of, tables_of
from service.imports.vessel_sheets import VESSEL_SHEETS

BLANK_LINES: Final = 8
BLANK_COLUMNS: Final = 12
LABELLED: Final = 3
"""Cells of a labelled line: label, value, unit."""
MOST_ROWS: Final = 2000
MOST_COLUMNS: Final = 80
MOST_CELLS: Final = 30_000
_UNIT: Final = re.compile(r"\s*\[[^\]]*\]")
FIXED: Final = frozenset(("title", "label", "heading", "unit", "reading", "corner"))
SHIP: Final = VESSEL_SHEETS[0]
DECIMAL: Final = plain("Decimal sign in typed text")


@dataclass(frozen=True)
class GridCell:
    """One cell. `kind`: heading, label, unit or an empty text for one to type in. `choices`: the words it may hold."""

    value: str
    kind: str = ""
    choices: tuple[str, ...] = ()


Grid = list[list[GridCell]]


def grid_of(booklet: Booklet, sheet: Sheet, of: str = "", more: int = 0) -> Grid:
    """The grid of a sheet: as it was typed where it is not right yet, else as it is kept, with blank lines to go on.

    of: the tank, hold or opening whose lines a child sheet shows. more: blank lines beyond the usual."""
    typed = booklet.typed.get(key_of(sheet, of))
    grid = _kept_grid(booklet, sheet, of) if typed is None else [_typed_row(row, sheet) for row in typed]
    if sheet.shape in ("form", "columns"):
        return _with_choices(grid, sheet)
    spare = 0 if typed is not None or (len(grid) > BLANK_LINES and sheet.shape == "matrix") else BLANK_LINES
    width = max((len(row) for row in grid), default=1)
    if sheet.matrix is not None:
        if typed is None:
            grid, width = _with_columns(grid)
        grid = [row + [GridCell("")] * (width - len(row)) if _is_wide(row) else row for row in grid]
    lines = min(spare + more, MOST_ROWS)
    return grid + [[GridCell("")] * width for _ in range(lines)]


def another_block(grid: Grid, sheet: Sheet) -> Grid:
    """A grid of a matrix with a further block: the line above it, the head of the first and blank lines."""
    heads = [i for i, row in enumerate(grid) if row and row[0].kind == "corner"]
    if sheet.block is None or not heads:
        return grid
    first = heads[0]
    width = len(grid[first])
    label = [GridCell(sheet.block.heading, "label"), GridCell("")]
    return [*grid, [], label, grid[first], *([GridCell("")] * width for _ in range(BLANK_LINES))]


def text_headings(sheet: Sheet) -> frozenset[str]:
    """Headings of columns that hold words."""
    return frozenset(e.heading for e in sheet.columns if e.kind not in ("number", "whole"))


def head_in_words(sheet: Sheet, head: str, system: System) -> str:
    """What stands above a column of a matrix, with its unit: 30°, 4.5 m."""
    assert sheet.matrix is not None
    unit = unit_shown(sheet.matrix.column.quantity, system)
    return f"{head}{unit}" if unit == "°" else f"{head} {unit}"


def key_of(sheet: Sheet, of: str = "") -> str:
    """The name under which what is typed on a sheet is kept."""
    return f"{sheet.slug}:{of}" if of else sheet.slug


def rows_of_text(text: str) -> Rows:
    """The lines of a pasted text, its fields apart: at tabs, where it has any, else at semicolons or commas."""
    separator = next((mark for mark in "\t;" if mark in text), ",")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        return bounded([[field.strip() for field in row] for row in reader])
    except csv.Error:
        return bounded([[line] for line in text.splitlines()])


def bounded(rows: Rows) -> Rows:
    """At most so many rows, columns and cells, without empty ones at the ends."""
    found = [row[:MOST_COLUMNS] for row in rows[:MOST_ROWS]]
    for row in found:
        while row and not row[-1].strip():
            row.pop()
    while found and not found[-1]:
        found.pop()
    count = 0
    for i, row in enumerate(found):
        count += len(row)
        if count > MOST_CELLS:
            return found[:i]
    return found


def with_parent(rows: Rows, sheet: Sheet, of: str) -> Rows:
    """Rows that belong to one tank, hold or opening: a line above says so where they do not."""
    if not of or sheet.parent is None:
        return rows
    names = sheet.parent.entry.names
    if any(plain(_UNIT.sub("", text)) in names for row in rows[:4] for text in row):
        return rows
    return [[sheet.parent.entry.heading, of], *rows]


def pages_to_read(booklet: Booklet, sheet: Sheet, rows: Rows) -> list[Page]:
    """The sheet as cells, with the sheet Ship that says units, axes and decimal sign."""
    pages = [_page(sheet.name, rows)]
    if sheet is not SHIP:
        pages.insert(0, _page(SHIP.name, _ship_rows(booklet)))
    return pages


def decimal_said(rows: Rows) -> str:
    """The decimal sign that the sheet Ship names; empty where it names none."""
    for row in rows:
        if row and plain(row[0]) == DECIMAL and len(row) > 1:
            word = row[1].strip().lower()
            return {"comma": "comma", ",": "comma", "point": "point", ".": "point"}.get(word, "")
    return ""


def _page(name: str, rows: Rows) -> Page:
    cells = {
        i: {j: Cell("s", text) for j, text in enumerate(row, 1) if text.strip()}
        for i, row in enumerate(rows, 1)
    }
    return Page(name, {i: row for i, row in cells.items() if row}, [], [], "")


def _ship_rows(booklet: Booklet) -> Rows:
    return [[cell.value for cell in row] for row in _kept_grid(booklet, SHIP, "")]


def _kept_grid(booklet: Booklet, sheet: Sheet, of: str) -> Grid:
    system = booklet.document["units"]
    if sheet.shape == "child" and of and sheet.parent is not None:
        table = _of_one(booklet.document, sheet, of, system)
    else:
        document = _only(booklet.document, sheet, of) if of else booklet.document
        (table,) = tables_of(document, (sheet,), system)
        del table.rows[0]
    rows = [[_cell(cell, booklet.decimal) for cell in row] for row in table.rows]
    for row in rows:
        is_label = len(row) > 1 and row[0].kind == "label"
        if of and sheet.block is not None and is_label and plain(row[0].value) in sheet.block.names:
            row[1] = GridCell(of, "label")
        if sheet is SHIP and row and plain(row[0].value) == DECIMAL:
            row[1] = GridCell(booklet.decimal)
    return rows


def _only(document: dict[str, Any], sheet: Sheet, of: str) -> dict[str, Any]:
    assert sheet.parent is not None
    entries = at(document, sheet.parent.path) or ()
    return {**document, sheet.parent.path[0]: [e for e in entries if e.get(sheet.parent.key) == of]}


def _of_one(document: dict[str, Any], sheet: Sheet, of: str, system: Any) -> Table:
    """The lines of one entry, its name in a line above them."""
    table = Table(sheet)
    assert sheet.parent is not None
    table.line(Written(sheet.parent.entry.heading, "label"), Written(of, "label"))
    table.line(*(Written(heading_of(entry, system), "heading") for entry in sheet.entries))
    for entry in _only(document, sheet, of)[sheet.parent.path[0]]:
        for row in at(entry, sheet.target) or ():
            table.line(*(cell_of(e, at(row, e.path) if e.path else row, sheet) for e in sheet.entries))
    return table


def _cell(cell: Written, decimal: str) -> GridCell:
    value = cell.value
    if value is None:
        text = ""
    elif isinstance(value, int | float):
        text = f"{value:.15g}" if float(f"{value:.15g}") == value else repr(value)
        text = text.replace(".", ",") if decimal == "comma" else text
    else:
        text = value
    return GridCell(text, cell.style if cell.style in FIXED else "")


def _typed_row(row: Sequence[str], sheet: Sheet) -> list[GridCell]:
    """A row of what was typed: headings and labels stay what they are, all else can be typed over."""
    bare = [plain(_UNIT.sub("", text)) for text in row]
    filled = [name for name in bare if name]
    if sheet.matrix is not None and row and "\\" in row[0]:
        return [GridCell(row[0], "corner"), *map(GridCell, row[1:])]
    if sheet.shape == "columns":
        return [GridCell(text, "" if k else "label") for k, text in enumerate(row)]
    known = sum(name in sheet.by_name for name in filled)
    if sheet.shape != "form" and known >= min(2, len(sheet.columns)) and 2 * known > len(filled):
        return [GridCell(t, "heading" if n in sheet.by_name else "") for t, n in zip(row, bare, strict=True)]
    if bare and bare[0] in sheet.by_line and len(row) <= LABELLED:
        kinds = ("label", "", "unit")
        return [GridCell(text, kind) for text, kind in zip(row, kinds, strict=False)]
    return [GridCell(text) for text in row]


def _is_wide(row: Sequence[GridCell]) -> bool:
    return bool(row) and row[0].kind != "label"


def _with_columns(grid: Grid) -> tuple[Grid, int]:
    """A grid of a matrix with room for what stands across."""
    known = max((len(row) for row in grid if row and row[0].kind == "corner"), default=1)
    width = known if known > 1 else 1 + BLANK_COLUMNS
    return grid, width


def _with_choices(grid: Grid, sheet: Sheet) -> Grid:
    """A form whose cells know the words they may hold."""
    by_label: dict[str, Entry] = {plain(entry.heading): entry for entry in sheet.entries}
    found = []
    for row in grid:
        entry = by_label.get(plain(row[0].value)) if row else None
        if entry is not None and entry.kind in ("choice", "flag") and len(row) > 1:
            words = tuple(entry.choices.values()) if entry.kind == "choice" else ("yes", "no")
            row = [row[0], GridCell(row[1].value, "", words), *row[2:]]
        elif len(row) == 1:
            row = [*row, GridCell("")]
        found.append(row)
    return found
