"""2008 IS Code (resolution MSC.267(85)), Part B, section 2.9 as amended by MSC.415(97): ships engaged in lifting.

When it applies was read: where the lift heels her by more than 0.67 x displacement x GM x f / B, or raises the centre
of gravity by more than 1 %. The criteria could not be read: their figures are shown where there are any, and nothing is
judged. What happens when the load is lost is not worked out: a condition without the lift shows it.
"""

from ..free_surface import IMO
from ..lift import Lift, threshold
from ..opening import DeckEdge
from ..situation import Heeled, Situation
from .curve_rows import missing, nothing_of_the_kind, under_24_m
from .hull_figures import least_freeboard
from .limit import (
    AT_LEAST,
    AT_MOST,
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

NAME = "is-code-2008-b-2.9"
RISE = 0.01
"""Part of the VCG by which a lift without a heeling moment must raise it. Source: 2008 IS Code Part B 2.9.1."""


def _row(slug: str, title: str, quantity: str, unit: str, key: str, comparison: str) -> Limit:
    source = "2008 IS Code (MSC.267(85)), Part B 2.9 as amended by MSC.415(97) (criteria: not read)"
    words = "the criteria of B 2.9 could not be read; when it applies was read"
    return Limit(
        f"{NAME}-{slug}", "B 2.9", title, quantity, comparison, None, unit, source, key, words, judges=False
    )


HEEL = _row("heel", "Heel with the load on the hook", "angle", "degree", "lifting_heel", AT_MOST)
FREEBOARD = _row(
    "freeboard",
    "Least height of the deck edge above the water with the load on the hook",
    "freeboard",
    "m",
    "lifting_freeboard",
    AT_LEAST,
)
LOSS_OF_LOAD = _row(
    "loss-of-load",
    "Area under the righting levers after loss of the load (no figure is worked out)",
    "area",
    "m·rad",
    "loss_of_load",
    AT_LEAST,
)
LIMITS = (HEEL, FREEBOARD, LOSS_OF_LOAD)


def rise_of_vcg(ship: Situation, lift: Lift) -> float:
    """Part of the VCG without the load by which the load raises it. Source: 2008 IS Code Part B 2.9.1."""
    load = ship.displacement
    without_load = (load.mass * load.vcg_solid - lift.mass * lift.z) / (load.mass - lift.mass)
    return load.vcg_solid / without_load - 1.0 if without_load > 0.0 else 0.0


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Heel and height of the deck edge on one side; degrees and m. Source: 2008 IS Code Part B 2.9 (not judged)."""
    lift = ship.condition.lift
    unless = under_24_m(ship) or nothing_of_the_kind(lift is not None) or _does_not_apply(ship, lift)
    if heeled.levers is None:
        return without_curve(LIMITS, ship, unless)
    heel = heeled.levers.curve.rise(0.0)
    details = () if lift is None else _details(ship, lift)
    return [
        judge(HEEL, heel, unless=unless, details=details),
        judge(FREEBOARD, _height_of_edge(ship, heeled.side, heel), unless=unless, details=details),
        judge(LOSS_OF_LOAD, None, unless=unless, details=details),
    ]


def _height_of_edge(ship: Situation, side: float, heel: float | None) -> float | None:
    """Least height of the deck edge above the water on the low side, m along the normal of the waterplane."""
    edge, waterplane = ship.vessel.deck_edge, ship.waterplane
    if edge is None or waterplane is None or heel is None or not edge.points:
        return None
    return min(waterplane.height(x, y, z, heel) for x, y, z in _points(edge))


def _points(edge: DeckEdge) -> list[tuple[float, float, float]]:
    return [(x, abs(y), z) for x, y, z in edge.points]


def _threshold(ship: Situation) -> float | None:
    freeboard, gm = least_freeboard(ship), ship.gm_corrected
    if freeboard is None or gm is None:
        return None
    return threshold(ship.displacement.mass, gm, freeboard, ship.vessel.particulars.breadth)


def _does_not_apply(ship: Situation, lift: Lift | None) -> Ruling | None:
    if lift is None or rise_of_vcg(ship, lift) > RISE:
        return None
    least = _threshold(ship)
    if least is None:
        gap = without(ship, "flotation") or without(ship, "stability")
        return gap or missing("points of the deck edge, for the freeboard")
    if lift.heeling_moment > least:
        return None
    words = "the lift neither heels her by more than 0.67 of displacement x GM x f / B nor raises her VCG by over 1 %"
    return Ruling(NOT_APPLICABLE, words, CONDITION)


def _details(ship: Situation, lift: Lift) -> tuple[Intermediate, ...]:
    return (
        Intermediate("freeboard_least", "least freeboard f", "m", least_freeboard(ship)),
        Intermediate("applies_above", "moment above which it applies", "t·m", _threshold(ship)),
        Intermediate("lift_moment", "heeling moment of the lift", "t·m", lift.heeling_moment),
        Intermediate("vcg_rise", "rise of the VCG by the lift", "%", 100.0 * rise_of_vcg(ship, lift)),
    )


RULE_SET = RuleSet(
    NAME,
    "Ships engaged in lifting (figures only)",
    "International Code on Intact Stability, 2008, Part B, 2.9",
    "MSC.267(85) as amended by MSC.415(97), in force 1 January 2020",
    LIMITS,
    evaluate,
    surfaces=IMO,
    judges_stability=False,
)
