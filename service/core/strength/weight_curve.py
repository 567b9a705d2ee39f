"""Masses along her length: each as a load that is linear over its extent, or as one at a point."""

from collections.abc import Iterable, Sequence
from math import fsum
from typing import NamedTuple

from ..errors import CoreError

ROOM = 1e-6
"""m by which a centre may lie outside its extent: rounding of units."""
SHORTEST = 1e-3
"""m: what is shorter is a load at a point."""

Extent = tuple[float, float]
"""Ends in m from the aft perpendicular, the aft one first."""


class Load(NamedTuple):
    """Mass a metre (t/m) from `aft` to `forward` (m), linear in between; one at a point (aft = forward) is `mass` t."""

    aft: float
    forward: float
    at_aft: float
    at_forward: float
    mass: float

    @property
    def moment(self) -> float:
        """About the aft perpendicular, t.m. Source: definition."""
        if self.aft == self.forward:
            return self.mass * self.aft
        third = self.at_aft * (2.0 * self.aft + self.forward) + self.at_forward * (
            self.aft + 2.0 * self.forward
        )
        return (self.forward - self.aft) * third / 6.0


class Segment(NamedTuple):
    """A part of the lightship: mass a metre (t/m) at both ends (m), linear in between."""

    aft: float
    forward: float
    at_aft: float
    at_forward: float

    @classmethod
    def of_mass(cls, aft: float, forward: float, mass: float) -> "Segment":
        """A mass (t) spread evenly. Source: definition."""
        return cls(aft, forward, mass / (forward - aft), mass / (forward - aft))

    @property
    def load(self) -> Load:
        """The segment as a load. Source: definition."""
        return linear(self.aft, self.forward, self.at_aft, self.at_forward)


class Totals(NamedTuple):
    """Mass t, and its moment about the aft perpendicular t.m."""

    mass: float
    moment: float


def linear(aft: float, forward: float, at_aft: float, at_forward: float) -> Load:
    """A load of these masses a metre (t/m) at its ends (m). Source: definition."""
    return Load(aft, forward, at_aft, at_forward, 0.5 * (forward - aft) * (at_aft + at_forward))


def spread(mass: float, lcg: float, extent: Extent | None) -> Load:
    """A mass (t) with its centre at lcg (m) over an extent: a trapezium of that mass and centre.

    (m / l)(1 -+ 6 e / l) at the ends, e being how far the centre lies from the middle, while |e| <= l / 6; beyond
    that a triangle over 3 (l / 2 - |e|) at the nearer end; at a point without extent. Raises CoreError for a centre
    outside its extent. Source: definition (mass and first moment of a linear load).
    """
    if extent is None:
        return Load(lcg, lcg, 0.0, 0.0, mass)
    aft, forward = extent
    if not is_inside(lcg, extent):
        raise CoreError("a centre of gravity lies outside the extent of its mass")
    length = forward - aft
    away = min(max(lcg - 0.5 * (aft + forward), -0.5 * length), 0.5 * length)
    if is_shortened(lcg, extent):
        base = 3.0 * (0.5 * length - abs(away))
        if base < SHORTEST:
            return Load(lcg, lcg, 0.0, 0.0, mass)
        peak = 2.0 * mass / base
        if away < 0.0:
            return Load(aft, aft + base, peak, 0.0, mass)
        return Load(forward - base, forward, 0.0, peak, mass)
    if length < SHORTEST:
        return Load(lcg, lcg, 0.0, 0.0, mass)
    even, tilt = mass / length, 6.0 * away / length
    return Load(aft, forward, even * (1.0 - tilt), even * (1.0 + tilt), mass)


def is_inside(lcg: float, extent: Extent) -> bool:
    """Whether a centre (m) lies within an extent, but for the rounding of units. Source: definition."""
    return extent[0] - ROOM <= lcg <= extent[1] + ROOM


def is_shortened(lcg: float, extent: Extent) -> bool:
    """Whether a centre (m) lies so far to one end that the mass cannot reach the other. Source: definition (a
    trapezium needs its centre within a sixth of its length from the middle)."""
    aft, forward = extent
    return abs(lcg - 0.5 * (aft + forward)) > (forward - aft) / 6.0 + ROOM


def totals(loads: Iterable[Load]) -> Totals:
    """Mass and moment of loads. Source: first moments."""
    each = list(loads)
    return Totals(fsum(load.mass for load in each), fsum(load.moment for load in each))


def point_loads(loads: Sequence[Load]) -> list[Load]:
    """Those at a point. Source: definition."""
    return [load for load in loads if load.aft == load.forward]
