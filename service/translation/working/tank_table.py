"""Rows of a tank table as inputs."""

from service.translation.working.given import Given
from service.translation.working.sources import Sources

TABLES = "the vessel's booklet: tank tables"
CENTRES = ("lcg", "vcg", "tcg")
AXIS = {"lcg": "x", "vcg": "length", "tcg": "y"}
DIMENSION = {**AXIS, "volume": "volume", "sounding": "length", "ullage": "length"}


def capacity_of(a: Sources, index: int) -> Given:
    """The capacity of a tank of the vessel."""
    return a.vessel.number(("tanks", index, "capacity"), "volume", "capacity, 100 %")


def centre_of(a: Sources, index: int, each: str) -> Given:
    """A coordinate of the centre of the full tank."""
    return a.vessel.number(("tanks", index, each), AXIS[each], each.upper())


def ends(a: Sources, index: int, k: int, column: str) -> tuple[Given, Given]:
    """A column in row k of a tank's table and in the next; above the last printed row that of the full tank."""
    rows, key = a.vessel.figures.rows, (index, k, column)
    found = rows.get(key)
    if found is None:
        found = rows[key] = _cell(a, index, k, column), _cell(a, index, k + 1, column)
    return found


def _cell(a: Sources, index: int, row: int, column: str) -> Given:
    table = a.assessed.situation.vessel.tanks[index].table
    assert table is not None
    if row == len(table.volume):
        return capacity_of(a, index) if column == "volume" else centre_of(a, index, column)
    place = ("tanks", index, "table", "rows", row, column)
    words = column.upper() if column in CENTRES else column
    return a.vessel.number(place, DIMENSION[column], f"{words} of row {row + 1}")


def is_held(part: float, k: int, arguments: list[float], value: float) -> bool:
    """Whether a value lies beyond an end of a table, where the last row stands for it."""
    return (part == 0.0 and value < arguments[k]) or (part == 1.0 and value > arguments[k + 1])
