"""International Code for the Safe Carriage of Grain in Bulk (resolution MSC.23(59), 1991), Part A, 7.1.

Grain shifts to one side as Part B assumes and heels her with a lever that is a straight line from lambda_0 upright to
0.8 lambda_0 at 40 degrees. The heeling moments of the shift are the booklet's, hold by hold; nothing is computed from
the shape of a hold. She heels to the side she leans to already, so a list of her own adds to that of the grain. Not
judged: ships without a document of authorization (A 9), strength of fittings, trimming, and
that she must be upright before she sails.
"""

from dataclasses import dataclass

import numpy as np

from ..frame import Bools, Floats
from ..grain import PARTLY_FILLED, VCG_OF_CARGO, GrainLine, volumetric_moment
from ..righting_lever import Crossing, RightingLever
from ..situation import Situation
from .lever_curve import CurveMeasures
from .limit import (
    AT_LEAST,
    AT_MOST,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    Cause,
    Criterion,
    Detail,
    Limit,
    RuleSet,
    judge,
)

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
)
LIMITS = (HEEL, AREA, GM)


@dataclass(frozen=True)
class Shift:
    """Grain of N conditions in the H holds of the booklet [N, H]: volumetric moment (m4), factor for the vertical
    shift, stowage factor (m3/t); NaN in holds without grain, a moment alone NaN where it is not to be had."""

    volumetric: Floats
    factor: Floats
    stowage_factor: Floats

    @classmethod
    def of(cls, situation: Situation) -> "Shift":
        """Lay the grain lines of the conditions out by hold. Source: definition."""
        holds, conditions = situation.vessel.holds, situation.batch.conditions
        values = np.full((3, len(situation), len(holds)), np.nan)
        for n, condition in enumerate(conditions):
            for line in condition.grain:
                moment = volumetric_moment(line, holds)
                values[:, n, line.hold] = moment, vertical_factor(line), line.stowage_factor
        return cls(*values)

    @property
    def carried(self) -> Bools:
        """Which holds [N, H] carry grain. Source: definition."""
        return ~np.isnan(self.stowage_factor)

    @property
    def moments(self) -> Floats:
        """Heeling moment [N, H] of each hold, t.m. Source: definition of the stowage factor."""
        return self.volumetric * self.factor / self.stowage_factor

    @property
    def total(self) -> Floats:
        """Heeling moment [N] of all holds with grain, t.m; NaN where one of them is unknown. Source: definition."""
        total: Floats = np.where(self.carried, self.moments, 0.0).sum(axis=1)
        return total


def vertical_factor(line: GrainLine) -> float:
    """What the volumetric moment of a hold is multiplied by for the vertical shift. Source: MSC.23(59) Part B."""
    if line.filling == PARTLY_FILLED:
        return FACTOR_PARTLY_FILLED
    return FACTOR_OF_CARGO if line.vcg_basis == VCG_OF_CARGO else FACTOR_OF_HOLD


def evaluate(situation: Situation) -> list[Criterion]:
    """Heel, residual area and GM of N conditions; degrees, m.rad, m. Source: MSC.23(59) A 7.1."""
    shift = Shift.of(situation)
    empty = Cause(
        np.logical_not(shift.carried.any(axis=1)),
        NOT_APPLICABLE,
        "no grain aboard: the condition has no grain lines",
    )
    gm = judge(GM, situation.gm_corrected, None, [empty])
    if situation.curve is None:
        missing_curve = Cause(~empty.where, NOT_COMPUTABLE, "the booklet has no cross curves")
        nothing = np.full(len(situation), np.nan)
        return [judge(row, nothing, None, [empty, missing_curve]) for row in (HEEL, AREA)] + [gm]
    curve = CurveMeasures.of(situation.curve, situation.flooding)
    lever = HeelingLever.of(situation.curve, shift.total / situation.displacement.mass)
    always = [empty, *_missing(situation, shift), curve.unknown]
    return [
        _heel(situation, shift, curve, lever, always),
        _area(curve, lever, always),
        gm,
    ]


@dataclass(frozen=True)
class HeelingLever:
    """lambda_0 [N] in m (NaN: unknown), the angle [N] in degrees at which she comes to rest (NaN: none) and that of
    the maximum difference; `residual` are the righting levers less the heeling lever."""

    at_0: Floats
    heel: Floats
    greatest_difference: Floats
    residual: RightingLever

    @classmethod
    def of(cls, curve: RightingLever, at_0: Floats) -> "HeelingLever":
        """The straight line of the Code against N curves. Source: MSC.23(59) A 7.1."""
        arm = np.nan_to_num(at_0)
        residual = curve.less(arm, (AT_40 - 1.0) * arm / np.radians(END))
        heel = residual.first_crossings([Crossing(np.zeros_like(arm), True)])[:, 0]
        known = ~np.isnan(at_0)
        return cls(
            at_0, np.where(known, heel, np.nan), np.where(known, residual.angle_of_maximum, np.nan), residual
        )

    @property
    def at_40(self) -> Floats:
        """lambda_40 [N] in m. Source: MSC.23(59) A 7.1."""
        return AT_40 * self.at_0


def _missing(situation: Situation, shift: Shift) -> list[Cause]:
    """One reason a hold whose moment is not to be had."""
    unknown = shift.carried & np.isnan(shift.volumetric)
    return [
        Cause(
            unknown[:, h], NOT_COMPUTABLE, f"no heeling moment for hold {hold.id} as it is filled with grain"
        )
        for h, hold in enumerate(situation.vessel.holds)
    ]


def _never_rests(lever: HeelingLever, curve: CurveMeasures) -> list[Cause]:
    """The reasons where the righting lever does not rise above the heeling lever on the usable part."""
    none = np.isnan(lever.heel) & ~np.isnan(lever.at_0)
    over = "no equilibrium: the heeling lever of the grain exceeds every righting lever"
    return [
        Cause(none, FAIL, over),
        Cause(curve.flooding <= lever.heel, FAIL, "an opening floods before she comes to rest"),
    ]


def _heel(
    situation: Situation, shift: Shift, curve: CurveMeasures, lever: HeelingLever, always: list[Cause]
) -> Criterion:
    deck = situation.deck_edge
    unknown: Bools = np.isnan(deck) & (lever.heel <= 12.0)
    causes = [
        *always,
        *_too_short(lever, curve, 12.0, np.isnan(lever.heel)),
        *_never_rests(lever, curve),
        Cause(unknown, NOT_COMPUTABLE, "no deck edge at this draft: its immersion angle is unknown"),
    ]
    details = [
        *_hold_details(situation, shift),
        Detail("heeling moment of all holds", "t·m", shift.total),
        Detail("displacement", "t", situation.displacement.mass),
        *_lever_details(lever),
        Detail("angle of deck edge immersion", "degree", deck),
        curve.flooding_detail("angle of flooding"),
    ]
    return judge(HEEL, lever.heel, np.fmin(12.0, deck), causes, details)


def _area(curve: CurveMeasures, lever: HeelingLever, always: list[Cause]) -> Criterion:
    end = np.minimum(np.minimum(lever.greatest_difference, END), curve.flooding)
    start = np.nan_to_num(lever.heel)
    area = lever.residual.area(start, np.maximum(start, np.nan_to_num(end)))
    area = np.where(np.isnan(end) | np.isnan(lever.heel), np.nan, area)
    causes = [*always, *_too_short(lever, curve, END, True), *_never_rests(lever, curve)]
    details = [
        *_lever_details(lever),
        Detail("angle of heel", "degree", lever.heel),
        Detail("angle of maximum difference", "degree", lever.greatest_difference),
        curve.flooding_detail("angle of flooding"),
        Detail("end of the area", "degree", end),
    ]
    return judge(AREA, area, None, causes, details)


def _too_short(lever: HeelingLever, curve: CurveMeasures, angle: float, where: Bools | bool) -> list[Cause]:
    """The reason `where` her cross curves end before `angle` while the levers still draw apart."""
    short, last = curve.too_short(angle), curve.curve.curves.last_heel
    rises: Bools = lever.greatest_difference >= last - 1e-9
    return [Cause(short.where & rises & where, short.verdict, short.text)]


def _lever_details(lever: HeelingLever) -> list[Detail]:
    return [
        Detail("heeling lever lambda_0", "m", lever.at_0),
        Detail("heeling lever lambda_40", "m", lever.at_40),
    ]


def _hold_details(situation: Situation, shift: Shift) -> list[Detail]:
    columns = (
        ("volumetric heeling moment", "m4", shift.volumetric),
        ("factor for the vertical shift", "", shift.factor),
        ("stowage factor", "m3/t", shift.stowage_factor),
        ("heeling moment", "t·m", shift.moments),
    )
    return [
        Detail(f"hold {hold.id}: {name}", unit, values[:, h])
        for h, hold in enumerate(situation.vessel.holds)
        for name, unit, values in columns
    ]


RULE_SET = RuleSet(
    NAME,
    "Grain in bulk: shift of the cargo",
    "International Code for the Safe Carriage of Grain in Bulk, Part A, 7.1",
    "MSC.23(59), in force 1 January 1994",
    LIMITS,
    evaluate,
)
