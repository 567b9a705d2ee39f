"""Matrices: heels across, displacements, fillings or conditions down."""

import re
from typing import Any

from service.imports.cells import Cell
from service.imports.headings import heading_named, is_unit
from service.imports.layout import HEEL_CORNERS, Entry, plain
from service.imports.page_reading import TROUBLE, Column
from service.imports.problems import Place
from service.imports.read_forms import MAX_LABEL_CELLS, is_title, line_above
from service.imports.read_parts import Grid, SheetData
from service.imports.texts import cleaned, is_quoted

HEEL = Entry("Heel", (), quantity="angle")
CORNER_PARTS = re.compile(r"\\|/ *(?=[Hh]eel)")


class MatrixReader:
    """Reads one sheet of the shapes `matrix` and `lever_matrix`."""

    def __init__(self, data: SheetData) -> None:
        self.data, self.reading, self.sheet = data, data.reading, data.sheet
        matrix = data.sheet.matrix
        assert matrix is not None
        self.matrix = matrix
        self.figure = Column(Entry("Figure", (), quantity=matrix.quantity), "")
        self.row_column = Column(matrix.row, matrix.row.heading)
        self.block: tuple[Any, Place] = (None, self.reading.place())
        self.corner: int | None = None
        self.heels: dict[int, Any] = {}
        self.grid: Grid | None = None

    def read(self) -> None:
        """Everything the sheet says, into `data`."""
        for row, cells in self.reading.page.rows.items():
            if self._heels(row, cells):
                continue
            if self._line(row, cells):
                continue
            if self.grid is not None:
                self._row(row, cells)
            else:
                self._before(row, cells)
        self.data.grids = [grid for grid in self.data.grids if grid.rows]
        if not self.data.grids and not self.heels and self._holds_figures():
            names = f"{self.matrix.row.heading} \\ Heel [°]"
            self.reading.findings.problem(self.reading.place(), "no_heading", headings=names)
        for entry in self.sheet.lines:
            found = self.data.members.get(entry.path)
            if entry.needed and self.data.grids and (found is None or found[0] is None):
                place = self.reading.place(None, None, entry.heading) if found is None else found[1]
                self.reading.findings.problem(place, "missing_value", name=entry.heading)
                self.reading.broken.add(entry.path)

    def _holds_figures(self) -> bool:
        rows = self.reading.page.rows.values()
        return sum(len(cells) > MAX_LABEL_CELLS for cells in rows) > 1

    def _heels(self, row: int, cells: dict[int, Cell]) -> bool:
        """Whether a row holds the heels; they are taken in."""
        at = min(cells)
        rest = {column: cell for column, cell in cells.items() if column > at}
        text = cleaned(cells[at].value) if cells[at].kind == "s" else ""
        if not self._is_corner(text) or is_quoted(text):
            return False
        if not rest:
            return "\\" in text
        if len(rest) < (2 if self.sheet.shape == "matrix" else 1):
            return False
        heels, places = [], []
        self.heels = {}
        for column, cell in rest.items():
            place = self.reading.place(row, column, "Heel [°]")
            value = self.reading.value(cell, Column(HEEL, "Heel [°]"), place)
            if value is None:
                continue
            heels.append(value)
            places.append(place)
            self.heels[column] = value
        self.reading.figures -= len(heels)
        self.corner = at
        self._corner_unit(text, self.reading.place(row, at, text))
        self.grid = Grid(self.block[0], self.block[1], heels, places)
        self.data.head = self.data.head or row
        self.data.grids.append(self.grid)
        return True

    def _is_corner(self, text: str) -> bool:
        """Whether a text is the corner of the matrix: the heading of its rows, alone or beside the word heel."""
        if not text:
            return False
        if plain(text) in HEEL_CORNERS:
            return True
        first = CORNER_PARTS.split(text)[0].strip()
        return heading_named(first, dict.fromkeys(self.matrix.row.names, self.matrix.row)) is not None

    def _corner_unit(self, text: str, place: Place) -> None:
        """The unit of the rows, where the corner says one."""
        first = CORNER_PARTS.split(text)[0].strip()
        heading = heading_named(first, dict.fromkeys(self.matrix.row.names, self.matrix.row))
        self.row_column = Column(self.matrix.row, self.matrix.row.heading)
        if heading is not None:
            self.row_column = self.reading.column_of(heading, self.matrix.row.heading, place)

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
        for column, heel in self.heels.items():
            where = self.reading.place(row, column, f"{heel:g}°" if isinstance(heel, int | float) else "Heel")
            figure = self.reading.value(cells.get(column), self.figure, where)
            if figure is None and self.sheet.shape == "matrix":
                self.reading.findings.problem(where, "missing_value", name="A figure for each heel")
                figure = TROUBLE
            figures.append(figure)
            places.append(where)
        for column, cell in cells.items():
            if column > at and column not in self.heels:
                self._beside(row, column, cell)
        grid.rows.append(value)
        grid.row_places.append(place)
        grid.values.append(figures)
        grid.value_places.append(places)

    def _is_no_row(self, first: Cell | None, cells: dict[int, Cell], at: int) -> bool:
        """A note under the matrix, or a row of units."""
        others = [cell for column, cell in cells.items() if column in self.heels]
        if others:
            return all(cell.kind == "s" and is_unit(cell.value) for cell in others)
        return first is None or first.kind == "s"

    def _beside(self, row: int, column: int, cell: Cell) -> None:
        place = self.reading.place(row, column)
        text = cleaned(cell.value) if cell.kind == "s" else ""
        if cell.kind in "np" or (text and text[0].isdigit()):
            self.reading.findings.problem(place, "beyond_table", cell.value)
        else:
            self.reading.findings.note(place, "left_out", cell.value, what="what stands beside the table")


def read_matrix(data: SheetData) -> None:
    """Figures by row and heel, in one block or several."""
    MatrixReader(data).read()
