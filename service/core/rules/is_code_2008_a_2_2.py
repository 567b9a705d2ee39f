"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.2: criteria regarding righting lever curve properties.

All six, and the alternative to 2.2.3 for ships on which 25 degrees is not practicable. Areas run to the angle of
down-flooding where that comes first; the rest of the curve is not counted for any clause. For ships of 24 m in
length and above (Introduction 1.2).
"""

import numpy as np

from ..situation import Situation
from .lever_curve import CurveMeasures
from .limit import AT_LEAST, NOT_APPLICABLE, Cause, Criterion, Detail, Limit, RuleSet, judge, without_curve

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
)
ALTERNATIVE_ANGLE = Limit(
    "is-code-2008-a-2.2.3-alternative-angle",
    "A 2.2.3, alternative",
    "Angle of the maximum righting lever",
    "angle",
    AT_LEAST,
    15.0,
    "degree",
    f"{_CODE} 2.2.3, alternative with the Administration's approval (value from memory)",
)
ALTERNATIVE_AREA = Limit(
    "is-code-2008-a-2.2.3-alternative-area",
    "A 2.2.3, alternative",
    "Area up to the angle of the maximum righting lever",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_CODE} 2.2.3, alternative: 0.055 + 0.001 (30 - angle of maximum) (value from memory)",
)

GENERAL = (AREA_TO_30, AREA_TO_40, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM, INITIAL_GM)
ALTERNATIVE = (ALTERNATIVE_AREA, ALTERNATIVE_ANGLE, AREA_30_TO_40, LEVER_AT_30, INITIAL_GM)


def evaluate_general(situation: Situation) -> list[Criterion]:
    """2.2.1 to 2.2.4 for N conditions; m, m.rad, degrees. Source: 2008 IS Code Part A 2.2."""
    small = _too_small(situation)
    gm = judge(INITIAL_GM, situation.gm_corrected, causes=[small])
    if situation.curve is None:
        return [*without_curve(GENERAL[:-1], len(situation)), gm]
    curve = CurveMeasures.of(situation.curve, situation.flooding)
    always, details = [small, curve.unknown], [curve.flooding_detail("angle of down-flooding")]
    to_30, to_40, from_30_to_40 = curve.areas()
    floods = curve.floods_before(30.0)
    return [
        judge(AREA_TO_30, to_30, None, [*always, curve.too_short(30.0)], details),
        judge(AREA_TO_40, to_40, None, [*always, curve.too_short(40.0)], details),
        judge(AREA_30_TO_40, from_30_to_40, None, [*always, floods, curve.too_short(40.0)], details),
        judge(
            LEVER_AT_30, curve.greatest_from(30.0), None, [*always, floods, curve.too_short(30.0)], details
        ),
        judge(ANGLE_OF_MAXIMUM, curve.angle_of_greatest, None, always, details),
        gm,
    ]


def evaluate_alternative(situation: Situation) -> list[Criterion]:
    """2.2 with the alternative to 2.2.3, for ships on which 25 degrees is not practicable, if the Administration
    agrees. Source: 2008 IS Code Part A 2.2.3 (alternative: value from memory)."""
    if situation.curve is None:
        return [*without_curve(ALTERNATIVE[:-1], len(situation)), evaluate_general(situation)[-1]]
    _, _, between, lever, _, gm = evaluate_general(situation)
    curve = CurveMeasures.of(situation.curve, situation.flooding)
    always, details = (
        [_too_small(situation), curve.unknown],
        [curve.flooding_detail("angle of down-flooding")],
    )
    angle = curve.angle_of_greatest
    required = 0.055 + 0.001 * (30.0 - np.clip(angle, 15.0, 30.0))
    shown = Detail("angle of the maximum righting lever", "degree", angle)
    return [
        judge(ALTERNATIVE_AREA, curve.area_to_greatest(), required, always, [*details, shown]),
        judge(ALTERNATIVE_ANGLE, angle, None, always, details),
        between,
        lever,
        gm,
    ]


def _too_small(situation: Situation) -> Cause:
    short = situation.vessel.particulars.rule_length < 24.0
    words = "the Code applies to ships of 24 m in length and above (Introduction 1.2)"
    return Cause.for_all(len(situation), short, NOT_APPLICABLE, words)


GENERAL_SET = RuleSet(
    "is-code-2008-a-2.2",
    "Intact stability: righting lever curve properties",
    "International Code on Intact Stability, 2008, Part A, 2.2",
    "MSC.267(85), in force 1 July 2010",
    GENERAL,
    evaluate_general,
)
ALTERNATIVE_SET = RuleSet(
    "is-code-2008-a-2.2.3-alternative",
    "Intact stability: righting lever curve properties, alternative where 25 degrees is not practicable",
    "International Code on Intact Stability, 2008, Part A, 2.2.3",
    "MSC.267(85), in force 1 July 2010",
    ALTERNATIVE,
    evaluate_alternative,
)
