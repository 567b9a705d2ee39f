"""The keys page of an administrator: who has one, a new one shown once, revoke."""

from typing import Any

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from service.actions.keys import list_keys, make_key, revoke_key
from service.actions.named_fleets import list_named_fleets
from service.actions.notices.told_by_mail import end_mail, list_told_by_mail
from service.actions.show_vessel import list_vessels
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.web.addresses import identifier
from service.web.caller import in_thread
from service.wire.key import KeyRequest
from service.wire.named_fleet import NamedFleet
from service.wire.problem import errors_of
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MOST = 1000
MOST_SHIPS = 2000
_FIRST = "The first key is an administrator's: whoever holds it makes the others."
_ALL_OR_SOME = (
    "Ships were ticked and all ships chosen. Only those ticked are set now: make the key, or choose again."
)
_FIELDS = {
    "name": "Who uses it",
    "role": "Role",
    "vessels": "Ships",
    "fleets": "Fleets",
    "days": "Days until it expires",
}

_NOTHING_TYPED = {"name": "", "role": "ship", "scope": "all", "vessels": [], "fleets": [], "days": "365"}


@router.get("/keys")
async def get_keys(request: Request, reader: WhoReads) -> Response:
    """The list and the form for a new one."""
    return await _keys_page(request, reader)


@router.post("/keys")
async def post_keys(request: Request, reader: WhoReads) -> Response:
    """Make a key and show it, this once."""
    form = await posted(request)
    typed: dict[str, Any] = {name: text_of(form, name) for name in ("name", "role", "scope", "days")}
    for chosen, field in (("vessels", "vessel"), ("fleets", "fleet")):
        typed[chosen] = [id for id in form.getlist(field) if isinstance(id, str)]
    if not reader.signed_in and typed["role"] != "administrator":
        return await _keys_page(request, reader, typed=typed, wrong=[_FIRST])
    if typed["scope"] == "some" and not (typed["vessels"] or typed["fleets"]):
        wrong = ["Choose the ships or fleets it may see, or all ships."]
        return await _keys_page(request, reader, typed=typed, wrong=wrong)
    if typed["scope"] != "some" and (typed["vessels"] or typed["fleets"]):
        typed["scope"] = "some"
        return await _keys_page(request, reader, typed=typed, wrong=[_ALL_OR_SOME])
    asked: dict[str, Any] = {"name": typed["name"], "role": typed["role"]}
    if typed["scope"] == "some":
        asked |= {name: typed[name] for name in ("vessels", "fleets") if typed[name]}
    if typed["days"]:
        asked["days"] = int(typed["days"]) if typed["days"].isdecimal() and len(typed["days"]) < 6 else 0
    parts = page_parts_of(request)
    try:
        wanted = KeyRequest.model_validate(asked)
        made = await in_thread(request, make_key, parts.records, parts.access, reader.caller, wanted)
    except ValidationError as invalid:
        wrong = [f"{_field(e['pointer'])}: {e['detail']}" for e in errors_of(invalid)]
        return await _keys_page(request, reader, typed=typed, wrong=wrong)
    except Refusal as refused:
        if refused.code in ("unauthenticated", "forbidden"):
            raise
        return await _keys_page(
            request, reader, typed=typed, wrong=[e["detail"] for e in refused.errors] or [refused.detail]
        )
    shown = await _keys_page(request, reader, made=made)
    shown.headers["Cache-Control"] = "no-store"
    return shown


@router.post("/keys/{id}/revoke")
async def post_revoke(request: Request, reader: WhoReads, id: str) -> Response:
    """Let a key open nothing from now on."""
    await posted(request)
    identifier(id, "key")
    if id == reader.caller.key_id:
        raise Refusal("conflict", "This is the key you are signed in with; revoke it with another one.")
    parts = page_parts_of(request)
    await in_thread(request, revoke_key, parts.records, parts.access, reader.caller, id)
    return go_to("/keys")


@router.post("/keys/mail/{id}/end")
async def post_end_mail(request: Request, reader: WhoReads, id: str) -> Response:
    """Send nobody of this id mail from now on."""
    await posted(request)
    identifier(id, "key")
    await in_thread(request, end_mail, page_parts_of(request).records, reader.caller, id)
    return go_to("/keys#mail-head")


async def _keys_page(
    request: Request,
    reader: Reader,
    *,
    made: Any = None,
    typed: dict[str, Any] | None = None,
    wrong: list[str] | None = None,
) -> Response:
    records = page_parts_of(request).records
    signed_in_before = reader.signed_in
    if made is not None and not signed_in_before:
        # The first key ends the time in which this machine needed none: the list is for whoever holds it.
        keys: list[Any] = []
    else:
        keys = await in_thread(request, list_keys, records, reader.caller, after=None, limit=MOST)
    first = made is not None and not signed_in_before
    ships = [] if first else await in_thread(request, ships_by_name, request, reader)
    fleets = [] if first else await in_thread(request, fleets_by_name, request, reader)
    rule = page_parts_of(request).sign_in_rule
    told = [] if first else await in_thread(request, list_told_by_mail, records, rule, reader.caller)
    return page(
        request,
        "keys.html",
        reader,
        here="keys",
        now_signs_in=first,
        status=422 if wrong else 200,
        twin="/v1/keys",
        keys=keys,
        made=made,
        first=first,
        typed=typed or _NOTHING_TYPED,
        ships=ships,
        names=dict(ships),
        fleets=fleets,
        fleet_names={fleet["id"]: fleet["name"] for fleet in fleets},
        told=told,
        wrong=wrong or [],
    )


def _field(pointer: str) -> str:
    """What a field of the form is called, by the place of the error."""
    name = pointer.strip("/").split("/")[0]
    return _FIELDS.get(name, name)


def ships_by_name(request: Request, reader: Reader) -> list[tuple[str, str]]:
    """Ids and names of the ships there are, by name."""
    found = list_vessels(
        page_parts_of(request).records,
        reader.caller,
        name=None,
        imo_number=None,
        reference=None,
        updated_after=None,
        updated_before=None,
        after=None,
        limit=MOST_SHIPS,
    )
    return sorted(((ship["id"], ship["name"]) for ship in found), key=lambda ship: ship[1].casefold())


def fleets_by_name(request: Request, reader: Reader) -> list[NamedFleet]:
    """The fleets there are, by name."""
    found = list_named_fleets(page_parts_of(request).records, reader.caller, after=None, limit=MOST)
    return sorted(found, key=lambda fleet: fleet["name"].casefold())
