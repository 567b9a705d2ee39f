"""Lists: headings once or on every page, lines and block lines above them, one line an entry."""

from typing import Any

from service.imports.cells import Cell
from service.imports.layout import LIST_NONE, LISTS, Path, plain
from service.imports.lists_in_cells import GoesOn
from service.imports.page_reading import TROUBLE, Column
from service.imports.problems import Place
from service.imports.read_forms import is_title, line_above
from service.imports.read_headings import HeadingReader
from service.imports.read_parts import Block, Line, SheetData
from service.imports.texts import cleaned, is_quoted

NAMES = ("text", "id", "choice")
SUMS = ("total", "sum", "subtotal", "totals", "summe", "carried forward", "brought forward")


class TableReader(HeadingReader):
    """Reads one sheet of the shapes `list` and `child`."""

    def __init__(self, data: SheetData) -> None:
        super().__init__(data)
        self._blocks: dict[Any, Block] = {}
        self._last: Line | None = None
        self._key_of_last: Any = None
        self._group: list[Any] = []
        self._merged = {
            row: (top, left)
            for top, left, bottom, right in self.reading.page.merged
            if bottom > top and bottom - top < 2000
            for row in range(top + 1, bottom + 1)
        }

    def read(self) -> None:
        """Everything the sheet says, into `data`."""
        rows = list(self.reading.page.rows)
        at = 0
        while at < len(rows):
            row = rows[at]
            cells = self.reading.page.rows[row]
            heads = self._headings(rows, at)
            if heads:
                at += heads
                continue
            at += 1
            if not self._line(row, cells):
                if self.columns:
                    self._entry(row, cells)
                else:
                    self._before(row, cells)
        self._afterwards()

    def _afterwards(self) -> None:
        data, reading = self.data, self.reading
        if not self.columns:
            if any(len(cells) > 1 for cells in reading.page.rows.values()) and not data.members:
                names = ", ".join(entry.heading for entry in self.sheet.columns)
                reading.findings.problem(reading.place(), "no_heading", headings=names)
            return
        says_something = bool(data.lines) or any(value is not None for value, _ in data.members.values())
        for entry in self.sheet.lines:
            found = data.members.get(entry.path)
            if entry.needed and (found is None or found[0] is None) and says_something:
                place = reading.place(None, None, entry.heading) if found is None else found[1]
                reading.findings.problem(place, "missing_value", name=entry.heading)
                reading.broken.add(entry.path)

    # lines above the table, and above blocks

    def _line(self, row: int, cells: dict[int, Cell]) -> bool:
        """Whether a row is a labelled line; it is taken in."""
        line = line_above(self.data, row, cells)
        if line is None:
            return False
        if line.entry == self.sheet.block:
            self.block = (line.value, line.place)
        return True

    def _before(self, row: int, cells: dict[int, Cell]) -> None:
        """A row above the headings: a title, or something of one's own."""
        at = min(cells)
        if is_title(self.data, cells):
            return
        if len(cells) == 1:
            self.reading.leave_out(row, at, "this line", cells[at].value)
        else:
            text = cleaned(cells[at].value) if cells[at].kind == "s" else ""
            self.reading.findings.note(self.reading.place(row, at), "unknown_line", text)

    # entries

    def _entry(self, row: int, cells: dict[int, Cell]) -> None:
        known = {column: cell for column, cell in cells.items() if column in self.columns}
        beside = [
            c for c in cells if c not in self.columns and c not in self.ignored and c > max(self.columns)
        ]
        if beside and known:
            self.reading.leave_out(row, beside[0], "what stands beside the table", cells[beside[0]].value)
        if not known:
            if cells.keys() - self.ignored:
                at = min(cells)
                self.reading.leave_out(row, at, "this line", cells[at].value)
            return
        if self._is_none(row, known) or self._goes_on(row, known) or self._is_no_entry(row, known):
            return
        if self.sheet.grouped is None and self._has_no_name(known):
            self.reading.findings.problem(self.reading.place(row, min(self.columns)), "no_name")
            return
        self._read(row, known)

    def _is_none(self, row: int, known: dict[int, Cell]) -> bool:
        """Whether the row says that there are none."""
        cell = known[max(known)]
        if cell.kind != "s" or LIST_NONE not in cell.value.casefold():
            return False
        parent = None if self.sheet.parent is None else self.sheet.parent.entry
        if any(cell.kind != "s" for c, cell in known.items() if self.columns[c].entry != parent):
            return False
        last = cleaned(cell.value)
        if plain(last) != LIST_NONE or is_quoted(last):
            return False
        if self.sheet.parent is None and len(known) == 1:
            self.data.none = not self.data.lines
            return True
        if self.sheet.parent is not None:
            key = self._key(row, known)
            if len(known) == (1 if self.block is not None else 2) and key is not None:
                self._block_of(*key).none = True
                return True
        return False

    def _goes_on(self, row: int, known: dict[int, Cell]) -> bool:
        """Whether a row only goes on with the lists of the line above it; it is taken in."""
        line = self._last
        if not self.has_lists:
            return False
        parent = None if self.sheet.parent is None else self.sheet.parent.entry
        lists = {c: self.columns[c] for c in known if self.columns[c].entry.kind in LISTS}
        others = [c for c in known if c not in lists]
        if line is None or not lists or any(self.columns[c].entry != parent for c in others):
            return False
        key = self._key(row, known) if others else None
        if key is not None and key[0] != self._key_of_last:
            return False
        for column, spec in lists.items():
            place = Place(self.reading.page.name, row, column, spec.heading)
            value = self.reading.value(known[column], spec, place)
            if value is TROUBLE:
                line.broken.add(spec.entry.path)
                continue
            before = line.value.setdefault(spec.entry.path[0], [])
            if isinstance(value, GoesOn) and before:
                before[-1] += value.pop(0)
            before += value or []
        return True

    def _is_no_entry(self, row: int, known: dict[int, Cell]) -> bool:
        """A note under the table, a sum, or a line without any quantity: left out, and said."""
        wanted = self.sheet.left_without
        if wanted:
            given = [self.columns[c].entry.path[0] for c in known if self.columns[c].entry.path[0] in wanted]
            if not given:
                if len(known) > 1:
                    self.reading.leave_out(
                        row, min(known), "a line without a quantity", known[min(known)].value
                    )
                return True
        at = min(known)
        text = cleaned(known[at].value) if known[at].kind == "s" else ""
        if not text or is_quoted(text):
            return False
        needed = [c for c, column in self.columns.items() if column.entry.needed and not column.is_bad]
        gaps = [c for c in needed if c not in known]
        alone = len(known) == 1 and len(self.sheet.columns) > 1 and bool(gaps)
        if (
            alone
            or plain(text) in self.sheet.sums
            or (gaps and text.casefold().rstrip(".:").startswith(SUMS))
        ):
            self.reading.leave_out(row, at, "this line", text)
            return True
        return False

    def _has_no_name(self, known: dict[int, Cell]) -> bool:
        """Whether a line of a list has figures, and none of the words that every line needs."""
        words = [
            c for c, column in self.columns.items() if column.entry.needed and column.entry.kind in NAMES
        ]
        figures = all(self.columns[c].entry.kind in ("number", "whole") for c in known)
        return self.sheet.parent is None and len(words) > 1 and figures and not known.keys() & set(words)

    def _read(self, row: int, known: dict[int, Cell]) -> None:
        line = self._last = Line({}, row)
        if self.sheet.parent is None:
            self.data.lines.append(line)
        else:
            key = self._key(row, known)
            if key is None:
                return
            self._key_of_last = key[0]
            self._block_of(*key).lines.append(line)
        reading, name = self.reading, self.reading.page.name
        for column, spec, path, member in self._plan:
            place = Place(name, row, column, spec.heading)
            line.places[path] = place
            cell = known.get(column)
            value = None if cell is None else reading.value(cell, spec, place)
            if value is None:
                if not (spec.is_bad or self._is_missing(spec)):
                    continue
                if not spec.is_bad:
                    reading.findings.problem(place, "missing_value", name=spec.heading)
                value = TROUBLE
            if value is TROUBLE:
                line.broken.add(path)
            else:
                reading.put(line.value, member, value)
        self._fill_from_block(line)
        line.broken |= self._absent

    def _is_missing(self, spec: Column) -> bool:
        """Whether a blank cell is wrong: its column is needed, and nothing else says its value."""
        entry, grouped = spec.entry, self.sheet.grouped
        if not entry.needed or (self.block is not None and entry == self.sheet.block):
            return False
        return not (grouped is not None and entry in grouped.members and self.data.lines[:-1])

    def _fill_from_block(self, line: Line) -> None:
        """What a line above the block says of each of its lines."""
        block = self.sheet.block
        if block is None or self.block is None or self.sheet.parent is not None or not block.path:
            return
        value, place = self.block
        if block.path not in line.broken and self._missing(line.value, block.path):
            line.places[block.path] = place
            self.reading.put(line.value, block.path, value)

    @staticmethod
    def _missing(value: Any, path: Path) -> bool:
        return path[0] not in value

    def _key(self, row: int, known: dict[int, Cell]) -> tuple[Any, Place] | None:
        """The entry of another list that a line belongs to, and where it is named; None with a problem noted."""
        parent = self.sheet.parent
        assert parent is not None
        for column, spec in self.columns.items():
            if spec.entry == parent.entry:
                place = self.reading.place(row, column, spec.heading)
                cell = known.get(column)
                if cell is None and row in self._merged and self._merged[row][1] == column:
                    cell = self.reading.page.rows.get(self._merged[row][0], {}).get(column)
                value = self.reading.value(cell, spec, place)
                if value is None and self.block is not None:
                    return self.block
                if value is None:
                    self.reading.findings.problem(place, "missing_value", name=spec.heading)
                return None if value is None or value is TROUBLE else (value, place)
        if self.block is None or self.block[0] in (None, TROUBLE):
            return None
        return self.block

    def _block_of(self, key: Any, place: Place) -> Block:
        if key not in self._blocks:
            self._blocks[key] = Block(key, place)
            self.data.blocks.append(self._blocks[key])
        return self._blocks[key]


def read_table(data: SheetData) -> None:
    """A list, or the lists of entries of another list."""
    TableReader(data).read()
