"""Title 46, Code of Federal Regulations, 172.090: intact transverse stability of US tank barges.

Paragraph (a): an area under the righting arm curve by the waters she serves in. Paragraph (b): a metacentric height
instead, where the centre of her cargo lies below the weather deck at the side. In metres and metre-degrees. Read: the
areas, GM = K B / fe with its factors, and fa; recalled: that fe is the sum of f and fa, and that b is the breadth of
the trunk (the symbol list of the copy is cut off).
"""

from collections.abc import Sequence
from math import inf

from ..free_surface import CFR
from ..situation import Heeled, Situation
from ..trunk import BargeTrunk
from .alternatives import better_of
from .curve_rows import ALL_THE_WAY, area_to_least, missing
from .hull_figures import cargo_vcg, least_freeboard
from .limit import (
    AT_LEAST,
    CONDITION,
    NOT_APPLICABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
    without_curve,
)

NAME = "46-cfr-172.090"
AREA = Limit(
    f"{NAME}-area",
    "172.090(a)",
    "Area up to the angle of the maximum righting arm or the downflooding angle",
    "area",
    AT_LEAST,
    None,
    "m·degree",
    "46 CFR 172.090(a)",
    "area_to_least_angle",
)
GM = Limit(
    f"{NAME}-gm",
    "172.090(b)",
    "Metacentric height instead of the area: K B / fe",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    "46 CFR 172.090(b) (fe = f + fa, and b: values from memory)",
    "gm",
    "fe = f + fa is printed as a picture, and that b is the trunk's breadth is cut off: both are recalled",
)
LIMITS = (AREA, GM)
WATERS = {
    "protected": ("rivers", 1.52, 0.3),
    "partially_protected": ("lakes, bays, sounds; Great Lakes in summer", 3.05, 0.4),
    "exposed": ("oceans; Great Lakes in winter", 4.57, 0.5),
}
"""Waters, area in m.degree and factor K by the service of her particulars. Source: 46 CFR 172.090(a) and (b)."""


def trunk_freeboard(trunk: BargeTrunk | None, length: float, breadth: float) -> float:
    """fa = 1.25 (a / L) (2 b / B - 1) h in m, h at most; 0 without a trunk. Source: 46 CFR 172.090(b)."""
    if trunk is None:
        return 0.0
    part = 1.25 * (trunk.length / length) * (2.0 * trunk.breadth / breadth - 1.0)
    return min(part * trunk.height, trunk.height)


def least_gm(factor: float, breadth: float, freeboard: float) -> float:
    """K B / fe in m; infinite where there is no freeboard. Source: 46 CFR 172.090(b)."""
    return factor * breadth / freeboard if freeboard > 0.0 else inf


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Both paragraphs on one side; m.degree and m. Source: 46 CFR 172.090."""
    service = ship.vessel.particulars.service
    waters, area, factor = WATERS[service or "exposed"]
    stated = waters if service is not None else f"{waters} (not stated: the most severe)"
    details = (Intermediate("waters", "waters", "", stated),)
    gm = _gm(ship, factor, details)
    levers = heeled.levers_automatic
    if levers is None:
        return [*without_curve((AREA,), ship), gm]
    return [area_to_least(AREA, levers, ALL_THE_WAY, None, area, details), gm]


def _gm(ship: Situation, factor: float, details: tuple[Intermediate, ...]) -> Criterion:
    p, freeboard, above = ship.vessel.particulars, least_freeboard(ship), _cargo_above_deck(ship)
    required = effective = None
    trunk = trunk_freeboard(ship.vessel.barge_trunk, p.length_bp, p.breadth)
    if freeboard is not None:
        effective = freeboard + trunk
        required = least_gm(factor, p.breadth, effective)
    unless = above or without(ship, "stability")
    if unless is None and freeboard is None:
        unless = without(ship, "flotation") or missing("points of the deck edge, for the freeboard")
    shown = (
        *details,
        Intermediate("factor_k", "factor K", "", factor),
        Intermediate("freeboard_least", "least freeboard f", "m", freeboard),
        Intermediate("freeboard_of_trunk", "freeboard of the trunk fa", "m", trunk),
        Intermediate("freeboard_effective", "effective freeboard fe", "m", effective),
    )
    return judge(GM, ship.gm_corrected, required, unless=unless, details=shown, vcg_effect=1.0)


def _cargo_above_deck(ship: Situation) -> Ruling | None:
    """Where paragraph (b) is not open to her: no cargo, or its centre not below the weather deck at the side."""
    cargo, edge = cargo_vcg(ship), ship.vessel.deck_edge
    if cargo is None:
        return Ruling(NOT_APPLICABLE, "no cargo aboard whose centre paragraph (b) could read", CONDITION)
    deck = min((z for _, _, z in edge.points), default=None) if edge is not None else None
    deck = ship.vessel.particulars.depth if deck is None else deck
    if deck is None:
        return missing("points of the deck edge, or moulded depth")
    if cargo < deck:
        return None
    words = "paragraph (a) chosen: the centre of the cargo is not below the weather deck at the side"
    return Ruling(NOT_APPLICABLE, words, CONDITION)


def choose(sides: Sequence[Heeled], judged: list[Criterion]) -> list[Criterion]:
    """The paragraph that stands better, (a) where both stand alike. Source: 46 CFR 172.090 ((a) or (b))."""
    area, gm = judged
    return better_of(("paragraph (a)", [area]), ("paragraph (b)", [gm]))


RULE_SET = RuleSet(
    NAME,
    "Tank barges: intact transverse stability",
    "46 CFR 172.090",
    "Title 46, part 172, as in force in 2026",
    LIMITS,
    evaluate,
    choose=choose,
    surfaces=CFR,
    automatic_closure=True,
    reads_lines=True,
)
