"""Times and days of the year as people type them, and as they are written for people."""

import re
from datetime import datetime

from service.wire.fields import DATE_PATTERN
from service.wire.plan import DAY_OF_YEAR_PATTERN, MOMENT_PATTERN

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_MOMENT = re.compile(MOMENT_PATTERN)
_PUBLISHED_DAY = re.compile(DAY_OF_YEAR_PATTERN)
_WHOLE_MINUTE = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})T([0-9]{2}:[0-9]{2}):00Z\Z")
_TIME = re.compile(
    r"(.*?)[ T,]*(?:\b([0-9]{1,2})[:.h]?([0-9]{2})(?::([0-9]{2}))?\s*(?:h|hrs|hours)?\s*(?:Z|UTC|GMT)?)\Z",
    re.IGNORECASE,
)
_ISO_DATE = re.compile(r"([0-9]{4})[-./]([0-9]{1,2})[-./]([0-9]{1,2})\Z")
_NUMBERS = re.compile(r"([0-9]{1,2})[-./]([0-9]{1,2})(?:[-./]([0-9]{4}))?\Z")
_DAY_FIRST = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[-. ]*([A-Za-z]{3,9})\.?(?:[-, ]+([0-9]{4}))?\Z")
_MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.?[-. ]*([0-9]{1,2})(?:st|nd|rd|th)?(?:[-, ]+([0-9]{4}))?\Z")


LONGEST = 60
"""Characters that are looked at."""


_DATE = re.compile(DATE_PATTERN)
_MONTH_AND_YEAR = re.compile(r"([A-Za-z]{3,9})\.?[-,/ ]*([0-9]{4})\Z")


class NotADate(Exception):
    """A code of the catalogue."""


def day_of_year(text: str) -> str:
    """Month and day, 11-01, of 1 November, Nov 1 or 31-03. Raises NotADate where it is none, or could be two."""
    month, day, _ = _month_and_day(text)
    if _PUBLISHED_DAY.match(found := f"{month:02d}-{day:02d}") is None:
        raise NotADate("not_a_day")
    return found


def date(text: str) -> str:
    """A date as it is published (2024, 2024-05 or 2024-05-01), of 1 May 2024, May 2024 or 31.05.2024. Raises
    NotADate."""
    if _DATE.match(text):
        return text
    month = _MONTH_AND_YEAR.match(text[:LONGEST])
    try:
        if month:
            return f"{month[2]}-{_month(month[1]):02d}"
        number, day, year = _month_and_day(text)
        if year:
            return datetime(year, number, day).isoformat()[:10]
    except (NotADate, ValueError) as no:
        raise NotADate("ambiguous_date" if str(no) == "ambiguous_day" else "not_a_date") from None
    raise NotADate("not_a_date")


def moment(text: str) -> str:
    """A time in UTC as it is published, of 2026-10-28 12:00 or 28 October 2026 1200. Raises NotADate."""
    if _MOMENT.match(text):
        return text
    parts = _TIME.match(text.strip()[:LONGEST])
    if parts is None:
        raise NotADate("not_a_moment")
    iso = _ISO_DATE.match(parts[1])
    if iso:
        year, month, day = int(iso[1]), int(iso[2]), int(iso[3])
    else:
        try:
            month, day, year = _month_and_day(parts[1])
        except NotADate as no:
            raise NotADate("ambiguous_day" if str(no) == "ambiguous_day" else "not_a_moment") from None
    try:
        found = datetime(year, month, day, int(parts[2]), int(parts[3]), int(parts[4] or 0))
    except ValueError:
        raise NotADate("not_a_moment") from None
    return f"{found.isoformat()}Z"


def _month_and_day(text: str) -> tuple[int, int, int]:
    """Month, day and year (0: none)."""
    text = text.strip().rstrip(".")[:LONGEST]
    named = _DAY_FIRST.match(text)
    if named:
        return _month(named[2]), int(named[1]), int(named[3] or 0)
    named = _MONTH_FIRST.match(text)
    if named:
        return _month(named[1]), int(named[2]), int(named[3] or 0)
    numbers = _NUMBERS.match(text)
    if numbers is None:
        raise NotADate("not_a_day")
    first, second, year = int(numbers[1]), int(numbers[2]), int(numbers[3] or 0)
    if first <= 12 and second <= 12 and first != second:
        raise NotADate("ambiguous_day")
    return (first, second, year) if first <= 12 else (second, first, year)


def _month(word: str) -> int:
    wanted = word.casefold()
    for number, name in enumerate(MONTHS, 1):
        if name.casefold().startswith(wanted) or (wanted == "sept" and number == 9):
            return number
    raise NotADate("not_a_day")


def day_in_words(day: str) -> str:
    """1 November, of 11-01."""
    month, number = day.split("-")
    return f"{int(number)} {MONTHS[int(month) - 1]}"


def moment_in_words(text: str) -> str:
    """2026-10-28 12:00, of a time on a whole minute; any other as it is published."""
    found = _WHOLE_MINUTE.match(text)
    return text if found is None else f"{found[1]} {found[2]}"
