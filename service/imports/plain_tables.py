"""Lists and tables of answers as CSV (RFC 4180) and as workbooks, for offices. The same table gives the same bytes."""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.imports.text_cells import guarded
from service.imports.texts import csv_number
from service.imports.writer import new_book

Cell = str | float | int | bool | None
BOM = "\ufeff"
_MOST_OF_A_CELL = 32_767
_WIDEST = 40


@dataclass(frozen=True)
class PlainTable:
    """name: of its sheet, 31 characters at most. Every row has as many cells as there are headings."""

    name: str
    headings: Sequence[str]
    rows: Sequence[Sequence[Cell]]


def table_text(table: PlainTable) -> bytes:
    """As CSV in UTF-8 with its byte order mark. A text that looks like a formula to a spreadsheet begins with '."""
    lines = [",".join(map(_field, row)) for row in (table.headings, *table.rows)]
    return (BOM + "".join(f"{line}\r\n" for line in lines)).encode()


def tables_workbook(tables: Iterable[PlainTable]) -> bytes:
    """As a workbook, one sheet each; numbers to 16 digits; texts are never formulas or links."""
    file = io.BytesIO()
    book = new_book(file)
    heading = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    for table in tables:
        page = book.add_worksheet(table.name)
        for j, title in enumerate(table.headings):
            page.write_string(0, j, title, heading)
            page.set_column(j, j, _width(table, j))
        for i, row in enumerate(table.rows, 1):
            for j, value in enumerate(row):
                if isinstance(value, str):
                    page.write_string(i, j, value[:_MOST_OF_A_CELL])
                elif isinstance(value, bool):
                    page.write_string(i, j, _word(value))
                elif value is not None:
                    page.write_number(i, j, value)
        page.freeze_panes(1, 0)
    book.close()
    return file.getvalue()


def _width(table: PlainTable, column: int) -> int:
    longest = max((len(value) for row in table.rows if isinstance(value := row[column], str)), default=0)
    return min(_WIDEST, max(12, longest + 1))


def _field(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return _word(value)
    if not isinstance(value, str):
        return csv_number(value)
    text = guarded(value).replace('"', '""')
    return f'"{text}"'


def _word(value: bool) -> str:
    return "yes" if value else "no"
