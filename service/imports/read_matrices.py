"""Matrices: heels or drafts across, displacements, fillings, conditions or places down."""

import re
from typing import Any, NamedTuple

from service.imports.cells import Cell
from service.imports.figures import is_plain_figure
from service.imports.headings import Heading, heading_named, is_unit
from service.imports.layout import Entry
from service.imports.page_reading import TROUBLE, Column
from service.imports.problems import Place
from service.imports.quantities import System, unit_shown
from service.imports.read_forms import MAX_LABEL_CELLS, is_title, line_above
from service.imports.read_parts import Grid, SheetData
from service.imports.tables import heading_of
from service.imports.texts import DITTO, cleaned, is_quoted

CORNER_WITHIN = 3
"""Columns from the left in which the corner of a matrix is looked for."""


FIGURE_BEGINS = frozenset("0123456789+-−–.,")


class Corner(NamedTuple):
    """What the corner of a matrix says of rows and columns; turned: what belongs across stands down."""

    rows: Heading | None
    across: Heading | None
    is_turned: bool = False


class MatrixReader:
    """Reads one sheet of the shapes `matrix` and `lever_matrix`."""

    def __init__(self, data: SheetData) -> None:
        self.data, self.reading, self.sheet = data, data.reading, data.sheet
        matrix = data.sheet.matrix
        assert matrix is not None
        self.matrix = matrix
        self.figure = Column(Entry("Figure", (), quantity=matrix.quantity), "")
        self.system: System = "us" if self.reading.ship.system == "us" else "metric"
        self.row_column = Column(matrix.row, matrix.row.heading)
        self.across = Column(matrix.column, heading_of(matrix.column, self.system))
        both = (matrix.column.heading, *matrix.column.also, matrix.row.heading, *matrix.row.also)
        names = "|".join(map(re.escape, both))
        self._parting = re.compile(rf"\\|/ *(?=(?:{names})\b)", re.IGNORECASE)
        self.block: tuple[Any, Place] = (None, self.reading.place())
        self.corner: int | None = None
        self.columns: dict[int, Any] = {}
        self.grid: Grid | None = None

    def read(self) -> None:
        """Everything the sheet says, into `data`."""
        for row, cells in self.reading.page.rows.items():
            if self._corner(row, cells):
                continue
            if self._line(row, cells):
                continue
            if self.grid is not None:
                self._row(row, cells)
            else:
                self._before(row, cells)
        self.data.grids = [grid.upright() for grid in self.data.grids if grid.rows]
        if not self.data.grids and not self.columns and self._holds_figures():
            corner = f"{self.matrix.row.heading} \\ {self.across.heading}"
            self.reading.findings.problem(self.reading.place(), "no_heading", headings=corner)
        for entry in self.sheet.lines:
            found = self.data.members.get(entry.path)
            if entry.needed and self.data.grids and (found is None or found[0] is None):
                place = self.reading.place(None, None, entry.heading) if found is None else found[1]
                self.reading.findings.problem(place, "missing_value", name=entry.heading)
                self.reading.broken.add(entry.path)

    @property
    def noun(self) -> str:
        """What stands across, in a sentence."""
        return self.across.entry.heading.lower()

    def _holds_figures(self) -> bool:
        rows = self.reading.page.rows.values()
        return sum(len(cells) > MAX_LABEL_CELLS for cells in rows) > 1

    def _corner(self, row: int, cells: dict[int, Cell]) -> bool:
        """Whether a row holds what stands across; it is taken in."""
        at, corner = min(cells), None
        for at in sorted(cells)[:CORNER_WITHIN]:
            text = cleaned(cells[at].value) if cells[at].kind == "s" else ""
            if not text or is_plain_figure(text):
                break
            corner = None if is_quoted(text) else self._headings(text)
            if corner is not None:
                break
        if corner is None:
            return False
        rest = {column: cell for column, cell in cells.items() if column > at}
        if not rest:
            return "\\" in text
        if len(rest) < (2 if self.sheet.shape == "matrix" else 1):
            return False
        self._units(corner, self.reading.place(row, at, text))
        for before in (column for column in cells if column < at):
            self.reading.leave_out(row, before, "what stands before the table", cells[before].value)
        values, places = [], []
        self.columns = {}
        for column, cell in rest.items():
            place = self.reading.place(row, column, self.across.heading)
            value = self.reading.value(cell, self.across, place)
            if value is None:
                continue
            values.append(value)
            places.append(place)
            self.columns[column] = value
        if self.across.entry.kind == "number":
            self.reading.figures -= len(values)
        self.corner = at
        self.grid = Grid(self.block[0], self.block[1], values, places, is_turned=corner.is_turned)
        self.data.head = self.data.head or row
        self.data.grids.append(self.grid)
        return True

    def _headings(self, text: str) -> Corner | None:
        """What the corner of the matrix says of rows and columns: the heading of either, or of both; None where a text
        is no corner."""
        first, *others = (part.strip() for part in self._parting.split(text))
        row, column = self._by_name(self.matrix.row), self._by_name(self.matrix.column)
        rows = heading_named(first, row) if first else None
        across = heading_named(others[0] if others else text, column)
        if rows is None and others:
            rows, across = heading_named(others[0], row), heading_named(first, column)
            return None if rows is None or across is None else Corner(rows, across, is_turned=True)
        return None if rows is None and across is None else Corner(rows, across)

    @staticmethod
    def _by_name(entry: Entry) -> dict[str, Entry]:
        return dict.fromkeys(entry.names, entry)

    def _units(self, corner: Corner, place: Place) -> None:
        """The units of rows and columns, where the corner says them."""
        rows, across = corner.rows, corner.across
        row, column = self.matrix.row, self.matrix.column
        self.row_column = Column(row, row.heading)
        if rows is not None:
            self.row_column = self.reading.column_of(rows, row.heading, place)
        heading = heading_of(column, self.system)
        self.across = Column(column, heading)
        if across is not None:
            self.across = self.reading.column_of(across, heading, place)
        if corner.is_turned:
            self.row_column, self.across = self.across, self.row_column
            what = f"the table turned: {self.row_column.entry.heading} down, {self.noun} across"
            self.reading.findings.note(place, "taken_as", "", what=what)

    def _line(self, row: int, cells: dict[int, Cell]) -> bool:
        """Whether a row is a labelled line; it is taken in."""
        line = line_above(self.data, row, cells)
        if line is None:
            return False
        if line.entry == self.sheet.block:
            self.block, self.grid = (line.value, line.place), None
        return True

    def _before(self, row: int, cells: dict[int, Cell]) -> None:
        at = min(cells)
        if is_title(self.data, cells):
            return
        self.reading.leave_out(row, at, "this line", cells[at].value)

    def _row(self, row: int, cells: dict[int, Cell]) -> None:
        """One row of figures."""
        grid, at = self.grid, self.corner
        assert grid is not None
        assert at is not None
        first = cells.get(at)
        if self._is_no_row(first, cells, at):
            self.reading.leave_out(row, min(cells), "this line", cells[min(cells)].value)
            return
        place = self.reading.place(row, at, self.row_column.heading)
        value = self.reading.value(first, self.row_column, place)
        if value is None:
            self.reading.findings.problem(place, "missing_value", name=self.row_column.heading)
            value = TROUBLE
        figures, places = [], []
        unit = unit_shown(self.across.entry.quantity, self.system)
        unit = unit if unit in ("°", "") else f" {unit}"
        for column, value_across in self.columns.items():
            known = isinstance(value_across, int | float)
            where = self.reading.place(
                row, column, f"{value_across:g}{unit}" if known else self.across.entry.heading
            )
            figure = self.reading.value(cells.get(column), self.figure, where)
            if figure is None and self.sheet.shape == "matrix":
                self.reading.findings.problem(where, "missing_value", name=f"A figure for each {self.noun}")
                figure = TROUBLE
            figures.append(figure)
            places.append(where)
        for column, cell in cells.items():
            if column > at and column not in self.columns:
                self._beside(row, column, cell)
        grid.rows.append(value)
        grid.row_places.append(place)
        grid.values.append(figures)
        grid.value_places.append(places)

    def _is_no_row(self, first: Cell | None, cells: dict[int, Cell], at: int) -> bool:
        """A note under the matrix, or a row of units."""
        others = [cell for column, cell in cells.items() if column in self.columns]
        if others:
            words = all(cell.kind == "s" and not _begins_a_figure(cell.value) for cell in others)
            is_note = words and first is not None and first.kind == "s" and not _begins_a_figure(first.value)
            return is_note or all(cell.kind == "s" and is_unit(cell.value) for cell in others)
        return first is None or first.kind == "s"

    def _beside(self, row: int, column: int, cell: Cell) -> None:
        place = self.reading.place(row, column)
        text = cleaned(cell.value) if cell.kind == "s" else ""
        if cell.kind in "np" or (text and text[0].isdigit()):
            self.reading.findings.problem(place, "beyond_table", cell.value, noun=self.noun)
        else:
            self.reading.findings.note(place, "left_out", cell.value, what="what stands beside the table")


def _begins_a_figure(text: str) -> bool:
    return cleaned(text)[:1] in FIGURE_BEGINS or cleaned(text).casefold() in DITTO


def read_matrix(data: SheetData) -> None:
    """Figures by row and column, in one block or several."""
    MatrixReader(data).read()
