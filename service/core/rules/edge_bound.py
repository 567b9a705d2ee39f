"""Limits that the immersion of the deck edge may lower. No document: only what they share."""

from math import inf, isinf
from typing import NamedTuple

from ..situation import Situation
from .limit import NOT_COMPUTABLE, ROUNDING, Ruling

UNKNOWN_EDGE = Ruling(
    NOT_COMPUTABLE, "no deck edge at this draft and trim, or no cross curves to find its angle"
)
CURVES_END = Ruling(NOT_COMPUTABLE, "the cross curves end before her deck edge goes under")


class EdgeBound(NamedTuple):
    """A limit in degrees that lies between two: the same where the angle that may lower it is known, `least` -inf
    where nothing is known of it."""

    least: float
    most: float

    @classmethod
    def of(cls, most: float, angle: float | None, ship: Situation, part: float = 1.0) -> "EdgeBound":
        """The lesser of `most` and `part` of an angle, degrees. An angle that is inf lies beyond the last heel of the
        cross curves. Source: definition."""
        if angle is None:
            return cls(-inf, most)
        curves = ship.vessel.cross_curves
        if not isinf(angle) or curves is None:
            limit = min(most, part * angle)
            return cls(limit, limit)
        return cls(min(most, part * curves.last_heel), most)

    def leaves_open(self, heel: float | None) -> Ruling | None:
        """Why a heel that must not exceed the limit cannot be judged; None where it can. Source: definition."""
        # what counts as met for rounding at the greater limit is no more certain than what lies below it
        most = self.most + ROUNDING * max(1.0, self.most)
        if heel is None or not self.least < heel <= most or self.least == self.most:
            return None
        return UNKNOWN_EDGE if isinf(self.least) else CURVES_END

    def limit_for(self, heel: float | None) -> float:
        """The limit a heel is judged by, degrees. Source: definition."""
        return self.most if heel is None or heel > self.least else self.least
