"""A file as a document: which sheet is which, what they say, and everything that is wrong, at once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from service.imports.assembly import Assembly, keep_what_no_sheet_carries
from service.imports.cells import Page, pages_of
from service.imports.condition_sheets import CONDITION_SHEETS
from service.imports.headings import nearest
from service.imports.layout import Path, Sheet, plain
from service.imports.limits import FileRefused
from service.imports.members import member_at
from service.imports.page_reading import TROUBLE, PageReading, Pending, Ship
from service.imports.problems import FILE_MESSAGES, Findings, Place, Problem
from service.imports.read_forms import read_columns, read_form
from service.imports.read_matrices import read_matrix
from service.imports.read_parts import SheetData
from service.imports.read_tables import read_table
from service.imports.vessel_sheets import LEFT_ALONE, NOT_IN_WORKBOOKS, VESSEL_SHEETS

Document = dict[str, Any]
AXES = ("x_origin", "x_positive", "y_positive")
_READERS: dict[str, Callable[[SheetData], None]] = {
    "form": read_form,
    "list": read_table,
    "child": read_table,
    "columns": read_columns,
    "matrix": read_matrix,
    "lever_matrix": read_matrix,
}


@dataclass(frozen=True)
class SheetSummary:
    """One sheet that was read: how many lines and figures it gave."""

    name: str
    sheet: str
    lines: int
    figures: int


@dataclass
class Reading:
    """What was read of a file. `document` is as far as it could be read, None only where nothing could."""

    document: Document | None
    sheets: list[SheetSummary] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)
    origins: dict[Path, Place] = field(default_factory=dict)
    broken: set[Path] = field(default_factory=set)
    is_part: bool = False
    pages: list[Page] = field(default_factory=list)
    order: dict[str, int] = field(default_factory=dict)
    found: frozenset[str] = frozenset()
    """Names of the sheets that the file has, blank ones too."""

    def sort(self) -> None:
        """Problems and notes in the order of the file."""

        def where(problem: Problem) -> tuple[int, int, int]:
            place = problem.place
            return (self.order.get(place.sheet, len(self.order)), place.row or 0, place.column or 0)

        self.problems.sort(key=where)
        self.notes.sort(key=where)


def read_vessel(data: bytes, base: Document | None = None, sheet: str = "") -> Reading:
    """A booklet. `base`: the document a part is laid over; `sheet`: the name of the one table of text in `data`."""
    return _read(data, VESSEL_SHEETS, base, sheet)


def read_pages(pages: list[Page], base: Document | None = None) -> Reading:
    """A booklet from the cells of its sheets."""
    return _Book(pages, VESSEL_SHEETS, base, None).read()


def read_condition(data: bytes, units: str, axes: dict[str, str] | None = None) -> Reading:
    """A condition of a ship of these units and axes, as the mate's sheet says it."""
    return _as_condition(_read(data, CONDITION_SHEETS, None, "", Ship(units, dict(axes or {}))))


def read_condition_pages(pages: list[Page], units: str, axes: dict[str, str] | None = None) -> Reading:
    """The same from the cells of its sheets."""
    return _as_condition(_Book(pages, CONDITION_SHEETS, None, Ship(units, dict(axes or {}))).read())


def _as_condition(reading: Reading) -> Reading:
    if reading.document is not None:
        reading.document.setdefault("tanks", [])
        reading.document.setdefault("weights", [])
    return reading


def _read(
    data: bytes, sheets: Sequence[Sheet], base: Document | None, name: str, kept: Ship | None = None
) -> Reading:
    try:
        pages = pages_of(data, name)
    except FileRefused as refused:
        words = FILE_MESSAGES[refused.code]
        return Reading(None, problems=[Problem(Place(""), refused.code, words[0].upper() + words[1:])])
    return _Book(pages, sheets, base, kept).read()


class _Book:
    """One file while it is read."""

    def __init__(
        self, pages: list[Page], sheets: Sequence[Sheet], base: Document | None, kept: Ship | None
    ) -> None:
        self.pages, self.sheets, self.base = pages, sheets, base
        self.findings = Findings()
        self.ship = kept or _ship_of(base)
        self.kept = kept or (None if base is None else _ship_of(base))
        self.found: dict[str, Page] = {}
        self.data: dict[str, SheetData] = {}
        self.is_part = base is not None
        self.absent: list[Sheet] = []
        self.present: set[str] = set()

    def read(self) -> Reading:
        """Everything."""
        self._recognise()
        self._first_sheet()
        for sheet in self.sheets[1:]:
            if sheet.name in self.found:
                self._read_sheet(sheet)
        said = {name for name, data in self.data.items() if not data.is_blank}
        if self.base is not None:
            self.is_part = not {sheet.name for sheet in self.sheets if sheet.needed} <= said
        self._missing(said)
        final = self._decimal_signs()
        assembly = Assembly(self.base if self.is_part else None, self.findings, final)
        for data in self.data.values():
            if not data.is_blank:
                assembly.add(data)
            data.reading.note_formulas()
        self._empty_lists(assembly, said)
        if self.base is not None and not self.is_part:
            older = [path for path, sheet in LEFT_ALONE.items() if sheet not in self.present]
            keep_what_no_sheet_carries(assembly.document, self.base, [*NOT_IN_WORKBOOKS, *older])
        for sheet in self.absent:
            assembly.broken |= {entry.path for entry in (*sheet.lines, *sheet.entries) if entry.path}
            assembly.broken |= {sheet.target} if sheet.target else set()
        reading = Reading(
            assembly.document,
            [
                SheetSummary(data.reading.page.name, name, data.counted, data.reading.figures)
                for name, data in self.data.items()
                if not data.is_blank
            ],
            self.findings.problems,
            self.findings.notes,
            assembly.origins,
            assembly.broken,
            self.is_part,
            self.pages,
            {page.name: i for i, page in enumerate(self.pages)},
            frozenset(self.present),
        )
        reading.sort()
        return reading

    def _recognise(self) -> None:
        """Which page is which sheet."""
        known = {name: sheet for sheet in reversed(self.sheets) for name in sheet.names}
        shown = {name: sheet.name for name, sheet in known.items()}
        for page in self.pages:
            place = Place(page.name)
            sheet = known.get(plain(page.name))
            self.present |= set() if sheet is None else {sheet.name}
            if page.is_empty and not page.far:
                continue
            if sheet is None:
                near = nearest(page.name, shown)
                if near is None:
                    self.findings.note(place, "unknown_sheet")
                else:
                    self.findings.problem(place, "unknown_sheet", near=near)
                continue
            if sheet.name in self.found:
                other = self.found[sheet.name].name
                self.findings.problem(place, "sheet_twice", name=sheet.name, other=other)
                continue
            self.found[sheet.name] = page
            for row, column in page.far:
                self.findings.problem(Place(page.name, row, column), "far_cell")
            if page.encoding:
                self.findings.note(place, "encoding", encoding=page.encoding)

    def _read_sheet(self, sheet: Sheet) -> SheetData:
        reading = PageReading(self.found[sheet.name], sheet, self.ship, self.findings)
        data = SheetData(sheet, reading)
        _READERS[sheet.shape](data)
        self.data[sheet.name] = data
        return data

    def _first_sheet(self) -> None:
        """The sheet that says units, axes and decimal sign, before any figure is read."""
        sheet = self.sheets[0]
        if sheet.name not in self.found:
            return
        members = self._read_sheet(sheet).members
        said = {path[-1]: value for path, (value, _) in members.items() if isinstance(value, str)}
        self.ship.decimal = said.get("Decimal sign in typed text", "")
        axes: dict[str, str] = {name: said[name] for name in AXES if name in said}
        system = said.get("units")
        if self.kept is None or axes or system:
            self.ship.axes = axes or self.ship.axes
            self.ship.system = system or self.ship.system

    def _missing(self, said: set[str]) -> None:
        """Sheets a whole booklet needs; what a part says of units and axes has to be what is kept."""
        if self.is_part:
            self._other_units()
            return
        for sheet in self.sheets:
            if not sheet.needed:
                continue
            page = self.found.get(sheet.name)
            if page is None:
                self.findings.problem(Place(sheet.name), "missing_sheet", name=sheet.name)
                self.absent.append(sheet)
            elif sheet.name not in said and sheet.shape == "form":
                self.findings.problem(Place(page.name), "empty_table")

    def _other_units(self) -> None:
        data = self.data.get(self.sheets[0].name)
        if data is None or self.kept is None or data.is_blank:
            return
        for path, value in (("units", self.kept.system), *self.kept.axes.items()):
            told, place = next((m for p, m in data.members.items() if p[-1] == path), (None, None))
            if place is not None and told is not None and told is not TROUBLE and told != value:
                self.findings.problem(place, "other_units", told, kept=str(value).replace("_", " "))

    def _empty_lists(self, assembly: Assembly, said: set[str]) -> None:
        """Lists that are needed and say nothing."""
        for sheet in self.sheets:
            data = self.data.get(sheet.name)
            if not sheet.must_say or data is None or (self.is_part and sheet.name not in said):
                continue
            if not data.lines and not data.none and not self._has_problem(data.reading.page.name):
                self.findings.problem(data.reading.place(data.head), "empty_table")
                assembly.broken.add(sheet.target)
        for sheet in self.sheets:
            beside = sheet.must_say_beside and member_at(assembly.document, sheet.must_say_beside)
            if not beside or member_at(assembly.document, sheet.target) is not None:
                continue
            data = self.data.get(sheet.name)
            place = Place(sheet.name) if data is None else data.reading.place(data.head)
            if not self._has_problem(place.sheet):
                self.findings.problem(place, "empty_table")
            assembly.broken.add(sheet.target)

    def _has_problem(self, page: str) -> bool:
        return any(problem.place.sheet == page for problem in self.findings.problems)

    def _decimal_signs(self) -> Callable[[Any], Any]:
        """What settles a figure with two readings: the decimal sign of each sheet is decided."""
        signs: dict[str, str] = {}
        for name, data in self.data.items():
            signs[name] = self._sign_of(data)
        known = {sign for sign in signs.values() if sign}
        common = known.pop() if len(known) == 1 else ""
        settled: dict[int, Any] = {}
        by_page = {
            data.reading.page.name: signs[name] or common or self.ship.decimal
            for name, data in self.data.items()
        }
        readings = {data.reading.page.name: data.reading for data in self.data.values()}

        def final(value: Any) -> Any:
            if not isinstance(value, Pending):
                return value
            if id(value) not in settled:
                page = value.place.sheet
                settled[id(value)] = readings[page].settle(value, by_page[page])
            return settled[id(value)]

        for data in self.data.values():
            for container, key, pending in data.reading.pending:
                value = final(pending)
                if value is TROUBLE:
                    container.pop(key, None)
                else:
                    container[key] = value
        return final

    def _sign_of(self, data: SheetData) -> str:
        """The decimal sign that the figures of a sheet give away; those of the other sign are problems."""
        votes = data.reading.votes
        point, comma = votes["point"], votes["comma"]
        if not point or not comma:
            return "point" if point else "comma" if comma else ""
        first = min((*point, *comma), key=lambda vote: (vote[0].row or 0, vote[0].column or 0))
        sign = "point" if (len(point), first in point) > (len(comma), first in comma) else "comma"
        for place, text in votes["comma" if sign == "point" else "point"]:
            self.findings.problem(place, "mixed_decimal_signs", text, sign=sign)
        return sign


def _ship_of(document: Document | None) -> Ship:
    if document is None:
        return Ship()
    return Ship(document.get("units"), dict(document.get("axes") or {}))
