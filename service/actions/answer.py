"""The core's assessment of a condition as a wire document, in the units asked for."""

from typing import Any

from service.actions.answer_criteria import criterion_row, smallest_margin
from service.actions.answer_load import assumed_rows, subtotals, tank_rows
from service.actions.rule_sets import editions
from service.actions.units import Scale
from service.core.assessment import Assessment as Assessed
from service.core.frame import CALCULATION_VERSION
from service.core.opening import FirstImmersion
from service.core.righting_lever import RightingLever
from service.wire.assessment import CAUTION, VesselReference
from service.wire.pointer import pointer_of

Row = dict[str, Any]


def full_answer(a: Assessed, s: Scale, reference: VesselReference, title: str) -> Row:
    """The whole answer."""
    rows = [criterion_row(name, criterion, s) for name, criterion in a.criteria]
    load, condition = a.displacement, a.condition
    length, moment = s.length, s.moment
    return {
        "title": title,
        "verdict": a.verdict,
        "smallest_margin": smallest_margin(rows),
        "units": s.names,
        "tanks": tank_rows(a, s),
        "assumed_free_surfaces": assumed_rows(a, s),
        "weights": subtotals(a, s),
        "displacement": load.mass / s.mass,
        "deadweight": (load.mass - a.situation.vessel.lightship.mass) / s.mass,
        "lcg": load.lcg / length,
        "tcg": load.tcg / length,
        "vcg_solid": load.vcg_solid / length,
        "vcg_corrected": load.vcg_corrected / length,
        "free_surface_moment": load.free_surface_moment / moment,
        "free_surface_correction": load.free_surface_correction / length,
        "moments": {
            "longitudinal": load.mass * load.lcg / moment,
            "vertical": load.mass * load.vcg_solid / moment,
            "transverse": load.mass * load.tcg / moment,
        },
        "flotation": _flotation(a, s),
        "stability": {
            "gm_solid": a.situation.gm_solid / length,
            "gm_corrected": a.situation.gm_corrected / length,
            "roll_period_estimate": a.roll_period,
            "angle_of_loll": a.rest.loll,
        },
        "righting_lever": None if a.heeled.curve is None else _lever(a, a.heeled.curve, s),
        "criteria": rows,
        "findings": [
            {
                "code": finding.code,
                "severity": finding.severity,
                "path": pointer_of(("condition", *finding.place)),
                "message": finding.message,
            }
            for finding in a.findings
        ],
        "provenance": {
            "calculation_version": CALCULATION_VERSION,
            "vessel": reference,
            "rule_sets": editions(condition.rule_sets),
            "free_surface_basis": condition.basis,
        },
        "caution": CAUTION,
    }


def summary_answer(a: Assessed, s: Scale, reference: VesselReference, title: str) -> Row:
    """The figures a list needs."""
    rows = [criterion_row(name, criterion, s) for name, criterion in a.criteria]
    flotation, length = a.flotation, s.length
    return {
        "title": title,
        "verdict": a.verdict,
        "smallest_margin": smallest_margin(rows),
        "units": s.names["system"],
        "gm_solid": a.situation.gm_solid / length,
        "gm_corrected": a.situation.gm_corrected / length,
        "free_surface_correction": a.displacement.free_surface_correction / length,
        "draft_forward": flotation.draft_forward / length,
        "draft_midship": flotation.draft_midship / length,
        "draft_aft": flotation.draft_aft / length,
        "trim": flotation.trim / length,
        "displacement": a.displacement.mass / s.mass,
        "list": a.rest.list_angle,
        "failed": [row["id"] for row in rows if row["verdict"] == "fail"],
        "not_checked": [
            row["id"] for row in rows if row["verdict"] in ("not_computable", "outside_validity")
        ],
        "findings": len(a.findings),
        "vessel": reference["name"],
        "caution": CAUTION,
    }


def _flotation(a: Assessed, s: Scale) -> Row:
    f, length = a.flotation, s.length
    return {
        "water_density": a.condition.water_density,
        "draft_at_lcf": f.draft_at_lcf / length,
        "draft_forward": f.draft_forward / length,
        "draft_midship": f.draft_midship / length,
        "draft_aft": f.draft_aft / length,
        "trim": f.trim / length,
        "km": f.km / length,
        "lcb": f.lcb / length,
        "lcf": f.lcf / length,
        "drafts_at_marks": [
            {
                "name": mark.name,
                "x": mark.x / length,
                "draft": (f.draft_at(mark.x) + mark.keel_offset) / length,
            }
            for mark in a.situation.vessel.draft_marks
        ],
        "list": _list(a),
        "tpc": f.tpc * s.per_immersion / s.mass,
        "mctc": f.mctc * s.per_immersion / s.moment,
        "method": f.method,
        "residual": None if f.residual is None else f.residual / length,
    }


def _list(a: Assessed) -> Row:
    angle, arm = a.rest.list_angle, a.situation.heeling_arm
    if angle is None:
        towards = "starboard" if arm < 0.0 else "port"
        return {"angle": None, "side": towards if a.situation.gm_corrected > 0.0 else "either"}
    if a.rest.loll is not None and abs(arm) < 1e-9:
        side = "either"
    else:
        side = "upright" if abs(angle) < 1e-9 else "port" if angle > 0.0 else "starboard"
    return {"angle": angle, "side": side}


def _lever(a: Assessed, curve: RightingLever, s: Scale) -> Row:
    flooding = a.heeled.flooding
    return {
        "side": "port" if a.heeled.side > 0.0 else "starboard",
        "heels": curve.heels,
        "levers": [lever / s.length for lever in curve.levers],
        "maximum": curve.maximum / s.length,
        "angle_of_maximum": curve.angle_of_maximum,
        "vanishing_angle": a.vanishing_angle,
        "areas": _areas(curve, flooding, s),
        "down_flooding": {
            "known": flooding.angle is not None,
            "angle": None if flooding.angle in (None, float("inf")) else flooding.angle,
            "opening": None if flooding.opening is None else flooding.opening.id,
            "name": None if flooding.opening is None else flooding.opening.name,
        },
        "deck_edge_angle": a.situation.deck_edge,
        "free_surface_method": _ACTUAL if a.actual_moments else _FLUID_VCG,
    }


def _areas(curve: RightingLever, flooding: FirstImmersion, s: Scale) -> list[Row]:
    """Areas to 30, to 40 and between, or to down-flooding where that comes first."""
    last = curve.last_heel
    end = last if flooding.angle is None else min(flooding.angle, last)
    rows = []
    for low, high in ((0.0, 30.0), (0.0, 40.0), (30.0, 40.0)):
        stop = max(low, min(end, high))
        area = curve.area(low, stop) / s.length if last >= high or end < last else None
        rows.append({"start": low, "end": stop, "area": area})
    return rows


_FLUID_VCG = "fluid VCG: the free surface correction times the sine of the heel (2008 IS Code B/3.1.9.2)"
_ACTUAL = (
    "actual moment of the liquid at each heel where a tank has heeled moments, fluid VCG for the others "
    "(2008 IS Code B/3.1.9)"
)
