"""What is to go: announced in headers (RFC 9745, RFC 8594), in the description and in the changelog."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time
from email.utils import format_datetime
from typing import Any, NamedTuple

from starlette.types import ASGIApp, Message, Receive, Scope, Send


class Deprecation(NamedTuple):
    """Something that should not be used any more. `operations`: whose answers say so, by method and path of the route;
    none where only a member is meant that goes on no day yet."""

    what: str
    since: date
    sunset: date | None = None
    instead: str | None = None
    operations: tuple[tuple[str, str], ...] = ()


DEPRECATIONS = (
    Deprecation(
        "`smallest_margin` of assessments, conditions and lists: it compared percentages of unlike limits.",
        date(2026, 11, 26),
        instead="`least_stability_margin` and `load_line_margin`",
    ),
)


def headers_of(row: Deprecation) -> list[tuple[bytes, bytes]]:
    """The header fields that announce it.

    `Deprecation` is a date of structured fields (RFC 9745, section 2.1), `Sunset` an HTTP date (RFC 8594, section 3);
    links lead to what is said about it (RFC 9745, section 3; RFC 8594, section 6).
    """
    fields = [(b"deprecation", b"@%d" % _start_of(row.since).timestamp())]
    fields.append((b"link", b'</v1/changelog>; rel="deprecation"; type="application/json"'))
    if row.sunset is not None:
        fields.append((b"sunset", format_datetime(_start_of(row.sunset), usegmt=True).encode("ascii")))
        fields.append((b"link", b'</v1/changelog>; rel="sunset"; type="application/json"'))
    return fields


def _start_of(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


class Deprecations:
    """A layer of the application that announces what goes in the answers concerned."""

    def __init__(self, app: ASGIApp, *, rows: Iterable[Deprecation]) -> None:
        self._app = app
        self._fields = {operation: headers_of(row) for row in rows for operation in row.operations}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if not self._fields or scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_announced(message: Message) -> None:
            if message["type"] == "http.response.start":
                route = getattr(scope.get("route"), "path", "")
                found = self._fields.get((scope["method"], route), [])
                message = {**message, "headers": [*message["headers"], *found]}
            await send(message)

        await self._app(scope, receive, send_announced)


def mark_deprecated(document: dict[str, Any], rows: Iterable[Deprecation]) -> None:
    """Say it in the OpenAPI document: the operation, and the headers of its answers."""
    schema = {"schema": {"type": "string"}}
    headers = {
        "Deprecation": {"description": "Since when it should not be used; RFC 9745.", **schema},
        "Sunset": {"description": "When it goes, where a day is set; RFC 8594.", **schema},
    }
    for row in rows:
        for method, path in row.operations:
            operation = document["paths"][path][method.lower()]
            operation["deprecated"] = True
            for answer in operation["responses"].values():
                answer.setdefault("headers", {}).update(headers)
