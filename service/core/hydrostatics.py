"""Her hydrostatic tables: one for each trim they were computed at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from .errors import OutsideTable, UnusableBooklet
from .interpolation import ROOM_AT_THE_ENDS, interval

Row = Mapping[str, float | None]


class Floating(NamedTuple):
    """What a table says at one displacement: draft (m, amidships or at the LCF as the table is entered), centres in
    m, tpc (t/cm) and mctc (t.m/cm) in the water of the table; the last three None where it does not print them."""

    draft: float
    lcb: float
    lcf: float
    km: float
    tpc: float
    mctc: float
    vcb: float | None
    tcb: float | None
    block_coefficient: float | None

    def blended(self, other: "Floating", part: float) -> "Floating":
        """`part` of the way to another. Source: definition of linear interpolation."""
        values = [None if a is None or b is None else a + part * (b - a) for a, b in zip(self, other)]
        return Floating(*values)  # type: ignore[arg-type]


COLUMNS = Floating._fields


@dataclass(frozen=True)
class HydrostaticTable:
    """One trim (m by the stern): displacements [R] (t, at the density of the tables), increasing, with their rows."""

    trim: float
    displacement: Sequence[float]
    rows: Sequence[Floating]

    def at(self, displacement: float) -> Floating:
        """The row at a displacement (t, in the water of the table), held at both ends.

        Source: definition of linear interpolation."""
        i, part = interval(self.displacement, displacement)
        return self.rows[i].blended(self.rows[i + 1], part) if part else self.rows[i]

    def centre_of_buoyancy(self, displacement: float) -> tuple[float, float | None]:
        """LCB, and VCB where it is printed, m, at a displacement, held at both ends.

        Source: definition of linear interpolation."""
        i, part = interval(self.displacement, displacement)
        low, high = self.rows[i], self.rows[i + 1]
        vcb = None if low.vcb is None or high.vcb is None else low.vcb + part * (high.vcb - low.vcb)
        return low.lcb + part * (high.lcb - low.lcb), vcb

    def require(self, displacement: float) -> None:
        """Raise OutsideTable for a displacement (t, in the water of the table) beyond an end. Source: definition."""
        low, high = self.displacement[0], self.displacement[-1]
        room = ROOM_AT_THE_ENDS * abs(high)
        if not low - room <= displacement <= high + room:
            words = "displacement (in the water of her hydrostatic table)"
            raise OutsideTable(words, displacement, low, high, "mass")


@dataclass(frozen=True)
class Hydrostatics:
    """All tabulated trims, increasing, for water of `density` t/m3.

    `midship_draft` tells which draft the trimmed tables are entered with: amidships, or else at the LCF.
    """

    density: float
    midship_draft: bool
    tables: tuple[HydrostaticTable, ...]
    trims: list[float] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """List the trims."""
        object.__setattr__(self, "trims", [table.trim for table in self.tables])

    @classmethod
    def from_rows(cls, density: float, midship_draft: bool, rows: Sequence[Row]) -> "Hydrostatics":
        """Sort printed rows into one table a trim; drafts and displacements must increase together.

        Raises UnusableBooklet naming the row. Source: MSC/Circ.920 3.4 (hydrostatic table).
        """
        by_trim: dict[float, list[int]] = {}
        for index, row in enumerate(rows):
            by_trim.setdefault(float(row["trim"] or 0.0), []).append(index)
        tables = tuple(_table(trim, by_trim[trim], rows) for trim in sorted(by_trim))
        return cls(density, midship_draft, tables)

    @property
    def nearest_to_even_keel(self) -> HydrostaticTable:
        """The table of the smallest trim. Source: definition."""
        return min(self.tables, key=lambda table: abs(table.trim))


def _table(trim: float, indices: list[int], rows: Sequence[Row]) -> HydrostaticTable:
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
    printed = [Floating(*(rows[i].get(name) for name in COLUMNS)) for i in indices]  # type: ignore[arg-type]
    return HydrostaticTable(trim, [float(rows[i]["displacement"] or 0.0) for i in indices], printed)
