"""A ship as a workbook: out, in, her template, and the proof of her data."""

from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from service.actions.keep_booklet import (
    NotReadable,
    booklet_to_keep,
    file_tag,
    stored_vessel,
    template_file,
    vessel_file,
)
from service.actions.keep_vessel import add_vessel, revise_vessel
from service.actions.prove_booklet import prove_stored_vessel
from service.actions.read_booklet import prove_document, read_booklet
from service.api.description.answers import answer_of, problems_of, request_body
from service.api.description.record_answers import CREATED, IDEMPOTENCY_KEY, UNCHANGED, headers_of
from service.api.record_exchange import (
    NO_QUERY,
    document_answer,
    in_flight,
    made_answer,
    name_of,
    posted,
    required_tags,
)
from service.api.workbook_exchange import (
    CSV,
    TSV,
    XLSX,
    ZIP,
    BookletFileQuery,
    BookletQuery,
    PartQuery,
    TemplateQuery,
    file_answer,
    form_wanted,
    not_readable,
    reading_answer,
    sent,
    separator_of,
)
from service.web.accepted import JSON
from service.web.addresses import RevisionNumber, VesselAddress, identifier
from service.web.caller import WhoAsks, in_thread
from service.web.parts import record_parts_of
from service.wire.booklet import BookletReading
from service.wire.proof import Proof
from service.wire.vessel import Vessel
from service.wire.vessel_record import VesselRevision

router = APIRouter(tags=["Workbooks"])
_BINARY = {"schema": {"type": "string", "format": "binary"}}
SHEETS: dict[str, Any] = {"description": "The workbook.", "content": {XLSX: _BINARY, ZIP: _BINARY}}
TABLES: dict[str, Any] = {
    "description": "The workbook.",
    "content": {**SHEETS["content"], CSV: _BINARY},
}
READING = answer_of(BookletReading, description="What was read (dry run); nothing is kept.")
IF_MATCH_TO_KEEP = {
    "name": "If-Match",
    "in": "header",
    "required": False,
    "description": "The `ETag` of the revision it is laid over; needed unless it is a dry run.",
    "schema": {"type": "string"},
}


def file_body(description: str, *media_types: str) -> dict[str, Any]:
    """A posted file."""
    content = dict.fromkeys(media_types, _BINARY)
    return {"requestBody": {"required": True, "description": description, "content": content}}


@router.get(
    "/v1/booklet-template",
    summary="An empty booklet to fill in",
    response_class=Response,
    responses={
        200: {"description": "The workbook.", "content": {XLSX: _BINARY}},
        **problems_of(400, 401, 429),
    },
)
async def get_booklet_template(
    request: Request, caller: WhoAsks, query: Annotated[TemplateQuery, Query()]
) -> Response:
    """The same for everybody."""
    data = await in_thread(request, template_file, query.units)
    return file_answer(request, data, "xlsx", f"booklet-{query.units}", file_tag("template", query.units))


@router.get(
    "/v1/vessels/{vessel}/workbook",
    summary="A vessel's latest data as a workbook",
    description="By `Accept`: a workbook, a zip of CSV files, or with one of `sheets` named CSV.",
    response_class=Response,
    responses={200: TABLES, **UNCHANGED, **problems_of(400, 401, 404, 406, 429, 503)},
)
async def get_vessel_workbook(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[BookletFileQuery, Query()]
) -> Response:
    """The same document gives the same bytes."""
    return await _workbook(request, caller, vessel, None, query)


@router.get(
    "/v1/vessels/{vessel}/revisions/{number}/workbook",
    summary="One revision of a vessel's data as a workbook",
    response_class=Response,
    responses={200: TABLES, **UNCHANGED, **problems_of(400, 401, 404, 406, 429, 503)},
)
async def get_vessel_revision_workbook(
    request: Request,
    caller: WhoAsks,
    vessel: VesselAddress,
    number: RevisionNumber,
    query: Annotated[BookletFileQuery, Query()],
) -> Response:
    """The same document gives the same bytes."""
    return await _workbook(request, caller, vessel, number, query)


async def _workbook(
    request: Request, caller: WhoAsks, vessel: str, number: int | None, query: BookletFileQuery
) -> Response:
    parts = record_parts_of(request)
    form = form_wanted(request, (XLSX, ZIP, CSV))
    stored, digest = await in_thread(
        request, stored_vessel, parts.records, caller, identifier(vessel, "vessel"), number
    )
    separator = separator_of(query)
    data = await in_thread(request, vessel_file, stored.document, form, query.sheets, separator)
    name = f"{vessel}-{stored.revision}"
    return file_answer(request, data, form, name, file_tag(digest, form, query.sheets, separator))


@router.post(
    "/v1/vessels/workbook",
    status_code=201,
    summary="Read a booklet from a workbook, and enter the vessel",
    description="With `dry_run=true` nothing is kept and the answer is the reading, also where it has problems. "
    "Otherwise she is kept as by `POST /v1/vessels`, or refused with the reading in the answer.",
    responses={
        201: answer_of(VesselRevision, CREATED),
        200: READING,
        **problems_of(400, 401, 403, 409, 413, 415, 422, 429, 503),
    },
    openapi_extra=headers_of(IDEMPOTENCY_KEY) | file_body("A workbook, or a zip of CSV files.", XLSX, ZIP),
)
async def post_vessel_workbook(
    request: Request, caller: WhoAsks, query: Annotated[BookletQuery, Query()]
) -> Response:
    """Read in a child process; then as a posted document."""
    parts = record_parts_of(request)
    caller.require("add_vessel")
    file = await sent(request)
    if query.dry_run or query.answer == "marked":
        found, reading = await parts.readings.run(partial(read_booklet, file.data))
        return reading_answer(request, found, reading, query)
    name = name_of(request, file.data)
    with in_flight(request, caller, name):
        work = partial(booklet_to_keep, parts.assessor, file, expect_digest=query.expect_digest)
        try:
            checked = await parts.readings.run(work)
        except NotReadable as refused:
            return not_readable(request, refused)
        made = await in_thread(
            request,
            add_vessel,
            parts.records,
            caller,
            checked,
            reason=query.reason,
            name=name,
            sent=file.audit_words,
        )
    return made_answer(made, 201)


@router.post(
    "/v1/vessels/{vessel}/workbook",
    status_code=201,
    summary="Read a booklet, whole or in part, over a vessel's data",
    description="A whole one replaces all; of a part only the sheets that are in it change anything. With `sheet` a "
    "body of text is that one sheet, such as the tabs of a clipboard.",
    responses={
        201: answer_of(VesselRevision, CREATED),
        200: READING,
        **problems_of(400, 401, 403, 404, 409, 412, 413, 415, 422, 428, 429, 503),
    },
    openapi_extra=headers_of(IF_MATCH_TO_KEEP)
    | file_body("A workbook, a zip of CSV files, or one table of text.", XLSX, ZIP, CSV, TSV),
)
async def post_vessel_part(
    request: Request, caller: WhoAsks, vessel: VesselAddress, query: Annotated[PartQuery, Query()]
) -> Response:
    """Over the revision named by If-Match."""
    parts = record_parts_of(request)
    caller.require("write_vessel")
    id = identifier(vessel, "vessel")
    keeping = not query.dry_run and query.answer == "reading"
    expected = required_tags(request) if keeping else None
    file = await sent(request, query.sheet)
    stored, _ = await in_thread(request, stored_vessel, parts.records, caller, id, None, expected)
    if expected is None:
        found, reading = await parts.readings.run(partial(read_booklet, file.data, stored, file.sheet))
        return reading_answer(request, found, reading, query)
    confirmed = query.confirm == "removed"
    work = partial(
        booklet_to_keep,
        parts.assessor,
        file,
        stored,
        expect_digest=query.expect_digest,
        confirmed=confirmed,
    )
    try:
        checked = await parts.readings.run(work)
    except NotReadable as refused:
        return not_readable(request, refused)
    made = await in_thread(
        request,
        revise_vessel,
        parts.records,
        caller,
        id,
        checked,
        expected=expected,
        reason=query.reason,
        sent=file.audit_words,
    )
    return made_answer(made, 201)


PROOF: dict[str, Any] = answer_of(Proof, description="The proof.")


@router.get(
    "/v1/vessels/{vessel}/proof",
    summary="The proof of a vessel's latest data by her printed conditions",
    dependencies=[NO_QUERY],
    responses={200: PROOF, **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel_proof(request: Request, caller: WhoAsks, vessel: VesselAddress) -> Response:
    """Computed anew by today's calculation."""
    return await _proof(request, caller, vessel, None)


@router.get(
    "/v1/vessels/{vessel}/revisions/{number}/proof",
    summary="The proof of one revision of a vessel's data",
    dependencies=[NO_QUERY],
    responses={200: PROOF, **problems_of(400, 401, 404, 429, 503)},
)
async def get_vessel_revision_proof(
    request: Request, caller: WhoAsks, vessel: VesselAddress, number: RevisionNumber
) -> Response:
    """Computed anew by today's calculation."""
    return await _proof(request, caller, vessel, number)


async def _proof(request: Request, caller: WhoAsks, vessel: str, number: int | None) -> Response:
    parts = record_parts_of(request)
    id = identifier(vessel, "vessel")
    return document_answer(
        await parts.slots.run(partial(prove_stored_vessel, parts.records, caller, id, number))
    )


@router.post(
    "/v1/vessels/proof",
    summary="The proof of a vessel document, without keeping it",
    dependencies=[NO_QUERY],
    responses={200: PROOF, **problems_of(400, 401, 403, 406, 413, 415, 422, 429, 503)},
    openapi_extra=request_body(JSON, Vessel, "What her booklet says, printed conditions included."),
)
async def post_vessel_proof(request: Request, caller: WhoAsks) -> Response:
    """Nothing is kept."""
    parts = record_parts_of(request)
    caller.require("assess")
    document, _ = await posted(request)
    return document_answer(await parts.slots.run(partial(prove_document, document)))
