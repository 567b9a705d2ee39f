"""A kept revision judged again by today's calculation, beside what was kept. Nothing is kept by it."""

from functools import partial
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.comparison.assessments import criterion_changes
from service.actions.reassess import reassess_revision
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages.history import change_figure, differs, figure_name, shown_figure
from service.pages.page import PageRoute, WhoReads, page, page_parts_of
from service.pages.session import Reader
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import in_thread

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/judged-again")
async def get_judged_again(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Judged in its turn among the calculations."""
    parts, caller = page_parts_of(request), reader.caller
    found = await in_thread(request, _kept, request, reader, identifier(condition, "condition"), number)
    judged = partial(reassess_revision, parts.records, parts.assessor, caller, condition, number)
    again, answer = await parts.slots.run(judged)
    kept = found["record"]["assessment"]
    system = kept["units"]["system"]
    return page(
        request,
        "judged_again.html",
        reader,
        system=system,
        again=again,
        answer=answer,
        kept=kept,
        base=f"/conditions/{condition}/revisions/{number}",
        criteria=[] if answer is None else criterion_changes(kept, answer),
        figures=[row for row in again["figures"] if differs(row, system)],
        figure_name=figure_name,
        shown_figure=lambda row, value: shown_figure(row, value, system),
        change_figure=lambda row: change_figure(row, system),
        may_edit=reader.may("write_condition"),
        **found,
    )


def _kept(request: Request, reader: Reader, condition: str, number: int) -> dict[str, Any]:
    records, caller = page_parts_of(request).records, reader.caller
    record = read_condition_revision(records, caller, condition, number)
    latest = list_condition_revisions(records, caller, condition, before=None, limit=1)[0]["revision"]
    return {"record": record, "latest": latest}
