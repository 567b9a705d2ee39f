"""Enter a vessel document, or the next revision of one."""

from typing import Any

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.assess import Assessor
from service.actions.keep_vessel import CheckedVessel, add_vessel, prepare_to_store, revise_vessel
from service.actions.show_vessel import show_vessel
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.pages.typed import one_line, wrong_reason
from service.translation.booklet_doubts import booklet_doubts
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.parse import UnreadableJson, parse_json
from service.wire.place_in_words import error_in_words, place_in_words
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
DEPTH = 32


@router.get("/vessels/new")
async def get_new(request: Request, reader: WhoReads) -> Response:
    """An empty form."""
    reader.caller.require("add_vessel")
    return _form_page(request, reader, None, "", "")


@router.post("/vessels/new")
async def post_new(request: Request, reader: WhoReads) -> Response:
    """Check it, or keep it."""
    reader.caller.require("add_vessel")
    return await _handle_form(request, reader, None)


@router.get("/vessels/{vessel}/edit")
async def get_edit(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """The document as held."""
    reader.caller.require("write_vessel")
    text, tag = await in_thread(
        request, show_vessel, page_parts_of(request).records, reader.caller, identifier(vessel, "vessel")
    )
    document = to_json(from_json(text)["document"], indent=1).decode()
    return _form_page(request, reader, vessel, document, tag)


@router.post("/vessels/{vessel}/edit")
async def post_edit(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """Check it, or keep it as the next revision."""
    reader.caller.require("write_vessel")
    return await _handle_form(request, reader, identifier(vessel, "vessel"))


async def _handle_form(request: Request, reader: Reader, vessel: str | None) -> Response:
    form = await posted(request)
    text, reason, seen = text_of(form, "document"), one_line(text_of(form, "reason")), text_of(form, "seen")
    parts, document = page_parts_of(request), None
    try:
        document = await in_thread(request, _parsed, text)
        checked, doubts = await in_thread(request, _prepared_with_doubts, parts.assessor, document)
        if text_of(form, "do") != "save":
            return _form_page(request, reader, vessel, text, seen, reason, doubts=doubts)
        if not reason:
            return _form_page(request, reader, vessel, text, seen, wrong=["Say why, in a few words."])
        if reason_wrong := wrong_reason(reason):
            return _form_page(request, reader, vessel, text, seen, reason, wrong=[reason_wrong])
        if vessel is None:
            made = await in_thread(request, add_vessel, parts.records, reader.caller, checked, reason=reason)
        else:
            made = await in_thread(
                request,
                revise_vessel,
                parts.records,
                reader.caller,
                vessel,
                checked,
                expected=frozenset((seen,)),
                reason=reason,
            )
    except UnreadableJson as unreadable:
        wrong = [error_in_words(unreadable.pointer or "", unreadable.detail)]
        return _form_page(request, reader, vessel, text, seen, reason, wrong=wrong)
    except Refusal as refused:
        if refused.code in ("unauthenticated", "forbidden", "unknown_vessel"):
            raise
        wrong = [error_in_words(e["pointer"], e["detail"], document) for e in refused.errors] or [
            refused.detail
        ]
        return _form_page(request, reader, vessel, text, refused.etag or seen, reason, wrong=wrong)
    return go_to(made.address.removeprefix("/v1"))


def _parsed(text: str) -> Any:
    return parse_json(text.encode("utf-8", "surrogatepass"), max_depth=DEPTH)


def _prepared_with_doubts(assessor: Assessor, document: Any) -> tuple[CheckedVessel, list[Any]]:
    """The document ready to be kept, and the doubts about it, each with its place in words."""
    checked = prepare_to_store(assessor, document)
    return checked, [{**d, "place": place_in_words(d["path"], document)} for d in booklet_doubts(document)]


def _form_page(
    request: Request,
    reader: Reader,
    vessel: str | None,
    document: str,
    seen: str,
    reason: str = "",
    *,
    wrong: list[str] | None = None,
    doubts: list[Any] | None = None,
) -> Response:
    return page(
        request,
        "vessel_entry.html",
        reader,
        here="new-vessel" if vessel is None else "",
        status=422 if wrong else 200,
        twin=None if vessel is None else f"/v1/vessels/{vessel}",
        vessel=vessel,
        document=document,
        seen=seen,
        reason=reason,
        wrong=wrong or [],
        doubts=doubts,
    )
