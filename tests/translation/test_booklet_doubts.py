"""Doubts about vessel documents: the demonstration ships have none, each planted slip is named at its place."""

import json
import math
from collections.abc import Callable
from typing import Any

import pytest

from service.demo import demo_vessel_ids, read_vessel
from service.translation.booklet_doubts import booklet_doubts

Row = dict[str, Any]


def booklet(ship: str = "halvenmoor") -> Row:
    document: Row = json.loads(read_vessel(ship))
    return document


@pytest.mark.parametrize("ship", demo_vessel_ids())
def test_tables_computed_from_one_hull_raise_no_doubt(ship: str) -> None:
    assert booklet_doubts(booklet(ship)) == []


def _add(rows: list[Any], row: int, name: Any, amount: float) -> None:
    rows[row][name] += amount


def _tank(vessel: Row, place: int) -> Row:
    tank: Row = vessel["tanks"][place]
    return tank


SLIPS: list[tuple[str, str, Callable[[Row], None]]] = [
    ("/hydrostatics/rows/7/km", "row_out_of_line", lambda v: _add(v["hydrostatics"]["rows"], 7, "km", 0.3)),
    (
        "/hydrostatics/rows/7/lcb",
        "row_out_of_line",
        lambda v: _add(v["hydrostatics"]["rows"], 7, "lcb", -1.0),
    ),
    (
        "/hydrostatics/rows/7/displacement",
        "row_out_of_line",
        lambda v: _add(v["hydrostatics"]["rows"], 7, "displacement", 30.0),
    ),
    ("/cross_curves/levers/3/2", "row_out_of_line", lambda v: _add(v["cross_curves"]["levers"], 3, 2, 0.1)),
    (
        "/tanks/3/table/rows/9/volume",
        "row_out_of_line",
        lambda v: _add(_tank(v, 3)["table"]["rows"], 9, "volume", 0.8),
    ),
    ("/tanks/3/capacity", "table_against_capacity", lambda v: _tank(v, 3).update(capacity=99.0)),
    ("/tanks/3/table/rows/9/vcg", "vcg_falls", lambda v: _add(_tank(v, 3)["table"]["rows"], 8, "vcg", 0.5)),
    ("/wind_profile/1/area", "wind_area_grows", lambda v: _add(v["wind_profile"], 1, "area", 500.0)),
    ("/load_lines/marks/S", "load_lines_out_of_order", lambda v: v["load_lines"]["marks"].update(W=9.0)),
]


@pytest.mark.parametrize(("path", "code", "slip"), SLIPS, ids=[path for path, _, _ in SLIPS])
def test_a_slip_is_named_at_its_place(path: str, code: str, slip: Callable[[Row], None]) -> None:
    vessel = booklet()
    slip(vessel)
    assert (code, path) in {(doubt["code"], doubt["path"]) for doubt in booklet_doubts(vessel)}


def test_immersion_is_held_against_displacements() -> None:
    vessel = booklet()
    vessel["hydrostatics"]["rows"][7]["tpc"] += 0.5
    found = [d for d in booklet_doubts(vessel) if d["code"] == "tpc_against_displacement"]
    assert [d["path"] for d in found] == ["/hydrostatics/rows/7/tpc", "/hydrostatics/rows/8/tpc"]


@pytest.mark.parametrize("ship", demo_vessel_ids())
def test_levers_are_held_against_km(ship: str) -> None:
    """A whole line of levers 5 % too large starts as if KM were 5 % too large."""
    vessel = booklet(ship)
    curves = vessel["cross_curves"]
    assert curves["basis"] == "kn"
    curves["levers"][4] = [1.05 * lever for lever in curves["levers"][4]]
    (found,) = [d for d in booklet_doubts(vessel) if d["code"] == "lever_slope_against_km"]
    assert found["path"] == "/cross_curves/levers/4"
    assert found["found"] / found["expected"] == pytest.approx(1.05, abs=0.01)


def test_levers_at_an_assumed_centre_are_held_against_km_too() -> None:
    vessel = booklet()
    curves = vessel["cross_curves"]
    curves.update(basis="gz_at_vcg", vcg=5.0, at_other_trims=None)
    curves["levers"] = [
        [kn - 5.0 * math.sin(math.radians(h)) for kn, h in zip(row, curves["heels"], strict=True)]
        for row in curves["levers"]
    ]
    assert not [d for d in booklet_doubts(vessel) if d["code"] == "lever_slope_against_km"]
