"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.2: criteria regarding righting lever curve properties.

All six, and the alternative to 2.2.3 for ships on which 25 degrees is not practicable. Areas run to the angle of
down-flooding where that comes first; the rest of the curve is not counted for any clause. For ships of 24 m in
length and above (Introduction 1.2).
"""

from ..free_surface import IMO
from ..situation import Heeled, Situation
from .curve_rows import under_24_m
from .general_curve import GENERAL, six_rows, under
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    ROUNDING,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without_curve,
)
from .measured_lever import ends_rising, flooding_detail, unknown

_CODE = "2008 IS Code (MSC.267(85)), Part A"

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
BESIDE_THE_ALTERNATIVE = under(_INSTEAD)
"""The six rows of 2.2 under ids of their own, so that no id stands for two sets."""
ALTERNATIVE = (*BESIDE_THE_ALTERNATIVE, ALTERNATIVE_ANGLE, ALTERNATIVE_AREA)


def evaluate_general(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2.1 to 2.2.4 on one side; m, m.rad, degrees. Source: 2008 IS Code Part A 2.2."""
    return six_rows(GENERAL, ship, heeled)


def evaluate_alternative(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2 with the alternative to 2.2.3, for ships on which 25 degrees is not practicable, if the Administration
    agrees: where the lever is greatest before 25 degrees, an angle of 15 degrees and an area up to it that grows as the
    angle falls. Every other clause of 2.2 stays. Source: 2008 IS Code Part A 2.2.3 (alternative: value from memory)."""
    rows, levers = six_rows(BESIDE_THE_ALTERNATIVE, ship, heeled), heeled.levers
    small = under_24_m(ship)
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
