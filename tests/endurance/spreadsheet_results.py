"""Results of ships with awkward names as spreadsheets: no formula, every text and figure as the answer has it.

Each file is read by openpyxl or the csv module, then opened and saved as a workbook by LibreOffice and read again.
Texts that look like a formula stand in CSV behind an apostrophe, as the description says.
"""

import csv
import io
import json
import logging
import random
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import structlog

from service.demo import read_condition, read_vessel
from service.settings import Settings
from tests.api.in_process import InProcess, in_process
from tests.endurance.spreadsheet_program import convert

SHIPS = (("halvenmoor", "departure-homogeneous"), ("ostrel", "supply-run"), ("quarrenby", "departure-full"))
NAMES = (
    *("=1+1", "+SUM(A1:A9)", "-2+3", "@SUM(1)", '=HYPERLINK("http://ships.example","x")', "=cmd|' /C x'!A0"),
    *(
        "שמן קל 4",
        "وقود خفيف ٣",
        "Ab אב cd",
        "重油 2",
        "x" * 100,
        "long name " * 9 + "end",
        "'quoted'",
        "''",
    ),
    *(
        "1E5",
        "007",
        "TRUE",
        "2026-01-02",
        "#N/A",
        'a;b,c"d',
        "50 %",
        "1/2",
        "№ 3 — ½ m³",
        "🚢 5",
        "A1",
        "R1C1",
    ),
)
TAKEN_FOR_VALUES = ("2026-01-02", "TRUE", "50 %", "1/2", "#N/A")
"""Texts that the program takes for a date, a truth, a number or an error where they stand in CSV; none is a formula."""
PARTS = ("figures", "criteria", "tanks", "weights", "levers")
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
Table = list[list[Any]]


def run(rounds: int, first: int) -> dict[str, object]:
    """How many files and cells were looked at. rounds: ships; first: seed of their names. Raises AssertionError."""
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.ERROR))
    chance, cells = random.Random(first), 0
    expected: dict[str, dict[str, Table]] = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        settings = Settings(
            database_url=f"sqlite:///{folder}/records.db", worker_processes=0, rate_per_second=0
        )
        with in_process(settings) as http:
            for number in range(rounds):
                for file, data, tables in _files(http, number, chance):
                    (folder / file).write_bytes(data)
                    expected[file] = tables
        for form, options in (("xlsx", ()), ("csv", ("--infilter=CSV:44,34,76,1",))):
            written = [folder / file for file in expected if file.endswith(form)]
            for saved in convert(written, "xlsx", folder / f"by-{form}", folder / "profile", *options):
                found = _book(saved.read_bytes())
                wanted = expected[f"{saved.stem}.{form}"]
                assert len(found) == len(wanted), saved
                for table, sheet in zip(wanted.values(), found.values(), strict=True):
                    cells += _compare(table, sheet, f"{saved.stem}.{form}")
    return {"ships": rounds, "files": len(expected), "cells the same in LibreOffice": cells}


def _files(
    http: InProcess, number: int, chance: random.Random
) -> Iterator[tuple[str, bytes, dict[str, Table]]]:
    """Name, bytes and tables of each file of one ship."""
    ship, name = SHIPS[number % len(SHIPS)]
    vessel, condition = json.loads(read_vessel(ship)), json.loads(read_condition(ship, name))
    vessel["name"], condition["title"] = chance.choice(NAMES), chance.choice(NAMES)
    for tank in vessel["tanks"]:
        tank["name"] = chance.choice(NAMES)
    id = _posted(http, "/v1/vessels", vessel)["vessel"]
    record = _posted(http, f"/v1/vessels/{id}/conditions", condition)
    address = f"/v1/conditions/{record['condition']}/revisions/1/report"
    units = chance.choice(("metric", "us"))
    book = _got(http, f"{address}.xlsx?units={units}")
    tables = _book(book)
    texts = {cell for table in tables.values() for row in table for cell in row if isinstance(cell, str)}
    answer = record["assessment"]
    wanted = {vessel["name"], condition["title"], *(row["name"] for row in answer["tanks"])}
    assert wanted <= texts, wanted - texts
    yield f"{number}-report.xlsx", book, tables
    for part in PARTS:
        data = _got(http, f"{address}.csv?units={units}&part={part}")
        table = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))
        _compare_csv(tables[part], table)
        yield f"{number}-{part}.csv", data, {part: [[_typed(cell) for cell in row] for row in table]}


def _posted(http: InProcess, address: str, document: Any) -> Any:
    answer = http.ask(
        "POST", address, json.dumps(document).encode(), [(b"content-type", b"application/json")]
    )
    assert answer.status == 201, answer.body
    return json.loads(answer.body)


def _got(http: InProcess, address: str) -> bytes:
    answer = http.ask("GET", address)
    assert answer.status == 200, answer.body
    return answer.body


def _book(data: bytes) -> dict[str, Table]:
    """The cells of each sheet; none is a formula or a link."""
    book = openpyxl.load_workbook(io.BytesIO(data))
    for page in book:
        for row in page.iter_rows():
            assert all(cell.data_type != "f" and cell.hyperlink is None for cell in row)
    return {page.title: [[cell.value for cell in row] for row in page.iter_rows()] for page in book}


def _compare_csv(sheet: Table, table: list[list[str]]) -> None:
    """A table as CSV has the cells of the sheet; beside them the caution alone."""
    for row, line in zip(sheet, table, strict=True):
        for cell, text in zip(row, line):
            if isinstance(cell, str):
                assert text in (cell, f"'{cell}"), (cell, text)
                assert not text.startswith(FORMULA_SIGNS), text
            else:
                _require_same(cell, _typed(text), text)


def _require_same(cell: float | None, found: object, place: str) -> None:
    """The same figure to 15 digits, or none: a workbook has 16, what the program writes 15."""
    if cell is None:
        assert found is None, place
    else:
        assert isinstance(found, int | float), (place, cell, found)
        assert abs(found - cell) <= 1e-14 * abs(cell), (place, cell, found)


def _typed(text: str) -> str | float | None:
    """A field of a CSV file as a spreadsheet program takes it where it changes nothing."""
    try:
        return float(text) if text else None
    except ValueError:
        return text


def _compare(table: Table, sheet: Table, name: str) -> int:
    """A table as the program saved it; how many cells are filled."""
    filled = 0
    for i, row in enumerate(table):
        for j, cell in enumerate(row):
            found = sheet[i][j] if i < len(sheet) and j < len(sheet[i]) else None
            if isinstance(cell, str):
                if name.endswith(".csv") and cell in TAKEN_FOR_VALUES:
                    continue
                assert (found or "") == cell, (name, i, j, cell, found)  # an empty text is an empty cell
            elif cell is not None:
                _require_same(cell, found, f"{name} {i} {j}")
            filled += cell is not None
    return filled
