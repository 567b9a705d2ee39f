"""The reports of a revision as PDF: one sheet of it, and its whole plan."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.report_data import report_data
from service.pages.kept_revision import plan_in
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
    """The sheet of the revision."""
    return await _pdf(request, reader, condition, number, plan=False)


@router.get("/conditions/{condition}/revisions/{number}/voyage.pdf")
async def get_plan_report(
    request: Request, reader: WhoReads, condition: ConditionAddress, number: RevisionNumber
) -> Response:
    """The report of its whole plan."""
    return await _pdf(request, reader, condition, number, plan=True)


async def _pdf(request: Request, reader: Reader, condition: str, number: int, *, plan: bool) -> Response:
    """Set in its turn among the calculations, in a process of its own: it takes as long as a dozen of them."""
    identifier(condition, "condition")
    parts, units = page_parts_of(request), units_asked(request.query_params.get("units"))
    given = await in_thread(request, report_data, parts.records, reader.caller, condition, number, units)
    if plan:
        plan_in(given.record)
    make = parts.set_plan_report if plan else parts.set_report
    pdf = await parts.slots.run(lambda: make(*given))
    name = f"{condition}-revision-{number}{'-plan' if plan else ''}.pdf"
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Cache-Control": "private, no-cache",
        "Content-Security-Policy": VIEWER,
    }
    return Response(pdf, media_type="application/pdf", headers=headers)
