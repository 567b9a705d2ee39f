"""Longitudinal strength of one revision: both curves with their limits, and the read-out points."""

from functools import partial
from typing import Any, cast

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.pages.drawings.strength_limits import strength_limits
from service.pages.drawings.strength_plot import force_plot, load_plot
from service.pages.kept_revision import record_with_vessel, request_again
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.web.addresses import ConditionAddress, RevisionNumber, identifier, other_system, units_asked
from service.web.caller import in_thread
from service.wire.assessment import Assessment
from service.wire.fields import UnitSystem
from service.wire.figures import rounded, unit
from service.wire.refusal import Refusal
from service.wire.strength import StrengthAnswer

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/strength")
async def get_strength(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """What was kept; the curves between the read-out points are worked out anew where today's calculation is the one
    that judged her."""
    parts, caller = page_parts_of(request), reader.caller
    asked = units_asked(request.query_params.get("units"))
    record, vessel = await in_thread(
        request, record_with_vessel, parts, caller, identifier(condition, "condition"), number, asked
    )
    answer: Assessment = record["assessment"]
    if answer.get("strength") is None:
        raise Refusal("not_found", "No longitudinal strength was computed for this revision.")
    system = answer["units"]["system"]
    try:
        again = await parts.slots.run(partial(parts.assessor.with_curves, request_again(record), system))
        answer = with_curves(answer, again)
    except Refusal as refused:
        if refused.code == "busy":
            raise
    limits = strength_limits(vessel, system)
    path = f"/conditions/{condition}/revisions/{number}"
    return page(
        request,
        "strength.html",
        reader,
        system=system,
        twin=f"/v1{path}",
        record=record,
        answer=answer,
        base=path,
        other_units=f"{path}/strength?units={other_system(system)}",
        load_plot=load_plot(answer),
        shear_plot=force_plot(answer, "shear", limits),
        bending_plot=force_plot(answer, "bending", limits),
        used=most_used(answer["strength"]),
        between=between_points(answer["strength"], system),
    )


def with_curves(kept: Assessment, again: dict[str, Any]) -> Assessment:
    """The kept answer with the curves of another one, where both have the same forces at the read-out points."""
    strength = again.get("strength")
    if strength is None:
        return kept
    pairs = zip(kept["strength"]["stations"], strength["stations"], strict=False)
    largest = max((abs(s["bending_moment"]) for s in strength["stations"]), default=0.0)
    if any(abs(a["bending_moment"] - b["bending_moment"]) > 1e-6 * (1.0 + largest) for a, b in pairs):
        return kept
    return cast(Assessment, {**kept, "strength": {**kept["strength"], "curves": strength["curves"]}})


def between_points(strength: StrengthAnswer, system: UnitSystem) -> list[str]:
    """What uses more of its limit between the read-out points than at any of them, with its place."""
    used, which = most_used(strength), "harbour" if strength["set"] == "harbour" else "sea"
    found = []
    for quantity, name in (("bending", "bending moment"), ("shear", "shear force")):
        ends = [strength["extremes"][f"{quantity}_{end}"] for end in ("greatest", "least")]  # type: ignore[literal-required]
        most = max(ends, key=lambda end: end["percent"] or 0.0)
        at_points = used[f"{quantity}_{which}"] or 0.0
        percent = most["percent"] or 0.0
        if percent > at_points and rounded(percent, 0) != rounded(at_points, 0):
            place = f"{rounded(most['x'], 1)} {unit('length', system)}"
            found.append(f"{name} {rounded(percent, 0)} % at {place}")
    return found


def most_used(strength: StrengthAnswer) -> dict[str, float | None]:
    """The greatest percent of each limit at the read-out points, by quantity and set."""
    found: dict[str, float | None] = {}
    for which in ("sea", "harbour"):
        for quantity in ("shear", "bending"):
            used = [
                percent
                for station in strength["stations"]
                if (percent := station[which][f"percent_{quantity}"]) is not None  # type: ignore[literal-required]
            ]
            found[f"{quantity}_{which}"] = max(used, default=None)
    return found
