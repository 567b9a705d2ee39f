"""Natural rolling period from breadth, draft, length and GM."""

from math import sqrt


def coefficient(breadth: float, draft: float, length_waterline: float) -> float:
    """C = 0.373 + 0.023 B/d - 0.043 Lwl/100, all in m. Source: 2008 IS Code Part A 2.3.4."""
    return 0.373 + 0.023 * breadth / draft - 0.043 * length_waterline / 100.0


def period(coefficient: float, breadth: float, gm: float) -> float | None:
    """T = 2 C B / sqrt(GM) in s, GM corrected in m; None where GM is not positive.

    Source: 2008 IS Code Part A 2.3.4."""
    return 2.0 * coefficient * breadth / sqrt(gm) if gm > 0.0 else None


def metacentric_height(coefficient: float, breadth: float, period: float) -> float:
    """GM in m from an observed period in s: (2 C B / T)^2. Source: 2008 IS Code Part A 2.3.4, inverted."""
    return (2.0 * coefficient * breadth / period) ** 2
