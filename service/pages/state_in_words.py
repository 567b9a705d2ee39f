"""The state of a condition as its page tells it, and what a reader may make of it."""

from dataclasses import dataclass
from typing import Final

from pydantic_core import from_json

from service.actions.access import Caller
from service.actions.set_state import show_condition_state
from service.pages.page import PageParts
from service.pages.wording import short_moment
from service.wire.state import ConditionStateRecord

TITLES: Final = {
    "in_force": "In force: she sails with this",
    "worked_on": "Being worked on",
    "put_aside": "Put aside",
    "withdrawn": "Withdrawn",
}
_CHOICES: Final = (
    ("in_force", "Take it in force: she sails with this from now on"),
    ("worked_on", "Work on it again"),
    ("put_aside", "Put it aside"),
    ("withdrawn", "Withdraw it: it leaves the lists, and nothing is deleted"),
)


@dataclass(frozen=True)
class StateInWords:
    """tag: what the reader has seen of the condition, which comes back with his form. since: empty where its state was
    never set. choices: states it may be given, each with its words."""

    state: str
    tag: str
    title: str
    since: str
    reason: str
    choices: list[tuple[str, str]]


def state_in_words(parts: PageParts, caller: Caller, condition: str, latest: int) -> StateInWords:
    """latest: number of its latest revision; one in force by an earlier revision may be taken in force again."""
    text, tag = show_condition_state(parts.records, caller, condition)
    record: ConditionStateRecord = from_json(text)
    state, title = record["state"], TITLES[record["state"]]
    last = record["events"][0] if record["events"] else None
    since, reason, behind = "", "", False
    if last is not None:
        behind = state == "in_force" and last["revision"] < latest
        since = f"Since {short_moment(last['created'])}, by {last['author']['name']}, at revision {last['revision']}"
        if last["replaced_by"]:
            since += "; another condition took force"
        if behind:
            since += f"; revision {latest} came later"
            title = f"In force since revision {last['revision']}; revision {latest} came later"
        reason = last["reason"] or ""
    choices = [(name, words) for name, words in _CHOICES if name != state or behind]
    return StateInWords(state, tag, title, since, reason, choices)
