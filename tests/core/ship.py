"""An invented ship whose every table is a closed form that linear interpolation and the spline reproduce exactly.

Drafts, LCB and VCB are linear in displacement, KM is constant; LCB is linear in trim; KN is an odd cubic of the heel:

    displacement = 1500 d              (t, in salt water; d moulded draft in m)
    KM  = 7.4 m,   VCB = 0.5 d,   LCB = 51.0 - 0.1 d - 1.5 t,   LCF = 49 m
    KN  = KM a - 1.6 a^3               (a heel in radians)
    level of the waterplane = d - KM a^2 / 2 + 0.4 a^4     (KN does not depend on displacement)

so that every expected value of a test is arithmetic, not a copy of the program's own figures.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import atan, cos, degrees, inf, radians, sin, tan
from typing import Any

import numpy as np
from scipy.optimize import brentq

from service.core.condition import Condition, TankLine
from service.core.cross_curves import CrossCurves, CrossCurveTable, KnCurve
from service.core.displacement import Displacement
from service.core.flotation import Flotation
from service.core.free_surface import AS_FILLED
from service.core.heeling_lever import Wind, WindProfile
from service.core.hydrostatics import Hydrostatics, Row
from service.core.lever_measures import LeverMeasures
from service.core.opening import DeckEdge, FirstImmersion, ImmersionTable, Opening
from service.core.righting_lever import RightingLever
from service.core.rules.limit import Criterion, RuleSet
from service.core.situation import Heeled, Situation
from service.core.stability import Rest
from service.core.tank import HeeledMoments, PrintedColumn, RectangularSurface, Tank, TankTable
from service.core.vessel import Bridge, DraftMark, GmLimit, Particulars, Propeller, Vessel
from service.core.waterplane import LevelTables, Waterplane
from service.core.weight import Weight

LENGTH, BREADTH = 100.0, 16.0
SALT = 1.025
PER_METRE = 1500.0
KM = 7.4
CUBIC = 1.6
LCF = 49.0
LCB_PER_TRIM = 1.5
DRAFTS = (2.0, 4.0, 6.0, 8.0)
HEELS = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)
LIGHTSHIP = Weight(3600.0, 47.0, 7.0, 0.0, "lightship")


def lcb(draft: float, trim: float = 0.0) -> float:
    return 51.0 - 0.1 * draft - LCB_PER_TRIM * trim


def kn(heel: float) -> float:
    angle = radians(heel)
    return KM * angle - CUBIC * angle**3


def level(draft: float, heel: float) -> float:
    """Of the waterplane along its normal: the closed form of `waterplane.py` for a KN that is the same at every
    displacement."""
    angle = radians(heel)
    return draft - KM * angle**2 / 2.0 + CUBIC * angle**4 / 4.0


def wet_at(toward: float, z: float, draft: float = 6.0, rise: float = 0.0) -> float:
    """Heel in degrees at which a point first meets the water by the closed form, `toward` being how far it lies to the
    low side and `rise` how much higher the water stands at it; inf where it stays dry up to the last heel."""

    def above(heel: float) -> float:
        a = radians(heel)
        return z * cos(a) - toward * sin(a) - level(draft, heel) - rise

    steps = [0.01 * k for k in range(1, int(100.0 * HEELS[-1]) + 1)]
    if above(0.0) <= 0.0:
        return 0.0
    wet = next((h for h in steps if above(h) <= 0.0), None)
    return inf if wet is None else float(brentq(above, wet - 0.01, wet, xtol=1e-13))


def row(draft: float, trim: float = 0.0, vcb: bool = True) -> Row:
    """A hydrostatic row, MCTC being the one whose moment gives the trim of the LCB's own slope."""
    displacement = PER_METRE * draft
    return {
        "trim": trim,
        "draft": draft - trim * (0.5 - LCF / LENGTH),  # so that the draft at the LCF is `draft`
        "displacement": displacement,
        "lcb": lcb(draft, trim),
        "lcf": LCF,
        "km": KM,
        "tpc": PER_METRE / 100.0,
        "mctc": displacement * LCB_PER_TRIM / 100.0,
        "vcb": 0.5 * draft if vcb else None,
        "tcb": None,
        "block_coefficient": None,
    }


def hydrostatics(trims: tuple[float, ...] = (0.0,), vcb: bool = True) -> Hydrostatics:
    return Hydrostatics.from_rows(SALT, True, [row(d, t, vcb) for t in trims for d in DRAFTS])


def cross_curves(heels: Sequence[float] = HEELS, density: float = SALT) -> CrossCurves:
    return CrossCurves(density, heels, (cross_curve_table(heels=heels),))


def cross_curve_table(
    trim: float = 0.0, drafts: Sequence[float] = DRAFTS, heels: Sequence[float] = HEELS, more: float = 0.0
) -> CrossCurveTable:
    """The ship's KN at these drafts, `more` m added at every heel."""
    levers = np.array([[kn(h) + more for h in heels] for _ in drafts])
    return CrossCurveTable(trim, [PER_METRE * d for d in drafts], levers)


def box_table(length: float, breadth: float, depth: float, x: float, y: float, z: float) -> TankTable:
    """Soundings every half metre of a rectangular tank with its bottom at z, centred at (x, y)."""
    soundings = [0.5 * step for step in range(int(2.0 * depth) + 1)]
    return TankTable(
        volume=[length * breadth * s for s in soundings],
        lcg=[x for _ in soundings],
        vcg=[z + 0.5 * s for s in soundings],
        tcg=[y for _ in soundings],
        sounding=soundings,
        ullage=[depth - s for s in soundings],
        inertia=[length * breadth**3 / 12.0 for _ in soundings],
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
    soundings = [0.5 * step for step in range(11)]
    table = TankTable(
        volume=[6.0 * s**2 for s in soundings],
        lcg=[30.0 for _ in soundings],
        vcg=[1.0 + 2.0 * s / 3.0 for s in soundings],
        tcg=[0.0 for _ in soundings],
        sounding=soundings,
        ullage=[5.0 - s for s in soundings],
        inertia=[4.0 * s**3 for s in soundings],
    )
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
        "deck_edge": DeckEdge(((50.0, 8.0, 9.0),)),
    }
    return Vessel(**{**fields, **changes})


def line(
    ship: Vessel, tank: str, contents: str | None = None, density: float | None = None, **quantity: float
) -> TankLine:
    """One tank filled; exactly one of mass, volume, fill, sounding, ullage."""
    ((name, value),) = quantity.items()
    index = ship.index[tank]
    booklet = ship.tanks[index]
    liquid = booklet.contents if contents is None else contents
    return TankLine(
        index, name, value, booklet.default_density(liquid) if density is None else density, liquid
    )


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


def curves_of(heels: Sequence[float]) -> CrossCurves:
    """Cross curves whose tables nobody reads: their heels alone."""
    return CrossCurves(SALT, heels, (CrossCurveTable(0.0, (1.0, 2.0), np.zeros((2, len(heels)))),))


def lever_through(
    heels: Sequence[float], values: Sequence[float], slope: float, vcg: float = 0.0, tcg: float = 0.0
) -> RightingLever:
    """GZ = KN - vcg sin - tcg cos, KN through `values` at `heels` with KM = slope."""
    return RightingLever(KnCurve(curves_of(heels), np.array(values), slope), vcg, tcg)


def cubic_lever(slope: float, angle_of_maximum: float, last_heel: float = 80.0) -> RightingLever:
    """GZ = slope (a - a^3 / (3 m^2)) exactly, m the angle of maximum in degrees: VCG and TCG are zero."""
    heels = [10.0 * step for step in range(1, int(last_heel / 10.0) + 1)]
    if not heels or heels[-1] < last_heel:
        heels.append(last_heel)
    m = radians(angle_of_maximum)
    return lever_through(heels, [slope * cubic(radians(heel), m) for heel in heels], slope)


def cubic(a: float, m: float) -> float:
    """The unit cubic at `a`, its maximum at `m`, both radians."""
    return a - a**3 / (3.0 * m**2)


def cubic_area(a: float, m: float) -> float:
    """Area under the unit cubic from upright to `a`, its maximum at `m`, both radians."""
    return a**2 / 2.0 - a**4 / (12.0 * m**2)


def afloat(draft: float = 6.0, **changes: Any) -> Flotation:
    """Even keel at `draft`."""
    fields: dict[str, Any] = {
        "draft_at_lcf": draft,
        "draft_forward": draft,
        "draft_midship": draft,
        "draft_aft": draft,
        "trim": 0.0,
        "km": KM,
        "tpc": PER_METRE / 100.0,
        "mctc": 90.0,
        "lcb": 50.0,
        "lcf": 50.0,
        "vcb": 0.5 * draft,
        "tcb": 0.0,
        "block_coefficient": None,
        "residual": None,
        "length_bp": LENGTH,
        "method": "given",
    }
    return Flotation(**{**fields, **changes})


def waterplane(
    flotation: Flotation, curves: CrossCurves | None = None, tables: Hydrostatics | None = None
) -> Waterplane:
    """Of the ship, or of these curves and tables, afloat so; her displacement is that of her draft at the LCF."""
    levels = LevelTables.of(curves or cross_curves(), tables or hydrostatics())
    return Waterplane(levels, PER_METRE * flotation.draft_at_lcf, flotation)


WIND = Wind(600.0, 9.0)


def situation(
    gm: float = 1.0,
    ship: Vessel | None = None,
    draft: float = 6.0,
    vcg: float | None = None,
    mass: float | None = None,
    given: Condition | None = None,
    **changes: Any,
) -> Situation:
    """Afloat on an even keel at `draft` with this GM, at rest upright; deck edge at 30, half the freeboard at 20
    degrees, wind on 600 m2 at 9 m."""
    flotation = changes.get("flotation") or afloat(draft)
    height = flotation.km - gm if vcg is None else vcg
    weight = PER_METRE * draft if mass is None else mass
    fields: dict[str, Any] = {
        "vessel": ship or vessel(deck_edge=half_freeboard_at(20.0)),
        "condition": given or condition(),
        "displacement": Displacement(weight, flotation.lcb, 0.0, height, height, 0.0, 0.0),
        "flotation": flotation,
        "km": flotation.km,
        "gm_solid": gm,
        "gm_corrected": gm,
        "waterplane": None,
        "wind": WIND,
        "deck_edge": 30.0,
        "rest": Rest(0.0, None),
        "gaps": {},
    }
    return Situation(**{**fields, **changes})


def half_freeboard_at(angle: float) -> DeckEdge:
    """A deck edge whose printed angles immerse half the freeboard at this angle, whatever the draft."""
    whole = degrees(atan(2.0 * tan(radians(angle))))
    return DeckEdge((), (ImmersionTable((0.0, 20.0), (whole, whole)),))


def heeled(
    curve: RightingLever | None,
    flooding: float | None = inf,
    automatic: float | None = -1.0,
    side: float = 1.0,
) -> Heeled:
    """On this curve up to this angle of down-flooding (None unknown, inf none); `automatic` is that of openings that do
    not close by themselves, the same unless given."""
    own = flooding if automatic == -1.0 else automatic
    return Heeled(
        side,
        curve,
        FirstImmersion(flooding),
        FirstImmersion(own),
        None if curve is None else LeverMeasures(curve, flooding),
        None if curve is None else LeverMeasures(curve, own),
    )


def just_around(value: float, part: float = 1e-6) -> tuple[float, float, float]:
    """Just below, exactly at and just above a value."""
    return value * (1.0 - part), value, value * (1.0 + part)


def verdicts(criteria: Iterable[Criterion]) -> list[str]:
    return [criterion.verdict for criterion in criteria]


def said(criteria: Iterable[tuple[RuleSet, Criterion]]) -> list[tuple[RuleSet, Criterion]]:
    """Criteria with the intermediate values in the place of what makes them, to be compared."""
    return [(rule_set, each._replace(made_of=each.details)) for rule_set, each in criteria]


def details(criterion: Criterion) -> dict[str, Any]:
    """Intermediate values by key; no key stands twice."""
    found = {detail.key: detail.value for detail in criterion.details}
    assert len(found) == len(criterion.details)
    return found


def full_vessel(**changes: Any) -> Vessel:
    """A ship with every kind of table: trimmed hydrostatics and cross curves, tanks of each kind of free surface, one
    with moments by heel, openings that differ port and starboard, wind profile, limit curves, load lines, marks."""
    trims = (-3.0, 0.0, 3.0)
    heels = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0)
    tables = tuple(cross_curve_table(t, heels=heels, more=-0.005 * t) for t in trims)
    heeled_at = (5.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0)
    inertia = 10.0 * 8.0**3 / 12.0
    shift = [inertia * sin(radians(heel)) * (1.0 + 0.1 * tan(radians(heel / 2.0)) ** 2) for heel in heeled_at]
    fuel = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)
    sea = PrintedColumn("ballast", 1.025, 99.8, 162.0, 43.0, 0.05)
    tanks = (
        box_tank("BP", y=4.0, breadth=6.0),
        box_tank("BS", y=-4.0, breadth=6.0),
        box_tank("WIDE", heeled=HeeledMoments((10.0, 50.0, 90.0), heeled_at, (shift, shift, shift))),
        wedge_tank("PEAK"),
        printed_tank("F1", fuel, sea),
        rectangular_tank("FW", 2, "fresh_water"),
        box_tank("FP", "fuel_oil", y=5.0, breadth=3.0, x=30.0, unpumpable=1.5),
        box_tank("FS", "fuel_oil", y=-5.0, breadth=3.0, x=30.0),
        wedge_tank("CO", "cargo_liquid", normal_limit=97.0),
    )
    fields: dict[str, Any] = {
        "hydrostatics": hydrostatics(trims),
        "cross_curves": CrossCurves(SALT, heels, tables),
        "openings": (
            opening("P", 6.0, 11.0),
            opening("S", -6.0, 10.5),
            opening("W", 7.0, 9.5, "weathertight"),
        ),
        "wind_profile": WindProfile((2.0, 8.0), (900.0, 500.0), (7.0, 10.0)),
        "gm_limits": (GmLimit("Own", "min_gm", (2.0, 8.0), (0.4, 0.2)),),
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
    "46-cfr-170.173",
    "vessel-gm-limits",
    "load-lines",
)
