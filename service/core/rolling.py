"""Natural rolling period from breadth, draft, length and GM."""

import numpy as np

from .frame import Floats


def coefficient(breadth: float, draft: Floats, length_waterline: float) -> Floats:
    """C = 0.373 + 0.023 B/d - 0.043 Lwl/100, [N], for d [N], all in m. Source: 2008 IS Code Part A 2.3.4."""
    return 0.373 + 0.023 * breadth / draft - 0.043 * length_waterline / 100.0


def period(coefficient: Floats, breadth: float, gm: Floats) -> Floats:
    """T = 2 C B / sqrt(GM) in s [N], GM corrected [N] m; NaN where GM is not positive.

    Source: 2008 IS Code Part A 2.3.4."""
    with np.errstate(divide="ignore", invalid="ignore"):
        result: Floats = np.where(gm > 0.0, 2.0 * coefficient * breadth / np.sqrt(gm), np.nan)
    return result


def metacentric_height(coefficient: Floats, breadth: float, period: Floats) -> Floats:
    """GM in m [N] from an observed period in s [N]: (2 C B / T)^2. Source: 2008 IS Code Part A 2.3.4, inverted."""
    return (2.0 * coefficient * breadth / period) ** 2
