"""Type a condition: a new one, or the next revision; judged as it is typed, kept as unfinished, saved with a reason."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.responses import Response

from service.actions.keep_condition import draft_new, draft_replacement
from service.actions.records.repeatable_request import RequestName
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted
from service.pages.session import Reader
from service.pages.sheet import actions, form, layout, live, merge, start, unfinished
from service.pages.sheet.posting import Typing, context, keep_unfinished, view
from service.pages.sheet.start import Sheet
from service.pages.sheet.templates import starts_from_templates
from service.pages.typed import once_of, one_line, wrong_reason
from service.translation.document_units import in_units
from service.web.addresses import ConditionAddress, VesselAddress, identifier
from service.web.caller import in_thread
from service.web.change_condition import change_condition
from service.wire.condition import Condition
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
Row = dict[str, Any]
PASSED_ON = ("unauthenticated", "forbidden", "busy")


@router.get("/conditions/{condition}/edit")
async def get_edit(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The sheet, filled in with the latest revision, or with what was typed on it."""
    id = identifier(condition, "condition")
    return await _get(
        request, reader, await in_thread(request, start.sheet_of_condition, request, reader, id)
    )


@router.get("/vessels/{vessel}/conditions/new")
async def get_new(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """The sheet of a new condition: nothing aboard, or what another one has."""
    return await _get(request, reader, await _new_sheet(request, reader, vessel))


@router.post("/conditions/{condition}/edit")
async def post_edit(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """Judge what was typed, or save it as the next revision."""
    posted_form = await posted(request)
    id = identifier(condition, "condition")
    sheet = await in_thread(request, start.sheet_of_condition, request, reader, id)
    return await _post(request, reader, sheet, posted_form)


@router.post("/vessels/{vessel}/conditions/new")
async def post_new(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """Judge what was typed, or save it as a new condition."""
    posted_form = await posted(request)
    return await _post(request, reader, await _new_sheet(request, reader, vessel), posted_form)


async def _new_sheet(request: Request, reader: Reader, vessel: str) -> Sheet:
    id = identifier(vessel, "vessel")
    return await in_thread(
        request, start.sheet_of_vessel, request, reader, id, dict(request.query_params.items())
    )


async def _get(request: Request, reader: Reader, sheet: Sheet) -> Response:
    if sheet.older is not None and sheet.unfinished is not None:
        return await _merge_page(request, reader, sheet, sheet.unfinished.document, sheet.older, {})
    document = sheet.unfinished.document if sheet.unfinished else sheet.base
    fields = await _chunk(request, partial(form.fields_of, document, sheet.vessel))
    read = await _chunk(request, partial(form.read, fields, document, sheet.vessel))
    typing = Typing(sheet, _with_tags(fields, sheet), read, sheet.unfinished)
    return await _sheet_page(request, reader, typing)


def _with_tags(fields: Mapping[str, str], sheet: Sheet) -> dict[str, str]:
    record = sheet.record
    return {
        **fields,
        "seen": sheet.tag,
        "from": "" if record is None else str(record["revision"]),
        "draft": sheet.unfinished.tag if sheet.unfinished else "",
    }


async def _post(request: Request, reader: Reader, sheet: Sheet, posted_form: FormData) -> Response:
    fields = await _chunk(request, partial(_fields, posted_form))
    do = fields.get("do", "")
    if do == "fresh":
        await _forget(request, reader, sheet)
        return go_to(sheet.path)
    base, sent = await _base_of(request, reader, sheet, fields), fields
    if do.startswith(actions.PREFIX):
        fields = await _chunk(request, partial(actions.apply, do, fields, base, sheet.vessel))
    typing = Typing(sheet, fields, await _chunk(request, partial(form.read, fields, base, sheet.vessel)))
    typing.sent = sent
    if fields.get("live"):
        typing.sheet = sheet.in_units_of(base)
        return await live.answer(request, reader, typing, base)
    if sheet.record is not None and fields.get("from") != str(sheet.record["revision"]):
        return await _on_an_older_revision(request, reader, typing, base)
    if do == "soundings":
        await in_thread(request, keep_unfinished, request, reader, typing)
        return go_to(f"/vessels/{sheet.vessel_id}/soundings/{sheet.name}")
    return await (_save if do == "save" else _show)(request, reader, typing)


def _fields(posted_form: FormData) -> dict[str, str]:
    fields = {name: value.strip() for name, value in posted_form.multi_items() if isinstance(value, str)}
    fields["reason"] = one_line(fields.get("reason", ""))
    return fields


async def _base_of(request: Request, reader: Reader, sheet: Sheet, fields: Mapping[str, str]) -> Row:
    """The document the form was filled in from."""
    if sheet.record is None:
        return {**sheet.base, **_kept_members(sheet)}
    asked = fields.get("from", "")
    if not asked.isdecimal() or len(asked) > 9 or int(asked) >= sheet.record["revision"]:
        return {**sheet.base, **_kept_members(sheet)}
    id = sheet.record["condition"]
    return await in_thread(request, start.document_of_revision, request, reader, id, int(asked))


def _kept_members(sheet: Sheet) -> Row:
    """Members without a field that somebody kept as unfinished."""
    document = sheet.unfinished.document if sheet.unfinished else {}
    return {line.member: document[line.member] for line in layout.kept_lines(document)}


async def _show(request: Request, reader: Reader, typing: Typing) -> Response:
    await in_thread(request, keep_unfinished, request, reader, typing)
    return await _sheet_page(request, reader, typing)


async def _save(request: Request, reader: Reader, typing: Typing) -> Response:
    typing.saves = True
    fields, read = typing.fields, typing.read
    reason = fields.get("reason", "")
    if not reason:
        read.missing["reason"] = "Say why, in a few words: the reviewer reads it first."
    elif wrong := wrong_reason(reason):
        read.wrong["reason"] = wrong
    if read.wrong or read.missing:
        return await _sheet_page(request, reader, typing)
    if typing.sheet.record is not None and fields.get("seen") != typing.sheet.tag:
        typing.fields["from"] = fields.get("from", "")
    try:
        place = await _store(request, reader, typing)
    except Refusal as refused:
        if refused.code in PASSED_ON:
            raise
        if refused.code == "stale" and typing.sheet.record is not None:
            id = typing.sheet.record["condition"]
            again = await in_thread(request, start.sheet_of_condition, request, reader, id)
            typing.sheet = again
            return await _on_an_older_revision(request, reader, typing, typing.sheet.base)
        typing.refused = refused
        return await _sheet_page(request, reader, typing)
    await _forget(request, reader, typing.sheet)
    return go_to(place)


async def _forget(request: Request, reader: Reader, sheet: Sheet) -> None:
    records = page_parts_of(request).records
    await in_thread(request, unfinished.forget, records, reader.caller, sheet.vessel_id, sheet.name)


async def _store(request: Request, reader: Reader, typing: Typing) -> str:
    """Judge and store what was typed; the address to go to."""
    parts, caller, sheet = page_parts_of(request), reader.caller, typing.sheet
    document, reason = typing.read.document, typing.fields["reason"]
    if sheet.record is None:
        draft = draft_new(caller, sheet.vessel_id, document)
        body = json.dumps([document, reason], sort_keys=True).encode()
        name = RequestName(f"page-{once_of(typing.fields.get('once'))}", hashlib.sha256(body).hexdigest())
        made = await change_condition(parts, caller, draft, reason, name)
        return f"{made.address.removeprefix('/v1')}?done=entered"
    id, seen = sheet.record["condition"], frozenset((typing.fields["seen"],))
    draft = await in_thread(request, draft_replacement, parts.records, caller, id, document, expected=seen)
    await change_condition(parts, caller, draft, reason)
    return f"/conditions/{id}?done=kept"


async def _on_an_older_revision(request: Request, reader: Reader, typing: Typing, base: Row) -> Response:
    """What was typed on a revision that is not the last any more: put together, and saved once that was seen."""
    sheet, fields = typing.sheet, typing.fields
    assert sheet.record is not None
    number = int(fields["from"]) if fields.get("from", "").isdecimal() else sheet.record["revision"]
    if fields.get("merging") != sheet.tag:
        return await _merge_page(request, reader, sheet, typing.read.document, number, fields)
    picks = {name.removeprefix("pick:"): value for name, value in fields.items() if name.startswith("pick:")}
    base, mine = sheet.in_its_units(base), sheet.in_its_units(typing.read.document)
    merged = merge.merge(base, mine, sheet.base, sheet.vessel, picks)
    beside = {name: value for name, value in fields.items() if name in ("token", "once", "reason", "do")}
    together = form.fields_of(merged.document, sheet.vessel)
    typing.fields = _with_tags(together, replace(sheet, unfinished=None)) | beside
    typing.read = form.read(typing.fields, merged.document, sheet.vessel)
    if fields.get("do") == "save":
        return await _save(request, reader, typing)
    return await _sheet_page(request, reader, typing)


async def _merge_page(
    request: Request, reader: Reader, sheet: Sheet, mine: Row, number: int, fields: Mapping[str, str]
) -> Response:
    assert sheet.record is not None
    id = sheet.record["condition"]
    base = await in_thread(request, start.document_of_revision, request, reader, id, number)
    here = sheet.in_its_units(base), sheet.in_its_units(mine)
    merged = merge.merge(*here, sheet.base, sheet.vessel, {})
    typed = in_units(mine, Condition, base["units"])
    sent = form.fields_of(typed, sheet.vessel) | {
        "from": str(number),
        "seen": sheet.tag,
        "merging": sheet.tag,
    }
    return page(
        request,
        "sheet_merge.html",
        reader,
        system=sheet.base["units"],
        status=409 if request.method == "POST" else 200,
        sheet=sheet,
        merged=merged,
        sent=sent,
        number=number,
        reason=fields.get("reason", ""),
        once=once_of(fields.get("once")),
    )


async def _chunk(request: Request, work: Any) -> Any:
    return await page_parts_of(request).slots.run_chunk(work)


async def _sheet_page(request: Request, reader: Reader, typing: Typing) -> Response:
    sheet, parts = typing.sheet, page_parts_of(request)
    seen = await view(request, typing)
    wrong = (
        {**seen.wrong, **(typing.read.missing if typing.saves else {})} if request.method == "POST" else {}
    )
    fails = typing.saves and bool(wrong or seen.loose)
    return page(
        request,
        "sheet.html",
        reader,
        system=sheet.base["units"],
        status=422 if fails else 200,
        twin=None if sheet.record is None else f"/v1/conditions/{sheet.record['condition']}",
        has_errors=fails,
        posted=request.method == "POST",
        wrong=wrong,
        once=once_of(typing.fields.get("once")),
        starts=[]
        if sheet.record is not None or sheet.compare
        else [
            *await in_thread(request, starts_from_templates, parts.records, reader.caller, sheet.vessel_id),
            *await in_thread(request, start.starts, request, reader, sheet.vessel_id, sheet.vessel),
        ],
        **context(typing, seen),
    )
