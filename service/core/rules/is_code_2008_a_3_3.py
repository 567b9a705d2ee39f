"""2008 IS Code (resolution MSC.267(85)), Part A, section 3.3: cargo ships carrying timber deck cargoes.

Stands instead of 2.2. Where all timber on deck extends between superstructures and over the full breadth and stays
secured at large angles of heel, three requirements replace the six of 2.2; otherwise, and without timber, the six are
judged here under ids of their own. The three limits were read in secondary texts; that GM must be 0.10 m at all times,
with absorbed water and ice, is a value from memory.
"""

from ..free_surface import IMO
from ..situation import Heeled, Situation
from ..timber import alternative_applies
from .curve_rows import under_24_m
from .general_curve import six_rows, under
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    Criterion,
    Limit,
    RuleSet,
    Ruling,
    judge,
    judge_gm,
    without_curve,
)
from .measured_lever import area_effect, ends_rising, flooding_detail, lever_effect, too_short, unknown

_CODE = "2008 IS Code (MSC.267(85)), Part A"
NAME = "is-code-2008-a-3.3"

AREA = Limit(
    f"{NAME}.2-area",
    "A 3.3.2",
    "Area under the righting lever curve up to 40 degrees or the angle of down-flooding, timber deck cargo",
    "area",
    AT_LEAST,
    0.08,
    "m·rad",
    f"{_CODE} 3.3.2 (read in secondary texts)",
    "area_to_40",
)
LEVER = Limit(
    f"{NAME}.2-lever",
    "A 3.3.2",
    "Greatest righting lever, timber deck cargo",
    "lever",
    AT_LEAST,
    0.25,
    "m",
    f"{_CODE} 3.3.2 (read in secondary texts)",
    "greatest_lever",
)
GM = Limit(
    f"{NAME}.2-gm",
    "A 3.3.2",
    "Corrected metacentric height with absorbed water and ice, timber deck cargo",
    "metacentric height",
    AT_LEAST,
    0.10,
    "m",
    f"{_CODE} 3.3.2 (0.10 m at all times: value from memory)",
    "gm",
    from_memory="that GM is 0.10 m at all times, with absorbed water and ice, is recalled, the text was not read",
)
TIMBER = (AREA, LEVER, GM)
ORDINARY = under(NAME)
"""The six requirements of 2.2 under ids of their own."""

NOT_STOWED_SO = Ruling(
    NOT_APPLICABLE,
    "no timber deck cargo, or not all of it between superstructures, over the full breadth and secured: the six "
    "requirements of 2.2 are judged",
    CONDITION,
)
INSTEAD = Ruling(NOT_APPLICABLE, "timber deck cargo: the requirements of 3.3.2 are judged instead", CONDITION)
NO_ABSORPTION = Ruling(NOT_COMPUTABLE, "timber deck cargo without the percent of water that it absorbs")


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The three rows or the six on one side; m, m.rad, degrees. Source: 2008 IS Code Part A 3.3."""
    if not alternative_applies(ship.condition.timber_aboard):
        return [
            *(judge(row, None, unless=NOT_STOWED_SO) for row in TIMBER),
            *six_rows(ORDINARY, ship, heeled),
        ]
    return [*_timber(ship, heeled), *(judge(row, None, unless=INSTEAD) for row in ORDINARY)]


def _timber(ship: Situation, heeled: Heeled) -> list[Criterion]:
    small, levers = under_24_m(ship), heeled.levers
    unsaid = any(line.absorption is None for line in ship.condition.timber_aboard)
    gm = judge_gm(GM, ship, small or (NO_ABSORPTION if unsaid else None))
    if levers is None:
        return [*without_curve((AREA, LEVER), ship, small), gm]
    always, angle = small or unknown(levers), levers.angle_of_greatest
    greatest = None if angle is None else levers.curve.lever(angle)
    details = (flooding_detail(levers, "angle of down-flooding"),)
    short = too_short(levers, 40.0)
    # a lever that still rises where the curves end has reached its limit already, or may still reach it
    rising = ends_rising(levers, 90.0) if greatest is not None and greatest < 0.25 else None
    effect = None if angle is None else lever_effect(angle)
    return [
        judge(
            AREA,
            levers.area_to_40,
            unless=always or short,
            details=details,
            vcg_effect=area_effect(levers, 0.0, 40.0),
        ),
        judge(LEVER, greatest, unless=always or rising, details=details, vcg_effect=effect),
        gm,
    ]


RULE_SET = RuleSet(
    NAME,
    "Intact stability: cargo ships carrying timber deck cargoes",
    "International Code on Intact Stability, 2008, Part A, 3.3",
    "MSC.267(85), in force 1 July 2010",
    (*TIMBER, *ORDINARY),
    evaluate,
    surfaces=IMO,
    excludes=("is-code-2008-a-2.2",),
)
