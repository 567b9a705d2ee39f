"""Seasons of a load line zone: the days of the year on which a mark binds.

Which zone has which dates is data of the voyage; no geography is known here.
Source: International Convention on Load Lines, 1966, Annex II (seasonal periods as inclusive dates).
"""

from collections.abc import Iterator
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

    def changes(self, departs: datetime, start: float, end: float) -> Iterator[float]:
        """Days after departure, between two of them and without both, at which another mark binds from 00:00 UTC on.

        Source: definition."""
        midnight = (departs + timedelta(days=start)).replace(hour=0, minute=0, second=0, microsecond=0)
        last = departs + timedelta(days=end)
        mark = self.mark_at(departs + timedelta(days=start))
        while (midnight := midnight + timedelta(days=1)) < last:
            if self.mark_at(midnight) != mark:
                mark = self.mark_at(midnight)
                yield (midnight - departs) / timedelta(days=1)
