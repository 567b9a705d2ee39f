"""The tables of a kept booklet as they are held: one grid a sheet, in the booklet's order, each doubt at its cell."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from service.actions.booklet_grid import Grid, grid_of
from service.actions.booklet_parts import PARTS, Part, lines_of, parents_of
from service.actions.enter_booklet import Spot, part_of_path, view_of
from service.actions.keep_unfinished_booklet import Booklet
from service.imports.layout import Sheet
from service.wire.vessel_check import Doubt

Row = Mapping[str, Any]
_LEVERS: Final = re.compile(r"/cross_curves(?:/at_other_trims/(?P<block>[0-9]+))?/levers/(?P<line>[0-9]+)")


@dataclass(frozen=True)
class HeldTable:
    """One sheet as it is held. `rows`: lines that say something; `of`: the tank, hold or opening whose lines these are,
    one of `parents` (name and count of lines); `doubts`: row and column from 0, None where a doubt is about more than
    a cell."""

    sheet: Sheet
    rows: Grid
    of: str
    parents: list[tuple[str, int]]
    doubts: list[tuple[Spot | None, Doubt]]


DoubtsOfSheet = Mapping[str, Sequence[tuple[Sequence[int] | None, Doubt]]]
"""Doubts with row and column, by sheet."""


def doubts_at_cells(vessel: Row, part: Part, of: str = "") -> DoubtsOfSheet:
    """Where the doubts about the sheets of a part are; takes about a second. `of`: as `tables_of_part` takes it."""
    booklet = Booklet(name=vessel["name"], document=dict(vessel))
    return {
        sheet.slug: view_of(booklet, sheet, _chosen(sheet, vessel, of)).doubts
        for sheet in _filled(vessel, part)
    }


def tables_of_part(
    vessel: Row, part: Part, of: str = "", doubts: DoubtsOfSheet | None = None
) -> list[HeldTable]:
    """The sheets of a part that her booklet fills; `of` picks the tank, hold or opening of a sheet that has several.

    doubts: as `doubts_at_cells` gives them; none where it is None."""
    booklet = Booklet(name=vessel["name"], document=dict(vessel))
    return [
        _table_of(booklet, sheet, of, (doubts or {}).get(sheet.slug, ())) for sheet in _filled(vessel, part)
    ]


def _filled(vessel: Row, part: Part) -> list[Sheet]:
    return [sheet for sheet in part.sheets if lines_of(sheet, vessel) is not None]


def _parents(sheet: Sheet, vessel: Row) -> list[tuple[str, int]]:
    return [(name, count) for name, count in parents_of(sheet, vessel) if count]


def _chosen(sheet: Sheet, vessel: Row, of: str) -> str:
    names = [name for name, _ in _parents(sheet, vessel)]
    return (of if of in names else names[0]) if names else ""


def parts_held(vessel: Row, doubts: Sequence[Doubt]) -> list[tuple[Part, int | None, int]]:
    """Every part with the lines it has (None: her booklet says nothing of it) and the doubts about it."""
    places = [part_of_path(doubt["path"]) for doubt in doubts]
    found = []
    for part in PARTS:
        counts = [lines_of(sheet, vessel) for sheet in part.sheets]
        said = [count for count in counts if count is not None]
        found.append((part, sum(said) if said else None, places.count(part.slug)))
    return found


def place_of_doubt(vessel: Row, doubt: Doubt) -> tuple[str, str]:
    """The part of a doubt, and the tank, hold or opening it is about (empty: none)."""
    steps = doubt["path"].split("/")[1:]
    if len(steps) > 1 and steps[1].isdecimal():
        entries = vessel.get(steps[0])
        place = int(steps[1])
        if isinstance(entries, list) and place < len(entries) and isinstance(entries[place], dict):
            return part_of_path(doubt["path"]), str(entries[place].get("id") or "")
    return part_of_path(doubt["path"]), ""


def _table_of(
    booklet: Booklet, sheet: Sheet, of: str, doubts: Sequence[tuple[Sequence[int] | None, Doubt]]
) -> HeldTable:
    chosen = _chosen(sheet, booklet.document, of)
    grid = grid_of(booklet, sheet, chosen)
    while grid and not any(cell.value.strip() for cell in grid[-1]):
        grid.pop()
    placed = [(_line_of_levers(grid, doubt) or _spot(spot), doubt) for spot, doubt in doubts]
    return HeldTable(sheet, grid, chosen, _parents(sheet, booklet.document), placed)


def _spot(spot: Sequence[int] | None) -> Spot | None:
    return None if spot is None else (spot[0], spot[1])


def _line_of_levers(grid: Grid, doubt: Doubt) -> Spot | None:
    """The first cell of the line that a doubt about a whole line of levers is about; None for any other doubt."""
    found = _LEVERS.fullmatch(doubt["path"])
    heads = [i for i, row in enumerate(grid) if row and row[0].kind == "corner"]
    if found is None:
        return None
    block = 0 if found["block"] is None else int(found["block"]) + 1
    return (heads[block] + 1 + int(found["line"]), 0) if block < len(heads) else None
