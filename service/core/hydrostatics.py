"""Her hydrostatic tables: one for each trim they were computed at."""

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from .errors import Refusals, UnusableBooklet
from .frame import Bools, Floats
from .interpolation import TableStack, refuse

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
    `stack` is for look-ups by displacement in the water of the tables.
    """

    density: float
    midship_draft: bool
    tables: tuple[HydrostaticTable, ...]
    trims: Floats = field(init=False)
    stack: TableStack = field(init=False)

    def __post_init__(self) -> None:
        """Prepare the look-ups."""
        stack = TableStack(
            [table.displacement for table in self.tables], [table.columns for table in self.tables]
        )
        object.__setattr__(self, "trims", np.array([table.trim for table in self.tables]))
        object.__setattr__(self, "stack", stack)

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

    def refuse_outside(self, refusals: Refusals, table: int, displacement: Floats, wrong: Bools) -> None:
        """Refuse the conditions marked `wrong` [N], whose displacement [N] is off one table. Source: definition."""
        if wrong.any():
            ends = self.tables[table].displacement
            words = "displacement (in the water of her hydrostatic table)"
            refuse(refusals, wrong, words, displacement, float(ends[0]), float(ends[-1]), "mass")


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
