"""What every request and answer is wrapped in: a reference, limits on the body, security headers, one log line."""

import asyncio
import re
import secrets
import time
from typing import Any

import structlog
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.running.metrics import Metrics
from service.web.problems import headers_of, log_unexpected, met, problem_response
from service.wire.problem import shortened
from service.wire.refusal import Refusal

_REQUEST_ID = re.compile(rb"[A-Za-z0-9._-]{1,64}\Z")
_SECURITY_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
_CLOSED_POLICY = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")
_PAGE_POLICY = (
    b"content-security-policy",
    b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    b"form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
)
MAX_HEADER_BYTES = 8 * 1024
MAX_ADDRESS_BYTES = 8 * 1024
BODY_SECONDS = 30.0
"""How long nothing of a body may come while it is waited for."""


def limit_by_ending(path: str, limits: dict[str, int], otherwise: int) -> int:
    """The limit of the first ending that a path has; `otherwise` where it has none."""
    return next((limit for ending, limit in limits.items() if path.endswith(ending)), otherwise)


class RequestMiddleware:
    """Outermost layer of the application, written as plain ASGI so that bodies are neither copied nor delayed.

    `body_limits` gives the longest body by the end of a path where it differs from `body_limit`, `workbook_limit` that
    of addresses that take workbooks.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        metrics: Metrics,
        body_limit: int,
        body_limits: dict[str, int],
        workbook_limit: int,
        access_log: bool,
        body_seconds: float = BODY_SECONDS,
    ) -> None:
        self._app = app
        self._body_seconds = body_seconds
        self._metrics = metrics
        self._body_limit = body_limit
        self._body_limits = body_limits
        self._workbook_limit = workbook_limit
        self._log = structlog.get_logger() if access_log else None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began = time.perf_counter()
        headers: list[tuple[bytes, bytes]] = scope["headers"]
        request_id = _reference(headers)
        scope.setdefault("state", {})["request_id"] = request_id
        status = 0  # until an answer is begun

        async def send_wrapped(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                given = [*message.get("headers", ()), *scope["state"].get("extra_headers", ())]
                message = {**message, "headers": _wrapped(given, request_id)}
            await send(message)

        limit = self._limit_of(scope["path"])
        try:
            if _head_bytes(scope) > MAX_HEADER_BYTES:
                _refuse_long(scope)
            if not scope["query_string"].isascii():
                raise Refusal("invalid_query", "A query is ASCII; everything else in it is percent-encoded.")
            if _declared_length(headers) > limit:
                raise _too_large(limit)
            await self._app(scope, _limited(receive, limit, self._body_seconds), send_wrapped)
        except Exception as exception:  # noqa: BLE001 - the last place where a caller can still be answered
            if not isinstance(exception, Refusal):
                log_unexpected(exception, request_id)
            if status == 0:
                told, path = met(exception), shortened(scope["path"], 200)
                answer = problem_response(told, request_id, path, headers_of(told))
                await answer(scope, receive, send_wrapped)
        finally:
            self._record(scope, request_id, status, time.perf_counter() - began)

    def _limit_of(self, path: str) -> int:
        if path.endswith(("/workbook", "/condition-sheet")):
            return self._workbook_limit
        return limit_by_ending(path, self._body_limits, self._body_limit)

    def _record(self, scope: Scope, request_id: str, status: int, seconds: float) -> None:
        route = getattr(scope.get("route"), "path", "unmatched")
        self._metrics.observe(scope["method"], route, status, seconds)
        if self._log is not None:
            self._log.info(
                "request",
                request_id=request_id,
                method=scope["method"],
                path=shortened(scope["path"], 200),
                status=status,
                key=scope["state"].get("key_id"),
                milliseconds=round(seconds * 1000, 2),
            )


def _reference(headers: list[tuple[bytes, bytes]]) -> str:
    for name, value in headers:
        if name == b"x-request-id" and _REQUEST_ID.match(value):
            return value.decode("ascii")
    return secrets.token_hex(8)


def _declared_length(headers: list[tuple[bytes, bytes]]) -> int:
    for name, value in headers:
        if name == b"content-length":
            return int(value) if value.isdigit() and len(value) < 19 else 0
    return 0


def _too_large(limit: int) -> Refusal:
    return Refusal("body_too_large", f"The body is longer than {limit} bytes.")


def _head_bytes(scope: Scope) -> int:
    """Bytes of address and header fields together."""
    fields = sum([len(name) + len(value) for name, value in scope["headers"]])
    return fields + len(scope.get("raw_path") or b"") + len(scope["query_string"])


def _refuse_long(scope: Scope) -> None:
    """Raise `Refusal` where the address is too long, or one header field is."""
    if len(scope.get("raw_path") or b"") + len(scope["query_string"]) > MAX_ADDRESS_BYTES:
        raise Refusal(
            "address_too_long", f"Path and query together are longer than {MAX_ADDRESS_BYTES} bytes."
        )
    for name, value in scope["headers"]:
        if len(name) + len(value) > MAX_HEADER_BYTES:
            called = shortened(name.decode("latin-1"))
            raise Refusal(
                "header_too_large", f"The header field {called} is longer than {MAX_HEADER_BYTES} bytes."
            )


def _limited(receive: Receive, limit: int, seconds: float) -> Receive:
    """`receive` that refuses to go on once more than `limit` bytes of body came in, or none for some `seconds`."""
    seen = 0
    is_whole = False

    async def receive_limited() -> Message:
        nonlocal seen, is_whole
        if is_whole:
            return await receive()
        try:
            async with asyncio.timeout(seconds):
                message = await receive()
        except TimeoutError:
            raise Refusal("body_too_slow", f"Nothing more of the body came for {seconds:g} s.") from None
        is_whole = not message.get("more_body", False)
        seen += len(message.get("body", b""))
        if seen > limit:
            raise _too_large(limit)
        return message

    return receive_limited


def _wrapped(given: Any, request_id: str) -> list[tuple[bytes, bytes]]:
    headers = [*given, *_SECURITY_HEADERS, (b"x-request-id", request_id.encode("ascii"))]
    if not any(name == b"content-security-policy" for name, _ in headers):
        is_page = any(name == b"content-type" and value.startswith(b"text/html") for name, value in headers)
        headers.append(_PAGE_POLICY if is_page else _CLOSED_POLICY)
    return headers
