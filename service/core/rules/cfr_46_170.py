"""Title 46, Code of Federal Regulations, part 170: intact stability of US vessels, 170.170 and 170.173.

170.170 (weather criterion) is computed in feet and long tons, the units it is printed in first; its metric constants
are rounded and would differ by about half a percent. 170.173 is computed in metres and metre-degrees, which it prints
first.
"""

import numpy as np

from ..frame import FOOT, LONG_TON
from ..situation import Situation
from .lever_curve import CurveMeasures
from .limit import (
    AT_LEAST,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    Cause,
    Criterion,
    Detail,
    Limit,
    RuleSet,
    judge,
    without_curve,
)

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
)
SERVICES = {"exposed": 0.005, "partially_protected": 0.0033, "protected": 0.0025}
"""First term of P in LT/ft2; (L/14200)^2 is added to each. Source: 46 CFR 170.170(a)."""


def evaluate_weather(situation: Situation) -> list[Criterion]:
    """GM in feet for N conditions. T is the lesser of 14 degrees and the angle that immerses half the freeboard.

    Source: 46 CFR 170.170(a)."""
    p, flotation = situation.vessel.particulars, situation.flotation
    length = p.length_bp / FOOT
    area = situation.wind_area / FOOT**2
    arm = (situation.wind_height - 0.5 * flotation.draft_midship) / FOOT
    weight = situation.displacement.mass / LONG_TON
    pressure = SERVICES[p.service or "exposed"] + (length / 14200.0) ** 2
    angle = np.minimum(14.0, situation.half_freeboard)
    with np.errstate(divide="ignore", invalid="ignore"):
        required = pressure * area * arm / (weight * np.tan(np.radians(angle)))
    service = p.service or "exposed (not stated: the most severe is taken)"
    details = [
        Detail("service", "", [service.replace("_", " ")] * len(situation)),
        Detail("wind pressure P", "LT/ft2", np.full(len(situation), pressure)),
        Detail("projected lateral area A", "ft2", area),
        Detail("arm of the wind H", "ft", arm),
        Detail("displacement W", "LT", weight),
        Detail("angle that immerses half the freeboard", "degree", situation.half_freeboard),
        Detail("angle T", "degree", angle),
    ]
    causes = [
        Cause(np.isnan(area), NOT_COMPUTABLE, "no wind profile at this draft"),
        Cause(np.isnan(situation.half_freeboard), NOT_COMPUTABLE, "no deck edge at this draft"),
    ]
    return [judge(WEATHER_GM, situation.gm_corrected / FOOT, required, causes, details)]


def _row(id: str, clause: str, title: str, quantity: str, limit: float | None, unit: str) -> Limit:
    return Limit(f"46-cfr-170.173-{id}", clause, title, quantity, AT_LEAST, limit, unit, f"{_PART} {clause}")


GM_B = _row("b-gm", "170.173(b)(1)", "Metacentric height", "metacentric height", 0.15, "m")
LEVER_B = _row(
    "b-lever", "170.173(b)(2)", "Greatest righting arm at 30 degrees of heel or more", "lever", 0.20, "m"
)
ANGLE_B = _row("b-angle", "170.173(b)(3)", "Angle of the maximum righting arm", "angle", 25.0, "degree")
AREA_30_B = _row("b-area-to-30", "170.173(b)(4)", "Area up to 30 degrees", "area", 3.15, "m·degree")
AREA_40_B = _row(
    "b-area-to-40",
    "170.173(b)(5)",
    "Area up to 40 degrees or the downflooding angle",
    "area",
    5.15,
    "m·degree",
)
AREA_3040_B = _row(
    "b-area-30-to-40",
    "170.173(b)(6)",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    1.72,
    "m·degree",
)
GM_C = _row("c-gm", "170.173(c)(1)", "Metacentric height", "metacentric height", 0.15, "m")
ANGLE_C = _row("c-angle", "170.173(c)(2)", "Angle of the maximum righting arm", "angle", 15.0, "degree")
AREA_40_C = _row(
    "c-area-to-40",
    "170.173(c)(3)",
    "Area up to 40 degrees or the downflooding angle",
    "area",
    5.15,
    "m·degree",
)
AREA_3040_C = _row(
    "c-area-30-to-40",
    "170.173(c)(4)",
    "Area between 30 degrees and 40 degrees or the downflooding angle",
    "area",
    1.72,
    "m·degree",
)
AREA_MAX_C = _row(
    "c-area-to-maximum",
    "170.173(c)(5)",
    "Area up to the angle of the maximum righting arm",
    "area",
    None,
    "m·degree",
)
PARAGRAPH_B = (GM_B, LEVER_B, ANGLE_B, AREA_30_B, AREA_40_B, AREA_3040_B)
PARAGRAPH_C = (GM_C, ANGLE_C, AREA_40_C, AREA_3040_C, AREA_MAX_C)


DEGREES = 180.0 / np.pi
"""m.degree a m.rad."""


def evaluate_b(situation: Situation) -> list[Criterion]:
    """170.173(b) for N conditions: m, m.degree, degrees. Source: 46 CFR 170.173(b)."""
    if situation.curve is None:
        return without_curve(PARAGRAPH_B, len(situation))
    long = _too_long(situation)
    curve = CurveMeasures.of(situation.curve, situation.flooding_automatic)
    always, details = [long, curve.unknown], [curve.flooding_detail("downflooding angle")]
    to_30, to_40, between = curve.areas()
    floods = curve.floods_before(30.0)
    return [
        judge(GM_B, situation.gm_corrected, None, [long]),
        judge(LEVER_B, curve.greatest_from(30.0), None, [*always, floods, curve.too_short(30.0)], details),
        judge(ANGLE_B, curve.angle_of_greatest, None, always, details),
        judge(AREA_30_B, DEGREES * to_30, None, [*always, curve.too_short(30.0)], details),
        judge(AREA_40_B, DEGREES * to_40, None, [*always, curve.too_short(40.0)], details),
        judge(AREA_3040_B, DEGREES * between, None, [*always, floods, curve.too_short(40.0)], details),
    ]


def evaluate_c(situation: Situation) -> list[Criterion]:
    """170.173(c), for vessels whose righting arm is greatest at 30 degrees or less.

    Area to the maximum at least 3.15 + 0.057 (30 - Y) m.degree (value from memory). Source: 46 CFR 170.173(c)."""
    if situation.curve is None:
        return without_curve(PARAGRAPH_C, len(situation))
    curve = CurveMeasures.of(situation.curve, situation.flooding_automatic)
    beyond = Cause(situation.curve.angle_of_maximum > 30.0, NOT_APPLICABLE, BEYOND_30)
    applies = [_too_long(situation), beyond]
    always, details = [*applies, curve.unknown], [curve.flooding_detail("downflooding angle")]
    _, to_40, between = curve.areas()
    angle = curve.angle_of_greatest
    required = 3.15 + 0.057 * (30.0 - np.clip(angle, 15.0, 30.0))
    shown = Detail("angle of the maximum righting arm Y", "degree", angle)
    short = curve.too_short(40.0)
    return [
        judge(GM_C, situation.gm_corrected, None, applies),
        judge(ANGLE_C, angle, None, always, details),
        judge(AREA_40_C, DEGREES * to_40, None, [*always, short], details),
        judge(AREA_3040_C, DEGREES * between, None, [*always, curve.floods_before(30.0), short], details),
        judge(AREA_MAX_C, DEGREES * curve.area_to_greatest(), required, always, [*details, shown]),
    ]


BEYOND_30 = "the righting arm is greatest beyond 30 degrees: paragraph (b) applies"


def _too_long(situation: Situation) -> Cause:
    long = situation.vessel.particulars.rule_length >= 100.0
    words = "170.173 applies to vessels under 100 m in length (170.173(a))"
    return Cause.for_all(len(situation), long, NOT_APPLICABLE, words)


_EDITION = "Title 46, part 170, as in force in 2026"
WEATHER_SET = RuleSet(
    "46-cfr-170.170", "Weather criteria", "46 CFR 170.170", _EDITION, (WEATHER_GM,), evaluate_weather
)
B_SET = RuleSet(
    "46-cfr-170.173-b",
    "Criterion for vessels of unusual proportion and form, paragraph (b)",
    "46 CFR 170.173(b)",
    _EDITION,
    PARAGRAPH_B,
    evaluate_b,
)
C_SET = RuleSet(
    "46-cfr-170.173-c",
    "Criterion for vessels of unusual proportion and form, paragraph (c)",
    "46 CFR 170.173(c)",
    _EDITION,
    PARAGRAPH_C,
    evaluate_c,
)
