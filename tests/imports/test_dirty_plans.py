"""Plans as people type them into the sheets of a condition: what is read, and what is told at which cell.

The cases are our own invention; the expected values are those that a person would read from the same cells."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.read_condition_sheet import read_condition_sheet
from service.demo import read_condition, read_vessel
from service.imports.condition_sheets import CONDITION_SHEETS
from service.imports.dates import NotADate, date, day_of_year, moment
from service.imports.lists_in_cells import groups_in, groups_text, names_in, names_text
from tests.imports.books import Rows, book, sheets_of
from tests.imports.test_dirty_workbooks import cell_of, value_at

VESSEL = json.loads(read_vessel("halvenmoor"))
VOYAGE = json.loads(read_condition("halvenmoor", "winter-voyage"))
Change = Rows | Callable[[Rows], Rows]
FILLING = ["Stage", "Tank", "Filling [%]"]
STAGES = "/plan/stages"


def put(**cells: Any) -> Callable[[Rows], Rows]:
    """A sheet with some cells typed over, by their names (B2)."""

    def changed(rows: Rows) -> Rows:
        rows = [list(row) for row in rows]
        for name, value in cells.items():
            row, column = int(name[1:]) - 1, ord(name[0]) - ord("A")
            rows += [[] for _ in range(row + 1 - len(rows))]
            rows[row] += [None] * (column + 1 - len(rows[row]))
            rows[row][column] = value
        return rows

    return changed


def with_line_below(rows: Rows) -> Rows:
    """Consumption whose first order goes on in a line of its own."""
    return [*rows[:3], [None, None, None, None, "+ fo-deep-p"], *rows[3:]]


CASES: list[tuple[str, dict[str, Change], dict[str, Any], list[tuple[str, str, str]], list[str]]] = [
    (
        "stages by name, by number, with a word before it",
        {"Plan tanks": [FILLING, ["Nordgard roads", "wb-wing-1-p", 50], ["stage 4", "wb-wing-1-s", "40 %"]]},
        {f"{STAGES}/3/tanks/1/fill": 40.0},
        [],
        [],
    ),
    (
        "a name that ends in a number is no number of a stage",
        {"Plan": put(B9="Leg 2"), "Plan tanks": [FILLING, ["Leg 2", "wb-wing-1-p", 50]]},
        {f"{STAGES}/1/tanks": None, f"{STAGES}/3/tanks/0/fill": 50},
        [],
        [],
    ),
    (
        "a stage that is not there, one nearly right, a name that stands twice",
        {
            "Plan": put(B7="Northern seas"),
            "Plan tanks": [FILLING, [7, "fw-p", 50], ["Nordgard road", "fw-p", 50], ["Northern seas", "fw-p", 5]],
        },
        {},
        [
            ("Plan tanks", "A2", "unknown_stage"),
            ("Plan tanks", "A3", "unknown_stage"),
            ("Plan tanks", "A4", "ambiguous_stage"),
        ],
        [],
    ),
    (
        "a quantity twice, none, an unknown tank",
        {
            "Plan tanks": [
                [*FILLING, "Mass [t]"], [4, "wb-wing-1-p", 50, 20], [4, "wb-wing-1-s"], [4, "wb-x", 3],
            ]
        },
        {},
        [
            ("Plan tanks", "B2", "one_quantity"),
            ("Plan tanks", "B3", "one_quantity"),
            ("Plan tanks", "B4", "unknown_tank"),
        ],
        [],
    ),
    (
        "a day of the year that can be two",
        {"Plan": put(F8="01-11", G8="31.3.")},
        {},
        [("Plan", "F8", "ambiguous_day")],
        [],
    ),
    (
        "a day that the spreadsheet took for a date",
        {"Plan": put(F8={"date": "2026-11-01"})},
        {},
        [("Plan", "F8", "date_in_text")],
        [],
    ),
    (
        "departure in words, in hours and minutes without a colon",
        {"Plan": put(B3="28 Oct 2026 1200 UTC")},
        {"/plan/departs": "2026-10-28T12:00:00Z"},
        [],
        [],
    ),
    (
        "departure as a date of the spreadsheet",
        {"Plan": put(B3={"date": "2026-10-28T12:00:00"})},
        {"/plan/departs": "2026-10-28T12:00:00Z"},
        [],
        [],
    ),
    ("a season without departure", {"Plan": put(B3=None)}, {}, [("Plan", "A8", "departs_missing")], []),
    ("no kind", {"Plan": put(B2=None)}, {}, [("Plan", "B2", "missing_value")], []),
    (
        "lines above and no stage",
        {"Plan": lambda rows: rows[:5], "Plan consumption": []},
        {},
        [("Plan", "row 5", "missing")],
        [],
    ),
    (
        "a sum under the stages, numbers out of order",
        {"Plan": put(B10="Total", C10=10.25, A7=3)},
        {f"{STAGES}/4": None},
        [("Plan", "A7", "not_in_order")],
        ["left_out"],
    ),
    (
        "weights put ashore that are not aboard",
        {"Plan": put(N9="Provisions and stores; Proviant")},
        {},
        [("Plan", "N9", "unknown_weight")],
        [],
    ),
    (
        "tanks in order with commas, on a line of their own, and no order at all",
        {"Plan consumption": lambda rows: with_line_below(put(E4="do-db-p, do-db-s")(rows))},
        {"/plan/consumption/0/order/0/2": "fo-deep-p", "/plan/consumption/1/order": [["do-db-p", "do-db-s"]]},
        [("Plan consumption", "E3", "unknown_tank")],
        [],
    ),
    (
        "tanks in order with a sign too many",
        {"Plan consumption": put(E3="fo-db-5-p ++ fo-db-5-s")},
        {},
        [("Plan consumption", "E3", "not_groups")],
        [],
    ),
    (
        "hours and kilogrammes are converted, and said",
        {"Plan": put(C6="6 h"), "Plan consumption": put(D2="Mass per day [kg/d]")},
        {f"{STAGES}/0/days": 0.25, "/plan/consumption/0/mass_per_day": 0.0094},
        [],
        ["unit_converted", "unit_converted"],
    ),
    (
        "a draft read once and on both sides, on one side only, and not at all",
        {
            "Drafts read": [
                ["Marks", "Draft read [m]", "Port [m]", "Starboard [m]"],
                ["aft", 5.2, 5.1, 5.3], ["midship", None, 5.1], ["forward"], ["fore 2", None, 5.0, 5.1],
            ]
        },
        {"/observed/drafts/fore 2/starboard": 5.1},
        [
            ("Drafts read", "B2", "one_or_both_sides"),
            ("Drafts read", "D3", "missing_side"),
            ("Drafts read", "B4", "missing_value"),
        ],
        [],
    ),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[0])
def test_plan(case: Any) -> None:
    _, changes, values, problems, notes = case
    sheets = sheets_of(VOYAGE, CONDITION_SHEETS)
    for sheet, change in changes.items():
        sheets[sheet] = change(sheets[sheet]) if callable(change) else change
    found, _ = read_condition_sheet(book(sheets), Assessor(), {"vessel": VESSEL}, "metric", None)
    told = sorted({(p["sheet"], cell_of(p), p["code"]) for p in found["problems"]})
    assert told == sorted(problems), found["problems"]
    assert [note["code"] for note in found["notes"]] == notes
    for pointer, value in values.items():
        assert value_at(found["document"], pointer) == value, pointer
    assert found["can_be_kept"] == (not problems)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1P + 1S; 2P + 2S", [["1P", "1S"], ["2P", "2S"]]),
        ("1P,1S then 2", [["1P", "1S"], ["2"]]),
        ("1P and 1S > 2 & 3", [["1P", "1S"], ["2", "3"]]),
        ('"A then B" + 2; ', [["A then B", "2"]]),
        ("+ 3S; 4", [["3S"], ["4"]]),
        ("1P ++ 1S", None),
        ("1P; ; 2", None),
        ('"1P', None),
    ],
)
def test_tanks_in_order(text: str, found: Any) -> None:
    assert groups_in(text) == found


def test_long_lists_go_on_in_further_cells() -> None:
    groups = [[f"tank {i} {j}" for j in range(40)] for i in range(4)]
    texts = groups_text(groups)
    assert len(texts) > 1
    assert all(len(text) < 1000 for text in texts)
    assert names_in("; ".join(names_text(["a; b", 'c "d"', "e"]))) == ["a; b", 'c "d"', "e"]


@pytest.mark.parametrize(
    ("read", "text", "found"),
    [
        (day_of_year, "Nov. 1", "11-01"),
        (day_of_year, "1st of May", None),
        (day_of_year, "29 Feb", "02-29"),
        (day_of_year, "31-03", "03-31"),
        (moment, "2026-10-28 12:00", "2026-10-28T12:00:00Z"),
        (moment, "28.10.2026 6:05", "2026-10-28T06:05:00Z"),
        (moment, "10/11/2026 12:00", None),
        (moment, "2026-10-28 25:00", None),
        (moment, "2026-10-28T12:00:00+02:00", None),
        (date, "May 2024", "2024-05"),
        (date, "2024/31/05", None),
    ],
)
def test_times_and_days(read: Callable[[str], str], text: str, found: str | None) -> None:
    if found is None:
        with pytest.raises(NotADate):
            read(text)
    else:
        assert read(text) == found
