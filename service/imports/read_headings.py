"""The headings of a list: in one line or two, merged, with a line of units below, again on each page."""

from typing import Any

from service.imports.cells import Cell
from service.imports.figures import is_plain_figure
from service.imports.headings import Heading, heading_named, is_unit, nearest
from service.imports.layout import FOR_READING, LISTS, Entry, Path, plain
from service.imports.page_reading import Column
from service.imports.problems import Place
from service.imports.read_parts import SheetData
from service.imports.texts import is_quoted

COUNTING = frozenset(("no", "nr", "number"))
"""Headings of columns that count the lines."""


class HeadingReader:
    """Finds the headings of one sheet, and what each row below them is read with."""

    def __init__(self, data: SheetData) -> None:
        self.data, self.reading, self.sheet = data, data.reading, data.sheet
        self.names = self.sheet.by_name
        self.columns: dict[int, Column] = {}
        self._plan: list[tuple[int, Column, Path, Path]] = []
        self._absent: set[Path] = set()
        self.has_lists = False
        self.ignored: set[int] = set()
        """Columns of one's own: their headings are told once."""
        self.block: tuple[Any, Place] | None = None
        self._known: dict[str, Heading | None] = {}

    def _heading_of(self, text: str) -> Heading | None:
        if text not in self._known:
            self._known[text] = None if is_quoted(text) else heading_named(text, self.names)
        return self._known[text]

    def _headings(self, rows: list[int], at: int) -> int:
        """How many rows from `at` on are headings; they are taken in."""
        row = rows[at]
        cells = self.reading.page.rows[row]
        found = self._matches(cells)
        if found is None:
            return 0
        upper, used, last = self.reading.texts(cells), 1, row
        lower: dict[int, str] = {}
        if at + 1 < len(rows) and rows[at + 1] == row + 1:
            below = self.reading.page.rows[row + 1]
            if self._is_second_line(below):
                lower, used, last = self.reading.texts(below), 2, row + 1
        units: dict[int, str] = {}
        if at + used < len(rows) and self._is_unit_line(
            self.reading.page.rows[rows[at + used]], upper, lower
        ):
            units = self.reading.texts(self.reading.page.rows[rows[at + used]])
            used += 1
        self._take(self._combined(row, upper, lower), last, row, lower, units)
        return used

    def _matches(self, cells: dict[int, Cell], least: int | None = None) -> dict[int, Heading] | None:
        """The columns that a row of headings names; None for another row."""
        if any(cell.kind != "s" for cell in cells.values()):
            return None
        found = {}
        for column, text in self.reading.texts(cells).items():
            heading = None if is_plain_figure(text) else self._heading_of(text)
            if heading is not None:
                found[column] = heading
        least = min(2, len(self.sheet.columns)) if least is None else least
        return found if len(found) >= least else None

    def _is_second_line(self, cells: dict[int, Cell]) -> bool:
        """Whether a row carries on the headings above it."""
        texts = self.reading.texts(cells)
        if len(texts) != len(cells) or not texts or self._matches(cells, 1) is None:
            return False
        return len([text for text in texts.values() if self._heading_of(text)]) * 2 >= len(texts)

    def _is_unit_line(self, cells: dict[int, Cell], upper: dict[int, str], lower: dict[int, str]) -> bool:
        texts = self.reading.texts(cells)
        if len(texts) != len(cells) or not texts:
            return False
        for column, text in texts.items():
            heading = self._heading_of(lower.get(column) or upper.get(column, ""))
            has_quantity = heading is not None and heading.entry.quantity is not None
            if text in ("-", "–") and not has_quantity:
                continue
            if not (has_quantity and is_unit(text)):
                return False
        return True

    def _combined(self, row: int, upper: dict[int, str], lower: dict[int, str]) -> dict[int, str]:
        """One heading a column from two lines; a merged upper one stands over all its columns."""
        over = dict(upper)
        for top, left, bottom, right in self.reading.page.merged:
            if top <= row <= bottom and left in upper:
                over |= dict.fromkeys(range(left, right + 1), upper[left])
        texts = {}
        for column in sorted({*upper, *lower}):
            below, above = lower.get(column, ""), over.get(column, "")
            choices = (below, f"{above} {below}".strip(), above)
            texts[column] = next(
                (text for text in choices if text and self._heading_of(text)), below or above
            )
        return texts

    def _take(
        self, texts: dict[int, str], last: int, row: int, lower: dict[int, str], units: dict[int, str]
    ) -> None:
        """Columns from headings; what is wrong with them is told once."""
        first_time = not self.columns
        quiet = not first_time and [c.heading for c in self.columns.values()] == [
            text for text in texts.values() if self._heading_of(text)
        ]
        if quiet:
            return
        reading, findings = self.reading, self.reading.findings
        self.columns = {}
        self.data.head = self.data.head or row
        taken: dict[Entry, int] = {}
        missing = {name: entry.heading for name, entry in self.names.items()}
        for column, text in texts.items():
            place = reading.place(last if column in lower else row, column, text)
            heading = self._heading_of(text)
            if heading is None:
                self.ignored.add(column)
                self._unknown(place, text, missing)
                continue
            if heading.entry in taken and self._counts(taken[heading.entry], texts, heading.entry, text):
                findings.note(
                    reading.place(row, taken[heading.entry], texts[taken[heading.entry]]), "unknown_column"
                )
                self.ignored.add(taken[heading.entry])
                del self.columns[taken[heading.entry]]
            elif heading.entry in taken:
                findings.problem(place, "column_twice", name=heading.entry.heading)
                continue
            taken[heading.entry] = column
            if column in units and not heading.unit:
                heading = heading._replace(unit=units[column].strip("[]() "))
            self.columns[column] = reading.column_of(heading, text, place)
        self._plan_rows()
        for entry in self.sheet.columns:
            by_block = entry == self.sheet.block and self.block is not None
            if entry.needed and entry not in taken and not by_block:
                findings.problem(
                    reading.place(last, None, entry.heading), "missing_column", name=entry.heading
                )

    @staticmethod
    def _counts(before: int, texts: dict[int, str], entry: Entry, text: str) -> bool:
        """Whether of two columns of one name the first only counts the lines: No., Tank."""
        return plain(texts[before]) in COUNTING and plain(text) == plain(entry.heading)

    def _plan_rows(self) -> None:
        """What each row is read with: column, the path of its place, and the member its value goes to; and what every
        row lacks because its column is not there."""
        parent = None if self.sheet.parent is None else self.sheet.parent.entry
        self.has_lists = any(spec.entry.kind in LISTS for spec in self.columns.values())
        self._plan = [
            (column, spec, spec.entry.path or (spec.entry.heading,), self._member(spec.entry))
            for column, spec in self.columns.items()
            if spec.entry != parent
        ]
        present = {spec.entry for spec in self.columns.values()}
        self._absent = {
            entry.path or (entry.heading,)
            for entry in self.sheet.columns
            if entry.needed and entry not in present and entry != self.sheet.block
        }

    def _unknown(self, place: Place, text: str, missing: dict[str, str]) -> None:
        if FOR_READING in text:
            return
        near = nearest(text, missing)
        if near is None:
            self.reading.findings.note(place, "unknown_column", text)
        else:
            self.reading.findings.problem(place, "unknown_column", text, near=near)

    def _member(self, entry: Entry) -> Path:
        """Where a value goes in its entry; one that does not belong to the entry itself (it has no member, or is of a
        group) goes under the name of its column."""
        grouped = self.sheet.grouped
        of_group = grouped is not None and (entry == grouped.number or entry in grouped.members)
        of_group = of_group or entry == self.sheet.number
        return (f"\0{entry.heading}",) if of_group or not entry.path else entry.path
