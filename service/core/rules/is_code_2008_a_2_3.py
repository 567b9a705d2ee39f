"""2008 IS Code (resolution MSC.267(85)), Part A, section 2.3: severe wind and rolling criterion (weather criterion).

She rests under a steady wind at phi0, rolls to windward by phi1, and a gust then heels her to leeward: the righting
area b must not be less than the heeling area a. Structure and definitions as in resolution A.749(18) 3.2; numbering
and tables 2.3.4-1 to 2.3.4-4 of the 2008 Code are values from memory.
"""

from dataclasses import dataclass

import numpy as np

from .. import rolling
from ..frame import GRAVITY, Bools, Floats
from ..righting_lever import Crossing, RightingLever
from ..situation import Situation
from .lever_curve import UNKNOWN_FLOODING
from .limit import (
    AT_LEAST,
    AT_MOST,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    Cause,
    Criterion,
    Detail,
    Limit,
    RuleSet,
    judge,
    without_curve,
)

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
)
LIMITS = (STEADY_WIND, AREAS)


@dataclass(frozen=True)
class Roll:
    """Angle of roll phi1 (degrees) and what it is made of, [N] each; k is NaN where bilge data are missing."""

    phi1: Floats
    x1: Floats
    x2: Floats
    k: Floats
    r: Floats
    s: Floats
    period: Floats
    c: Floats
    breadth_to_draft: Floats
    block_coefficient: Floats
    og_to_draft: Floats
    area_ratio: Floats


def angle_of_roll(situation: Situation) -> Roll:
    """phi1 = 109 k X1 X2 sqrt(r s), with T = 2 C B / sqrt(GM) and r = 0.73 + 0.6 OG / d.

    C = 0.373 + 0.023 B/d - 0.043 Lwl/100. KG is the fluid KG and d the mean moulded draft. Tables are linear between
    their rows and constant beyond them. Source: 2008 IS Code Part A 2.3.4 (formulae also in 46 CFR 28.575).
    """
    p, flotation = situation.vessel.particulars, situation.flotation
    draft, gm = flotation.draft_midship, situation.gm_corrected
    length = p.length_waterline if p.length_waterline is not None else np.nan
    ratio = p.breadth / draft
    block = _block_coefficient(situation)
    c = rolling.coefficient(p.breadth, draft, length)
    period = rolling.period(c, p.breadth, gm)
    og = (situation.displacement.vcg_corrected - draft) / draft
    r = 0.73 + 0.6 * og
    keel = np.nan if p.bilge_keel_area is None else 100.0 * p.bilge_keel_area / (length * p.breadth)
    if p.bilge == "sharp":
        k = 0.7
    elif p.bilge_keel_area is not None:
        k = float(np.interp(keel, *TABLE_K))
    else:
        k = 1.0 if p.bilge == "round" else np.nan
    x1, x2, s = np.interp(ratio, *TABLE_X1), np.interp(block, *TABLE_X2), np.interp(period, *TABLE_S)
    with np.errstate(invalid="ignore"):
        phi1 = 109.0 * k * x1 * x2 * np.sqrt(r * s)
    every = np.ones_like(draft)
    return Roll(phi1, x1, x2, k * every, r, s, period, c, ratio, block, og, keel * every)


def _block_coefficient(situation: Situation) -> Floats:
    """Printed by draft, else the ship's, else displaced volume / (Lwl B d), its definition."""
    p, flotation = situation.vessel.particulars, situation.flotation
    length = p.length_waterline or np.nan
    volume = situation.displacement.mass / situation.batch.water_density
    own = p.block_coefficient
    other = (
        volume / (length * p.breadth * flotation.draft_midship) if own is None else np.full_like(volume, own)
    )
    return np.where(np.isnan(flotation.block_coefficient), other, flotation.block_coefficient)


def evaluate(situation: Situation) -> list[Criterion]:
    """phi0 and the areas a and b for N conditions, with every intermediate. Source: 2008 IS Code Part A 2.3."""
    if situation.curve is None:
        return without_curve(LIMITS, len(situation))
    curve = situation.curve
    with np.errstate(divide="ignore", invalid="ignore"):
        arm = situation.wind_height - 0.5 * situation.flotation.draft_midship
        lw1 = PRESSURE * situation.wind_area * arm / (1000.0 * GRAVITY * situation.displacement.mass)
    lw2 = GUST * lw1
    searches = [Crossing(lw1, True), Crossing(lw2, True), Crossing(lw2, False, following=1)]
    phi0, phi_e, phi_c = curve.first_crossings(searches).T
    phi0, phi_e = _leaning_to_windward(curve, lw1, phi0), _leaning_to_windward(curve, lw2, phi_e)
    phi_c = np.where(np.isnan(phi_e), np.nan, phi_c)
    no_wind = Cause(np.isnan(lw1), NOT_COMPUTABLE, "no wind profile at this draft")
    small = _too_small(situation)
    upright = Cause(
        ~(situation.gm_corrected > 0.0), FAIL, "GM is not positive: she does not rest upright before the wind"
    )
    over = Cause(
        np.isnan(phi0) & ~np.isnan(lw1),
        FAIL,
        "no equilibrium: the steady wind lever exceeds every righting lever",
    )
    steady = _steady(situation, phi0, lw1, [small, no_wind, upright, over])
    return [
        steady,
        _areas(situation, curve, Levers(lw1, lw2, arm, phi0, phi_e, phi_c), [small, no_wind, upright, over]),
    ]


def _leaning_to_windward(curve: RightingLever, level: Floats, rest: Floats) -> Floats:
    """Angles of rest [N], negative where her list holds her to windward of upright against the wind."""
    windward = curve.levers[:, 0] > level
    if not windward.any():
        return rest
    return np.where(windward, -curve.mirrored().first_crossings([Crossing(-level, True)])[:, 0], rest)


@dataclass(frozen=True)
class Levers:
    """Wind levers lw1, lw2 and the arm Z of the wind [N] in m; phi0, and the two intercepts of lw2, degrees."""

    lw1: Floats
    lw2: Floats
    arm: Floats
    phi0: Floats
    phi_e: Floats
    phi_c: Floats


def _steady(situation: Situation, phi0: Floats, lw1: Floats, causes: list[Cause]) -> Criterion:
    deck = situation.deck_edge
    required = np.fmin(16.0, 0.8 * deck)
    unknown: Bools = np.isnan(deck) & (phi0 <= 16.0)
    missing = Cause(
        unknown, NOT_COMPUTABLE, "no deck edge at this draft: 80 % of its immersion angle is unknown"
    )
    details = [
        Detail("steady wind lever lw1", "m", lw1),
        Detail("angle of deck edge immersion", "degree", deck),
        Detail("80 % of the angle of deck edge immersion", "degree", 0.8 * deck),
    ]
    return judge(STEADY_WIND, phi0, required, [*causes, missing], details)


def _areas(situation: Situation, curve: RightingLever, levers: Levers, causes: list[Cause]) -> Criterion:
    roll, flooding = angle_of_roll(situation), situation.flooding.angle
    end = curve.curves.last_heel
    phi2 = np.fmin(np.minimum(flooding, 50.0), levers.phi_c)
    phi2 = np.where(np.isnan(flooding), np.nan, phi2)
    start = levers.phi0 - roll.phi1
    phi_e, lw2 = levers.phi_e, levers.lw2
    # angles that do not exist (NaN) are put at the nearest end: what is made of them is not used
    inside = np.fmax(-end, np.fmin(phi_e, end))
    leeward = np.fmax(inside, np.fmin(phi2, end))
    windward = np.fmin(inside, np.fmax(start, -end))
    under = curve.area_from_upright(np.stack((windward, inside, leeward), axis=1)).T
    a = lw2 * np.radians(inside - windward) - (under[1] - under[0])
    b = under[2] - under[1] - lw2 * np.radians(leeward - inside)
    b = np.where(np.isnan(phi2) | np.isnan(phi_e), np.nan, b)
    a = np.where(np.isnan(start) | np.isnan(phi_e), np.nan, a)
    short: Bools = (phi2 > end + 1e-9) | (start < -end - 1e-9)
    causes = [
        *causes,
        Cause(np.isnan(phi_e), FAIL, "no equilibrium: the gust wind lever exceeds every righting lever"),
        Cause(np.isnan(flooding), NOT_COMPUTABLE, UNKNOWN_FLOODING),
        Cause(flooding <= phi_e, FAIL, "an opening floods before she comes to rest under the gust"),
        *_missing(situation, roll),
        Cause(short, NOT_COMPUTABLE, "her cross curves end before the angles this clause needs"),
        _outside(roll),
    ]
    return judge(AREAS, b, a, causes, _details(situation, roll, levers, (start, phi2, a, b)))


def _missing(situation: Situation, roll: Roll) -> list[Cause]:
    unknown = situation.vessel.particulars.length_waterline is None
    return [
        Cause.for_all(
            len(situation), unknown, NOT_COMPUTABLE, "no length on the waterline in the particulars"
        ),
        Cause(
            np.isnan(roll.k), NOT_COMPUTABLE, "neither shape of bilge nor bilge keel area in the particulars"
        ),
    ]


def _outside(roll: Roll) -> Cause:
    """2.3.5: tables and formulae hold for B/d < 3.5, -0.3 <= KG/d - 1 <= 0.5, T < 20 s (values from memory)."""
    outside: Bools = (
        (roll.breadth_to_draft >= 3.5)
        | (roll.og_to_draft < -0.3)
        | (roll.og_to_draft > 0.5)
        | (roll.period >= 20.0)
    )
    text = "outside the range of the tables (A 2.3.5): B/d below 3.5, KG/d - 1 from -0.3 to 0.5, period below 20 s"
    return Cause(outside, OUTSIDE_VALIDITY, text)


def _too_small(situation: Situation) -> Cause:
    short = situation.vessel.particulars.rule_length < 24.0
    words = "the Code applies to ships of 24 m in length and above (Introduction 1.2)"
    return Cause.for_all(len(situation), short, NOT_APPLICABLE, words)


def _details(situation: Situation, roll: Roll, levers: Levers, rest: tuple[Floats, ...]) -> list[Detail]:
    start, phi2, a, b = rest
    flooding = situation.flooding.angle
    rows = (
        ("wind pressure P", "Pa", np.full_like(a, PRESSURE)),
        ("projected lateral area A", "m2", situation.wind_area),
        ("arm of the wind Z", "m", levers.arm),
        ("steady wind lever lw1", "m", levers.lw1),
        ("gust wind lever lw2", "m", levers.lw2),
        ("angle under steady wind phi0", "degree", levers.phi0),
        ("B/d", "", roll.breadth_to_draft),
        ("factor X1", "", roll.x1),
        ("block coefficient", "", roll.block_coefficient),
        ("factor X2", "", roll.x2),
        ("100 Ak / (Lwl B)", "", roll.area_ratio),
        ("factor k", "", roll.k),
        ("OG/d", "", roll.og_to_draft),
        ("factor r", "", roll.r),
        ("coefficient C", "", roll.c),
        ("rolling period T", "s", roll.period),
        ("factor s", "", roll.s),
        ("angle of roll phi1", "degree", roll.phi1),
        ("angle to windward phi0 - phi1", "degree", start),
        ("first intercept of lw2", "degree", levers.phi_e),
        ("second intercept of lw2, phi_c", "degree", levers.phi_c),
        ("angle of down-flooding", "degree", np.where(np.isinf(flooding), np.nan, flooding)),
        ("end of area b, phi2", "degree", phi2),
        ("area a", "m·rad", a),
        ("area b", "m·rad", b),
    )
    return [Detail(name, unit, values) for name, unit, values in rows]


RULE_SET = RuleSet(
    "is-code-2008-a-2.3",
    "Intact stability: severe wind and rolling (weather criterion)",
    "International Code on Intact Stability, 2008, Part A, 2.3",
    "MSC.267(85), in force 1 July 2010",
    LIMITS,
    evaluate,
)
