"""A document as the tables of its sheets, before they become cells of a workbook or lines of text."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from service.imports.dates import day_in_words, moment_in_words
from service.imports.layout import LIST_NONE, LISTS, WORDS, Entry, Matrix, Sheet
from service.imports.lists_in_cells import groups_text, names_text
from service.imports.quantities import System, unit_shown
from service.imports.texts import encoded

Document = Mapping[str, Any]
Style = Literal["title", "label", "heading", "unit", "text", "number", "reading", "corner"]


class Written(NamedTuple):
    """A cell to be written."""

    value: str | float | None
    style: Style


BLANK = Written(None, "number")


@dataclass
class Table:
    """The rows of one sheet. `head` is the number of rows down to the first line of figures (0: no table)."""

    sheet: Sheet
    rows: list[list[Written]] = field(default_factory=list)
    head: int = 0

    def line(self, *cells: Written) -> None:
        """Add a row."""
        self.rows.append(list(cells))


def at(value: Any, path: Sequence[str | int]) -> Any:
    """The member at a path; None where there is none."""
    for step in path:
        if isinstance(step, int):
            value = value[step] if isinstance(value, list) and step < len(value) else None
        elif isinstance(value, Mapping):
            value = value.get(step)
        else:
            return None
    return value


def heading_of(entry: Entry, system: System) -> str:
    """A heading with its unit."""
    unit = "" if entry.unit_elsewhere else unit_shown(entry.quantity, system)
    return f"{entry.heading} [{unit}]" if unit else entry.heading


def corner_of(matrix: Matrix, system: System) -> Written:
    """The cell that says what stands down and what stands across: Displacement [t] \\ Heel [°]."""
    return Written(f"{heading_of(matrix.row, system)} \\ {heading_of(matrix.column, system)}", "corner")


def tables_of(document: Document, sheets: Sequence[Sheet], system: System) -> Iterator[Table]:
    """The table of each sheet; an empty document gives the template."""
    for sheet in sheets:
        table = Table(sheet)
        table.line(Written(sheet.title or sheet.name, "title"))
        if sheet.shape == "form":
            for entry in sheet.entries:
                _form_line(table, entry, at(document, entry.path) if entry.path else None, system)
        else:
            for entry in sheet.lines:
                value = at(document, entry.path) if entry.path else _other_trims(document, sheet)
                _form_line(table, entry, value, system)
            _FILLERS[sheet.shape](table, document, system)
        yield table


def cell_of(entry: Entry, value: Any, sheet: Sheet) -> Written:
    """One member as a cell."""
    if value is None:
        return Written(None, "text" if entry.kind in WORDS else "number")
    if entry.kind == "flag":
        return Written("yes" if value else "no", "text")
    if entry.kind == "choice":
        word = entry.choices.get(value)
        return Written(encoded(value) if word is None else word, "text")
    if entry.kind in ("number", "whole"):
        return Written(value, "number")
    if entry.kind == "day_of_year":
        return Written(day_in_words(value), "text")
    if entry.kind == "moment":
        return Written(moment_in_words(value), "text")
    return Written(encoded(value, sheet.reserved), "text")


def cells_of(entry: Entry, value: Any, sheet: Sheet) -> list[Written]:
    """One member as the cells it takes, one below another: more than one only for long lists."""
    if value is None or entry.kind not in LISTS:
        return [cell_of(entry, value, sheet)]
    texts = names_text(value) if entry.kind == "names" else groups_text(value)
    return [Written(encoded(text, sheet.reserved) if value else text, "text") for text in texts]


def _form_line(table: Table, entry: Entry, value: Any, system: System) -> None:
    cells = [Written(entry.heading, "label"), cell_of(entry, value, table.sheet)]
    unit = unit_shown(entry.quantity, system)
    table.line(*cells, *((Written(unit, "unit"),) if unit else ()))


def _other_trims(document: Document, sheet: Sheet) -> str | None:
    """`none` where the document says that there are no curves at other trims."""
    matrix = sheet.matrix
    others = None if matrix is None or matrix.others is None else at(document, (*sheet.target, matrix.others))
    return LIST_NONE if others == [] else None


def _headings(table: Table, system: System) -> None:
    sheet = table.sheet
    cells = [Written(heading_of(entry, system), "heading") for entry in sheet.columns]
    table.line(*cells, *(Written(heading, "reading") for heading in sheet.reading))
    table.head = len(table.rows)


def _fill_list(table: Table, document: Document, system: System) -> None:
    sheet = table.sheet
    _headings(table, system)
    found = at(document, sheet.target)
    if found is None:
        return
    if not found:
        table.line(Written(LIST_NONE, "text"))
    if sheet.mapping:
        name, value, *members = sheet.columns
        for key, figure in found.items():
            single = None if isinstance(figure, Mapping) else figure
            cells = [cell_of(entry, at(figure, entry.path), sheet) for entry in members if single is None]
            table.line(cell_of(name, key, sheet), cell_of(value, single, sheet), *cells)
    elif sheet.grouped is not None:
        for number, group in enumerate(found, 1):
            first = [cell_of(entry, at(group, entry.path), sheet) for entry in sheet.grouped.members]
            for row in group[sheet.grouped.rows]:
                table.line(Written(number, "number"), *first, *_row(sheet.entries, row, sheet))
    else:
        for number, row in enumerate(found, 1):
            first = [] if sheet.number is None else [Written(number, "number")]
            _lines(table, first, row)


def _row(entries: Sequence[Entry], row: Any, sheet: Sheet) -> list[Written]:
    return [cell_of(entry, at(row, entry.path) if entry.path else row, sheet) for entry in entries]


def _lines(table: Table, first: list[Written], row: Any, last: Sequence[Written] = ()) -> None:
    """One entry of a list as a line, with further lines where a list of its own is too long for one cell."""
    sheet = table.sheet
    cells = [cells_of(entry, at(row, entry.path) if entry.path else row, sheet) for entry in sheet.entries]
    table.line(*first, *(cell[0] for cell in cells), *last)
    for k in range(1, max(map(len, cells))):
        table.line(*[BLANK] * len(first), *(cell[k] if k < len(cell) else BLANK for cell in cells))


def _parents(table: Table, document: Document) -> Iterator[tuple[Written, Any, list[Written]]]:
    """The entries a child sheet belongs to: the cell that names each, what the sheet holds of it, and what is told of
    it for reading only."""
    parent, target = table.sheet.parent, table.sheet.target
    assert parent is not None
    if parent.itself:
        yield Written(parent.itself, "text"), at(document, (*parent.path[:-1], *target)), []
    for number, entry in enumerate(at(document, parent.path) or (), 1):
        name = cell_of(parent.entry, entry[parent.key], table.sheet)
        if parent.by_number:
            yield Written(number, "number"), at(entry, target), [name._replace(style="reading")]
        else:
            yield name, at(entry, target), []


def _fill_child(table: Table, document: Document, system: System) -> None:
    _headings(table, system)
    for name, rows, reading in _parents(table, document):
        if rows is not None and not rows:
            table.line(name, Written(LIST_NONE, "text"))
        for row in rows or ():
            _lines(table, [name], row, reading)


def _fill_columns(table: Table, document: Document, system: System) -> None:
    """One column an entry of the list."""
    found = at(document, table.sheet.target)
    for i, entry in enumerate(table.sheet.entries):
        cells = [cell_of(entry, at(column, entry.path), table.sheet) for column in found or ()]
        if found == [] and i == 0:
            cells = [Written(LIST_NONE, "text")]
        table.line(Written(heading_of(entry, system), "label"), *cells)


def _fill_matrix(table: Table, document: Document, system: System) -> None:
    sheet, matrix, block = table.sheet, table.sheet.matrix, table.sheet.block
    assert matrix is not None
    if sheet.parent is not None:
        blocks = [(name, found) for name, found, _ in _parents(table, document) if found is not None]
        common = None
    else:
        first = at(document, sheet.target)
        found = [] if first is None else [first, *(first.get(matrix.others or "") or ())]
        blocks = [
            (BLANK if block is None else cell_of(block, at(each, block.path), sheet), each) for each in found
        ]
        common = None if first is None else first[matrix.columns]
    for name, each in blocks or [(BLANK, {})]:
        table.line()
        if block is not None:
            _block_line(table, block, name, system)
        columns = common or each.get(matrix.columns) or []
        table.line(corner_of(matrix, system), *(Written(value, "number") for value in columns))
        table.head = table.head or len(table.rows)
        for value, row in zip(each.get(matrix.rows, ()), each.get(matrix.values, ()), strict=True):
            table.line(Written(value, "number"), *(Written(figure, "number") for figure in row))


def _block_line(table: Table, block: Entry, name: Written, system: System) -> None:
    unit = unit_shown(block.quantity, system)
    table.line(Written(block.heading, "label"), name, *((Written(unit, "unit"),) if unit else ()))


TEMPLATE_HEELS = (10, 20, 30, 40, 50, 60)


def _fill_lever_matrix(table: Table, document: Document, system: System) -> None:
    matrix = table.sheet.matrix
    assert matrix is not None
    found = list(_parents(table, document))
    heels = sorted({lever[matrix.columns] for _, levers, _ in found for lever in levers or ()})
    table.line()
    heads = (Written(heel, "number") for heel in heels or TEMPLATE_HEELS)
    table.line(corner_of(matrix, system), *heads)
    table.head = len(table.rows)
    for name, levers, _ in found:
        if levers is not None:
            printed = {lever[matrix.columns]: lever[matrix.values] for lever in levers}
            table.line(name, *(Written(printed.get(heel), "number") for heel in heels))


_FILLERS = {
    "list": _fill_list,
    "child": _fill_child,
    "matrix": _fill_matrix,
    "columns": _fill_columns,
    "lever_matrix": _fill_lever_matrix,
}
