"""Where the righting levers leave her at rest: list and loll."""

from math import atan, degrees
from typing import NamedTuple

from .righting_lever import RightingLever


class Rest(NamedTuple):
    """How she rests, in degrees: list, positive to port, and angle of loll, None where GM is positive.

    The list is where she lies, her weight off the centreline included; loll is where she would lie without it. Both are
    None where there are no cross curves to find the angle on. `sought` tells whether it was looked for on a curve."""

    list_angle: float | None
    loll: float | None
    sought: bool = False

    @property
    def found(self) -> bool:
        """Whether there is an angle at which she rests. Source: definition."""
        return self.list_angle is not None


SMALL_ANGLE = 5.0
"""Degrees up to which the list is taken from tan(list) = TCG / GM. Source: common practice, no source."""


def rest_of(curve: RightingLever | None, gm: float, side: float, arm: float) -> Rest:
    """List from the arm of her weight to port and GM (both m) for small angles, else from the curve of the side she
    leans to (`side` +1 port). Without an angle where the curve has no equilibrium.

    Source: Derrett and Barrass, Ship Stability, chapters on list and on angle of loll: tan(list) = GG1 / GM.
    """
    if gm > 0.0:
        small = degrees(atan(abs(arm) / gm))
        if small <= SMALL_ANGLE:
            return Rest(side * small, None)
    if curve is None:
        return Rest(None, None)
    angle = curve.rise(0.0)
    if angle is None:
        return Rest(None, None, sought=True)
    return Rest(side * angle, None if gm > 0.0 else curve.leaning(0.0).rise(0.0), sought=True)
