"""The fleet page: who needs somebody, one line a ship, each by the condition she sails with."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.last_visit import last_visit
from service.actions.show_fleet import FleetChoice, count_answered, list_fleet
from service.pages import fleet_rows
from service.pages.fleet_rows import Group, Row, row_of
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.ship import ship_page
from service.pages.since_last_visit import News, news_of_fleet
from service.web.caller import in_thread
from service.wire.fleet import FleetLine

router = APIRouter(route_class=PageRoute, include_in_schema=False)
PAGE_SIZE: Final = 1000
MOST_SHIPS: Final = 20_000
READ_AT_ONCE: Final = 5000
ORDERS: Final = (("", "danger and wait"), ("margin", "least GM margin"), ("name", "name"))


_AS_SAILED: Final = {True: " as she sails.", False: " as they sail."}


@dataclass(frozen=True)
class Part:
    """A part of the headline: `strong` is a link to a group, `after` goes on."""

    group: str
    strong: str
    after: str


def in_groups(rows: Iterable[Row], reviews: bool) -> list[Group]:
    """The groups that have a ship, the most danger first; in each the most urgent first."""
    found = {group.name: group for group in fleet_rows.groups(reviews)}
    for row in rows:
        found[row.group].rows.append(row)
    for group in found.values():
        group.rows.sort(key=lambda row: row.urgency)
    return [group for group in found.values() if group.rows]


def headline(groups: list[Group], role: str, all_in_force: bool) -> tuple[list[Part], list[Part]]:
    """What needs this reader, then the rest; all_in_force: whether every ship that fails sails with what fails."""
    counts = {group.name: len(group.rows) for group in groups}
    reviews, ship = role in fleet_rows.REVIEWING, role == "ship"
    said = {
        fleet_rows.FAILS: Part(
            fleet_rows.FAILS,
            _ships(counts.get(fleet_rows.FAILS, 0), "fails", "fail"),
            _AS_SAILED[counts.get(fleet_rows.FAILS, 0) == 1] if all_in_force else ".",
        ),
        fleet_rows.RETURNED: Part(
            fleet_rows.RETURNED,
            f"{_ships(counts.get(fleet_rows.RETURNED, 0), 'was', 'were')} returned",
            " to you." if ship else "",
        ),
        fleet_rows.WAITS: Part(
            fleet_rows.WAITS,
            _ships(counts.get(fleet_rows.WAITS, 0), "waits", "wait"),
            " for you." if reviews else " for review",
        ),
        fleet_rows.INCOMPLETE: Part(
            fleet_rows.INCOMPLETE, f"{counts.get(fleet_rows.INCOMPLETE, 0)} incomplete", ""
        ),
        fleet_rows.NONE: Part(fleet_rows.NONE, f"{counts.get(fleet_rows.NONE, 0)} with nothing entered", ""),
        fleet_rows.ORDER: Part(fleet_rows.ORDER, f"{counts.get(fleet_rows.ORDER, 0)} in order", ""),
    }
    first = [
        fleet_rows.FAILS,
        *([fleet_rows.RETURNED] if ship else []),
        *([fleet_rows.WAITS] if reviews else []),
    ]
    lead = [said[name] for name in first if name in counts]
    return lead, [part for name, part in said.items() if name in counts and name not in first]


def _ships(count: int, one: str, many: str) -> str:
    return f"{count} ship{'' if count == 1 else 's'} {one if count == 1 else many}"


@router.get("/")
async def get_fleet(request: Request, reader: WhoReads) -> Response:
    """Search by ship, port or IMO number; for a ship that sees herself alone, her own page."""
    role, scope = reader.caller.role, reader.caller.vessels
    if role == "ship" and scope is not None and len(scope) == 1:
        return await ship_page(request, reader, next(iter(scope)))
    asked = {name: request.query_params.get(name, "").strip()[:80] for name in ("name", "order")}
    start = request.query_params.get("from", "0")
    start_at = int(start) if start.isdecimal() and len(start) < 7 else 0
    found = await in_thread(request, _fleet, request, reader, asked["name"], asked["order"])
    shown, more = _piece(found.groups, start_at)
    return page(
        request,
        "fleet.html",
        reader,
        here="fleet",
        twin="/v1/fleet",
        groups=shown,
        lead=found.lead,
        rest=found.rest,
        news=found.news,
        says=_says(found.lead, found.count),
        asked=asked,
        orders=ORDERS,
        count=found.count,
        all_count=found.all_count,
        more=more,
        any_not_proved=any(row.proof for group in found.groups for row in group.rows),
    )


@dataclass(frozen=True)
class _Fleet:
    """What the page shows of the ships that match, and how many there are in all. lead, rest: see `headline`."""

    groups: list[Group]
    lead: list[Part]
    rest: list[Part]
    news: News | None
    count: int
    all_count: int


def _fleet(request: Request, reader: Reader, name: str, order: str) -> _Fleet:
    """The fleet as it is now; on a thread. name: what ships are searched by; order: see `row_of`."""
    records, caller = page_parts_of(request).records, reader.caller
    every = _every(request, reader)
    since = last_visit(records, caller)
    answered = 0 if since is None else count_answered(records, caller, since)
    now = datetime.now(UTC)
    lines = [line for line in every if _matches(line, name)]
    reviews = caller.role in fleet_rows.REVIEWING
    groups = in_groups((row_of(line, caller.role, now, order) for line in lines), reviews)
    lead, rest = headline(groups, caller.role, _all_in_force(lines))
    news = None if since is None else news_of_fleet(every, since, now, answered)
    return _Fleet(groups, lead, rest, news, len(lines), len(every))


def _says(lead: list[Part], count: int) -> str:
    """The headline as plain words, for the title."""
    if not count:
        return "No ship here"
    return ", ".join(part.strong for part in lead) or "No ship needs you"


def _all_in_force(lines: list[FleetLine]) -> bool:
    failing = [line["condition"] for line in lines if fleet_rows.group_of(line) == fleet_rows.FAILS]
    return all(condition is not None and condition["state"] == "in_force" for condition in failing)


def _piece(groups: list[Group], start: int) -> tuple[list[Group], int | None]:
    """The groups from line `start` on, at most `PAGE_SIZE` lines; where the next piece starts."""
    shown, passed, room = [], 0, PAGE_SIZE
    for group in groups:
        rows = group.rows[max(0, start - passed) :][:room]
        passed += len(group.rows)
        room -= len(rows)
        if rows:
            shown.append(replace(group, rows=rows))
    end = start + PAGE_SIZE
    return shown, end if end < passed else None


def _every(request: Request, reader: Reader) -> list[FleetLine]:
    lines: list[FleetLine] = []
    after: str | None = None
    while len(lines) < MOST_SHIPS:
        _, found = list_fleet(
            page_parts_of(request).records,
            reader.caller,
            wanted=FleetChoice(),
            units="metric",
            after=after,
            limit=READ_AT_ONCE,
        )
        lines += found
        if len(found) < READ_AT_ONCE:
            break
        after = found[-1]["vessel"]
    return lines


def _matches(line: FleetLine, asked: str) -> bool:
    """Whether a ship has what is asked for in her name, her IMO number or a port of the condition shown."""
    if not asked:
        return True
    condition = line["condition"]
    ports = () if condition is None else (condition["port_from"], condition["port_to"])
    return any(
        asked.casefold() in (text or "").casefold() for text in (line["name"], line["imo_number"], *ports)
    )
