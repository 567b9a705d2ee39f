"""Documents as workbooks and as folders of CSV: the same document gives the same bytes."""

import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from service.imports.condition_sheets import CONDITION_SHEETS
from service.imports.layout import LISTS, WORDS, Entry, Sheet
from service.imports.quantities import System
from service.imports.tables import Document, Table, Written, at, tables_of
from service.imports.text_cells import guarded
from service.imports.texts import csv_number, encoded, kept_by_a_cell
from service.imports.vessel_sheets import VESSEL_SHEETS

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

_EPOCH = datetime(2020, 1, 1, tzinfo=UTC).replace(tzinfo=None)
_ZIP_EPOCH = (2020, 1, 1, 0, 0, 0)
BOM = "\ufeff"
VALIDATED_ROWS = 2000
WIDE = 26
_STYLES: dict[str, dict[str, Any]] = {
    "title": {"bold": True},
    "label": {},
    "heading": {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1},
    "corner": {"bold": True, "bottom": 1},
    "unit": {"font_color": "#666666"},
    "text": {"num_format": "@"},
    "number": {},
    "reading": {"font_color": "#888888", "italic": True},
}


def vessel_workbook(document: Document, names: Sequence[str] | None = None) -> bytes:
    """A vessel document as a workbook; `names`: the slugs of the sheets to write, all of them when None."""
    return _workbook(tables_of(document, _chosen(names), document["units"]))


def vessel_folder(document: Document, names: Sequence[str] | None = None, separator: str = ",") -> bytes:
    """The same as a zip of CSV files."""
    return _folder(tables_of(document, _chosen(names), document["units"]), separator, VESSEL_SHEETS)


def vessel_sheet_text(document: Document, name: str, separator: str = ",") -> bytes:
    """One sheet of a vessel document as CSV."""
    (table,) = tables_of(document, _chosen([name]), document["units"])
    return _csv(table, separator)


def booklet_template(system: System) -> bytes:
    """An empty booklet in one system of units."""
    return _workbook(tables_of({"units": system}, VESSEL_SHEETS, system))


def condition_workbook(vessel: Document, condition: Document | None = None) -> bytes:
    """The sheet a mate fills in, or a condition as it is kept, with every tank of hers in it."""
    return _workbook(_condition_tables(vessel, condition))


def condition_folder(vessel: Document, condition: Document | None = None, separator: str = ",") -> bytes:
    """The same as a zip of CSV files."""
    return _folder(_condition_tables(vessel, condition), separator, CONDITION_SHEETS)


def _chosen(names: Sequence[str] | None) -> list[Sheet]:
    if names is None:
        return list(VESSEL_SHEETS)
    return [sheet for sheet in VESSEL_SHEETS if sheet.slug in names]


def _condition_tables(vessel: Document, condition: Document | None) -> Iterable[Table]:
    document = {"units": vessel["units"]} if condition is None else condition
    for table in tables_of(document, CONDITION_SHEETS, document["units"]):
        if table.sheet.name == "Tanks":
            _every_tank(table, vessel, document)
        yield table


def _every_tank(table: Table, vessel: Document, condition: Document) -> None:
    """Every tank of hers: those the condition fills first, as it names them, then the others in her order."""
    tanks = {tank["id"]: tank for tank in vessel["tanks"]}
    filled = [line["tank"] for line in at(condition, ("tanks",)) or ()]
    if not filled:
        del table.rows[table.head :]
    width = len(table.sheet.columns)
    for row, id in zip(table.rows[table.head :], filled, strict=True):
        row += [Written(None, "text")] * (width - len(row)) + _for_reading(tanks.get(id))
    for id, tank in tanks.items():
        if id not in filled:
            name = Written(encoded(id, table.sheet.reserved), "text")
            table.line(name, *[Written(None, "text")] * (width - 1), *_for_reading(tank))


def _for_reading(tank: Mapping[str, Any] | None) -> list[Written]:
    if tank is None:
        return []
    words = tank["contents"].replace("_", " ")
    values = (tank["name"], tank["capacity"], tank.get("normal_limit", 98.0), words)
    return [Written(value, "reading") for value in values]


def new_book(file: io.BytesIO) -> "Workbook":
    """An empty workbook that takes texts as texts and has the same bytes each time."""
    from xlsxwriter import Workbook  # 40 to 80 ms, and most processes write none

    texts_stay = dict.fromkeys(("strings_to_numbers", "strings_to_formulas", "strings_to_urls"), False)
    book = Workbook(file, {"in_memory": True, **texts_stay})
    book.set_properties({"created": _EPOCH, "title": "", "comments": ""})
    return book


def _workbook(tables: Iterable[Table]) -> bytes:
    file = io.BytesIO()
    book = new_book(file)
    formats = {name: book.add_format(style) for name, style in _STYLES.items()}
    for table in tables:
        _write_sheet(book.add_worksheet(table.sheet.name), table, formats)
    book.close()
    return file.getvalue()


def _write_sheet(page: "Worksheet", table: Table, formats: Mapping[str, "Format"]) -> None:
    sheet = table.sheet
    _column_widths(page, sheet, formats)
    for i, row in enumerate(table.rows):
        for j, (value, style) in enumerate(row):
            if value is None:
                if style == "text" and sheet.shape == "form":  # what is typed here stays text
                    page.write_blank(i, j, None, formats[style])
            elif isinstance(value, str):
                page.write_string(i, j, value, formats[style])
            elif kept_by_a_cell(value):
                page.write_number(i, j, value, formats[style])
            else:
                page.write_string(i, j, repr(value), formats["text"])
    if table.head:
        page.freeze_panes(table.head, 0)
    _validations(page, table)


def _column_widths(page: "Worksheet", sheet: Sheet, formats: Mapping[str, "Format"]) -> None:
    if sheet.shape in ("form", "columns"):
        page.set_column(0, 0, 38)
        page.set_column(1, 20, 24)
        return
    for j, entry in enumerate(sheet.columns):
        is_text = entry.kind in WORDS
        page.set_column(
            j, j, WIDE if entry.kind in ("text", *LISTS) else 14, formats["text"] if is_text else None
        )
    if sheet.reading:
        first = len(sheet.columns)
        page.set_column(first, first + len(sheet.reading) - 1, 22)


def _validations(page: "Worksheet", table: Table) -> None:
    """Lists to choose from."""
    sheet = table.sheet
    if sheet.shape == "form":
        for i, entry in enumerate(sheet.entries, 1):
            _choose(page, i, 1, i, entry)
    elif sheet.shape in ("list", "child"):
        for i, entry in enumerate(sheet.lines, 1):
            _choose(page, i, 1, i, entry)
        for j, entry in enumerate(sheet.columns):
            _choose(page, table.head, j, table.head + VALIDATED_ROWS, entry)


def _choose(page: "Worksheet", first: int, column: int, last: int, entry: Entry) -> None:
    words = ["yes", "no"] if entry.kind == "flag" else list(entry.choices.values())
    if words:
        options = {"validate": "list", "source": words, "error_type": "information", "show_error": False}
        page.data_validation(first, column, last, column, options)


def _folder(tables: Iterable[Table], separator: str, order: Sequence[Sheet]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for table in tables:
            number = order.index(table.sheet) + 1
            entry = zipfile.ZipInfo(f"{number:02d} {table.sheet.name}.csv", _ZIP_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, _csv(table, separator))
    return file.getvalue()


def _csv(table: Table, separator: str) -> bytes:
    lines = [separator.join(_field(cell) for cell in row) for row in table.rows]
    return (BOM + "".join(f"{line}\r\n" for line in lines)).encode("utf-8")


def _field(cell: Written) -> str:
    value = cell.value
    if value is None:
        return ""
    if not isinstance(value, str):
        return csv_number(value)
    text = guarded(value).replace('"', '""')
    return f'"{text}"'
