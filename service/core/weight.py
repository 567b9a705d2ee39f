"""Masses: what she carries besides liquids."""

from typing import NamedTuple


class Weight(NamedTuple):
    """One line of the deadweight: t, and the coordinates of its centre in m."""

    mass: float
    lcg: float
    vcg: float
    tcg: float = 0.0
    category: str = "other"
