"""Workbooks as people type them: what is read, what is refused and at which cell, what is said.

The cases (`dirty_workbooks.json`) are our own invention of what hands, spreadsheets and printed booklets do; the
expected values are those that a person would read from the same cells."""

import json
from pathlib import Path
from typing import Any

import pytest

from service.actions.read_booklet import Stored, read_booklet
from service.wire.booklet import CellProblem
from tests.imports.books import file_of

CASES = json.loads(Path(__file__).with_name("dirty_workbooks.json").read_text("utf-8"))


def value_at(document: Any, pointer: str) -> Any:
    """The member at a pointer; None where there is none."""
    for step in pointer.split("/")[1:]:
        if isinstance(document, list):
            document = document[int(step)] if int(step) < len(document) else None
        elif isinstance(document, dict):
            document = document.get(step)
        else:
            return None
    return document


def cell_of(problem: CellProblem) -> str:
    """Where a problem is, as the cases name it."""
    if problem["row"] is None:
        return "sheet"
    return f"row {problem['row']}" if problem["column"] is None else f"{problem['column']}{problem['row']}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']}-{case['description'][:40]}")
def test_case(case: dict[str, Any]) -> None:
    data, sheet, base = file_of(case)
    stored = None if base is None else Stored(base, 1)
    found, _ = read_booklet(data, stored, sheet)
    expected = case["expect"]
    told = [(cell_of(problem), problem["code"]) for problem in found["problems"]]
    assert sorted(told) == sorted((p["cell"], p["code"]) for p in expected["problems"]), found["problems"]
    assert sorted(note["code"] for note in found["notes"]) == sorted(expected["notes"]), found["notes"]
    for pointer, value in expected["values"].items():
        assert value_at(found["document"], pointer) == (
            pytest.approx(value) if isinstance(value, float) else value
        ), pointer
    assert found["can_be_kept"] == (not expected["problems"])
    for problem in found["problems"]:
        assert problem["message"].startswith((problem["sheet"], "/"))
