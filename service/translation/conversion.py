"""A stored assessment in the other system of units. Nothing is computed anew: every figure is multiplied.

Which figures, and by what, their types say (`wire/quantity.py`). Sentences stay as they were written. Figures of the
rule documents (`as_written`, `details`) keep their own unit.
"""

from typing import Any, Final

from service.translation.answer_load_line import statement
from service.translation.answer_strength import units_of_forces
from service.translation.plan_conversion import with_margins
from service.translation.units import METRIC, SCALES, US, Scale
from service.wire.assessment import Assessment
from service.wire.dimensions import FigureType, figure_types
from service.wire.quantity import DimensionName

_SHORT: Final = {"m": 1.0, "ft": US.length}
_MASSES: Final = {"t": 1.0, "LT": US.mass}


def factors(source: Scale, target: Scale) -> dict[DimensionName, float]:
    """What to multiply by, by dimension; a dimension that is absent is the same in both systems."""
    length, mass = source.length / target.length, source.mass / target.mass
    immersion = target.per_immersion / source.per_immersion
    return {
        "length": length,
        "mass": mass,
        "volume": length**3,
        "area": length**2,
        "moment": length * mass,
        "tpc": mass * immersion,
        "mctc": length * mass * immersion,
        "area_under_lever": length,  # length times radian
    }


def converted(assessment: dict[str, Any], target: Scale) -> dict[str, Any]:
    """The assessment in the units of `target`; itself when it is in them already."""
    source = SCALES[assessment["units"]["system"]]
    if source is target:
        return assessment
    result = {**_object(Assessment, assessment, factors(source, target), target), "units": target.names}
    if "plan" in assessment:
        result["plan"] = with_margins(result["plan"], assessment["plan"], target, in_units_of)
    if "strength" in assessment:
        result["strength"] = {**result["strength"], "units": units_of_forces(target)}
    if assessment.get("load_line") is not None:
        result["load_line"] = {
            **result["load_line"],
            "statement": _load_line_words(assessment, source, target),
        }
    return result


def _load_line_words(assessment: dict[str, Any], source: Scale, target: Scale) -> str | None:
    """What is left to the load line, worded in the other units."""
    block = assessment["load_line"]
    margin, mass = _scaled(block["margin"], source.length), _scaled(block["mass_to_line"], source.mass)
    return statement(margin, mass, target)


def in_units_of(target: Scale, value: float | None, unit: str) -> tuple[float | None, str]:
    """A figure that has its own unit, with that unit in the system of `target`: a mass, a length, or a length times an
    angle.
    Anything else stays as it is."""
    if unit in _MASSES:
        wanted = "t" if target is METRIC else "LT"
        return _scaled(value, _MASSES[unit] / _MASSES[wanted]), wanted
    short, times, angle = unit.partition("·")
    if short not in _SHORT:
        return value, unit
    wanted = "m" if target is METRIC else "ft"
    return _scaled(value, _SHORT[short] / _SHORT[wanted]), wanted + times + angle


def _object(kind: type, row: dict[str, Any], by: dict[DimensionName, float], target: Scale) -> dict[str, Any]:
    """An object of an answer, of the TypedDict `kind`; members that its type does not name stay as they are."""
    types = figure_types(kind)
    result = {
        name: _value(types[name], value, by, target) if name in types else value
        for name, value in row.items()
    }
    for name, figure in types.items():
        if figure.in_unit and name in row:
            result[name], result["unit"] = in_units_of(target, row[name], row["unit"])
    return result


def _value(figure: FigureType, value: Any, by: dict[DimensionName, float], target: Scale) -> Any:
    if isinstance(value, list):
        return [_value(figure, each, by, target) for each in value]
    if isinstance(value, dict):
        return value if figure.members is None else _object(figure.members, value, by, target)
    factor = None if figure.dimension is None else by.get(figure.dimension)
    return value if factor is None else _scaled(value, factor)


def _scaled(value: Any, factor: float) -> Any:
    """Scaled; a missing figure as it is."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return value * factor
