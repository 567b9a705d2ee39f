"""Doubts about a vessel document: every table held against its own neighbours and against the other tables."""

from collections.abc import Iterator, Sequence
from typing import Any

from service.core.booklet_check import (
    LARGEST_BEND,
    bends,
    falls,
    immersion_departures,
    immersion_from_displacements,
    rows_out_of_line,
)
from service.core.cross_curves import km_from_levers
from service.core.vessel import Vessel
from service.translation.structure_doubts import structure_doubts
from service.translation.units import SCALES
from service.translation.vessel import vessel_in
from service.wire.pointer import pointer_of
from service.wire.refusal import Refusal
from service.wire.vessel_check import Doubt

TPC_TOLERANCE = 0.01
KM_TOLERANCE = 0.02
CAPACITY_TOLERANCE = 0.01
LEVER_TOLERANCE = 0.004
_PER_DRAFT = {"metric": 100.0, "us": 12.0}
Row = dict[str, Any]
Place = tuple[str | int, ...]


def booklet_doubts(vessel: Row, prepared: Vessel | None = None) -> list[Doubt]:
    """Every doubt about a vessel document that can be calculated with; `prepared` where she is ready already."""
    return [
        *_hydrostatics(vessel),
        *_cross_curves(vessel),
        *_immersion(vessel, prepared),
        *(doubt for place, tank in enumerate(vessel["tanks"]) for doubt in _tank(place, tank)),
        *_wind(vessel),
        *_load_lines(vessel),
        *structure_doubts(vessel),
    ]


def _doubt(code: str, place: Place, found: float | None, expected: float | None, message: str) -> Doubt:
    return {
        "code": code,
        "path": pointer_of(place),
        "found": found,
        "expected": expected,
        "message": message,
    }


def _by_trim(rows: list[Row]) -> Iterator[tuple[float, list[int]]]:
    groups: dict[float, list[int]] = {}
    for index, row in enumerate(rows):
        groups.setdefault(row.get("trim") or 0.0, []).append(index)
    yield from sorted(groups.items())


def _hydrostatics(vessel: Row) -> Iterator[Doubt]:
    rows = vessel["hydrostatics"]["rows"]
    per_draft = _PER_DRAFT[vessel["units"]]
    for trim, indices in _by_trim(rows):
        drafts = [rows[i]["draft"] for i in indices]
        at = f"at trim {trim:g}" if trim else "on even keel"
        for name in ("displacement", "lcb", "lcf", "km", "tpc", "mctc", "vcb", "kml"):
            values = [rows[i].get(name) for i in indices]
            if any(value is None for value in values):
                continue
            for k, expected in rows_out_of_line(drafts, values):
                yield _doubt(
                    "row_out_of_line",
                    ("hydrostatics", "rows", indices[k], name),
                    values[k],
                    expected,
                    f"{name.upper() if name != 'displacement' else 'displacement'} at draft {drafts[k]:g} {at} does "
                    f"not fit the rows around it: {values[k]:g} is printed, they suggest about {expected:.5g}",
                )
        slopes = immersion_from_displacements(drafts, [rows[i]["displacement"] for i in indices]) / per_draft
        for k, slope in enumerate(slopes.tolist()):
            mean = 0.5 * (rows[indices[k]]["tpc"] + rows[indices[k + 1]]["tpc"])
            if abs(slope / mean - 1.0) > TPC_TOLERANCE:
                unit = "TPC" if vessel["units"] == "metric" else "TPI"
                yield _doubt(
                    "tpc_against_displacement",
                    ("hydrostatics", "rows", indices[k + 1], "tpc"),
                    mean,
                    slope,
                    f"between drafts {drafts[k]:g} and {drafts[k + 1]:g} {at} the displacement grows by "
                    f"{slope:.2f} for each unit that {unit} counts, but the mean {unit} printed is {mean:.2f}",
                )
        yield from _rows_too_far_apart(vessel, indices, at)


def _rows_too_far_apart(vessel: Row, indices: list[int], at: str) -> Iterator[Doubt]:
    """The worst place of one trim where KM between two rows is not to be relied on."""
    rows = [vessel["hydrostatics"]["rows"][i] for i in indices]
    errors = bends([row["displacement"] for row in rows], [row["km"] for row in rows])
    if not errors or max(errors) * SCALES[vessel["units"]].length <= LARGEST_BEND:
        return
    worst = max(range(len(errors)), key=errors.__getitem__)
    row = rows[worst + 1]
    yield _doubt(
        "rows_too_far_apart",
        ("hydrostatics", "rows", indices[worst + 1], "km"),
        row["km"],
        None,
        f"rows {at} around draft {row['draft']:g} are so far apart that KM between them may be off by "
        f"{errors[worst]:.3f}: enter the rows in between",
    )


def _immersion(vessel: Row, prepared: Vessel | None) -> Iterator[Doubt]:
    """Printed immersion angles against those that the cross curves give."""
    if not any(opening.get("immersion_angles") for opening in vessel.get("openings") or ()):
        return
    try:
        prepared = prepared or vessel_in(vessel)
    except Refusal:
        return  # a table that cannot be used is reported at its own place
    for i, opening in enumerate(prepared.openings or ()):
        printed = vessel["openings"][i].get("immersion_angles") or []
        trims = list(dict.fromkeys(row.get("trim") or 0.0 for row in printed))
        for departure in immersion_departures(prepared, opening):
            of_trim = [
                k for k, row in enumerate(printed) if (row.get("trim") or 0.0) == trims[departure.table]
            ]
            place = of_trim[departure.row]
            yield _doubt(
                "immersion_angle_against_cross_curves",
                ("openings", i, "immersion_angles", place, "angle"),
                printed[place]["angle"],
                departure.computed,
                f"{opening.name}: printed to immerse at {departure.printed:.1f}° at draft {printed[place]['draft']:g}; "
                f"the cross curves and its position give {departure.computed:.1f}°",
            )


def _cross_curves(vessel: Row) -> Iterator[Doubt]:
    curves = vessel.get("cross_curves")
    if curves is None:
        return
    tables: list[tuple[Place, Row]] = [(("cross_curves",), curves)]
    tables += [
        (("cross_curves", "at_other_trims", k), t) for k, t in enumerate(curves.get("at_other_trims") or ())
    ]
    for place, table in tables:
        levers = table["levers"]
        for j, heel in enumerate(curves["heels"]):
            column = [row[j] for row in levers]
            for i, expected in rows_out_of_line(
                table["displacements"], column, LEVER_TOLERANCE * max(column)
            ):
                yield _doubt(
                    "row_out_of_line",
                    (*place, "levers", i, j),
                    column[i],
                    expected,
                    f"the lever at {heel:g}° and displacement {table['displacements'][i]:g} does not fit those "
                    f"beside it: {column[i]:g} is printed, they suggest about {expected:.4g}",
                )
        yield from _km_against_levers(vessel, curves, table, place)


def _km_against_levers(vessel: Row, curves: Row, table: Row, place: Place) -> Iterator[Doubt]:
    trim = table.get("trim") or 0.0
    hydrostatics = vessel["hydrostatics"]
    groups = dict(_by_trim(hydrostatics["rows"]))
    if trim not in groups:
        return
    rows = [hydrostatics["rows"][i] for i in groups[trim]]
    water = hydrostatics["density"] / (curves.get("density") or hydrostatics["density"])
    vcg = curves.get("vcg") or 0.0
    for i, displacement in enumerate(table["displacements"]):
        km = _between([r["displacement"] for r in rows], [r["km"] for r in rows], displacement * water)
        slope = km_from_levers(curves["heels"], table["levers"][i])
        if km is None or slope is None:
            continue
        slope += vcg
        if abs(slope / km - 1.0) > KM_TOLERANCE:
            yield _doubt(
                "lever_slope_against_km",
                (*place, "levers", i),
                slope,
                km,
                f"at displacement {displacement:g} the levers start as if KM were {slope:.2f}; the hydrostatic table "
                f"prints {km:.2f}",
            )


def _between(argument: Sequence[float], values: Sequence[float], at: float) -> float | None:
    """Linear between rows; None outside them."""
    for k in range(1, len(argument)):
        if argument[k - 1] <= at <= argument[k]:
            part = (at - argument[k - 1]) / (argument[k] - argument[k - 1])
            return values[k - 1] + part * (values[k] - values[k - 1])
    return None


def _tank(place: int, tank: Row) -> Iterator[Doubt]:
    table = tank.get("table")
    if table is None:
        return
    rows, name = table["rows"], tank["name"]
    volumes = [row["volume"] for row in rows]
    top = volumes[-1]
    if abs(top / tank["capacity"] - 1.0) > CAPACITY_TOLERANCE:
        yield _doubt(
            "table_against_capacity",
            ("tanks", place, "capacity"),
            tank["capacity"],
            top,
            f"{name}: the last row of its table holds {top:g}, its capacity is given as {tank['capacity']:g}",
        )
    heights = [row["vcg"] for row in rows if row["volume"] > 0.0]
    skipped = len(rows) - len(heights)
    for i in falls(heights):
        yield _doubt(
            "vcg_falls",
            ("tanks", place, "table", "rows", i + skipped, "vcg"),
            heights[i],
            heights[i - 1],
            f"{name}: VCG falls from {heights[i - 1]:g} to {heights[i]:g} while the tank fills",
        )
    levels = [row.get("sounding") for row in rows]
    if any(level is None for level in levels):
        return
    for i, expected in rows_out_of_line(levels, volumes):
        yield _doubt(
            "row_out_of_line",
            ("tanks", place, "table", "rows", i, "volume"),
            volumes[i],
            expected,
            f"{name}: the volume at sounding {levels[i]:g} does not fit the rows around it: {volumes[i]:g} is "
            f"printed, they suggest about {expected:.5g}",
        )


def _wind(vessel: Row) -> Iterator[Doubt]:
    rows = vessel.get("wind_profile") or []
    for i in range(1, len(rows)):
        if rows[i]["area"] > rows[i - 1]["area"]:
            yield _doubt(
                "wind_area_grows",
                ("wind_profile", i, "area"),
                rows[i]["area"],
                rows[i - 1]["area"],
                f"the lateral area grows from {rows[i - 1]['area']:g} to {rows[i]['area']:g} while she goes deeper",
            )


def _load_lines(vessel: Row) -> Iterator[Doubt]:
    marks = (vessel.get("load_lines") or {}).get("marks") or {}
    for deeper, less in (("TF", "T"), ("TF", "F"), ("T", "S"), ("F", "S"), ("S", "W"), ("W", "WNA")):
        if deeper in marks and less in marks and marks[deeper] < marks[less]:
            yield _doubt(
                "load_lines_out_of_order",
                ("load_lines", "marks", deeper),
                marks[deeper],
                marks[less],
                f"the mark {deeper} ({marks[deeper]:g}) lies above {less} ({marks[less]:g}), which is less deep",
            )
