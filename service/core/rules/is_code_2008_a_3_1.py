"""2008 IS Code (resolution MSC.267(85)), Part A, section 3.1: passenger ships.

Heel when passengers crowd to one side, and heel in a turn; Part A 2.2 and 2.3 bind beside it. Limits and the mass of a
passenger were read in A.749(18) 3.1.2 and 3.5.2; four passengers on a square metre in a secondary text; the coefficient
of the turning moment (0.200; 0.196 in older editions) is a value from memory.
"""

from ..conventions import GRAVITY
from ..free_surface import IMO
from ..lever_measures import LeverMeasures
from ..passenger import crowding_moment
from ..situation import Heeled, Situation
from .curve_rows import heel_under, missing, nothing_of_the_kind, under_24_m
from .limit import (
    AT_MOST,
    NOT_COMPUTABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    without,
    without_curve,
)

NAME = "is-code-2008-a-3.1"
KNOT = 1852.0 / 3600.0
"""m/s; exact."""
TURNING = 0.200
"""Coefficient of the turning moment. Source: 2008 IS Code Part A 3.1.2 (value from memory)."""

CROWDING = Limit(
    f"{NAME}-crowding",
    "A 3.1.1",
    "Heel when all passengers crowd to one side",
    "angle",
    AT_MOST,
    10.0,
    "degree",
    "2008 IS Code (MSC.267(85)), Part A 3.1.1; A.749(18) 3.1.2.5",
    "crowding_heel",
    "four passengers on a square metre was read in a secondary text only; 10 degrees and 75 kg were read",
)
TURN = Limit(
    f"{NAME}-turning",
    "A 3.1.2",
    "Heel in a turn at service speed",
    "angle",
    AT_MOST,
    10.0,
    "degree",
    "2008 IS Code (MSC.267(85)), Part A 3.1.2; A.749(18) 3.1.2.6 (coefficient 0.200: value from memory)",
    "turning_heel",
    "the coefficient 0.200 of the turning moment is recalled; 10 degrees and its symbols were read",
)
LIMITS = (CROWDING, TURN)
AS_WEIGHTS = Ruling(
    NOT_COMPUTABLE,
    "passengers are given as weights: give them by their spaces (passengers), so that they can crowd to one side",
)


def turning_moment(speed: float, length: float, displacement: float, vcg: float, draft: float) -> float:
    """0.200 v^2 / L x displacement x (KG - d / 2) in kN.m, from m/s, m and t. Source: 2008 IS Code Part A 3.1.2."""
    return TURNING * (speed**2 / length) * displacement * (vcg - 0.5 * draft)


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Both heels on one side, degrees. Source: 2008 IS Code Part A 3.1."""
    small, levers = under_24_m(ship), heeled.levers
    crowded = small or _nobody(ship)
    if levers is None:
        return [*without_curve((CROWDING,), ship, crowded), *without_curve((TURN,), ship, small)]
    return [_crowding(ship, levers, crowded), _turning(ship, levers, small)]


def _nobody(ship: Situation) -> Ruling | None:
    condition = ship.condition
    if any(line.number for line in condition.passengers):
        return None
    weights = any(w.category == "passengers" and w.mass > 0.0 for w in condition.weights)
    return AS_WEIGHTS if weights else nothing_of_the_kind(False)


def _crowding(ship: Situation, levers: LeverMeasures, unless: Ruling | None) -> Criterion:
    """The lever falls with the cosine of the heel, as that of any shift athwartships."""
    moment = crowding_moment(ship.condition.passengers, ship.vessel.passenger_spaces)
    lever, curve = moment / ship.displacement.mass, levers.curve
    heel = curve.leaning(curve.tcg + lever).rise(0.0)
    number = float(sum(line.number for line in ship.condition.passengers))
    details = (
        Intermediate("passengers", "passengers", "", number),
        Intermediate("heeling_moment", "moment of the crowd", "t·m", moment),
        Intermediate("heeling_lever", "heeling lever upright", "m", lever),
    )
    return heel_under(CROWDING, levers, heel, unless, details=details)


def _turning(ship: Situation, levers: LeverMeasures, small: Ruling | None) -> Criterion:
    """The lever is taken as constant with heel, on the safe side."""
    p, flotation, load = ship.vessel.particulars, ship.flotation, ship.displacement
    if flotation is None:
        return heel_under(TURN, levers, None, small or without(ship, "flotation"))
    if p.service_speed is None or p.length_waterline is None:
        name = "service_speed" if p.service_speed is None else "length_waterline"
        return heel_under(TURN, levers, None, small or missing(f"{name} in the particulars"))
    speed = p.service_speed * KNOT
    moment = turning_moment(speed, p.length_waterline, load.mass, load.vcg_corrected, flotation.draft_midship)
    lever = moment / (GRAVITY * load.mass)
    details = (
        Intermediate("speed", "speed v0", "m/s", speed),
        Intermediate("turning_moment", "turning moment", "kN·m", moment),
        Intermediate("heeling_lever", "heeling lever", "m", lever),
    )
    return heel_under(TURN, levers, levers.curve.rise(lever), small, details=details)


RULE_SET = RuleSet(
    NAME,
    "Passenger ships: crowding to one side and turning",
    "International Code on Intact Stability, 2008, Part A, 3.1",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
    brings=("is-code-2008-a-2.2", "is-code-2008-a-2.3"),
)
