"""When the lateral area in the wind is unknown, in the words that several documents share."""

from ..situation import Situation
from .limit import NOT_COMPUTABLE, Ruling, without

NO_PROFILE = Ruling(NOT_COMPUTABLE, "no wind profile at this draft")
DECK_CARGO = Ruling(
    NOT_COMPUTABLE,
    "deck cargo without lateral area: give wind_additions, 0 with a name if it stands in the lee",
)


def without_wind(ship: Situation) -> Ruling | None:
    """Where there is no wind profile at her draft, or deck cargo stands in the wind unmeasured.

    Source: common practice, no source."""
    if ship.condition.deck_cargo_without_area:
        return DECK_CARGO
    if ship.wind is None:
        return without(ship, "flotation") or NO_PROFILE
    return None
