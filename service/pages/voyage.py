"""The plan of a revision: every point of it, GM with what it needs, drafts with the mark, the worst named."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.pages.draft_amidships import amidships_at, deflection_at
from service.pages.drawings.voyage_plot import draft_plot, gm_plot, stages_of
from service.pages.kept_revision import plan_in, record_of
from service.pages.page import PageRoute, WhoReads, page
from service.pages.plan_in_words import (
    has_days,
    stage_name,
    title_of,
    verdict_words_of_plan,
    worst_in_words,
    worst_of,
)
from service.web.addresses import ConditionAddress, RevisionNumber, other_system
from service.wire.assessment import Assessment

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/voyage")
async def get_voyage(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """What was kept of the plan."""
    record = await record_of(request, reader.caller, condition, number)
    answer: Assessment = record["assessment"]
    system, plan = answer["units"]["system"], plan_in(record)
    path = f"/conditions/{condition}/revisions/{number}"
    worst = worst_of(plan)
    return page(
        request,
        "voyage.html",
        reader,
        system=system,
        twin=f"/v1{path}",
        record=record,
        answer=answer,
        plan=plan,
        has_days=has_days(plan),
        base=path,
        point_query=f"?units={system}" if "units" in request.query_params else "",
        other_units=f"{path}/voyage?units={other_system(system)}",
        verdict_of_plan=verdict_words_of_plan(plan),
        worst=worst,
        worst_words="" if worst is None else worst_in_words(answer, worst),
        stages=stages_of(answer),
        bends=any(deflection_at(point) for point in plan["points"]),
        amidships_at=lambda point: amidships_at(point, system),
        title_of=lambda row: title_of(answer, row),
        stage_name=lambda index: stage_name(plan, index),
        gm_plot=gm_plot(answer),
        draft_plot=draft_plot(answer),
    )
