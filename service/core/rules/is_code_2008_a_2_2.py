"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.2: criteria regarding righting lever curve properties.

All six, and the alternative to 2.2.3 for ships on which 25 degrees is not practicable. Areas run to the angle of
down-flooding where that comes first; the rest of the curve is not counted for any clause. For ships of 24 m in
length and above (Introduction 1.2).
"""

from dataclasses import replace

from ..free_surface import IMO
from ..situation import Heeled, Situation
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    ROUNDING,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
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

_INSTEAD = "is-code-2008-a-2.2.3-alternative"
ALTERNATIVE_ANGLE = Limit(
    f"{_INSTEAD}-angle",
    "A 2.2.3, alternative",
    "Angle of the maximum righting lever",
    "angle",
    AT_LEAST,
    15.0,
    "degree",
    f"{_CODE} 2.2.3, alternative with the Administration's approval (value from memory)",
    "angle_of_maximum",
    from_memory="the alternative to 2.2.3 was not read: 15 degrees is recalled",
)
ALTERNATIVE_AREA = Limit(
    f"{_INSTEAD}-area",
    "A 2.2.3, alternative",
    "Area up to the angle of the maximum righting lever, 30 degrees at most",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_CODE} 2.2.3, alternative: 0.055 + 0.001 (30 - angle of maximum) (value from memory)",
    "area_to_maximum",
    from_memory="the alternative to 2.2.3 was not read: 0.055 + 0.001 (30 - angle) is recalled",
)
BESIDE_THE_ALTERNATIVE = tuple(
    replace(row, id=f"{_INSTEAD}-{row.id.removeprefix('is-code-2008-a-2.2.').partition('-')[2]}")
    for row in GENERAL
)
"""The six rows of 2.2 under ids of their own, so that no id stands for two sets."""
ALTERNATIVE = (*BESIDE_THE_ALTERNATIVE, ALTERNATIVE_ANGLE, ALTERNATIVE_AREA)


def evaluate_general(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2.1 to 2.2.4 on one side; m, m.rad, degrees. Source: 2008 IS Code Part A 2.2."""
    return _six_rows(GENERAL, ship, heeled)


def _six_rows(rows: tuple[Limit, ...], ship: Situation, heeled: Heeled) -> list[Criterion]:
    to_30, to_40, from_30_to_40, lever, angle, gm = rows
    small, levers = _too_small(ship), heeled.levers
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


def evaluate_alternative(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2 with the alternative to 2.2.3, for ships on which 25 degrees is not practicable, if the Administration
    agrees: where the lever is greatest before 25 degrees, an angle of 15 degrees and an area up to it that grows as the
    angle falls. Every other clause of 2.2 stays. Source: 2008 IS Code Part A 2.2.3 (alternative: value from memory)."""
    rows, levers = _six_rows(BESIDE_THE_ALTERNATIVE, ship, heeled), heeled.levers
    small = _too_small(ship)
    if levers is None:
        return [*rows, *without_curve((ALTERNATIVE_ANGLE, ALTERNATIVE_AREA), ship, small)]
    angle, always = levers.angle_of_greatest, small or unknown(levers)
    always = always or ends_rising(levers, 25.0)
    if always is None and angle is not None:
        if angle >= 25.0 - ROUNDING:
            always = Ruling(
                NOT_APPLICABLE, "the lever is greatest at 25 degrees or more: 2.2.3 itself", CONDITION
            )
        else:
            beside = Ruling(NOT_APPLICABLE, "the alternative to 2.2.3 is judged", CONDITION)
            rows[4] = rows[4]._replace(verdict=beside.verdict, reason=beside.reason, because=beside.because)
    details = (
        flooding_detail(levers, "angle of down-flooding"),
        Intermediate("angle_of_maximum", "angle of the maximum righting lever", "degree", angle),
    )
    required = None if angle is None else 0.055 + 0.001 * (30.0 - min(max(angle, 15.0), 30.0))
    area = levers.area_to_greatest(30.0)
    return [
        *rows,
        judge(ALTERNATIVE_ANGLE, angle, unless=always, details=details[:1]),
        judge(ALTERNATIVE_AREA, area, required, unless=always, details=details),
    ]


def _too_small(ship: Situation) -> Ruling | None:
    if ship.vessel.particulars.rule_length >= 24.0:
        return None
    words = "the Code applies to ships of 24 m in length and above (Introduction 1.2)"
    return Ruling(NOT_APPLICABLE, words, SHIP)


GENERAL_SET = RuleSet(
    "is-code-2008-a-2.2",
    "Intact stability: righting lever curve properties",
    "International Code on Intact Stability, 2008, Part A, 2.2",
    "MSC.267(85), in force 1 July 2010",
    GENERAL,
    evaluate_general,
    surfaces=IMO,
)
ALTERNATIVE_SET = RuleSet(
    "is-code-2008-a-2.2.3-alternative",
    "Intact stability: righting lever curve properties, alternative where 25 degrees is not practicable",
    "International Code on Intact Stability, 2008, Part A, 2.2.3",
    "MSC.267(85), in force 1 July 2010",
    ALTERNATIVE,
    evaluate_alternative,
    surfaces=IMO,
    excludes=("is-code-2008-a-2.2",),
)
