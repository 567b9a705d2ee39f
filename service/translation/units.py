"""Factors between the published unit systems and the core's metres and tonnes."""

from dataclasses import dataclass

from service.core.conventions import FOOT, LONG_TON
from service.wire.assessment import UnitNames

INCH_IN_CM = 2.54


@dataclass(frozen=True)
class Scale:
    """What one unit of a document is in the core's units: multiply going in, divide going out.

    Source: international yard and pound agreement of 1959 (foot, pound), exact."""

    length: float
    mass: float
    names: UnitNames

    @property
    def area(self) -> float:
        """m2 a unit of area. Source: definition."""
        return self.length**2

    @property
    def volume(self) -> float:
        """m3 a unit of volume. Source: definition."""
        return self.length**3

    @property
    def inertia(self) -> float:
        """m4 a unit of second moment of area. Source: definition."""
        return self.length**4

    @property
    def moment(self) -> float:
        """t.m a unit of moment of mass. Source: definition."""
        return self.length * self.mass

    @property
    def per_immersion(self) -> float:
        """Units of length that `tpc` and `mctc` are printed per: cm of a centimetre, cm of an inch."""
        return 1.0 if self.length == 1.0 else INCH_IN_CM


METRIC = Scale(
    1.0,
    1.0,
    {
        "system": "metric",
        "length": "metre",
        "mass": "tonne",
        "volume": "cubic metre",
        "area": "square metre",
        "moment": "tonne-metre",
        "tpc": "tonne per centimetre",
        "mctc": "tonne-metre per centimetre",
        "density": "tonne per cubic metre",
        "angle": "degree",
        "area_under_lever": "metre-radian",
        "time": "second",
    },
)
US = Scale(
    FOOT,
    LONG_TON,
    {
        "system": "us",
        "length": "foot",
        "mass": "long ton",
        "volume": "cubic foot",
        "area": "square foot",
        "moment": "foot-long ton",
        "tpc": "long ton per inch",
        "mctc": "foot-long ton per inch",
        "density": "tonne per cubic metre",
        "angle": "degree",
        "area_under_lever": "foot-radian",
        "time": "second",
    },
)
SCALES = {"metric": METRIC, "us": US}
