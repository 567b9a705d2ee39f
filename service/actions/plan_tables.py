"""The plan of a revision as tables of a file: its points, the worst of each criterion, consumption, tanks used."""

from collections.abc import Callable
from typing import Any, Final

from service.imports.plain_tables import Cell, PlainTable
from service.wire.figures import unit

_POINT: Final = (
    *("index", "stage", "name", "kind", "at", "day", "date", "phase", "load_line_mark", "inland", "verdict"),
    *("water_density", "displacement", "deadweight", "draft_forward", "draft_midship", "draft_aft", "trim"),
    *("list", "gm_solid", "gm_corrected", "vcg_solid", "vcg_corrected", "free_surface_moment"),
)


def _points(answer: Any) -> PlainTable:
    system = answer["units"]["system"]
    length, mass, moment = unit("position", system), unit("mass", system), unit("mass_moment", system)
    headings = (
        *("point", "stage", "name", "kind", "what happens", "day", "date (UTC)", "phase", "mark", "inland"),
        *("verdict", "water density, t/m³", f"displacement, {mass}", f"deadweight, {mass}"),
        *(f"draft forward, {length}", f"draft midship, {length}", f"draft aft, {length}"),
        *(f"trim by the stern, {length}", "list to port, degrees", f"GM solid, {length}"),
        *(f"GM corrected, {length}", f"VCG solid, {length}", f"VCG corrected, {length}"),
        f"free surface moment, {moment}",
        *(f"draft left to the mark, {length}", f"mass left to the mark, {mass}"),
        *("shear force used, %", "bending moment used, %", "criteria failed", "criteria not checked"),
        *("findings", "reason", f"deflection amidships, sag positive, {length}"),
    )
    rows: list[list[Cell]] = []
    for point in answer["plan"]["points"]:
        line, strength = point["load_line"] or {}, point["strength"] or {}
        rows.append(
            [
                *(point[name] for name in _POINT),
                *(line.get("margin"), line.get("mass_to_line")),
                *(strength.get("percent_shear"), strength.get("percent_bending")),
                *("; ".join(point[name]) for name in ("failed", "not_checked", "findings")),
                point["reason"],
                point.get("deflection"),
            ]
        )
    return PlainTable("plan", headings, rows)


def _worst(answer: Any) -> PlainTable:
    members = (
        *("criterion", "title", "verdict", "attained", "limit", "margin", "unit", "percent"),
        *("point", "stage", "at", "day"),
    )
    headings = (*members[:7], "margin in percent of the limit", *members[8:])
    return PlainTable(
        "plan_worst", headings, [[row[name] for name in members] for row in answer["plan"]["worst"]]
    )


def _consumption(answer: Any) -> PlainTable:
    mass = unit("mass", answer["units"]["system"])
    members = ("contents", "weight", "used", "left", "lasts_days", "empty_on_day")
    headings = (
        "contents",
        "weight",
        f"used, {mass}",
        f"left, {mass}",
        "lasts for days more",
        "empty on day",
    )
    rows = [[row[name] for name in members] for row in answer["plan"]["consumption"]]
    return PlainTable("plan_consumption", headings, rows)


def _margins(answer: Any) -> PlainTable:
    """The margin of every criterion at every point, in the unit of its heading."""
    units = {row["criterion"]: row["unit"] for row in answer["plan"]["worst"]}
    points = answer["plan"]["points"]
    ids = [id for id in units if any(id in point["margins"] for point in points)]
    headings = ("point", *(f"{id}, {units[id]}" if units[id] else id for id in ids))
    rows: list[list[Cell]] = [[point["index"], *(point["margins"].get(id) for id in ids)] for point in points]
    return PlainTable("plan_margins", headings, rows)


PLAN_TABLES: Final[dict[str, Callable[[Any], PlainTable]]] = {
    "plan": _points,
    "plan_worst": _worst,
    "plan_margins": _margins,
    "plan_consumption": _consumption,
}
