"""The beam wind of 46 CFR 170.170, in feet and long tons as it is printed."""

from math import isinf, radians, tan

from service.core.rules import cfr_46_170 as cfr
from service.translation.working import openings
from service.translation.working.clause import Clause
from service.translation.working.given import Inputs
from service.translation.working.weather import has_wind


def _pressure(clause: Clause) -> str:
    """P in LT/ft2: a part by the waters she serves in, and one that grows with her length."""
    s, a = clause.sheet, clause.a
    p = a.assessed.situation.vessel.particulars
    length = s.feet(
        s.copy(
            "particulars/length_bp",
            a.vessel.number(("particulars", "length_bp"), "length", "length between perpendiculars"),
        )
    )
    first = cfr.SERVICES[p.service or "exposed"]
    value = first + (s.value(length) / 14200.0) ** 2
    inputs: Inputs = {
        "p": clause.rule(f"pressure in {p.service or 'exposed'} waters", first, "LT/ft2"),
        "L": length,
    }
    return clause.node("pressure", "p + (L / 14200)^2", inputs, value, "LT/ft2", words="wind pressure P")


def _area_in_feet(clause: Clause) -> str | None:
    return clause.sheet.feet("wind/area") if has_wind(clause) else None


def _arm_in_feet(clause: Clause) -> str | None:
    if not has_wind(clause):
        return None
    s = clause.sheet
    height, draft = s.feet("wind/height"), s.feet("draft_midship")
    inputs: Inputs = {"h": height, "d": draft}
    return clause.node(
        "arm", "h - d / 2", inputs, s.value(height) - 0.5 * s.value(draft), "ft", words="arm of the wind H"
    )


def _angle(clause: Clause) -> str | None:
    """T: the lesser of 14 degrees and the angle that immerses half the freeboard."""
    found = next(detail.value for detail in clause.criterion.details if detail.key == "angle")
    if not isinstance(found, float):
        return None
    s, half = clause.sheet, openings.half_freeboard(clause.a)
    inputs: Inputs = {"most": clause.rule("greatest angle", 14.0, "degree")}
    if half is not None and s.value(half) <= found + 1e-9:
        inputs["half"] = half
    elif found < 14.0:  # the last heel of the cross curves stands for an angle beyond it
        inputs["last"] = s.constant("last heel of the cross curves", found, "degree")
    return s.add(
        f"{clause.rule_set.name}/T", "choice", f"min({', '.join(inputs)})", inputs, name="angle T", unit="degree",
        value=found, source=clause.criterion.row.source,
    )  # fmt: skip


def gm_against_wind(clause: Clause) -> str | None:
    """P A H / (W tan T), in the answer's unit."""
    s, required = clause.sheet, clause.criterion.required
    area, arm, angle = _area_in_feet(clause), _arm_in_feet(clause), _angle(clause)
    if (
        area is None
        or arm is None
        or angle is None
        or required is None
        or isinf(required)
        or not s.value(angle)
    ):
        return None
    inputs: Inputs = {"P": _pressure(clause), "A": area, "H": arm, "W": s.feet("displacement"), "T": angle}
    pressure = s.value(str(inputs["P"]))
    value = (
        pressure * s.value(area) * s.value(arm) / (s.value(str(inputs["W"])) * tan(radians(s.value(angle))))
    )
    node = clause.node(
        "gm_required", "P * A * H / (W * tan(T))", inputs, value, "ft", words="GM required against beam wind"
    )
    return s.in_answer(node)


DETAILS = {
    "wind_pressure": lambda clause, key: _pressure(clause),
    "lateral_area": lambda clause, key: _area_in_feet(clause),
    "wind_arm": lambda clause, key: _arm_in_feet(clause),
    "displacement": lambda clause, key: clause.sheet.feet("displacement"),
    "half_freeboard_angle": lambda clause, key: openings.half_freeboard(clause.a),
    "angle": lambda clause, key: _angle(clause),
}
