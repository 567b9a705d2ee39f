"""A ship from a workbook, step by step: give the file, see what was read, look at the plots and the proof, keep it."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from service.actions.keep_booklet import Sent, known_sheet, marked, sheet_choices, stored_vessel, vessel_file
from service.actions.keep_vessel import add_vessel, prepare_to_store, revise_vessel
from service.actions.read_booklet import Stored, read_booklet
from service.pages.environment import figures_for
from service.pages.page import (
    PageRoute,
    WhoReads,
    go_to,
    page,
    page_parts_of,
    posted,
    posted_file,
    text_of,
)
from service.pages.session import Reader
from service.pages.vessel_plots import small_plots
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
GONE = "What was shown is held for an hour and is gone now: read the workbook again."


@router.post("/vessels/new/workbook")
async def post_new(request: Request, reader: WhoReads) -> Response:
    """What was read of a new ship's workbook."""
    reader.caller.require("add_vessel")
    _, data, name = await posted_file(request)
    return await _read(request, reader, Sent(data, name), None, None, "")


@router.get("/vessels/{vessel}/workbook")
async def get_workbook(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """A file to give, or a table to paste."""
    reader.caller.require("write_vessel")
    id = identifier(vessel, "vessel")
    stored, _ = await in_thread(request, stored_vessel, page_parts_of(request).records, reader.caller, id)
    asked = request.query_params.get("sheet", "")
    return page(
        request,
        "vessel_workbook.html",
        reader,
        id=id,
        name=stored.document["name"],
        revision=stored.revision,
        sheets=sheet_choices(),
        asked=asked,
    )


@router.post("/vessels/{vessel}/workbook")
async def post_workbook(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """What was read of a workbook or a pasted table, over what is kept of her."""
    reader.caller.require("write_vessel")
    id = identifier(vessel, "vessel")
    form, data, name = await posted_file(request)
    pasted = text_of(form, "table")
    sent = Sent(data, name)
    if pasted and not data:
        table = str(form.get("table", ""))  # with its leading tabs
        sent = Sent(table.encode("utf-8", "replace"), "a pasted table", known_sheet(text_of(form, "sheet")))
    stored, digest = await in_thread(
        request, stored_vessel, page_parts_of(request).records, reader.caller, id
    )
    return await _read(request, reader, sent, id, stored, digest)


@router.post("/vessels/readings/{held}/keep")
async def post_keep(request: Request, reader: WhoReads, held: str) -> Response:
    """Keep what was shown."""
    form = await posted(request)
    parts, caller = page_parts_of(request), reader.caller
    found = parts.pages.held_readings.get(held, caller.key_id)
    if found is None or found.document is None:
        raise Refusal("conflict", GONE)
    if found.removes and text_of(form, "confirm") != "removed":
        raise Refusal("conflict", "It would remove tanks, holds or openings: say that they may go.")
    reason = text_of(form, "reason")[:500] or None
    checked = await in_thread(request, prepare_to_store, parts.assessor, found.document)
    if found.vessel is None:
        made = await in_thread(
            request, add_vessel, parts.records, caller, checked, reason=reason, sent=found.sent
        )
    else:
        made = await in_thread(
            request,
            revise_vessel,
            parts.records,
            caller,
            found.vessel,
            checked,
            expected=frozenset((found.seen,)),
            reason=reason,
            sent=found.sent,
        )
    return go_to(made.address.removeprefix("/v1"))


@router.get("/vessels/readings/{held}/marked")
async def get_marked(request: Request, reader: WhoReads, held: str) -> Response:
    """The workbook with every bad cell marked."""
    found = page_parts_of(request).pages.held_readings.get(held, reader.caller.key_id)
    if found is None:
        raise Refusal("conflict", GONE)
    headers = {
        "Content-Disposition": 'attachment; filename="marked.xlsx"',
        "Cache-Control": "private, no-cache",
    }
    return Response(found.marked, headers=headers, media_type=XLSX)


@router.get("/vessels/{vessel}/csv")
async def get_csv(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """Her data as a zip of CSV files, or one sheet as CSV: a link cannot say what it accepts."""
    id, asked = identifier(vessel, "vessel"), request.query_params.get("revision", "")
    number = int(asked) if asked.isdecimal() and len(asked) < 10 else None
    stored, _ = await in_thread(
        request, stored_vessel, page_parts_of(request).records, reader.caller, id, number
    )
    sheet = request.query_params.get("sheet", "")
    form = "csv" if sheet else "zip"
    data = await in_thread(request, vessel_file, stored.document, form, sheet or None, ",")
    ending = f"{known_sheet(sheet).lower().replace(' ', '-')}.csv" if sheet else "tables.zip"
    name = f"{id}-{stored.revision}-{ending}"
    media = "text/csv; charset=utf-8" if sheet else "application/zip"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "private, no-cache"}
    return Response(data, headers=headers, media_type=media)


async def _read(
    request: Request, reader: Reader, sent: Sent, vessel: str | None, stored: Stored | None, seen: str
) -> Response:
    """What was read, held under a name, and shown."""
    parts = page_parts_of(request)
    found, reading = await parts.readings.run(partial(read_booklet, sent.data, stored, sent.sheet))
    copy = b""
    if found["problems"] and reading.pages:
        copy = await in_thread(request, marked, reading)
    held = parts.pages.held_readings.hold(
        reader.caller.key_id,
        vessel,
        found["document"] if found["can_be_kept"] else None,
        sent=sent.audit_words,
        seen=seen,
        marked=copy,
        removes=bool(found["removed"]),
    )
    return page(
        request,
        "vessel_reading.html",
        reader,
        here="new-vessel" if vessel is None else "",
        status=422 if found["problems"] else 200,
        vessel=vessel,
        found=found,
        held=held,
        has_marked=bool(copy),
        by_sheet=_by_sheet(found["problems"]),
        body=await in_thread(request, _plots, request, found) if found["can_be_kept"] else None,
    )


def _by_sheet(problems: list[Any]) -> list[tuple[str, list[Any]]]:
    """Problems by the sheet they are on, in the order of the file."""
    sheets: dict[str, list[Any]] = {}
    for problem in problems:
        sheets.setdefault(problem["sheet"], []).append(problem)
    return list(sheets.items())


def _plots(request: Request, found: Any) -> Markup:
    """Her tables as plots, with the doubts on them."""
    document, doubts = found["document"], found["doubts"]
    context = {
        "document": document,
        "check": {"doubts": doubts},
        **small_plots(document, doubts),
        "tables_at": None,
        **figures_for(document["units"]),
    }
    template = page_parts_of(request).pages.environment.get_template("_booklet.html")
    return Markup(template.render(context))  # noqa: S704 - autoescaped
