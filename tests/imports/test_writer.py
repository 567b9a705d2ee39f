"""Workbooks as they are written: deterministic, and open to any program that reads them."""

import csv
import io
import zipfile

import openpyxl
import pytest

from service.imports.text_cells import guarded, unguarded
from service.imports.texts import csv_number, encoded, kept_by_a_cell
from service.imports.vessel_sheets import VESSEL_SHEETS
from service.imports.writer import (
    booklet_template,
    condition_workbook,
    vessel_folder,
    vessel_sheet_text,
    vessel_workbook,
)
from tests.imports.documents import box, demo_ship


@pytest.mark.parametrize("ship", ["halvenmoor", "ostrel"])
def test_the_same_document_gives_the_same_bytes(ship: str) -> None:
    document = demo_ship(ship)
    assert vessel_workbook(document) == vessel_workbook(document)
    assert vessel_folder(document) == vessel_folder(document)


def test_a_workbook_has_every_sheet_and_its_figures() -> None:
    book = openpyxl.load_workbook(io.BytesIO(vessel_workbook(box())))
    assert book.sheetnames == [sheet.name for sheet in VESSEL_SHEETS]
    page = book["Hydrostatics"]
    assert [cell.value for cell in page[4]][:3] == ["Trim [m]", "Draft [m]", "Displacement [t]"]
    assert [cell.value for cell in page[5]][1:3] == [1.0, 738.0]
    assert book["Openings"]["A3"].value == "none"


def test_a_template_is_empty_and_lets_a_person_choose() -> None:
    book = openpyxl.load_workbook(io.BytesIO(booklet_template("us")))
    assert book["Ship"]["B7"].value == "us"
    assert book["Tanks"].max_row == 2
    choices = {str(d.sqref): d.formula1 for d in book["Tanks"].data_validations.dataValidation}
    assert choices["D3:D2003"] == '"port,starboard,centre"'
    assert book["Ship"]["B3"].number_format == "@"  # 0123456 keeps its nought
    assert book["Particulars"]["C2"].value == "ft"


def test_a_folder_is_the_same_tables() -> None:
    with zipfile.ZipFile(io.BytesIO(vessel_folder(box(), separator=";"))) as archive:
        assert archive.namelist()[0] == "01 Ship.csv"
        assert len(archive.namelist()) == len(VESSEL_SHEETS)
        text = archive.read("05 Hydrostatics.csv")
    assert text.startswith(b"\xef\xbb\xbf")
    assert b"\r\n" in text
    rows = list(csv.reader(io.StringIO(text.decode("utf-8-sig")), delimiter=";"))
    assert rows[4][1:3] == ["1", "738"]


def test_a_blank_condition_names_every_tank() -> None:
    book = openpyxl.load_workbook(io.BytesIO(condition_workbook(box())))
    assert [row[0].value for row in book["Tanks"].iter_rows(min_row=3)] == ["1P", "1S"]
    assert book["Tanks"]["I2"].value == "Name (for reading)"


def test_one_sheet_as_text() -> None:
    assert (
        vessel_sheet_text(box(), "rule-sets").decode("utf-8-sig").splitlines()[-1] == '"is-code-2008-a-2.2"'
    )


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "＝1+1", "＋1", "－1", "＠x", "'＝x", "'x", "\tx", "plain"]
)
def test_no_text_of_a_csv_file_is_a_formula(text: str) -> None:
    """OWASP, CSV Injection: cells that begin with = + - @, also in full width, tab or carriage return are formulas to
    spreadsheets."""
    assert guarded(text)[0] not in "=+-@\t\r＝＋－＠"
    assert unguarded(guarded(text)) == text


def test_texts_a_cell_would_not_keep_are_quoted() -> None:
    assert encoded(" x") == '" x"'
    assert encoded("") == '""'
    assert encoded("none") == '"none"'
    assert encoded("a_x0041_b") == '"a_x0041_b"'
    assert encoded("Nº 1") == "Nº 1"


def test_numbers_that_need_17_digits_are_known() -> None:
    """0.1 + 0.2 is written 0.3 by `{:.16G}`: IEEE 754 doubles need 17 digits."""
    assert not kept_by_a_cell(0.1 + 0.2)
    assert kept_by_a_cell(0.3)
    assert csv_number(1.476) == "1.4760"
    assert csv_number(0.476) == "0.476"
    assert csv_number(738.0) == "738"
