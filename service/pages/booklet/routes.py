"""A booklet typed in part by part, by somebody who has it on paper: the unfinished ones, a page a part, the end."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.actions.booklet_grid import key_of
from service.actions.booklet_parts import Part, part_named, sheet_of
from service.actions.enter_booklet import (
    SheetView,
    accept_doubt,
    correct_figure,
    require_complete,
    take_table,
)
from service.actions.keep_unfinished_booklet import (
    Booklet,
    begin_booklet,
    keep_unfinished_booklet,
    list_unfinished_booklets,
    remove_unfinished_booklet,
    unfinished_booklet,
)
from service.actions.keep_vessel import add_vessel, prepare_to_store
from service.actions.show_vessel import list_vessels
from service.pages.booklet.view import ends_of_part, part_context, rows_of_form, so_far_of
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.pages.typed import one_line, wrong_reason
from service.web.addresses import identifier
from service.web.caller import in_thread
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MAX_NAME = 120
MOST_SISTERS = 500


@router.get("/booklets")
async def get_booklets(request: Request, reader: WhoReads) -> Response:
    """The unfinished ones, and how to begin one."""
    return await _list_page(request, reader)


@router.post("/booklets")
async def post_booklets(request: Request, reader: WhoReads) -> Response:
    """Begin one."""
    reader.caller.require("add_vessel")
    form = await posted(request)
    name = one_line(text_of(form, "name"))
    if not name.isprintable() or not 0 < len(name) <= MAX_NAME:
        return await _list_page(request, reader, f"Give her name, of at most {MAX_NAME} characters.")
    units = "us" if text_of(form, "units") == "us" else "metric"
    decimal = "comma" if text_of(form, "decimal") == "comma" else "point"
    sister = text_of(form, "sister")
    if sister:
        identifier(sister, "vessel")
    records = page_parts_of(request).records
    id = await in_thread(request, begin_booklet, records, reader.caller, name, units, decimal, sister)
    return go_to(f"/booklets/{id}/ship")


@router.post("/booklets/{booklet}/remove")
async def post_remove(request: Request, reader: WhoReads, booklet: str) -> Response:
    """Throw one away."""
    await posted(request)
    await in_thread(
        request, remove_unfinished_booklet, page_parts_of(request).records, reader.caller, booklet
    )
    return go_to("/booklets")


@router.get("/booklets/{booklet}")
async def get_booklet(request: Request, reader: WhoReads, booklet: str) -> Response:
    """What is there, what is missing and what that costs, and the end."""
    found = await in_thread(
        request, unfinished_booklet, page_parts_of(request).records, reader.caller, booklet
    )
    return await _overview_page(request, reader, found)


@router.post("/booklets/{booklet}/add")
async def post_add(request: Request, reader: WhoReads, booklet: str) -> Response:
    """Add the ship; the unfinished booklet is gone then."""
    form = await posted(request)
    parts = page_parts_of(request)
    found = await in_thread(request, unfinished_booklet, parts.records, reader.caller, booklet)
    reason = one_line(text_of(form, "reason"))
    if not reason:
        return await _overview_page(request, reader, found, "Say why, in a few words.")
    if wrong := wrong_reason(reason):
        return await _overview_page(request, reader, found, wrong)
    try:
        made = await in_thread(request, _add, parts, reader, found, reason)
    except Refusal as refused:
        if refused.code in ("unauthenticated", "forbidden") or refused.retry_after is not None:
            raise
        return await _overview_page(request, reader, found, refused.detail)
    return go_to(made)


@router.get("/booklets/{booklet}/{part}")
async def get_part(request: Request, reader: WhoReads, booklet: str, part: str) -> Response:
    """One part, as it stands."""
    named = _part(part)
    found = await in_thread(
        request, unfinished_booklet, page_parts_of(request).records, reader.caller, booklet
    )
    return await _part_page(request, reader, found, named, done=request.query_params.get("done", ""))


@router.post("/booklets/{booklet}/{part}")
async def post_part(request: Request, reader: WhoReads, booklet: str, part: str) -> Response:
    """A table typed or pasted, more lines, or an answer to a doubt."""
    named = _part(part)
    form = await posted(request)
    parts = page_parts_of(request)
    found = await in_thread(request, unfinished_booklet, parts.records, reader.caller, booklet)
    said, slug, of = text_of(form, "do"), text_of(form, "sheet"), text_of(form, "of")
    where = f"/booklets/{found.id}/{named.slug}"
    if said in ("printed", "correct"):
        wrong = await in_thread(request, _answer_doubt, found, form, said)
        if wrong:
            return await _part_page(request, reader, found, named, wrong=wrong, of=of)
        await in_thread(request, keep_unfinished_booklet, parts.records, reader.caller, found)
        return go_to(f"{where}?{ends_of_part(slug, of)}done=doubt")
    sheet = sheet_of(named, slug)
    if sheet is None:
        raise HTTPException(404)
    rows = rows_of_form(form)
    if said in ("lines", "block"):
        found.typed[key_of(sheet, of)] = rows
        return await _part_page(request, reader, found, named, more=(slug, said), of=of)
    pasted = text_of(form, "table") if said == "paste" else ""
    take = partial(take_table, found, sheet, rows, of, pasted=pasted)
    view: SheetView = await parts.readings.run(take)
    await in_thread(request, keep_unfinished_booklet, parts.records, reader.caller, found)
    if not view.is_right:
        return await _part_page(request, reader, found, named, of=of, status=422)
    return go_to(f"{where}?{ends_of_part(slug, of)}done=saved")


def _part(slug: str) -> Part:
    found = part_named(slug)
    if found is None:
        raise HTTPException(404)
    return found


def _answer_doubt(found: Booklet, form: FormData, said: str) -> str:
    path = text_of(form, "path")
    if said == "correct":
        return correct_figure(found, path, text_of(form, "value"))
    accept_doubt(found, path)
    return ""


def _add(parts: Any, reader: Reader, found: Booklet, reason: str) -> str:
    require_complete(so_far_of(found), found)
    checked = prepare_to_store(parts.assessor, found.document)
    sent = f"typed in part by part, {len(found.accepted)} doubts answered “it is printed so”"
    made = add_vessel(parts.records, reader.caller, checked, reason=reason, sent=sent)
    remove_unfinished_booklet(parts.records, reader.caller, found.id)
    return made.address.removeprefix("/v1")


async def _list_page(request: Request, reader: Reader, wrong: str = "") -> Response:
    records = page_parts_of(request).records
    found = await in_thread(request, list_unfinished_booklets, records, reader.caller)
    sisters = await in_thread(
        request,
        list_vessels,
        records,
        reader.caller,
        name=None,
        imo_number=None,
        reference=None,
        updated_after=None,
        updated_before=None,
        after=None,
        limit=MOST_SISTERS,
    )
    return page(
        request,
        "booklets.html",
        reader,
        here="new-vessel",
        status=422 if wrong else 200,
        booklets=found,
        sisters=[(ship["vessel"], ship["name"]) for ship in sisters],
        wrong=wrong,
    )


async def _overview_page(request: Request, reader: Reader, found: Booklet, wrong: str = "") -> Response:
    parts = page_parts_of(request)
    context = await in_thread(request, part_context, parts, found, None)
    return page(
        request,
        "booklet.html",
        reader,
        here="new-vessel",
        status=422 if wrong else 200,
        wrong=wrong,
        **context,
    )


async def _part_page(
    request: Request,
    reader: Reader,
    found: Booklet,
    part: Part,
    *,
    wrong: str = "",
    of: str = "",
    more: tuple[str, str] = ("", ""),
    status: int = 200,
    done: str = "",
) -> Response:
    parts = page_parts_of(request)
    of = of or request.query_params.get("of", "")
    context = await in_thread(request, part_context, parts, found, part, of, more)
    return page(
        request,
        "booklet_part.html",
        reader,
        here="new-vessel",
        status=422 if wrong else status,
        wrong=wrong,
        done=done,
        **context,
    )
