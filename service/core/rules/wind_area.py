"""When the lateral area in the wind is unknown, in the words that several documents share."""

from ..situation import Situation
from .limit import NOT_COMPUTABLE, Ruling, without

NO_PROFILE = Ruling(NOT_COMPUTABLE, "no wind profile at this draft")
DECK_CARGO = Ruling(
    NOT_COMPUTABLE,
    "deck cargo without lateral area: give wind_additions, 0 with a name if it stands in the lee",
)
BELOW_WATER = Ruling(
    NOT_COMPUTABLE,
    "the centroid of a wind addition lies below the water: give its height above the baseline",
)


def without_wind(ship: Situation) -> Ruling | None:
    """Where there is no wind profile at her draft, deck cargo stands in the wind unmeasured, or what is added would
    take from the arm of the wind, because its centroid lies below the water.

    Source: common practice, no source."""
    if ship.condition.deck_cargo_without_area:
        return DECK_CARGO
    if ship.wind is None:
        return without(ship, "flotation") or NO_PROFILE
    lowest = ship.condition.wind_lowest
    if lowest is not None and ship.flotation is not None and lowest < ship.flotation.draft_midship:
        return BELOW_WATER
    return None
