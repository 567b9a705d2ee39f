"""Title 46, Code of Federal Regulations, 174.185: intact stability of US offshore supply vessels.

The requirements of the righting arm curve that stand instead of 170.173; 170.170 binds beside them. Of the table of
freeboards at the stern only the first row (under 20 m) was read: a longer vessel's is not computable.
"""

from ..free_surface import CFR
from ..situation import Heeled, Situation
from .curve_rows import angle_of_flooding, area_to_least, missing, positive_range
from .hull_figures import stern_freeboard
from .limit import (
    AT_LEAST,
    NOT_COMPUTABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
    without_curve,
)

NAME = "46-cfr-174.185"


def _row(slug: str, paragraph: str, title: str, quantity: str, limit: float, unit: str, key: str) -> Limit:
    clause = f"174.185({paragraph})"
    return Limit(f"{NAME}-{slug}", clause, title, quantity, AT_LEAST, limit, unit, f"46 CFR {clause}", key)


AREA = _row(
    "area",
    "b",
    "Area up to the angle of the maximum righting arm, the downflooding angle or 40 degrees",
    "area",
    0.08,
    "m·rad",
    "area_to_least_angle",
)
FLOODING = _row("down-flooding", "c", "Downflooding angle", "angle", 20.0, "degree", "down_flooding")
RANGE = _row("range", "d", "Positive righting arms to 40 degrees", "angle", 40.0, "degree", "positive_range")
STERN_FREEBOARD = _row(
    "stern-freeboard", "e", "Freeboard at the stern", "freeboard", 0.30, "m", "stern_freeboard"
)
LIMITS = (AREA, FLOODING, RANGE, STERN_FREEBOARD)
FIRST_ROW = 20.0
"""Length between perpendiculars in m up to which the table's first row holds. Source: 46 CFR table 174.185."""
NOT_IN_TABLE = Ruling(
    NOT_COMPUTABLE,
    "only the first row of table 174.185 (under 20 m) was read: the freeboard at the stern is open",
)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.rad, degrees, m. Source: 46 CFR 174.185(b) to (e)."""
    levers, freeboard = heeled.levers_automatic, _freeboard(ship)
    if levers is None:
        return [*without_curve(LIMITS[:3], ship), freeboard]
    return [
        area_to_least(AREA, levers, 40.0, None),
        angle_of_flooding(FLOODING, levers, None),
        positive_range(RANGE, levers, None),
        freeboard,
    ]


def _freeboard(ship: Situation) -> Criterion:
    found, length = stern_freeboard(ship), ship.vessel.particulars.length_bp
    unless = None
    if found is None:
        unless = without(ship, "flotation") or missing("a point of the deck edge at the stern")
    elif length >= FIRST_ROW:
        unless = NOT_IN_TABLE
    details = (Intermediate("length_bp", "length between perpendiculars", "m", length),)
    found_height = None if found is None else found.height
    if unless is not None:
        return judge(STERN_FREEBOARD, found_height, unless=unless, details=details)._replace(required=None)
    return judge(STERN_FREEBOARD, found_height, details=details)


RULE_SET = RuleSet(
    NAME,
    "Offshore supply vessels: intact stability",
    "46 CFR 174.185",
    "Title 46, part 174, as in force in 2026",
    LIMITS,
    evaluate,
    surfaces=CFR,
    automatic_closure=True,
    brings=("46-cfr-170.170",),
)
