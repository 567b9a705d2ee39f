"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.2: pontoons.

For pontoons that carry deck cargo only, unmanned and not self-propelled, of a block coefficient of 0.9 or more and a
breadth more than three times the depth. Everything here is a value from memory.
"""

from ..conventions import GRAVITY
from ..free_surface import IMO
from ..lever_measures import LeverMeasures
from ..situation import Heeled, Situation
from .curve_rows import ALL_THE_WAY, area_to_least, finite_or_none, heel_under, positive_range
from .edge_bound import EdgeBound
from .limit import (
    AT_LEAST,
    AT_MOST,
    NOT_APPLICABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    without_curve,
)
from .wind_area import without_wind

NAME = "is-code-2008-b-2.2"
PRESSURE = 540.0
"""Wind pressure in Pa (30 m/s). Source: 2008 IS Code Part B 2.2 (value from memory)."""
_MEMORY = "the whole of B 2.2, its application and its figures, is recalled"


def _row(
    slug: str, title: str, quantity: str, limit: float | None, unit: str, key: str, comparison: str = AT_LEAST
) -> Limit:
    source = "2008 IS Code (MSC.267(85)), Part B 2.2 (value from memory)"
    return Limit(f"{NAME}-{slug}", "B 2.2", title, quantity, comparison, limit, unit, source, key, _MEMORY)


AREA_TO_MAXIMUM = _row(
    "area-to-maximum",
    "Area up to the angle of the maximum righting lever",
    "area",
    0.08,
    "m·rad",
    "area_to_least_angle",
)
WIND_HEEL = _row(
    "wind-heel",
    "Heel under a wind of 540 Pa against the angle that immerses half the freeboard",
    "angle",
    None,
    "degree",
    "wind_heel",
    AT_MOST,
)
RANGE = _row("range", "Range of positive levers", "angle", None, "degree", "positive_range")
LIMITS = (AREA_TO_MAXIMUM, WIND_HEEL, RANGE)


def range_required(length: float) -> float:
    """Degrees for a length in m: 20 up to 100 m, 15 from 150 m, linear between.

    Source: 2008 IS Code Part B 2.2 (value from memory)."""
    return 20.0 - 5.0 * min(max((length - 100.0) / 50.0, 0.0), 1.0)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """The rows on one side; m.rad and degrees. Source: 2008 IS Code Part B 2.2 (values from memory)."""
    none, levers = _no_pontoon(ship), heeled.levers
    if levers is None:
        return without_curve(LIMITS, ship, none)
    length = ship.vessel.particulars.rule_length
    details = (Intermediate("length", "length L", "m", length),)
    return [
        area_to_least(AREA_TO_MAXIMUM, levers, ALL_THE_WAY, none),
        _wind(ship, levers, none),
        positive_range(RANGE, levers, none, range_required(length), from_rest=True, details=details),
    ]


def _wind(ship: Situation, levers: LeverMeasures, none: Ruling | None) -> Criterion:
    """Heel under the wind, its lever constant with heel and taken to half the draft."""
    wind, half = ship.wind, ship.half_freeboard
    lever = heel = None
    if wind is not None and ship.flotation is not None:
        arm = wind.height - 0.5 * ship.flotation.draft_midship
        lever = PRESSURE * wind.area * arm / (1000.0 * GRAVITY * ship.displacement.mass)
        heel = levers.curve.rise(lever)
    bound = EdgeBound.of(90.0, half, ship)
    details = (
        Intermediate("pressure", "wind pressure", "Pa", PRESSURE),
        Intermediate("heeling_lever", "heeling lever of the wind", "m", lever),
        Intermediate(
            "half_freeboard", "angle that immerses half the freeboard", "degree", finite_or_none(half)
        ),
    )
    gap = without_wind(ship) or bound.leaves_open(heel)
    return heel_under(WIND_HEEL, levers, heel, none or gap, bound.limit_for(heel), details)


def _no_pontoon(ship: Situation) -> Ruling | None:
    p = ship.vessel.particulars
    if p.block_coefficient is not None and p.block_coefficient < 0.9:
        return Ruling(NOT_APPLICABLE, "B 2.2 is for pontoons of a block coefficient of 0.9 or more", SHIP)
    if p.depth is not None and p.breadth <= 3.0 * p.depth:
        return Ruling(NOT_APPLICABLE, "B 2.2 is for pontoons broader than three times their depth", SHIP)
    return None


RULE_SET = RuleSet(
    NAME,
    "Pontoons with deck cargo",
    "International Code on Intact Stability, 2008, Part B, 2.2",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
