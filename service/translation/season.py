"""Seasons of a load line zone: the days of the year on which a mark binds.

Which zone has which dates is data of the voyage; no geography is known here.
Source: International Convention on Load Lines, 1966, Annex II (seasonal periods as inclusive dates).
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

MonthDay = tuple[int, int]


@dataclass(frozen=True)
class Season:
    """The days from `first` to `last` (month, day), both included, over New Year where `last` comes before `first`;
    `mark` binds on them, `otherwise` on all others. A 29 February that a year lacks is passed over."""

    first: MonthDay
    last: MonthDay
    mark: str
    otherwise: str

    def mark_at(self, moment: datetime) -> str:
        """The mark that binds at a moment (UTC). Source: definition."""
        day = (moment.month, moment.day)
        begun, over = day >= self.first, day > self.last
        inside = begun and not over if self.first <= self.last else begun or not over
        return self.mark if inside else self.otherwise

    def marks(self, departs: datetime, start: float, days: float) -> tuple[tuple[float, str], ...]:
        """The marks in force along some days, each with the day after departure from which it binds: the first from
        `start`, others from 00:00 UTC of the day on which another one binds. Source: definition."""
        day = timedelta(days=1)
        begin, end = departs + start * day, departs + (start + days) * day
        found = [(start, self.mark_at(begin))]
        midnight = begin.replace(hour=0, minute=0, second=0, microsecond=0)
        while (midnight := midnight + day) < end:
            mark = self.mark_at(midnight)
            if mark != found[-1][1]:
                found.append(((midnight - departs) / day, mark))
        return tuple(found)
