"""A box barge 100 m by 20 m by 10 m, whose every figure is a closed form.

    displacement = 2050 d   (t, in salt water; d moulded draft in m),   20.5 t a cm
    KM = d / 2 + B^2 / (12 d),   LCB = LCF = 50 m,   MCTC = 170.8333 t.m (by BML)

Lightship 2050 t, evenly spread; peak tanks over the last 10 m at both ends; read-out points at 10, 30, 50, 70 and 90 m.
Sources of the closed forms: definitions of a box (Derrett and Barrass, Ship Stability for Masters and Mates).
"""

from typing import Any

from service.core.condition import Condition
from service.core.displacement import Displacement
from service.core.flotation import Flotation, float_on
from service.core.hydrostatics import Hydrostatics, Row
from service.core.strength.booklet import StrengthBooklet
from service.core.strength.limits import Limits, Station
from service.core.strength.sections import Sections
from service.core.strength.weight_curve import Segment
from service.core.vessel import Particulars, Vessel
from service.core.weight import Weight
from tests.core import ship
from tests.core.ship import SALT

LENGTH, BREADTH, DEPTH = 100.0, 20.0, 10.0
PER_METRE = SALT * LENGTH * BREADTH
MCTC = SALT * BREADTH * LENGTH**2 / 12.0 / 100.0
LIGHT = 2050.0
LIGHTSHIP = Weight(LIGHT, 50.0, 6.0, 0.0, "lightship")
SEA = Limits.of(800.0, 900.0, 22000.0, 20000.0)
HARBOUR = Limits.of(1000.0, None, 30000.0, 28000.0)


def km(draft: float) -> float:
    return 0.5 * draft + BREADTH**2 / (12.0 * draft)


def row(draft: float) -> Row:
    return {
        "trim": 0.0,
        "draft": draft,
        "displacement": PER_METRE * draft,
        "lcb": 50.0,
        "lcf": 50.0,
        "km": km(draft),
        "tpc": PER_METRE / 100.0,
        "mctc": MCTC,
        "vcb": 0.5 * draft,
        "tcb": None,
        "block_coefficient": 1.0,
    }


def hydrostatics() -> Hydrostatics:
    return Hydrostatics.from_rows(SALT, True, [row(0.05 * k) for k in range(10, 191)])


def stations(sea: Limits = SEA, harbour: Limits = HARBOUR) -> tuple[Station, ...]:
    return tuple(Station(x, sea, harbour, f"x{x:g}") for x in (10.0, 30.0, 50.0, 70.0, 90.0))


def sections() -> Sections:
    full = BREADTH * DEPTH
    return Sections((0.0, LENGTH), (0.0, DEPTH), ((0.0, full), (0.0, full)))


def strength(**changes: Any) -> StrengthBooklet:
    fields: dict[str, Any] = {
        "stations": stations(),
        "segments": (Segment.of_mass(0.0, LENGTH, LIGHT),),
        "sections": sections(),
    }
    return StrengthBooklet(**{**fields, **changes})


def barge(**changes: Any) -> Vessel:
    fields: dict[str, Any] = {
        "particulars": Particulars(LENGTH, BREADTH, LENGTH, LENGTH, DEPTH, 1.0, "sharp"),
        "lightship": LIGHTSHIP,
        "hydrostatics": hydrostatics(),
        "cross_curves": None,
        "deck_edge": None,
        "strength": strength(),
    }
    return ship.vessel(
        ship.box_tank("APT", x=5.0, breadth=20.0, extent=(0.0, 10.0)),
        ship.box_tank("FPT", x=95.0, breadth=20.0, extent=(90.0, 100.0)),
        **{**fields, **changes},
    )


def loaded(*weights: Weight, **changes: Any) -> Condition:
    return ship.condition(**{"weights": list(weights), **changes})


def afloat(mass: float, lcg: float, water: float = SALT) -> tuple[Displacement, Flotation]:
    """Of a displacement by her hydrostatic table."""
    load = Displacement(mass, lcg, 0.0, 5.0, 5.0, 0.0, 0.0)
    return load, float_on(hydrostatics(), LENGTH, mass, lcg, 5.0, water)
