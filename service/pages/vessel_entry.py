"""Enter a vessel document, or the next revision of one."""

from typing import Any

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.assess import Assessor
from service.actions.check_vessel import doubts_about
from service.actions.keep_vessel import CheckedVessel, add_vessel, check_vessel, revise_vessel
from service.actions.refusal import Refusal
from service.actions.show_vessel import show_vessel
from service.pages.address import VesselId, known_form
from service.pages.session import Reader
from service.pages.show import PageRoute, WhoReads, go_to, in_thread, page, posted, state_of, text_of
from service.pages.typed import one_line, wrong_reason
from service.wire.parse import UnreadableJson, parse_json

router = APIRouter(route_class=PageRoute, include_in_schema=False)
DEPTH = 32


@router.get("/vessels/new")
async def get_new(request: Request, reader: WhoReads) -> Response:
    """An empty form."""
    reader.caller.require("add_vessel")
    return _shown(request, reader, None, "", "")


@router.post("/vessels/new")
async def post_new(request: Request, reader: WhoReads) -> Response:
    """Check it, or keep it."""
    reader.caller.require("add_vessel")
    return await _worked(request, reader, None)


@router.get("/vessels/{vessel}/edit")
async def get_edit(request: Request, reader: WhoReads, vessel: VesselId) -> Response:
    """The document as held."""
    reader.caller.require("write_vessel")
    text, tag = await in_thread(
        request, show_vessel, state_of(request).records, reader.caller, known_form(vessel, "vessel")
    )
    document = to_json(from_json(text)["document"], indent=1).decode()
    return _shown(request, reader, vessel, document, tag)


@router.post("/vessels/{vessel}/edit")
async def post_edit(request: Request, reader: WhoReads, vessel: VesselId) -> Response:
    """Check it, or keep it as the next revision."""
    reader.caller.require("write_vessel")
    return await _worked(request, reader, known_form(vessel, "vessel"))


async def _worked(request: Request, reader: Reader, vessel: str | None) -> Response:
    form = await posted(request)
    text, reason, seen = text_of(form, "document"), one_line(text_of(form, "reason")), text_of(form, "seen")
    state = state_of(request)
    try:
        checked, doubts = await in_thread(request, _checked, state.assessor, text)
        if text_of(form, "do") != "save":
            return _shown(request, reader, vessel, text, seen, reason, doubts=doubts)
        if not reason:
            return _shown(request, reader, vessel, text, seen, wrong=["Say why, in a few words."])
        if reason_wrong := wrong_reason(reason):
            return _shown(request, reader, vessel, text, seen, reason, wrong=[reason_wrong])
        if vessel is None:
            made = await in_thread(request, add_vessel, state.records, reader.caller, checked, reason=reason)
        else:
            made = await in_thread(
                request,
                revise_vessel,
                state.records,
                reader.caller,
                vessel,
                checked,
                expected=frozenset((seen,)),
                reason=reason,
            )
    except UnreadableJson as unreadable:
        place = f" ({unreadable.pointer})" if unreadable.pointer else ""
        return _shown(request, reader, vessel, text, seen, reason, wrong=[unreadable.detail + place])
    except Refusal as refused:
        if refused.code in ("unauthenticated", "forbidden", "unknown_vessel"):
            raise
        wrong = [f"{e['pointer']}: {e['detail']}" for e in refused.errors] or [refused.detail]
        return _shown(request, reader, vessel, text, refused.etag or seen, reason, wrong=wrong)
    return go_to(made.place.removeprefix("/v1"))


def _checked(assessor: Assessor, text: str) -> tuple[CheckedVessel, list[Any]]:
    """What was typed, ready to be kept, and the doubts about it."""
    document = parse_json(text.encode("utf-8", "surrogatepass"), max_depth=DEPTH)
    return check_vessel(assessor, document), list(doubts_about(document))


def _shown(
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
