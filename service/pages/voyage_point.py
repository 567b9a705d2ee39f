"""One point of a plan as a whole condition: drafts, criteria, levers, tanks, as they will be there."""

from functools import partial
from typing import Any, cast

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.show_point import show_point
from service.pages.condition import detail_of, vessel_doubts
from service.pages.doubts_here import doubts_that_touch
from service.pages.kept_revision import plan_in, record_with_vessel
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.plan_in_words import has_days, stage_name, tanks_that_changed
from service.pages.wording import tank_names
from service.web.addresses import ConditionAddress, PointNumber, RevisionNumber, other_system, units_asked
from service.web.addresses import identifier as id_of
from service.web.caller import in_thread
from service.wire.assessment import Assessment
from service.wire.plan_point import PointAnswer
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/voyage/{point}")
async def get_point(
    request: Request,
    reader: WhoReads,
    condition: ConditionAddress,
    number: RevisionNumber,
    point: PointNumber,
) -> Response:
    """The answer of the points address, in the look of the condition page."""
    parts, caller = page_parts_of(request), reader.caller
    id, units = id_of(condition, "condition"), units_asked(request.query_params.get("units"))
    record, vessel = await in_thread(request, record_with_vessel, parts, caller, id, number, units)
    kept: Assessment = record["assessment"]
    plan = plan_in(record)
    if point >= len(plan["points"]):
        raise Refusal("point_not_found", f"The plan has {len(plan['points'])} points, counted from 0.")
    system = kept["units"]["system"]
    asked = partial(show_point, parts.records, parts.assessor, caller, id, number, point, system)
    refused: Refusal | None = None
    base = f"/conditions/{condition}/revisions/{number}"
    context: dict[str, Any] = {"answer": None, "changed": [], "doubts": [], "body": ""}
    try:
        found = cast(PointAnswer, await parts.slots.run(asked))
        there = {**record, "document": found["condition"], "assessment": found["assessment"]}
        order = "cost" if request.query_params.get("order") == "cost" else "ship"
        doubts = await in_thread(request, vessel_doubts, parts, caller, record)
        context = {
            "answer": found["assessment"],
            "changed": tanks_that_changed(kept, found["assessment"]),
            "doubts": doubts_that_touch(found["assessment"], vessel, doubts)[0],
            "body": detail_of(parts.pages, there, vessel, order, point),
        }
    except Refusal as reason:
        if reason.code == "busy":
            raise
        refused = reason
    query = "" if units is None else f"?units={units}"
    return page(
        request,
        "voyage_point.html",
        reader,
        system=system,
        twin=f"/v1{base}/points/{point}{query}",
        record=record,
        kept=kept,
        plan=plan,
        has_days=has_days(plan),
        at=plan["points"][point],
        base=base,
        query=query,
        refused=refused,
        stage_name=lambda index: stage_name(plan, index),
        names=tank_names(vessel),
        other_units=f"{base}/voyage/{point}?units={other_system(system)}",
        **context,
    )
