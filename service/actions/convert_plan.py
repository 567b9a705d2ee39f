"""The plan of a kept assessment in the other system of units, for the figures that carry their own unit."""

from collections.abc import Callable, Mapping
from typing import Any

from service.actions.units import Scale

Row = dict[str, Any]
InUnits = Callable[[Scale, float | None, str], tuple[float | None, str]]


def with_own_units(plan: Row, source: Scale, target: Scale, in_units_of: InUnits) -> Row:
    """Criteria and their margins, each by its own unit, and what is left to the load line, a length. The other figures
    of `plan` are converted already."""
    length = source.length / target.length
    worst = [_worst(row, target, in_units_of) for row in plan["worst"]]
    units = {row["criterion"]: row["unit"] for row in plan["worst"]}
    points = [
        {
            **point,
            "margins": _margins(point["margins"], units, target, in_units_of),
            "load_line": _line(point["load_line"], length),
        }
        for point in plan["points"]
    ]
    return {**plan, "points": points, "worst": worst, "load_line": _line(plan["load_line"], length)}


def _worst(row: Row, target: Scale, in_units_of: InUnits) -> Row:
    figures = {
        name: in_units_of(target, row[name], row["unit"])[0] for name in ("attained", "limit", "margin")
    }
    return {**row, **figures, "unit": in_units_of(target, None, row["unit"])[1]}


def _margins(
    margins: Mapping[str, float], units: Mapping[str, str], target: Scale, in_units_of: InUnits
) -> Row:
    return {id: in_units_of(target, margin, units.get(id, ""))[0] for id, margin in margins.items()}


def _line(line: Row | None, length: float) -> Row | None:
    return None if line is None else {**line, "margin": line["margin"] * length}
