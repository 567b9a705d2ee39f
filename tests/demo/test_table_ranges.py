"""The tables of a demonstration ship reach all that she floats at, with room to spare, and have rows close enough.

She floats at her lightship and in every committed condition, worked through by `booklet_sum`.  Room to spare: 5
percent of the summer displacement and of the summer draft, half a percent of her length in trim (common practice,
no source).
"""

import json
from functools import cache
from typing import Any

import numpy as np
import pytest

from service.demo import condition_names, read_condition, read_vessel
from tests.demo.booklet_sum import Result, columns, sum_up

SHIPS = ("halvenmoor", "ostrel")
SPARE, SPARE_TRIM = 0.05, 0.005
CENTIMETRE = {"metric": 0.01, "us": 0.01 / 0.3048}

every_ship = pytest.mark.parametrize("ship", SHIPS)


@cache
def vessel(ship: str) -> dict[str, Any]:
    return json.loads(read_vessel(ship))


def conditions(ship: str) -> dict[str, dict[str, Any]]:
    """Every committed condition, and the lightship alone."""
    documents = {name: json.loads(read_condition(ship, name)) for name in condition_names(ship)}
    return {"lightship": {"tanks": [], "weights": [], "water_density": 1.025}, **documents}


@cache
def worked(ship: str) -> dict[str, tuple[float, Result]]:
    """By condition: displacement in the water of the tables, and the sum."""
    found = {}
    for name, document in conditions(ship).items():
        result = sum_up(vessel(ship), document)
        water = vessel(ship)["hydrostatics"]["density"] / document["water_density"]
        found[name] = (result.displacement * water, result)
    return found


def hydrostatics(ship: str) -> dict[float, list[dict[str, float]]]:
    """Rows by trim."""
    rows = vessel(ship)["hydrostatics"]["rows"]
    return {trim: [row for row in rows if row["trim"] == trim] for trim in sorted({r["trim"] for r in rows})}


def cross_curves(ship: str) -> dict[float, list[float]]:
    """Displacements by trim."""
    curves = vessel(ship)["cross_curves"]
    return {table["trim"]: table["displacements"] for table in (curves, *curves["at_other_trims"])}


def limit_curves(ship: str) -> dict[tuple[float, float], list[float]]:
    """Drafts of the curves of GM or VCG limits by the trims they hold for."""
    found: dict[tuple[float, float], list[float]] = {}
    for row in (row for curve in vessel(ship)["gm_limits"] for row in curve["rows"]):
        found.setdefault((row["trim_from"], row["trim_to"]), []).append(row["draft"])
    return found


def draft_tables(ship: str) -> dict[str, list[float]]:
    """Drafts of every table that is entered with a draft."""
    document = vessel(ship)
    tables = {f"opening {o['id']}": o["immersion_angles"] for o in document["openings"]}
    tables |= {"deck edge": document["deck_edge"]["immersion_angles"], "wind": document["wind_profile"]}
    tables |= {f"hydrostatics at {trim}": rows for trim, rows in hydrostatics(ship).items()}
    found = {name: [row["draft"] for row in rows] for name, rows in tables.items()}
    return found | {f"limits at {trims}": drafts for trims, drafts in limit_curves(ship).items()}


def spare_mass(ship: str) -> float:
    summer = vessel(ship)["load_lines"]["summer_draft"]
    return SPARE * float(np.interp(summer, *columns(hydrostatics(ship)[0.0], "draft", "displacement")))


@every_ship
def test_displacements_lie_inside_hydrostatics_and_cross_curves(ship: str) -> None:
    spare = spare_mass(ship)
    tables = {trim: [row["displacement"] for row in rows] for trim, rows in hydrostatics(ship).items()}
    for table in (tables, cross_curves(ship)):
        for trim, displacements in table.items():
            for name, (mass, _) in worked(ship).items():
                assert min(displacements) + spare <= mass <= max(displacements) - spare, (name, trim)


@every_ship
def test_trims_lie_inside_hydrostatics_cross_curves_and_limits(ship: str) -> None:
    spare = SPARE_TRIM * vessel(ship)["particulars"]["length_bp"]
    assert list(hydrostatics(ship)) == sorted(cross_curves(ship))
    ranges = limit_curves(ship)
    for name, (_, result) in worked(ship).items():
        assert min(hydrostatics(ship)) + spare <= result.trim <= max(hydrostatics(ship)) - spare, name
        for trim in (result.trim - spare, result.trim, result.trim + spare):
            assert any(low <= trim <= high for low, high in ranges), (name, trim)


@every_ship
def test_drafts_lie_inside_every_table(ship: str) -> None:
    spare = SPARE * vessel(ship)["load_lines"]["summer_draft"]
    for table, drafts in draft_tables(ship).items():
        for name, (_, result) in worked(ship).items():
            assert min(drafts) + spare <= result.draft <= max(drafts) - spare, (name, table)


@every_ship
def test_tables_reach_beyond_the_deepest_mark(ship: str) -> None:
    """MSC/Circ.920 3.4: hydrostatics up to 115 percent of the greatest draft.  Other tables have the same drafts."""
    tables = draft_tables(ship)
    assert len({(min(drafts), max(drafts)) for drafts in tables.values()}) == 1
    deepest = max(vessel(ship)["load_lines"]["marks"].values())
    assert min(max(drafts) for drafts in tables.values()) >= 1.15 * deepest
    for trim, rows in hydrostatics(ship).items():
        mass = float(np.interp(deepest, *columns(rows, "draft", "displacement")))
        assert max(cross_curves(ship)[trim]) >= mass + spare_mass(ship)


@every_ship
def test_rows_are_close_enough_for_km(ship: str) -> None:
    """Definition of the error of a chord: a second difference over eight.  Displacement times KM, read between two
    rows, is off by no more than that, and KM by that over the displacement: less than a centimetre."""
    for rows in hydrostatics(ship).values():
        mass, km = columns(rows, "displacement", "km")
        error = np.abs(np.diff(mass * km, 2)) / (8.0 * mass[1:-1])
        assert error.max() < CENTIMETRE[vessel(ship)["units"]]
