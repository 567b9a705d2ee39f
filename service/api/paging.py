"""Pages of lists: a cursor names the last item seen and the filters it belongs to."""

import hashlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Mapping, Sequence
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import to_json
from starlette.responses import Response

from service.web.parts import parts_of
from service.wire.refusal import Refusal

DEFAULT_LIMIT = 100


class PageQuery(BaseModel):
    """Query of a list; unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    limit: Annotated[int, Field(ge=1, le=10_000)] = Field(
        default=DEFAULT_LIMIT, description="Most items of a page; capped by the installation."
    )
    cursor: Annotated[str, Field(max_length=200)] | None = Field(
        default=None, description="Where the page before ended, from its `next`."
    )


def limit_of(request: Request, query: PageQuery) -> int:
    """The number of items of this page."""
    parts = parts_of(request)
    return min(query.limit, parts.max_page_size)


def position(request: Request, query: PageQuery) -> str | None:
    """What the last item of the page before was called. Raises `Refusal` for a foreign cursor."""
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
    headers = {"Cache-Control": "private, no-cache"}
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


def bad_cursor() -> Refusal:
    """What a cursor gets that was not given out for this list."""
    return Refusal("invalid_query", "This cursor is not one of this list with these filters.")
