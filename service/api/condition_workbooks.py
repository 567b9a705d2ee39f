"""A condition as the sheet a mate fills in: blank, as kept, and read back."""

from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from service.actions.keep_booklet import NotReadable, condition_file, file_tag, kept_condition, stored_vessel
from service.actions.keep_condition import draft_new, draft_replacement
from service.actions.read_booklet import Stored
from service.actions.read_condition_sheet import read_condition_sheet
from service.api.description.answers import answer_of, problems_of
from service.api.description.record_answers import CREATED, IDEMPOTENCY_KEY, KEPT, UNCHANGED, headers_of
from service.api.record_exchange import (
    in_flight,
    made_answer,
    name_of,
    required_tags,
)
from service.api.workbook_exchange import (
    XLSX,
    ZIP,
    FileQuery,
    ReadingQuery,
    file_answer,
    form_wanted,
    not_readable,
    reading_answer,
    sent,
    separator_of,
)
from service.api.workbooks import IF_MATCH_TO_KEEP, SHEETS, file_body
from service.web.addresses import ConditionAddress, VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.change_condition import change_condition
from service.web.parts import record_parts_of
from service.wire.booklet import ConditionReading
from service.wire.condition_record import ConditionRevision

router = APIRouter(tags=["Workbooks"])
READING = answer_of(ConditionReading, description="What was read (dry run); nothing is kept.")
_BODY = file_body("The sheet as a workbook, or a zip of CSV files.", XLSX, ZIP)


@router.get(
    "/v1/vessels/{vessel}/condition-sheet",
    summary="A blank sheet for a condition of a vessel",
    description="With every tank of hers, in her order.",
    response_class=Response,
    responses={200: SHEETS, **UNCHANGED, **problems_of(400, 401, 404, 406, 429, 503)},
)
async def get_condition_sheet(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[FileQuery, Query()]
) -> Response:
    """For her latest data."""
    parts = record_parts_of(request)
    form = form_wanted(request)
    stored, digest = await in_thread(
        request, stored_vessel, parts.records, caller, identifier(vessel, "vessel")
    )
    separator = separator_of(query)
    data = await in_thread(request, condition_file, stored.document, None, form, separator)
    return file_answer(request, data, form, f"{vessel}-condition", file_tag(digest, "sheet", form, separator))


@router.get(
    "/v1/conditions/{condition}/workbook",
    summary="A condition's latest revision as the sheet it can be filled in on",
    response_class=Response,
    responses={200: SHEETS, **UNCHANGED, **problems_of(400, 401, 404, 406, 429, 503)},
)
async def get_condition_workbook(
    request: Request, caller: WhoAsks, condition: ConditionAddress, query: Annotated[FileQuery, Query()]
) -> Response:
    """With every tank of hers, those aboard first."""
    parts = record_parts_of(request)
    form, id = form_wanted(request), identifier(condition, "condition")
    document, vessel, _, digest = await in_thread(request, kept_condition, parts.records, caller, id)
    separator = separator_of(query)
    data = await in_thread(request, condition_file, vessel, document, form, separator)
    return file_answer(request, data, form, condition, file_tag(digest, form, separator))


@router.post(
    "/v1/vessels/{vessel}/conditions/workbook",
    status_code=201,
    summary="Read a condition from a filled sheet, and enter it",
    description="With `dry_run=true` nothing is kept: the answer is the reading with its assessment.",
    responses={
        201: answer_of(ConditionRevision, CREATED),
        200: READING,
        **problems_of(400, 401, 403, 404, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=headers_of(IDEMPOTENCY_KEY) | _BODY,
)
async def post_condition_workbook(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[ReadingQuery, Query()]
) -> Response:
    """As its JSON twin, once it is read."""
    parts = record_parts_of(request)
    id = identifier(vessel, "vessel")
    caller.require("write_condition")
    file = await sent(request)
    stored, _ = await in_thread(request, stored_vessel, parts.records, caller, id)
    found, reading = await _read(request, file.data, id, stored)
    if query.dry_run or query.answer == "marked":
        return reading_answer(request, found, reading, query)
    if not found["can_be_kept"]:
        return not_readable(request, NotReadable("The sheet cannot be kept as it is.", found))
    name = name_of(request, file.data)
    with in_flight(request, caller, name):
        draft = draft_new(caller, id, found["document"])
        return made_answer(await change_condition(parts, caller, draft, query.reason, name), 201)


@router.put(
    "/v1/conditions/{condition}/workbook",
    summary="Read a filled sheet as the next revision of a condition",
    responses={
        200: answer_of(ConditionRevision, KEPT),
        **problems_of(400, 401, 403, 404, 412, 413, 415, 422, 428, 429, 503),
    },
    openapi_extra=headers_of(IF_MATCH_TO_KEEP) | _BODY,
)
async def put_condition_workbook(
    request: Request, caller: WhoAsks, condition: ConditionAddress, query: Annotated[ReadingQuery, Query()]
) -> Response:
    """As its JSON twin, once it is read."""
    parts = record_parts_of(request)
    id = identifier(condition, "condition")
    caller.require("write_condition")
    keeping = not query.dry_run and query.answer == "reading"
    expected = required_tags(request) if keeping else None
    file = await sent(request)
    kept, ship, vessel, _ = await in_thread(request, kept_condition, parts.records, caller, id)
    found, reading = await _read(request, file.data, vessel, Stored(ship, 0), kept)
    if expected is None:
        return reading_answer(request, found, reading, query)
    if not found["can_be_kept"]:
        return not_readable(request, NotReadable("The sheet cannot be kept as it is.", found))
    draft = await in_thread(
        request, draft_replacement, parts.records, caller, id, found["document"], expected=expected
    )
    return made_answer(await change_condition(parts, caller, draft, query.reason), 200)


async def _read(
    request: Request, data: bytes, vessel: str, stored: Stored, condition: Any = None
) -> tuple[Any, Any]:
    """A filled sheet read and judged for a stored vessel."""
    parts = record_parts_of(request)
    ship = stored.document
    members = {"vessel_id": vessel}
    work = partial(
        read_condition_sheet, data, parts.assessor, members, ship["units"], ship.get("axes"), condition
    )
    return await parts.readings.run(work)
