"""Title 46, Code of Federal Regulations, 173.020: lifting heavy weights without counterballast.

Applies from a heeling moment of 0.67 W GM F / B (173.005(b)), with the load at the head of the crane in
displacement, GM and righting arms. In metres and metre-degrees. Read: the limits and the moment; recalled: the
angles that end the area, and that it counts from upright with the lift's own heel in the righting arms.
"""

from ..free_surface import CFR
from ..lift import Lift, threshold
from ..situation import Heeled, Situation
from .curve_rows import area_to_least, missing, nothing_of_the_kind
from .hull_figures import midship_freeboard
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    without,
    without_curve,
)

NAME = "46-cfr-173.020"
AREA = Limit(
    f"{NAME}-area",
    "173.020",
    "Area up to the angle of the maximum righting arm, the downflooding angle or 40 degrees",
    "area",
    AT_LEAST,
    None,
    "m·degree",
    "46 CFR 173.020 (angles that end the area: value from memory)",
    "area_to_least_angle",
    "the list of angles that end the area is recalled; the areas and when the section applies were read",
)
LIMITS = (AREA,)
AREAS = {"protected": 3.05, "partially_protected": 3.05, "exposed": 4.57}
"""Area in m.degree by the service of her particulars. Source: 46 CFR 173.020."""


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The area on one side, m.degree. Source: 46 CFR 173.020."""
    service, lift, levers = ship.vessel.particulars.service, ship.condition.lift, heeled.levers_automatic
    least, freeboard = _threshold(ship), midship_freeboard(ship)
    unless = nothing_of_the_kind(lift is not None) or _does_not_apply(ship, lift, least)
    if levers is None:
        return without_curve(LIMITS, ship, unless)
    stated = service.replace("_", " ") if service else "exposed (not stated: the most severe is taken)"
    details = (
        Intermediate("waters", "waters", "", stated),
        Intermediate("midship_freeboard", "freeboard amidships F", "m", freeboard),
        Intermediate("applies_from", "moment from which it applies", "t·m", least),
        Intermediate("lift_moment", "heeling moment of the lift", "t·m", lift and lift.heeling_moment),
    )
    return [area_to_least(AREA, levers, 40.0, unless, AREAS[service or "exposed"], details)]


def _threshold(ship: Situation) -> float | None:
    freeboard, gm = midship_freeboard(ship), ship.gm_corrected
    if freeboard is None or gm is None:
        return None
    return threshold(ship.displacement.mass, gm, freeboard, ship.vessel.particulars.breadth)


def _does_not_apply(ship: Situation, lift: Lift | None, least: float | None) -> Ruling | None:
    if lift is None:
        return None
    if least is None:
        gap = without(ship, "flotation") or without(ship, "stability")
        return gap or missing("points of the deck edge amidships, or moulded depth")
    if lift.heeling_moment < least:
        words = "the lift heels her by less than 0.67 W GM F / B (173.005(b))"
        return Ruling(NOT_APPLICABLE, words, CONDITION)
    return None


RULE_SET = RuleSet(
    NAME,
    "Lifting without counterballast",
    "46 CFR 173.020",
    "Title 46, part 173, as in force in 2026",
    LIMITS,
    evaluate,
    surfaces=CFR,
    automatic_closure=True,
)
