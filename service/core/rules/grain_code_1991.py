"""International Code for the Safe Carriage of Grain in Bulk (resolution MSC.23(59), 1991), Part A, 7.1.

Grain shifts to one side as Part B assumes and heels her with a lever that is a straight line from lambda_0 upright to
0.8 lambda_0 at 40 degrees. The heeling moments of the shift are the booklet's, hold by hold; nothing is computed from
the shape of a hold. She heels to the side she leans to already, so a list of her own adds to that of the grain. Not
judged: ships without a document of authorization (A 9), strength of fittings, trimming, and
that she must be upright before she sails.
"""

from math import cos, fsum, radians
from typing import NamedTuple

from ..grain import PARTLY_FILLED, VCG_OF_CARGO, GrainLine, volumetric_moment
from ..lever_measures import LeverMeasures
from ..righting_lever import RightingLever
from ..situation import Heeled, Situation
from .edge_bound import EdgeBound
from .limit import (
    AT_LEAST,
    AT_MOST,
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    judge_gm,
    without_curve,
)
from .measured_lever import flooding_detail, too_short, unknown

_CODE = "International Grain Code (MSC.23(59)), Part A"
NAME = "grain-code"

AT_40 = 0.8
"""lambda_40 / lambda_0. Source: MSC.23(59) A 7.1."""
END = 40.0
"""Degrees where the area ends at the latest. Source: MSC.23(59) A 7.1.2."""
FACTOR_OF_CARGO, FACTOR_OF_HOLD, FACTOR_PARTLY_FILLED = 1.06, 1.00, 1.12
"""What the moment athwartships is multiplied by for the vertical shift: filled holds with the centre of gravity of
the cargo itself, or with that of the whole hold; partly filled holds. Source: MSC.23(59), Part B, allowance for the
adverse effect of the vertical shift."""

HEEL = Limit(
    "grain-code-a-7.1.1-heel",
    "A 7.1.1",
    "Angle of heel due to the shift of grain",
    "angle",
    AT_MOST,
    12.0,
    "degree",
    f"{_CODE} 7.1.1: 12 degrees or, for ships constructed on or after 1 January 1994, the angle of deck edge "
    "immersion, whichever is less; taken so for every ship",
    "grain_heel",
)
AREA = Limit(
    "grain-code-a-7.1.2-residual-area",
    "A 7.1.2",
    "Residual area between the righting and the heeling lever curve",
    "area",
    AT_LEAST,
    0.075,
    "m·rad",
    f"{_CODE} 7.1.2: up to the angle of maximum difference, 40 degrees or the angle of flooding, the least",
    "grain_residual_area",
)
GM = Limit(
    "grain-code-a-7.1.3-initial-gm",
    "A 7.1.3",
    "Initial metacentric height, corrected for free surface",
    "metacentric height",
    AT_LEAST,
    0.30,
    "m",
    f"{_CODE} 7.1.3",
    "gm",
)
LIMITS = (HEEL, AREA, GM)


class Shift(NamedTuple):
    """Grain in one hold: volumetric moment (m4; None: unknown), factor for the vertical shift, stowage factor
    (m3/t)."""

    hold: str
    volumetric: float | None
    factor: float
    stowage_factor: float

    @property
    def moment(self) -> float | None:
        """Heeling moment, t.m. Source: definition of the stowage factor."""
        return None if self.volumetric is None else self.volumetric * self.factor / self.stowage_factor


def shifts_of(ship: Situation) -> list[Shift]:
    """Each hold that carries grain. Source: MSC.23(59) A 7.1, factors of Part B."""
    holds = ship.vessel.holds
    return [
        Shift(holds[g.hold].id, volumetric_moment(g, holds), vertical_factor(g), g.stowage_factor)
        for g in sorted(ship.condition.grain, key=lambda line: line.hold)
    ]


def total_moment(shifts: list[Shift]) -> float | None:
    """Heeling moment of all holds with grain, t.m; None where one of them is unknown. Source: definition."""
    moments = [shift.moment for shift in shifts]
    return None if None in moments else fsum(moment for moment in moments if moment is not None)


def vertical_factor(line: GrainLine) -> float:
    """What the volumetric moment of a hold is multiplied by for the vertical shift. Source: MSC.23(59) Part B."""
    if line.filling == PARTLY_FILLED:
        return FACTOR_PARTLY_FILLED
    return FACTOR_OF_CARGO if line.vcg_basis == VCG_OF_CARGO else FACTOR_OF_HOLD


class HeelingLever(NamedTuple):
    """lambda_0 in m, the righting levers less the heeling lever, the angle in degrees at which she comes to rest
    (None: none) and that of the maximum difference."""

    at_0: float
    residual: RightingLever
    heel: float | None
    greatest_difference: float

    @classmethod
    def of(cls, curve: RightingLever, at_0: float) -> "HeelingLever":
        """The straight line of the Code against her curve. Source: MSC.23(59) A 7.1."""
        kn = curve.kn.less(at_0, (AT_40 - 1.0) * at_0 / radians(END))
        residual = RightingLever(kn, curve.vcg, curve.tcg)
        return cls(at_0, residual, residual.rise(0.0), residual.angle_of_maximum)

    @property
    def at_40(self) -> float:
        """lambda_40 in m. Source: MSC.23(59) A 7.1."""
        return AT_40 * self.at_0


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Heel, residual area and GM on one side; degrees, m.rad, m. Source: MSC.23(59) A 7.1."""
    shifts, levers = shifts_of(ship), heeled.levers
    empty = None
    if not shifts:
        empty = Ruling(NOT_APPLICABLE, "no grain aboard: the condition has no grain lines", CONDITION)
    gm = judge_gm(GM, ship, empty)
    if levers is None:
        return [*without_curve((HEEL, AREA), ship, empty), gm]
    total = total_moment(shifts)
    lever = None if total is None else HeelingLever.of(levers.curve, total / ship.displacement.mass)
    always = empty or _missing(shifts) or unknown(levers)
    return [_heel(ship, shifts, levers, lever, always), _area(levers, lever, always), gm]


def _missing(shifts: list[Shift]) -> Ruling | None:
    """The first hold whose moment is unknown."""
    for shift in shifts:
        if shift.volumetric is None:
            words = f"no heeling moment for hold {shift.hold} as it is filled with grain"
            return Ruling(NOT_COMPUTABLE, words)
    return None


def _never_rests(lever: HeelingLever, levers: LeverMeasures) -> Ruling | None:
    """Where the righting lever does not rise above the heeling lever on the usable part."""
    if lever.heel is None:
        over = "no equilibrium: the heeling lever of the grain exceeds every righting lever"
        return Ruling(FAIL, over)
    if levers.flooding is not None and levers.flooding <= lever.heel:
        return Ruling(FAIL, "an opening floods before equilibrium is reached")
    return None


def _heel(
    ship: Situation,
    shifts: list[Shift],
    levers: LeverMeasures,
    lever: HeelingLever | None,
    always: Ruling | None,
) -> Criterion:
    deck = ship.deck_edge
    bound = EdgeBound.of(12.0, deck, ship)
    unless, heel = always, None
    if lever is not None:
        heel = lever.heel
        short = too_short(levers, 12.0) if heel is None and _still_draw_apart(lever, levers) else None
        unless = always or short or _never_rests(lever, levers) or bound.leaves_open(heel)
    details = (
        *_hold_details(ship, shifts),
        Intermediate("heeling_moment", "heeling moment of all holds", "t·m", total_moment(shifts)),
        Intermediate("displacement", "displacement", "t", ship.displacement.mass),
        *_lever_details(lever),
        Intermediate("deck_edge_angle", "angle of deck edge immersion", "degree", deck),
        flooding_detail(levers, "angle of flooding"),
    )
    return judge(HEEL, heel, bound.limit_for(heel), unless=unless, details=details)


def _area(levers: LeverMeasures, lever: HeelingLever | None, always: Ruling | None) -> Criterion:
    unless, area, end, heel, greatest = always, None, None, None, None
    if lever is not None:
        heel, greatest = lever.heel, lever.greatest_difference
        if levers.flooding is not None:
            end = min(greatest, END, levers.flooding)
        if heel is not None and end is not None:
            area = lever.residual.area(heel, max(heel, end))
        short = too_short(levers, END) if _still_draw_apart(lever, levers) else None
        unless = always or short or _never_rests(lever, levers)
    details = (
        *_lever_details(lever),
        Intermediate("angle_of_heel", "angle of heel", "degree", heel),
        Intermediate("angle_of_greatest_difference", "angle of maximum difference", "degree", greatest),
        flooding_detail(levers, "angle of flooding"),
        Intermediate("end_of_area", "end of the area", "degree", end),
    )
    effect = None if heel is None or end is None else cos(radians(heel)) - cos(radians(max(heel, end)))
    return judge(AREA, area, unless=unless, details=details, vcg_effect=effect or None)


def _still_draw_apart(lever: HeelingLever, levers: LeverMeasures) -> bool:
    """Whether righting and heeling lever still draw apart where her cross curves end."""
    return lever.greatest_difference >= levers.curve.last_heel - 1e-9


def _lever_details(lever: HeelingLever | None) -> tuple[Intermediate, ...]:
    at_0, at_40 = (None, None) if lever is None else (lever.at_0, lever.at_40)
    return (
        Intermediate("heeling_lever_0", "heeling lever lambda_0", "m", at_0),
        Intermediate("heeling_lever_40", "heeling lever lambda_40", "m", at_40),
    )


def _hold_details(ship: Situation, shifts: list[Shift]) -> list[Intermediate]:
    grain = {shift.hold: shift for shift in shifts}
    details = []
    for hold in ship.vessel.holds:
        shift = grain.get(hold.id)
        columns = (
            ("volumetric_moment", "volumetric heeling moment", "m4", shift and shift.volumetric),
            ("vertical_factor", "factor for the vertical shift", "", shift and shift.factor),
            ("stowage_factor", "stowage factor", "m3/t", shift and shift.stowage_factor),
            ("heeling_moment", "heeling moment", "t·m", shift and shift.moment),
        )
        details += [
            Intermediate(f"hold/{hold.id}/{key}", f"hold {hold.id}: {name}", unit, value)
            for key, name, unit, value in columns
        ]
    return details


RULE_SET = RuleSet(
    NAME,
    "Grain in bulk: shift of the cargo",
    "International Code for the Safe Carriage of Grain in Bulk, Part A, 7.1",
    "MSC.23(59), in force 1 January 1994",
    LIMITS,
    evaluate,
    binds=lambda vessel, condition: bool(condition.grain),
)
