"""The marked copy: what was sent, bad cells coloured, the sentence as a comment, and a first sheet of links."""

import io
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from service.imports.cells import Cell, Page
from service.imports.problems import Problem, column_letter
from service.imports.reader import Reading
from service.imports.texts import kept_by_a_cell
from service.imports.writer import new_book

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

FIRST_SHEET = "What to look at"
MAX_COMMENT = 1_000
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", "_"))


def marked_copy(reading: Reading) -> bytes:
    """A workbook of the cells that were read, with the problems and notes of the reading on them."""
    file = io.BytesIO()
    book = new_book(file)
    styles = {
        "wrong": book.add_format({"bg_color": "#F8CBAD", "border": 1, "border_color": "#C00000"}),
        "heading": book.add_format({"bold": True, "bottom": 1}),
        "wrap": book.add_format({"text_wrap": True, "valign": "top"}),
        "link": book.add_format({"font_color": "#0563C1", "underline": 1}),
    }
    first = book.add_worksheet(FIRST_SHEET)
    names = _names([page.name for page in reading.pages])
    _list_problems(first, reading, names, styles)
    for page in reading.pages:
        problems = [problem for problem in reading.problems if problem.place.sheet == page.name]
        _copy(book.add_worksheet(names[page.name]), page, problems, styles)
    book.close()
    return file.getvalue()


def _names(pages: list[str]) -> dict[str, str]:
    """Names that a workbook takes: 31 characters, none of them forbidden, each once."""
    taken, found = {FIRST_SHEET.casefold()}, {}
    for number, page in enumerate(pages, 1):
        name = page.translate(_FORBIDDEN).strip("'")[:31] or f"Sheet {number}"
        if name.casefold() in taken:
            name = f"{name[:26]} ({number})"
        taken.add(name.casefold())
        found[page] = name
    return found


def _list_problems(
    page: "Worksheet", reading: Reading, names: Mapping[str, str], styles: Mapping[str, "Format"]
) -> None:
    """Every problem and note, each with a link to its cell."""
    page.set_column(0, 0, 24)
    page.set_column(1, 1, 8)
    page.set_column(2, 2, 110)
    for j, heading in enumerate(("Sheet", "Cell", "What is wrong")):
        page.write_string(0, j, heading, styles["heading"])
    for i, problem in enumerate((*reading.problems, *reading.notes), 1):
        place = problem.place
        page.write_string(i, 0, place.sheet)
        if place.row is not None and place.sheet in names:
            cell = f"{column_letter(place.column or 1)}{place.row}"
            sheet = names[place.sheet].replace("'", "''")
            page.write_url(i, 1, f"internal:'{sheet}'!{cell}", styles["link"], cell)
        page.write_string(i, 2, problem.message, styles["wrap"])
    page.freeze_panes(1, 0)


def _copy(page: "Worksheet", source: Page, problems: list[Problem], styles: Mapping[str, "Format"]) -> None:
    """The cells of one sheet; those with a problem coloured, with the sentence as a comment."""
    told: dict[tuple[int, int], list[str]] = {}
    for problem in problems:
        row, column = problem.place.row, problem.place.column
        if row is not None and row <= 50_000:
            told.setdefault((row, column or 1), []).append(problem.message)
    for row, cells in source.rows.items():
        for column, cell in cells.items():
            _write(page, row - 1, column - 1, cell, styles["wrong"] if (row, column) in told else None)
    for (row, column), messages in told.items():
        if column > 300:
            continue
        if column not in source.rows.get(row, {}):
            page.write_blank(row - 1, column - 1, None, styles["wrong"])
        page.write_comment(row - 1, column - 1, "\n".join(messages)[:MAX_COMMENT], {"x_scale": 2})


def _write(page: "Worksheet", row: int, column: int, cell: Cell, style: "Format | None") -> None:
    value: Any = cell.value
    if isinstance(value, bool):
        page.write_boolean(row, column, value, style)
    elif isinstance(value, int | float) and kept_by_a_cell(value):
        page.write_number(row, column, value, style)
    else:
        page.write_string(row, column, str(value), style)
