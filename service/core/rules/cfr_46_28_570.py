"""Title 46, Code of Federal Regulations, 28.570: righting energy of US fishing vessels.

Paragraph (a), and paragraph (b), by which positive righting arms to 50 degrees are enough where her hatches qualify.
Paragraph (c) (170.173(c) instead) is not offered: the copy that was read breaks off in it.
"""

from ..free_surface import CFR
from ..situation import Heeled, Situation
from .curve_rows import angle_of_greatest, area_between, greatest_lever, positive_range
from .limit import AT_LEAST, Criterion, Intermediate, Limit, RuleSet, judge_gm, without_curve

NAME = "46-cfr-28.570"


def _row(slug: str, title: str, quantity: str, limit: float | None, unit: str, key: str) -> Limit:
    clause = "28.570(a)"
    return Limit(
        f"{NAME}-{slug}", clause, title, quantity, AT_LEAST, limit, unit, "46 CFR 28.570(a) and (b)", key
    )


GM = _row("gm", "Metacentric height", "metacentric height", 0.35, "m", "gm")
LEVER_AT_30 = _row(
    "lever-at-30",
    "Greatest righting arm at 30 degrees of heel or more",
    "lever",
    0.2,
    "m",
    "greatest_lever_from_30",
)
ANGLE_OF_MAXIMUM = _row(
    "angle-of-maximum", "Angle of the maximum righting arm", "angle", 25.0, "degree", "angle_of_maximum"
)
AREA_TO_40 = _row(
    "area-to-40", "Area up to 40 degrees or the downflooding angle", "area", 0.090, "m·rad", "area_to_40"
)
AREA_TO_30 = _row("area-to-30", "Area up to 30 degrees", "area", 0.055, "m·rad", "area_to_30")
AREA_30_TO_40 = _row(
    "area-30-to-40",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    0.030,
    "m·rad",
    "area_30_to_40",
)
RANGE = _row(
    "range", "Positive righting arms to 60 degrees, or 50 where her hatches qualify", "angle", None, "degree",
    "positive_range",
)  # fmt: skip
LIMITS = (GM, LEVER_AT_30, ANGLE_OF_MAXIMUM, AREA_TO_40, AREA_TO_30, AREA_30_TO_40, RANGE)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m, degrees, m.rad. Source: 46 CFR 28.570(a) and (b)."""
    levers, secured = heeled.levers_automatic, ship.vessel.hatches_secured
    gm = judge_gm(GM, ship)
    if levers is None:
        return [gm, *without_curve(LIMITS[1:], ship)]
    stated = (
        "not stated: paragraph (a)" if secured is None else "paragraph (b)" if secured else "paragraph (a)"
    )
    details = (Intermediate("paragraph", "hatches", "", stated),)
    return [
        gm,
        greatest_lever(LEVER_AT_30, levers, 30.0, None),
        angle_of_greatest(ANGLE_OF_MAXIMUM, levers, None),
        area_between(AREA_TO_40, levers, (0.0, 40.0), None),
        area_between(AREA_TO_30, levers, (0.0, 30.0), None),
        area_between(AREA_30_TO_40, levers, (30.0, 40.0), None),
        positive_range(RANGE, levers, None, 50.0 if secured else 60.0, details=details),
    ]


RULE_SET = RuleSet(
    NAME,
    "Fishing vessels: intact righting energy",
    "46 CFR 28.570",
    "Title 46, part 28, as in force in 2026",
    LIMITS,
    evaluate,
    surfaces=CFR,
    automatic_closure=True,
)
