"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.4: offshore supply vessels, alternative criteria.

For ships of 24 m to 100 m in length (read). All figures are values from memory.
"""

from ..free_surface import IMO
from ..lever_measures import LeverMeasures
from ..situation import Heeled, Situation
from .curve_rows import (
    angle_of_greatest,
    area_between,
    area_to_least,
    greatest_lever,
    missing,
    under_24_m,
)
from .hull_figures import stern_freeboard
from .limit import (
    AT_LEAST,
    NOT_APPLICABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    judge_gm,
    without,
    without_curve,
)

NAME = "is-code-2008-b-2.4"
_MEMORY = "the figures of B 2.4 are recalled; its application to ships of not more than 100 m was read"


def _row(slug: str, title: str, quantity: str, limit: float | None, unit: str, key: str) -> Limit:
    source = "2008 IS Code (MSC.267(85)), Part B 2.4 (value from memory)"
    return Limit(f"{NAME}-{slug}", "B 2.4", title, quantity, AT_LEAST, limit, unit, source, key, _MEMORY)


AREA_TO_MAXIMUM = _row(
    "area-to-maximum",
    "Area up to the angle of the maximum righting lever, 30 degrees at most: 0.055 + 0.001 (30 - angle)",
    "area",
    None,
    "m·rad",
    "area_to_maximum",
)
AREA_30_TO_40 = _row(
    "area-30-to-40",
    "Area between 30 degrees and 40 degrees or the angle of down-flooding",
    "area",
    0.03,
    "m·rad",
    "area_30_to_40",
)
LEVER_AT_30 = _row(
    "lever-at-30",
    "Greatest righting lever at 30 degrees of heel or more",
    "lever",
    0.20,
    "m",
    "greatest_lever_from_30",
)
ANGLE_OF_MAXIMUM = _row(
    "angle-of-maximum", "Angle of the maximum righting lever", "angle", 15.0, "degree", "angle_of_maximum"
)
INITIAL_GM = _row(
    "initial-gm",
    "Initial metacentric height, corrected for free surface",
    "metacentric height",
    0.15,
    "m",
    "gm",
)
STERN_FREEBOARD = _row(
    "stern-freeboard", "Freeboard at the stern: 0.005 L", "freeboard", None, "m", "stern_freeboard"
)
LIMITS = (AREA_TO_MAXIMUM, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM, INITIAL_GM, STERN_FREEBOARD)


def area_required(angle: float) -> float:
    """Area in m.rad for an angle of the maximum righting lever in degrees: 0.070 at 15, 0.055 at 30 or more.

    Source: 2008 IS Code Part B 2.4.5 (value from memory)."""
    return 0.055 + 0.001 * (30.0 - min(max(angle, 15.0), 30.0))


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.rad, m, degrees. Source: 2008 IS Code Part B 2.4 (values from memory)."""
    beyond, levers = under_24_m(ship) or _too_long(ship), heeled.levers
    upright = [judge_gm(INITIAL_GM, ship, beyond), _freeboard(ship, beyond)]
    if levers is None:
        return [*without_curve(LIMITS[:4], ship, beyond), *upright]
    return [*_curve(levers, beyond), *upright]


def _curve(levers: LeverMeasures, beyond: Ruling | None) -> list[Criterion]:
    angle = levers.angle_of_greatest
    required = None if angle is None else area_required(angle)
    return [
        area_to_least(AREA_TO_MAXIMUM, levers, 30.0, beyond, required),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), beyond),
        greatest_lever(LEVER_AT_30, levers, 30.0, beyond),
        angle_of_greatest(ANGLE_OF_MAXIMUM, levers, beyond),
    ]


def _freeboard(ship: Situation, beyond: Ruling | None) -> Criterion:
    found, length = stern_freeboard(ship), ship.vessel.particulars.rule_length
    gap = None
    if found is None:
        gap = without(ship, "flotation") or missing("a point of the deck edge at the stern")
    details = (Intermediate("length", "length L", "m", length),)
    height = None if found is None else found.height
    return judge(STERN_FREEBOARD, height, 0.005 * length, unless=beyond or gap, details=details)


def _too_long(ship: Situation) -> Ruling | None:
    if ship.vessel.particulars.rule_length <= 100.0:
        return None
    words = "the alternative criteria of B 2.4 are for ships of not more than 100 m in length"
    return Ruling(NOT_APPLICABLE, words, SHIP)


RULE_SET = RuleSet(
    NAME,
    "Offshore supply vessels: alternative criteria",
    "International Code on Intact Stability, 2008, Part B, 2.4",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
