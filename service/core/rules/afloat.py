"""What holds before any document: she has an angle at which she rests, positive GM, and no open hole under water there.

Binds every ship, at sea and in port. Common practice, no source.
"""

from ..opening import Opening
from ..situation import Situation
from .limit import (
    ALWAYS,
    AT_LEAST,
    CONDITION,
    FAIL,
    MET,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    NOT_MET,
    PASS,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

_SOURCE = "common practice, no source"
EQUILIBRIUM = Limit(
    "afloat-equilibrium",
    "equilibrium",
    "She has an angle at which she rests",
    "angle",
    AT_LEAST,
    None,
    "degree",
    _SOURCE,
    "equilibrium",
)
GM = Limit(
    "afloat-gm",
    "positive GM",
    "Metacentric height, corrected for free surface, is positive",
    "metacentric height",
    AT_LEAST,
    0.0,
    "m",
    _SOURCE,
    "positive_gm",
)
OPENINGS = Limit(
    "afloat-openings",
    "openings dry",
    "Height of the lowest unprotected opening above the water, as she rests",
    "height",
    AT_LEAST,
    0.0,
    "m",
    _SOURCE,
    "opening_height",
)


def evaluate(ship: Situation) -> list[Criterion]:
    """Degrees of list, m of GM, m of the lowest opening above the water. Source: common practice, no source."""
    return [_equilibrium(ship), _gm(ship), _openings(ship)]


def _equilibrium(ship: Situation) -> Criterion:
    """By the righting lever curve where there is one, else by the sign of GM."""
    angle, gm = ship.rest.list_angle, ship.gm_corrected
    if ship.rest.found:
        ruling = Ruling(PASS, MET)
    elif ship.rest.sought:
        ruling = Ruling(FAIL, "no angle of equilibrium: the ship would capsize")
    elif gm is None:
        ruling = without(ship, "stability") or Ruling(NOT_COMPUTABLE, "GM is not known")
    else:
        ruling = (
            Ruling(PASS, MET)
            if gm > 0.0
            else Ruling(FAIL, "GM is not positive, and without cross curves the angle of loll is unknown")
        )
    return judge(EQUILIBRIUM, None if angle is None else abs(angle), unless=ruling)


def _gm(ship: Situation) -> Criterion:
    gm = ship.gm_corrected
    unless = without(ship, "stability")
    if unless is None and gm is not None:
        unless = Ruling(PASS, MET) if gm > 0.0 else Ruling(FAIL, NOT_MET)
    return judge(GM, gm, unless=unless, vcg_effect=1.0)


def _openings(ship: Situation) -> Criterion:
    openings = ship.vessel.openings
    if openings is None:
        words = "the booklet does not say what openings she has"
        return judge(OPENINGS, None, unless=Ruling(NOT_APPLICABLE, words, CONDITION))
    if not ship.vessel.flooding:
        return judge(OPENINGS, None, unless=Ruling(PASS, "she has no unprotected opening"))
    lowest = ship.once(lowest_opening)
    if lowest is None:
        unless = without(ship, "flotation") or without(ship, "list")
        words = "the angle at which she rests is not known"
        return judge(OPENINGS, None, unless=unless or Ruling(NOT_COMPUTABLE, words))
    height, opening = lowest
    details = (Intermediate("opening", "lowest opening", "", opening.name),)
    unless = None if height > 0.0 else Ruling(FAIL, "an unprotected opening is under water as she rests")
    return judge(OPENINGS, height, unless=unless, details=details)


def lowest_opening(ship: Situation) -> tuple[float, Opening] | None:
    """Height (m along the normal of the waterplane) of the unprotected opening that lies lowest as she rests, and that
    opening; None where it is not known how she rests, or she has none.

    At loll she may lie to either side: both are looked at. Source: see `waterplane.py`; without cross curves the level
    of the upright waterplane, which is never below the true one."""
    flotation, angle, gm = ship.flotation, ship.rest.list_angle, ship.gm_corrected
    if flotation is None or angle is None or gm is None:
        return None
    sides = (1.0 if angle >= 0.0 else -1.0,) if gm > 0.0 else (1.0, -1.0)
    openings = ship.vessel.openings or ()
    heights = [
        (openings[i].height_at_rest(flotation, ship.waterplane, side, abs(angle)), openings[i])
        for i in ship.vessel.flooding
        for side in sides
    ]
    return min(heights, key=lambda found: found[0], default=None)


RULE_SET = RuleSet(
    "afloat",
    "Afloat: an angle of rest, positive GM, openings dry",
    "common practice",
    "applies to every ship",
    (EQUILIBRIUM, GM, OPENINGS),
    evaluate_upright=evaluate,
    binds=lambda vessel, condition: True,
    judges_stability=False,
    applies=ALWAYS,
)
