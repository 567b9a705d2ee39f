"""Permissible forces at the read-out points as her booklet prints them, both signs, in the units of an answer."""

from collections.abc import Mapping
from typing import Any, Literal

from service.translation.axes import AxesAndUnits
from service.translation.units import SCALES
from service.wire.fields import Axes, UnitSystem

STANDARD_GRAVITY = 9.81
"""kN of a tonne, as limits in kN are read."""
Limits = dict[tuple[str, str, int], list[tuple[float, float]]]
_MEMBERS: Mapping[tuple[Literal["shear", "bending"], int], tuple[str, str]] = {
    ("shear", 1): ("shear_force", ""),
    ("shear", -1): ("shear_force", "_negative"),
    ("bending", 1): ("bending_moment", ""),
    ("bending", -1): ("bending_moment", "_sagging"),
}


def strength_limits(vessel: Mapping[str, Any], system: UnitSystem) -> Limits:
    """By quantity ("shear", "bending"), set ("sea", "harbour") and sign: x and the signed limit, from aft to forward; a
    negative limit is that of the positive sign where none is printed."""
    strength = vessel.get("strength")
    if strength is None:
        return {}
    own, target = SCALES[vessel["units"]], SCALES[system]
    axes = vessel.get("axes")
    frame = AxesAndUnits.of(
        own,
        None if axes is None else Axes.model_validate(axes),
        vessel["particulars"]["length_bp"] * own.length,
    )
    factors = {"shear": own.mass / target.mass, "bending": own.moment / target.moment}
    divisor = STANDARD_GRAVITY if strength.get("unit") == "kN" else 1.0
    found: Limits = {}
    for (quantity, sign), (member, suffix) in _MEMBERS.items():
        for which in ("sea", "harbour"):
            rows = []
            for station in strength["stations"]:
                value = station.get(f"{member}_{which}{suffix}")
                if value is None:
                    value = station.get(f"{member}_{which}")
                if value is not None:
                    x = frame.x(station["x"]) / target.length
                    rows.append((x, sign * value * factors[quantity] / divisor))
            found[quantity, which, sign] = sorted(rows)
    return found
