"""Columns of her hydrostatic tables at her displacement and trim."""

from service.translation.working.afloat import DIMENSIONS, NAMES, TABLES, Tables, equivalent, plain
from service.translation.working.given import Inputs
from service.translation.working.sources import Sources


def column_as_she_floats(a: Sources, id: str, column: str, value: float) -> str:
    """A column of her tables at her displacement and trim. value: in the core's units."""
    if a.sheet.has(id):
        return id
    s, flotation, tables, mass = a.sheet, a.assessed.situation.flotation, Tables(a), equivalent(a)
    assert flotation is not None
    if len(tables.tables) == 1:
        return tables.at(id, 0, column, "table_displacement", mass, value)
    trims = [table.trim for table in tables.tables]
    i = max(k for k in range(len(trims) - 1) if k == 0 or trims[k] <= flotation.trim)
    row: Inputs = {"x": "trim"}
    for n, k in enumerate((i, i + 1)):
        found = getattr(tables.tables[k].at(mass), column)
        row |= {
            f"x{n}": tables.cell(k, 0, "trim"),
            f"y{n}": tables.at(f"{id}/table_{n}", k, column, "table_displacement", mass, found),
        }
    dimension = plain(DIMENSIONS[column])
    return s.linear(
        id, row, name=NAMES[column], unit=s.unit(dimension), value=s.here(value, dimension), source=TABLES
    )
