"""Rows of a tank table as inputs."""

from service.core.tank import Tank
from service.translation.working.given import Given
from service.translation.working.sources import Sources

TABLES = "the vessel's booklet: tank tables"
CENTRES = ("lcg", "vcg", "tcg")
AXIS = {"lcg": "x", "vcg": "length", "tcg": "y"}


def cell(a: Sources, tank: int, row: int, column: str, dimension: str) -> Given:
    """A figure of a row."""
    place = ("tanks", tank, "table", "rows", row, column)
    return a.vessel.number(
        place, dimension, f"{column.upper() if column in CENTRES else column} of row {row + 1}"
    )


def volumes(a: Sources, index: int, tank: Tank, k: int) -> dict[str, Given]:
    """Volumes of two rows, x0 and x1; the capacity above the last printed one."""
    assert tank.table is not None
    capacity = a.vessel.number(("tanks", index, "capacity"), "volume", "capacity, 100 %")
    printed = len(tank.table.volume)
    return {
        f"x{n}": capacity if k + n == printed else cell(a, index, k + n, "volume", "volume") for n in (0, 1)
    }


def is_held(part: float, k: int, arguments: list[float], value: float) -> bool:
    """Whether a value lies beyond an end of a table, where the last row stands for it."""
    return (part == 0.0 and value < arguments[k]) or (part == 1.0 and value > arguments[k + 1])
