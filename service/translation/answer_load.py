"""What is aboard as the wire shows it: tank lines, moments that rules assume, subtotals."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.tank import CONTENTS, Tank
from service.translation.units import Scale

Row = dict[str, Any]


def tank_rows(a: Assessed, s: Scale) -> list[Row]:
    """Every tank line, in the order of the condition."""
    tanks, length, mass, moment = a.situation.vessel.tanks, s.length, s.mass, s.moment
    volume, loss = s.volume, a.displacement.mass * s.length
    rows = []
    counted = a.surfaces.judged
    lines = zip(
        a.condition.tanks, a.liquids, a.surfaces.surfaces, counted.moments, counted.reasons, counted.exempt
    )
    for line, liquid, surface, count, reason, exempt in lines:
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
                "counted_as": surface.counted_as,
                "free_surface_moment": count / moment,
                "exempt_moment": exempt / moment,
                "free_surface_reason": reason,
                "gm_loss": count / loss,
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
        for line in a.surfaces.judged.assumed
    ]


def free_surface_row(a: Assessed, s: Scale) -> Row:
    """The totals by basis, each with the GM it leaves."""
    surfaces, solid = a.surfaces, a.situation.gm_solid

    def total(moment: float) -> Row:
        gm = None if solid is None else (solid - moment / a.displacement.mass) / s.length
        return {"moment": moment / s.moment, "gm_corrected": gm}

    return {
        "basis": a.condition.basis,
        "judged_by": surfaces.judged.basis,
        "as_filled": total(surfaces.as_filled),
        "maximum_when_slack": total(surfaces.maximum_when_slack),
        "by_rule": None if surfaces.by_rule is None else total(surfaces.by_rule.total),
        "judged": total(surfaces.judged.total),
        "exempt_moment": sum(surfaces.judged.exempt) / s.moment,
    }


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
    for weight in (*a.condition.weights, *(added.weight for added in a.added)):
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
