"""What the sheets say, put together as one document: a whole one, or parts laid over one that is kept.

A list sheet replaces its list, a child sheet the lists of the entries it names and no others, a form the members it has
lines for. What a list sheet has no column for is carried over by the name of the entry: a tank keeps her tables.
"""

import copy
from collections.abc import Callable, Iterable
from typing import Any

from service.imports.layout import Entry, Path, Sheet
from service.imports.members import member_at, put_in, take_out
from service.imports.page_reading import TROUBLE
from service.imports.parents import find_parent
from service.imports.problems import Findings, Place
from service.imports.read_parts import Block, Grid, Line, SheetData

KEYS = ("id", "name", "tank")


class Assembly:
    """A document while it is put together, with the place of each member."""

    def __init__(self, base: dict[str, Any] | None, findings: Findings, final: Callable[[Any], Any]) -> None:
        """final: gives a figure with two readings once the decimal sign is known."""
        self.document: dict[str, Any] = {} if base is None else copy.deepcopy(base)
        self.findings, self._final = findings, final
        self.origins: dict[Path, Place] = {}
        self.broken: set[Path] = set()

    def add(self, data: SheetData) -> None:
        """Lay one sheet over the document."""
        sheet = data.sheet
        self.broken |= data.reading.broken
        if sheet.shape == "form":
            self._members(sheet.entries, data)
            return
        self._members(sheet.lines, data)
        if sheet.shape == "child":
            self._children(data)
        elif sheet.shape == "matrix":
            self._matrices(data)
        elif sheet.shape == "lever_matrix":
            self._levers(data)
        elif data.lines or data.none:
            self._list(data)
        elif sheet.shape == "list":
            self.origins.setdefault(sheet.target, data.reading.place(data.head))

    def _members(self, entries: Iterable[Entry], data: SheetData) -> None:
        for entry in entries:
            if not entry.path:
                continue
            value, place = data.members.get(entry.path, (None, data.reading.place(None, None, entry.heading)))
            value = self._final(value)
            self.origins[entry.path] = place
            take_out(self.document, entry.path)
            if value is TROUBLE:
                self.broken.add(entry.path)
            elif value is not None:
                put_in(self.document, entry.path, value)

    # lists

    def _list(self, data: SheetData) -> None:
        sheet, target = data.sheet, data.sheet.target
        head = data.reading.place(data.head)
        self.origins.setdefault(target, head)
        if sheet.mapping:
            self._mapping(data)
            return
        before = member_at(self.document, target)
        if sheet.grouped is not None:
            rows = self._grouped(data)
        else:
            rows = []
            for i, line in enumerate(data.lines):
                self._check_number(sheet, line, i + 1)
                self._origins_of(line, (*target, i), sheet.entries)
                rows.append(self._whole(line, sheet))
            if isinstance(before, list):
                rows = [_with_older_members(row, before, sheet) for row in rows]
        put_in(self.document, target, rows)

    def _check_number(self, sheet: Sheet, line: Line, number: int) -> None:
        """Note a line whose own number is not that of its place."""
        if sheet.number is None:
            return
        said = self._final(line.value.pop(f"\0{sheet.number.heading}", None))
        if said is not None and said is not TROUBLE and said != number:
            self.findings.problem(line.places[sheet.number.heading,], "not_in_order", said, number=number)

    def _whole(self, line: Line, sheet: Sheet) -> Any:
        """An entry; the value itself where a list holds plain values."""
        if len(sheet.entries) == 1 and not sheet.entries[0].path:
            return line.value.get(f"\0{sheet.entries[0].heading}")
        return line.value

    def _origins_of(self, line: Line, path: Path, entries: Iterable[Entry]) -> None:
        first = next(iter(line.places.values()), None)
        if first is not None:
            self.origins[path] = first._replace(heading="")
        for entry in entries:
            place = line.places.get(entry.path or (entry.heading,))
            if place is not None:
                self.origins[(*path, *entry.path)] = place
        for broken in line.broken:
            self.broken.add((*path, *broken))

    def _mapping(self, data: SheetData) -> None:
        name, figure, *members = data.sheet.columns
        found: dict[str, Any] = {}
        for line in data.lines:
            key, value = line.value.get(f"\0{name.heading}"), line.value.get(f"\0{figure.heading}")
            place = line.places.get((figure.heading,)) or next(iter(line.places.values()))
            sides = {str(m.path[0]): line.value[m.path[0]] for m in members if m.path[0] in line.value}
            if sides and value is not None:
                self.findings.problem(place, "one_or_both_sides")
            elif sides:
                value = sides
                self._both_sides(line, members, sides, (*data.sheet.target, str(key)))
            if key is None or value is None:
                if members and not line.broken:
                    self.findings.problem(place, "missing_value", name=figure.heading)
                continue
            for member in members:
                if member.path in line.places:
                    self.origins[(*data.sheet.target, key, *member.path)] = line.places[member.path]
            if key in found:
                self.findings.problem(line.places[name.heading,], "line_twice", key)
            found[key] = value
            self.origins[(*data.sheet.target, key)] = place
        if found or data.none:
            put_in(self.document, data.sheet.target, found)

    def _both_sides(self, line: Line, members: list[Entry], sides: dict[str, Any], path: Path) -> None:
        """Note the side that is not given where the other one is."""
        for member in members:
            if member.path[0] not in sides:
                self.broken |= {path, (*path, *member.path)}
                place = line.places.get(member.path)
                if place is not None and member.path not in line.broken:
                    self.findings.problem(place, "missing_side", name=member.heading.lower())

    def _grouped(self, data: SheetData) -> list[Any]:
        """Entries that are lists themselves: lines of one number belong together."""
        grouped, target = data.sheet.grouped, data.sheet.target
        assert grouped is not None
        groups: list[dict[str, Any]] = []
        number: Any = None
        for line in data.lines:
            apart = {e: line.value.pop(f"\0{e.heading}", None) for e in (grouped.number, *grouped.members)}
            told = {e.path: v for e, v in apart.items() if e in grouped.members and v is not None}
            new = apart[grouped.number] is not None and apart[grouped.number] != number
            if apart[grouped.number] is None and groups:
                new = any(member_at(groups[-1], path) != value for path, value in told.items())
            if new or not groups:
                groups.append({grouped.rows: []})
                number = apart[grouped.number]
                for path, value in told.items():
                    put_in(groups[-1], path, value)
                here: Path = (*target, len(groups) - 1)
                first = next(iter(line.places.values()), None)
                if first is not None:
                    self.origins[here] = first._replace(heading="")
                for entry in grouped.members:
                    place = line.places.get(entry.path)
                    if place is not None:
                        self.origins.setdefault((*here, entry.path[0]), place)
                        self.origins[(*here, *entry.path)] = place
            here = (*target, len(groups) - 1)
            for entry in grouped.members:
                if entry.path in line.broken:
                    line.broken.discard(entry.path)
                    self.broken |= {(*here, *entry.path), (*here, entry.path[0])}
            rows = groups[-1][grouped.rows]
            self._origins_of(line, (*target, len(groups) - 1, grouped.rows, len(rows)), data.sheet.entries)
            rows.append(line.value)
        return groups

    # lists of the entries of another list

    def _parent(self, data: SheetData, key: Any, place: Place) -> tuple[Path, dict[str, Any]] | None:
        """Path and entry that a key names; None with a problem noted."""
        parent = data.sheet.parent
        assert parent is not None
        key = self._final(key)
        if key is None or key is TROUBLE:
            return None
        return find_parent(self.document, parent, key, place, self.findings)

    def _children(self, data: SheetData) -> None:
        blocks: dict[Path, tuple[Block, dict[str, Any]]] = {}
        for block in data.blocks:
            found = self._parent(data, block.key, block.place)
            if found is None:
                continue
            path, entry = found
            if path in blocks:  # one entry by its number and by its name
                blocks[path][0].lines.extend(block.lines)
            else:
                blocks[path] = block, entry
        for path, (block, entry) in blocks.items():
            self._child(data, block, path, entry)

    def _child(self, data: SheetData, block: Block, path: Path, entry: dict[str, Any]) -> None:
        target = data.sheet.target
        rows = []
        self.origins.setdefault((*path, *target), block.place._replace(heading=""))
        for i, line in enumerate(block.lines):
            self._origins_of(line, (*path, *target, i), data.sheet.entries)
            rows.append(self._whole(line, data.sheet))
        put_in(entry, target, rows)

    def _levers(self, data: SheetData) -> None:
        matrix, target = data.sheet.matrix, data.sheet.target
        assert matrix is not None
        for grid in data.grids:
            heels = [self._final(heel) for heel in grid.columns]
            for key, place, figures, places in zip(
                grid.rows, grid.row_places, grid.values, grid.value_places, strict=True
            ):
                found = self._parent(data, key, place)
                if found is None:
                    continue
                path, entry = found
                levers: list[dict[str, Any]] = []
                for heel, figure, where in zip(heels, figures, places, strict=True):
                    figure = self._final(figure)
                    if figure is None or TROUBLE in (heel, figure):
                        continue
                    self.origins[(*path, *target, len(levers), matrix.values)] = where
                    levers.append({matrix.columns: heel, matrix.values: figure})
                if levers:
                    self.origins[(*path, *target)] = place
                    put_in(entry, target, levers)

    # matrices

    def _matrices(self, data: SheetData) -> None:
        if data.sheet.parent is not None:
            for grid in data.grids:
                found = self._parent(data, grid.key, grid.place)
                if found is not None:
                    path, entry = found
                    put_in(entry, data.sheet.target, self._matrix(data, grid, (*path, *data.sheet.target)))
        elif data.grids and data.sheet.block is None:
            self._one_matrix(data)
        elif data.grids:
            self._blocks_of_trim(data)

    def _one_matrix(self, data: SheetData) -> None:
        """The blocks of a sheet without a line above them are one table whose head is repeated on each page."""
        target = data.sheet.target
        first, *others = data.grids
        columns = [self._final(value) for value in first.columns]
        for grid in others:
            if [self._final(value) for value in grid.columns] != columns:
                noun = data.sheet.matrix.column.heading.lower() if data.sheet.matrix is not None else ""
                place = grid.column_places[0]._replace(column=None)
                self.findings.problem(place, "other_columns", noun=noun)
                continue
            first.rows += grid.rows
            first.row_places += grid.row_places
            first.values += grid.values
            first.value_places += grid.value_places
        said = {entry.path[-1] for entry in data.sheet.lines if entry.path}
        table = {name: v for name, v in (member_at(self.document, target) or {}).items() if name in said}
        put_in(self.document, target, table | self._matrix(data, first, target))

    def _matrix(self, data: SheetData, grid: Grid, path: Path, *, across: bool = True) -> dict[str, Any]:
        matrix = data.sheet.matrix
        assert matrix is not None
        self.origins[path] = grid.row_places[0]._replace(heading="")
        found: dict[str, Any] = {}
        if across:
            found[matrix.columns] = self._figures(grid.columns, grid.column_places, (*path, matrix.columns))
        found[matrix.rows] = self._figures(grid.rows, grid.row_places, (*path, matrix.rows))
        found[matrix.values] = [
            self._figures(row, places, (*path, matrix.values, i))
            for i, (row, places) in enumerate(zip(grid.values, grid.value_places, strict=True))
        ]
        return found

    def _figures(self, values: list[Any], places: list[Place], path: Path) -> list[Any]:
        found = []
        for i, (value, place) in enumerate(zip(values, places, strict=True)):
            self.origins[(*path, i)] = place
            value = self._final(value)
            if value is TROUBLE or value is None:
                self.broken |= {(*path, i), path, path[:-1], path[:-2]}
                value = None
            found.append(value)
        return found

    def _blocks_of_trim(self, data: SheetData) -> None:
        """The first block is the table itself, the others are the same at other trims."""
        sheet, matrix, block = data.sheet, data.sheet.matrix, data.sheet.block
        assert matrix is not None
        assert block is not None
        target = sheet.target
        kept = {entry.path[-1] for entry in sheet.lines if entry.path}
        old = member_at(self.document, target)
        table = {name: value for name, value in (old or {}).items() if name in kept}
        first, *others = data.grids
        table |= self._matrix(data, first, target)
        self._trim(table, first, block, target)
        heels = [self._final(heel) for heel in first.columns]
        more = []
        for i, grid in enumerate(others):
            path: Path = (*target, matrix.others or "", i)
            if [self._final(heel) for heel in grid.columns] != heels:
                self.findings.problem(grid.column_places[0]._replace(column=None), "other_heels")
            one = self._matrix(data, grid, path, across=False)
            self._trim(one, grid, block, path)
            more.append(one)
        says_none = data.members.get(("Other trims",), (None,))[0] == "none"
        if more or says_none:
            table[matrix.others or ""] = more
        put_in(self.document, target, table)

    def _trim(self, table: dict[str, Any], grid: Grid, block: Entry, path: Path) -> None:
        value = self._final(grid.key)
        self.origins[(*path, *block.path)] = grid.place
        if value is not None and value is not TROUBLE:
            table[str(block.path[-1])] = value


def keep_what_no_sheet_carries(
    document: dict[str, Any], base: dict[str, Any], paths: Iterable[tuple[str, ...]]
) -> None:
    """Members of `base` that no sheet carries, into a whole document read over it; left out with what they are in."""
    for path in paths:
        value = member_at(base, path)
        if value is not None and (len(path) == 1 or isinstance(member_at(document, path[:-1]), dict)):
            put_in(document, path, copy.deepcopy(value))


def _with_older_members(row: Any, before: list[Any], sheet: Sheet) -> Any:
    """An entry with what the one of its name holds beyond the columns of its sheet."""
    if not isinstance(row, dict):
        return row
    key = next((name for name in KEYS if name in row), None)
    old = next(
        (each for each in before if isinstance(each, dict) and key and each.get(key) == row[key]), None
    )
    if old is None:
        return row
    kept = copy.deepcopy(old)
    for entry in sheet.entries:
        take_out(kept, entry.path)
    return _merged(kept, row)


def _merged(kept: dict[str, Any], row: dict[str, Any]) -> dict[str, Any]:
    for name, value in row.items():
        inner = kept.get(name)
        kept[name] = _merged(inner, value) if isinstance(inner, dict) and isinstance(value, dict) else value
    return kept
