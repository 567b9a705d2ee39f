"""What the pages of an unfinished booklet show: tables as grids with problems and doubts at their cells, progress."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import urlencode

from markupsafe import Markup
from starlette.datastructures import FormData

from service.actions.booklet_grid import Grid, another_block, grid_of, head_in_words, key_of, text_headings
from service.actions.booklet_parts import PARTS, Part, lines_of, parents_of
from service.actions.enter_booklet import SheetView, part_of_path, progress, unjudged, view_of
from service.actions.keep_unfinished_booklet import Booklet, Rows
from service.pages.environment import figures_for
from service.pages.page import PageParts
from service.pages.vessel_plots import cross_curve_plots, hydrostatic_plots, small, tank_plots
from service.translation.unfinished_vessel import SoFar, check_so_far
from service.wire.place_in_words import error_in_words
from service.wire.refusal import Refusal

MORE_LINES: Final = 20
MOST_PAUSES: Final = 5
_CELL: Final = re.compile(r"c:([0-9]{1,4}):([0-9]{1,2})")


@dataclass(frozen=True)
class Shown:
    """One cell as it is drawn. `kind`: empty for one to type in; `label`: what a reader hears."""

    name: str
    value: str
    kind: str
    label: str
    wrong: tuple[str, ...] = ()
    doubted: bool = False
    choices: tuple[str, ...] = ()
    is_text: bool = False


@dataclass
class Table:
    """One sheet on the page of its part. `of`: the tank, hold or opening shown; `parents`: those it can show."""

    sheet: Any
    rows: list[list[Shown]]
    view: SheetView
    of: str = ""
    parents: list[tuple[str, int]] = field(default_factory=list)
    is_typed: bool = False
    is_open: bool = True

    @property
    def slug(self) -> str:
        """Its name in an address."""
        slug: str = self.sheet.slug
        return slug

    @property
    def doubts(self) -> list[Any]:
        """Its doubts."""
        return [doubt for _, doubt in self.view.doubts]


def rows_of_form(form: FormData) -> Rows:
    """The cells of a grid that was sent."""
    rows: Rows = []
    for name, value in form.multi_items():
        found = _CELL.fullmatch(name)
        if found is None or not isinstance(value, str):
            continue
        row, column = int(found[1]), int(found[2])
        while len(rows) <= row:
            rows.append([])
        rows[row] += [""] * (column + 1 - len(rows[row]))
        rows[row][column] = value
    return rows


def ends_of_part(slug: str, of: str) -> str:
    """The beginning of the query of a part's page."""
    return urlencode({"of": of, "sheet": slug} if of else {"sheet": slug}) + "&"


def so_far_of(booklet: Booklet) -> SoFar:
    """What can be said of the document as it stands."""
    return check_so_far(booklet.document)


def part_context(
    parts: PageParts, booklet: Booklet, part: Part | None, of: str = "", more: tuple[str, str] = ("", "")
) -> dict[str, Any]:
    """Everything a page of a booklet shows; `part` None: the page about the whole of it."""
    so_far = so_far_of(booklet)
    states = progress(booklet, so_far)
    system = booklet.document["units"]
    context: dict[str, Any] = {
        "booklet": booklet,
        "name": booklet.document.get("name") or booklet.name,
        "states": states,
        "part": part,
        "there": sum(state.state != "empty" for state in states),
        "missing": [state for state in states if state.part.needed and state.state != "there"],
        "can_add": so_far.is_complete and not booklet.typed,
        "paused": _pauses(so_far),
        **figures_for(system),
    }
    if part is None:
        context |= _whole(parts, booklet, so_far)
    else:
        at = PARTS.index(part)
        context["next_part"] = PARTS[at + 1] if at + 1 < len(PARTS) else None
        context["tables"] = [_table(booklet, sheet, of, more) for sheet in part.sheets]
        context["tables"][0].is_open = True
        context["plots"] = _plots(part, so_far, context["tables"])
    return context


def _pauses(so_far: SoFar) -> list[tuple[Part, str]]:
    """Why nothing is doubted at present: the part each contradiction stands in, and the contradiction in words."""
    titles = {part.slug: part for part in PARTS}
    told = [(titles[part_of_path(error["pointer"])], error["detail"]) for error in so_far.paused_by]
    return list(dict.fromkeys(told))[:MOST_PAUSES]


def _whole(parts: PageParts, booklet: Booklet, so_far: SoFar) -> dict[str, Any]:
    reasons: list[str] = []
    judged: int | None = None
    why = ""
    if so_far.usable is not None:
        try:
            reasons, judged = unjudged(parts.assessor, so_far)
        except Refusal as refused:
            why = refused.detail
    wrong = [e for e in so_far.errors if e["code"] != "missing" or e["pointer"].count("/") > 1]
    places = [error_in_words(e["pointer"], e["detail"], booklet.document) for e in wrong[:20]]
    return {"reasons": reasons, "judged": judged, "why": why, "places": places}


def _table(booklet: Booklet, sheet: Any, of: str, more: tuple[str, str]) -> Table:
    parents = parents_of(sheet, booklet.document)
    names = [name for name, _ in parents]
    if parents:
        empty = next((name for name, count in parents if not count), names[0])
        of = of if of in names else empty
    else:
        of = ""
    slug, what = more
    asked = slug == sheet.slug
    grid = grid_of(booklet, sheet, of, MORE_LINES if asked and what == "lines" else 0)
    if asked and what == "block":
        grid = another_block(grid, sheet)
    view = SheetView() if asked else view_of(booklet, sheet, of)
    is_typed = key_of(sheet, of) in booklet.typed
    says = lines_of(sheet, booklet.document) is not None
    is_open = asked or is_typed or says or sheet.needed
    return Table(
        sheet, _rows_of(grid, sheet, view, booklet.document["units"]), view, of, parents, is_typed, is_open
    )


def _rows_of(grid: Grid, sheet: Any, view: SheetView, system: Any) -> list[list[Shown]]:
    doubted = {spot for spot, _ in view.doubts if spot is not None}
    rows = []
    heads: list[str] = []
    texts = text_headings(sheet)
    for r, row in enumerate(grid):
        if row and row[0].kind in ("heading", "corner"):
            heads = [cell.value for cell in row]
        cells = []
        for k, cell in enumerate(row):
            spot = (r, k)
            cells.append(
                Shown(
                    f"c:{r}:{k}",
                    cell.value,
                    cell.kind,
                    _label(sheet, heads, [c.value for c in row], r, k, system),
                    tuple(view.problems.get(spot, ())),
                    spot in doubted,
                    cell.choices,
                    sheet.shape in ("form", "columns") or (k < len(heads) and heads[k] in texts),
                )
            )
        rows.append(cells)
    return rows


def _label(sheet: Any, heads: Sequence[str], row: Sequence[str], r: int, k: int, system: Any) -> str:
    """What is said of a cell: its heading and its line, or what stands above it and before it."""
    if sheet.shape in ("form", "columns") or (not heads and k == 1):
        return row[0] if k <= 1 else f"{row[0]}, column {k}"
    head = heads[k] if k < len(heads) and heads[k] else f"column {k + 1}"
    if sheet.matrix is not None and k and row[0]:
        return f"{head_in_words(sheet, head, system)}, {row[0]}"
    return f"{head}, line {r + 1}"


def _plots(part: Part, so_far: SoFar, tables: list[Table]) -> list[Markup]:
    """The tables of a part as curves, where they can be drawn."""
    ship = so_far.usable
    if ship is None:
        return []
    doubts = so_far.doubts
    if part.slug == "hydrostatics":
        return small(hydrostatic_plots(ship, doubts))
    if part.slug == "cross-curves":
        return small(cross_curve_plots(ship, doubts))
    if part.slug == "tank-tables":
        of = tables[0].of
        for place, tank in enumerate(ship["tanks"]):
            if tank["id"] == of and tank.get("table"):
                return small(tank_plots(place, tank, ship, doubts))
    return []
