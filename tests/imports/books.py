"""Workbooks as people make them, for the tests: the sheets of the box, one of them typed by hand."""

import io
import json
import zipfile
from datetime import datetime
from typing import Any

import xlsxwriter

from service.imports.layout import Sheet
from service.imports.tables import tables_of
from service.imports.vessel_sheets import VESSEL_SHEETS
from service.imports.writer import vessel_folder
from tests.imports.documents import Document, box

Rows = list[list[Any]]
_AXES = {
    "Longitudinal positions are from": "x_origin",
    "Longitudinal positions are positive": "x_positive",
    "Transverse positions are positive to": "y_positive",
}


def base_for(case: dict[str, Any]) -> Document:
    """The box as a case wants it: other units or axes, tanks without a surface of their own."""
    document = box()
    ship = case.get("ship", {})
    document["units"] = ship.get("Units", "metric")
    axes = {_AXES[name]: value.replace(" ", "_") for name, value in ship.items() if name in _AXES}
    if axes:
        document["axes"] = axes
    if not case.get("keep_surface", True):
        typed = json.dumps(case["cells"])
        for tank in document["tanks"]:
            if tank["id"] in typed:
                tank.pop("rectangular_surface")
    return document


def sheets_of(document: Document, sheets: tuple[Sheet, ...] = VESSEL_SHEETS) -> dict[str, Rows]:
    """Every sheet of a document that says something, as rows of plain values."""
    found = {}
    for table in tables_of(document, sheets, document["units"]):
        rows = [[cell.value for cell in row] for row in table.rows]
        first = table.head or len(rows)
        if table.sheet.shape == "form" or len(rows) > first:
            found[table.sheet.name] = rows
    return found


def book(sheets: dict[str, Rows], merged: dict[str, list[str]] | None = None) -> bytes:
    """A workbook of these sheets. A cell may be {"formula", "value" or "error"}, {"date"} or {"value", "format"}."""
    file = io.BytesIO()
    workbook = xlsxwriter.Workbook(file, {"in_memory": True, "strings_to_formulas": False})
    dates = workbook.add_format({"num_format": "dd/mm/yyyy"})
    for name, rows in sheets.items():
        page = workbook.add_worksheet(name)
        for ref in (merged or {}).get(name, ()):
            page.merge_range(ref, "")
        for i, row in enumerate(rows):
            for j, value in enumerate(row):
                if isinstance(value, dict) and "date" in value:
                    page.write_datetime(i, j, datetime.fromisoformat(value["date"]), dates)
                elif isinstance(value, dict) and "formula" in value:
                    shown = value.get("error", value.get("value"))
                    page.write_formula(i, j, value["formula"], None, "" if shown is None else shown)
                elif isinstance(value, dict):
                    page.write(i, j, value["value"], workbook.add_format({"num_format": value["format"]}))
                elif isinstance(value, str):
                    page.write_string(i, j, value)
                elif value is not None:
                    page.write(i, j, value)
    workbook.close()
    return file.getvalue()


def file_of(case: dict[str, Any]) -> tuple[bytes, str, Document | None]:
    """The bytes of a case, the name of its one table (empty: it has several), and the document it is laid over."""
    document = base_for(case)
    form = case.get("form", "xlsx")
    if form == "tsv":
        return case["cells"].encode(), case["sheet"], document
    if form == "csv-bom":
        text = case["cells"]
        return _replaced(document, case["sheet"], b"\xef\xbb\xbf" + text.encode()), "", None
    sheets = sheets_of(document)
    sheets.pop(case.get("instead_of", ""), None)
    sheets[case["sheet"]] = case["cells"]
    sheets.update(case.get("beside", {}))
    return book(sheets, {case["sheet"]: case.get("merged", [])}), "", None


def _replaced(document: Document, sheet: str, text: bytes) -> bytes:
    """The folder of a document with one of its files replaced."""
    file = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(vessel_folder(document))) as old, zipfile.ZipFile(file, "w") as new:
        for name in old.namelist():
            new.writestr(name, text if f" {sheet}.csv" in name else old.read(name))
    return file.getvalue()
