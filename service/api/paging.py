"""Pages of lists: a cursor names the last item seen and the filters it belongs to."""

import hashlib
import re
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Request
from fastapi.exceptions import RequestValidationError
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

from service.api.query_errors import wrong_parameter
from service.api.state import RecordState

DEFAULT_LIMIT = 100
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
    cursor: Annotated[str, Field(max_length=200)] | None = Field(
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
    """Query of a list of what is kept, by the time of the latest revision."""

    updated_after: Moment | None = Field(default=None, description="RFC 3339; exclusive.")
    updated_before: Moment | None = Field(default=None, description="RFC 3339; exclusive.")

    @field_validator("updated_before", mode="after")
    @classmethod
    def _is_later(cls, before: AwareDatetime | None, info: ValidationInfo) -> AwareDatetime | None:
        after = info.data.get("updated_after")
        if before is not None and after is not None and before <= after:
            raise PydanticCustomError(
                "empty_period", "too early", {"words": "This must be later than updated_after."}
            )
        return before


def limit_of(request: Request, query: PageQuery) -> int:
    """The number of items of this page."""
    state: RecordState = request.app.state
    return min(query.limit, state.max_page_size)


def position(request: Request, query: PageQuery) -> str | None:
    """What the last item of the page before was called. Raises `RequestValidationError` for a foreign cursor."""
    if query.cursor is None:
        return None
    try:
        text = urlsafe_b64decode(query.cursor.encode("ascii") + b"==").decode("ascii")
    except ValueError:
        raise bad_cursor() from None
    mark, _, last = text.partition(":")
    if mark != _mark(request, query) or not last or not last.isprintable():
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
) -> Response:
    """A page whose last item is called `last`, with the address of the next page when this one is full."""
    following = None
    if items and len(items) >= limit_of(request, query):
        cursor = urlsafe_b64encode(f"{_mark(request, query)}:{last}".encode()).decode().rstrip("=")
        parameters = {**_filters(query), "limit": query.limit, "cursor": cursor}
        following = f"{request.url.path}?{urlencode(parameters)}"
    headers = {"Cache-Control": "private, no-cache", "Vary": "Authorization"}
    if following is not None:
        headers["Link"] = f'<{following}>; rel="next"'
    body = to_json({**(members or {}), "items": items, "next": following})
    return Response(body, headers=headers, media_type="application/json")


def _filters(query: PageQuery) -> dict[str, str]:
    given = query.model_dump(mode="json", exclude={"limit", "cursor"}, exclude_none=True)
    return {name: str(value) for name, value in given.items()}


def _mark(request: Request, query: PageQuery) -> str:
    """A cursor goes with the list and the filters it was given for."""
    text = request.url.path + "?" + urlencode(_filters(query))
    return hashlib.sha256(text.encode()).hexdigest()[:8]


def bad_cursor() -> RequestValidationError:
    """What a cursor gets that was not given out for this list."""
    words = "This is not a cursor of this list with these filters; follow `next` of the page before."
    return wrong_parameter("cursor", "foreign_cursor", words)
