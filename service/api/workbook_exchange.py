"""What requests with workbooks bring and how they are answered: files, media types, names, readings."""

import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import to_json
from starlette.responses import Response

from service.actions.keep_booklet import NotReadable, Reading, Sent, known_sheet, marked
from service.api.record_exchange import FRESH, is_known
from service.api.request_body import require_content_type
from service.web.problems import problem_of
from service.wire.fields import NAME_PATTERN, UnitSystem
from service.wire.problem import MEDIA_TYPE, shortened
from service.wire.refusal import Refusal
from service.wire.typed_reason import TypedReason

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ZIP, CSV, TSV = "application/zip", "text/csv", "text/tab-separated-values"
WORKBOOKS = (XLSX, ZIP, CSV, TSV, "application/octet-stream")
FORMS = {XLSX: "xlsx", ZIP: "zip", CSV: "csv"}
_FILE_NAME = re.compile(r'filename="?([^";]{1,200})"?')


class FileQuery(BaseModel):
    """Query of a workbook; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    separator: Literal["comma", "semicolon"] = Field(default="comma", description="Between fields of CSV.")


class BookletFileQuery(FileQuery):
    """Query of a booklet as a workbook."""

    sheets: Annotated[str, Field(max_length=500)] | None = Field(
        default=None, description="Names of sheets, with commas between them; all when absent."
    )


class TemplateQuery(BaseModel):
    """Query of an empty booklet."""

    model_config = ConfigDict(extra="forbid")

    units: UnitSystem = Field(default="metric", description="System the booklet is printed in.")


class ReadingQuery(BaseModel):
    """Query of a workbook that is read; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    dry_run: bool = Field(default=False, description="Read it, keep nothing, answer with the reading.")
    answer: Literal["reading", "marked"] = Field(
        default="reading", description="`marked`: the workbook with every bad cell marked. Keeps nothing."
    )
    reason: TypedReason | None = Field(default=None, description="Why; kept with the revision.")


class BookletQuery(ReadingQuery):
    """Query of a booklet that is read."""

    expect_digest: Annotated[str, Field(pattern="^[0-9a-f]{64}$")] | None = Field(
        default=None, description="`document_digest` of the dry run: what is kept is what was shown."
    )


class PartQuery(BookletQuery):
    """Query of a booklet, whole or in part, over one that is kept."""

    sheet: Annotated[str, Field(max_length=60, pattern=NAME_PATTERN)] | None = Field(
        default=None, description="The sheet that a body of text (CSV, or tabs from a clipboard) is."
    )
    confirm: Literal["removed"] | None = Field(
        default=None, description="`removed`: tanks, holds and openings that are not in it may go."
    )


async def sent(request: Request, sheet: str | None = None) -> Sent:
    """The posted file. Raises `Refusal` for another media type, or a table of text without its sheet."""
    media_type = require_content_type(request, WORKBOOKS)
    if media_type in (CSV, TSV) and not sheet:
        raise Refusal("invalid_query", "Say in `sheet` which sheet of a booklet the table is.")
    found = _FILE_NAME.search(request.headers.get("content-disposition", ""))
    name = found[1] if found else ""
    return Sent(await request.body(), name, known_sheet(sheet) if sheet else "")


def form_wanted(request: Request, offered: tuple[str, ...] = (XLSX, ZIP)) -> str:
    """The form of a workbook that the request's Accept header asks for; xlsx where it says nothing."""
    accept = request.headers.get("accept")
    if accept is None:
        return "xlsx"
    for part in accept.split(","):
        wanted = part.partition(";")[0].strip().lower()
        if wanted in offered:
            return FORMS[wanted]
        if wanted in ("*/*", "application/*"):
            return "xlsx"
    raise Refusal("not_acceptable", f"This address answers with {' or '.join(offered)}.")


def separator_of(query: FileQuery) -> str:
    """Between fields of CSV."""
    return ";" if query.separator == "semicolon" else ","


def file_answer(request: Request, data: bytes, form: str, name: str, etag: str) -> Response:
    """A workbook to be saved."""
    media_type = {"xlsx": XLSX, "zip": ZIP, "csv": f"{CSV}; charset=utf-8"}[form]
    safe = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.")[:80] or "workbook"
    headers = {
        "ETag": f'"{etag}"',
        "Cache-Control": FRESH,
        "Vary": "Authorization, Accept",
        "Content-Disposition": f'attachment; filename="{safe}.{form}"',
    }
    if is_known(request, etag):
        return Response(
            status_code=304, headers={k: v for k, v in headers.items() if k != "Content-Disposition"}
        )
    return Response(data, headers=headers, media_type=media_type)


def reading_answer(
    request: Request, found: Mapping[str, Any], reading: Reading, query: ReadingQuery
) -> Response:
    """What was read; the marked copy where that was asked for."""
    if query.answer == "marked":
        return file_answer(request, marked(reading), "xlsx", "marked", "marked")
    headers = {"Cache-Control": FRESH, "Vary": "Authorization"}
    return Response(to_json(found), headers=headers, media_type="application/json")


def not_readable(request: Request, refused: NotReadable) -> Response:
    """The refusal of a workbook, with its reading in it."""
    problem = problem_of(
        Refusal("booklet_not_readable", refused.detail),
        request.state.request_id,
        shortened(request.url.path, 200),
    )
    return Response(
        to_json({**problem, "reading": refused.reading}), problem["status"], media_type=MEDIA_TYPE
    )
