"""Her hydrostatic tables: one for each trim they were computed at."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .errors import Refusals, UnusableBooklet
from .frame import Floats
from .interpolation import blend, locate, refuse_outside

COLUMNS = ("draft", "lcb", "lcf", "km", "tpc", "mctc", "vcb", "tcb", "block_coefficient")
"""Columns looked up by displacement; the last three are NaN where the booklet does not print them."""

Row = dict[str, float | None]


@dataclass(frozen=True)
class HydrostaticTable:
    """One trim: displacement [R] (t, at `density`) and the columns [R, C] of `COLUMNS`, drafts increasing."""

    trim: float
    displacement: Floats
    columns: Floats


@dataclass(frozen=True)
class Hydrostatics:
    """All tabulated trims, increasing, for water of `density` t/m3.

    `midship_draft` tells which draft the trimmed tables are entered with: amidships, or else at the LCF.
    """

    density: float
    midship_draft: bool
    tables: tuple[HydrostaticTable, ...]

    @property
    def trims(self) -> Floats:
        """Tabulated trims [K], m by the stern. Source: the vessel's booklet."""
        return np.array([table.trim for table in self.tables])

    @classmethod
    def from_rows(cls, density: float, midship_draft: bool, rows: list[Row]) -> "Hydrostatics":
        """Sort printed rows into one table a trim; drafts and displacements must increase together.

        Raises UnusableBooklet naming the row. Source: MSC/Circ.920 3.4 (hydrostatic table).
        """
        by_trim: dict[float, list[int]] = {}
        for index, row in enumerate(rows):
            by_trim.setdefault(float(row["trim"] or 0.0), []).append(index)
        tables = tuple(_table(trim, by_trim[trim], rows) for trim in sorted(by_trim))
        return cls(density, midship_draft, tables)

    def at(self, table: int, displacement: Floats) -> Floats:
        """Columns [N, C] of one table at displacements [N] (t, in the table's water), held at its ends.

        Source: linear interpolation in the vessel's booklet (common practice, no source)."""
        entry = self.tables[table]
        index, fraction = locate(entry.displacement, displacement)
        return blend(entry.columns, index, fraction)

    def refuse_outside(self, refusals: Refusals, table: int, displacement: Floats) -> None:
        """Refuse conditions whose displacement [N] is off one table. Source: definition."""
        refuse_outside(
            refusals,
            "displacement (in the water of her hydrostatic table)",
            displacement,
            self.tables[table].displacement,
            "mass",
        )


def _table(trim: float, indices: list[int], rows: list[Row]) -> HydrostaticTable:
    if len(indices) < 2:
        raise UnusableBooklet(
            "a hydrostatic table needs at least two rows at each trim",
            ("hydrostatics", "rows", indices[0], "trim"),
        )
    for before, after in pairwise(indices):
        for name in ("draft", "displacement"):
            if not (rows[after][name] or 0.0) > (rows[before][name] or 0.0):
                raise UnusableBooklet(
                    f"{name} must increase from row to row at the same trim",
                    ("hydrostatics", "rows", after, name),
                )
    columns = np.array([[_number(rows[i].get(name)) for name in COLUMNS] for i in indices])
    return HydrostaticTable(trim, np.array([_number(rows[i]["displacement"]) for i in indices]), columns)


def _number(value: float | None) -> float:
    return np.nan if value is None else float(value)
