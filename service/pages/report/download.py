"""The report of a revision: one sheet as PDF."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from service.actions.report_data import report_data
from service.pages.page import PageRoute, WhoReads, page_parts_of
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
    parts, units = page_parts_of(request), units_asked(request.query_params.get("units"))
    given = await in_thread(request, report_data, parts.records, reader.caller, condition, number, units)
    pdf = await parts.slots.run(lambda: parts.set_report(*given))
    name = f"{condition}-revision-{number}.pdf"
    headers = {
        "Content-Disposition": f'inline; filename="{name}"',
        "Cache-Control": "private, no-cache",
        "Content-Security-Policy": VIEWER,
    }
    return Response(pdf, media_type="application/pdf", headers=headers)
