"""The margins at the points of a kept plan in the other system of units: each is in the unit of its criterion."""

from collections.abc import Callable
from typing import Any

from service.translation.units import Scale

Row = dict[str, Any]
InUnits = Callable[[Scale, float | None, str], tuple[float | None, str]]


def with_margins(plan: Row, kept: Row, target: Scale, in_units_of: InUnits) -> Row:
    """`plan`, converted in all else, with the margins of its points converted; `kept` is the plan before."""
    units = {row["criterion"]: row["unit"] for row in kept["worst"]}
    points = [
        {
            **point,
            "margins": {
                id: in_units_of(target, margin, units.get(id, ""))[0]
                for id, margin in point["margins"].items()
            },
        }
        for point in plan["points"]
    ]
    return {**plan, "points": points}
