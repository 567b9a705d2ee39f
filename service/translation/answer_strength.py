"""Longitudinal strength as the wire shows it, in the units of the answer."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.strength.hold_mass import HoldMass
from service.core.strength.still_water import Extreme, SetUse, StationForces, StillWater
from service.translation.answer_criteria import finite
from service.translation.units import METRIC, Scale

Row = dict[str, Any]
SIGNS = (
    "downward positive, integrated forward from aft: a bending moment is positive when she hogs, a shear force where "
    "weight exceeds buoyancy aft of the section"
)


def strength_member(a: Assessed, s: Scale) -> Row:
    """The member `strength` of an answer; nothing where her booklet does not let it be computed."""
    found = a.situation.strength
    return {} if found is None else {"strength": _strength(a, found, s)}


def _strength(a: Assessed, found: StillWater, s: Scale) -> Row:
    ship = a.situation
    shear, bending = found.curve.closure
    table, lightship = found.table_difference, found.lightship_difference
    masses = (*ship.hold_masses, *ship.adjacent_hold_masses)
    return {
        "convention": "UR S11",
        "signs": SIGNS,
        "units": units_of_forces(s),
        "set": found.which,
        "draft_aft": found.waterline.draft_aft / s.length,
        "draft_forward": found.waterline.draft_forward / s.length,
        "table_difference": {
            "mass": table.mass / s.mass,
            "percent": table.percent,
            "lcb": table.centre / s.length,
        },
        "lightship_difference": {"mass": lightship.mass / s.mass, "lcg": lightship.centre / s.length},
        "stations": [_station(each, s) for each in found.stations],
        "extremes": {name: _extreme(name, each, s) for name, each in found.extremes.items()},
        "closure": {"shear_force": shear / s.mass, "bending_moment": bending / s.moment},
        "point_loads_mass": found.point_loads.mass / s.mass,
        "hold_masses": [_hold_mass(a, mass, s) for mass in masses],
    }


PARTS = 8
"""Points of a curve between two knots, so that its parabolas look round."""


def strength_curves(found: StillWater, s: Scale) -> Row:
    """The curves along her length: linear loads, exact forces, at every knot on both sides and between them."""
    curve = found.curve
    rows: list[tuple[float, float, float, float, float]] = []
    for i, (start, end) in enumerate(zip(curve.knots, curve.knots[1:])):
        for part in range(PARTS + 1):
            share = part / PARTS
            x = start + share * (end - start)
            weight = curve.weight_aft[i] + share * (curve.weight_forward[i] - curve.weight_aft[i])
            buoyancy = curve.buoyancy_aft[i] + share * (curve.buoyancy_forward[i] - curve.buoyancy_aft[i])
            cut = curve.at(x)
            shear = cut.shear_forward if part == 0 else cut.shear_aft
            rows.append((x, weight, buoyancy, shear, cut.bending))
    per_length = s.mass / s.length
    return {
        "x": [row[0] / s.length for row in rows],
        "weight": [row[1] / per_length for row in rows],
        "buoyancy": [row[2] / per_length for row in rows],
        "shear_force": [row[3] / s.mass for row in rows],
        "bending_moment": [row[4] / s.moment for row in rows],
    }


def units_of_forces(s: Scale) -> dict[str, str]:
    """The member `units` of `strength`: forces are given as masses."""
    ton, moment = ("t", "t·m") if s is METRIC else ("LT", "ft·LT")
    return {"force": f"{ton} (mass; t x 9.81 = kN)", "moment": f"{moment} (mass; t·m x 9.81 = kN·m)"}


def _station(each: StationForces, s: Scale) -> Row:
    cut = each.cut
    return {
        "name": each.station.name,
        "x": each.station.x / s.length,
        "shear_force_aft": cut.shear_aft / s.mass,
        "shear_force_forward": cut.shear_forward / s.mass,
        "bending_moment": cut.bending / s.moment,
        "sea": _use(each.sea, s),
        "harbour": _use(each.harbour, s),
    }


def _use(use: SetUse, s: Scale) -> Row:
    return {
        "shear_limit": _scaled(use.shear.limit, s.mass),
        "bending_limit": _scaled(use.bending.limit, s.moment),
        "percent_shear": finite(use.shear.percent),
        "percent_bending": finite(use.bending.percent),
    }


def _extreme(name: str, each: Extreme, s: Scale) -> Row:
    unit = s.mass if name.startswith("shear") else s.moment
    return {"x": each.x / s.length, "value": each.value / unit, "percent": finite(each.use.percent)}


def _hold_mass(a: Assessed, mass: HoldMass, s: Scale) -> Row:
    return {
        "holds": [a.situation.vessel.holds[i].id for i in mass.holds],
        "mass": mass.mass / s.mass,
        "draft": mass.draft / s.length,
        "most": _scaled(mass.most, s.mass),
        "least": _scaled(mass.least, s.mass),
    }


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit
