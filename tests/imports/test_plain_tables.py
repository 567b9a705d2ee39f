"""Tables as files: read back by the standard library and openpyxl; no text becomes a formula."""

import csv
import io

import openpyxl

from service.imports.plain_tables import PlainTable, table_text, tables_workbook

FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "'=1")
"""Beginnings that spreadsheets take for formulas: OWASP, CSV Injection (value from memory)."""
TABLE = PlainTable(
    "list",
    ("text", "mass, t", "counts"),
    [
        *((text, -1.25, True) for text in FORMULAS),
        ('a "b", c\nd', 1.476, False),
        ("https://a.test", None, None),
    ],
)


def test_csv_comes_back_with_guards_before_formulas() -> None:
    text = table_text(TABLE).decode("utf-8-sig")
    head, *rows = list(csv.reader(io.StringIO(text, newline="")))
    assert head == list(TABLE.headings)
    assert [row[0] for row in rows[: len(FORMULAS)]] == [f"'{text}" for text in FORMULAS]
    assert all(row[0][0] not in "=+-@\t\r" for row in rows)
    assert [float(row[1]) for row in rows[:-1]] == [-1.25] * len(FORMULAS) + [1.476]
    assert rows[-2][0] == 'a "b", c\nd'
    assert rows[-1][1:] == ["", ""]


def test_a_workbook_has_texts_as_texts_and_numbers_as_numbers() -> None:
    page = openpyxl.load_workbook(io.BytesIO(tables_workbook([TABLE])))["list"]
    rows = list(page.iter_rows(min_row=2))
    assert [cell.value for cell in page[1]] == list(TABLE.headings)
    assert {row[0].data_type for row in rows} == {"s"}
    assert [row[0].value for row in rows[: len(FORMULAS)]] == list(FORMULAS)
    assert [row[1].value for row in rows] == [row[1] for row in TABLE.rows]
    assert all(row[0].hyperlink is None for row in rows)
    assert tables_workbook([TABLE]) == tables_workbook([TABLE])
