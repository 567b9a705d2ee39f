"""What the readers of all shapes share: cells into members, with whatever is wrong with them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from service.imports import headings
from service.imports.cells import Cell, Page
from service.imports.dates import NotADate, date, day_of_year, moment
from service.imports.figures import BLANK, Typed, is_plain_figure, typed
from service.imports.headings import Heading
from service.imports.layout import LIST_NONE, LISTS, Entry, Path, Sheet, plain
from service.imports.lists_in_cells import groups_in, names_in
from service.imports.problems import Findings, Place
from service.imports.quantities import Unit, unit_shown
from service.imports.texts import DITTO, cleaned, decoded, is_quoted
from service.imports.words import YES_NO

MAX_NUMBER = 1e15
NORMAL_LIMIT = ("normal_limit",)
"""Member of a tank that is never one percent or less: such a figure is a part of one."""
KG_DENSITY = 100.0
"""A density beyond this is in kg/m³."""


DATES = {"moment": moment, "day_of_year": day_of_year, "date": date}


class Trouble:
    """Stands for a member whose cell has a problem."""


TROUBLE = Trouble()


class Pending(NamedTuple):
    """A figure with two readings, until the decimal sign is settled."""

    typed: Typed
    scale: float
    place: Place
    text: str
    entry: Entry


@dataclass(frozen=True)
class Column:
    """A column of a table, as its heading says."""

    entry: Entry
    heading: str
    factor: float = 1.0
    is_bad: bool = False
    """Its heading has a problem: nothing is read from it."""


@dataclass
class Ship:
    """What sheet Ship says once for all: units, axes and the decimal sign (None or empty: not said)."""

    system: str | None = None
    axes: dict[str, str] = field(default_factory=dict)
    decimal: str = ""

    @property
    def origin(self) -> str:
        """Where x is zero."""
        return self.axes.get("x_origin", "aft_perpendicular")

    def sense(self, axis: str, letter: int) -> float:
        """The sign a letter gives a figure: +1 for F or P in the core's axes, turned to hers."""
        if axis == "x" and self.axes.get("x_positive") == "aft":
            return -letter
        if axis == "y" and self.axes.get("y_positive") == "starboard":
            return -letter
        return letter


class PageReading:
    """One sheet while it is read."""

    def __init__(self, page: Page, sheet: Sheet, ship: Ship, findings: Findings) -> None:
        self.page, self.sheet, self.ship, self.findings = page, sheet, ship, findings
        self.votes: dict[str, list[tuple[Place, str]]] = {"point": [], "comma": []}
        self.pending: list[tuple[Any, str | int, Pending]] = []
        self.origins: dict[Path, Place] = {}
        self.broken: set[Path] = set()
        self.figures = self.lines = self.formulas = 0
        self._converted: set[tuple[str, str]] = set()

    def place(self, row: int | None = None, column: int | None = None, heading: str = "") -> Place:
        """A place of this sheet."""
        return Place(self.page.name, row, column, heading)

    def texts(self, row: dict[int, Cell]) -> dict[int, str]:
        """The texts of a row, cleaned, by column."""
        return {column: cleaned(cell.value) for column, cell in row.items() if cell.kind == "s"}

    def value(self, cell: Cell | None, column: Column, place: Place) -> Any:
        """The member a cell holds: None for a blank one, TROUBLE where something is wrong (which is noted)."""
        if cell is None:
            return None
        if column.is_bad:
            return TROUBLE
        entry, kind = column.entry, cell.kind
        if entry.kind == "number" and not cell.formula:  # nearly every cell
            figure: Any = None
            if kind == "n":
                figure = self._checked(cell.value, column, place, cell.value)
            elif kind == "s" and is_plain_figure(cell.value):
                if "." in cell.value:
                    self.votes["point"].append((place, cell.value))
                figure = self._checked(float(cell.value), column, place, cell.value)
            if figure is not None:
                self.figures += figure is not TROUBLE
                return figure
        if kind in "uel":
            code = {"u": "formula_not_calculated", "e": "formula_error", "l": "too_long"}[kind]
            return self._trouble(place, code, "" if kind == "u" else cell.value)
        if cell.formula:
            self.formulas += 1
        if entry.kind in ("number", "whole"):
            found = self._figure(cell, column, place)
            if found is not None and found is not TROUBLE:
                self.figures += 1
            return self._whole(found, place, cell) if entry.kind == "whole" else found
        return self._text(cell, entry, place)

    def _trouble(self, place: Place, code: str, value: Any = "", **words: Any) -> Trouble:
        self.findings.problem(place, code, value, **words)
        return TROUBLE

    def _whole(self, found: Any, place: Place, cell: Cell) -> Any:
        if isinstance(found, int | float):
            if not float(found).is_integer():
                return self._trouble(place, "not_whole", cell.value)
            return int(found)
        return found

    def _figure(self, cell: Cell, column: Column, place: Place) -> Any:
        entry, value = column.entry, cell.value
        if cell.kind in "np":
            figure = value * 100.0 if cell.kind == "p" and entry.quantity == "percent" else value
            if cell.kind == "p" and entry.quantity == "percent":
                figure = float(f"{figure:.15g}")
            return self._checked(figure, column, place, value)
        if cell.kind == "d":
            return self._trouble(place, "date_in_number", value)
        if cell.kind == "b":
            return self._trouble(place, "not_a_number", str(value).upper())
        text = cleaned(value)
        if not text:
            return None
        if text.casefold() in DITTO:
            return self._trouble(place, "ditto", text)
        found = typed(text, entry.quantity, entry.axis)
        if isinstance(found, str):
            return self._trouble(place, found, text)
        if found is BLANK or (found.point is None and found.comma is None):
            return None
        return self._typed(found, text, column, place)

    def _typed(self, found: Typed, text: str, column: Column, place: Place) -> Any:
        entry = column.entry
        if found.feet and self.ship.system == "metric":
            return self._trouble(place, "feet_in_metric", text)
        if found.mark:
            self.findings.note(place, "left_out", text, what=f"the mark {found.mark}")
        scale = column.factor
        if found.units:
            unit, code = self._unit(found.units, entry)
            if unit is None:
                return self._trouble(place, code, text, **self._unit_words(entry, found.units[0].name))
            if not found.feet:
                scale = unit.factor
                self._say_converted(unit, entry, place, text)
        if found.letter:
            if found.minus:
                return self._trouble(place, "sign_and_letter", text)
            if entry.axis == "x" and self.ship.origin != "midship":
                origin = self.ship.origin.replace("_", " ")
                return self._trouble(place, "letter_without_midship", text, origin=f"the {origin}")
            scale *= self.ship.sense(entry.axis, found.letter)
        if found.is_ambiguous:
            return Pending(found, scale, place, text, entry)
        if found.sign:
            self.votes[found.sign].append((place, text))
        return self._checked(found.value(), Column(entry, column.heading, scale), place, text)

    def _unit(self, units: tuple[Unit, ...], entry: Entry) -> tuple[Unit | None, str]:
        right = [unit for unit in units if unit.quantity == entry.quantity]
        if not right:
            return None, "wrong_unit" if entry.quantity else "not_a_number"
        usable = [
            unit for unit in right if self.ship.system is None or unit.system in (None, self.ship.system)
        ]
        return (usable[0], "") if usable else (None, "other_system")

    def _unit_words(self, entry: Entry, unit: str) -> dict[str, str]:
        return {"unit": unit, "name": entry.heading, "system": self.ship.system or "metric"}

    def _say_converted(self, unit: Unit, entry: Entry, place: Place, text: str = "") -> None:
        if unit.factor != 1.0:
            to = unit_shown(entry.quantity, "us" if self.ship.system == "us" else "metric")
            self.findings.note(place, "unit_converted", text, unit=unit.name, to=to)

    def _checked(self, value: float, column: Column, place: Place, shown: Any) -> Any:
        """The figure in the document's unit, with every look a figure gets."""
        factor = column.factor
        if factor != 1.0:
            value = -value if factor == -1.0 else float(f"{value * factor:.15g}")
        if abs(value) > MAX_NUMBER:
            return self._trouble(place, "too_large", shown)
        if column.entry.quantity == "density" and value > KG_DENSITY:
            return self._trouble(place, "density_in_kg", shown)
        if 0.0 < value <= 1.0 and column.entry.path == NORMAL_LIMIT:
            return self._trouble(place, "part_of_one", shown)
        return value + 0.0 if value == 0 and isinstance(value, float) else value

    def settle(self, pending: Pending, sign: str) -> Any:
        """A figure with two readings once the decimal sign is known; a problem where it is not."""
        found, text = pending.typed, pending.text
        if not sign:
            readings = sorted((found.point or 0.0, found.comma or 0.0), key=abs)
            smaller, larger = (number_as_text(value) for value in readings)
            return self._trouble(pending.place, "ambiguous_number", text, point=smaller, comma=larger)
        column = Column(pending.entry, "", pending.scale)
        return self._checked(found.value(sign), column, pending.place, text)

    def _text(self, cell: Cell, entry: Entry, place: Place) -> Any:
        kind, value = cell.kind, cell.value
        if kind == "d":
            if entry.kind == "date":
                return str(value)[:10]
            if entry.kind == "moment":
                found = str(value)[:19]
                return f"{found}Z" if "T" in found else f"{found}T00:00:00Z"
            return self._trouble(place, "date_in_text", value)
        if entry.kind == "flag":
            return self._flag(cell, place)
        if kind in "np":
            text = cell.shown or number_as_text(value)
            if entry.kind == "id":
                self.findings.note(place, "id_from_number", value, text=text)
            return self._list(text, entry, place) if entry.kind in LISTS else text
        if kind == "b":
            return "TRUE" if value else "FALSE"
        text = cleaned(value)
        if not text:
            return None
        if entry.kind == "choice":
            return self._choice(text, entry, place)
        if entry.kind in DATES:
            try:
                return DATES[entry.kind](text)
            except NotADate as no:
                return self._trouble(place, str(no), text)
        if text in DITTO or (text.casefold() in DITTO and entry.kind == "id"):
            return self._trouble(place, "ditto", text)
        if entry.kind in ("id", *LISTS) and not is_quoted(text) and text in ("-", "–", "—"):
            return None
        if entry.before and text.casefold().startswith(entry.before.casefold()):
            text = text[len(entry.before) :].strip(" .:") or text
        return self._list(text, entry, place) if entry.kind in LISTS else decoded(text)

    def _list(self, text: str, entry: Entry, place: Place) -> Any:
        """A list that stands in one cell."""
        if plain(text) == LIST_NONE and not is_quoted(text):
            return []
        inside = decoded(text)
        found = names_in(inside) if entry.kind == "names" else groups_in(inside)
        code = "not_names" if entry.kind == "names" else "not_groups"
        return self._trouble(place, code, text) if found is None else found

    def _flag(self, cell: Cell, place: Place) -> Any:
        if cell.kind == "b":
            return bool(cell.value)
        text = cleaned(str(cell.value))
        found = YES_NO.get(text.casefold()) if text else None
        if text and found is None:
            return self._trouble(place, "unknown_word", text, words="yes, no")
        return found

    def _choice(self, text: str, entry: Entry, place: Place) -> Any:
        if text in ("-", "–", "—"):
            return None
        if text.casefold() in DITTO:
            return self._trouble(place, "ditto", text)
        found = entry.words.get(plain(text))
        if found is None:
            return self._trouble(place, "unknown_word", text, words=", ".join(entry.choices.values()))
        return found

    def column_of(self, heading: Heading, text: str, place: Place) -> Column:
        """A column from its heading; problems of the heading are noted."""
        entry, factor, bad = heading.entry, 1.0, False
        if heading.unit:
            unit, code = headings.unit_for(heading.unit, entry.quantity, self.ship.system)
            if unit is not None:
                factor = unit.factor
                self._say_converted(unit, entry, place)
            elif code or (heading.bracketed and heading.unit not in ("-", "")):
                bad = True
                code = code or "wrong_unit"
                self.findings.problem(place, code, "", **self._unit_words(entry, heading.unit))
        if entry.axis == "x" and self._is_elsewhere(heading):
            bad = True
            said = (heading.origin or "").replace("_", " ")
            said = f"{heading.forward} of {said}" if heading.forward else said
            origin = self.ship.origin.replace("_", " ")
            if heading.forward:
                origin += f", positive {self.ship.axes.get('x_positive', 'forward')}"
            self.findings.problem(place, "wrong_origin", "", origin=origin, said=said)
        return Column(entry, text, factor, bad)

    def _is_elsewhere(self, heading: Heading) -> bool:
        if heading.origin is None:
            return False
        positive = self.ship.axes.get("x_positive", "forward")
        return heading.origin != self.ship.origin or heading.forward not in (None, positive)

    def put(self, container: Any, path: Path, value: Any) -> None:
        """Put a member where its path leads; one in trouble stays out, one with two readings waits."""
        if value is None or value is TROUBLE:
            return
        for step in path[:-1]:
            container = container.setdefault(step, {})
        self.keep(container, path[-1], value)

    def keep(self, container: Any, key: str | int, value: Any) -> None:
        """The same for a member of a list or an object."""
        if isinstance(value, Pending):
            self.pending.append((container, key, value))
            value = value.typed.point
        container[key] = value

    def note_formulas(self) -> None:
        """Say how many figures formulas gave."""
        if self.formulas:
            self.findings.note(self.place(), "formulas", count=self.formulas)

    def leave_out(self, row: int, column: int | None, what: str, value: Any = "") -> None:
        """Say what is not read."""
        self.findings.note(self.place(row, column), "left_out", value, what=what)


def number_as_text(value: float) -> str:
    """A number as the text somebody meant: 9, not 9.0."""
    return str(int(value)) if float(value).is_integer() else repr(value)


def rows_of(page: Page) -> Iterator[tuple[int, dict[int, Cell]]]:
    """The rows of a sheet that hold something, in order."""
    yield from page.rows.items()
