"""Masses: what she carries besides liquids."""

from typing import NamedTuple


class Weight(NamedTuple):
    """One line of the deadweight: t, and the coordinates of its centre in m; `extent` its ends (m from the aft
    perpendicular, the aft one first) and `hold` the index of the hold it lies in, None where nobody said."""

    mass: float
    lcg: float
    vcg: float
    tcg: float = 0.0
    category: str = "other"
    extent: tuple[float, float] | None = None
    hold: int | None = None
