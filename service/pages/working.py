"""The working of one revision: every figure as the sum on paper, to be checked with the booklet and a calculator."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.access import Caller
from service.pages.kept_revision import record_of, request_again, request_of_start
from service.pages.page import PageParts, PageRoute, WhoReads, page, page_parts_of
from service.pages.plan_in_words import stage_name
from service.pages.working_sums import every_sum, lever_lines, steps_of, weight_lines
from service.web.addresses import ConditionAddress, RevisionNumber
from service.wire.fields import UnitSystem
from service.wire.refusal import Refusal

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/working")
async def get_working(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Worked out by today's calculation from what was kept: a point of its plan, else its start, where it has one."""
    parts, caller = page_parts_of(request), reader.caller
    record = await record_of(request, caller, condition, number)
    point = _point_asked(request, record)
    answer, nodes = await parts.slots.run(partial(_working_of, parts, caller, record, point))
    path = f"/conditions/{condition}/revisions/{number}"
    every = request.query_params.get("all") == "true"
    return page(
        request,
        "working.html",
        reader,
        system=answer["units"]["system"],
        twin=f"/v1{path}",
        record=record,
        kept=record["assessment"],
        answer=answer,
        base=path,
        point=point,
        stage=None if point is None else stage_name(record["assessment"]["plan"], point),
        above=path if point is None else f"{path}/voyage/{point}",
        steps=steps_of(nodes),
        weights=weight_lines(nodes),
        levers=lever_lines(nodes),
        count=len(nodes),
        every=every_sum(nodes) if every else [],
    )


def _point_asked(request: Request, record: dict[str, Any]) -> int | None:
    """The point of the plan that the query names; raises Refusal where there is none of that number."""
    asked = request.query_params.get("point")
    if asked is None:
        return None
    points = (record["assessment"].get("plan") or {}).get("points", ())
    if not (asked.isascii() and asked.isdigit() and len(asked) < 4 and int(asked) < len(points)):
        raise Refusal("point_not_found", f"The plan has {len(points)} points, counted from 0.")
    return int(asked)


def _working_of(
    parts: PageParts, caller: Caller, record: dict[str, Any], point: int | None
) -> tuple[Any, list[Any]]:
    """The answer of today and its nodes; raises Refusal."""
    system: UnitSystem = record["assessment"]["units"]["system"]
    assessor = parts.assessor.within(caller.vessels)
    if point is None:
        answer = from_json(assessor.worked_answer(to_json(request_of_start(record)), system))
    else:
        answer = assessor.point(request_again(record), point, system, working=True)["assessment"]
    return answer, answer["working"]
