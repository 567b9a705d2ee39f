"""The six requirements on a righting lever curve that several sections of the 2008 IS Code (resolution MSC.267(85))
judge, Part A 2.2 itself and those that stand instead of it."""

from dataclasses import replace

from ..situation import Heeled, Situation
from .curve_rows import under_24_m
from .limit import (
    AT_LEAST,
    Criterion,
    Limit,
    judge,
    judge_gm,
    without_curve,
)
from .measured_lever import (
    area_effect,
    ends_rising,
    flooding_detail,
    floods_before,
    lever_effect,
    too_short,
    unknown,
)

_CODE = "2008 IS Code (MSC.267(85)), Part A"

AREA_TO_30 = Limit(
    "is-code-2008-a-2.2.1-area-to-30",
    "A 2.2.1",
    "Area under the righting lever curve up to 30 degrees",
    "area",
    AT_LEAST,
    0.055,
    "m·rad",
    f"{_CODE} 2.2.1",
    "area_to_30",
)
AREA_TO_40 = Limit(
    "is-code-2008-a-2.2.1-area-to-40",
    "A 2.2.1",
    "Area under the righting lever curve up to 40 degrees or the angle of down-flooding",
    "area",
    AT_LEAST,
    0.090,
    "m·rad",
    f"{_CODE} 2.2.1",
    "area_to_40",
)
AREA_30_TO_40 = Limit(
    "is-code-2008-a-2.2.1-area-30-to-40",
    "A 2.2.1",
    "Area under the righting lever curve between 30 degrees and 40 degrees or the angle of down-flooding",
    "area",
    AT_LEAST,
    0.030,
    "m·rad",
    f"{_CODE} 2.2.1",
    "area_30_to_40",
)
LEVER_AT_30 = Limit(
    "is-code-2008-a-2.2.2-lever",
    "A 2.2.2",
    "Greatest righting lever at 30 degrees of heel or more",
    "lever",
    AT_LEAST,
    0.20,
    "m",
    f"{_CODE} 2.2.2",
    "greatest_lever_from_30",
)
ANGLE_OF_MAXIMUM = Limit(
    "is-code-2008-a-2.2.3-angle-of-maximum",
    "A 2.2.3",
    "Angle of the maximum righting lever",
    "angle",
    AT_LEAST,
    25.0,
    "degree",
    f"{_CODE} 2.2.3",
    "angle_of_maximum",
)
INITIAL_GM = Limit(
    "is-code-2008-a-2.2.4-initial-gm",
    "A 2.2.4",
    "Initial metacentric height, corrected for free surface",
    "metacentric height",
    AT_LEAST,
    0.15,
    "m",
    f"{_CODE} 2.2.4",
    "gm",
)
GENERAL = (AREA_TO_30, AREA_TO_40, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM, INITIAL_GM)


def under(prefix: str) -> tuple[Limit, ...]:
    """The six rows under ids of their own, so that no id stands for two sets. Source: definition."""
    name = "is-code-2008-a-2.2."
    return tuple(
        replace(row, id=f"{prefix}-{row.id.removeprefix(name).partition('-')[2]}") for row in GENERAL
    )


def six_rows(rows: tuple[Limit, ...], ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m, m.rad, degrees. Source: 2008 IS Code Part A 2.2."""
    to_30, to_40, from_30_to_40, lever, angle, gm = rows
    small, levers = under_24_m(ship), heeled.levers
    if levers is None:
        return [*without_curve(rows[:-1], ship, small), judge_gm(gm, ship, small)]
    always, floods = small or unknown(levers), floods_before(levers, 30.0)
    short_of_30, short_of_40 = too_short(levers, 30.0), too_short(levers, 40.0)
    greatest, at = levers.greatest_from(30.0) or (None, 30.0)
    details = (flooding_detail(levers, "angle of down-flooding"),)
    return [
        judge(
            to_30,
            levers.area_to_30,
            unless=always or short_of_30,
            details=details,
            vcg_effect=area_effect(levers, 0.0, 30.0),
        ),
        judge(
            to_40,
            levers.area_to_40,
            unless=always or short_of_40,
            details=details,
            vcg_effect=area_effect(levers, 0.0, 40.0),
        ),
        judge(
            from_30_to_40,
            levers.area_30_to_40,
            unless=always or floods or short_of_40,
            details=details,
            vcg_effect=area_effect(levers, 30.0, 40.0),
        ),
        judge(
            lever,
            greatest,
            unless=always or floods or short_of_30,
            details=details,
            vcg_effect=lever_effect(at),
        ),
        judge(angle, levers.angle_of_greatest, unless=always or ends_rising(levers, 25.0), details=details),
        judge_gm(gm, ship, small),
    ]
