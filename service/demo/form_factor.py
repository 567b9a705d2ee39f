"""Greatest VCG of a containership longer than 100 m, draft by draft, by the factor C of her form.

Source: 2008 IS Code (MSC.267(85)), Part B 2.3 (the formulae of C and of the corrected depth: values from memory).
"""

from math import sqrt
from typing import NamedTuple

import numpy as np

from service.core.hull.cross_curves import kn
from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import upright

from .gm_limit import smooth

TO_30, TO_40, FROM_30_TO_40, FROM_30, GREATEST, TOTAL = 0.009, 0.016, 0.006, 0.033, 0.042, 0.029
"""What is divided by C: areas in m.rad, levers in m."""
LEAST_GM = 0.15
"""m. Source: 2008 IS Code Part A 2.2.4."""
STEP = 0.5
"""Degrees between two levers that areas are added up from."""


class FormFactor(NamedTuple):
    """Depth, breadth, and the coamings within a quarter of the length of amidships: sum of their lengths, mean breadth
    and mean height, m."""

    depth: float
    breadth: float
    length_sum: float
    coaming_breadth: float
    coaming_height: float

    def at(self, hull: Hull, draft: float, vcg: float, trim: float) -> float:
        """C at a draft and a VCG (m)."""
        row, b, length = upright(hull, draft, trim), self.breadth, hull.length
        block, waterplane = row.volume / (length * b * draft), row.waterplane_area / (length * b)
        coamings = self.coaming_height * (2.0 * self.coaming_breadth - b) / b * 2.0 * self.length_sum / length
        slender = draft * (self.depth + coamings) / b**2 * sqrt(draft / max(vcg, draft))
        return slender * (block / waterplane) ** 2 * sqrt(100.0 / length)


def greatest_vcg(
    hull: Hull, form: FormFactor, draft: float, down_flooding: float, trim: float = 0.0
) -> tuple[float, float]:
    """Greatest VCG (corrected for free surfaces) that meets all six rows and the least GM, and the KM there.

    Found by halving; KN at constant displacement with the trim held. Raises ValueError when half of KM fails."""
    row = upright(hull, draft, trim)
    heels = np.arange(0.0, 70.1, 2.5)
    levers = np.array([kn(hull, row.volume, heel, trim) for heel in heels])
    fine = np.arange(0.0, 70.0 + 1e-9, STEP)
    kn_fine = smooth(heels, levers, fine)
    end = min(down_flooding, 70.0)

    def enough(vcg: float) -> bool:
        gz = kn_fine - vcg * np.sin(np.radians(fine))
        areas = np.concatenate(([0.0], np.cumsum((gz[1:] + gz[:-1]) / 2.0))) * np.radians(STEP)
        negative = np.flatnonzero((gz < 0.0) & (fine > 5.0))
        last = min(end, float(fine[negative[0]]) if negative.size else end)
        c = form.at(hull, draft, vcg, trim)

        def area(heel: float) -> float:
            return float(np.interp(min(heel, last), fine, areas))

        wet = fine <= last
        return bool(
            row.km - vcg >= LEAST_GM
            and area(30.0) >= TO_30 / c
            and area(40.0) >= TO_40 / c
            and area(40.0) - area(30.0) >= FROM_30_TO_40 / c
            and gz[wet & (fine >= 30.0)].max(initial=0.0) >= FROM_30 / c
            and gz[wet].max() >= GREATEST / c
            and area(end) >= TOTAL / c
        )

    low, high = row.km / 2.0, row.km
    if not enough(low):
        raise ValueError(f"half of KM does not meet B 2.3 at a draft of {draft} and a trim of {trim}")
    for _ in range(24):
        middle = (low + high) / 2.0
        low, high = (middle, high) if enough(middle) else (low, middle)
    return low, row.km
