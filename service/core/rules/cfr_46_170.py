"""Title 46, Code of Federal Regulations, part 170: intact stability of US vessels, 170.170 and 170.173.

170.170 (weather criterion) is computed in feet and long tons, the units it is printed in first; its metric constants
are rounded and would differ by about half a percent. 170.173 is computed in metres and metre-degrees, which it prints
first.
"""

from collections.abc import Sequence
from math import degrees, inf, isinf, radians, tan

from ..conventions import FOOT, LONG_TON
from ..free_surface import CFR
from ..lever_measures import LeverMeasures
from ..situation import Heeled, Situation
from .alternatives import not_chosen, standing
from .edge_bound import CURVES_END, UNKNOWN_EDGE, EdgeBound
from .limit import (
    AT_LEAST,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    ROUNDING,
    SHIP,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    judge_gm,
    without,
    without_curve,
)
from .measured_lever import (
    area_effect,
    ends_rising,
    flooding_detail,
    floods_before,
    lever_effect,
    too_short,
    unknown,
)
from .wind_area import without_wind

_PART = "46 CFR"

WEATHER_GM = Limit(
    "46-cfr-170.170-gm",
    "170.170(a)",
    "Metacentric height against beam wind: P A H / (W tan T)",
    "metacentric height",
    AT_LEAST,
    None,
    "ft",
    f"{_PART} 170.170(a)",
    "gm",
)
SERVICES = {"exposed": 0.005, "partially_protected": 0.0033, "protected": 0.0025}
"""First term of P in LT/ft2; (L/14200)^2 is added to each. Source: 46 CFR 170.170(a)."""


def evaluate_weather(ship: Situation) -> list[Criterion]:
    """GM in feet. T is the lesser of 14 degrees and the angle that immerses half the freeboard.

    Source: 46 CFR 170.170(a)."""
    p, wind, freeboard = ship.vessel.particulars, ship.wind, ship.half_freeboard
    length = p.length_bp / FOOT
    pressure = SERVICES[p.service or "exposed"] + (length / 14200.0) ** 2
    weight = ship.displacement.mass / LONG_TON
    area = arm = None
    if wind is not None and ship.flotation is not None:
        area, arm = wind.area / FOOT**2, (wind.height - 0.5 * ship.flotation.draft_midship) / FOOT
    gm = None if ship.gm_corrected is None else ship.gm_corrected / FOOT
    bound, moment = EdgeBound.of(14.0, freeboard, ship), None
    if area is not None and arm is not None:
        moment = pressure * area * arm
    unless = without(ship, "stability") or without_wind(ship)
    angle = None if isinf(bound.least) else bound.least
    required = _required(moment, weight, angle)
    if angle is None:
        least = _required(moment, weight, bound.most)
        if gm is not None and least is not None and gm < least - ROUNDING * max(1.0, least):
            angle, required = bound.most, least  # she fails whatever the angle is
        else:
            unless = unless or without(ship, "righting_lever") or UNKNOWN_EDGE
    elif angle < bound.most and gm is not None and required is not None and gm < required:
        # T may be greater than the last heel of the cross curves, and the requirement so much less
        angle, required = bound.most, _required(moment, weight, bound.most)
        met = required is not None and gm >= required - ROUNDING * max(1.0, required)
        unless = unless or (CURVES_END if met else None)
    service = p.service or "exposed (not stated: the most severe is taken)"
    details = (
        Intermediate("service", "service", "", service.replace("_", " ")),
        Intermediate("wind_pressure", "wind pressure P", "LT/ft2", pressure),
        Intermediate("lateral_area", "projected lateral area A", "ft2", area),
        Intermediate("wind_arm", "arm of the wind H", "ft", arm),
        Intermediate("displacement", "displacement W", "LT", weight),
        Intermediate("half_freeboard_angle", "angle that immerses half the freeboard", "degree", freeboard),
        Intermediate("angle", "angle T", "degree", angle),
    )
    return [judge(WEATHER_GM, gm, required, unless=unless, details=details, vcg_effect=1.0 / FOOT)]


def _required(moment: float | None, weight: float, angle: float | None) -> float | None:
    """P A H / (W tan T) in feet for a wind moment (ft LT) and an angle T."""
    if moment is None or angle is None:
        return None
    # nothing is left to heel by where half the freeboard is under water
    return moment / (weight * tan(radians(angle))) if angle > 0.0 else inf if moment > 0.0 else None


def _row(
    id: str,
    clause: str,
    title: str,
    quantity: str,
    limit: float | None,
    unit: str,
    key: str,
    from_memory: str | None = None,
) -> Limit:
    id, source = f"46-cfr-170.173-{id}", f"{_PART} {clause}"
    return Limit(id, clause, title, quantity, AT_LEAST, limit, unit, source, key, from_memory)


GM_B = _row("b-gm", "170.173(b)(1)", "Metacentric height", "metacentric height", 0.15, "m", "gm")
LEVER_B = _row(
    "b-lever",
    "170.173(b)(2)",
    "Greatest righting arm at 30 degrees of heel or more",
    "lever",
    0.20,
    "m",
    "greatest_lever_from_30",
)
ANGLE_B = _row(
    "b-angle",
    "170.173(b)(3)",
    "Angle of the maximum righting arm",
    "angle",
    25.0,
    "degree",
    "angle_of_maximum",
)
AREA_30_B = _row(
    "b-area-to-30", "170.173(b)(4)", "Area up to 30 degrees", "area", 3.15, "m·degree", "area_to_30"
)
AREA_40_B = _row(
    "b-area-to-40",
    "170.173(b)(5)",
    "Area up to 40 degrees or the downflooding angle",
    "area",
    5.15,
    "m·degree",
    "area_to_40",
)
AREA_3040_B = _row(
    "b-area-30-to-40",
    "170.173(b)(6)",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    1.72,
    "m·degree",
    "area_30_to_40",
)
GM_C = _row("c-gm", "170.173(c)(1)", "Metacentric height", "metacentric height", 0.15, "m", "gm")
ANGLE_C = _row(
    "c-angle",
    "170.173(c)(2)",
    "Angle of the maximum righting arm",
    "angle",
    15.0,
    "degree",
    "angle_of_maximum",
)
AREA_40_C = _row(
    "c-area-to-40",
    "170.173(c)(3)",
    "Area up to 40 degrees or the downflooding angle",
    "area",
    5.15,
    "m·degree",
    "area_to_40",
)
AREA_3040_C = _row(
    "c-area-30-to-40",
    "170.173(c)(4)",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    1.72,
    "m·degree",
    "area_30_to_40",
)
AREA_MAX_C = _row(
    "c-area-to-maximum",
    "170.173(c)(5)",
    "Area up to the angle of the maximum righting arm",
    "area",
    None,
    "m·degree",
    "area_to_maximum",
    "the equation 3.15 + 0.057 (30 - Y) is printed as a picture and was recalled",
)
PARAGRAPH_B = (GM_B, LEVER_B, ANGLE_B, AREA_30_B, AREA_40_B, AREA_3040_B)
PARAGRAPH_C = (GM_C, ANGLE_C, AREA_40_C, AREA_3040_C, AREA_MAX_C)


def evaluate_unusual(ship: Situation, heeled: Heeled) -> list[Criterion]:
    """Both paragraphs of 170.173 on one side: m, m.degree, degrees. Source: 46 CFR 170.173(b) and (c)."""
    long = _too_long(ship)
    if heeled.levers_automatic is None:
        return without_curve((*PARAGRAPH_B, *PARAGRAPH_C), ship, long)
    return [
        *_paragraph_b(ship, heeled.levers_automatic, long),
        *_paragraph_c(ship, heeled.levers_automatic, long),
    ]


def _paragraph_b(ship: Situation, levers: LeverMeasures, long: Ruling | None) -> list[Criterion]:
    always, floods = long or unknown(levers), floods_before(levers, 30.0)
    to_30, to_40 = too_short(levers, 30.0), too_short(levers, 40.0)
    greatest, at = levers.greatest_from(30.0) or (None, 30.0)
    details = (flooding_detail(levers, "downflooding angle"),)
    return [
        judge_gm(GM_B, ship, long),
        judge(
            LEVER_B, greatest, unless=always or floods or to_30, details=details, vcg_effect=lever_effect(at)
        ),
        judge(ANGLE_B, levers.angle_of_greatest, unless=always or ends_rising(levers, 25.0), details=details),
        _area(AREA_30_B, levers, levers.area_to_30, (0.0, 30.0), always or to_30),
        _area(AREA_40_B, levers, levers.area_to_40, (0.0, 40.0), always or to_40),
        _area(AREA_3040_B, levers, levers.area_30_to_40, (30.0, 40.0), always or floods or to_40),
    ]


def _paragraph_c(ship: Situation, levers: LeverMeasures, long: Ruling | None) -> list[Criterion]:
    """For vessels whose righting arm is greatest at 30 degrees or less.

    Area to the maximum at least 3.15 + 0.057 (30 - Y) m.degree (value from memory). Source: 46 CFR 170.173(c)."""
    always, floods, to_40 = long or unknown(levers), floods_before(levers, 30.0), too_short(levers, 40.0)
    angle, rising = levers.angle_of_greatest, ends_rising(levers, 30.0)
    required = None if angle is None else 3.15 + 0.057 * (30.0 - min(max(angle, 15.0), 30.0))
    details = (
        flooding_detail(levers, "downflooding angle"),
        Intermediate("angle_of_maximum", "angle of the maximum righting arm Y", "degree", angle),
    )
    to_greatest = _degrees(levers.area_to_greatest())
    return [
        judge_gm(GM_C, ship, long),
        judge(ANGLE_C, angle, unless=always or ends_rising(levers, 15.0), details=details[:1]),
        _area(AREA_40_C, levers, levers.area_to_40, (0.0, 40.0), always or to_40),
        _area(AREA_3040_C, levers, levers.area_30_to_40, (30.0, 40.0), always or floods or to_40),
        judge(AREA_MAX_C, to_greatest, required, unless=always or rising, details=details),
    ]


def _area(
    row: Limit, levers: LeverMeasures, area: float | None, ends: tuple[float, float], unless: Ruling | None
) -> Criterion:
    effect = _degrees(area_effect(levers, *ends))
    details = (flooding_detail(levers, "downflooding angle"),)
    return judge(row, _degrees(area), unless=unless, details=details, vcg_effect=effect)


def choose_paragraph(sides: Sequence[Heeled], judged: list[Criterion]) -> list[Criterion]:
    """The rows of one paragraph as judged, those of the other not applicable: (b) where her righting arm is greatest
    beyond 30 degrees on either side; else whichever is met whole, (c) before one that is not.

    Source: 46 CFR 170.173(a)."""
    b, c = judged[: len(PARAGRAPH_B)], judged[len(PARAGRAPH_B) :]
    if not any(criterion.is_judged or criterion.verdict == NOT_COMPUTABLE for criterion in judged):
        return judged
    beyond = any(side.curve is not None and side.curve.angle_of_maximum > 30.0 + ROUNDING for side in sides)
    if beyond:
        return [*b, *not_chosen(c, BEYOND_30)]
    if standing(b) < standing(c):
        return [*b, *not_chosen(c, f"paragraph (b) chosen{_met_whole(b)}")]
    return [*not_chosen(b, f"paragraph (c) chosen{_met_whole(c)}"), *c]


BEYOND_30 = "paragraph (b) chosen: the righting arm is greatest beyond 30 degrees"


def _met_whole(rows: list[Criterion]) -> str:
    return ": it is met whole" if standing(rows) == 0 else ""


def _degrees(area: float | None) -> float | None:
    """m.degree of an area in m.rad."""
    return None if area is None else degrees(area)


def _too_long(ship: Situation) -> Ruling | None:
    if ship.vessel.particulars.rule_length < 100.0:
        return None
    return Ruling(NOT_APPLICABLE, "170.173 applies to vessels under 100 m in length (170.173(a))", SHIP)


_EDITION = "Title 46, part 170, as in force in 2026"
WEATHER_SET = RuleSet(
    "46-cfr-170.170",
    "Weather criteria",
    "46 CFR 170.170",
    _EDITION,
    (WEATHER_GM,),
    evaluate_upright=evaluate_weather,
    surfaces=CFR,
)
UNUSUAL_SET = RuleSet(
    "46-cfr-170.173",
    "Criterion for vessels of unusual proportion and form",
    "46 CFR 170.173",
    _EDITION,
    (*PARAGRAPH_B, *PARAGRAPH_C),
    evaluate_unusual,
    choose=choose_paragraph,
    surfaces=CFR,
    automatic_closure=True,
    also_known_as=("46-cfr-170.173-b", "46-cfr-170.173-c"),
)
