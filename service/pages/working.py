"""The working of one revision: every figure as the sum on paper, to be checked with the booklet and a calculator."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from pydantic_core import from_json, to_json
from starlette.responses import Response

from service.actions.access import Caller
from service.pages.kept_revision import record_of, request_of_start
from service.pages.page import PageParts, PageRoute, WhoReads, page, page_parts_of
from service.pages.working_sums import lever_lines, steps_of, sum_of, weight_lines
from service.web.addresses import ConditionAddress, RevisionNumber
from service.wire.fields import UnitSystem

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/working")
async def get_working(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Worked out by today's calculation from what was kept; a plan is left out, its start is worked."""
    parts, caller = page_parts_of(request), reader.caller
    record = await record_of(request, caller, condition, number)
    answer, nodes = await parts.slots.run(partial(_working_of, parts, caller, record))
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
        steps=steps_of(nodes),
        weights=weight_lines(nodes),
        levers=lever_lines(nodes),
        count=len(nodes),
        every=[sum_of(node) for node in nodes] if every else [],
    )


def _working_of(parts: PageParts, caller: Caller, record: dict[str, Any]) -> tuple[Any, list[Any]]:
    """The answer of today and its nodes; raises Refusal."""
    system: UnitSystem = record["assessment"]["units"]["system"]
    text = to_json(request_of_start(record))
    answer = from_json(parts.assessor.within(caller.vessels).worked_answer(text, system))
    return answer, answer["working"]
