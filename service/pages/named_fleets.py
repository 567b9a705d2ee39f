"""The pages of fleets, for administrators: which there are, their ships, the keys that see them."""

import re
import secrets
import unicodedata
from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from service.actions.keys import list_keys
from service.actions.named_fleets import set_named_fleet, show_named_fleet
from service.pages.keys import MOST, fleets_by_name, ships_by_name
from service.pages.page import PageRoute, WhoReads, go_to, page, page_parts_of, posted, text_of
from service.pages.session import Reader
from service.web.caller import in_thread
from service.wire.fields import CHOSEN_ID_PATTERN
from service.wire.key import Key
from service.wire.named_fleet import NamedFleet, NamedFleetRequest
from service.wire.parse import parse_json
from service.wire.problem import errors_of
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)
LONGEST_ID: Final = 64
_OURS: Final = ("invalid_request", "precondition_required", "stale")
"""Refusals that are answered on the page itself; whatever else is refused has the page of errors."""


@dataclass(frozen=True)
class Choice:
    """What stands in the form: name and ships; search narrows which others are shown; tag: the state it began with."""

    name: str
    ships: frozenset[str]
    search: str = ""
    tag: str = ""


@router.get("/fleets")
async def get_fleets(request: Request, reader: WhoReads) -> Response:
    """The fleets there are, and the form for a new one."""
    return await _fleets_page(request, reader, Choice("", frozenset()))


@router.post("/fleets")
async def post_fleets(request: Request, reader: WhoReads) -> Response:
    """Make a fleet. The same form sent twice makes one."""
    do, choice = await _posted_choice(request, reader)
    if do == "search":
        return await _fleets_page(request, reader, choice)
    id = id_for(choice.name)
    try:
        await _set(request, reader, id, choice, None)
    except ValidationError as invalid:
        return await _fleets_page(request, reader, choice, _words_of(invalid))
    except Refusal as refused:
        if refused.code not in _OURS:
            raise
        if refused.code == "precondition_required":
            there, _ = await _stored(request, reader, id)
            if (there["name"], frozenset(there["vessels"])) != (choice.name, choice.ships):
                taken = (
                    f"There is a fleet {there['name']} already ({id}): change that one, or take another name."
                )
                return await _fleets_page(request, reader, choice, taken)
        else:
            return await _fleets_page(request, reader, choice, refused.detail)
    return go_to(f"/fleets/{id}?done=made")


@router.get("/fleets/{fleet}")
async def get_fleet(request: Request, reader: WhoReads, fleet: str) -> Response:
    """One fleet: its ships, the form to change them, the keys that see them."""
    there, tag = await _stored(request, reader, _known_form(fleet))
    choice = Choice(there["name"], frozenset(there["vessels"]), tag=tag)
    done = {"made": "Made.", "kept": "Kept. Keys that name it see its ships within a second."}
    return await _fleet_page(
        request, reader, there, choice, done=done.get(request.query_params.get("done", ""), "")
    )


@router.post("/fleets/{fleet}")
async def post_fleet(request: Request, reader: WhoReads, fleet: str) -> Response:
    """Give it another name or other ships, as long as nobody else did so since the form was shown."""
    do, choice = await _posted_choice(request, reader)
    id = _known_form(fleet)
    there, tag = await _stored(request, reader, id)
    if do == "search":
        return await _fleet_page(request, reader, there, choice)
    try:
        await _set(request, reader, id, choice, frozenset({choice.tag}))
    except ValidationError as invalid:
        return await _fleet_page(request, reader, there, choice, wrong=_words_of(invalid))
    except Refusal as refused:
        if refused.code not in _OURS:
            raise
        if refused.code != "stale":
            return await _fleet_page(request, reader, there, choice, wrong=refused.detail)
        there, tag = await _stored(request, reader, id)
        mine = Choice(choice.name, choice.ships, choice.search, tag)
        return await _fleet_page(request, reader, there, mine, stale=True)
    return go_to(f"/fleets/{id}?done=kept")


def id_for(name: str) -> str:
    """The id of a new fleet by its name: lower case, digits, hyphens; by chance where nothing of it is left."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    id = re.sub("[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_ID].strip("-")
    return id if re.fullmatch(CHOSEN_ID_PATTERN, id) else f"fleet-{secrets.token_hex(4)}"


def _known_form(id: str) -> str:
    if not re.fullmatch(CHOSEN_ID_PATTERN, id):
        raise Refusal("unknown_fleet", "There is no fleet at this address.")
    return id


async def _posted_choice(request: Request, reader: Reader) -> tuple[str, Choice]:
    """What the form asks for, and what stands in it."""
    form = await posted(request)
    reader.caller.require("administer")
    ships = frozenset(id for id in form.getlist("vessel") if isinstance(id, str))
    choice = Choice(text_of(form, "name"), ships, text_of(form, "search"), text_of(form, "tag"))
    return text_of(form, "do"), choice


async def _set(
    request: Request, reader: Reader, id: str, choice: Choice, expected: frozenset[str] | None
) -> None:
    parts = page_parts_of(request)
    wanted = NamedFleetRequest.model_validate({"name": choice.name, "vessels": sorted(choice.ships)})
    await in_thread(
        request, set_named_fleet, parts.records, parts.access, reader.caller, id, wanted, expected=expected
    )


async def _stored(request: Request, reader: Reader, id: str) -> tuple[NamedFleet, str]:
    text, tag = await in_thread(request, show_named_fleet, page_parts_of(request).records, reader.caller, id)
    there: Any = parse_json(text.encode())
    return there, tag


async def _keys(request: Request, reader: Reader) -> list[Key]:
    """Keys that open something and have fleets as their scope."""
    records = page_parts_of(request).records
    found: list[Key] = await in_thread(request, list_keys, records, reader.caller, after=None, limit=MOST)
    return [key for key in found if key["fleets"] and not key["revoked"]]


async def _fleets_page(request: Request, reader: Reader, choice: Choice, wrong: str = "") -> Response:
    fleets = await in_thread(request, fleets_by_name, request, reader)
    ships = await in_thread(request, ships_by_name, request, reader)
    keys = await _keys(request, reader)
    return page(
        request,
        "named_fleets.html",
        reader,
        here="keys",
        status=422 if wrong else 200,
        twin="/v1/fleets",
        fleets=fleets,
        names=dict(ships),
        keys={fleet["id"]: [key for key in keys if fleet["id"] in key["fleets"]] for fleet in fleets},
        choice=choice,
        ships=_ships_to_choose(ships, choice),
        all_count=len(ships),
        wrong=wrong,
    )


async def _fleet_page(
    request: Request,
    reader: Reader,
    there: NamedFleet,
    choice: Choice,
    *,
    wrong: str = "",
    done: str = "",
    stale: bool = False,
) -> Response:
    ships = await in_thread(request, ships_by_name, request, reader)
    keys = [key for key in await _keys(request, reader) if there["id"] in key["fleets"]]
    members = frozenset(there["vessels"])
    return page(
        request,
        "named_fleet.html",
        reader,
        here="keys",
        status=409 if stale else 422 if wrong else 200,
        twin=f"/v1/fleets/{there['id']}",
        fleet=there,
        keys=keys,
        choice=choice,
        ships=_ships_to_choose(ships, choice),
        all_count=len(ships),
        wrong=wrong,
        done=done,
        stale=stale,
        theirs_only=_ids_and_names(ships, members - choice.ships),
        mine_only=_ids_and_names(ships, choice.ships - members),
    )


def _ships_to_choose(ships: list[tuple[str, str]], choice: Choice) -> tuple[list[Any], list[Any]]:
    """Those chosen, whatever is searched for, and of the others those that match; each id and name."""
    sought = choice.search.casefold()
    others = [
        (id, name)
        for id, name in ships
        if id not in choice.ships and (sought in name.casefold() or sought in id.casefold())
    ]
    return _ids_and_names(ships, choice.ships), others


def _ids_and_names(ships: list[tuple[str, str]], chosen: frozenset[str]) -> list[tuple[str, str]]:
    """The ships chosen, by name; one that is withdrawn or not here by its id."""
    known = [(id, name) for id, name in ships if id in chosen]
    return known + [(id, id) for id in sorted(chosen - {id for id, _ in known})]


def _words_of(invalid: ValidationError) -> str:
    fields = {"name": "Name of the fleet", "vessels": "Ships"}
    found = errors_of(invalid)[0]
    return f"{fields.get(found['pointer'].strip('/').split('/')[0], found['pointer'])}: {found['detail']}"
