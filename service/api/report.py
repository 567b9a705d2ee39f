"""One revision as tables for an office: figures, criteria, tanks, weights and levers as CSV or a workbook."""

from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.report_tables import report_file
from service.api.description.answers import problems_of
from service.api.record_exchange import FRESH, UnitsQuery
from service.api.table_files import TABLE_CONTENT, TABLE_FORMS, form_of, table_answer
from service.web.accepted import preferred
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of

router = APIRouter(tags=["Conditions"])


class ReportQuery(UnitsQuery):
    """Query of a report; unknown parameters are refused."""

    part: Literal["figures", "criteria", "tanks", "weights", "levers"] | None = Field(
        default=None, description="One table alone; a workbook has all of them when absent, CSV the figures."
    )


@router.get(
    "/v1/conditions/{condition}/revisions/{number}/report",
    summary="One revision as tables",
    description="A workbook or CSV, as `Accept` says; the units stand in the headings. In CSV a text that looks like "
    "a formula to a spreadsheet begins with an apostrophe, and the column `caution` is filled in the first row alone.",
    responses={
        200: {"description": "The tables.", **TABLE_CONTENT},
        **problems_of(400, 401, 404, 406, 429, 503),
    },
)
async def get_report(
    request: Request,
    caller: WhoAsks,
    condition: ConditionAddress,
    number: RevisionNumber,
    query: Annotated[ReportQuery, Query()],
) -> Response:
    """The same for ever, in one release."""
    parts = record_parts_of(request)
    form = form_of(preferred(request, TABLE_FORMS))
    id = identifier(condition, "condition")
    data = await in_thread(
        request,
        report_file,
        parts.records,
        caller,
        id,
        number,
        units=query.units,
        part=query.part,
        form=form,
    )
    headers = {"Cache-Control": FRESH, "Vary": "Authorization, Accept"}
    return table_answer(data, form, f"{id}-revision-{number}", headers)
