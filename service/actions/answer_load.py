"""What is aboard as the wire shows it: tank lines, moments that rules assume, subtotals."""

from typing import Any

from service.actions.units import Scale
from service.core.assessment import Assessment as Assessed
from service.core.tank import CONTENTS, Tank

Row = dict[str, Any]


def tank_rows(a: Assessed, s: Scale) -> list[Row]:
    """Every tank line, in the order of the condition."""
    tanks, length, mass, moment = a.situation.vessel.tanks, s.length, s.mass, s.moment
    volume, loss = s.volume, a.displacement.mass * s.length
    rows = []
    for line, liquid, surface in zip(a.condition.tanks, a.liquids, a.surfaces):
        tank = tanks[line.tank]
        rows.append(
            {
                "tank": tank.id,
                "name": tank.name,
                "side": tank.side,
                "contents": line.contents,
                "density": line.density,
                "mass": liquid.mass / mass,
                "volume": liquid.volume / volume,
                "fill": liquid.fill,
                "limit": tank.normal_limit,
                "sounding": _level(tank, "sounding", liquid.volume, length),
                "ullage": _level(tank, "ullage", liquid.volume, length),
                "centre": {
                    "lcg": liquid.lcg / length,
                    "vcg": liquid.vcg / length,
                    "tcg": liquid.tcg / length,
                },
                "state": liquid.state,
                "free_surface_moment": surface.moment / moment,
                "free_surface_reason": surface.reason,
                "gm_loss": surface.moment / loss,
            }
        )
    return rows


def _level(tank: Tank, quantity: str, volume: float, length: float) -> float | None:
    level = tank.level(quantity, volume)
    return None if level is None else level / length


def assumed_rows(a: Assessed, s: Scale) -> list[Row]:
    """The moments that rules assume."""
    tanks = a.situation.vessel.tanks
    return [
        {
            "tank": tanks[line.tank].id,
            "name": tanks[line.tank].name,
            "contents": line.contents,
            "free_surface_moment": line.moment / s.moment,
            "free_surface_reason": line.reason,
            "gm_loss": line.moment / a.displacement.mass / s.length,
        }
        for line in a.assumed
    ]


def subtotals(a: Assessed, s: Scale) -> list[Row]:
    """Lightship, liquids and weights, each group with its common centre."""
    ship, length = a.situation.vessel.lightship, s.length
    groups: dict[tuple[str, str], list[tuple[float, float, float, float]]] = {
        ("lightship", "lightship"): [(ship.mass, ship.lcg, ship.vcg, ship.tcg)]
    }
    liquids: dict[str, list[tuple[float, float, float, float]]] = {}
    for line, liquid in zip(a.condition.tanks, a.liquids):
        liquids.setdefault(line.contents, []).append((liquid.mass, liquid.lcg, liquid.vcg, liquid.tcg))
    groups |= {("liquid", contents): liquids[contents] for contents in CONTENTS if contents in liquids}
    for weight in a.condition.weights:
        mass, lcg, vcg, tcg, category = weight
        groups.setdefault(("weight", category), []).append((mass, lcg, vcg, tcg))
    rows = []
    for (kind, category), masses in groups.items():
        mass = sum([m for m, _, _, _ in masses])
        centre = None
        if mass != 0.0:
            centre = {
                "lcg": sum([m * x for m, x, _, _ in masses]) / mass / length,
                "vcg": sum([m * z for m, _, z, _ in masses]) / mass / length,
                "tcg": sum([m * y for m, _, _, y in masses]) / mass / length + 0.0,  # never -0.0
            }
        rows.append({"category": category, "kind": kind, "mass": mass / s.mass, "centre": centre})
    return rows
