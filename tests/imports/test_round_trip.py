"""Documents out as workbooks and in again: the same document, by the digest of its canonical text (RFC 8785)."""

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.actions.read_booklet import Stored, read_booklet
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.imports.cells import Cell, Page
from service.imports.condition_sheets import CONDITION_SHEETS, keep_what_the_file_leaves_out
from service.imports.layout import Sheet
from service.imports.reader import read_condition as read_condition_sheet
from service.imports.reader import read_condition_pages, read_pages
from service.imports.reader import read_vessel as read_vessel_file
from service.imports.tables import tables_of
from service.imports.vessel_sheets import VESSEL_SHEETS
from service.imports.writer import (
    condition_folder,
    condition_workbook,
    vessel_folder,
    vessel_sheet_text,
    vessel_workbook,
)
from service.wire.condition import Condition
from service.wire.vessel import Vessel
from tests.imports.awkward import HARD, awkward, awkward_plan
from tests.imports.books import book, sheets_of
from tests.imports.documents import Document, box, demo_ship, digest

FORMS = ["xlsx", "csv", "csv;"]


def written(document: Document, form: str) -> bytes:
    return vessel_workbook(document) if form == "xlsx" else vessel_folder(document, separator=form[3:] or ",")


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("ship", ["halvenmoor", "ostrel"])
def test_a_ship_comes_back_the_same(ship: str, form: str) -> None:
    document = demo_ship(ship)
    found, _ = read_booklet(written(document, form), Stored(document, 7))
    assert found["problems"] == []
    assert found["notes"] == []
    assert found["document_digest"] == digest(document)
    assert (found["kind"], found["same_as_revision"], found["can_be_kept"]) == ("whole", 7, True)
    assert found["changes"] == []
    assert found["removed"] == []


def rich_ship() -> Document:
    """The box with every member of a ship that the demonstration ships do without."""
    ship = box()
    limits = [{"draft": 2.0, "most": 400.0, "least": 10.0, "set": "sea"}, {"draft": 4.0, "most": 500.0}]
    station = {
        "name": "Frame 30", "x": 30.0, "shear_force_sea": 900.0, "shear_force_harbour": 1100.0,
        "bending_moment_sea": 9000.0, "bending_moment_harbour": 9500.0, "shear_force_sea_negative": 880.0,
        "shear_force_harbour_negative": 1080.0, "bending_moment_sea_sagging": 8000.0,
        "bending_moment_harbour_sagging": 8500.0,
    }  # fmt: skip
    obstruction = {"name": "Crane", "x": 40.0, "z": 12.0, "y_from": -2.0, "y_to": 2.0}
    return ship | {
        "id": "box-barge",
        "reference": "hull 7",
        "air_draft_points": [{"name": "Mast", "x": 10.0, "y": -1.0, "z": 21.0}],
        "bridge": {
            "eye_x": 5.0, "eye_z": 15.0, "obstruction_x": 50.0, "obstruction_z": 8.0, "bow_x": 60.0,
            "obstructions": [obstruction],
        },
        "cross_curves_timber": ship["cross_curves"],
        "holds": [
            {
                "id": "H1", "name": "Hold", "capacity": 900.0, "lcg": 30.0, "vcg": 3.0,
                "extent": {"x_from": 10.0, "x_to": 50.0}, "mass_limits": limits, "tanks_in_way": ["1P", "1S"],
            }
        ],
        "icing_surfaces": [{"name": "Deck", "kind": "deck", "area": 700.0, "x": 30.0, "y": 0.5, "z": 6.0}],
        "limits": [
            {"quantity": "draft_greatest", "at_most": 4.2, "when": "in_port", "clause": "4.2", "source": "Berth"},
            {"quantity": "gm_corrected", "at_least": 0.3},
        ],
        "load_lines": {
            "summer_draft": 4.4, "fresh_water_allowance": 0.09, "reference": "extreme", "marks": {"S": 4.4}
        },
        "strength": {
            "unit": "kN", "stations": [station], "shear_correction_required": True,
            "sections": {  # of a box: breadth times draft (closed form), with a step at 30 m
                "x": [0.0, 30.0, 30.0, 60.0], "drafts": [0.0, 3.0, 6.0], "factor": 1.006,
                "areas": [[0.0, 36.0, 72.0]] * 4,
            },
            "adjacent_holds": [
                {"holds": ["H1", "H2"], "mass_limits": limits}, {"holds": ["H1", "H2"], "mass_limits": limits[1:]}
            ],
        },
        "passenger_spaces": [
            {"id": "SUN", "x": 40.0, "deck_z": 11.0, "length": 22.0, "half_breadth": 5.5, "area": 240.0}
        ],
        "hatch_coamings": {"length_sum": 24.0, "breadth": 8.0, "height": 1.4},
        "hatches_secured": True,
        "towing": {
            "propellers": 2, "shaft_power": 1400.0, "propeller_diameter": 2.2, "rudder_fraction": 0.5,
            "bitts_height": 3.6, "bollard_pull": 420.0, "tow_point": {"x": 30.0, "y": 0.5, "z": 8.0},
            "propulsion": {"x": 4.0, "z": 1.6}, "drive": "azimuth_stern",
        },
        "barge_trunk": {"length": 50.0, "breadth": 9.0, "height": 1.2},
        "particulars": ship["particulars"] | {
            "superstructure": "none", "superstructure_length": 12.0, "freeboard_least": 1.2, "breadth_half_draft": 11.5
        },
    }  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_what_the_demonstration_ships_do_without_comes_back_the_same(form: str) -> None:
    reading = read_vessel_file(written(rich_ship(), form))
    Vessel.model_validate(rich_ship())
    assert [problem.message for problem in reading.problems] == []
    assert reading.document == rich_ship()


def test_a_workbook_of_before_leaves_sections_and_adjacent_holds_alone_and_blank_sheets_take_them_out() -> (
    None
):
    ship = rich_ship()
    sheets = sheets_of(ship)
    added = ("Sections", "Adjacent holds")
    older = book({name: rows for name, rows in sheets.items() if name not in added})
    reading = read_vessel_file(older, ship)
    assert not reading.is_part
    assert reading.document == ship
    reading = read_vessel_file(book(sheets | {name: [[name]] for name in added}), ship)
    assert reading.document["strength"].keys() == {"unit", "stations", "shear_correction_required"}


def rich_condition() -> Document:
    """A condition with every member that those of the demonstration ships do without."""
    timber = {
        "absorption": 10.0,
        "between_superstructures": True,
        "full_breadth": True,
        "secured": False,
        "buoyant": True,
    }
    deals = {
        "name": "Deals",
        "category": "deck_cargo",
        "mass": 90.0,
        "lcg": 30.0,
        "vcg": 7.0,
        "hold": "H1",
        "timber": timber,
    }
    return {
        "units": "metric", "id": "trip-7", "reference": "7/2", "title": "Timber",
        "voyage": {"phase": "at_sea", "ballast": True}, "water_density": 1.025, "free_surface": {"basis": "as_filled"},
        "tanks": [], "weights": [deals], "passengers": [{"space": "SUN", "number": 180, "mass_each": 80.0}],
        "operation": {
            "lift": {"name": "Buoy", "mass": 84.0, "x": 35.0, "y": -20.0, "z": 20.0},
            "escort": {"heeling_moment": 600.0},
        },
         "load_line_mark": "LS", "dock_water": "exact", "inland": True,
        "icing": {
            "factor": 0.5, "surfaces": [{"name": "Deals", "kind": "side", "area": 40.0, "x": 30.0, "y": 0.0, "z": 7.0}],
            "timber_formula": {"freeboard": 2.0, "bow_flare_length": 9.0},
        },
        "obstructions": [{"name": "Deals", "x": 30.0, "z": 8.0, "y_from": -5.0, "y_to": 5.0, "of": "Deals"}],
        "limits": [{"quantity": "list", "at_least": -1.0, "at_most": 1.0, "when": "always"}],
        "observed": {"drafts": {"aft": 4.2, "forward": {"port": 4.1, "starboard": 4.3}}, "mean": "two_thirds"},
        "drafts_at": [12.5, 48.0], "plan": rich_plan(),
    }  # fmt: skip


def rich_plan() -> Document:
    """A plan with every member of a plan; two of its stages have one name, and one says that nothing is used."""
    used = {"contents": "fuel_oil", "mass_per_day": 9.4, "order": [["1P", "1S"], ["2"]], "leave": 3.0}
    cargo = {"name": "Coils; hold 1", "category": "cargo", "mass": 9.0, "lcg": 30.0, "vcg": 2.0}
    grain = {
        "hold": "H1",
        "filling": "partly_filled",
        "volume": 90.0,
        "stowage_factor": 1.3,
        "vcg_basis": "hold",
    }
    return {
        "kind": "voyage", "departs": "2026-10-28T12:00:00Z", "every_days": 3.0,
        "consumption": [used, {"weight": "Stores", "mass_per_day": 0.2}],
        "stages": [
            {
                "name": "At sea", "days": 8.0, "phase": "at_sea", "water_density": 1.025, "deflection": 0.02,
                "season": {"from": "11-01", "to": "02-29", "mark": "W", "otherwise": "S"},
                "icing": {
                    "factor": 0.5, "timber_formula": {"freeboard": 2.0, "bow_flare_length": 9.0},
                    "surfaces": [{"name": "Deals", "kind": "deck", "area": 40.0, "x": 30.0, "z": 7.0}],
                },
            },
            {
                "name": "Roads", "days": 0.25, "inland": True, "transition": "ends", "load_line_mark": "S",
                "removed_weights": ["Deals", "Say \"ah\"", "a; b"], "consumption": [], "weights": [cargo],
                "tanks": [{"tank": "1P", "contents": "ballast", "fill": 40.0}, {"tank": "1S", "ullage": 1}],
                "wind_additions": [{"name": "Deals", "area": 40.0, "centroid_height": 8.0, "of": "Deals"}],
                "obstructions": [{"name": "Deals", "x": 30.0, "z": 8.0, "y_from": -5.0, "y_to": 5.0, "of": "Deals"}],
                "grain": [grain],
            },
            {"name": "At sea", "tanks": [], "weights": [], "grain": [], "wind_additions": [], "removed_weights": []},
        ],
    }  # fmt: skip


@pytest.mark.parametrize("form", FORMS)
def test_what_the_demonstration_conditions_do_without_comes_back_the_same(form: str) -> None:
    condition = rich_condition()
    Condition.model_validate(condition)
    if form == "xlsx":
        data = condition_workbook(box(), condition)
    else:
        data = condition_folder(box(), condition, form[3:] or ",")
    reading = read_condition_sheet(data, "metric")
    assert [p.message for p in reading.problems] == []
    assert reading.document == condition


def test_lists_longer_than_a_cell_come_back_through_csv() -> None:
    """A line that goes on begins with +, which CSV files guard."""
    condition = rich_condition()
    tanks = [f"long tank name {i}" for i in range(120)]
    condition["plan"]["consumption"][0]["order"] = [tanks[:90], tanks[90:]]
    condition["plan"]["stages"][1]["removed_weights"] = [f'weight; "no" {i}' for i in range(80)]
    reading = read_condition_sheet(condition_folder(box(), condition), "metric")
    assert [p.message for p in reading.problems] == []
    assert reading.document == condition


def test_a_file_without_a_sheet_for_the_plan_leaves_it_alone_and_a_blank_sheet_takes_it_out() -> None:
    stored = rich_condition()
    bare = {name: value for name, value in stored.items() if name not in ("plan", "drafts_at")}
    reading = read_condition_sheet(condition_workbook(box(), bare), "metric")
    keep_what_the_file_leaves_out(reading.document, stored, reading.found)
    assert reading.document == bare
    older = {
        name: rows for name, rows in sheets_of(bare, CONDITION_SHEETS).items() if not name.startswith("Plan")
    }
    reading = read_condition_sheet(book(older), "metric")
    keep_what_the_file_leaves_out(reading.document, stored, reading.found)
    assert reading.document == stored


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("ship", demo_vessel_ids())
def test_conditions_come_back_the_same(ship: str, form: str) -> None:
    vessel = json.loads(read_vessel(ship))
    for name in condition_names(ship):
        condition = json.loads(read_condition(ship, name))
        if form == "xlsx":
            data = condition_workbook(vessel, condition)
        else:
            data = condition_folder(vessel, condition, form[3:] or ",")
        reading = read_condition_sheet(data, vessel["units"], vessel.get("axes"))
        assert [p.message for p in reading.problems] == []
        assert digest(reading.document) == digest(condition), name


def test_a_blank_sheet_says_what_it_needs() -> None:
    reading = read_condition_sheet(condition_workbook(box()), "metric")
    assert {problem.code for problem in reading.problems} == {"missing_value"}
    assert reading.document is not None
    assert reading.document["tanks"] == []


@pytest.mark.parametrize("sheet", [sheet.slug for sheet in VESSEL_SHEETS])
def test_each_sheet_alone_changes_nothing(sheet: str) -> None:
    document = demo_ship("halvenmoor")
    reading = read_vessel_file(vessel_sheet_text(document, sheet), document, sheet)
    assert [problem.message for problem in reading.problems] == []
    assert digest(reading.document) == digest(document)


def pages_in_memory(document: Document, sheets: tuple[Sheet, ...] = VESSEL_SHEETS) -> list[Page]:
    """The cells a workbook of the document holds, without the file between."""
    pages = []
    for table in tables_of(document, sheets, document["units"]):
        rows = {
            i: {
                j: Cell("s", cell.value) if isinstance(cell.value, str) else Cell("n", cell.value)
                for j, cell in enumerate(row, 1)
                if cell.value is not None
            }
            for i, row in enumerate(table.rows, 1)
        }
        pages.append(Page(table.sheet.name, {i: row for i, row in rows.items() if row}, [], [], ""))
    return pages


@pytest.mark.parametrize("form", FORMS)
def test_an_empty_list_in_columns_comes_back(form: str) -> None:
    """One line of two fields among forty of one: the separator of the file is found all the same."""
    document = {**json.loads(read_vessel("halvenmoor")), "printed_conditions": []}
    assert read_vessel_file(written(document, form)).document["printed_conditions"] == []


@given(document=awkward())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_awkward_documents_come_back_the_same(document: Document) -> None:
    reading = read_pages(pages_in_memory(document))
    assert [problem.message for problem in reading.problems] == []
    assert digest(reading.document) == digest(document)


@given(document=awkward(), form=st.sampled_from(FORMS))
@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
def test_awkward_documents_come_back_the_same_through_files(document: Document, form: str) -> None:
    reading = read_vessel_file(written(document, form))
    assert [problem.message for problem in reading.problems] == []
    assert digest(reading.document) == digest(document)


@given(condition=awkward_plan())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_awkward_plans_come_back_the_same(condition: Document) -> None:
    reading = read_condition_pages(pages_in_memory(condition, CONDITION_SHEETS), "metric")
    assert [problem.message for problem in reading.problems] == []
    assert digest(reading.document) == digest(condition)


@given(condition=awkward_plan(), form=st.sampled_from(FORMS))
@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
def test_awkward_plans_come_back_the_same_through_files(condition: Document, form: str) -> None:
    if form == "xlsx":
        data = condition_workbook(box(), condition)
    else:
        data = condition_folder(box(), condition, form[3:] or ",")
    reading = read_condition_sheet(data, "metric")
    assert [problem.message for problem in reading.problems] == []
    assert digest(reading.document) == digest(condition)


_JUNK = st.one_of(
    st.tuples(st.just("s"), st.one_of(st.sampled_from(HARD), st.text(max_size=10))),
    st.tuples(st.just("n"), st.floats(allow_nan=False, allow_infinity=False)),
    st.tuples(st.sampled_from("bdelup"), st.sampled_from([True, "2026-01-02", "#REF!", ""])),
)


@given(
    junk=st.lists(st.tuples(st.integers(0, 40), st.integers(1, 12), st.integers(1, 12), _JUNK), max_size=20)
)
@settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))
@pytest.mark.parametrize("of", ["vessel", "condition"])
def test_junk_in_any_cell_is_told_and_never_fails(of: str, junk: list[Any]) -> None:
    pages = (
        pages_in_memory(rich_ship())
        if of == "vessel"
        else pages_in_memory(rich_condition(), CONDITION_SHEETS)
    )
    for page, row, column, (kind, value) in junk:
        if kind == "p" or (kind == "b" and not isinstance(value, bool)):
            kind, value = "n", 0.5
        pages[page % len(pages)].rows.setdefault(row, {})[column] = Cell(kind, value)
    for page in pages:
        ordered = {row: dict(sorted(page.rows[row].items())) for row in sorted(page.rows)}
        page.rows.clear()
        page.rows.update(ordered)
    reading = read_pages(pages) if of == "vessel" else read_condition_pages(pages, "metric")
    assert reading.document is not None
    json.dumps([problem.row() for problem in (*reading.problems, *reading.notes)])
