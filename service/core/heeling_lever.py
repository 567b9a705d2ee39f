"""Wind on her side: the projected area above the waterline and the levers it makes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .interpolation import held, interpolated


class Wind(NamedTuple):
    """Projected lateral area above the waterline, m2, and the height of its centroid above the baseline, m."""

    area: float
    height: float


@dataclass(frozen=True)
class WindProfile:
    """Projected lateral area [R] (m2) above the waterline and the height [R] (m above the baseline) of its centroid,
    by increasing mean draft [R]."""

    draft: Sequence[float]
    area: Sequence[float]
    centroid_height: Sequence[float]

    def at(self, draft: float, added_area: float, added_moment: float) -> Wind | None:
        """Area and centroid at a mean draft, with deck cargo of `added_area` (m2) and `added_moment` (m3 about the
        baseline); None outside the table.

        Source: linear interpolation in the vessel's booklet (common practice, no source)."""
        area = interpolated(self.draft, self.area, draft)
        if area is None:
            return None
        height = held(self.draft, self.centroid_height, draft)
        total = area + added_area
        return Wind(total, (area * height + added_moment) / total if total > 0.0 else height)
