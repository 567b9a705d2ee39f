"""Greatest VCG and least GM that a hull's righting levers allow, draft by draft.

The criteria are those of the 2008 IS Code (MSC.267(85)), Part A, 2.2.1 to 2.2.4, or of 46 CFR 170.173(b), (c).
GZ = KN - KG sin(heel) falls in proportion to KG: with a fixed interval each criterion gives its own greatest
KG directly; where the interval itself moves with KG, it is searched for.
Levels of the criteria are given in the unit of length of the hull.
"""

from dataclasses import dataclass
from math import radians

import numpy as np

from service.core.hull.cross_curves import kn
from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import upright
from service.core.hull.sections import Array


@dataclass(frozen=True)
class Criteria:
    """Limits on the righting lever curve: areas in length times radian, levers and GM in length."""

    area_to_30: float
    area_to_40: float
    area_30_to_40: float
    lever_from_30: float
    gm: float
    least_angle_of_maximum: float = 25.0


SUBCHAPTER_S_FEET = Criteria(radians(10.3), radians(16.9), radians(5.6), 0.66, 0.49)
IS_CODE_METRES = Criteria(0.055, 0.090, 0.030, 0.20, 0.15)
EARLIEST_MAXIMUM = 15.0
"""Least angle of the maximum, degrees, where paragraph (c) is used.  Source: 46 CFR 170.173(c)."""


def greatest_vcg(
    hull: Hull, draft: float, down_flooding: float, criteria: Criteria, trim: float = 0.0
) -> tuple[float, float]:
    """Greatest VCG (corrected for free surfaces) that meets every criterion, and the KM there.

    down_flooding: heel in degrees at which the first unprotected opening immerses; areas end there, or at 40.
    Source: 2008 IS Code, Part A, 2.2.1-2.2.4; KN at constant displacement with the trim held.
    """
    row = upright(hull, draft, trim)
    end = min(40.0, down_flooding)
    if end <= 30.0:
        raise ValueError("an opening immerses before 30 degrees: no VCG meets 2.2.1")
    to_30 = np.linspace(0.0, 30.0, 13)
    beyond = np.linspace(30.0, end, 5)
    levers_to_30 = np.array([kn(hull, row.volume, heel, trim) for heel in to_30])
    levers_beyond = np.array([kn(hull, row.volume, heel, trim) for heel in beyond])
    far = np.arange(30.0, min(60.0, down_flooding) + 1e-9, 5.0)
    far_levers = np.array([kn(hull, row.volume, heel, trim) for heel in far])
    first, second = simpson(to_30, levers_to_30), simpson(beyond, levers_beyond)
    least = criteria.least_angle_of_maximum
    rise = kn(hull, row.volume, least + 0.5, trim) - kn(hull, row.volume, least - 0.5, trim)
    slope = rise / np.radians(1.0)
    upper = np.cos(np.radians(end))
    limits = (
        (first - criteria.area_to_30) / (1.0 - np.cos(np.radians(30.0))),
        (first + second - criteria.area_to_40) / (1.0 - upper),
        (second - criteria.area_30_to_40) / (np.cos(np.radians(30.0)) - upper),
        np.max((far_levers - criteria.lever_from_30) / np.sin(np.radians(far))),
        slope / np.cos(np.radians(least)),
        row.km - criteria.gm,
    )
    return float(min(limits)), row.km


def greatest_vcg_of_either_paragraph(
    hull: Hull, draft: float, down_flooding: float, criteria: Criteria, trim: float = 0.0
) -> tuple[float, float]:
    """Greatest VCG for levers that are greatest at any angle from 15 degrees on, and the KM there.

    Paragraph (b) holds at any angle of maximum from 25 degrees on, (c) instead of it where the levers are greatest
    at 30 degrees or less: Y at least 15 degrees and the area up to Y at least 10.3 + 0.187 (30 - Y) ft-degrees (the
    0.187 from memory; `criteria.area_to_30` carries the 10.3).  Both ask for the GM, for the area to 40 degrees or
    the down-flooding angle and for that from 30 degrees there.  Found by halving, to far below a printed digit.
    KN at constant displacement with the trim held.
    Raises ValueError when even a third of KM does not meet them.  Source: 46 CFR 170.173.
    """
    row = upright(hull, draft, trim)
    heels = np.linspace(0.0, 80.0, 81)
    levers = np.array([kn(hull, row.volume, heel, trim) for heel in heels])
    fine = np.linspace(0.0, 80.0, 801)
    kn_fine = smooth(heels, levers, fine)
    end, last = (int(min(angle, down_flooding) * 10.0) for angle in (40.0, 80.0))

    def enough(vcg: float) -> bool:
        gz = kn_fine - vcg * np.sin(np.radians(fine))
        areas = np.concatenate(([0.0], np.cumsum((gz[1:] + gz[:-1]) / 2.0))) * np.radians(0.1)
        top = int(np.argmax(gz[: last + 1]))
        if (
            row.km - vcg < criteria.gm
            or areas[end] < criteria.area_to_40
            or areas[end] - areas[300] < criteria.area_30_to_40
        ):
            return False
        to_top = criteria.area_to_30 + np.radians(0.187 * (30.0 - fine[top]))
        early = EARLIEST_MAXIMUM <= fine[top] <= 30.0 and areas[top] >= to_top
        late = (
            fine[top] >= criteria.least_angle_of_maximum
            and areas[300] >= criteria.area_to_30
            and gz[300 : last + 1].max() >= criteria.lever_from_30
        )
        return bool(early or late)

    low, high = row.km / 3.0, row.km
    if down_flooding <= 30.0 or not enough(low):
        raise ValueError(
            f"no VCG from a third of KM meets 170.173 at a draft of {draft} and a trim of {trim}"
        )
    for _ in range(24):
        middle = (low + high) / 2.0
        low, high = (middle, high) if enough(middle) else (low, middle)
    return low, row.km


def smooth(heels: Array, levers: Array, at: Array) -> Array:
    """Levers between equally spaced heels, by cubics whose slopes are central differences (Hermite form).

    Smooth at the heels themselves, so that an angle of maximum is not drawn to the nearest of them.
    """
    step = heels[1] - heels[0]
    slopes = np.gradient(levers, heels) * step
    k = np.minimum(((at - heels[0]) / step).astype(np.int64), heels.size - 2)
    t = (at - heels[k]) / step
    return np.asarray(
        (1.0 + 2.0 * t) * (1.0 - t) ** 2 * levers[k]
        + t * (1.0 - t) ** 2 * slopes[k]
        + t**2 * (3.0 - 2.0 * t) * levers[k + 1]
        + t**2 * (t - 1.0) * slopes[k + 1]
    )


def simpson(heels: Array, levers: Array) -> float:
    """Area under equally spaced levers, heels in degrees, in length times radian.  Simpson's first rule."""
    interval = np.radians(heels[1] - heels[0])
    ends, odd, even = levers[0] + levers[-1], levers[1::2].sum(), levers[2:-1:2].sum()
    return float(interval / 3.0 * (ends + 4.0 * odd + 2.0 * even))
