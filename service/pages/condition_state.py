"""What a reader makes of a condition: its state, and new conditions from it."""

import hashlib
from contextlib import suppress
from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from service.actions.copy_condition import copied_condition
from service.actions.records.repeatable_request import RequestName
from service.actions.set_state import set_condition_state
from service.pages.condition import Typed, condition_page
from service.pages.page import PageRoute, WhoReads, go_to, page_parts_of, posted, text_of
from service.pages.typed import WRONG_REASON, once_of, one_line
from service.web.addresses import ConditionAddress, identifier
from service.web.caller import in_thread
from service.web.change_condition import change_condition
from service.wire.copy import CopyRequest
from service.wire.refusal import Refusal
from service.wire.state import ConditionStateRequest

router = APIRouter(route_class=PageRoute, include_in_schema=False)
_NUMBER_WRONG = "Give a number: per cent from 0 to 100, or days up to 1000."
_TITLE_WRONG = "A title has at most 200 characters, and none that do not show."
_PASSED_ON = ("unauthenticated", "forbidden", "unknown_condition", "busy")


@router.post("/conditions/{condition}/state")
async def post_state(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """Take it in force, put it aside, withdraw it, work on it again."""
    form = await posted(request)
    id, records = identifier(condition, "condition"), page_parts_of(request).records
    typed = Typed("state", {name: text_of(form, name) for name in ("state", "reason", "seen", "once")})
    typed.fields["reason"] = one_line(typed.fields["reason"]).strip()
    given = typed.fields
    try:
        wanted = ConditionStateRequest.model_validate({n: given[n] or None for n in ("state", "reason")})
    except ValidationError:
        wrong = WRONG_REASON if given["state"] else "Choose what it is from now on."
        return await condition_page(request, reader, id, None, typed.but(wrong))
    if wanted.reason is None:
        return await condition_page(request, reader, id, None, typed.but("Say why, in a few words."))
    set_state = partial(set_condition_state, expected=frozenset((given["seen"],)), name=_name(id, given))
    try:
        await in_thread(request, set_state, records, reader.caller, id, wanted)
    except Refusal as refused:
        if refused.code in _PASSED_ON:
            raise
        return await condition_page(request, reader, id, None, typed.but(refused.detail))
    return go_to(f"/conditions/{id}?done={wanted.state}")


@router.post("/conditions/{condition}/copies")
async def post_copy(request: Request, reader: WhoReads, condition: ConditionAddress) -> Response:
    """A new condition from this one, or the arrival from this departure."""
    form = await posted(request)
    reader.caller.require("write_condition")
    id, parts = identifier(condition, "condition"), page_parts_of(request)
    typed = Typed(
        "copies", {name: text_of(form, name).strip() for name in ("kind", "title", "used", "unit", "once")}
    )
    try:
        wanted = CopyRequest.model_validate(_copy_request(typed.fields))
    except ValidationError as invalid:
        of_title = any(error["loc"][:1] == ("title",) for error in invalid.errors())
        wrong = _TITLE_WRONG if of_title else _NUMBER_WRONG
        return await condition_page(request, reader, id, None, typed.but(wrong))
    try:
        copied = await parts.slots.run(
            partial(copied_condition, parts.records, parts.assessor, reader.caller, id, wanted)
        )
        made = await change_condition(
            parts, reader.caller, copied.draft, copied.reason, _name(id, typed.fields)
        )
    except Refusal as refused:
        if refused.code in _PASSED_ON:
            raise
        return await condition_page(request, reader, id, None, typed.but(_in_words(refused)))
    return go_to(f"{made.address.removeprefix('/v1')}?done=copied")


def _copy_request(given: dict[str, str]) -> dict[str, Any]:
    asked: dict[str, Any] = {"title": given["title"] or None}
    if given["kind"] == "arrival":
        used: str | float = given["used"].replace(",", ".")
        with suppress(ValueError):
            used = float(used)
        asked["consumables"] = {"days" if given["unit"] == "days" else "percent": used}
    return asked


def _in_words(refused: Refusal) -> str:
    details = [error["detail"] for error in refused.errors if error["detail"] != refused.detail]
    return " ".join((refused.detail, *details[:2]))


def _name(condition: str, given: dict[str, str]) -> RequestName:
    """One showing of a form is kept once."""
    told = " ".join((condition, *(f"{name}={value}" for name, value in sorted(given.items()))))
    return RequestName(f"page-{once_of(given['once'])}", hashlib.sha256(told.encode()).hexdigest())
