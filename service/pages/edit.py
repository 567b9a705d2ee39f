"""Change a condition, try something out, or enter a new one: nothing is kept until somebody saves with a reason."""

import hashlib
import json
from collections.abc import Mapping
from functools import partial
from typing import Any, cast

from fastapi import APIRouter, Request
from pydantic_core import from_json
from starlette.datastructures import FormData
from starlette.responses import Response

from service.actions.keep_condition import draft_new, draft_replacement
from service.actions.records.repeatable_request import RequestName
from service.actions.show_condition import read_condition
from service.actions.show_vessel import show_vessel
from service.pages import condition_form, wording
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted
from service.pages.session import Reader
from service.pages.typed import once_of, one_line, wrong_reason
from service.web.addresses import ConditionAddress, VesselAddress, identifier
from service.web.caller import in_thread
from service.web.change_condition import change_condition
from service.wire.assessment import Assessment
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
Row = dict[str, Any]


class Sheet:
    """What a form is about: the vessel, the document it starts from, and the revision it follows (None: a new one)."""

    def __init__(self, vessel_id: str, vessel: Row, base: Row, record: Row | None, tag: str) -> None:
        self.vessel_id, self.vessel, self.base, self.record, self.tag = vessel_id, vessel, base, record, tag

    @property
    def path(self) -> str:
        """Address of the form."""
        if self.record is None:
            return f"/vessels/{self.vessel_id}/conditions/new"
        return f"/conditions/{self.record['condition']}/edit"


@router.get("/conditions/{condition}/edit")
async def get_edit(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """The form, filled in with the latest revision."""
    sheet = await in_thread(request, _sheet_of_condition, request, reader, identifier(condition, "condition"))
    fill_in = partial(condition_form.fields_of, sheet.base, sheet.vessel)
    return await _form_page(request, reader, sheet, await page_parts_of(request).slots.run_chunk(fill_in))


@router.post("/conditions/{condition}/edit")
async def post_edit(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """Show the effect of what was typed, or keep it as the next revision."""
    form = await posted(request)
    sheet = await in_thread(request, _sheet_of_condition, request, reader, identifier(condition, "condition"))
    return await _handle_form(request, reader, sheet, form)


@router.get("/vessels/{vessel}/conditions/new")
async def get_new(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """The form with her tanks and nothing aboard."""
    sheet = await in_thread(request, _sheet_of_vessel, request, reader, identifier(vessel, "vessel"))
    fill_in = partial(condition_form.fields_of, sheet.base, sheet.vessel)
    return await _form_page(request, reader, sheet, await page_parts_of(request).slots.run_chunk(fill_in))


@router.post("/vessels/{vessel}/conditions/new")
async def post_new(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """Show what was typed, judged, or keep it as a new condition."""
    form = await posted(request)
    sheet = await in_thread(request, _sheet_of_vessel, request, reader, identifier(vessel, "vessel"))
    return await _handle_form(request, reader, sheet, form)


def _sheet_of_condition(request: Request, reader: Reader, condition: str) -> Sheet:
    reader.caller.require("write_condition")
    records = page_parts_of(request).records
    record, tag = read_condition(records, reader.caller, condition)
    vessel = from_json(show_vessel(records, reader.caller, record["vessel"])[0])["document"]
    return Sheet(record["vessel"], vessel, record["document"], record, tag)


def _sheet_of_vessel(request: Request, reader: Reader, vessel_id: str) -> Sheet:
    reader.caller.require("write_condition")
    vessel = from_json(show_vessel(page_parts_of(request).records, reader.caller, vessel_id)[0])["document"]
    return Sheet(vessel_id, vessel, condition_form.empty_document(vessel), None, "")


async def _handle_form(request: Request, reader: Reader, sheet: Sheet, form: FormData) -> Response:
    fields, typed = await page_parts_of(request).slots.run_chunk(partial(_typed, sheet, form))
    saves = fields.get("do") == "save"
    if saves and not fields.get("reason"):
        typed.wrong["reason"] = "Say why, in a few words: the reviewer reads it first."
    if saves and "reason" not in typed.wrong and (wrong := wrong_reason(fields["reason"])):
        typed.wrong["reason"] = wrong
    if typed.wrong or not saves:
        return await _form_page(request, reader, sheet, fields, typed)
    stale = sheet.record is not None and fields.get("seen") != sheet.tag
    if stale:
        return await _form_page(request, reader, sheet, fields, typed, stale=True)
    try:
        place = await _store(request, reader, sheet, typed.document, fields)
    except Refusal as refused:
        if refused.code in ("unauthenticated", "forbidden", "busy"):
            raise
        if refused.code == "stale":
            again = await in_thread(request, _again, request, reader, sheet)
            return await _form_page(request, reader, again, fields, typed, stale=True)
        return await _form_page(request, reader, sheet, fields, typed, refused=refused)
    return go_to(place)


def _again(request: Request, reader: Reader, sheet: Sheet) -> Sheet:
    assert sheet.record is not None
    return _sheet_of_condition(request, reader, sheet.record["condition"])


def _typed(sheet: Sheet, form: FormData) -> tuple[dict[str, str], condition_form.Read]:
    """What was typed, and what it says: a form may have tens of thousands of fields."""
    fields = {name: value.strip() for name, value in form.multi_items() if isinstance(value, str)}
    fields["reason"] = one_line(fields.get("reason", ""))
    return fields, condition_form.read(fields, sheet.base, sheet.vessel)


async def _store(
    request: Request, reader: Reader, sheet: Sheet, document: Row, fields: Mapping[str, str]
) -> str:
    """Judge and store what was typed; the address to go to."""
    parts, caller = page_parts_of(request), reader.caller
    reason = fields["reason"]
    if sheet.record is None:
        draft = draft_new(caller, sheet.vessel_id, document)
        body = json.dumps([document, reason], sort_keys=True).encode()
        name = RequestName(f"page-{once_of(fields.get('once'))}", hashlib.sha256(body).hexdigest())
        made = await change_condition(parts, caller, draft, reason, name)
        return f"{made.address.removeprefix('/v1')}?done=entered"
    seen = frozenset((fields["seen"],))
    draft = await in_thread(
        request, draft_replacement, parts.records, caller, sheet.record["condition"], document, expected=seen
    )
    await change_condition(parts, caller, draft, reason)
    return f"/conditions/{sheet.record['condition']}?done=kept"


async def _form_page(
    request: Request,
    reader: Reader,
    sheet: Sheet,
    fields: Mapping[str, str],
    typed: condition_form.Read | None = None,
    *,
    stale: bool = False,
    refused: Refusal | None = None,
) -> Response:
    """The form with the verdict on what it says."""
    slots = page_parts_of(request).slots
    if typed is None:
        typed = await slots.run_chunk(partial(condition_form.read, fields, sheet.base, sheet.vessel))
    wrong = dict(typed.wrong)
    posted_now = request.method == "POST"
    if not posted_now:
        wrong = {}
    answer, refused = (
        (None, refused) if typed.wrong or refused else await _assessment(request, sheet, typed.document)
    )
    loose = _place(refused, typed.document, wrong) if refused else []
    before: Assessment | None = sheet.record["assessment"] if sheet.record else None
    return page(
        request,
        "edit.html",
        reader,
        system=sheet.base["units"],
        status=422 if posted_now and wrong and fields.get("do") == "save" else 200,
        twin=None if sheet.record is None else f"/v1/conditions/{sheet.record['condition']}",
        sheet=sheet,
        fields=fields,
        field=lambda name: fields.get(name, ""),
        tanks=await slots.run_chunk(partial(condition_form.tank_lines, fields, sheet.vessel)),
        weights=await slots.run_chunk(partial(condition_form.weight_lines, fields)),
        form=condition_form,
        wrong=wrong,
        loose=loose,
        answer=answer,
        before=before,
        states={t["tank"]: t for t in answer["tanks"]} if answer else {},
        found=wording.tank_findings(answer) if answer else {},
        stale=stale,
        once=once_of(fields.get("once")),
    )


async def _assessment(
    request: Request, sheet: Sheet, document: Row
) -> tuple[Assessment | None, Refusal | None]:
    parts = page_parts_of(request)
    asked = {"vessel_id": sheet.vessel_id, "condition": document}
    try:
        answer = await parts.slots.run(partial(parts.assessor.assessment, asked))
    except Refusal as refused:
        if refused.code == "busy":
            raise
        return None, refused
    return cast(Assessment, answer), None


def _place(refused: Refusal, document: Row, wrong: dict[str, str]) -> list[str]:
    """Put each reason of a refusal beside its field; those without one are returned."""
    loose = []
    for entry in refused.errors:
        name = condition_form.field_of(entry["pointer"], document)
        if name is None:
            loose.append(entry["detail"])
        else:
            wrong[name] = wording.sentence(entry["detail"])
    return loose or ([] if refused.errors else [refused.detail])
