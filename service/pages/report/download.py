"""The report of a revision: one sheet as PDF."""

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.review_condition import list_reviews
from service.actions.show_condition import list_condition_revisions, read_condition_revision
from service.pages.condition import vessel_behind
from service.pages.page import PageRoute, WhoReads, page_parts_of
from service.pages.session import Reader
from service.web.addresses import ConditionAddress, RevisionNumber, identifier, units_asked
from service.web.caller import in_thread

VIEWER = "default-src 'none'; object-src 'self'; frame-ancestors 'none'"
"""Browsers show a PDF with a viewer of their own, which is an object to this policy."""

router = APIRouter(route_class=PageRoute, include_in_schema=False)


@router.get("/conditions/{condition}/revisions/{number}/report.pdf")
async def get_report(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """Set in its turn among the calculations, in a process of its own: it takes as long as a dozen of them."""
    identifier(condition, "condition")
    given = await in_thread(request, _report_data, request, reader, condition, number)
    parts = page_parts_of(request)
    pdf = await parts.slots.run(lambda: parts.pages.reports.pdf(*given))
    name = f"{condition}-revision-{number}.pdf"
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Cache-Control": "private, no-cache",
        "Content-Security-Policy": VIEWER,
    }
    return Response(pdf, media_type="application/pdf", headers=headers)


def _report_data(
    request: Request, reader: Reader, condition: str, number: int
) -> tuple[dict[str, Any], list[Any], int, dict[str, Any]]:
    parts, caller = page_parts_of(request), reader.caller
    records = parts.records
    units = units_asked(request.query_params.get("units"))
    record = read_condition_revision(records, caller, condition, number, units)
    reviews = list_reviews(records, caller, condition, number)["items"]
    latest = list_condition_revisions(records, caller, condition, before=None, limit=1)[0]["revision"]
    return record, reviews, latest, vessel_behind(parts, caller, record)
