"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.3: severe wind and rolling criterion (weather criterion).

She rests under a steady wind at phi0, rolls to windward by phi1, and a gust then heels her to leeward: the righting
area b must not be less than the heeling area a. Structure and definitions as in resolution A.749(18) 3.2; numbering
and tables 2.3.4-1 to 2.3.4-4 of the 2008 Code are values from memory.
"""

from math import inf, radians, sqrt
from typing import NamedTuple

from .. import rolling
from ..conventions import GRAVITY
from ..flotation import Flotation
from ..free_surface import IMO
from ..interpolation import held
from ..lever_measures import LeverMeasures
from ..righting_lever import RightingLever
from ..situation import Heeled, Situation
from .curve_rows import under_24_m
from .edge_bound import EdgeBound
from .limit import (
    AT_LEAST,
    AT_MOST,
    FAIL,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without_curve,
)
from .measured_lever import UNKNOWN_FLOODING, flooding_detail
from .wind_area import without_wind

_CODE = "2008 IS Code (MSC.267(85)), Part A"

PRESSURE = 504.0
"""Wind pressure P in Pa. Source: 2008 IS Code Part A 2.3.2; A.749(18) 3.2.2."""
GUST = 1.5
"""lw2 / lw1. Source: 2008 IS Code Part A 2.3.2."""

TABLE_X1 = (
    (2.4, 2.5, 2.6, 2.7, 2.8, 2.9, 3.0, 3.1, 3.2, 3.3, 3.4, 3.5),
    (1.00, 0.98, 0.96, 0.95, 0.93, 0.91, 0.90, 0.88, 0.86, 0.84, 0.82, 0.80),
)
"""Factor X1 by B/d. Source: 2008 IS Code Part A table 2.3.4-1 (values from memory)."""
TABLE_X2 = ((0.45, 0.50, 0.55, 0.60, 0.65, 0.70), (0.75, 0.82, 0.89, 0.95, 0.97, 1.00))
"""Factor X2 by block coefficient. Source: table 2.3.4-2 (values from memory)."""
TABLE_K = ((0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0), (1.0, 0.98, 0.95, 0.88, 0.79, 0.74, 0.72, 0.70))
"""Factor k by 100 Ak / (Lwl B). Source: table 2.3.4-3 (values from memory)."""
TABLE_S = (
    (6.0, 7.0, 8.0, 12.0, 14.0, 16.0, 18.0, 20.0),
    (0.100, 0.098, 0.093, 0.065, 0.053, 0.044, 0.038, 0.035),
)
"""Factor s by rolling period T in s. Source: table 2.3.4-4 (values from memory; MSC.1/Circ.1200: 0.032 at 20 s)."""

STEADY_WIND = Limit(
    "is-code-2008-a-2.3.1-steady-wind",
    "A 2.3.1.2",
    "Angle of heel under steady wind",
    "angle",
    AT_MOST,
    16.0,
    "degree",
    f"{_CODE} 2.3.1.2: 16 degrees or 80 % of the angle of deck edge immersion, whichever is less (value from memory)",
    "steady_wind_angle",
    from_memory="16 degrees and 80 % of the angle of deck edge immersion are recalled, the text was not read",
)
AREAS = Limit(
    "is-code-2008-a-2.3.1-areas",
    "A 2.3.1.4",
    "Righting area b against heeling area a after the gust",
    "area",
    AT_LEAST,
    None,
    "m·rad",
    f"{_CODE} 2.3.1.4: area b equal to or greater than area a",
    "weather_areas",
    from_memory="tables 2.3.4-1 to 2.3.4-4 and their ranges (2.3.5) are recalled; the text of A.749(18) 3.2 was read",
)
LIMITS = (STEADY_WIND, AREAS)


class Roll(NamedTuple):
    """Angle of roll phi1 (degrees) and what it is made of; None what cannot be had."""

    phi1: float | None
    x1: float
    x2: float | None
    k: float | None
    r: float
    s: float | None
    period: float | None
    c: float | None
    breadth_to_draft: float
    block_coefficient: float | None
    og_to_draft: float
    area_ratio: float | None


def angle_of_roll(ship: Situation) -> Roll | None:
    """phi1 = 109 k X1 X2 sqrt(r s), with T = 2 C B / sqrt(GM) and r = 0.73 + 0.6 OG / d.

    C = 0.373 + 0.023 B/d - 0.043 Lwl/100. KG is the fluid KG and d the mean moulded draft. Tables are linear between
    their rows and constant beyond them. None where she has no draft amidships. Source: 2008 IS Code Part A 2.3.4
    (formulae also in 46 CFR 28.575).
    """
    p, gm = ship.vessel.particulars, ship.gm_corrected
    if ship.flotation is None or gm is None or ship.flotation.draft_midship <= 0.0:
        return None
    draft = ship.flotation.draft_midship
    length, ratio = p.length_waterline, p.breadth / draft
    block = _block_coefficient(ship, ship.flotation)
    c = None if length is None else rolling.coefficient(p.breadth, draft, length)
    period = None if c is None else rolling.period(c, p.breadth, gm)
    og = (ship.displacement.vcg_corrected - draft) / draft
    r = 0.73 + 0.6 * og
    keel = None
    if p.bilge_keel_area is not None and length is not None:
        keel = 100.0 * p.bilge_keel_area / (length * p.breadth)
    x1, x2 = held(*TABLE_X1, ratio), None if block is None else held(*TABLE_X2, block)
    k, s = _factor_k(ship, keel), None if period is None else held(*TABLE_S, period)
    phi1 = None
    if k is not None and x2 is not None and s is not None and r >= 0.0:
        phi1 = 109.0 * k * x1 * x2 * sqrt(r * s)
    return Roll(phi1, x1, x2, k, r, s, period, c, ratio, block, og, keel)


def _factor_k(ship: Situation, keel: float | None) -> float | None:
    p = ship.vessel.particulars
    if p.bilge == "sharp":
        return 0.7
    if p.bilge_keel_area is not None:
        return None if keel is None else held(*TABLE_K, keel)
    return 1.0 if p.bilge == "round" else None


def _block_coefficient(ship: Situation, flotation: Flotation) -> float | None:
    """Printed by draft, else the ship's, else displaced volume / (Lwl B d), its definition."""
    p = ship.vessel.particulars
    if flotation.block_coefficient is not None:
        return flotation.block_coefficient
    if p.block_coefficient is not None or p.length_waterline is None:
        return p.block_coefficient
    volume = ship.displacement.mass / ship.condition.water_density
    return volume / (p.length_waterline * p.breadth * flotation.draft_midship)


class WindLevers(NamedTuple):
    """Wind levers lw1, lw2 and the arm Z of the wind in m; phi0, and the two intercepts of lw2, degrees (None: there
    is no such angle)."""

    lw1: float
    lw2: float
    arm: float
    phi0: float | None
    phi_e: float | None
    phi_c: float | None


def wind_levers(ship: Situation, curve: RightingLever) -> WindLevers | None:
    """Steady wind and gust against her curve; None without a wind profile at this draft.

    Source: 2008 IS Code Part A 2.3.2."""
    if ship.wind is None or ship.flotation is None:
        return None
    arm = ship.wind.height - 0.5 * ship.flotation.draft_midship
    lw1 = PRESSURE * ship.wind.area * arm / (1000.0 * GRAVITY * ship.displacement.mass)
    lw2 = GUST * lw1
    first = curve.rise(lw2)
    phi_c = curve.fall(lw2, beyond=first or 0.0)
    phi0, phi_e = _rest(curve, lw1, curve.rise(lw1)), _rest(curve, lw2, first)
    return WindLevers(lw1, lw2, arm, phi0, phi_e, None if phi_e is None else phi_c)


def _rest(curve: RightingLever, level: float, rest: float | None) -> float | None:
    """Angle of rest, negative where her list holds her to windward of upright against the wind."""
    if curve.levers[0] <= level:
        return rest
    windward = curve.other_side().rise(-level)
    return None if windward is None else -windward


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """phi0 and the areas a and b on one side, with every intermediate. Source: 2008 IS Code Part A 2.3."""
    levers = heeled.levers
    if levers is None or ship.flotation is None:
        return without_curve(LIMITS, ship, under_24_m(ship))
    wind = wind_levers(ship, levers.curve)
    always = under_24_m(ship) or without_wind(ship) or _before_the_wind(ship, wind)
    return [_steady(ship, wind, always), _areas(ship, levers, wind, always)]


def _before_the_wind(ship: Situation, wind: WindLevers | None) -> Ruling | None:
    """What keeps her from coming to rest under the steady wind, or from knowing where."""
    if ship.gm_corrected is not None and not ship.gm_corrected > 0.0:
        return Ruling(FAIL, "GM is not positive: she does not rest upright before the wind")
    if wind is not None and wind.phi0 is None:
        words = "no equilibrium: the steady wind lever exceeds every righting lever"
        return Ruling(FAIL, words)
    return None


def _steady(ship: Situation, wind: WindLevers | None, always: Ruling | None) -> Criterion:
    """Where the criteria for timber deck cargoes are judged, 80 % of the deck edge does not bind (A 3.3, from
    memory)."""
    deck, phi0 = ship.deck_edge, None if wind is None else wind.phi0
    part = None if deck is None else 0.8 * deck
    bound = EdgeBound.of(16.0, deck, ship, 0.8)
    if ship.counts_timber:
        bound = EdgeBound(16.0, 16.0)
    unless = always or bound.leaves_open(phi0)
    return judge(
        STEADY_WIND,
        phi0,
        bound.limit_for(phi0),
        unless=unless,
        details=lambda: (
            Intermediate(
                "steady_wind_lever", "steady wind lever lw1", "m", None if wind is None else wind.lw1
            ),
            Intermediate("deck_edge_angle", "angle of deck edge immersion", "degree", deck),
            Intermediate(
                "part_of_deck_edge_angle", "80 % of the angle of deck edge immersion", "degree", part
            ),
        ),
    )


class Areas(NamedTuple):
    """Where areas a and b begin and end, degrees, and their sizes, m.rad; None what cannot be had."""

    start: float | None
    end: float | None
    a: float | None
    b: float | None


def areas(curve: RightingLever, flooding: float | None, wind: WindLevers, phi1: float | None) -> Areas:
    """Area a from phi0 - phi1 to the first intercept of the gust lever, area b from there to the least of the angle of
    down-flooding, 50 degrees and the second intercept. Source: 2008 IS Code Part A 2.3.1."""
    last, lw2 = curve.last_heel, wind.lw2
    start = None if wind.phi0 is None or phi1 is None else wind.phi0 - phi1
    end = _end_of_b(flooding, wind.phi_c)
    if wind.phi_e is None:
        return Areas(start, end, None, None)
    middle = max(-last, min(wind.phi_e, last))
    under, a, b = curve.area_from_upright(middle), None, None
    if start is not None:
        windward = min(middle, max(start, -last))
        a = lw2 * radians(middle - windward) - (under - curve.area_from_upright(windward))
    if end is not None:
        leeward = max(middle, min(end, last))
        b = curve.area_from_upright(leeward) - under - lw2 * radians(leeward - middle)
    return Areas(start, end, a, b)


def _end_of_b(flooding: float | None, phi_c: float | None) -> float | None:
    return None if flooding is None else min(flooding, 50.0, inf if phi_c is None else phi_c)


def _areas(
    ship: Situation, levers: LeverMeasures, wind: WindLevers | None, always: Ruling | None
) -> Criterion:
    roll, flooding = ship.once(angle_of_roll), levers.flooding
    found, unless = Areas(None, _end_of_b(flooding, None), None, None), always
    if wind is not None:
        found = areas(levers.curve, flooding, wind, None if roll is None else roll.phi1)
        unless = always or _under_the_gust(wind, flooding) or _missing(ship, roll)
        unless = unless or _curve_too_short(levers.curve, found) or _outside(roll)
    return judge(
        AREAS,
        found.b,
        found.a,
        unless=unless,
        details=lambda: _details(ship, levers, roll, wind, found),
    )


def _under_the_gust(wind: WindLevers, flooding: float | None) -> Ruling | None:
    if wind.phi_e is None:
        return Ruling(FAIL, "no equilibrium: the gust wind lever exceeds every righting lever")
    if flooding is None:
        return UNKNOWN_FLOODING
    if flooding <= wind.phi_e:
        return Ruling(FAIL, "an opening floods before equilibrium under the gust is reached")
    return None


def _missing(ship: Situation, roll: Roll | None) -> Ruling | None:
    if roll is None:
        return Ruling(NOT_COMPUTABLE, "no draft amidships for the angle of roll")
    if ship.vessel.particulars.length_waterline is None:
        return Ruling(NOT_COMPUTABLE, "no length on the waterline in the particulars")
    if roll.k is None:
        return Ruling(NOT_COMPUTABLE, "neither shape of bilge nor bilge keel area in the particulars")
    return None


def _curve_too_short(curve: RightingLever, found: Areas) -> Ruling | None:
    last = curve.last_heel + 1e-9
    beyond = found.end is not None and found.end > last
    windward = found.start is not None and found.start < -last
    return Ruling(NOT_COMPUTABLE, SHORT) if beyond or windward else None


SHORT = "the cross curves end before the angles this clause needs"


def _outside(roll: Roll | None) -> Ruling | None:
    """2.3.5: tables and formulae hold for B/d < 3.5, -0.3 <= KG/d - 1 <= 0.5, T < 20 s (values from memory)."""
    if roll is None:
        return None
    slow = roll.period is not None and roll.period >= 20.0
    if roll.breadth_to_draft < 3.5 and -0.3 <= roll.og_to_draft <= 0.5 and not slow:
        return None
    text = "outside the range of the tables (A 2.3.5): B/d below 3.5, KG/d - 1 from -0.3 to 0.5, period below 20 s"
    return Ruling(OUTSIDE_VALIDITY, text)


def _details(
    ship: Situation, levers: LeverMeasures, roll: Roll | None, wind: WindLevers | None, found: Areas
) -> tuple[Intermediate, ...]:
    area = None if ship.wind is None else ship.wind.area
    arm, lw1, lw2 = (None, None, None) if wind is None else (wind.arm, wind.lw1, wind.lw2)
    phi0, phi_e, phi_c = (None, None, None) if wind is None else (wind.phi0, wind.phi_e, wind.phi_c)
    return (
        Intermediate("wind_pressure", "wind pressure P", "Pa", PRESSURE),
        Intermediate("lateral_area", "projected lateral area A", "m2", area),
        Intermediate("wind_arm", "arm of the wind Z", "m", arm),
        Intermediate("steady_wind_lever", "steady wind lever lw1", "m", lw1),
        Intermediate("gust_wind_lever", "gust wind lever lw2", "m", lw2),
        Intermediate("steady_wind_angle", "angle under steady wind phi0", "degree", phi0),
        *_roll_details(roll),
        Intermediate("windward_angle", "angle to windward phi0 - phi1", "degree", found.start),
        Intermediate("first_intercept", "first intercept of lw2", "degree", phi_e),
        Intermediate("second_intercept", "second intercept of lw2, phi_c", "degree", phi_c),
        flooding_detail(levers, "angle of down-flooding"),
        Intermediate("end_of_area_b", "end of area b, phi2", "degree", found.end),
        Intermediate("area_a", "area a", "m·rad", found.a),
        Intermediate("area_b", "area b", "m·rad", found.b),
    )


def _roll_details(roll: Roll | None) -> list[Intermediate]:
    """What the angle of roll is made of, in the order it is worked out."""
    values = (None,) * len(Roll._fields) if roll is None else roll
    return [Intermediate(key, name, unit, values[place]) for place, key, name, unit in ROLL_DETAILS]


ROLL_DETAILS = tuple(
    (Roll._fields.index(field), key, name, unit)
    for field, key, name, unit in (
        ("breadth_to_draft", "breadth_to_draft", "B/d", ""),
        ("x1", "factor_x1", "factor X1", ""),
        ("block_coefficient", "block_coefficient", "block coefficient", ""),
        ("x2", "factor_x2", "factor X2", ""),
        ("area_ratio", "bilge_keel_ratio", "100 Ak / (Lwl B)", ""),
        ("k", "factor_k", "factor k", ""),
        ("og_to_draft", "og_to_draft", "OG/d", ""),
        ("r", "factor_r", "factor r", ""),
        ("c", "coefficient_c", "coefficient C", ""),
        ("period", "roll_period", "rolling period T", "s"),
        ("s", "factor_s", "factor s", ""),
        ("phi1", "roll_angle", "angle of roll phi1", "degree"),
    )
)
"""Fields of Roll as details: place in Roll, key, name, unit."""

RULE_SET = RuleSet(
    "is-code-2008-a-2.3",
    "Intact stability: severe wind and rolling (weather criterion)",
    "International Code on Intact Stability, 2008, Part A, 2.3",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
    surfaces=IMO,
)
