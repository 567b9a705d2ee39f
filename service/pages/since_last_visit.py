"""What is new since a reader was last here: of the fleet, and of one condition."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from service.pages.fleet_rows import FAILS, ORDER, RETURNED, WAITS, day_and_time, group_of
from service.wire.condition_record import ConditionHistoryLine
from service.wire.fleet import FleetLine
from service.wire.review import Review


@dataclass(frozen=True)
class News:
    """when: the end of the last visit in words; parts: a group of the fleet and what is new there."""

    when: str
    parts: list[tuple[str, str]]


def when_in_words(moment: str, now: datetime) -> str:
    """A time as it is said today: "today 14:05", "yesterday 18:10", "24 Nov 09:12"."""
    at = datetime.fromisoformat(moment).astimezone(UTC)
    for days, word in ((0, "today"), (1, "yesterday")):
        if at.date() == (now - timedelta(days=days)).date():
            return f"{word} {at:%H:%M}"
    return day_and_time(moment)


def news_of_fleet(lines: Iterable[FleetLine], since: str, now: datetime, answered: int = 0) -> News:
    """Conditions shown that were entered, revised or reviewed after `since`, by the group they stand in. answered: how
    many that had been returned got a new revision since, whether they are shown or not."""
    failures = waiting = returned = accepted = 0
    for line in lines:
        condition, group = line["condition"], group_of(line)
        if condition is None:
            continue
        revised = is_after(condition["updated"], since)
        failures += group == FAILS and revised
        waiting += group == WAITS and revised
        note = condition["returned"]
        returned += note is not None and is_after(note["when"], since)
        note = condition["accepted"]
        accepted += note is not None and group == ORDER and is_after(note["when"], since)
    counted = (
        (FAILS, failures, f"{failures} new failure{'' if failures == 1 else 's'}"),
        (WAITS, waiting, f"{waiting} new to review"),
        (RETURNED, returned, f"{returned} returned"),
        (WAITS, answered, f"{answered} answered"),
        (ORDER, accepted, f"{accepted} accepted"),
    )
    return News(when_in_words(since, now), [(group, words) for group, count, words in counted if count])


def told_of_condition(
    history: Sequence[ConditionHistoryLine], reviews: Sequence[Review]
) -> list[tuple[str, str]]:
    """What may be new in a condition, each with its time: the last five revisions, newest first in `history`, and the
    reviews."""
    parts = [
        (line["created"], f"revision {line['revision']} by {line['author']['name']}")
        for line in reversed(history[:5])
    ]
    return parts + [
        (
            review["created"],
            f"revision {review['revision']} {review['decision']} by {review['author']['name']}",
        )
        for review in reviews
    ]


def news_of_condition(told: Iterable[tuple[str, str]], since: str, now: datetime) -> str:
    """What of it is later than `since`, in a sentence."""
    parts = [words for moment, words in told if is_after(moment, since)]
    return f"Since you were last here ({when_in_words(since, now)}): {', '.join(parts) or 'nothing new'}."


def is_after(moment: str, since: str) -> bool:
    """Whether a time of the record is later than another."""
    return datetime.fromisoformat(moment) > datetime.fromisoformat(since)
