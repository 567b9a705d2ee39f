"""Figures for people: the one place where numbers are rounded.

The wire carries full precision; pages, reports and the command line print what these functions return.
Decimals follow what booklets print and what can be read on board (common practice, no source).
"""

from typing import Final, Literal

from service.wire.fields import UnitSystem

Quantity = Literal[
    "length",
    "draft",
    "trim",
    "position",
    "lever",
    "mass",
    "volume",
    "area",
    "mass_moment",
    "immersion",
    "trim_moment",
    "density",
    "angle",
    "lever_area",
    "percent",
    "speed",
    "period",
    "plain",
]

NOTHING: Final = "—"
"""Printed where there is no figure."""

MOST_DECIMALS: Final = 9

MINUS: Final = "\u2212"

# quantity -> (unit, decimals) in metric and in us
_FORMATS: Final[dict[str, tuple[tuple[str, int], tuple[str, int]]]] = {
    "length": (("m", 2), ("ft", 2)),
    "draft": (("m", 2), ("ft", 2)),
    "trim": (("m", 2), ("ft", 2)),
    "position": (("m", 2), ("ft", 2)),
    "lever": (("m", 3), ("ft", 3)),
    "mass": (("t", 1), ("LT", 1)),
    "volume": (("m³", 1), ("ft³", 0)),
    "area": (("m²", 1), ("ft²", 0)),
    "mass_moment": (("t·m", 1), ("ft·LT", 1)),
    "immersion": (("t/cm", 2), ("LT/in", 2)),
    "trim_moment": (("t·m/cm", 1), ("ft·LT/in", 1)),
    "density": (("t/m³", 3), ("t/m³", 3)),
    "angle": (("°", 1), ("°", 1)),
    "lever_area": (("m·rad", 3), ("ft·rad", 3)),
    "percent": (("%", 1), ("%", 1)),
    "speed": (("kn", 1), ("kn", 1)),
    "period": (("s", 1), ("s", 1)),
    "plain": (("", 3), ("", 3)),
}
_UNSPACED: Final = ("°", "")
# Units that a document of rules states its limits in, beside those of the two systems.
_DECIMALS_BY_UNIT: Final[dict[str, int]] = {
    "m": 3,
    "ft": 3,
    "m·rad": 3,
    "ft·rad": 3,
    "m·degree": 2,
    "ft·degree": 2,
    "degree": 1,
    "deg": 1,
    "°": 1,
    "%": 1,
    "s": 1,
    "t": 1,
    "LT": 1,
    "": 3,
}


def unit(quantity: Quantity, system: UnitSystem) -> str:
    """Symbol of the unit that `quantity` is printed in."""
    return _FORMATS[quantity][system == "us"][0]


def number(value: float | None, quantity: Quantity, system: UnitSystem) -> str:
    """`value` rounded for a person, without its unit."""
    return rounded(value, _FORMATS[quantity][system == "us"][1])


def figure(value: float | None, quantity: Quantity, system: UnitSystem) -> str:
    """`value` rounded for a person, with its unit: `"4.21 m"`, `"1.2°"`."""
    return with_unit(number(value, quantity, system), unit(quantity, system))


def figure_in(value: float | None, unit_symbol: str) -> str:
    """`value` in a unit that the answer itself names, as the rows of criteria do."""
    symbol = "°" if unit_symbol in ("degree", "deg") else unit_symbol.replace("degree", "°")
    return with_unit(rounded(value, _DECIMALS_BY_UNIT.get(unit_symbol, 3)), symbol)


def figures_apart(value: float | None, limit: float, unit_symbol: str) -> tuple[str, str]:
    """A value and its limit without unit, with as many decimals as tell them apart: one that falls short is never
    printed as if it were met."""
    decimals = _DECIMALS_BY_UNIT.get(unit_symbol, 3)
    if value is not None and abs(value - limit) > 1e-9 * max(1.0, abs(limit)):
        while rounded(value, decimals) == rounded(limit, decimals) and decimals < MOST_DECIMALS:
            decimals += 1
    return rounded(value, decimals), rounded(limit, decimals)


def rounded(value: float | None, decimals: int) -> str:
    """`value` with a fixed number of decimals, a true minus sign and no negative zero."""
    if value is None:
        return NOTHING
    text = f"{abs(value):.{decimals}f}"
    negative = value < 0 and text.strip("0.") != ""
    return f"{MINUS}{text}" if negative else text


def with_unit(text: str, symbol: str) -> str:
    """A printed number and its unit; a missing number has none."""
    if text == NOTHING or not symbol:
        return text
    return f"{text}{symbol}" if symbol in _UNSPACED else f"{text} {symbol}"


def list_in_words(angle: float | None) -> str:
    """List or heel (degrees, positive to port) as it is said: `"1.2° to starboard"`, `"upright"`."""
    if angle is None:
        return NOTHING
    if abs(angle) < 0.05:
        return "upright"
    return f"{abs(angle):.1f}° to {'port' if angle > 0 else 'starboard'}"


def trim_in_words(trim: float | None, system: UnitSystem) -> str:
    """Trim (positive by the stern) as it is said: `"0.35 m by the stern"`, `"even keel"`."""
    if trim is None:
        return NOTHING
    size = number(abs(trim), "trim", system)
    if float(size) == 0:
        return "even keel"
    return f"{size} {unit('trim', system)} by the {'stern' if trim > 0 else 'head'}"


def words(code: str) -> str:
    """A value of an enumeration as words: `"at_limit"` is "at limit", `"overfull"` is "over-full"."""
    return _SPELT.get(code, code.replace("_", " "))


_SPELT: Final = {"overfull": "over-full"}
