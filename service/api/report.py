"""One revision as the report on one sheet, and as tables for an office: figures, criteria, tanks, weights and levers as
CSV or a workbook."""

from functools import partial
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import Response

from service.actions.access import Caller
from service.actions.report_data import report_data, require_plan
from service.actions.report_tables import report_file
from service.api.description.answers import problems_of
from service.api.record_exchange import FRESH, UnitsQuery
from service.api.table_files import CSV, TABLE_CONTENT, TABLE_FORMS, XLSX, form_of, table_answer
from service.web.accepted import preferred
from service.web.addresses import ConditionAddress, RevisionNumber, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.refusal import Refusal
from service.wire.report_part import ReportPart

router = APIRouter(tags=["Conditions"])
PDF = "application/pdf"
REPORT_FORMS = (PDF, *TABLE_FORMS)
CONTENT = {"content": {PDF: {"schema": {"type": "string", "format": "binary"}}, **TABLE_CONTENT["content"]}}
ENDINGS = {"pdf": PDF, "csv": CSV, "xlsx": XLSX}


class ReportQuery(UnitsQuery):
    """Query of a report; unknown parameters are refused."""

    part: ReportPart | None = Field(
        default=None,
        description="One table alone; a workbook has all of them when absent, CSV the figures. `plan` is the report of "
        "the whole plan: as PDF every point, the worst of each criterion and the consumption on as many sheets as it "
        "needs, as a workbook its tables, as CSV its points.",
    )


_PATH = "/v1/conditions/{condition}/revisions/{number}/report"


@router.get(
    _PATH,
    summary="One revision as the report on one sheet, or as tables",
    description="PDF, CSV or a workbook, as `Accept` says; the endings `.pdf`, `.csv` and `.xlsx` do the same without "
    "it. The PDF is one A4 sheet in the units asked for, with lines for three signatures; `part=plan` gives the report "
    "of the whole plan. In tables the units "
    "stand in the headings; in CSV a text that looks like a formula to a spreadsheet begins with an apostrophe, the "
    "column `caution` is filled in the first row alone.",
    response_class=Response,
    responses={
        200: {"description": "The report.", **CONTENT},
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
    """The same for ever, in one release and until it is reviewed again."""
    wanted = preferred(request, REPORT_FORMS)
    return await _report(request, caller, identifier(condition, "condition"), number, query, wanted)


@router.get(_PATH + ".{ending}", include_in_schema=False, responses={200: CONTENT})
async def get_report_by_ending(
    request: Request,
    caller: WhoAsks,
    condition: ConditionAddress,
    number: RevisionNumber,
    ending: Literal["pdf", "csv", "xlsx"],
    query: Annotated[ReportQuery, Query()],
) -> Response:
    """The same, for whoever cannot send `Accept`."""
    id = identifier(condition, "condition")
    return await _report(request, caller, id, number, query, ENDINGS[ending])


async def _report(
    request: Request, caller: Caller, id: str, number: int, query: ReportQuery, wanted: str
) -> Response:
    parts, units = record_parts_of(request), query.units
    headers = {"Cache-Control": FRESH, "Vary": "Authorization, Accept"}
    name = f"{id}-revision-{number}"
    if wanted == PDF:
        if query.part not in (None, "plan"):
            raise Refusal(
                "invalid_query", "`part` is of the tables; the PDF has all of it, or with `plan` the plan."
            )
        given = await in_thread(request, report_data, parts.records, caller, id, number, units)
        if query.part == "plan":
            require_plan(given.record)
            name += "-plan"
        make = parts.set_plan_report if query.part == "plan" else parts.set_report
        pdf = await parts.slots.run(lambda: make(*given))
        headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
        return Response(pdf, headers=headers, media_type=PDF)
    form = form_of(wanted)
    tables = partial(report_file, units=units, part=query.part, form=form)
    data = await in_thread(request, tables, parts.records, caller, id, number)
    return table_answer(data, form, name, headers)
