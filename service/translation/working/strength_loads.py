"""What weighs on her along her length, as nodes: where each mass lies, and the part of it between two sections."""

from dataclasses import replace
from typing import NamedTuple

from service.core.strength.weight_curve import Load, is_shortened, spread
from service.core.strength.weight_curve import linear as linear_load
from service.translation.working import added_weights, displacement
from service.translation.working.given import Given, Input, Inputs, Path
from service.translation.working.sources import Sources
from service.translation.working.typed import Typed

TRAPEZIUM = "IACS UR S11.2.1; a trapezium of the same mass and centre"
MASS = (
    "m * (v - u) / (x1 - x0) * (1 + 12 * (g - (x0 + x1) / 2) / (x1 - x0)^2 * ((u + v) / 2 - (x0 + x1) / 2))"
)
MOMENT = "M * (u + v) / 2 + m * (g - (x0 + x1) / 2) / (x1 - x0)^3 * (v - u)^3"
EVEN_MASS, EVEN_MOMENT = "m * (v - u) / (x1 - x0)", "M * (u + v) / 2"


class LoadNodes(NamedTuple):
    """One load of the core, what it is called, and its mass, centre and ends as nodes or inputs."""

    load: Load
    name: str
    mass: Input
    lcg: Input
    ends: tuple[Input, Input]
    is_even: bool


def loads_of(a: Sources) -> list[LoadNodes] | None:
    """Every mass along her length in the order of the core; None where one cannot be told by what was typed."""
    found = [_segment(a, n, *each) for n, each in enumerate(_segments(a))]
    ship, condition = a.assessed.situation, a.assessed.condition
    for i, (line, liquid) in enumerate(zip(condition.tanks, a.assessed.liquids, strict=True)):
        tank = ship.vessel.tanks[line.tank]
        if liquid.mass:
            id = f"tank/{tank.id}"
            place: Path = ("tanks", line.tank, "extent")
            load = spread(liquid.mass, liquid.lcg, tank.extent)
            found.append(
                _spread(
                    a, f"tank/{i}", tank.name, load, (f"{id}/mass", f"{id}/lcg"), tank.extent, a.vessel, place
                )
            )
    for i, weight in enumerate(condition.weights):
        if weight.mass:
            given = displacement.weight_of(a, i)
            document, place = _extent_of_weight(a, i)
            load, name = (
                spread(weight.mass, weight.lcg, weight.extent),
                str(a.condition.document["weights"][i]["name"]),
            )
            both = (given["mass"], given["lcg"])
            found.append(_spread(a, f"weight/{i}", name, load, both, weight.extent, document, place))
    for k, added in enumerate(a.assessed.added):
        weight = added.weight
        if weight.mass:
            given = added_weights.members_of(a, k)
            load = spread(weight.mass, weight.lcg, weight.extent)
            document, place = (a.vessel, ()) if weight.extent is None else _extent_of_weight(a, added.of or 0)
            both = (given["mass"], given["lcg"])
            found.append(
                _spread(a, f"added/{k}", str(added.name), load, both, weight.extent, document, place)
            )
    return found


def _extent_of_weight(a: Sources, i: int) -> tuple[Typed, Path]:
    """Where the ends of a weight were typed: its own, or those of its hold."""
    weight = a.assessed.condition.weights[i]
    if a.condition.has(("weights", i, "extent", "x_from")) or weight.hold is None:
        return a.condition, ("weights", i, "extent")
    return a.vessel, ("holds", weight.hold, "extent")


def _ends(document: Typed, place: Path) -> tuple[Given, Given]:
    """Both ends of an extent, the aft one first."""
    one, other = (document.number((*place, each), "x", "end of its extent") for each in ("x_from", "x_to"))
    return (one, other) if one.value <= other.value else (other, one)


def _spread(
    a: Sources, id: str, name: str, load: Load, both: tuple[Input, Input], extent: tuple[float, float] | None,
    document: Typed, place: Path,
) -> LoadNodes:  # fmt: skip
    mass, lcg = both
    if extent is None or load.aft == load.forward:
        return LoadNodes(load, name, mass, lcg, (lcg, lcg), False)
    aft, forward = _ends(document, place)
    centre = a.sheet.value_of(lcg)
    is_even = load.at_aft == load.at_forward
    ends: tuple[Input, Input] = (aft, forward)
    if is_shortened(centre * a.sheet.factor("length"), extent):
        ends = _shortened(a, id, name, load, lcg, aft, forward, extent)
    return LoadNodes(load, name, mass, lcg, ends, is_even)


def _shortened(
    a: Sources, id: str, name: str, load: Load, lcg: Input, aft: Given, forward: Given,
    extent: tuple[float, float],
) -> tuple[Input, Input]:  # fmt: skip
    """The ends of a triangle, three times as long as its centre is from the nearer end."""
    s, at_aft = a.sheet, load.aft == extent[0]
    text, end = ("x + 3 * (g - x)", aft) if at_aft else ("x - 3 * (x - g)", forward)
    node = s.add(
        f"strength/load/{id}/end", "expression", text, {"x": end, "g": lcg}, name="end of the triangle of *", of=name,
        unit=s.unit("length"), value=s.here(load.forward if at_aft else load.aft, "length"), source=TRAPEZIUM,
    )  # fmt: skip
    return (aft, node) if at_aft else (node, forward)


def _segments(a: Sources) -> list[tuple[int, bool]]:
    """Segments of the lightship that count, by their places, and whether they are typed from forward to aft."""
    found = []
    for i, each in enumerate(a.vessel.document["lightship"].get("segments") or ()):
        turned = a.vessel.frame.x(each["x_from"]) > a.vessel.frame.x(each["x_to"])
        ends = (each.get("mass_from"), each.get("mass_to"))
        if each["x_from"] != each["x_to"] and (each.get("mass") is None) is not (None in ends):
            found.append((i, turned))
    return found


def _segment(a: Sources, n: int, i: int, turned: bool) -> LoadNodes:
    s, id, name = a.sheet, f"strength/segment/{n}", f"lightship segment {i + 1}"
    place: Path = ("lightship", "segments", i)
    strength = a.assessed.situation.vessel.strength
    assert strength is not None
    load = strength.segments[n].load
    aft, forward = _ends(a.vessel, place)
    ends: Inputs = {"x0": aft, "x1": forward}
    per = s.factor("mass") / s.factor("length")
    if a.vessel.has((*place, "mass")):
        mass: Input = a.vessel.number((*place, "mass"), "mass", "its mass")
        text = "(x0 + x1) / 2"
    else:
        names = ("mass_to", "mass_from") if turned else ("mass_from", "mass_to")
        scale = a.vessel.frame.scale
        own = scale.mass / scale.length
        unit, factor = f"{s.unit('mass')}/{s.unit('length')}", own * s.factor("length")
        q0, q1 = (
            a.vessel.number((*place, each), "mass", "mass a unit of length at its end", factor=factor)
            for each in names
        )  # fmt: skip
        q0, q1 = replace(q0, unit=unit), replace(q1, unit=unit)
        assert abs(q0.value * per - load.at_aft) <= 1e-9 * max(1.0, load.at_aft)
        ends = {**ends, "q0": q0, "q1": q1}
        mass = s.add(
            f"{id}/mass", "expression", "(x1 - x0) * (q0 + q1) / 2", ends, name="mass of *", of=name,
            unit=s.unit("mass"),
            value=s.here(load.mass, "mass"),
        )  # fmt: skip
        text = "x0 + (x1 - x0) / 3 * (q0 + 2 * q1) / (q0 + q1)"
    lcg = s.add(
        f"{id}/lcg", "expression", text, ends, name="LCG of *", of=name, unit=s.unit("length"),
        value=s.here(load.moment / load.mass if load.mass else 0.5 * (load.aft + load.forward), "length"),
    )  # fmt: skip
    return LoadNodes(load, name, mass, lcg, (aft, forward), load.at_aft == load.at_forward)


def part_of(
    a: Sources, k: int, each: LoadNodes, at: str, low: float, high: float, cuts: dict[float, str]
) -> tuple[Load, str, str]:
    """The part of a load between two places (m): as a load, and nodes of its mass and of its moment about the aft
    perpendicular. cuts: nodes of places."""
    s, load = a.sheet, each.load
    u, v = max(low, load.aft), min(high, load.forward)
    slope = (load.at_forward - load.at_aft) / (load.forward - load.aft)
    part = linear_load(u, v, load.at_aft + slope * (u - load.aft), load.at_aft + slope * (v - load.aft))
    where: Inputs = {
        "m": each.mass,
        "u": f"{cuts[u]}/x" if u > load.aft else each.ends[0],
        "v": f"{cuts[v]}/x" if v < load.forward else each.ends[1],
        "x0": each.ends[0],
        "x1": each.ends[1],
    }
    mass_text, moment_text = (EVEN_MASS, EVEN_MOMENT) if each.is_even else (MASS, MOMENT)
    if not each.is_even:
        where = {**where, "g": each.lcg}
    mass = s.add(
        f"{at}/part/{k}", "expression", mass_text, where, name="mass of the part between, of *", of=each.name,
        unit=s.unit("mass"),
        value=s.here(part.mass, "mass"), source=TRAPEZIUM, symbol="M",
    )  # fmt: skip
    of_moment: Inputs = (
        {"M": mass, "u": where["u"], "v": where["v"]} if each.is_even else {**where, "M": mass}
    )
    moment = s.add(
        f"{at}/moment_of/{k}", "expression", moment_text, of_moment, name="moment of the part between, of *",
        of=each.name, unit=s.unit("moment"),
        value=s.here(part.moment, "moment"), source=TRAPEZIUM, symbol="M_x",
    )  # fmt: skip
    return part, mass, moment
