"""Enter a booklet part by part: read a table that was typed or pasted, answer doubts, see what is missing."""

import json
import re
from collections import Counter
from dataclasses import dataclass, field
from typing import Any, Final

import pydantic_core

from service.actions.assess import Assessor
from service.actions.booklet_grid import (
    SHIP,
    bounded,
    decimal_said,
    grid_of,
    key_of,
    pages_to_read,
    rows_of_text,
    with_parent,
)
from service.actions.booklet_parts import PARTS, Part, lines_of, parents_of
from service.actions.cell_problems import CellFinder
from service.actions.keep_unfinished_booklet import Booklet, Rows
from service.actions.read_booklet import removed
from service.imports.layout import Sheet
from service.imports.problems import Problem
from service.imports.reader import Reading, read_pages
from service.imports.tables import at
from service.imports.vessel_sheets import VESSEL_SHEETS
from service.storage import canonical
from service.translation.unfinished_vessel import SoFar, check_so_far
from service.wire.refusal import Refusal
from service.wire.vessel_check import Doubt

MOST_ACCEPTED: Final = 500
BEGUN_WITH: Final = frozenset(("name", "units"))
NOT_FIGURES: Final = frozenset(("name", "source", "units", "axes", "imo_number", "id", "reference"))
_NUMBER: Final = re.compile(r"[-+]?[0-9]{1,12}([.,][0-9]{1,12})?")
Spot = tuple[int, int]


@dataclass
class SheetView:
    """What a table gave: problems by cell of its grid (row, column; both from 0), others, notes, doubts by cell."""

    problems: dict[Spot, list[str]] = field(default_factory=dict)
    others: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    doubts: list[tuple[Spot | None, Doubt]] = field(default_factory=list)

    @property
    def is_right(self) -> bool:
        """Whether the table can be taken into the document."""
        return not self.problems and not self.others


def take_table(booklet: Booklet, sheet: Sheet, rows: Rows, of: str = "", *, pasted: str = "") -> SheetView:
    """Take a table into the booklet: into its document where it is right, as it was typed where it is not.

    of: the tank, hold or opening it belongs to. pasted: a text with the table's headings, in the place of `rows`."""
    rows = with_parent(rows_of_text(pasted) if pasted else bounded(rows), sheet, of)
    view, reading = read_table(booklet, sheet, rows)
    key = key_of(sheet, of)
    if not view.is_right:
        booklet.typed[key] = rows
        return view
    booklet.typed.pop(key, None)
    if reading.document is not None:
        document = pydantic_core.from_json(canonical(reading.document))
        if not any(summary.sheet == sheet.name for summary in reading.sheets):
            _clear(document, sheet, of)
        booklet.document = document
    if sheet is SHIP:
        booklet.decimal = decimal_said(rows) or booklet.decimal
    return view


def read_table(booklet: Booklet, sheet: Sheet, rows: Rows) -> tuple[SheetView, Reading]:
    """What a table says and what is wrong with it, laid over the booklet as it stands."""
    base = booklet.document
    reading = read_pages(pages_to_read(booklet, sheet, rows), base)
    finder = CellFinder(reading)
    told = [problem for problem in reading.problems if problem.place.sheet == sheet.name]
    if sheet is SHIP and set(base) <= NOT_FIGURES:
        told = [problem for problem in told if problem.code != "other_units"]
    view = SheetView(notes=[note.message for note in reading.notes if note.place.sheet == sheet.name])
    if reading.document is not None:
        so_far = check_so_far(reading.document)
        for error in so_far.errors:
            if _is_of_another_sheet(error["pointer"], sheet):
                continue
            if finder.cell(error["pointer"]).sheet == sheet.name and not finder.is_known(error):
                told.append(finder.problem(error))
        gone = removed(base, reading.document) if sheet.slug in ("tanks", "holds", "openings") else []
        if gone:
            view.notes.append(f"Not in this table any more: {', '.join(gone[:8])}.")
        view.doubts = _doubts_here(booklet, sheet, finder, so_far)
    for problem in told:
        _add_problem(view, problem, is_form=sheet.shape == "form")
    return view, reading


def view_of(booklet: Booklet, sheet: Sheet, of: str = "") -> SheetView:
    """What there is to say of a table as it stands: the doubts, or what is wrong with what was typed."""
    rows = [[cell.value for cell in row] for row in grid_of(booklet, sheet, of)]
    if not any(text.strip() for row in rows for text in row):
        return SheetView()
    if key_of(sheet, of) not in booklet.typed and lines_of(sheet, booklet.document) is None:
        return SheetView()
    view, _ = read_table(booklet, sheet, bounded(rows))
    view.notes = []
    if set(booklet.document) <= BEGUN_WITH and key_of(sheet, of) not in booklet.typed:
        return SheetView()
    return view


def accept_doubt(booklet: Booklet, path: str) -> None:
    """Note that what stands at a doubted place is printed so."""
    for doubt in check_so_far(booklet.document).doubts:
        key = _key_of_doubt(doubt)
        if doubt["path"] == path and key not in booklet.accepted:
            booklet.accepted = [*booklet.accepted, key][-MOST_ACCEPTED:]


def correct_figure(booklet: Booklet, path: str, typed: str) -> str:
    """Write the figure that is printed into a doubted place; what is wrong with it, in words, else an empty text."""
    if not _NUMBER.fullmatch(typed):
        return f"“{typed[:30]}” is not a number."
    if path not in {doubt["path"] for doubt in check_so_far(booklet.document).doubts}:
        return "Nothing is doubted at this place any more."
    document = json.loads(json.dumps(booklet.document))
    place, last = document, path.split("/")[-1]
    for step in path.split("/")[1:-1]:
        place = place[int(step)] if isinstance(place, list) else place[step]
    key: Any = int(last) if isinstance(place, list) else last
    if isinstance(place[key], list | dict):
        return "This doubt is about a whole line: correct its cells."
    place[key] = float(typed.replace(",", "."))
    before = {error["pointer"] for error in check_so_far(booklet.document).errors}
    for error in check_so_far(document).errors:
        if error["pointer"] not in before:
            return f"It cannot be {typed}: {error['detail'][:1].lower()}{error['detail'][1:]}"
    booklet.document = document
    return ""


@dataclass(frozen=True)
class PartState:
    """How far a part is. `state`: empty, part, wrong, doubted or there; `words` say the same to a person."""

    part: Part
    state: str
    words: str


def progress(booklet: Booklet, so_far: SoFar) -> list[PartState]:
    """Every part in its order."""
    doubts = Counter(part_of_path(d["path"]) for d in open_doubts(booklet, so_far))
    wrong = {key.partition(":")[0] for key in booklet.typed}
    missing = {part_of_path(e["pointer"]) for e in so_far.errors}
    states = []
    for part in PARTS:
        counted = [(sheet, lines_of(sheet, booklet.document)) for sheet in part.sheets]
        said = ", ".join(_lines_in_words(sheet, n, booklet) for sheet, n in counted if n is not None)
        if any(sheet.slug in wrong for sheet in part.sheets):
            state, words = "wrong", f"to put right{'; ' + said if said else ''}"
        elif not said:
            state, words = "empty", f"nothing yet: {part.cost}"
        elif part.slug in missing:
            state, words = "part", f"{said}; not complete"
        elif doubts[part.slug]:
            count = doubts[part.slug]
            state, words = "doubted", f"{said}; {count} {'doubt' if count == 1 else 'doubts'}"
        else:
            state, words = "there", said
        states.append(PartState(part, state, words))
    return states


def open_doubts(booklet: Booklet, so_far: SoFar) -> list[Doubt]:
    """The doubts that nobody has answered."""
    return [doubt for doubt in so_far.doubts if _key_of_doubt(doubt) not in booklet.accepted]


def part_of_path(pointer: str) -> str:
    """The part whose sheets hold a place of the document; the first part where none does."""
    steps = [step for step in pointer.split("/") if step and not step.isdecimal()]
    best, slug = -1, PARTS[0].slug
    for part in PARTS:
        for sheet in part.sheets:
            parent = () if sheet.parent is None else sheet.parent.path
            paths = [entry.path for entry in (*sheet.lines, *sheet.entries)] if sheet.shape == "form" else []
            for path in [*paths, (*parent, *sheet.target)]:
                length = len(path)
                fits = tuple(steps[:length]) == path or (
                    sheet.shape == "form" and tuple(steps) == path[: len(steps)]
                )
                if path and steps and fits and length > best:
                    best, slug = length, part.slug
    return slug


def unjudged(assessor: Assessor, so_far: SoFar) -> tuple[list[str], int]:
    """Why criteria cannot be judged of the ship as far as she is typed, floating half-way down her hydrostatic table;
    and how many can be. Raises Refusal where she does not float there."""
    ship = so_far.usable
    assert ship is not None
    masses = [row["displacement"] for row in ship["hydrostatics"]["rows"]]
    middle = (min(masses) + max(masses)) / 2
    half = min(
        ship["hydrostatics"]["rows"],
        key=lambda row: (abs(row.get("trim") or 0.0), abs(row["displacement"] - middle)),
    )
    added = max(middle - ship["lightship"]["mass"], 0.001)
    weight = {
        "name": "Half-way down her hydrostatic table",
        "category": "cargo",
        "mass": added,
        "lcg": (middle * half["lcb"] - ship["lightship"]["mass"] * ship["lightship"]["lcg"]) / added,
        "vcg": ship["lightship"]["vcg"],
        "tcg": 0.0,
    }
    condition = {
        "title": "Unfinished booklet",
        "units": ship["units"],
        "water_density": ship["hydrostatics"]["density"],
        "free_surface": {"basis": "by_rule"},
        "tanks": [],
        "weights": [weight],
    }
    answer = assessor.assessment({"vessel": ship, "condition": condition})
    reasons: dict[str, list[str]] = {}
    judged = 0
    for row in answer["criteria"]:
        if row["verdict"] == "not_computable":
            reasons.setdefault(row["reason"] or "something is missing", []).append(row["clause"])
        elif row["verdict"] in ("pass", "fail"):
            judged += 1
    return [f"{', '.join(dict.fromkeys(titles))}: {reason}" for reason, titles in reasons.items()], judged


def require_complete(so_far: SoFar, booklet: Booklet) -> None:
    """Refuse to add a ship whose booklet is not finished."""
    if booklet.typed:
        raise Refusal("invalid_vessel", "Some tables are still to be put right.")
    if not so_far.is_complete:
        raise Refusal("invalid_vessel", "Parts that every ship needs are missing.", so_far.errors[:50])


def _lines_in_words(sheet: Sheet, count: int, booklet: Booklet) -> str:
    if count == 0:
        return f"{sheet.name}: none"
    parents = parents_of(sheet, booklet.document)
    if parents and sheet.shape == "child":
        assert sheet.parent is not None
        noun = sheet.parent.sheet.lower()
        return f"{sheet.name} of {sum(n > 0 for _, n in parents)} of {len(parents)} {noun}"
    if sheet.shape == "form":
        return f"{sheet.name}: {count} {'entry' if count == 1 else 'entries'}"
    return f"{sheet.name}: {count} {'line' if count == 1 else 'lines'}"


def _is_of_another_sheet(pointer: str, sheet: Sheet) -> bool:
    """Whether a place is filled by a sheet whose lines belong to those of this one."""
    steps = tuple(step for step in pointer.split("/") if step and not step.isdecimal())
    return any(
        child.parent is not None
        and child.parent.path == sheet.target
        and steps[: len(sheet.target) + len(child.target)] == (*sheet.target, *child.target)
        for child in VESSEL_SHEETS
        if child is not sheet
    )


def _add_problem(view: SheetView, problem: Problem, *, is_form: bool) -> None:
    place = problem.place
    words = problem.message.partition(": ")[2] or problem.message
    if problem.code == "missing_value" and is_form:
        words = f"{place.heading} is needed."
    if place.row is None or place.column is None:
        heading = f"{place.heading}: " if place.heading else ""
        view.others.append(f"{heading}{words[:1].upper()}{words[1:]}" if not heading else f"{heading}{words}")
        return
    view.problems.setdefault((place.row - 1, place.column - 1), []).append(words)


def _doubts_here(
    booklet: Booklet, sheet: Sheet, finder: CellFinder, so_far: SoFar
) -> list[tuple[Spot | None, Doubt]]:
    found: list[tuple[Spot | None, Doubt]] = []
    for doubt in open_doubts(booklet, so_far):
        place = finder.cell(doubt["path"])
        if place.sheet != sheet.name:
            continue
        spot = None if place.row is None or place.column is None else (place.row - 1, place.column - 1)
        found.append((spot, doubt))
    return found


def _key_of_doubt(doubt: Doubt) -> str:
    found = doubt["found"]
    return f"{doubt['code']} {doubt['path']} {'' if found is None else f'{found:.9g}'}"


def _clear(document: dict[str, Any], sheet: Sheet, of: str) -> None:
    """Take out what a sheet filled that says nothing any more."""
    if sheet.shape == "form" or not sheet.target:
        return
    places = [document]
    if sheet.parent is not None:
        entries = at(document, sheet.parent.path) or []
        places = [entry for entry in entries if not of or entry.get(sheet.parent.key) == of]
    for place in places:
        holder = at(place, sheet.target[:-1]) if len(sheet.target) > 1 else place
        if isinstance(holder, dict):
            holder.pop(sheet.target[-1], None)
