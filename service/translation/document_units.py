"""A vessel or a condition in the other system of units, as far as a sheet shows it; half typed ones too.

Which figures, and in what, the published schema says (`x-units`).
"""

from collections.abc import Mapping
from math import isfinite
from typing import Any, Final

from pydantic import BaseModel

from service.translation.conversion import factors
from service.translation.ship_type import HORSEPOWER, KILOGRAM, POUND, TON_FORCE
from service.translation.units import METRIC, SCALES
from service.wire.fields import UnitSystem
from service.wire.limit import BOUND_UNITS
from service.wire.published_shape import PublishedShape, Schema, form_of_value, published_shape

Row = dict[str, Any]
_DIGITS: Final = 12
_SEPARATOR: Final = "; "
"""Between the numbers of a list that stands as text."""
_BOUND: Final = BOUND_UNITS["x-units"]["metric"]
_UNITS_OF_LIMITS: Final = {"displacement": "t", "list": "degree"}
"""Metric units of the figures that a limit may be set to; metres where none is named."""


def in_units(document: Row, model: type[BaseModel], target: UnitSystem) -> Row:
    """The document with its figures in `target`; itself where it is in them, or says no system of its own.

    A figure that stands as text is converted where it is a number; any other text stays. Sentences and names are
    not touched, nor is what has no published unit (the forces of strength tables name theirs beside them)."""
    source = document.get("units")
    if source not in SCALES or source == target:
        return document
    shape = published_shape(model)
    changed: Row = _Conversion(shape, source, target).of(document, shape.root)
    return changed | {"units": target}


class _Conversion:
    def __init__(self, shape: PublishedShape, source: UnitSystem, target: UnitSystem) -> None:
        self._shape, self._factors = shape, _by_unit(source, target)

    def of(self, value: Any, schema: Schema) -> Any:
        """One value."""
        forms = self._shape.forms(schema)
        if isinstance(value, str) and "value" not in forms and "array" in forms:
            return _SEPARATOR.join(str(self.of(part, forms["array"]["items"])) for part in value.split(";"))
        found = forms.get(form_of_value(value))
        if value is None or found is None:
            return value
        if isinstance(value, Mapping):
            return {
                name: below if one is None else self._member(value, below, one)
                for name, below, one in self._shape.members(found, value)
            }
        if isinstance(value, list):
            return [self.of(item, found["items"]) for item in value]
        return _times(value, self._factors.get(_unit_of(found)))

    def _member(self, of: Mapping[str, Any], value: Any, schema: Schema) -> Any:
        """A member of an object; the bound of a limit is in the unit of what it limits."""
        if any(_unit_of(one) == _BOUND for one in self._shape.choices(schema)):
            return _times(value, self._factors.get(_UNITS_OF_LIMITS.get(of.get("quantity", ""), "m")))
        return self.of(value, schema)


def _unit_of(schema: Schema) -> str:
    """Metric unit of a figure; empty where it has none."""
    unit: str = schema.get("x-units", {}).get("metric", "")
    return unit


def _by_unit(source: UnitSystem, target: UnitSystem) -> dict[str, float]:
    """What to multiply by, by the unit that the metric system has in its place."""
    by = factors(SCALES[source], SCALES[target])
    length, mass = by["length"], by["mass"]
    to_us = SCALES[source] is METRIC
    power, force, person = HORSEPOWER, TON_FORCE, POUND / KILOGRAM
    return {
        "m": length,
        "t": mass,
        "m²": length**2,
        "m³": length**3,
        "m⁴": length**4,
        "t·m": by["moment"],
        "t/m": mass / length,
        "m³/t": length**3 / mass,
        "m·rad": length,
        "t/cm": by["tpc"],
        "t·m/cm": by["mctc"],
        "t/d": mass,
        "kW": 1.0 / power if to_us else power,
        "kN": 1.0 / force if to_us else force,
        "kg": 1.0 / person if to_us else person,
    }


def _times(value: Any, factor: float | None) -> Any:
    """The figure in the other unit, as short as it can be written without being felt."""
    if factor is None or isinstance(value, bool):
        return value
    try:
        number = float(value.replace(",", ".") if isinstance(value, str) else value)
    except ValueError:
        return value
    return float(f"{number * factor:.{_DIGITS}g}") if isfinite(number) else value
