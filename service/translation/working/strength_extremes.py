"""The greatest and the least shear force and bending moment along her length: where they lie, and what they are."""

from service.core.strength.limits import SHEAR
from service.core.strength.still_water import Extreme
from service.translation.working.given import Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.strength_forces import Forces

SOURCE = "definition of an extreme"
LOAD = "q0 + (q1 - q0) * (x - x0) / (x1 - x0)"


def write(a: Sources, forces: Forces, id: str, quantity: str, extreme: Extreme, path: Path | None) -> None:
    """Its place, a root unless it is one that was typed, and its value, that of the cut there."""
    s, cut = a.sheet, forces.cuts[extreme.x]
    where = None if path is None else (*path, "x")
    if not forces.is_root(extreme.x):
        s.copy(f"{id}/x", f"{cut}/x", path=where)
    elif quantity == SHEAR:
        _load_turns(a, forces, id, cut, extreme.x, where)
    else:
        s.add(
            f"{id}/x", "root", "SF", {"SF": f"{cut}/shear_aft"}, name="place where the shear force is nothing",
            unit=s.unit("length"), value=s.value(f"{cut}/x"), path=where, source=SOURCE,
        )  # fmt: skip
    name = "bending"
    if quantity == SHEAR:
        value = s.here(extreme.value, "mass")
        name = min(("shear_aft", "shear_forward"), key=lambda each: abs(s.value(f"{cut}/{each}") - value))
    words = f"{quantity.replace('_', ' ')} there"
    s.copy(f"{id}/value", f"{cut}/{name}", name=words, path=None if path is None else (*path, "value"))


def _load_turns(a: Sources, forces: Forces, id: str, cut: str, x: float, path: Path | None) -> None:
    """Where weight and buoyancy a unit of length are the same."""
    s, curve = a.sheet, forces.found.curve
    i = max(k for k, knot in enumerate(curve.knots[:-1]) if knot < x)
    per = s.factor("mass") / s.factor("length")
    unit, words = f"{s.unit('mass')}/{s.unit('length')}", "weight less buoyancy a unit of length"
    ends = (
        curve.weight_aft[i] - curve.buoyancy_aft[i],
        curve.weight_forward[i] - curve.buoyancy_forward[i],
    )
    inputs: Inputs = {"x": f"{cut}/x"}
    for n, (q, side) in enumerate(zip(ends, ("aft", "forward"), strict=True)):
        knot = s.here(curve.knots[i + n], "length")
        inputs[f"q{n}"] = s.constant(f"{words} {side}", q / per, unit)
        inputs[f"x{n}"] = s.constant(f"where the load bends, {side}", knot, s.unit("length"))
    s.add(
        f"{id}/x", "root", LOAD, inputs, name="place where weight and buoyancy are the same", unit=s.unit("length"),
        value=s.value(f"{cut}/x"), path=path, source=SOURCE,
    )  # fmt: skip
