"""An invented ship whose every table is a closed form that linear interpolation and the spline reproduce exactly.

Drafts, KM, LCB and VCB are linear in displacement; LCB is linear in trim; KN is an odd cubic of the heel:

    displacement = 1500 d              (t, in salt water; d moulded draft in m)
    KM  = 8.0 - 0.1 d,   VCB = 0.5 d,   LCB = 51.0 - 0.1 d - 1.5 t,   LCF = 49 m
    KN  = KM a - 1.6 a^3               (a heel in radians)

so that every expected value of a test is arithmetic, not a copy of the program's own figures.
"""

from dataclasses import replace
from typing import Any

import numpy as np

from service.core.condition import Batch, Condition, TankLine
from service.core.displacement import Displacement
from service.core.flotation import Flotation
from service.core.free_surface import AS_FILLED
from service.core.heeling_lever import WindProfile
from service.core.hydrostatics import Hydrostatics, Row
from service.core.opening import DeckEdge, FirstImmersion, Opening
from service.core.righting_lever import CrossCurves, CrossCurveTable, RightingLever
from service.core.situation import Situation
from service.core.tank import (
    CONTENTS,
    QUANTITIES,
    HeeledMoments,
    PrintedColumn,
    RectangularSurface,
    Tank,
    TankTable,
)
from service.core.vessel import Bridge, DraftMark, GmLimit, Particulars, Propeller, Vessel
from service.core.weight import Weight

LENGTH, BREADTH = 100.0, 16.0
SALT = 1.025
PER_METRE = 1500.0
CUBIC = 1.6
LCF = 49.0
LCB_PER_TRIM = 1.5
DRAFTS = (2.0, 4.0, 6.0, 8.0)
HEELS = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
LIGHTSHIP = Weight(3600.0, 47.0, 7.0, 0.0, "lightship")

OIL, DIESEL, WATER, BALLAST, CARGO = (
    CONTENTS.index(name) for name in ("fuel_oil", "diesel_oil", "fresh_water", "ballast", "cargo_liquid")
)


def km(draft: float) -> float:
    return 8.0 - 0.1 * draft


def lcb(draft: float, trim: float = 0.0) -> float:
    return 51.0 - 0.1 * draft - LCB_PER_TRIM * trim


def kn(draft: float, heel: float) -> float:
    angle = np.radians(heel)
    return float(km(draft) * angle - CUBIC * angle**3)


def row(draft: float, trim: float = 0.0, vcb: bool = True) -> Row:
    """A hydrostatic row, MCTC being the one whose moment gives the trim of the LCB's own slope."""
    displacement = PER_METRE * draft
    return {
        "trim": trim,
        "draft": draft - trim * (0.5 - LCF / LENGTH),  # so that the draft at the LCF is `draft`
        "displacement": displacement,
        "lcb": lcb(draft, trim),
        "lcf": LCF,
        "km": km(draft),
        "tpc": PER_METRE / 100.0,
        "mctc": displacement * LCB_PER_TRIM / 100.0,
        "vcb": 0.5 * draft if vcb else None,
        "tcb": None,
        "block_coefficient": None,
    }


def hydrostatics(trims: tuple[float, ...] = (0.0,), vcb: bool = True) -> Hydrostatics:
    return Hydrostatics.from_rows(SALT, True, [row(d, t, vcb) for t in trims for d in DRAFTS])


def cross_curves(heels: tuple[float, ...] = HEELS, density: float = SALT) -> CrossCurves:
    levers = np.array([[kn(d, h) for h in heels] for d in DRAFTS])
    table = CrossCurveTable(0.0, PER_METRE * np.array(DRAFTS), levers)
    return CrossCurves(density, np.array(heels), (table,))


def box_table(length: float, breadth: float, depth: float, x: float, y: float, z: float) -> TankTable:
    """Soundings every half metre of a rectangular tank with its bottom at z, centred at (x, y)."""
    sounding = np.arange(0.0, depth + 1e-9, 0.5)
    same = np.ones_like(sounding)
    return TankTable(
        volume=length * breadth * sounding,
        lcg=x * same,
        vcg=z + 0.5 * sounding,
        tcg=y * same,
        sounding=sounding,
        ullage=depth - sounding,
        inertia=length * breadth**3 / 12.0 * same,
    )


def box_tank(
    id: str,
    contents: str = "ballast",
    y: float = 0.0,
    breadth: float = 8.0,
    x: float = 50.0,
    **changes: Any,
) -> Tank:
    """10 m long, 5 m deep, bottom at 1 m; 400 m3 and 426.67 m4 when 8 m broad."""
    volume = 10.0 * breadth * 5.0
    side = "centre" if y == 0.0 else "port" if y > 0.0 else "starboard"
    table = box_table(10.0, breadth, 5.0, x, y, 1.0)
    tank = Tank(id, id, side, contents, None, volume, x, 3.5, y, table=table)
    return replace(tank, **changes)


def wedge_tank(id: str, contents: str = "ballast", **changes: Any) -> Tank:
    """A prism whose surface broadens with the sounding s: breadth 2 s, length 6 m, 5 m deep, 150 m3.

    volume 6 s^2, inertia 6 (2 s)^3 / 12 = 4 s^3; rows every half metre."""
    s = np.arange(0.0, 5.01, 0.5)
    zero = np.zeros_like(s)
    table = TankTable(6.0 * s**2, 30.0 + zero, 1.0 + 2.0 * s / 3.0, zero, s, 5.0 - s, 4.0 * s**3)
    tank = Tank(id, id, "centre", contents, None, 150.0, 30.0, 1.0 + 10.0 / 3.0, 0.0, table=table)
    return replace(tank, **changes)


def printed_tank(id: str, *columns: PrintedColumn, contents: str = "fuel_oil", **changes: Any) -> Tank:
    """Capacity 100 m3, centre (40, 0, 2); free surface as its columns print it."""
    tank = Tank(id, id, "centre", contents, None, 100.0, 40.0, 2.0, 0.0, printed=columns)
    return replace(tank, **changes)


def rectangular_tank(id: str, compartments: int = 1, contents: str = "ballast", **changes: Any) -> Tank:
    """Capacity 100 m3, centre (40, 0, 2); a surface of 9 m by 6 m, 162 m4 in one compartment."""
    surface = RectangularSurface(9.0, 6.0, compartments)
    tank = Tank(id, id, "centre", contents, None, 100.0, 40.0, 2.0, 0.0, rectangular=surface)
    return replace(tank, **changes)


def particulars(**changes: Any) -> Particulars:
    given = Particulars(LENGTH, BREADTH, 102.0, 99.0, 9.0, 0.7, "round", 30.0, None, "exposed")
    return replace(given, **changes)


def vessel(*tanks: Tank, **changes: Any) -> Vessel:
    """The ship with these tanks; without openings of any kind unless asked for."""
    fields: dict[str, Any] = {
        "name": "Closed form",
        "particulars": particulars(),
        "lightship": LIGHTSHIP,
        "hydrostatics": hydrostatics(),
        "cross_curves": cross_curves(),
        "tanks": tanks,
        "openings": (),
        "deck_edge": DeckEdge(np.array([[50.0, 8.0, 9.0]])),
    }
    return Vessel(**{**fields, **changes})


def line(
    ship: Vessel, tank: str, contents: int | None = None, density: float | None = None, **quantity: float
) -> TankLine:
    """One tank filled; exactly one of mass, volume, fill, sounding, ullage."""
    ((name, value),) = quantity.items()
    index = ship.book.index[tank]
    group = int(ship.book.contents[index]) if contents is None else contents
    own = ship.book.default_density(index, group) if density is None else density
    return TankLine(index, QUANTITIES.index(name), value, own, group)


CARGO_WEIGHT = Weight(4000.0, 53.0, 5.6, 0.0, "cargo")


def condition(*tanks: TankLine, **changes: Any) -> Condition:
    """4000 t of cargo at 53 m, 5.6 m up, in salt water, no rule sets."""
    fields: dict[str, Any] = {
        "tanks": tanks,
        "weights": [CARGO_WEIGHT],
        "water_density": SALT,
        "basis": AS_FILLED,
        "rule_sets": (),
    }
    return Condition(**{**fields, **changes})


def opening(id: str, y: float, z: float = 10.0, protection: str = "unprotected", **changes: Any) -> Opening:
    return replace(Opening(id, id, 50.0, y, z, protection), **changes)


# --- situations of one's own making, for the rules -------------------------------------------------------------


def cubic_lever(slope: np.ndarray, angle_of_maximum: np.ndarray, last_heel: float = 80.0) -> RightingLever:
    """GZ = slope (a - a^3 / (3 m^2)) exactly, m the angle of maximum [N] in degrees: VCG and TCG are zero."""
    heels = np.arange(10.0, last_heel + 1e-9, 10.0)
    if heels[-1] < last_heel:
        heels = np.append(heels, last_heel)
    a, m = np.radians(heels), np.radians(angle_of_maximum)[:, None]
    values = slope[:, None] * (a - a**3 / (3.0 * m**2))
    table = CrossCurveTable(0.0, np.array([1.0, 2.0]), np.zeros((2, len(heels))))
    curves = CrossCurves(SALT, heels, (table,))
    zero = np.zeros_like(slope)
    return RightingLever(curves, values, slope, zero, zero)


def afloat(count: int, draft: float = 6.0, **changes: Any) -> Flotation:
    """Even keel at `draft`."""
    same = np.ones(count)
    fields: dict[str, Any] = {
        "draft_at_lcf": draft * same,
        "draft_forward": draft * same,
        "draft_midship": draft * same,
        "draft_aft": draft * same,
        "trim": 0.0 * same,
        "km": km(draft) * same,
        "tpc": PER_METRE / 100.0 * same,
        "mctc": 90.0 * same,
        "lcb": 50.0 * same,
        "lcf": 50.0 * same,
        "vcb": 0.5 * draft * same,
        "tcb": 0.0 * same,
        "block_coefficient": np.nan * same,
        "residual": np.nan * same,
        "table_displacement": PER_METRE * draft * same,
        "length_bp": LENGTH,
        "method": "given",
    }
    return Flotation(**{**fields, **changes})


def situation(
    curve: RightingLever | None,
    gm: np.ndarray,
    flooding: float | np.ndarray = np.inf,
    ship: Vessel | None = None,
    draft: float = 6.0,
    water_density: float = SALT,
    **changes: Any,
) -> Situation:
    """N conditions afloat at `draft` with this curve, GM [N] and angle of down-flooding (NaN unknown, inf none)."""
    count = len(gm)
    given = ship or vessel()
    flotation = afloat(count, draft)
    batch = Batch.of([condition(water_density=water_density)] * count)
    angle = np.broadcast_to(np.asarray(flooding, dtype=float), (count,)).copy()
    first = FirstImmersion(angle, np.where(np.isfinite(angle), 0, -1))
    zero, vcg = np.zeros(count), flotation.km - gm
    load = Displacement(flotation.table_displacement, flotation.lcb, zero, vcg, vcg, zero, zero)
    fields: dict[str, Any] = {
        "vessel": given,
        "batch": batch,
        "side": np.ones(count),
        "displacement": load,
        "gm_corrected": gm,
        "flotation": flotation,
        "curve": curve,
        "actual_moments": np.zeros(count, dtype=bool),
        "flooding": first,
        "flooding_automatic": first,
        "deck_edge": np.full(count, 30.0),
        "half_freeboard": np.full(count, 20.0),
        "wind_area": np.full(count, 600.0),
        "wind_height": np.full(count, 9.0),
    }
    return Situation(**{**fields, **changes})


def just_around(value: float, part: float = 1e-6) -> np.ndarray:
    """Just below, exactly at and just above a value."""
    return np.array([value * (1.0 - part), value, value * (1.0 + part)])


def full_vessel(**changes: Any) -> Vessel:
    """A ship with every kind of table: trimmed hydrostatics and cross curves, tanks of each kind of free surface, one
    with moments by heel, openings that differ port and starboard, wind profile, limit curves, load lines, marks."""
    trims = (-3.0, 0.0, 3.0)
    heels = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0)
    levers = np.array([[kn(d, h) for h in heels] for d in DRAFTS])
    tables = tuple(CrossCurveTable(t, PER_METRE * np.array(DRAFTS), levers - 0.005 * t) for t in trims)
    heeled_at = np.array([5.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0])
    shift = (
        10.0
        * 8.0**3
        / 12.0
        * np.sin(np.radians(heeled_at))
        * (1.0 + 0.1 * np.tan(np.radians(heeled_at / 2)) ** 2)
    )
    fuel = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)
    sea = PrintedColumn("ballast", 1.025, 99.8, 162.0, 43.0, 0.05)
    tanks = (
        box_tank("BP", y=4.0, breadth=6.0),
        box_tank("BS", y=-4.0, breadth=6.0),
        box_tank(
            "WIDE", heeled=HeeledMoments(np.array([10.0, 50.0, 90.0]), heeled_at, np.tile(shift, (3, 1)))
        ),
        wedge_tank("PEAK"),
        printed_tank("F1", fuel, sea),
        rectangular_tank("FW", 2, "fresh_water"),
        box_tank("FP", "fuel_oil", y=5.0, breadth=3.0, x=30.0, unpumpable=1.5),
        box_tank("FS", "fuel_oil", y=-5.0, breadth=3.0, x=30.0),
        wedge_tank("CO", "cargo_liquid", normal_limit=97.0),
    )
    fields: dict[str, Any] = {
        "hydrostatics": hydrostatics(trims),
        "cross_curves": CrossCurves(SALT, np.array(heels), tables),
        "openings": (
            opening("P", 6.0, 11.0),
            opening("S", -6.0, 10.5),
            opening("W", 7.0, 9.5, "weathertight"),
        ),
        "wind_profile": WindProfile(np.array([2.0, 8.0]), np.array([900.0, 500.0]), np.array([7.0, 10.0])),
        "gm_limits": (GmLimit("Own", "min_gm", np.array([2.0, 8.0]), np.array([0.4, 0.2])),),
        "load_line_drafts": {"S": 6.5},
        "draft_marks": (DraftMark("aft", 2.0, 0.0), DraftMark("forward", 97.0, 0.0)),
        "particulars": particulars(minimum_service_displacement=4000.0),
        "propeller": Propeller(1.0, 1.8, 3.0),
        "bridge": Bridge(12.0, 18.0, 80.0, 12.0, 104.0, 106.0),
    }
    return vessel(*tanks, **{**fields, **changes})


RULE_SETS = (
    "is-code-2008-a-2.2",
    "is-code-2008-a-2.2.3-alternative",
    "is-code-2008-a-2.3",
    "46-cfr-170.170",
    "46-cfr-170.173-b",
    "46-cfr-170.173-c",
    "vessel-gm-limits",
    "load-lines",
)
