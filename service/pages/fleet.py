"""The fleet page: who needs somebody, one line a ship."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from math import inf
from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.show_fleet import list_fleet
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.pages.wording import older_calculation, share_words
from service.translation.rule_sets import list_rule_sets
from service.web.caller import in_thread
from service.wire.figures import figure_in
from service.wire.fleet import FleetCondition, FleetLine
from service.wire.verdict_words import DANGERS_NOT_COUNTED, dangers_in_words, load_line_margin

router = APIRouter(route_class=PageRoute, include_in_schema=False)
PAGE_SIZE: Final = 1000
MOST_SHIPS: Final = 20_000
_GROUPS: Final = (
    ("fail", "Fails"),
    ("incomplete", "Incomplete"),
    ("unreviewed", "Passes, not reviewed"),
    ("returned", "Passes, returned to its author"),
    ("accepted", "Passes, accepted"),
    ("none", "No condition stored"),
)


@dataclass
class Group:
    """Ships that need the same from the reader."""

    name: str
    title: str
    lines: list[FleetLine] = field(default_factory=list)


def group_of(line: FleetLine) -> str:
    """What the reader has to do about a ship."""
    condition = line["condition"]
    if condition is None:
        return "none"
    return condition["review_state"] if condition["verdict"] == "pass" else condition["verdict"]


def in_groups(lines: Iterable[FleetLine]) -> list[Group]:
    """Fails, incomplete, not reviewed, returned, accepted, nothing kept; in each the most dangers first, then the
    least stability margin as a GM."""
    groups = {name: Group(name, title) for name, title in _GROUPS}
    for line in sorted(lines, key=_urgency):
        groups[group_of(line)].lines.append(line)
    return [group for group in groups.values() if group.lines]


def _urgency(line: FleetLine) -> tuple[float, float, str]:
    """Dangers that nobody counted come after those that somebody did, and before none."""
    condition = line["condition"]
    if condition is None:
        return 0.0, inf, line["name"]
    dangers, margin = condition["dangers"], condition["least_stability_margin"]
    gm = None if margin is None else margin["gm_equivalent"]
    return -(0.5 if dangers is None else dangers), inf if gm is None else gm, line["name"]


def summary(lines: list[FleetLine]) -> str:
    """The first sentence of the page."""
    if not lines:
        return "No ship here"
    counts = {name: 0 for name, _ in _GROUPS}
    for line in lines:
        counts[group_of(line)] += 1
    parts = []
    if counts["fail"]:
        parts.append(f"{share_words(counts['fail'], 'ship fails', 'ships fail')}")
    if counts["incomplete"]:
        parts.append(f"{counts['incomplete']} {'is' if counts['incomplete'] == 1 else 'are'} incomplete")
    waiting = counts["unreviewed"]
    if waiting:
        parts.append(f"{waiting} {'waits' if waiting == 1 else 'wait'} for review")
    if not parts:
        return "No ship needs you"
    return (parts[0] if counts["fail"] else _with_ships(parts[0])) + "".join(
        f", {part}" for part in parts[1:]
    )


def _with_ships(part: str) -> str:
    count, _, rest = part.partition(" ")
    return f"{count} {'ship' if count == '1' else 'ships'} {rest}"


@router.get("/")
async def get_fleet(request: Request, reader: WhoReads) -> Response:
    """Filters by name, verdict and review state; needs-attention first."""
    asked = {name: request.query_params.get(name, "").strip()[:80] for name in ("name", "verdict", "review")}
    start = request.query_params.get("from", "0")
    start_at = int(start) if start.isdecimal() and len(start) < 7 else 0
    every = await in_thread(request, _every, request, reader)
    lines = [line for line in every if _matches_query(line, asked)]
    groups = in_groups(lines)
    shown, more = _piece(groups, start_at)
    query = [f"{n}={asked[o]}" for n, o in (("verdict", "verdict"), ("review_state", "review")) if asked[o]]
    return page(
        request,
        "fleet.html",
        reader,
        here="fleet",
        twin="/v1/fleet" + ("?" + "&".join(query) if query and not asked["name"] else ""),
        groups=shown,
        summary=summary(lines),
        asked=asked,
        filtered=any(asked.values()),
        count=len(lines),
        all_count=len(every),
        more=more,
        needs=needs,
    )


def _piece(groups: list[Group], start: int) -> tuple[list[Group], int | None]:
    """The groups from line `start` on, at most `PAGE_SIZE` lines; where the next piece starts."""
    shown, passed, room = [], 0, PAGE_SIZE
    for group in groups:
        lines = group.lines[max(0, start - passed) :][:room]
        passed += len(group.lines)
        room -= len(lines)
        if lines:
            shown.append(Group(group.name, group.title, lines))
    end = start + PAGE_SIZE
    return shown, end if end < passed else None


def _every(request: Request, reader: Reader) -> list[FleetLine]:
    lines: list[FleetLine] = []
    after: str | None = None
    while len(lines) < MOST_SHIPS:
        _, found = list_fleet(
            page_parts_of(request).records,
            reader.caller,
            verdict=None,
            review_state=None,
            units="metric",
            after=after,
            limit=PAGE_SIZE,
        )
        lines += found
        if len(found) < PAGE_SIZE:
            break
        after = found[-1]["vessel"]
    return lines


def _matches_query(line: FleetLine, asked: dict[str, str]) -> bool:
    condition = line["condition"]
    if (
        asked["name"]
        and asked["name"].casefold() not in f"{line['name']} {line['imo_number'] or ''}".casefold()
    ):
        return False
    if asked["verdict"] and (condition is None or condition["verdict"] != asked["verdict"]):
        return False
    return not asked["review"] or (condition is not None and condition["review_state"] == asked["review"])


def needs(condition: FleetCondition) -> dict[str, str]:
    """What a line says beside the verdict of its group: dangers, the least stability margin with its criterion, the
    load line; why there is none, or which calculation judged it."""
    margin, dangers = condition["least_stability_margin"], condition["dangers"]
    older = older_calculation(condition["calculation_version"])
    if margin is None:
        criterion = older or "no stability criterion was judged"
    else:
        of_judged = "of what was judged: " if condition["verdict"] == "incomplete" else ""
        title = _titles().get(margin["criterion"], _from_id(margin["criterion"]))
        criterion = ", ".join(part for part in (of_judged + title, older) if part)
    return {
        "dangers": DANGERS_NOT_COUNTED if dangers is None else dangers_in_words(dangers),
        "margin": "" if margin is None else figure_in(margin["margin"], margin["unit"]),
        "criterion": criterion,
        "load_line": load_line_margin(condition["load_line_margin"], "metric"),
    }


@cache
def _titles() -> dict[str, str]:
    return {row["id"]: row["title"] for rules in list_rule_sets()["items"] for row in rules["criteria"]}


def _from_id(id: str) -> str:
    """A title for a criterion that has none of its own, such as a ship's own limit curve."""
    if "min-gm" in id:
        return "her own curve of least GM"
    return "her own curve of greatest VCG" if "max-vcg" in id else id.replace("-", " ")
