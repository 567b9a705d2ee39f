"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.2: criteria regarding righting lever curve properties.

All six, and the alternative to 2.2.3 for ships on which 25 degrees is not practicable. Areas run to the angle of
down-flooding where that comes first; the rest of the curve is not counted for any clause. For ships of 24 m in
length and above (Introduction 1.2).
"""

from ..free_surface import IMO
from ..situation import Heeled, Situation
from .limit import AT_LEAST, NOT_APPLICABLE, Criterion, Detail, Limit, RuleSet, Ruling, judge, without_curve
from .measured_lever import flooding_detail, floods_before, too_short, unknown

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
ALTERNATIVE_ANGLE = Limit(
    "is-code-2008-a-2.2.3-alternative-angle",
    "A 2.2.3, alternative",
    "Angle of the maximum righting lever",
    "angle",
    AT_LEAST,
    15.0,
    "degree",
    f"{_CODE} 2.2.3, alternative with the Administration's approval (value from memory)",
    "angle_of_maximum",
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
    "area_to_maximum",
)

GENERAL = (AREA_TO_30, AREA_TO_40, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM, INITIAL_GM)
ALTERNATIVE = (ALTERNATIVE_AREA, ALTERNATIVE_ANGLE, AREA_30_TO_40, LEVER_AT_30, INITIAL_GM)


def evaluate_general(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2.1 to 2.2.4 on one side; m, m.rad, degrees. Source: 2008 IS Code Part A 2.2."""
    small, levers = _too_small(ship), heeled.levers
    gm = judge(INITIAL_GM, ship.gm_corrected, unless=small)
    if levers is None:
        return [*without_curve(GENERAL[:-1]), gm]
    always, floods = small or unknown(levers), floods_before(levers, 30.0)
    to_30, to_40 = too_short(levers, 30.0), too_short(levers, 40.0)
    details = (flooding_detail(levers, "angle of down-flooding"),)
    return [
        judge(AREA_TO_30, levers.area_to_30, unless=always or to_30, details=details),
        judge(AREA_TO_40, levers.area_to_40, unless=always or to_40, details=details),
        judge(AREA_30_TO_40, levers.area_30_to_40, unless=always or floods or to_40, details=details),
        judge(LEVER_AT_30, levers.greatest_from(30.0), unless=always or floods or to_30, details=details),
        judge(ANGLE_OF_MAXIMUM, levers.angle_of_greatest, unless=always, details=details),
        gm,
    ]


def evaluate_alternative(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """2.2 with the alternative to 2.2.3, for ships on which 25 degrees is not practicable, if the Administration
    agrees. Source: 2008 IS Code Part A 2.2.3 (alternative: value from memory)."""
    levers = heeled.levers
    if levers is None:
        return [*without_curve(ALTERNATIVE[:-1]), evaluate_general(ship, heeled)[-1]]
    _, _, between, lever, _, gm = evaluate_general(ship, heeled)
    always, flooding = _too_small(ship) or unknown(levers), flooding_detail(levers, "angle of down-flooding")
    angle = levers.angle_of_greatest
    shown = Detail("angle_of_maximum", "angle of the maximum righting lever", "degree", angle)
    required = None if angle is None else 0.055 + 0.001 * (30.0 - min(max(angle, 15.0), 30.0))
    return [
        judge(
            ALTERNATIVE_AREA, levers.area_to_greatest(), required, unless=always, details=(flooding, shown)
        ),
        judge(ALTERNATIVE_ANGLE, angle, unless=always, details=(flooding,)),
        between,
        lever,
        gm,
    ]


def _too_small(ship: Situation) -> Ruling | None:
    if ship.vessel.particulars.rule_length >= 24.0:
        return None
    return Ruling(NOT_APPLICABLE, "the Code applies to ships of 24 m in length and above (Introduction 1.2)")


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
)
