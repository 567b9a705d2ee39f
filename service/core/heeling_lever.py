"""Wind on her side: the projected area above the waterline and the levers it makes."""

from dataclasses import dataclass

import numpy as np

from .frame import Floats


@dataclass(frozen=True)
class WindProfile:
    """Projected lateral area [R] (m2) above the waterline and the height [R] (m above the baseline) of its centroid,
    by increasing mean draft [R]."""

    draft: Floats
    area: Floats
    centroid_height: Floats

    def at(self, draft: Floats, added_area: Floats, added_moment: Floats) -> tuple[Floats, Floats]:
        """Area [N] and centroid height [N] at mean drafts [N], with deck cargo of `added_area` [N] (m2) and
        `added_moment` [N] (m3 about the baseline); NaN outside the table.

        Source: linear interpolation in the vessel's booklet (common practice, no source)."""
        area = np.interp(draft, self.draft, self.area, left=np.nan, right=np.nan)
        height = np.interp(draft, self.draft, self.centroid_height, left=np.nan, right=np.nan)
        total = area + added_area
        with np.errstate(invalid="ignore", divide="ignore"):
            centroid = np.where(total > 0.0, (area * height + added_moment) / total, height)
        return total, centroid
