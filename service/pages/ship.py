"""The page of one ship: what was returned to her, what she sails with, what is worked on, what was put aside."""

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from typing import Any, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.keep_unfinished import list_unfinished
from service.actions.show_condition import ConditionChoice, list_conditions
from service.actions.show_vessel import list_vessel_revisions
from service.pages.condition_search import (
    REVIEWS,
    STATES,
    VERDICTS,
    Found,
    Search,
    found_by,
    search_in,
)
from service.pages.fleet_rows import REVIEWING, day_and_time, signed, waited, what_is_wrong
from service.pages.kept_booklet import proof_of
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.sheet.templates import address_of_template, being_typed, templates_among
from service.pages.sheet.unfinished import address_of
from service.web.addresses import VesselAddress, identifier
from service.web.caller import in_thread
from service.wire.condition_record import ConditionLine
from service.wire.figures import rounded

router = APIRouter(route_class=PageRoute, include_in_schema=False)
MOST_RETURNED: Final = 50
FROM_THE_PAST: Final = ("put_aside", "withdrawn")


@dataclass(frozen=True)
class ConditionRow:
    """A condition of hers in one line; fails: whether it stands out."""

    id: str
    title: str
    standing: str
    wrong: str
    gm: str
    margin: str
    fails: bool


def row_of(line: ConditionLine, role: str, now: datetime) -> ConditionRow:
    """The line for a reader of that role."""
    margin = line["least_stability_margin"]
    return ConditionRow(
        id=line["id"],
        title=line["title"] if not line["voyage"] else f"{line['title']}, voyage {line['voyage']}",
        standing=standing_of(line, role, now),
        wrong=what_is_wrong(line),
        gm=rounded(line["gm_corrected"], 3),
        margin=signed(None if margin is None else margin["gm_equivalent"]),
        fails=line["verdict"] == "fail",
    )


def standing_of(line: ConditionLine, role: str, now: datetime) -> str:
    """Its review and who waits for whom: "waits for the office, 6 h", "returned 3 Mar 16:40, revision 2"."""
    if line["review_state"] == "unreviewed" and line["state"] in FROM_THE_PAST:
        return f"not reviewed, revision {line['revision']} of {day_and_time(line['updated'])}"
    if line["review_state"] == "unreviewed":
        whom = "you" if role in REVIEWING else "the office"
        return f"waits for {whom}, {waited(line['updated'], now)}"
    note = line["returned"] or line["accepted"]
    when = "" if note is None else f" {day_and_time(note['when'])}"
    return f"{line['review_state']}{when}, revision {line['revision']}"


@router.get("/vessels/{vessel}/conditions")
async def get_ship(request: Request, reader: WhoReads, vessel: VesselAddress) -> Response:
    """Her conditions by their state."""
    return await ship_page(request, reader, identifier(vessel, "vessel"))


async def ship_page(request: Request, reader: Reader, vessel: str) -> Response:
    """The page of the ship."""
    found = await in_thread(request, _context, request, reader, vessel)
    return page(
        request,
        "ship.html",
        reader,
        here="fleet",
        twin=f"/v1/vessels/{vessel}/conditions",
        id=vessel,
        may_write=reader.may("write_condition"),
        **found,
    )


def _context(request: Request, reader: Reader, vessel: str) -> dict[str, Any]:
    parts, caller = page_parts_of(request), reader.caller
    search = search_in(request.query_params)
    ship = list_vessel_revisions(parts.records, caller, vessel, before=None, limit=1)[0]
    proof = proof_of(parts, caller, vessel, ship["revision"], ship["digest"])
    now = datetime.now(UTC)
    typed = list_unfinished(parts.records, caller, vessel)["items"]
    hers = partial(list_conditions, parts.records, caller, vessel=vessel, units="metric", before=None)
    in_force = next(iter(hers(wanted=ConditionChoice(states=["in_force"]), limit=1)), None)
    returned = hers(
        wanted=ConditionChoice(review_states=["returned"], states=["worked_on", "in_force"]),
        limit=MOST_RETURNED,
    )
    find = partial(found_by, parts.records, caller, vessel)
    found = None if search.is_empty else find(search)
    states = ("worked_on", "put_aside") if found is None else ()
    groups = {state: find(Search(state=state)) for state in states}

    def rows(of: Found | None) -> list[ConditionRow]:
        return [] if of is None else [row_of(line, caller.role, now) for line in of.lines]

    return {
        "name": ship["name"],
        "imo_number": ship["imo_number"],
        "proof_words": proof["words"],
        "proof_state": proof["state"],
        "returned": [line for line in returned if line["returned"] is not None],
        "in_force": in_force,
        "in_force_row": None if in_force is None else row_of(in_force, caller.role, now),
        "search": search,
        "choices": {"verdict": VERDICTS, "state": STATES, "review": REVIEWS},
        "found": found,
        "found_rows": rows(found),
        "groups": {state: (of, rows(of)) for state, of in groups.items()},
        "typed": [{**line, "address": address_of(line)} for line in being_typed(typed)],
        "templates": [(address_of_template(line), line) for line in templates_among(typed)],
    }
