"""A condition from the sheet a mate filled in: what was read, judged, and kept only when somebody says so."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.keep_booklet import Sent, marked, stored_vessel
from service.actions.keep_condition import draft_new, judge, keep
from service.actions.read_condition_sheet import read_condition_sheet
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
from service.pages.sheet.form import fields_of
from service.pages.sheet.layout import kept_lines
from service.pages.vessel_workbook import GONE
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/vessels/{vessel}/condition-sheet")
async def get_sheet(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """A file to give."""
    reader.caller.require("write_condition")
    id = identifier(vessel, "vessel")
    stored, _ = await in_thread(request, stored_vessel, page_parts_of(request).records, reader.caller, id)
    return page(request, "condition_sheet.html", reader, id=id, name=stored.document["name"])


@router.post("/vessels/{vessel}/condition-sheet")
async def post_sheet(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """What was read of a filled sheet, judged."""
    reader.caller.require("write_condition")
    id, parts = identifier(vessel, "vessel"), page_parts_of(request)
    _, data, name = await posted_file(request)
    stored, _ = await in_thread(request, stored_vessel, parts.records, reader.caller, id)
    ship = stored.document
    work = partial(
        read_condition_sheet, data, parts.assessor, {"vessel_id": id}, ship["units"], ship.get("axes")
    )
    found, reading = await parts.readings.run(work)
    document = found["document"] if found["can_be_kept"] else None
    copy = await in_thread(request, marked, reading) if found["problems"] and reading.pages else b""
    held = parts.pages.held_readings.hold(
        reader.caller.key_id, id, document, sent=Sent(data, name).audit_words, marked=copy
    )
    return page(
        request,
        "condition_reading.html",
        reader,
        status=422 if found["problems"] else 200,
        system=ship["units"],
        id=id,
        name=ship["name"],
        found=found,
        held=held,
        has_marked=bool(copy),
        answer=found["assessment"],
        what_if=_what_if(document, ship),
    )


def _what_if(document: dict[str, Any] | None, ship: dict[str, Any]) -> dict[str, str]:
    """The fields of the sheet with these lines; none where it has no field for a part of them."""
    return {} if document is None or kept_lines(document) else fields_of(document, ship)


@router.post("/conditions/readings/{held}/keep")
async def post_keep(request: Request, reader: WhoReads, held: str) -> Response:
    """Keep what was shown as a new condition."""
    form = await posted(request)
    parts, caller = page_parts_of(request), reader.caller
    found = parts.pages.held_readings.get(held, caller.key_id)
    if found is None or found.document is None or found.vessel is None:
        raise Refusal("conflict", GONE)
    reason = text_of(form, "reason")[:500]
    draft = draft_new(caller, found.vessel, found.document)
    done = await parts.slots.run(partial(judge, parts.assessor, caller, draft, reason or None))
    made = await in_thread(request, keep, parts.records, caller, done)
    return go_to(f"{made.address.removeprefix('/v1')}?done=entered")
