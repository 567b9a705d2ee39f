"""A plan assessed as a wire document: the block `plan` of an answer, and what it changes beside it."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from service.core.assessment import Assessment
from service.core.finding_kinds import DANGER
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY
from service.core.strength.limits import BENDING, SHEAR
from service.core.strength.still_water import StillWater
from service.core.voyage import Point
from service.core.voyage_result import (
    INCOMPLETE,
    AssessedPoint,
    Used,
    Voyage,
    Worst,
    line_at,
    plan_line,
    worst_of,
)
from service.translation.answer import finding_row
from service.translation.answer_criteria import criterion_row, finite, smallest_margin, unit_in
from service.translation.units import Scale

Row = dict[str, Any]
NO_FIGURES = (
    "displacement",
    "deadweight",
    "draft_forward",
    "draft_midship",
    "draft_aft",
    "trim",
    "list",
    "gm_solid",
    "gm_corrected",
    "vcg_solid",
    "vcg_corrected",
    "free_surface_moment",
)


def with_plan(answer: Row, voyage: Voyage, departs: datetime | None, s: Scale) -> Row:
    """The full answer to the condition a plan begins with, with the plan: verdict and smallest margin are those of the
    whole, the plan's findings stand at the end, all other figures are those of the condition."""
    plan = plan_row(voyage, departs, s)
    dangers = sum(finding.severity == DANGER for finding in voyage.findings)
    return {
        **answer,
        "verdict": voyage.verdict,
        "dangers": answer["dangers"] + dangers,
        "smallest_margin": _smallest(plan["points"]),
        "findings": [*answer["findings"], *map(finding_row, voyage.findings)],
        "plan": plan,
    }


def summary_with_plan(answer: Row, voyage: Voyage, departs: datetime | None, s: Scale) -> Row:
    """The summary of the condition a plan begins with, judged over the plan: a criterion has failed, or is not checked,
    that has or is so at any point."""
    points = _points(voyage, departs, s)
    dangers = sum(finding.severity == DANGER for finding in voyage.findings)
    failed = list(dict.fromkeys(id for point in points for id in point["failed"]))
    open_ = dict.fromkeys(id for point in points for id in point["not_checked"])
    return {
        **answer,
        "verdict": voyage.verdict,
        "dangers": answer["dangers"] + dangers,
        "smallest_margin": _smallest(points),
        "failed": failed,
        "not_checked": [id for id in open_ if id not in failed],
        "findings": answer["findings"] + len(voyage.findings),
        "plan": {"kind": voyage.plan.kind, "verdict": voyage.verdict, "worst": _first_of_all(voyage, points)},
    }


def _first_of_all(voyage: Voyage, points: Sequence[Row]) -> Row | None:
    """The first point that fails, else the first that is incomplete; None where all pass."""
    for verdict, named in ((FAIL, "failed"), (INCOMPLETE, "not_checked")):
        point = next((point for point in points if point["verdict"] == verdict), None)
        if point is not None:
            criterion = next(iter(point[named]), None)
            assessment = voyage.points[point["index"]].assessment
            rows = [] if assessment is None else [row for _, row in assessment.criteria]
            title = next((each.row.title for each in rows if each.row.id == criterion), None)
            named_here = ("index", "stage", "name", "at", "day", "date", "verdict")
            return {**{name: point[name] for name in named_here}, "criterion": criterion, "title": title}
    return None


def plan_row(voyage: Voyage, departs: datetime | None, s: Scale) -> Row:
    """The block `plan`."""
    return {
        "kind": voyage.plan.kind,
        "verdict": voyage.verdict,
        "points": _points(voyage, departs, s),
        "worst": [_worst(worst, voyage.points[worst.number].point, s) for worst in worst_of(voyage.points)],
        "consumption": [_used(used, s) for used in voyage.used],
        "load_line": _load_line(voyage, s),
    }


def _smallest(points: Sequence[Row]) -> Row | None:
    """The smallest margin over the points, with its point."""
    least: Row | None = None
    for point in points:
        margin = point["smallest_margin"]
        if margin is not None and (least is None or margin["percent"] < least["percent"]):
            least = {**margin, "point": point["index"]}
    return least


def _points(voyage: Voyage, departs: datetime | None, s: Scale) -> list[Row]:
    return [
        {"index": number, **_point(assessed, voyage.tank_ids, departs, s)}
        for number, assessed in enumerate(voyage.points)
    ]


def _point(assessed: AssessedPoint, tank_ids: Sequence[str], departs: datetime | None, s: Scale) -> Row:
    point, assessment, reason = assessed
    return {
        "stage": point.stage,
        "name": point.name,
        "at": point.at,
        "kind": point.kind,
        "tanks": [tank_ids[tank] for tank in point.tanks],
        "day": point.day,
        "date": date_of(departs, point.day),
        "phase": point.phase,
        "load_line_mark": point.mark,
        "water_density": point.lines.condition.water_density,
        "inland": point.lines.condition.inland,
        "deflection": point.lines.condition.deflection / s.length,
        **(dict.fromkeys(NO_FIGURES) if assessment is None else _figures(assessment, s)),
        **_judged(assessment, s),
        "findings": [] if assessment is None else [finding.code for finding in assessment.findings],
        "reason": None if reason is None else f"{reason}.",
    }


def date_of(departs: datetime | None, day: float) -> str | None:
    """The moment of a day of the plan, RFC 3339 in UTC to the second; None where she has no time of departure."""
    if departs is None:
        return None
    moment = departs + timedelta(days=day) + timedelta(microseconds=500_000)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def _figures(a: Assessment, s: Scale) -> Row:
    load, ship, flotation, length = a.displacement, a.situation, a.situation.flotation, s.length
    drafts = ("draft_forward", "draft_midship", "draft_aft", "trim")
    return {
        "displacement": load.mass / s.mass,
        "deadweight": (load.mass - ship.vessel.lightship.mass) / s.mass,
        **{name: None if flotation is None else getattr(flotation, name) / length for name in drafts},
        "list": ship.rest.list_angle,
        "gm_solid": None if ship.gm_solid is None else ship.gm_solid / length,
        "gm_corrected": None if ship.gm_corrected is None else ship.gm_corrected / length,
        "vcg_solid": load.vcg_solid / length,
        "vcg_corrected": load.vcg_corrected / length,
        "free_surface_moment": load.free_surface_moment / s.moment,
    }


def _judged(a: Assessment | None, s: Scale) -> Row:
    rows: list[Row] = []
    if a is not None:
        rows = [criterion_row(owner, row, a.counts(owner, row), s) for owner, row in a.criteria]
    counted = [row for row in rows if row["counts"]]
    line = line_at(a)
    return {
        "verdict": INCOMPLETE if a is None else a.verdict,
        "smallest_margin": smallest_margin(rows),
        "failed": [row["id"] for row in counted if row["verdict"] == FAIL],
        "not_checked": [row["id"] for row in counted if row["verdict"] in (NOT_COMPUTABLE, OUTSIDE_VALIDITY)],
        "margins": {
            row["id"]: row["margin"]
            for row in rows
            if row["margin"] is not None and row["verdict"] != NOT_APPLICABLE
        },
        "load_line": None
        if line is None
        else {
            "permitted_draft": line.permitted / s.length,
            "margin": line.margin / s.length,
            "mass_to_line": None if line.mass is None else line.mass / s.mass,
        },
        "strength": None if a is None else _strength(a.situation.strength, s),
    }


def _strength(found: StillWater | None, s: Scale) -> Row | None:
    """Where forces use most of their limits; None where her strength is not computed."""
    if found is None:
        return None
    shear, bending = found.greatest_use(SHEAR), found.greatest_use(BENDING)
    return {
        "percent_shear": None if shear is None else finite(shear[0]),
        "percent_bending": None if bending is None else finite(bending[0]),
        "x_shear": None if shear is None else shear[1] / s.length,
        "x_bending": None if bending is None else bending[1] / s.length,
        "set": found.which,
    }


def _worst(worst: Worst, point: Point, s: Scale) -> Row:
    criterion = worst.criterion
    factor, unit = unit_in(criterion.row.unit, s)
    attained, limit, margin = (
        None if value is None else value * factor
        for value in map(finite, (criterion.attained, criterion.required, criterion.margin))
    )
    return {
        "criterion": criterion.row.id,
        "title": criterion.row.title,
        "point": worst.number,
        "stage": point.stage,
        "at": point.at,
        "day": point.day,
        "attained": attained,
        "limit": limit,
        "unit": unit,
        "margin": margin,
        "percent": 100.0 * margin / abs(limit) if margin is not None and limit else None,
        "verdict": criterion.verdict,
    }


def _used(used: Used, s: Scale) -> Row:
    return {
        "contents": used.contents,
        "weight": used.weight,
        "used": used.used / s.mass,
        "left": used.left / s.mass,
        "lasts_days": used.lasts_days,
        "empty_on_day": used.empty_on_day,
    }


def _load_line(voyage: Voyage, s: Scale) -> Row | None:
    found = plan_line(voyage.points)
    start = voyage.points[0].assessment
    if found is None or found.line.mass is None or start is None:
        return None
    point, more = voyage.points[found.number].point, found.line.mass
    displacement = start.displacement.mass + more
    return {
        "limiting": {
            "point": found.number,
            "stage": point.stage,
            "at": point.at,
            "load_line_mark": point.mark,
        },
        "margin": found.line.margin / s.length,
        "mass_to_line": more / s.mass,
        "more_to_load": more / s.mass,
        "greatest_departure_displacement": displacement / s.mass,
        "greatest_departure_deadweight": (displacement - start.situation.vessel.lightship.mass) / s.mass,
        "days_to_line": found.days_to_line,
    }
