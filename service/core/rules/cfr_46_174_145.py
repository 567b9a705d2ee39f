"""Title 46, Code of Federal Regulations, 174.145: intact stability of US tugboats and towboats.

In metres and metre-degrees. Paragraphs (b) and (c) were read; (d) and (e) are values from memory.
"""

from ..free_surface import CFR
from ..situation import Heeled, Situation
from .curve_rows import (
    angle_of_flooding,
    angle_of_greatest,
    area_between,
    area_to_least,
    positive_range,
)
from .limit import AT_LEAST, Criterion, Limit, RuleSet, without_curve

NAME = "46-cfr-174.145"
_MEMORY = "paragraphs (d) and (e) of 174.145 are recalled"


def _row(
    slug: str,
    paragraph: str,
    title: str,
    quantity: str,
    limit: float,
    unit: str,
    key: str,
    from_memory: str | None = None,
) -> Limit:
    clause = f"174.145({paragraph})"
    source = f"46 CFR {clause}" + ("" if from_memory is None else " (value from memory)")
    return Limit(f"{NAME}-{slug}", clause, title, quantity, AT_LEAST, limit, unit, source, key, from_memory)


AREA = _row(
    "area",
    "b",
    "Area up to the angle of the maximum righting arm, the downflooding angle or 40 degrees",
    "area",
    5.15,
    "m·degree",
    "area_to_least_angle",
)
AREA_30_TO_40 = _row(
    "area-30-to-40",
    "c",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    1.72,
    "m·degree",
    "area_30_to_40",
)
FLOODING = _row("down-flooding", "d", "Downflooding angle", "angle", 20.0, "degree", "down_flooding", _MEMORY)
ANGLE_OF_MAXIMUM = _row(
    "angle-of-maximum",
    "d",
    "Angle of the maximum righting arm",
    "angle",
    25.0,
    "degree",
    "angle_of_maximum",
    _MEMORY,
)
RANGE = _row(
    "range", "e", "Positive righting arms to 60 degrees", "angle", 60.0, "degree", "positive_range", _MEMORY
)
LIMITS = (AREA, AREA_30_TO_40, FLOODING, ANGLE_OF_MAXIMUM, RANGE)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.degree and degrees. Source: 46 CFR 174.145."""
    levers = heeled.levers_automatic
    if levers is None:
        return without_curve(LIMITS, ship)
    return [
        area_to_least(AREA, levers, 40.0, None),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), None),
        angle_of_flooding(FLOODING, levers, None),
        angle_of_greatest(ANGLE_OF_MAXIMUM, levers, None),
        positive_range(RANGE, levers, None),
    ]


RULE_SET = RuleSet(
    NAME,
    "Tugboats and towboats: intact stability",
    "46 CFR 174.145",
    "Title 46, part 174, as in force in 2026",
    LIMITS,
    evaluate,
    surfaces=CFR,
    automatic_closure=True,
)
