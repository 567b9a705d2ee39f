"""A ship of the fleet in one line: which group she stands in, what is wrong in a few words, who waits."""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cache
from math import inf
from typing import Any, Final, NamedTuple

from service.pages.pictures import FLOATS, GM, HEELS, LEVER, MEASURED, OWN_CURVES, STRENGTH, VIEWS, WIND
from service.pages.wording import older_calculation
from service.translation.rule_sets import list_rule_sets
from service.wire.condition_record import ConditionFigures
from service.wire.figures import MINUS, figure_in, rounded
from service.wire.fleet import FleetCondition, FleetLine
from service.wire.verdict_words import DANGERS_NOT_COUNTED, dangers_in_words, draft_margin

FAILS, RETURNED, WAITS, INCOMPLETE, ORDER, NONE = "fails", "returned", "wait", "incomplete", "order", "none"
REVIEWING: Final = ("reviewer", "administrator")
_SHORT: Final = {
    GM: "GM",
    FLOATS: "draft or trim",
    LEVER: "righting lever",
    WIND: "wind",
    HEELS: "heel",
    STRENGTH: "strength",
    VIEWS: "view or draft",
}


class Row(NamedTuple):
    """A line of the fleet, in the order its template takes it apart.

    wrong: in a few words. others: "2 others fail"; empty for none. drafts: aft and
    forward in metres. proof: of her booklet, empty where it is proved. urgency: orders the lines of a group, the most
    urgent first."""

    vessel: str
    ship: str
    condition: str = ""
    title: str = ""
    wrong: str = ""
    gm: str = ""
    margin: str = ""
    waits: str = ""
    others: str = ""
    drafts: str = ""
    proof: str = ""
    group: str = NONE
    urgency: tuple[Any, ...] = ()
    is_revised: bool = False
    """Whether there is an earlier revision to compare with."""


@dataclass
class Group:
    """Ships that need the same from somebody."""

    name: str
    title: str
    about: str
    mark: str
    rows: list[Row] = field(default_factory=list)


def groups(reviews: bool) -> list[Group]:
    """The empty groups in the order of danger, as a reader of that kind sees them."""
    wait = "Wait for your review" if reviews else "Wait for review"
    return [
        Group(FAILS, "Fail", "does not meet a rule", "fail"),
        Group(RETURNED, "Returned", "the ship has to answer", "returned"),
        Group(WAITS, wait, "the longest wait first; anything wrong is named", "waiting"),
        Group(INCOMPLETE, "Incomplete", "something could not be judged", "incomplete"),
        Group(NONE, "Nothing entered", "no condition in force or being worked on", "not_applicable"),
        Group(ORDER, "In order", "accepted, every rule met", "pass"),
    ]


def group_of(line: FleetLine) -> str:
    """Where a ship stands: by the condition she sails with, then by what else is returned or waits."""
    condition, others = line["condition"], line["others"]
    if condition is None:
        return NONE
    review = condition["review_state"]
    if condition["verdict"] == "fail" and (condition["state"] == "in_force" or review != "returned"):
        return FAILS
    if review == "returned" or others["returned"]:
        return RETURNED
    if review == "unreviewed" or others["unreviewed"]:
        return WAITS
    return INCOMPLETE if condition["verdict"] == "incomplete" else ORDER


def row_of(line: FleetLine, role: str, now: datetime, order: str = "") -> Row:
    """The line of a ship for a reader of that role. order: margin or name; anything else by wait and danger."""
    condition, others = line["condition"], line["others"]
    group = group_of(line)
    name = line["name"]
    if condition is None:
        return Row(line["vessel"], name, proof=proof_of(line), group=group, urgency=(name,))
    margin = condition["least_stability_margin"]
    gm = None if margin is None else margin["gm_equivalent"]
    return Row(
        vessel=line["vessel"],
        ship=name,
        condition=condition["id"],
        title=voyage_of(condition) + ("" if condition["state"] == "in_force" else "; not in force"),
        wrong=what_is_wrong(condition, group == ORDER),
        gm=rounded(condition["gm_corrected"], 3),
        margin=signed(gm),
        waits=who_waits(line, role, now),
        others=_others(others["fail"]),
        drafts=_drafts(condition),
        proof=proof_of(line),
        group=group,
        is_revised=condition["revision"] > 1 and group in (WAITS, RETURNED),
        urgency=_urgency(name, condition, gm, group, order),
    )


def _urgency(
    name: str, condition: FleetCondition, gm: float | None, group: str, order: str
) -> tuple[Any, ...]:
    if order == "name":
        return (name.casefold(),)
    least = inf if gm is None else gm
    if order == "margin":
        return (least, name)
    if group in (WAITS, RETURNED):
        return (condition["updated"], name)
    dangers = condition["dangers"]
    return (-(0.5 if dangers is None else dangers), least, name)


def voyage_of(condition: FleetCondition) -> str:
    """Where she goes: "Farhaven to Estmouth, departure"; the title of the condition where no port is named."""
    start, end, phase = condition["port_from"], condition["port_to"], condition["phase"]
    ports = f"{start} to {end}" if start and end else f"from {start}" if start else f"to {end}" if end else ""
    if not ports:
        return condition["title"]
    return f"{ports}, {phase.replace('_', ' ')}" if phase else ports


def _drafts(condition: FleetCondition) -> str:
    aft, forward = condition["draft_aft"], condition["draft_forward"]
    return "" if aft is None or forward is None else f"{rounded(aft, 2)} / {rounded(forward, 2)}"


def proof_of(line: FleetLine) -> str:
    """What is to be said of the proof of her booklet; empty where it is proved."""
    proof = line["proof"]
    if proof is None:
        return "not computed yet"
    state: str = proof["state"]
    if proof["is_older"]:
        return f"{state}, judged by older data"
    return "" if state == "proved" else state


def signed(value: float | None) -> str:
    """A margin in metres with its sign; empty where it is no plain number."""
    if value is None:
        return ""
    shown = rounded(value, 3)
    return shown if shown.startswith(MINUS) else f"+{shown}"


def _others(fail: int) -> str:
    return f"{fail} other{' fails' if fail == 1 else 's fail'}" if fail else ""


def what_is_wrong(condition: ConditionFigures, in_order: bool = False) -> str:
    """At most five words, with what was not counted by an earlier calculation behind them."""
    older = older_calculation(condition["calculation_version"])
    wrong = _wrong(condition, in_order)
    if condition["dangers"] is None:
        wrong += f", {DANGERS_NOT_COUNTED}"
    return f"{wrong}, {older}" if older else wrong


def _wrong(condition: ConditionFigures, in_order: bool) -> str:
    dangers = dangers_in_words(condition["dangers"] or 0)
    verdict = condition["verdict"]
    if verdict == "fail":
        return _failing(condition)
    if verdict == "incomplete":
        return f"incomplete; {dangers}" if dangers else "not everything is judged"
    if dangers:
        return f"passes; {dangers}"
    return "nothing" if in_order else "passes"


def _failing(condition: ConditionFigures) -> str:
    margin, line = condition["least_stability_margin"], condition["load_line_margin"]
    if margin is not None and margin["margin"] is not None and margin["margin"] < 0.0:
        name, most = _measured(margin["criterion"])
        size = figure_in(abs(margin["margin"]), margin["unit"])
        if name == "VCG":
            return f"VCG {size} too high"
        return f"{name} {size} {'too much' if most else 'short'}"
    if line is not None and line["draft"] < 0.0:
        return f"{draft_margin(abs(line['draft']), 'metric')} over load line"
    smallest = condition.get("smallest_margin")
    if smallest is not None and smallest["percent"] < 0.0:
        # What is left once the margins at departure are positive: a later stage, strength, a limit of her own.
        if smallest["criterion"].startswith("load-lines-"):
            return "over load line" if line is None else "over load line on voyage"
        known = _criteria().get(smallest["criterion"])
        if known is not None and known["key"] in MEASURED:
            return f"{_SHORT[MEASURED[known['key']].picture]} not met"
        if smallest["criterion"].startswith(OWN_CURVES) and margin is not None:
            # Her own curve counts for the margin at departure, so it fails later.
            name, _ = _measured(smallest["criterion"])
            return f"{name} {'too high' if name == 'VCG' else 'short'} on the way"
    return "a rule is not met"


def _measured(criterion: str) -> tuple[str, bool]:
    """A short name for what a criterion measures, and whether its limit is the most that is allowed."""
    known = _criteria().get(criterion)
    if known is not None:
        if known["key"] == "vcg":
            return "VCG", True
        measured = MEASURED.get(known["key"])
        return _SHORT[measured.picture] if measured else "righting lever", known["comparison"] == "<="
    return ("VCG", True) if "max-vcg" in criterion else ("GM", False)


@cache
def _criteria() -> dict[str, Any]:
    return {row["id"]: row for rules in list_rule_sets()["items"] for row in rules["criteria"]}


def who_waits(line: FleetLine, role: str, now: datetime) -> str:
    """Who has to act on her, and since when: "you, 3 h: revision 2", "the ship: returned 25 Nov 16:40", "nobody"."""
    condition, others = line["condition"], line["others"]
    if condition is None:
        return ""
    office = "you" if role in REVIEWING else "the office"
    ship = "you" if role == "ship" else "the ship"
    parts = []
    returned, accepted = condition["returned"], condition["accepted"]
    if returned is not None:
        parts.append(f"{ship}: returned {day_and_time(returned['when'])}")
    elif condition["review_state"] == "unreviewed":
        parts.append(f"{office}, {waited(condition['updated'], now)}: revision {condition['revision']}")
    elif accepted is not None and accepted["note"]:
        parts.append(f"nobody: accepted {day_and_time(accepted['when'])[:-6]}, note")
    for count, who, also, done in (
        (others["returned"], ship, returned is not None, "returned"),
        (others["unreviewed"], office, condition["review_state"] == "unreviewed", "to review"),
    ):
        if count:
            parts.append(f"{count} more {done}" if also else f"{who}: {count} {done}")
    return "; ".join(parts) or "nobody"


def waited(since: str, now: datetime) -> str:
    """How long ago, in short: "50 min", "3 h"; a date from one day on."""
    seconds = max(0.0, (now - datetime.fromisoformat(since)).total_seconds())
    if seconds >= 86400.0:
        return f"since {day_and_time(since)}"
    if seconds < 60.0:
        return "just now"
    return f"{int(seconds // 3600)} h" if seconds >= 3600.0 else f"{int(seconds // 60)} min"


def day_and_time(moment: str) -> str:
    """A time of the record in short: "25 Nov 16:40", in UTC."""
    at = datetime.fromisoformat(moment).astimezone(UTC)
    return f"{at.day} {at:%b %H:%M}"
