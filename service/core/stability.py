"""Where the righting levers leave her at rest: list, loll and the angle at which stability vanishes."""

from math import atan, degrees
from typing import NamedTuple

from .errors import NoEquilibrium
from .righting_lever import RightingLever


def vanishing_angle(curve: RightingLever) -> float | None:
    """Angle in degrees beyond her rest at which GZ first falls to zero; None where it does not up to the last heel.

    A curve that rises again further over does not bring her back. Source: definition (range of stability)."""
    return curve.fall(0.0, beyond=curve.rise(0.0) or 0.0)


class Rest(NamedTuple):
    """How she rests, in degrees: list, positive to port, and angle of loll, None where GM is positive.

    The list is where she lies, her weight off the centreline included; loll is where she would lie without it.
    None too where there are no cross curves to find the angle on."""

    list_angle: float | None
    loll: float | None


SMALL_ANGLE = 5.0
"""Degrees up to which the list is taken from tan(list) = TCG / GM. Source: common practice, no source."""


def rest_of(curve: RightingLever | None, gm: float, side: float, arm: float) -> Rest:
    """List from the arm of her weight to port and GM (both m) for small angles, else from the curve of the side she
    leans to (`side` +1 port).

    Raises NoEquilibrium where the curve has none. Source: Derrett and Barrass, Ship Stability, chapters on list and
    on angle of loll: tan(list) = GG1 / GM.
    """
    if gm > 0.0:
        small = degrees(atan(abs(arm) / gm))
        if small <= SMALL_ANGLE:
            return Rest(side * small, None)
    if curve is None:
        return Rest(None, None)
    angle = _equilibrium(curve)
    return Rest(side * angle, None if gm > 0.0 else _equilibrium(curve.leaning(0.0)))


def _equilibrium(curve: RightingLever) -> float:
    """Angle in degrees at which GZ first rises through zero."""
    angle = curve.rise(0.0)
    if angle is None:
        words = "her righting lever rises through zero at no angle of the cross curves: she would capsize"
        raise NoEquilibrium(words)
    return angle
