"""Units as people write them: what a quantity is measured in, and what another unit is worth.

Metric and US units stand side by side. A unit of the same system is converted, and whoever reads is told; a unit of the
other system is refused. Factors: international yard and pound agreement of 1959, exact (foot 0.3048 m, pound
0.45359237 kg, long ton 2240 lb, short ton 2000 lb); US gallon 231 cubic inches, barrel 42 gallons (NIST Handbook 44,
Appendix C).
"""

import re
from functools import cache, lru_cache
from math import radians
from typing import Literal, NamedTuple

System = Literal["metric", "us"]

QUANTITIES: dict[str, tuple[str, str]] = {
    "length": ("m", "ft"),
    "mass": ("t", "LT"),
    "volume": ("m³", "ft³"),
    "area": ("m²", "ft²"),
    "inertia": ("m⁴", "ft⁴"),
    "moment": ("t·m", "ft·LT"),
    "mass_per_length": ("t/m", "LT/ft"),
    "immersion": ("t/cm", "LT/in"),
    "trim_moment": ("t·m/cm", "ft·LT/in"),
    "stowage": ("m³/t", "ft³/LT"),
    "lever_area": ("m·rad", "ft·rad"),
    "density": ("t/m³", "t/m³"),
    "percent": ("%", "%"),
    "angle": ("degree", "degree"),
    "speed": ("kn", "kn"),
    "time": ("s", "s"),
    "days": ("d", "d"),
    "mass_per_day": ("t/d", "LT/d"),
    "factor": ("1", "1"),
    "power": ("kW", "hp"),
    "force": ("kN", "LT"),
    "mass_of_person": ("kg", "lb"),
    "own_limit": ("m, degree, % or t", "ft, degree, % or LT"),
}
"""Unit of each quantity in either system, as `x-units` of the published schema names it."""


class Unit(NamedTuple):
    """A unit somebody wrote: its quantity, the system it belongs to (None: both), how much of the document's own unit
    it is, and its name."""

    quantity: str
    system: System | None
    factor: float
    name: str


def unit_shown(quantity: str | None, system: System) -> str:
    """The unit of a quantity as headings show it; empty for plain numbers."""
    if quantity is None or quantity == "factor":
        return ""
    name = QUANTITIES[quantity][system == "us"]
    return "°" if name == "degree" else name


# quantity, system, factor to the document's unit, spellings (after `_plain`)
_POUND = 1.0 / 2240.0
_SPELLINGS: tuple[tuple[str, System | None, float, str], ...] = (
    ("length", "metric", 1.0, "m metre metres meter meters mtr mtrs"),
    ("length", "metric", 0.01, "cm"),
    ("length", "metric", 0.001, "mm"),
    ("length", "us", 1.0, "ft feet foot ft-in ft-ins ftin feet-inches"),
    ("length", "us", 1.0 / 12.0, "in inch inches"),
    ("mass", "metric", 1.0, "t mt tonne tonnes tons(metric) metrictons metrictonnes metricton"),
    ("mass", "metric", 0.001, "kg kgs"),
    ("mass", "us", 1.0, "lt longton longtons l.t tonsof2240lb ton(long) tons(long)"),
    ("mass", "us", _POUND, "lb lbs pound pounds"),
    ("mass", "us", 2000.0 * _POUND, "st shortton shorttons"),
    ("volume", "metric", 1.0, "m3 cbm cum cu.m cubicmetres cubicmeters m^3"),
    ("volume", "metric", 0.001, "l litre litres liter liters ltr"),
    ("volume", "us", 1.0, "ft3 cuft cu.ft cft cubicfeet cf ft^3"),
    ("volume", "us", 231.0 / 1728.0, "gal gals gallon gallons usgal usgallons usg"),
    ("volume", "us", 42.0 * 231.0 / 1728.0, "bbl bbls barrel barrels"),
    ("area", "metric", 1.0, "m2 sqm sq.m m^2"),
    ("area", "us", 1.0, "ft2 sqft sq.ft ft^2"),
    ("inertia", "metric", 1.0, "m4 m^4"),
    ("inertia", "us", 1.0, "ft4 ft^4"),
    ("moment", "metric", 1.0, "t*m tm mt*m t-m m*t tonne-metres tonnemetres t.m"),
    ("moment", "metric", 0.001, "kg*m kgm"),
    ("moment", "us", 1.0, "ft*lt ft-lt lt*ft lt-ft ftlt ft-tons fttons foot-tons ft-longtons ltft ft.lt"),
    ("mass_per_length", "metric", 1.0, "t/m"),
    ("mass_per_length", "us", 1.0, "lt/ft"),
    ("immersion", "metric", 1.0, "t/cm tpc"),
    ("immersion", "metric", 0.01, "t/m"),
    ("immersion", "us", 1.0, "lt/in lt/inch tons/in tons/inch"),
    ("trim_moment", "metric", 1.0, "t*m/cm tm/cm t-m/cm m*t/cm mt/cm t.m/cm"),
    ("trim_moment", "metric", 0.01, "t*m/m tm/m t.m/m"),
    ("trim_moment", "us", 1.0, "ft*lt/in ft-lt/in ftlt/in ft-tons/in lt*ft/in lt-ft/in ft-lt/inch ft.lt/in"),
    ("stowage", "metric", 1.0, "m3/t cbm/t m3/mt"),
    ("stowage", "us", 1.0, "ft3/lt cuft/lt cft/lt cu.ft/lt cuft/ton"),
    ("lever_area", "metric", 1.0, "m*rad mrad m-rad m*radians metre-radians m.rad"),
    ("lever_area", "metric", radians(1.0), "m*deg mdeg m-deg m*° m° m.deg metre-degrees"),
    ("lever_area", "us", 1.0, "ft*rad ftrad ft-rad foot-radians ft.rad"),
    ("lever_area", "us", radians(1.0), "ft*deg ftdeg ft-deg ft° ft*° ft.deg foot-degrees"),
    ("density", None, 1.0, "t/m3 t/cbm kg/l kg/litre g/cm3 g/ml t/m^3 mt/m3 sg s.g"),
    ("density", None, 0.001, "kg/m3 kg/cbm kg/m^3 g/l"),
    ("percent", None, 1.0, "% percent pct per-cent"),
    ("angle", None, 1.0, "° deg degs degree degrees"),
    ("power", "metric", 1.0, "kw kilowatt kilowatts"),
    ("power", "metric", 1000.0, "mw megawatt megawatts"),
    ("power", "us", 1.0, "hp horsepower"),
    ("force", "metric", 1.0, "kn kilonewton kilonewtons"),
    ("force", "us", 1.0, "lt longton longtons l.t"),
    ("mass_of_person", "metric", 1.0, "kg kgs"),
    ("mass_of_person", "us", 1.0, "lb lbs pound pounds"),
    ("speed", None, 1.0, "kn kt kts knots knot"),
    ("own_limit", "metric", 1.0, "m,degree,%ort"),
    ("own_limit", "us", 1.0, "ft,degree,%orlt"),
    ("time", None, 1.0, "s sec secs second seconds"),
    ("days", None, 1.0, "d day days"),
    ("days", None, 1.0 / 24.0, "h hr hrs hour hours"),
    ("mass_per_day", "metric", 1.0, "t/d t/day t/24h mt/d mt/day tpd tonnes/day tons/day"),
    ("mass_per_day", "metric", 0.001, "kg/d kg/day"),
    ("mass_per_day", "us", 1.0, "lt/d lt/day longtons/day"),
)
_DIGITS = str.maketrans("²³⁴º˚·×⋅∙•", "234°°*****")


def _plain(text: str) -> str:
    """A unit without spaces and with one sign for each operation."""
    words = re.sub(r"[\s\u00a0\u2009\u202f]+", "", text.translate(_DIGITS).lower())
    return words.rstrip(".").replace("**", "^")


@cache
def _by_spelling() -> dict[str, list[Unit]]:
    """Every unit by its spellings."""
    found: dict[str, list[Unit]] = {}
    for quantity, system, factor, words in _SPELLINGS:
        for word in words.split():
            found.setdefault(word, []).append(Unit(quantity, system, factor, word))
    return found


@lru_cache(maxsize=4096)
def units_named(text: str) -> tuple[Unit, ...]:
    """What `text` may name as a unit, one a quantity; empty where it is no unit at all."""
    if len(text) > 24:
        return ()
    found = _by_spelling().get(_plain(text))
    if found is None:
        return ()
    return tuple(unit._replace(name=text.strip()) for unit in found)


def feet_and_inches_unit(text: str) -> bool:
    """Whether a heading says that figures are typed in feet and inches."""
    return _plain(text) in ("ft-in", "ft-ins", "ftin", "feet-inches")
