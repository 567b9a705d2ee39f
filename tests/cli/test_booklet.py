"""`booklet` on the command line, and condition sheets for `check`."""

import json
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from service.cli.booklet import app
from service.cli.check import check
from service.demo import read_condition, read_vessel
from service.imports.writer import condition_workbook, vessel_workbook
from tests.imports.books import book, sheets_of
from tests.imports.documents import box, demo_ship

run = CliRunner().invoke


def test_template_write_read_and_prove(tmp_path: Path) -> None:
    template, out, document = tmp_path / "t.xlsx", tmp_path / "ship.zip", tmp_path / "ship.json"
    document.write_text(json.dumps(demo_ship("ostrel")), "utf-8")
    assert run(app, ["template", str(template), "--units", "us"]).exit_code == 0
    assert openpyxl.load_workbook(template)["Ship"]["B7"].value == "us"
    assert run(app, ["write", str(document), str(out)]).exit_code == 0
    again = tmp_path / "again.json"
    read = run(app, ["read", str(out), "--out", str(again)])
    assert read.exit_code == 0, read.output
    assert "It can be kept." in read.output
    assert json.loads(again.read_text("utf-8")) == demo_ship("ostrel")
    proved = run(app, ["prove", str(out)])
    assert proved.exit_code == 0
    assert proved.output.startswith("proved with 4 conditions and 448 figures")


def test_problems_are_told_and_marked(tmp_path: Path) -> None:
    sheets = sheets_of(box())
    sheets["Hydrostatics"][5][2] = "1,476"
    file, copy = tmp_path / "bad.xlsx", tmp_path / "marked.xlsx"
    file.write_bytes(book(sheets))
    read = run(app, ["read", str(file), "--marked", str(copy)])
    assert read.exit_code == 3
    assert "Hydrostatics!C6, Displacement [t]: “1,476”: this can be read as 1.476 or as 1476" in read.output
    pages = openpyxl.load_workbook(copy)
    assert pages["What to look at"]["B2"].value == "C6"
    assert "1.476 or as 1476" in pages["Hydrostatics"]["C6"].comment.text


def test_keep_a_ship_and_revise_her(tmp_path: Path) -> None:
    database = f"sqlite:///{tmp_path}/records.db"
    file = tmp_path / "box.xlsx"
    file.write_bytes(vessel_workbook(box()))
    kept = run(app, ["keep", str(file), "--reason", "entered", "--database", database])
    assert kept.exit_code == 0, kept.output
    vessel = kept.output.split()[2].rstrip(",")
    part = tmp_path / "part.zip"
    document = box()
    document["tanks"] = document["tanks"][:1]
    file.write_bytes(vessel_workbook(document))
    over = ["keep", str(file), "--reason", "less", "--vessel", vessel, "--database", database]
    refused = run(app, over)
    assert refused.exit_code == 3
    assert run(app, [*over, "--removed"]).exit_code == 0
    assert run(app, ["write", vessel, str(part), "--database", database]).exit_code == 0


def test_check_takes_condition_sheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    vessel = json.loads(read_vessel("halvenmoor"))
    condition = json.loads(read_condition("halvenmoor", "departure-homogeneous"))
    file, blank = tmp_path / "departure.xlsx", tmp_path / "blank.xlsx"
    file.write_bytes(condition_workbook(vessel, condition))
    assert check([file], None, "halvenmoor", as_json=False, url=None) in (0, 1)
    assert condition["title"][:20] in capsys.readouterr().out
    blank.write_bytes(condition_workbook(vessel))
    assert check([blank], None, "halvenmoor", as_json=False, url=None) == 3
    assert "Condition is needed" in capsys.readouterr().out
