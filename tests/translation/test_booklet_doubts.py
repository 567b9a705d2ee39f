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
    (
        "/lightship/segments",
        "segments_against_lightship",
        lambda v: v["lightship"]["segments"][20].update(mass=80.0),
    ),
    (
        "/hydrostatics/rows/112/displacement",
        "sections_against_hydrostatics",
        lambda v: v["strength"]["sections"].update(factor=1.006),
    ),
    (
        "/strength/stations/4/shear_force_sea",
        "limit_far_below_its_neighbour",
        lambda v: v["strength"]["stations"][4].update(shear_force_sea=60.0),
    ),
    (
        "/load_lines/marks/W",
        "mark_against_regulation_40",
        lambda v: v["load_lines"]["marks"].update(W=5.668),
    ),
    (
        "/holds/0/mass_limits/2/most",
        "two_limits_at_one_draft",
        lambda v: v["holds"][0].update(
            mass_limits=[
                {"draft": 3.0, "most": 900.0, "set": "sea"},
                {"draft": 3.0, "most": 950.0, "set": "harbour"},
                {"draft": 3.0, "most": 990.0},
            ]
        ),
    ),
    ("/holds/1/extent", "extents_overlap", lambda v: v["holds"][1]["extent"].update(x_to=65.0)),
    ("/tanks/2/extent", "extents_overlap", lambda v: _tank(v, 2).update(tcg=_tank(v, 1)["tcg"])),
]


def test_half_the_thresholds_raise_no_doubt() -> None:
    """Segments 0.25 %, sections 0.25 %, a mark half a centimetre off: rounding and drawing, nothing to look up."""
    vessel = booklet()
    vessel["lightship"]["segments"][20]["mass"] += 0.0024 * vessel["lightship"]["mass"]
    vessel["strength"]["sections"]["factor"] = 1.002
    vessel["load_lines"]["marks"]["W"] -= 0.005
    assert booklet_doubts(vessel) == []


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
