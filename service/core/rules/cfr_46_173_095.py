"""Title 46, Code of Federal Regulations, 173.095: towline pull of US towing vessels.

Paragraph (b), a metacentric height, or paragraph (c), a residual area with the heel of the tow. In metres, tonnes and
kilowatts, with the metric constants it prints. Read: the symbols, K and the area; recalled: the equation of (b), which
is printed as a picture. The heeling arm of (c) could not be read: its figure is shown and never judged.
"""

from collections.abc import Sequence
from math import degrees, inf

from ..free_surface import CFR
from ..lever_measures import LeverMeasures
from ..righting_lever import RightingLever
from ..situation import Heeled, Situation
from ..towing import Towing
from .alternatives import better_of
from .curve_rows import missing
from .hull_figures import least_freeboard
from .limit import (
    AT_LEAST,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
    without_curve,
)
from .measured_lever import flooding_detail, unknown

NAME = "46-cfr-173.095"
K = 13.93
"""Constant of the metric equation; 38 in feet, long tons and horsepower. Source: 46 CFR 173.095."""
GM = Limit(
    f"{NAME}-gm",
    "173.095(b)",
    "Metacentric height against towline pull: N (P D)^(2/3) s h / (K W f / B)",
    "metacentric height",
    AT_LEAST,
    None,
    "m",
    "46 CFR 173.095(b) (equation: value from memory)",
    "gm",
    "the equation of (b) is printed as a picture and was recalled; its symbols and K were read",
)
RESIDUAL_AREA = Limit(
    f"{NAME}-residual-area",
    "173.095(c)",
    "Residual area up to the angle of the maximum righting arm, the downflooding angle or 40 degrees",
    "area",
    AT_LEAST,
    0.61,
    "m·degree",
    "46 CFR 173.095(c) (heeling arm: not read)",
    "towing_residual_area",
    "the heeling arm of (c) could not be read; the area was",
    judges=False,
)
LIMITS = (GM, RESIDUAL_AREA)


def pull(towing: Towing) -> float | None:
    """N (P D)^(2/3) s h in metric units; None where her booklet does not say all of it.

    Source: 46 CFR 173.095(b) (value from memory)."""
    n, power, diameter = towing.propellers, towing.shaft_power, towing.propeller_diameter
    part, height = towing.rudder_fraction, towing.bitts_height
    if n is None or power is None or diameter is None or part is None or height is None:
        return None
    return float(n * (power * diameter) ** (2.0 / 3.0) * part * height)


def least_gm(pulled: float, displacement: float, freeboard: float, breadth: float) -> float:
    """GM in m for a pull in metric units, t and m; infinite without freeboard. Source: 46 CFR 173.095(b)."""
    return pulled / (K * displacement * (freeboard / breadth)) if freeboard > 0.0 else inf


def evaluate(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Both paragraphs on one side; m and m.degree. Source: 46 CFR 173.095."""
    towing, levers = ship.vessel.towing, heeled.levers_automatic
    pulled = None if towing is None else pull(towing)
    gap = missing("towing of the vessel") if towing is None else None
    if pulled is None and gap is None:
        gap = missing(
            "propellers, shaft_power, propeller_diameter, rudder_fraction and bitts_height of towing"
        )
    gm = _gm(ship, pulled, gap)
    if levers is None:
        return [gm, *without_curve((RESIDUAL_AREA,), ship, gap)]
    return [gm, _residual(ship, levers, pulled, gap)]


def _gm(ship: Situation, pulled: float | None, gap: Ruling | None) -> Criterion:
    freeboard, breadth = least_freeboard(ship), ship.vessel.particulars.breadth
    required = None
    if pulled is not None and freeboard is not None:
        required = least_gm(pulled, ship.displacement.mass, freeboard, breadth)
    unless = gap or without(ship, "stability")
    if unless is None and freeboard is None:
        unless = without(ship, "flotation") or missing("points of the deck edge, for the freeboard")
    details = (
        Intermediate("pull", "N (P D)^(2/3) s h", "", pulled),
        Intermediate("constant_k", "constant K", "", K),
        Intermediate("freeboard_least", "least freeboard f", "m", freeboard),
    )
    return judge(GM, ship.gm_corrected, required, unless=unless, details=details, vcg_effect=1.0)


def _residual(ship: Situation, levers: LeverMeasures, pulled: float | None, gap: Ruling | None) -> Criterion:
    """With the arm 2 N (P D)^(2/3) s h cos(heel) / (K W), for information."""
    area = heel = end = None
    curve = levers.curve
    if pulled is not None and levers.usable is not None:
        arm = 2.0 * pulled / (K * ship.displacement.mass)
        net = RightingLever(curve.kn, curve.vcg, curve.tcg + arm)
        heel, end = net.rise(0.0), min(levers.angle_of_greatest or 0.0, levers.usable, 40.0)
        if heel is not None:
            area = degrees(net.area(heel, max(end, heel)))
    details = (
        Intermediate("angle_of_heel", "heel of the tow", "degree", heel),
        Intermediate("end_of_area", "end of the area", "degree", end),
        flooding_detail(levers, "downflooding angle"),
    )
    return judge(RESIDUAL_AREA, area, unless=gap or unknown(levers), details=details)


def choose(sides: Sequence[Heeled], judged: list[Criterion]) -> list[Criterion]:
    """Paragraph (b) unless it is not met: then (c), which is open. Source: 46 CFR 173.095 ((b) or (c))."""
    gm, area = judged
    return better_of(("paragraph (b)", [gm]), ("paragraph (c)", [area]))


RULE_SET = RuleSet(
    NAME,
    "Towing vessels: towline pull",
    "46 CFR 173.095",
    "Title 46, part 173, as in force in 2026",
    LIMITS,
    evaluate,
    choose=choose,
    surfaces=CFR,
    automatic_closure=True,
)
