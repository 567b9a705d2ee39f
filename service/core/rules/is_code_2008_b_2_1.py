"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.1: decked seagoing fishing vessels.

The requirements of the righting lever curve are those of Part A 2.2. Where she has no cross curves and is under 30
m, the least GM of paragraph 2.1.5 stands instead of them: its ranges were read, its formula is a value from memory.
GM of 0.35 m is read in 46 CFR 28.570, its twin; 0.15 m is a value from memory. Not judged: severe wind (2.1.4),
water on deck.
"""

from typing import NamedTuple

from ..free_surface import IMO
from ..situation import Heeled, Situation
from .curve_rows import angle_of_greatest, area_between, greatest_lever, missing
from .hull_figures import least_freeboard
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    OUTSIDE_VALIDITY,
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

NAME = "is-code-2008-b-2.1"
_SOURCE = "2008 IS Code (MSC.267(85)), Part B"


def _row(slug: str, title: str, quantity: str, limit: float, unit: str, key: str) -> Limit:
    source = f"{_SOURCE} 2.1.2: as Part A 2.2"
    return Limit(f"{NAME}-{slug}", "B 2.1.2", title, quantity, AT_LEAST, limit, unit, source, key)


AREA_TO_30 = _row("area-to-30", "Area up to 30 degrees", "area", 0.055, "m·rad", "area_to_30")
AREA_TO_40 = _row(
    "area-to-40", "Area up to 40 degrees or the angle of down-flooding", "area", 0.090, "m·rad", "area_to_40"
)
AREA_30_TO_40 = _row(
    "area-30-to-40",
    "Area between 30 degrees and 40 degrees or the angle of down-flooding",
    "area",
    0.030,
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
    "angle-of-maximum", "Angle of the maximum righting lever", "angle", 25.0, "degree", "angle_of_maximum"
)
INITIAL_GM = Limit(
    f"{NAME}-initial-gm",
    "B 2.1.3",
    "Initial metacentric height: 0.35 m, or 0.15 m with a complete superstructure or from 70 m in length",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    f"{_SOURCE} 2.1.3 (0.15 m: value from memory)",
    "gm",
    "0.35 m was read in 46 CFR 28.570; 0.15 m and when it holds are recalled",
)
SIMPLIFIED_GM = Limit(
    f"{NAME}-simplified-gm",
    "B 2.1.5",
    "Least metacentric height of a vessel under 30 m without cross curves",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    f"{_SOURCE} 2.1.5 (formula: value from memory)",
    "gm",
    "the formula of the least GM is recalled; what it holds for was read",
)
CURVE = (AREA_TO_30, AREA_TO_40, AREA_30_TO_40, LEVER_AT_30, ANGLE_OF_MAXIMUM)
LIMITS = (*CURVE, INITIAL_GM, SIMPLIFIED_GM)
WHOLE, REDUCED = 0.35, 0.15
"""Least GM in m. Source: 2008 IS Code Part B 2.1.3 (0.15: value from memory)."""


class SmallVessel(NamedTuple):
    """Length L, breadth B, depth D, least freeboard f and length of superstructures ls, m."""

    length: float
    breadth: float
    depth: float
    freeboard: float
    superstructure: float

    @property
    def least_gm(self) -> float:
        """0.53 + 2 B (0.075 - 0.37 f/B + 0.82 (f/B)^2 - 0.014 B/D - 0.032 ls/L), m.

        Source: 2008 IS Code Part B 2.1.5 (value from memory)."""
        f, d = self.freeboard / self.breadth, self.breadth / self.depth
        form = 0.075 - 0.37 * f + 0.82 * f**2 - 0.014 * d - 0.032 * (self.superstructure / self.length)
        return 0.53 + 2.0 * self.breadth * form

    @property
    def is_covered(self) -> bool:
        """Whether the formula holds: f/B from 0.02 to 0.20, B/D from 1.75 to 2.15, ls/L below 0.60.

        Source: 2008 IS Code Part B 2.1.5; A.207(VII)."""
        f, d = self.freeboard / self.breadth, self.breadth / self.depth
        return 0.02 <= f <= 0.20 and 1.75 <= d <= 2.15 and self.superstructure / self.length < 0.60


OUTSIDE = Ruling(
    OUTSIDE_VALIDITY,
    "outside the range of the formula (B 2.1.5): f/B from 0.02 to 0.20, B/D from 1.75 to 2.15, ls/L below 0.60",
)
HAS_CURVES = Ruling(
    NOT_APPLICABLE,
    "paragraph 2.1.2 is chosen: she has cross curves, so the levers themselves count",
    CONDITION,
)
SIMPLIFIED = Ruling(
    NOT_APPLICABLE, "paragraph 2.1.5 is chosen: under 30 m and without cross curves", CONDITION
)
NOT_UNDER_30 = Ruling(NOT_APPLICABLE, "paragraph 2.1.5 is for vessels under 30 m in length", SHIP)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.rad, m, degrees. Source: 2008 IS Code Part B 2.1."""
    p, levers = ship.vessel.particulars, heeled.levers
    curves, short = ship.vessel.cross_curves is not None, p.rule_length < 30.0
    small = HAS_CURVES if curves else None if short else NOT_UNDER_30
    gm = _initial_gm(ship)
    if levers is None:
        beside = SIMPLIFIED if not curves and short else None
        return [*without_curve(CURVE, ship, beside), gm, _simplified(ship, small)]
    return [
        area_between(AREA_TO_30, levers, (0.0, 30.0), None),
        area_between(AREA_TO_40, levers, (0.0, 40.0), None),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), None),
        greatest_lever(LEVER_AT_30, levers, 30.0, None),
        angle_of_greatest(ANGLE_OF_MAXIMUM, levers, None),
        gm,
        _simplified(ship, small),
    ]


def _initial_gm(ship: Situation) -> Criterion:
    p = ship.vessel.particulars
    reduced = p.superstructure == "complete" or p.rule_length >= 70.0
    stated = p.superstructure or "not stated: taken as not complete"
    return judge(
        INITIAL_GM,
        ship.gm_corrected,
        REDUCED if reduced else WHOLE,
        unless=without(ship, "stability"),
        details=(Intermediate("superstructure", "superstructure", "", stated),),
        vcg_effect=1.0,
    )


def _simplified(ship: Situation, beside: Ruling | None) -> Criterion:
    if beside is not None:
        return judge_gm(SIMPLIFIED_GM, ship, beside)
    small = small_vessel(ship)
    if isinstance(small, Ruling):
        return judge_gm(SIMPLIFIED_GM, ship, without(ship, "stability") or small)
    unless = without(ship, "stability") or (None if small.is_covered else OUTSIDE)
    details = (
        Intermediate("freeboard_to_breadth", "f/B", "", small.freeboard / small.breadth),
        Intermediate("breadth_to_depth", "B/D", "", small.breadth / small.depth),
        Intermediate("superstructure_part", "ls/L", "", small.superstructure / small.length),
        Intermediate(
            "not_checked",
            "not checked",
            "",
            "sheer of the standard or more, superstructures 1.8 m high or more",
        ),
    )
    gm = ship.gm_corrected
    return judge(SIMPLIFIED_GM, gm, small.least_gm, unless=unless, details=details, vcg_effect=1.0)


def small_vessel(ship: Situation) -> SmallVessel | Ruling:
    """What the formula reads, or what is missing for it. Source: 2008 IS Code Part B 2.1.5."""
    p = ship.vessel.particulars
    freeboard = least_freeboard(ship) if p.freeboard_least is None else p.freeboard_least
    superstructure = 0.0 if p.superstructure == "none" else p.superstructure_length
    if p.superstructure_length is not None:
        superstructure = p.superstructure_length
    if p.depth is None:
        return missing("moulded depth in the particulars")
    if freeboard is None:
        return missing("freeboard_least in the particulars, or points of the deck edge")
    if superstructure is None:
        return missing("superstructure_length in the particulars")
    length = p.length_waterline or p.rule_length
    return SmallVessel(length, p.breadth, p.depth, freeboard, superstructure)


RULE_SET = RuleSet(
    NAME,
    "Fishing vessels",
    "International Code on Intact Stability, 2008, Part B, 2.1",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
