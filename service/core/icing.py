"""Ice on decks and sides: 30 and 7.5 kg/m2 of full allowance, more or less by zone."""

from collections.abc import Sequence
from typing import NamedTuple

from .added_weight import ICE, AddedWeight
from .errors import CoreError
from .weight import Weight

DECK, SIDE = "deck", "side"
ON_DECK, ON_SIDE = 0.030, 0.0075
"""t/m2 on exposed decks, and on the projected lateral area of each side. Source: 2008 IS Code Part B 6.3 (value from
memory; the same figures are read in the High-Speed Craft and Dynamically Supported Craft Codes)."""
MORE_AREA, MORE_MOMENT = 1.05, 1.10
"""For rails, booms, spars and rigging: area of the sides, and its moment. Source: as above."""
TIMBER_FACTOR = 1.2
MEMORY = "30 and 7.5 kg/m2 were read in the High-Speed Craft Code, not in the IS Code itself"
TIMBER_MEMORY = "the formula for ice on timber is recalled, not read"


class IcingSurface(NamedTuple):
    """A surface of `area` m2 (a SIDE: of one side alone), its centroid at x, z and y in m."""

    name: str
    kind: str
    area: float
    x: float
    z: float
    y: float = 0.0


class TimberIce(NamedTuple):
    """What ice on timber depends on: height of freeboard and length of the bow flare, m."""

    freeboard: float
    bow_flare_length: float


class IcingCase(NamedTuple):
    """Ice that a condition counts: `factor` of the full allowance, surfaces of deck cargo beside her own, and what the
    formula for ice on timber needs, which then holds on the surfaces of deck cargo that are decks."""

    factor: float
    surfaces: Sequence[IcingSurface] = ()
    timber: TimberIce | None = None


class IcingEffect(NamedTuple):
    """With ice minus without: mass t, its VCG m (None without mass), loss of GM, increase of the draft amidships and of
    the trim by the stern, m; None where either is unknown."""

    factor: float
    mass: float
    vcg: float | None
    gm_loss: float | None
    draft_increase: float | None
    trim_change: float | None


def on_timber(length: float, timber: TimberIce) -> float:
    """Mass of ice on a timber deck cargo, t/m2, for a ship of a length (m).

    30 [2.3 (15.2 L - 351.8) / l_FB] 1.2 [l_bow / (0.16 L)] kg/m2, l_FB in mm. Source: 2008 IS Code Part B 6.2 as
    amended by MSC.398(95) (value from memory)."""
    by_freeboard = 2.3 * (15.2 * length - 351.8) / (1000.0 * timber.freeboard)
    return ON_DECK * by_freeboard * TIMBER_FACTOR * (timber.bow_flare_length / (0.16 * length))


def ice(
    case: IcingCase,
    surfaces: Sequence[IcingSurface],
    side: tuple[float, float] | None,
    length_bp: float,
    rule_length: float,
) -> list[AddedWeight]:
    """Ice on her own surfaces and on those of deck cargo; `side` is the lateral area (m2) of one side above the
    waterline before ice and the height (m) of its centroid, at half the length between perpendiculars, where her
    booklet lists no sides. Raises CoreError where neither is known.

    Source: 2008 IS Code Part B 6.2, 6.3 (values from memory)."""
    added = [_deck(each, case.factor * ON_DECK, MEMORY) for each in surfaces if each.kind == DECK]
    tops, memory = case.factor * ON_DECK, MEMORY
    if case.timber is not None:
        tops, memory = case.factor * on_timber(rule_length, case.timber), TIMBER_MEMORY
    added += [_deck(each, tops, memory) for each in case.surfaces if each.kind == DECK]
    sides = [each for each in surfaces if each.kind == SIDE]
    if sides:
        added += [_side(each, case.factor) for each in sides]
    elif side is not None:
        area, height = side
        whole = IcingSurface("Sides", SIDE, area, 0.5 * length_bp, height)
        added.append(_side(whole, case.factor))
    elif case.factor:
        raise CoreError(
            "no lateral area for ice: the booklet lists no sides, or no wind profile at this draft"
        )
    added += [_side(each, case.factor) for each in case.surfaces if each.kind == SIDE]
    return added


def _deck(surface: IcingSurface, mass: float, memory: str) -> AddedWeight:
    weight = Weight(surface.area * mass, surface.x, surface.z, surface.y, "ice")
    return AddedWeight(surface.name, ICE, None, weight, "area x mass of ice on a deck x factor", memory)


def _side(surface: IcingSurface, factor: float) -> AddedWeight:
    mass = 2.0 * ON_SIDE * surface.area * MORE_AREA * factor
    weight = Weight(mass, surface.x, surface.z * MORE_MOMENT / MORE_AREA, 0.0, "ice")
    return AddedWeight(
        surface.name,
        ICE,
        None,
        weight,
        "2 sides x area x 1.05 x mass of ice on a side x factor, at height x 1.10 / 1.05",
        MEMORY,
    )
