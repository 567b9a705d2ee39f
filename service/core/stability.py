"""Where the righting levers leave her at rest: list, loll and the angle at which stability vanishes."""

from dataclasses import dataclass

import numpy as np

from .errors import NoEquilibrium, Refusals
from .frame import Bools, Floats
from .righting_lever import Crossing, RightingLever


def vanishing_angle(curve: RightingLever | None, count: int) -> Floats:
    """Angle [N] in degrees beyond her rest at which GZ first falls to zero; NaN where it does not up to the last heel.

    A curve that rises again further over does not bring her back. Source: definition (range of stability)."""
    if curve is None:
        return np.full(count, np.nan)
    zero = np.zeros(count)
    return curve.first_crossings([Crossing(zero, True), Crossing(zero, False, following=0)])[:, 1]


@dataclass(frozen=True)
class Stability:
    """How each condition [N] rests, in degrees: list, positive to port, and angle of loll, NaN where GM is positive.

    The list is where she lies, her weight off the centreline included; loll is where she would lie without it.
    NaN too where there are no cross curves to find the angle on."""

    list_angle: Floats
    loll: Floats


SMALL_ANGLE = 5.0
"""Degrees up to which the list is taken from tan(list) = TCG / GM. Source: common practice, no source."""


def stability_of(
    curve: RightingLever | None, gm: Floats, side: Floats, arm: Floats, refusals: Refusals
) -> Stability:
    """List [N] from the arm of her weight to port and GM (both m) for small angles, else from the curve of the side
    she leans to (`side` +1 port).

    Refuses a condition whose curve has no equilibrium. Source: Derrett and Barrass, Ship Stability, chapters on list
    and on angle of loll: tan(list) = GG1 / GM.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        small = np.degrees(np.arctan(np.abs(arm) / gm))
    lolls = ~(gm > 0.0)
    large = lolls | (small > SMALL_ANGLE)
    unknown = np.full_like(gm, np.nan)
    if not large.any() or curve is None:
        return Stability(side * np.where(large, unknown, small), unknown)
    angle = np.where(large, _equilibrium(curve, refusals, large), small)
    if not lolls.any():
        return Stability(side * angle, unknown)
    loll = np.where(lolls, _equilibrium(curve.centred(), refusals, lolls), unknown)
    return Stability(side * angle, loll)


def _equilibrium(curve: RightingLever, refusals: Refusals, asked: Bools) -> Floats:
    """Angle [N] in degrees at which GZ first rises through zero; refuses those `asked` [N] that have none."""
    angle = curve.first_crossings([Crossing(np.zeros_like(curve.km), True)])[:, 0]
    for n in np.flatnonzero(asked & np.isnan(angle)):
        words = "her righting lever rises through zero at no angle of the cross curves: she would capsize"
        refusals.add(int(n), NoEquilibrium(words))
    return angle
