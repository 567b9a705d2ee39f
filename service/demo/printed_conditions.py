"""Conditions as a booklet prints them, computed from the hull and the tanks as solids, not from printed tables.

Displacement and centres are sums of masses; she floats where her buoyancy is her displacement and G and B lie on one
normal to the waterline; levers are KN at that trim less KG sin(heel). Free surfaces count as filled.
"""

from math import atan, cos, degrees, radians, sin
from typing import NamedTuple

import numpy as np

from service.core.hull.cross_curves import immersion_angle, kn
from service.core.hull.hull import Hull
from service.core.hull.hydrostatics import upright
from service.core.hull.sections import Array

from .booklet import OpeningPlan, TankPlan
from .printing import Printing, Row, rounded
from .ship_form import ShipForm
from .tank_shape import Soundings, sounding_table

FINE = 0.02
"""Distance between two surfaces at which a tank is looked at, in units of length."""
LEVERS = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
STEPS = 30


class Ship(NamedTuple):
    """What a condition is computed from."""

    form: ShipForm
    hull: Hull
    printing: Printing
    tanks: tuple[TankPlan, ...]
    openings: tuple[OpeningPlan, ...]
    lightship: Row


def printed_condition(ship: Ship, name: str, page: str, condition: Row, densities: dict[str, float]) -> Row:
    """One condition of the booklet, from a condition document.

    densities: t/m3 by contents. Masses of liquid are those printed, rounded to a tenth."""
    plans = {plan.id: plan for plan in ship.tanks}
    found = []
    for line in condition["tanks"]:
        plan = plans[line["tank"]]
        density = densities[plan.contents]
        table = sounding_table(ship.form, plan.blocks, plan.side, FINE)
        volume = _volume(ship, plan, line, density, table)
        if volume > 0.0:
            found.append(_tank(ship, plan, volume, density, table))
    weights = [
        {each: line[each] for each in ("name", "category", "mass", "lcg", "vcg", "tcg")}
        for line in condition["weights"]
    ]
    return {
        "name": name,
        "page": page,
        "phase": condition["voyage"]["phase"],
        "water_density": condition["water_density"],
        "free_surface": "as_filled",
        "load_line_mark": condition["load_line_mark"],
        "tanks": [row for row, _ in found],
        "weights": weights,
        "printed": _figures(ship, condition["water_density"], weights, [exact for _, exact in found]),
    }


def _volume(ship: Ship, plan: TankPlan, line: Row, density: float, table: Soundings) -> float:
    """Volume in a tank by a line of a condition: a filling, a volume, a mass, a sounding or an ullage."""
    if "mass" in line:
        return float(line["mass"] / ship.printing.mass(1.0, density))
    if "volume" in line:
        return float(line["volume"])
    if "fill" in line:
        return float(table.volume[-1]) * float(line["fill"]) / 100.0
    sounding = line["sounding"] if "sounding" in line else plan.pipe - line["ullage"]
    return float(np.interp(sounding, table.sounding, table.volume))


def _tank(ship: Ship, plan: TankPlan, volume: float, density: float, table: Soundings) -> tuple[Row, Row]:
    """A tank as printed, and its mass, centre and free surface moment unrounded."""
    is_full = volume >= plan.normal_limit / 100.0 * float(table.volume[-1]) - 1e-6
    mass = rounded(ship.printing.mass(volume, density), 1)
    volume = mass / ship.printing.mass(1.0, density)
    found = {
        each: float(np.interp(volume, table.volume, getattr(table, each)))
        for each in ("lcg", "vcg", "tcg", "inertia")
    }
    moment = 0.0 if is_full else ship.printing.mass(found.pop("inertia"), density)
    printed = {
        "lcg": ship.printing.x(found["lcg"], 2),
        "vcg": rounded(found["vcg"], 3),
        "tcg": ship.printing.y(found["tcg"], 2),
        "free_surface_moment": rounded(moment, 1),
    }
    row = {"tank": plan.id, "contents": plan.contents, "density": density, "mass": mass, "printed": printed}
    return row, {"mass": mass, **found, "moment": moment}


def _figures(ship: Ship, water: float, weights: list[Row], tanks: list[Row]) -> Row:
    masses = [ship.lightship, *weights, *tanks]
    total = sum(each["mass"] for each in masses)
    lcg, vcg, tcg = (
        sum(each["mass"] * each[axis] for each in masses) / total for axis in ("lcg", "vcg", "tcg")
    )
    moment = sum(each["moment"] for each in tanks)
    fluid, printing = vcg + moment / total, ship.printing
    volume = total / printing.mass(1.0, water)
    draft, trim = floating(ship.hull, volume, lcg, vcg)
    u = upright(ship.hull, draft, trim)
    gm = u.km - fluid
    flooding = min(
        immersion_angle(ship.hull, volume, o.x, o.y, o.z, trim=trim)
        for o in ship.openings
        if o.protection == "unprotected"
    )
    return {
        "displacement": rounded(total, 1),
        "deadweight": rounded(total - ship.lightship["mass"], 1),
        "lcg": printing.x(lcg),
        "tcg": printing.y(tcg),
        "vcg_solid": rounded(vcg, 3),
        "vcg_corrected": rounded(fluid, 3),
        "draft_forward": rounded(draft - 0.5 * trim, 3),
        "draft_midship": rounded(draft, 3),
        "draft_aft": rounded(draft + 0.5 * trim, 3),
        "trim": rounded(trim, 3),
        "lcb": printing.x(u.lcb),
        "lcf": printing.x(u.lcf),
        "km": rounded(u.km, 3),
        "tpc": rounded(printing.per_step(printing.mass(u.waterplane_area, water)), 2),
        "mctc": rounded(printing.per_step(total * u.bml / ship.hull.length), 1),
        "gm_solid": rounded(u.km - vcg, 3),
        "free_surface_moment": rounded(moment, 1),
        "free_surface_correction": rounded(moment / total, 3),
        "gm_corrected": rounded(gm, 3),
        "list": rounded(degrees(atan(tcg / gm)), 1),
        **_levers(ship.hull, volume, trim, (fluid, tcg)),
        "down_flooding_angle": rounded(flooding, 1),
    }


def _levers(hull: Hull, volume: float, trim: float, centre: tuple[float, float]) -> Row:
    """Levers to the side she leans to and the areas under them, from every degree."""
    fluid, tcg = centre
    heels = np.arange(0.0, 61.0)
    gz = np.array(
        [kn(hull, volume, heel, trim) - fluid * sin(radians(heel)) - abs(tcg) * cos(radians(heel)) for heel in heels]
    )  # fmt: skip
    areas = np.concatenate(([0.0], np.cumsum((gz[1:] + gz[:-1]) / 2.0))) * radians(1.0)
    top = int(np.argmax(gz))
    return {
        "area_30": rounded(areas[30], 4),
        "area_40": rounded(areas[40], 4),
        "area_30_40": rounded(areas[40] - areas[30], 4),
        "maximum_lever": rounded(gz[top], 3),
        "angle_of_maximum": float(heels[top]),
        "righting_levers": [{"heel": heel, "lever": rounded(gz[int(heel)], 3)} for heel in LEVERS],
    }


def floating(hull: Hull, volume: float, lcg: float, vcg: float) -> tuple[float, float]:
    """Draft amidships and trim by the stern at which she carries a volume with her centre of gravity at (lcg, vcg).

    Newton steps with differences. Source: definition of equilibrium."""

    def left(draft: float, trim: float) -> Array:
        u = upright(hull, draft, trim)
        return np.array(
            [u.volume / volume - 1.0, (lcg - u.lcb) / hull.length - trim / hull.length**2 * (vcg - u.vcb)]
        )

    at, step = np.array([volume / (hull.length * 20.0 * 0.65), 0.0]), 1e-4
    for _ in range(STEPS):
        here = left(*at)
        slope = np.column_stack(
            [(left(at[0] + step, at[1]) - here) / step, (left(at[0], at[1] + step) - here) / step]
        )
        change = np.linalg.solve(slope, here)
        at = at - change
        if np.abs(change).max() < 1e-9:
            break
    return float(at[0]), float(at[1])
