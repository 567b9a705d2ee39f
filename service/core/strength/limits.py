"""Permissible still-water shear forces and bending moments at the stations of her booklet.

At sea and in harbour apart, each with a limit for either sign. Between two stations a limit is linear (value from
memory); beyond the first and last there is none.
"""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from ..interpolation import held, is_outside

SEA, HARBOUR = "sea", "harbour"
SHEAR, BENDING = "shear_force", "bending_moment"


class Limits(NamedTuple):
    """Permissible values of one set, all positive (t, t.m), None where the booklet gives none: shear force of
    either sign, bending moment when she hogs and when she sags."""

    shear_positive: float | None = None
    shear_negative: float | None = None
    hogging: float | None = None
    sagging: float | None = None

    @classmethod
    def of(
        cls,
        shear: float | None,
        shear_negative: float | None,
        hogging: float | None,
        sagging: float | None,
    ) -> "Limits":
        """As printed; a limit of the negative sign that is not given is that of the positive one.

        Source: MSC/Circ.920 3.8.1 (limits of both signs at sea and in port)."""
        return cls(
            shear,
            shear if shear_negative is None else shear_negative,
            hogging,
            hogging if sagging is None else sagging,
        )

    def of_sign(self, quantity: str, value: float) -> float | None:
        """The limit of SHEAR or BENDING that a value has, by its own sign. Source: definition."""
        if quantity == SHEAR:
            return self.shear_positive if value >= 0.0 else self.shear_negative
        return self.hogging if value >= 0.0 else self.sagging


class Station(NamedTuple):
    """A read-out point at x (m) with its limits at sea and in harbour."""

    x: float
    sea: Limits
    harbour: Limits
    name: str | None = None

    def limits(self, which: str) -> Limits:
        """Those of SEA or HARBOUR. Source: definition."""
        return self.sea if which == SEA else self.harbour


class Used(NamedTuple):
    """A limit (t or t.m) of the sign of a value, and what percent of it the value is; None where there is none."""

    limit: float | None
    percent: float | None


def used(limit: float | None, value: float) -> Used:
    """Percent of a limit, which is that of the value's own sign; a limit of nothing is exceeded by anything.

    Source: IACS Recommendation 48 4.2 (percent of the permissible value); MSC/Circ.920 3.8.1 (limits by sign)."""
    if limit is None:
        return Used(None, None)
    if limit == 0.0:
        return Used(limit, 0.0 if value == 0.0 else inf)
    return Used(limit, 100.0 * abs(value) / limit)


def used_by(limits: Limits, quantity: str, values: Sequence[float]) -> Used:
    """The value that uses most of its limit, where several act at one place; None where one has no limit.

    Source: definition (at a load at a point the larger of both sides)."""
    if len(values) == 1 or values[0] == values[1]:
        return used(limits.of_sign(quantity, values[0]), values[0])
    each = [used(limits.of_sign(quantity, value), value) for value in values]
    percents = [one.percent for one in each if one.percent is not None]
    if len(percents) < len(each):
        return Used(None, None)
    return max(each, key=lambda one: one.percent or 0.0)


class LimitLine(NamedTuple):
    """Limits (t or t.m) of one set, quantity and sign, at places (m) that increase."""

    places: Sequence[float]
    limits: Sequence[float]

    @classmethod
    def of(cls, stations: Sequence[Station], which: str, quantity: str, sign: float) -> "LimitLine":
        """Those stations that have such a limit; where two stand at one place the smaller counts.

        Source: common practice, no source."""
        least: dict[float, float] = {}
        for station in stations:
            limit = station.limits(which).of_sign(quantity, sign)
            if limit is not None:
                least[station.x] = min(limit, least.get(station.x, inf))
        places = sorted(least)
        return cls(places, [least[place] for place in places])

    def at(self, x: float) -> float | None:
        """The limit at x (m), linear between two stations; None beyond them. Source: linear interpolation (value
        from memory)."""
        if not self.places or is_outside(x, self.places[0], self.places[-1]):
            return None
        return held(self.places, self.limits, x)
