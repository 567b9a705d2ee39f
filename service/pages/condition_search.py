"""What somebody looks for among the conditions of a ship: words, verdict, state and days, a page of them at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final
from urllib.parse import urlencode

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.actions.show_condition import ConditionChoice, count_conditions, list_conditions
from service.wire.condition_record import ConditionLine

PAGE_SIZE: Final = 50
LONGEST: Final = 80
VERDICTS: Final = (("", "any verdict"), ("fail", "fails"), ("incomplete", "incomplete"), ("pass", "passes"))
STATES: Final[tuple[tuple[str, str], ...]] = (
    ("", "any, withdrawn left out"),
    ("in_force", "in force"),
    ("worked_on", "being worked on"),
    ("put_aside", "put aside"),
    ("withdrawn", "withdrawn"),
)
REVIEWS: Final = (
    ("", "any"),
    ("accepted", "accepted"),
    ("returned", "returned"),
    ("unreviewed", "not reviewed"),
)


@dataclass(frozen=True)
class Search:
    """What the form holds. `since`, `until`: days as 2026-03-12, both counted; `at`: the condition that the page before
    ended with."""

    words: str = ""
    verdict: str = ""
    state: str = ""
    review: str = ""
    since: str = ""
    until: str = ""
    at: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether nothing is looked for."""
        return not any((self.words, self.verdict, self.state, self.review, self.since, self.until))

    def query(self, at: str = "") -> str:
        """The same in an address, behind a condition."""
        fields = {
            "words": self.words,
            "verdict": self.verdict,
            "state": self.state,
            "review": self.review,
            "since": self.since,
            "until": self.until,
            "at": at,
        }
        return urlencode({name: value for name, value in fields.items() if value})

    def choice(self) -> ConditionChoice:
        """The same for the list of conditions."""
        until = _day(self.until)
        return ConditionChoice(
            words=self.words or None,
            verdicts=[self.verdict] if self.verdict else None,
            states=[self.state] if self.state else None,
            review_states=[self.review] if self.review else None,
            updated_after=_before(_day(self.since)),
            updated_before=None if until is None else until + timedelta(days=1),
        )


@dataclass(frozen=True)
class Found:
    """A page of what was found; `count`: how many there are in all, `before`: where the next page begins."""

    lines: list[ConditionLine]
    count: int
    before: str


def search_in(query: Mapping[str, str]) -> Search:
    """What an address asks for; what nobody can choose is left out."""

    def one_of(name: str, choices: Sequence[tuple[str, str]]) -> str:
        value = query.get(name, "")
        return value if value in dict(choices) else ""

    def day(name: str) -> str:
        value = query.get(name, "").strip()
        return value if _day(value) is not None else ""

    return Search(
        query.get("words", "").strip()[:LONGEST],
        one_of("verdict", VERDICTS),
        one_of("state", STATES),
        one_of("review", REVIEWS),
        day("since"),
        day("until"),
        query.get("at", "")[:LONGEST],
    )


def found_by(records: Records, caller: Caller, vessel: str, search: Search) -> Found:
    """A page of her conditions, the one entered last first. Raises Refusal."""
    wanted = search.choice()
    lines = list_conditions(
        records,
        caller,
        vessel=vessel,
        wanted=wanted,
        units="metric",
        before=search.at or None,
        limit=PAGE_SIZE + 1,
    )
    shown = lines[:PAGE_SIZE]
    more = shown[-1]["id"] if len(lines) > PAGE_SIZE else ""
    return Found(shown, count_conditions(records, caller, vessel=vessel, wanted=wanted), more)


def _day(text: str) -> datetime | None:
    try:
        day = datetime.strptime(text, "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError:
        return None
    return day if 1900 <= day.year < 2999 else None


def _before(moment: datetime | None) -> datetime | None:
    """Just before it: the list leaves out its bounds."""
    return None if moment is None else moment - timedelta(microseconds=1)
