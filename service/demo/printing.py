"""How a booklet prints: its units, axes, and rounding.

The hull is calculated in the booklet's own unit of length; nothing but masses, axes and rounding changes
here.  Exact factors: 1 ft = 0.3048 m, 1 long ton = 1.0160469088 t.
"""

from dataclasses import dataclass
from typing import Any

Row = dict[str, Any]

MASS_OF_WATER = {"metric": 1.0, "us": 0.3048**3 / 1.0160469088}
"""Mass of a unit of volume at a density of 1 t/m3: tonnes per m3, long tons per ft3."""

LENGTHS_PER_DRAFT_STEP = {"metric": 100.0, "us": 12.0}
"""Centimetres in a metre, inches in a foot: TPC and MCTC, TPI and moment per inch."""


@dataclass(frozen=True)
class Printing:
    """Units ("metric" or "us") and axes of one booklet.

    length: between perpendiculars.  When `from_amidships` is set, x is printed from amidships, positive aft,
    and y positive to starboard; otherwise from the aft perpendicular, positive forward, and y to port.
    water: density of the water of the hydrostatic tables, t/m3.
    """

    units: str
    length: float
    from_amidships: bool
    water: float = 1.025

    @property
    def axes(self) -> Row:
        """The axes as the vessel document names them."""
        if self.from_amidships:
            return {"x_origin": "midship", "x_positive": "aft", "y_positive": "starboard"}
        return {"x_origin": "aft_perpendicular", "x_positive": "forward", "y_positive": "port"}

    def x(self, x: float, digits: int = 3) -> float:
        """A longitudinal position as printed."""
        return rounded(self.length / 2.0 - x if self.from_amidships else x, digits)

    def y(self, y: float, digits: int = 3) -> float:
        """A transverse position as printed."""
        return rounded(-y if self.from_amidships else y, digits)

    def mass(self, volume: float, density: float) -> float:
        """Mass of a volume at a density in t/m3, not rounded: tonnes or long tons."""
        return volume * density * MASS_OF_WATER[self.units]

    def per_step(self, value: float) -> float:
        """A rate per metre (foot) of draft as a rate per centimetre (inch)."""
        return value / LENGTHS_PER_DRAFT_STEP[self.units]


def rounded(value: float, digits: int) -> float:
    """Rounded as printed; zero has no sign."""
    return round(float(value), digits) + 0.0
