"""A kept assessment in the other system of units. Nothing is computed anew: every figure is multiplied.

Sentences stay as they were written. Figures of the rule documents (`as_written`, `details`) keep their own unit.
"""

from typing import Any, Final

from service.actions.convert_plan import with_own_units
from service.actions.units import METRIC, SCALES, US, Scale

Dimension = str

# Dimension of each figure of an assessment, by its name; the same name never stands for two dimensions.
DIMENSIONS: Final[dict[str, Dimension]] = {
    **dict.fromkeys(("lcg", "tcg", "vcg", "vcg_solid", "vcg_corrected"), "length"),
    **dict.fromkeys(("free_surface_correction", "gm_loss", "gm_solid", "gm_corrected"), "length"),
    **dict.fromkeys(("draft", "draft_at_lcf", "draft_forward", "draft_midship", "draft_aft"), "length"),
    **dict.fromkeys(("trim", "km", "lcb", "lcf", "residual", "x", "sounding", "ullage"), "length"),
    **dict.fromkeys(("levers", "maximum", "area"), "length"),  # areas are length times radian
    **dict.fromkeys(("mass", "displacement", "deadweight"), "mass"),
    "volume": "volume",
    **dict.fromkeys(("free_surface_moment", "longitudinal", "vertical", "transverse"), "moment"),
    **dict.fromkeys(("moment", "exempt_moment"), "moment"),
    "gm_equivalent": "length",
    **dict.fromkeys(("permitted_draft", "apparent_trim", "deflection", "mean_draft"), "length"),
    **dict.fromkeys(("table_displacement", "displacement_direct", "difference"), "mass"),
    **dict.fromkeys(("first_trim_correction", "second_trim_correction", "list_correction"), "mass"),
    **dict.fromkeys(("density_correction",), "mass"),
    "centimetre_is": "tpc",
    **dict.fromkeys(("used", "left", "mass_to_line", "more_to_load"), "mass"),
    **dict.fromkeys(("greatest_departure_displacement", "greatest_departure_deadweight"), "mass"),
    "tpc": "tpc",
    "mctc": "mctc",
}
_CRITERION: Final = ("attained", "limit", "margin")
_SHORT: Final = {"m": 1.0, "ft": US.length}


def factors(source: Scale, target: Scale) -> dict[Dimension, float]:
    """What to multiply by, by dimension."""
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
    }


def converted(assessment: dict[str, Any], target: Scale) -> dict[str, Any]:
    """The assessment in the units of `target`; itself when it is in them already."""
    source = SCALES[assessment["units"]["system"]]
    if source is target:
        return assessment
    by = factors(source, target)
    result = {name: _value(name, value, by) for name, value in assessment.items()}
    result["units"] = target.names
    result["criteria"] = [_criterion(row, target) for row in assessment["criteria"]]
    if result.get("plan") is not None:
        result["plan"] = with_own_units(result["plan"], source, target, in_units_of)
    margin = assessment.get("least_stability_margin")
    if margin is not None:
        value, unit = in_units_of(target, margin["margin"], margin["unit"])
        result["least_stability_margin"]["margin"] = value
        result["least_stability_margin"]["unit"] = unit
    return result


def in_units_of(target: Scale, value: float | None, unit: str) -> tuple[float | None, str]:
    """A figure that has its own unit, with that unit in the system of `target`: a length, or a length times an angle.
    Anything else stays as it is."""
    short, times, angle = unit.partition("·")
    if short not in _SHORT:
        return value, unit
    wanted = "m" if target is METRIC else "ft"
    return _scaled(value, _SHORT[short] / _SHORT[wanted]), wanted + times + angle


def _value(name: str, value: Any, by: dict[Dimension, float]) -> Any:
    if isinstance(value, dict):
        return {member: _value(member, inner, by) for member, inner in value.items()}
    dimension = DIMENSIONS.get(name)
    if isinstance(value, list):
        if dimension is not None:
            return [_scaled(each, by[dimension]) for each in value]
        return [_value(name, each, by) if isinstance(each, dict) else each for each in value]
    return value if dimension is None else _scaled(value, by[dimension])


def _criterion(row: dict[str, Any], target: Scale) -> dict[str, Any]:
    figures = {name: in_units_of(target, row[name], row["unit"])[0] for name in _CRITERION}
    return {**row, **figures, "unit": in_units_of(target, None, row["unit"])[1]}


def _scaled(value: Any, factor: float) -> Any:
    """Scaled; counts, names and missing figures as they are."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return value * factor
