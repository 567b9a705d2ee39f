"""The core's assessment of a condition as a wire document, in the units asked for."""

from typing import Any

from service.core.assessment import Assessment as Assessed
from service.core.conventions import CALCULATION_VERSION
from service.core.finding_kinds import DANGER, Finding
from service.core.flotation import Flotation
from service.translation.answer_added import added_members
from service.translation.answer_criteria import criterion_row, smallest_margin
from service.translation.answer_icing import icing_member
from service.translation.answer_lever import lever_row
from service.translation.answer_load import assumed_rows, free_surface_row, subtotals, tank_rows
from service.translation.answer_load_line import load_line_member
from service.translation.answer_margin import least_stability_margin, load_line_margin
from service.translation.answer_strength import strength_member
from service.translation.answer_survey import survey_row
from service.translation.answer_view import drafts_member
from service.translation.condition import reason_of
from service.translation.rule_sets import editions
from service.translation.units import Scale
from service.wire.assessment import CAUTION, VesselReference
from service.wire.pointer import pointer_of

Row = dict[str, Any]


def full_answer(a: Assessed, s: Scale, reference: VesselReference, title: str) -> Row:
    """The whole answer."""
    rows = _criteria(a, s)
    load, condition, ship = a.displacement, a.condition, a.situation
    length, moment = s.length, s.moment
    return {
        "title": title,
        **({"phase": "in_port"} if condition.in_port else {}),
        "verdict": a.verdict,
        **_margins(a, s, rows),
        "units": s.names,
        "tanks": tank_rows(a, s),
        "assumed_free_surfaces": assumed_rows(a, s),
        "weights": subtotals(a, s),
        "displacement": load.mass / s.mass,
        "deadweight": (load.mass - ship.vessel.lightship.mass) / s.mass,
        "lcg": load.lcg / length,
        "tcg": load.tcg / length,
        "vcg_solid": load.vcg_solid / length,
        "vcg_corrected": load.vcg_corrected / length,
        "free_surface_moment": load.free_surface_moment / moment,
        "free_surface_correction": load.free_surface_correction / length,
        "free_surface": free_surface_row(a, s),
        "moments": {
            "longitudinal": load.mass * load.lcg / moment,
            "vertical": load.mass * load.vcg_solid / moment,
            "transverse": load.mass * load.tcg / moment,
        },
        "flotation": _flotation(a, s),
        "stability": {
            "gm_solid": _scaled(ship.gm_solid, length),
            "gm_corrected": _scaled(ship.gm_corrected, length),
            "roll_period_estimate": a.roll_period,
            "angle_of_loll": ship.rest.loll,
        },
        "righting_lever": None if a.heeled.curve is None else lever_row(a, a.heeled.curve, s),
        **load_line_member(a, s),
        **drafts_member(a, s),
        **strength_member(a, s),
        **added_members(a, s),
        **icing_member(a, s),
        "criteria": rows,
        "findings": [*(finding_row(finding) for finding in a.findings), *_unproved(reference)],
        **({} if a.survey is None else {"draft_survey": survey_row(a.survey, s)}),
        "provenance": _provenance(a, reference, rows),
        "caution": CAUTION,
    }


def _provenance(a: Assessed, reference: VesselReference, rows: list[Row]) -> Row:
    """What made the answer."""
    return {
        "calculation_version": CALCULATION_VERSION,
        "vessel": reference,
        "rule_sets": editions(a.sets),
        "free_surface_basis": a.condition.basis,
        "from_memory": [row["id"] for row in rows if _recalled(row)],
    }


def summary_answer(a: Assessed, s: Scale, reference: VesselReference, title: str) -> Row:
    """The figures a list needs."""
    rows = _criteria(a, s)
    ship, flotation, length = a.situation, a.situation.flotation, s.length
    drafts = ("draft_forward", "draft_midship", "draft_aft", "trim")
    margins = _margins(a, s, rows)
    return {
        "title": title,
        "verdict": a.verdict,
        "dangers": margins["dangers"],
        "least_stability_margin": margins["least_stability_margin"],
        "load_line_margin": margins["load_line_margin"],
        "smallest_margin": margins["smallest_margin"],
        "units": s.names["system"],
        "gm_solid": _scaled(ship.gm_solid, length),
        "gm_corrected": _scaled(ship.gm_corrected, length),
        "free_surface_correction": a.displacement.free_surface_correction / length,
        **{name: None if flotation is None else getattr(flotation, name) / length for name in drafts},
        "displacement": a.displacement.mass / s.mass,
        "list": ship.rest.list_angle,
        "failed": [row["id"] for row in rows if row["counts"] and row["verdict"] == "fail"],
        "not_checked": [
            row["id"]
            for row in rows
            if row["counts"] and row["verdict"] in ("not_computable", "outside_validity")
        ],
        "findings": len(a.findings) + len(_unproved(reference)),
        "vessel": reference["name"],
        "caution": CAUTION,
    }


def _criteria(a: Assessed, s: Scale) -> list[Row]:
    return [
        criterion_row(rule_set, criterion, a.counts(rule_set, criterion), s)
        for rule_set, criterion in a.criteria
    ]


def _recalled(row: Row) -> bool:
    """Whether a clause that was recalled had a say in the verdict."""
    return row["counts"] and row["from_memory"] is not None and row["verdict"] != "not_applicable"


def _margins(a: Assessed, s: Scale, rows: list[Row]) -> Row:
    """What stands beside the verdict."""
    return {
        "dangers": sum(finding.severity == DANGER for finding in a.findings),
        "unjudged": [
            {"rule_set": None if rule_set is None else rule_set.name, "reason": reason}
            for rule_set, reason in a.unjudged
        ],
        "not_computed": [
            {"figure": figure, "reason": reason_of(gap, s)} for figure, gap in a.situation.gaps.items()
        ],
        "least_stability_margin": least_stability_margin(a, s),
        "load_line_margin": load_line_margin(a, s),
        "smallest_margin": smallest_margin(rows),
    }


def finding_row(finding: Finding) -> Row:
    """One finding, its place in the condition as a pointer into the request."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "path": pointer_of(("condition", *finding.place)),
        "message": finding.message,
    }


def _unproved(reference: VesselReference) -> list[Row]:
    """The finding on every condition of a ship whose data contradict her printed conditions."""
    proof = reference.get("proof")
    if proof is None or proof["state"] != "off":
        return []
    words = (
        "her data do not give what her booklet prints for its own conditions: see the proof of this revision before "
        "relying on these figures"
    )
    return [{"code": "booklet_contradicted", "severity": "caution", "path": "/vessel_id", "message": words}]


def _scaled(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit


KM_AT_EVEN_KEEL = "KM at even keel: the trim at which she would float lies outside her hydrostatic tables"
NO_DRAFTS = "the displacement lies outside her hydrostatic tables"


def _flotation(a: Assessed, s: Scale) -> Row:
    ship, f, length = a.situation, a.situation.flotation, s.length
    lengths = ("draft_at_lcf", "draft_forward", "draft_midship", "draft_aft", "trim", "lcb", "lcf")
    if f is None:
        return {
            "water_density": a.condition.water_density,
            **dict.fromkeys(lengths),
            "km": _scaled(ship.km, length),
            "drafts_at_marks": [],
            "list": _list(a),
            "tpc": None,
            "mctc": None,
            "method": NO_DRAFTS if ship.km is None else KM_AT_EVEN_KEEL,
            "residual": None,
        }
    return {
        "water_density": a.condition.water_density,
        **{name: getattr(f, name) / length for name in lengths},
        "km": f.km / length,
        "drafts_at_marks": [
            {
                "name": mark.name,
                "x": mark.x / length,
                "draft": (f.draft_at(mark.x) + mark.keel_offset) / length,
            }
            for mark in ship.vessel.draft_marks
        ],
        **_drafts_at(a, f, length),
        "list": _list(a),
        "tpc": f.tpc * s.per_immersion / s.mass,
        "mctc": f.mctc * s.per_immersion / s.moment,
        "method": f.method,
        "residual": _scaled(f.residual, length),
    }


def _drafts_at(a: Assessed, f: Flotation, length: float) -> Row:
    """Moulded drafts where the condition asks for them."""
    places = a.condition.drafts_at
    rows = [{"x": x / length, "draft": f.draft_at(x) / length} for x in places]
    return {"drafts_at": rows} if rows else {}


def _list(a: Assessed) -> Row:
    ship = a.situation
    angle, arm, gm = ship.rest.list_angle, ship.heeling_arm, ship.gm_corrected
    if angle is None:
        towards = "starboard" if arm < 0.0 else "port"
        return {"angle": None, "side": towards if gm is not None and gm > 0.0 else "either"}
    if ship.rest.loll is not None and abs(arm) < 1e-9:
        side = "either"
    else:
        side = "upright" if abs(angle) < 1e-9 else "port" if angle > 0.0 else "starboard"
    return {"angle": angle, "side": side}
