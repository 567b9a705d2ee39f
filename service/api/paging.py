"""Pages of lists: a cursor names the last item seen, signed together with the list and the filters it belongs to.

A cursor is base64url of an HMAC-SHA256 (RFC 2104), cut to 128 bits, and the name of the item. It says where to go on
and gives no right: what a caller may see is decided by its key on every page.
"""

import binascii
import hmac
import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Request
from pydantic import (
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    field_validator,
)
from pydantic_core import PydanticCustomError, to_json
from starlette.responses import Response

from service.actions.list_files import ListLayout, list_file
from service.api.table_files import LIST_FORMS, form_of, table_answer
from service.web.accepted import JSON, preferred
from service.web.caller import in_thread
from service.web.parts import parts_of, record_parts_of
from service.wire.fields import NAME_PATTERN
from service.wire.refusal import Refusal, foreign_cursor

DEFAULT_LIMIT = 100
SIGNATURE_BYTES = 16
FILE_VARIES = "Authorization, Accept"
_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d{1,9})?([Zz]|[+-]\d\d:\d\d)", re.ASCII)
_MOMENT_WORDS = (
    "This must be a time of RFC 3339 with its offset, as 2026-04-12T09:30:00Z, of the years 1900 to 2999; "
    "send a + as %2B."
)


class PageQuery(BaseModel):
    """Query of a list; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    limit: Annotated[int, Field(ge=1, le=10_000)] = Field(
        default=DEFAULT_LIMIT, description="Most items of a page; capped by the installation."
    )
    cursor: Annotated[str, Field(max_length=4000)] | None = Field(
        default=None, description="Where the page before ended, from its `next`."
    )


def _require_moment(given: object) -> object:
    """A text as it came, where it is a time. Raises PydanticCustomError."""
    if isinstance(given, str):
        try:
            if not _MOMENT.fullmatch(given) or not 1900 <= datetime.fromisoformat(given.upper()).year <= 2999:
                raise ValueError
        except ValueError:
            raise PydanticCustomError("datetime", "not a time", {"words": _MOMENT_WORDS}) from None
    return given


Moment = Annotated[AwareDatetime, BeforeValidator(_require_moment)]
"""A time somebody asks for."""


class UpdatedQuery(PageQuery):
    """Query of a list of what is kept, by the times of its entry and of the latest revision."""

    updated_after: Moment | None = Field(default=None, description="RFC 3339; exclusive.")
    updated_before: Moment | None = Field(default=None, description="RFC 3339; exclusive.")
    created_after: Moment | None = Field(default=None, description="RFC 3339; exclusive.")
    created_before: Moment | None = Field(default=None, description="RFC 3339; exclusive.")

    @field_validator("updated_before", "created_before", mode="after")
    @classmethod
    def _is_later(cls, before: AwareDatetime | None, info: ValidationInfo) -> AwareDatetime | None:
        name = str(info.field_name).replace("before", "after")
        after = info.data.get(name)
        if before is not None and after is not None and before <= after:
            raise PydanticCustomError(
                "empty_period", "too early", {"words": f"This must be later than {name}."}
            )
        return before


TextQuery = Annotated[str, Field(min_length=1, max_length=200, pattern=NAME_PATTERN)]
Several = Field(min_length=1, max_length=100)
"""Values of a filter that may be given more than once: any of them does."""


def limit_of(request: Request, query: PageQuery) -> int:
    """The number of items of this page."""
    parts = parts_of(request)
    return min(query.limit, parts.max_page_size)


def position(request: Request, query: PageQuery, body: str = "") -> str | None:
    """What the last item of the page before was called. Raises `Refusal` for a cursor not given out here.

    `body`: what was posted, where a list is asked for by a POST; a cursor goes with one body.
    """
    if query.cursor is None:
        return None
    try:
        given = urlsafe_b64decode(query.cursor.encode("ascii") + b"=" * (-len(query.cursor) % 4))
        last = given[SIGNATURE_BYTES:].decode("ascii")
    except (ValueError, binascii.Error):
        raise bad_cursor() from None
    if not last or not hmac.compare_digest(query.cursor, cursor_of(request, query, last, body)):
        raise bad_cursor()
    return last


def number_position(request: Request, query: PageQuery) -> int | None:
    """The same for lists whose items are numbered."""
    last = position(request, query)
    if last is None:
        return None
    if not last.isdigit() or len(last) > 15:
        raise bad_cursor()
    return int(last)


def page_answer(
    request: Request,
    query: PageQuery,
    items: Sequence[Any],
    last: str | int | None,
    members: Mapping[str, Any] | None = None,
    body: str = "",
) -> Response:
    """A page whose last item is called `last`, with the address of the next page when this one is full."""
    following, headers = _following(request, query, items, last, body)
    text = to_json({**(members or {}), "items": items, "next": following})
    return Response(text, headers=headers, media_type="application/json")


async def list_answer(
    request: Request,
    query: PageQuery,
    items: Sequence[Any],
    last: str | int | None,
    layout: ListLayout,
    members: Mapping[str, Any] | None = None,
) -> Response:
    """The same for a list that is also given out as a file, where the request likes that better; the address of the
    next page stands in `Link`."""
    wanted = preferred(request, LIST_FORMS)
    if wanted == JSON[0]:
        answer = page_answer(request, query, items, last, members)
        answer.headers["Vary"] = FILE_VARIES
        return answer
    _, headers = _following(request, query, items, last, "")
    form, system = form_of(wanted), getattr(query, "units", "metric")
    data = await in_thread(request, list_file, layout, items, system, form)
    return table_answer(data, form, layout.name, {**headers, "Vary": FILE_VARIES})


def _following(
    request: Request, query: PageQuery, items: Sequence[Any], last: str | int | None, body: str
) -> tuple[str | None, dict[str, str]]:
    """The address of the next page, and the headers of this one."""
    following = None
    if items and len(items) >= limit_of(request, query):
        cursor = cursor_of(request, query, str(last), body)
        parameters = {**_filters(query), "limit": query.limit, "cursor": cursor}
        following = f"{request.url.path}?{urlencode(parameters, doseq=True)}"
    headers = {"Cache-Control": "private, no-cache", "Vary": "Authorization"}
    if following is not None:
        headers["Link"] = f'<{following}>; rel="next"'
    return following, headers


def _filters(query: PageQuery) -> dict[str, str | list[str]]:
    given = query.model_dump(mode="json", exclude={"limit", "cursor"}, exclude_none=True)
    return {
        name: list(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in given.items()
    }


def cursor_of(request: Request, query: PageQuery, last: str, body: str = "") -> str:
    """The cursor that goes on after the item called `last`, for this list, these filters and this body alone."""
    access = record_parts_of(request).access
    address = f"{request.method} {request.url.path}?{urlencode(_filters(query), doseq=True)}"
    signed = to_json([address, body, last])
    signature = hmac.digest(access.cursor_key, signed, "sha256")[:SIGNATURE_BYTES]
    return urlsafe_b64encode(signature + last.encode("ascii")).decode("ascii").rstrip("=")


def bad_cursor() -> Refusal:
    """What a cursor gets that was not given out for this list."""
    return foreign_cursor()
