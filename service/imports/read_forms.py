"""Forms (label, value, unit) and sheets with one column a condition."""

from typing import Any

from service.imports.cells import Cell
from service.imports.headings import Heading, heading_named, is_unit, nearest
from service.imports.layout import LIST_NONE, Entry, Path, plain
from service.imports.page_reading import TROUBLE, Column, PageReading
from service.imports.problems import Place
from service.imports.read_parts import Line, SheetData
from service.imports.texts import cleaned, is_quoted

VALUE_WITHIN = 4
"""Columns to the right of a label in which its value is looked for."""
MAX_LABEL_CELLS = 3
"""Cells of a labelled line above a table: label, value and unit."""


class LabelledLine:
    """One line with a label of this sheet: what it says and where."""

    def __init__(
        self, reading: PageReading, row: int, cells: dict[int, Cell], heading: Heading, at: int
    ) -> None:
        self.entry, self.row = heading.entry, row
        label = cleaned(cells[at].value)
        before, colon, after = label.partition(":")
        rest = {column: cell for column, cell in cells.items() if column > at}
        self.label = before.strip() if colon else label
        self.column = at
        self.cell: Cell | None = None
        if colon and after.strip():
            self.cell = Cell("s", after.strip())
        elif rest and min(rest) <= at + VALUE_WITHIN and not self._is_unit(rest[min(rest)]):
            self.column = min(rest)
            self.cell = rest.pop(self.column)
        self.place = reading.place(row, self.column if self.cell is not None else at + 1, self.label)
        column = reading.column_of(heading, self.label, self.place)
        for other, cell in rest.items():
            column = self._unit(reading, column, cell, other)
        self.value = reading.value(self.cell, column, self.place)

    def _is_unit(self, cell: Cell) -> bool:
        """Whether a cell holds the unit of a line without a value."""
        return self.entry.quantity is not None and cell.kind == "s" and is_unit(cell.value)

    def _unit(self, reading: PageReading, column: Column, cell: Cell, at: int) -> Column:
        """The column with the unit that stands behind the value; anything else there is left out."""
        text = cleaned(cell.value) if cell.kind == "s" else ""
        if text and is_unit(text) and column.entry.quantity:
            heading = Heading(column.entry, text.strip("[]() "), bracketed=True)
            return reading.column_of(heading, self.label, reading.place(self.row, at, self.label))
        if text not in ("-", "–"):
            reading.leave_out(self.row, at, "what stands behind the value", cell.value)
        return column


def labelled_line(
    reading: PageReading, row: int, cells: dict[int, Cell], names: dict[str, Entry]
) -> LabelledLine | None:
    """The line with a label of `names`, if this row is one."""
    at = min(cells)
    cell = cells[at]
    if cell.kind != "s":
        return None
    text = cleaned(cell.value)
    if not text or is_quoted(text):
        return None
    heading = heading_named(text, names)
    if heading is None and ":" in text:
        heading = heading_named(text.partition(":")[0], names)
    return None if heading is None else LabelledLine(reading, row, cells, heading, at)


def line_above(data: SheetData, row: int, cells: dict[int, Cell]) -> LabelledLine | None:
    """A labelled line above a table or a block of it, if this row is one: one that opens a block is the caller's, any
    other is taken into `data`."""
    if len(cells) > MAX_LABEL_CELLS or not data.sheet.by_line:
        return None
    line = labelled_line(data.reading, row, cells, data.sheet.by_line)
    if line is None or line.entry == data.sheet.block:
        return line
    if line.entry.path in data.members and line.entry.path:
        data.reading.findings.problem(line.place, "line_twice")
    else:
        data.members[line.entry.path or (line.entry.heading,)] = (line.value, line.place)
    return line


def read_form(data: SheetData) -> None:
    """Labels down, values beside them."""
    reading, names = data.reading, data.sheet.by_line
    for i, (row, cells) in enumerate(reading.page.rows.items()):
        if i == 0 and is_title(data, cells):
            continue
        line = labelled_line(reading, row, cells, names)
        if line is None:
            _pass_over(data, row, cells)
            continue
        if line.entry.path in data.members and line.entry.path:
            reading.findings.problem(reading.place(row, min(cells), line.label), "line_twice")
            continue
        data.members[line.entry.path or (line.entry.heading,)] = (line.value, line.place)
    for entry in data.sheet.entries:
        value, place = data.members.get(entry.path, (None, reading.place(None, None, entry.heading)))
        if entry.needed and value is None and data.members:
            reading.findings.problem(place, "missing_value", name=entry.heading)
            reading.broken.add(entry.path)


def is_title(data: SheetData, cells: dict[int, Cell]) -> bool:
    """Whether a row holds the sheet's own title and nothing else."""
    text = plain(str(cells[min(cells)].value))
    return len(cells) == 1 and (text in data.sheet.names or text == plain(data.sheet.title))


def _pass_over(data: SheetData, row: int, cells: dict[int, Cell]) -> None:
    """A line whose label is not known."""
    reading, at = data.reading, min(cells)
    cell = cells[at]
    text = cleaned(cell.value) if cell.kind == "s" else ""
    if plain(text) in data.sheet.names or plain(text) == plain(data.sheet.title):
        return
    if len(cells) == 1:
        reading.leave_out(row, at, "this line", cell.value)
        return
    shown = {name: entry.heading for name, entry in data.sheet.by_line.items()}
    near = nearest(text, shown)
    what = reading.findings
    what.note(reading.place(row, at), "unknown_line", f"{text} (nearly “{near}”)" if near else text)


def read_columns(data: SheetData) -> None:
    """Labels down, one column an entry of the list."""
    reading, sheet = data.reading, data.sheet
    names = {name: entry for entry in reversed(sheet.entries) for name in entry.names}
    first = sheet.entries[0]
    found: dict[Path, tuple[int, Column, dict[int, Cell]]] = {}
    for row, cells in reading.page.rows.items():
        at = min(cells)
        text = cleaned(cells[at].value) if cells[at].kind == "s" else ""
        heading = heading_named(text, names) if text and not is_quoted(text) else None
        if heading is None:
            _pass_over(data, row, cells)
            continue
        place = reading.place(row, at, text.rstrip(":"))
        if heading.entry.path in found:
            reading.findings.problem(place, "line_twice")
            continue
        column = reading.column_of(heading, place.heading, place)
        found[heading.entry.path] = row, column, {c: cell for c, cell in cells.items() if c > at}
    used = sorted({c for _, _, cells in found.values() for c in cells})
    if first.path not in found:
        if used:
            reading.findings.problem(reading.place(), "no_heading", headings=first.heading)
        return
    data.head = found[first.path][0]
    for at in used:
        _read_column(data, at, found)


def _read_column(data: SheetData, at: int, found: dict[Path, tuple[int, Column, dict[int, Cell]]]) -> None:
    """One entry of the list."""
    reading, sheet = data.reading, data.sheet
    first = sheet.entries[0]
    title = found[first.path][2].get(at)
    if (
        title is not None
        and title.kind == "s"
        and plain(title.value) == LIST_NONE
        and not is_quoted(title.value)
    ):
        data.none = True
        return
    units = [cells[at] for _, _, cells in found.values() if at in cells]
    if title is None and all(cell.kind == "s" and is_unit(cell.value) for cell in units):
        return  # a column of units
    line = Line({}, data.head or 0)
    for entry in sheet.entries:
        row, column, cells = found.get(entry.path, (data.head or 0, Column(entry, entry.heading), {}))
        place: Place = reading.place(row, at, column.heading)
        value: Any = reading.value(cells.get(at), column, place)
        line.places[entry.path] = place
        if value is None and entry.needed:
            reading.findings.problem(place, "missing_value", name=column.heading)
            value = TROUBLE
        if value is TROUBLE:
            line.broken.add(entry.path)
        reading.put(line.value, entry.path, value)
    data.lines.append(line)
