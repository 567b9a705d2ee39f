"""Piecewise polynomials of the heel together with a sine and a cosine: values, and roots to rounding.

Everything that is solved for on a righting lever curve has this form: where the lever or its slope meets a level, and
where a point of the ship meets the water.
"""

from bisect import bisect_right
from collections.abc import Sequence
from math import cos, inf, sin

QUADRATIC = 1e-9
"""Radians: a Newton step this short leaves an error of the order of its square."""

Pieces = Sequence[Sequence[float]]
"""Five coefficients an interval between K knots, lowest power first, in radians from its left knot: [K - 1, 5]."""


def value(pieces: Pieces, knots: Sequence[float], angle: float) -> float:
    """The polynomial at an angle in radians, from the first to the last of the knots [K]. Source: Horner's scheme."""
    i = bisect_right(knots, angle, 1, len(knots) - 1) - 1
    c0, c1, c2, c3, c4 = pieces[i]
    t = angle - knots[i]
    return c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))


def root(
    pieces: Pieces,
    knots: Sequence[float],
    terms: tuple[float, float, float],
    bracket: tuple[float, float],
    angle: float,
    *,
    rising: bool,
) -> float:
    """Where the polynomial + constant + sine sin(x) + cosine cos(x), `terms` being the three, crosses zero in a bracket
    of radians, upward if `rising`.

    Newton steps from `angle`, halving whenever one leaves the bracket. Source: bracketed Newton iteration (Press et
    al., Numerical Recipes, 9.4)."""
    constant, sine, cosine = terms
    low, high = bracket
    last = len(knots) - 1
    for _ in range(60):
        i = bisect_right(knots, angle, 1, last) - 1
        c0, c1, c2, c3, c4 = pieces[i]
        t, s, c = angle - knots[i], sin(angle), cos(angle)
        found = constant + sine * s + cosine * c + c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))
        slope = sine * c - cosine * s + c1 + t * (2.0 * c2 + t * (3.0 * c3 + t * 4.0 * c4))
        if (found < 0.0) is rising:
            low = angle
        else:
            high = angle
        better = angle - found / slope if slope else inf
        if low <= better <= high:
            if abs(better - angle) <= QUADRATIC:
                return better
        else:
            better = 0.5 * (low + high)
            if abs(better - angle) <= 1e-14:
                return better
        angle = better
    return angle
