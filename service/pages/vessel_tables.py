"""One part of a vessel's booklet: its tables as held, doubts at their cells, large plots, proof beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.booklet_parts import PARTS, Part, part_named
from service.actions.booklet_tables import (
    HeldTable,
    doubts_at_cells,
    parts_held,
    place_of_doubt,
    tables_of_part,
)
from service.actions.show_vessel import show_vessel
from service.pages.drawings.booklet_plot import booklet_plot
from service.pages.kept_booklet import check_of, proof_of
from service.pages.page import PageParts, PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.vessel_plots import plots_of_part
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.figures import MINUS
from service.wire.refusal import Refusal
from service.wire.vessel_check import Doubt

router = APIRouter(route_class=PageRoute, include_in_schema=False)
AGAIN = 15
"""Lines after which a phone shows the headings again, where they cannot stay in view."""
Row = Mapping[str, Any]


@dataclass(frozen=True)
class CellShown:
    """One cell. `doubt`: number of the doubt about it, 0 where there is none."""

    value: str
    is_number: bool
    doubt: int = 0


@dataclass(frozen=True)
class Block:
    """Lines under one row of headings. `lines`: labels with values above them, each with the number of its doubt.
    `left_out`: headings of columns in which nothing is held."""

    lines: list[tuple[str, str, int]]
    headings: list[str]
    rows: list[list[CellShown]]
    again: int = AGAIN
    left_out: list[str] = field(default_factory=list)


@router.get("/vessels/{vessel}/tables/{part}")
async def get_tables(request: Request, reader: WhoReads, vessel: VesselAddress, part: str) -> Response:
    """The tables of one part, of the latest revision unless the address asks for another."""
    found = part_named(part)
    if found is None:
        raise Refusal("not_found", "Her booklet has no such part.")
    id, number = identifier(vessel, "vessel"), revision_asked(request.query_params.get("revision", ""))
    context = await in_thread(request, _context, request, reader, id, found, number)
    suffix = f"/revisions/{context['kept']['revision']}"
    return page(
        request,
        "vessel_tables.html",
        reader,
        system=context["document"]["units"],
        twin=f"/v1/vessels/{vessel}{suffix}",
        id=vessel,
        part=found,
        address=partial(address_of_part, vessel, number),
        **context,
    )


def revision_asked(text: str) -> int | None:
    """The revision that an address asks for, None for the latest. Raises Refusal (unknown_revision)."""
    if text and not (text.isdecimal() and len(text) < 10):
        raise Refusal("unknown_revision", "There is no such revision of the vessel.")
    return int(text) if text else None


def address_of_part(vessel: str, number: int | None, slug: str, of: str = "") -> str:
    """Address of a part's tables; `of`: the tank, hold or opening; `number`: the revision, None for the latest."""
    query = ({"of": of} if of else {}) | ({"revision": number} if number is not None else {})
    return f"/vessels/{vessel}/tables/{slug}" + (f"?{urlencode(query)}" if query else "")


def _context(request: Request, reader: Reader, vessel: str, part: Part, number: int | None) -> dict[str, Any]:
    parts, caller = page_parts_of(request), reader.caller
    text, digest = show_vessel(parts.records, caller, vessel, number)
    kept = from_json(text)
    document, revision = kept["document"], kept["revision"]
    check = check_of(parts, caller, vessel, revision, digest)
    proof = proof_of(parts, caller, vessel, revision, digest)
    doubts: list[Doubt] = check["doubts"]
    of = request.query_params.get("of", "")
    tables = _tables_of(parts, vessel, digest, document, part, of, doubts)
    shown_of = next((table.of for table in tables if table.of), "")
    plots = plots_of_part(document, part.slug, shown_of, doubts, proof["coverage"])
    names = {
        e["id"]: e["name"] for list_ in ("tanks", "holds", "openings") for e in document.get(list_) or ()
    }
    return {
        "kept": kept,
        "document": document,
        "proof": proof,
        "tables": [_in_blocks(table) for table in tables],
        "plots": [booklet_plot(plot, height=300.0 if plot.names else 210.0) for plot in plots],
        "parts": [(one, count, n) for one, count, n in parts_held(document, doubts)],
        "neighbours": _neighbours(document, part, doubts),
        "names": names,
        "of": shown_of,
        "reached": bool(plots and plots[0].reached),
        "elsewhere": [d for d in doubts if place_of_doubt(document, d)[0] == part.slug],
        "place": lambda doubt: place_of_doubt(document, doubt),
    }


def _tables_of(
    parts: PageParts, vessel: str, digest: str, document: Row, part: Part, of: str, doubts: Sequence[Doubt]
) -> list[HeldTable]:
    """The tables; where their doubts are is worked out once for a revision, and only where there are any."""
    key = ("doubts-at-cells", vessel, digest, part.slug, of)
    placed = parts.pages.pieces.value(
        key, lambda: to_json(doubts_at_cells(document, part, of) if doubts else {})
    )
    return tables_of_part(document, part, of, from_json(placed))


def _neighbours(document: Row, part: Part, doubts: Sequence[Doubt]) -> tuple[Part | None, Part | None]:
    held = [one for one, count, _ in parts_held(document, doubts) if count]
    at = held.index(part) if part in held else -1
    before = held[at - 1] if at > 0 else None
    return before, held[at + 1] if 0 <= at < len(held) - 1 else None


def _in_blocks(table: HeldTable) -> dict[str, Any]:
    """A table in blocks of lines under their headings, decimals of each column alike, doubts numbered."""
    numbers = {spot: i for i, (spot, _) in enumerate(table.doubts, 1) if spot is not None}
    blocks: list[Block] = []
    for r, row in enumerate(table.rows):
        if not any(cell.value.strip() for cell in row):
            continue
        kinds = [cell.kind for cell in row]
        if "heading" in kinds or "corner" in kinds:
            lines = [] if not blocks or blocks[-1].headings else blocks.pop().lines
            blocks.append(Block(lines, [cell.value for cell in row], []))
        elif kinds[0] == "label" and table.sheet.shape != "columns":
            if not blocks or blocks[-1].headings:
                blocks.append(Block([], [], []))
            value = " ".join(cell.value for cell in row[1:] if cell.value and row[1].value) or "not stated"
            value = value.replace("-", MINUS, 1) if value[:1] == "-" else value
            blocks[-1].lines.append((row[0].value, value, numbers.get((r, 1), numbers.get((r, 0), 0))))
        else:
            if not blocks:
                blocks.append(Block([], [], []))
            cells = [
                CellShown(c.value, _is_number(c.value), numbers.get((r, k), 0)) for k, c in enumerate(row)
            ]
            blocks[-1].rows.append(cells)
    across = table.sheet.shape == "columns"
    for block in blocks:
        _leave_out_empty(block)
        if not across:
            _align(block)
    return {
        "table": table,
        "blocks": blocks,
        "across": across,
        "doubts": [doubt for _, doubt in table.doubts],
    }


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _leave_out_empty(block: Block) -> None:
    """Leave out the columns in which no line has anything."""
    filled = [
        any(k < len(row) and (row[k].value or row[k].doubt) for row in block.rows) or not block.rows
        for k in range(len(block.headings))
    ]
    if all(filled):
        return
    block.left_out.extend(h for h, full in zip(block.headings, filled, strict=True) if not full)
    block.headings[:] = [h for h, full in zip(block.headings, filled, strict=True) if full]
    for row in block.rows:
        row[:] = [cell for k, cell in enumerate(row) if k >= len(filled) or filled[k]]
    block.rows[:] = [row for row in block.rows if row]


def _align(block: Block) -> None:
    """Give every number of a column as many decimals as the longest has; minus signs as they are printed."""
    width = max((len(row) for row in block.rows), default=0)
    for k in range(width):
        cells = [row[k] for row in block.rows if k < len(row)]
        numbers = [cell.value for cell in cells if cell.is_number]
        decimals = max((len(text.partition(".")[2]) for text in numbers if "e" not in text), default=0)
        for row in block.rows:
            if k < len(row) and row[k].is_number and "e" not in row[k].value:
                text = f"{float(row[k].value):.{decimals}f}".replace("-", MINUS)
                row[k] = CellShown(text, True, row[k].doubt)


def part_of_doubt(document: Row, doubt: Doubt) -> tuple[str, str]:
    """Slug and title of the part a doubt is about."""
    slug = place_of_doubt(document, doubt)[0]
    return slug, next(part.title for part in PARTS if part.slug == slug)
