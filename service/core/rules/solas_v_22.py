"""SOLAS V/22: the sea surface ahead seen from the conning position, at her drafts, trim and deck cargo."""

from ..drafts import obstructions
from ..situation import Situation
from ..view import SHORTEST, hidden_sea
from .limit import (
    AT_MOST,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

VIEW = Limit(
    "solas-v-22-view",
    "V/22.1.1",
    "Sea surface hidden ahead of the bow",
    "distance",
    AT_MOST,
    None,
    "m",
    "SOLAS V/22.1.1: not more than two lengths or 500 m, whichever is less, to 10 degrees either side of ahead",
    "hidden_sea",
)
TOO_SHORT = Ruling(NOT_APPLICABLE, "shorter than 55 m", SHIP)
NO_LENGTH = Ruling(NOT_COMPUTABLE, "the booklet has no length over all")
NO_BRIDGE = Ruling(NOT_COMPUTABLE, "the booklet does not say where she is conned from")
NO_TOP = Ruling(
    NOT_COMPUTABLE, "deck cargo without its top: give obstructions, with its name where it hides nothing more"
)


def evaluate(ship: Situation) -> list[Criterion]:
    """The sea hidden ahead of the bow, m. Source: SOLAS V/22.1.1."""
    length, bridge = ship.vessel.particulars.length_overall, ship.vessel.bridge
    if length is not None and length < SHORTEST:
        return [judge(VIEW, None, unless=TOO_SHORT)]
    if length is None:
        return [judge(VIEW, None, unless=NO_LENGTH)]
    if bridge is None:
        return [judge(VIEW, None, unless=NO_BRIDGE)]
    if ship.flotation is None:
        return [judge(VIEW, None, unless=without(ship, "flotation"))]
    found = hidden_sea(bridge, obstructions(ship), ship.flotation, length)
    details = (
        Intermediate("obstruction", "what hides it", "", found.obstruction),
        Intermediate("eye_height", "height of eye above the water", "m", found.eye_height),
        Intermediate("length_overall", "length over all", "m", length),
    )
    unless = NO_TOP if ship.condition.deck_cargo_without_top else None
    return [judge(VIEW, found.distance, found.limit, unless=unless, details=details)]


RULE_SET = RuleSet(
    "solas-v-22",
    "View ahead from the bridge",
    "SOLAS",
    "regulation V/22",
    (VIEW,),
    evaluate_upright=evaluate,
    judges_stability=False,
)
