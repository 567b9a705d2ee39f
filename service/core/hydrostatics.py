"""Her hydrostatic tables: one for each trim they were computed at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from .errors import CoreError, OutsideTable, SeveralErrors, UnusableBooklet
from .interpolation import ROOM_AT_THE_ENDS, interpolated, interval

Row = Mapping[str, float | None]


class Floating(NamedTuple):
    """What a table says at one displacement: draft (m, amidships or at the LCF as the table is entered), centres in
    m, tpc (t/cm) and mctc (t.m/cm) in the water of the table; area in m2; the last four None where
    it does not print them."""

    draft: float
    lcb: float
    lcf: float
    km: float
    tpc: float
    mctc: float
    vcb: float | None
    tcb: float | None
    block_coefficient: float | None
    waterplane_area: float | None = None

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

        KM by its product with the displacement, I + displacement x KB, which bends far less than KM itself between
        rows. Source: definition of linear interpolation; KM = KB + I/V."""
        i, part = interval(self.displacement, displacement)
        low, high = self.rows[i], self.rows[i + 1]
        if part == 0.0:
            return low
        first, second = (1.0 - part) * self.displacement[i], part * self.displacement[i + 1]
        km = (first * low.km + second * high.km) / (first + second)
        return low.blended(high, part)._replace(km=km)

    def centre_of_buoyancy(self, displacement: float) -> tuple[float, float | None]:
        """LCB, and VCB where it is printed, m, at a displacement, held at both ends.

        Source: definition of linear interpolation."""
        i, part = interval(self.displacement, displacement)
        low, high = self.rows[i], self.rows[i + 1]
        vcb = None if low.vcb is None or high.vcb is None else low.vcb + part * (high.vcb - low.vcb)
        return low.lcb + part * (high.lcb - low.lcb), vcb

    def draft_and_lcf(self, displacement: float) -> tuple[float, float]:
        """Draft and LCF, m, at a displacement, held at both ends. Source: definition of linear interpolation."""
        i, part = interval(self.displacement, displacement)
        low, high = self.rows[i], self.rows[i + 1]
        return low.draft + part * (high.draft - low.draft), low.lcf + part * (high.lcf - low.lcf)

    def km_at(self, displacement: float) -> float | None:
        """KM (m) at a displacement (t, in the water of the table); None off the table. Source: see `at`."""
        return None if self.is_off(displacement) else self.at(displacement).km

    def is_off(self, displacement: float) -> bool:
        """Whether a displacement (t, in the water of the table) lies beyond an end. Source: definition."""
        low, high = self.displacement[0], self.displacement[-1]
        room = ROOM_AT_THE_ENDS * abs(high)
        return not low - room <= displacement <= high + room

    def require(self, displacement: float) -> None:
        """Raise OutsideTable for a displacement (t, in the water of the table) beyond an end. Source: definition."""
        if self.is_off(displacement):
            words = "displacement (in the water of her hydrostatic table)"
            raise OutsideTable(words, displacement, self.displacement[0], self.displacement[-1], "mass")


class AtTrim(NamedTuple):
    """Drafts amidships [R] (m) and displacements [R] (t, in the water of the tables) at one trim; between two tabulated
    trims also those of the higher one, `part` of the way to it."""

    drafts: Sequence[float]
    displacements: Sequence[float]
    higher_drafts: Sequence[float] = ()
    higher_displacements: Sequence[float] = ()
    part: float = 0.0

    def displacement(self, draft: float) -> float | None:
        """Displacement (t, in the water of the tables) at a draft amidships (m); None off the tables.

        Source: definition of linear interpolation."""
        first = interpolated(self.drafts, self.displacements, draft)
        if self.part == 0.0:
            return first
        second = interpolated(self.higher_drafts, self.higher_displacements, draft)
        return None if first is None or second is None else first + self.part * (second - first)


@dataclass(frozen=True)
class Hydrostatics:
    """All tabulated trims, increasing, for water of `density` t/m3.

    `midship_draft` tells which draft the trimmed tables are entered with: amidships, or else at the LCF.
    """

    density: float
    midship_draft: bool
    tables: tuple[HydrostaticTable, ...]
    trims: list[float] = field(init=False, repr=False, compare=False)
    _midship_drafts: dict[tuple[int, float], list[float]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def __post_init__(self) -> None:
        """List the trims."""
        object.__setattr__(self, "trims", [table.trim for table in self.tables])

    @classmethod
    def from_rows(cls, density: float, midship_draft: bool, rows: Sequence[Row]) -> "Hydrostatics":
        """Sort printed rows into one table a trim; drafts and displacements must increase together.

        Raises UnusableBooklet or SeveralErrors naming each row. Source: MSC/Circ.920 3.4 (hydrostatic table).
        """
        by_trim: dict[float, list[int]] = {}
        for index, row in enumerate(rows):
            by_trim.setdefault(float(row["trim"] or 0.0), []).append(index)
        SeveralErrors.raise_if_any(
            [error for trim in sorted(by_trim) for error in _disorder(by_trim[trim], rows)]
        )
        tables = tuple(_table(trim, by_trim[trim], rows) for trim in sorted(by_trim))
        return cls(density, midship_draft, tables)

    def at(self, displacement: float, trim: float) -> Floating:
        """The row at a displacement (t, in the water of the tables) and a trim (m by the stern), held at all ends.

        Source: definition of linear interpolation."""
        if len(self.tables) == 1:
            return self.tables[0].at(displacement)
        i, part = interval(self.trims, trim)
        return self.tables[i].at(displacement).blended(self.tables[i + 1].at(displacement), part)

    def draft_at_lcf(self, row: Floating, trim: float, length_bp: float) -> float:
        """Draft (m) at the centre of flotation of a row found at a trim (m by the stern); one table alone is entered
        with its own trim. Source: definition of trim."""
        return self._at_lcf(row.draft, row.lcf, trim, length_bp)

    def _at_lcf(self, draft: float, lcf: float, trim: float, length_bp: float) -> float:
        if not self.midship_draft:
            return draft
        given = trim if len(self.tables) > 1 else self.tables[0].trim
        return draft + given * (0.5 - lcf / length_bp)

    def centre_of_flotation(self, displacement: float, trim: float, length_bp: float) -> tuple[float, float]:
        """Draft at the centre of flotation and that centre, m, at a displacement (t, in the water of the tables) and a
        trim (m by the stern): those of the row `at` gives. Source: definition of linear interpolation."""
        if len(self.tables) == 1:
            draft, lcf = self.tables[0].draft_and_lcf(displacement)
        else:
            i, part = interval(self.trims, trim)
            draft, lcf = self.tables[i].draft_and_lcf(displacement)
            other, other_lcf = self.tables[i + 1].draft_and_lcf(displacement)
            draft, lcf = draft + part * (other - draft), lcf + part * (other_lcf - lcf)
        return self._at_lcf(draft, lcf, trim, length_bp), lcf

    def km_at(self, displacement: float, trim: float) -> float | None:
        """KM (m) at a displacement (t, in the water of the tables) and a trim (m by the stern), the nearest tabulated
        trim standing for one beyond them; None off the tables. Source: definition of linear interpolation."""
        if len(self.tables) == 1:
            return self.tables[0].km_at(displacement)
        i, part = interval(self.trims, trim)
        low, high = self.tables[i].km_at(displacement), self.tables[i + 1].km_at(displacement)
        if part == 0.0:
            return low
        return None if low is None or high is None else low + part * (high - low)

    def displacement_at(self, draft_midship: float, trim: float, length_bp: float) -> float | None:
        """Displacement (t, in the water of the tables) at a draft amidships and a trim (m by the stern); None off the
        tables. Source: definition of linear interpolation; definition of trim."""
        return self.at_trim(trim, length_bp).displacement(draft_midship)

    def at_trim(self, trim: float, length_bp: float) -> "AtTrim":
        """Her displacement by draft amidships at a trim (m by the stern), laid out to be looked up more than once; each
        table's drafts at the LCF are taken to hold at `trim` too. Source: definition of trim."""
        if len(self.tables) == 1:
            return AtTrim(self._drafts(self.tables[0], trim, length_bp), self.tables[0].displacement)
        i, part = interval(self.trims, trim)
        low, high = self.tables[i], self.tables[i + 1]
        drafts = self._drafts_at_its_trim(i, length_bp)
        if part == 0.0:
            return AtTrim(drafts, low.displacement)
        higher = self._drafts_at_its_trim(i + 1, length_bp)
        return AtTrim(drafts, low.displacement, higher, high.displacement, part)

    def _drafts_at_its_trim(self, i: int, length_bp: float) -> list[float]:
        """Those of table `i`, laid out once for her length."""
        if (i, length_bp) not in self._midship_drafts:
            drafts = self._drafts(self.tables[i], self.tables[i].trim, length_bp)
            self._midship_drafts[i, length_bp] = drafts
        return self._midship_drafts[i, length_bp]

    def _drafts(self, table: HydrostaticTable, trim: float, length_bp: float) -> list[float]:
        """Draft amidships of every row of a table at a trim."""
        drafts = []
        for row in table.rows:
            aft_of_midship = 0.5 - row.lcf / length_bp
            at_lcf = row.draft + (table.trim * aft_of_midship if self.midship_draft else 0.0)
            drafts.append(at_lcf - trim * aft_of_midship)
        return drafts

    @property
    def nearest_to_even_keel(self) -> HydrostaticTable:
        """The table of the smallest trim. Source: definition."""
        return min(self.tables, key=lambda table: abs(table.trim))


def _disorder(indices: list[int], rows: Sequence[Row]) -> list[CoreError]:
    """What keeps the rows of one trim from being a table."""
    place = ("hydrostatics", "rows")
    if len(indices) < 2:
        words = "a hydrostatic table needs at least two rows at each trim"
        return [UnusableBooklet(words, (*place, indices[0], "trim"))]
    return [
        UnusableBooklet(f"{name} must increase from row to row at the same trim", (*place, after, name))
        for before, after in pairwise(indices)
        for name in ("draft", "displacement")
        if not (rows[after][name] or 0.0) > (rows[before][name] or 0.0)
    ]


def _table(trim: float, indices: list[int], rows: Sequence[Row]) -> HydrostaticTable:
    printed = [Floating(*(rows[i].get(name) for name in COLUMNS)) for i in indices]  # type: ignore[arg-type]
    return HydrostaticTable(trim, [float(rows[i]["displacement"] or 0.0) for i in indices], printed)
