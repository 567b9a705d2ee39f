"""The only place where an error becomes a problem document, for answers and for the lines of a batch alike."""

import errno
import json
import traceback
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import structlog
from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import ValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from service.web.problem_kinds import KINDS, kind_of
from service.web.query_errors import parameters_of, query_errors
from service.wire.parse import UnreadableJson
from service.wire.problem import MAX_ERRORS, MEDIA_TYPE, Problem, ProblemError, errors_of, shortened
from service.wire.refusal import Refusal

_CODE_OF_STATUS = {
    400: "bad_request",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    413: "body_too_large",
    415: "unsupported_media_type",
    503: "not_ready",
}
_EXHAUSTED = frozenset((errno.EMFILE, errno.ENFILE, errno.EAGAIN, errno.ENOMEM))
_RETRY_AFTER_SECONDS = 1


class _ProblemParts(NamedTuple):
    """What an exception tells the caller."""

    code: str
    detail: str
    errors: list[ProblemError]
    not_listed: int = 0


def met(exception: BaseException) -> BaseException:
    """What a caller is told of an exception: busy where this machine has no thread, file descriptor or memory left for
    the work, the exception itself otherwise."""
    match exception:
        case RuntimeError():
            is_exhausted = exception.args == (
                "can't start new thread",
            )  # the words of threading.Thread.start
        case OSError():
            is_exhausted = exception.errno in _EXHAUSTED
        case _:
            is_exhausted = isinstance(exception, MemoryError)
    if not is_exhausted:
        return exception
    words = "This machine has no thread, file or memory left for it; try again shortly."
    return Refusal("busy", words, retry_after=_RETRY_AFTER_SECONDS)


def _problem_parts(exception: BaseException, allowed: Sequence[str] | None) -> _ProblemParts:
    match exception:
        case UnreadableJson():
            place = exception.pointer
            errors = [] if place is None else [_at(place, exception.code, exception.detail)]
            return _ProblemParts(exception.code, exception.detail, errors)
        case Refusal():
            given = list(exception.errors)
            listed = given[:MAX_ERRORS]
            not_listed = exception.not_listed + len(given) - len(listed)
            return _ProblemParts(exception.code, exception.detail, listed, not_listed)
        case RequestValidationError():
            wrong = query_errors(exception, allowed)
            detail = wrong[0]["detail"] if len(wrong) == 1 else f"{len(wrong)} parameters are not valid."
            return _ProblemParts("invalid_query", detail, wrong)
        case ValidationError():
            count, listed = exception.error_count(), errors_of(exception)
            return _ProblemParts("invalid_request", _count(count), listed, count - len(listed))
        case HTTPException():
            code = _CODE_OF_STATUS.get(exception.status_code, "bad_request")
            return _ProblemParts(code, KINDS[code].description, [])
        case _:
            return _ProblemParts("internal", KINDS["internal"].description, [])


def _at(pointer: str, code: str, detail: str) -> ProblemError:
    return {"pointer": pointer, "code": code, "detail": detail}


def _count(found: int) -> str:
    return "The request has an error." if found == 1 else f"The request has {found} errors."


def problem_of(
    exception: BaseException,
    request_id: str,
    instance: str | None = None,
    allowed: Sequence[str] | None = None,
) -> Problem:
    """The problem document of an exception. Its text is never shown unless it was written for the caller.

    allowed: names of the parameters that the address takes, where they are known.
    """
    exception = met(exception)
    parts = _problem_parts(exception, allowed)
    kind = kind_of(parts.code)
    problem: Problem = {
        "type": f"/problems/{kind.code}",
        "title": kind.title,
        "status": kind.status,
        "detail": parts.detail,
        "code": kind.code,
        "request_id": request_id,
    }
    if instance is not None:
        problem["instance"] = instance
    if parts.errors:
        problem["errors"] = parts.errors
    if parts.not_listed:
        problem["errors_not_listed"] = parts.not_listed
    if isinstance(exception, Refusal) and exception.head is not None:
        problem["head"] = exception.head
    if isinstance(exception, Refusal) and exception.reference is not None:
        problem["reference"] = exception.reference
    return problem


def problem_response(
    exception: BaseException,
    request_id: str,
    instance: str,
    headers: Mapping[str, str] | None = None,
    allowed: Sequence[str] | None = None,
) -> Response:
    """The problem of an exception as an HTTP answer."""
    problem = problem_of(exception, request_id, instance, allowed)
    headers = {"Cache-Control": "no-store", **(headers or {})}
    return Response(encoded(problem), problem["status"], headers, MEDIA_TYPE)


def encoded(document: Mapping[str, Any]) -> bytes:
    """A document as UTF-8 JSON; what cannot be encoded (half characters) is written as an escape."""
    return json.dumps(document, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "backslashreplace")


def log_unexpected(exception: BaseException, request_id: str) -> None:
    """Keep the details of an internal error where the operator finds them, under the reference the caller got; of a
    machine without threads, files or memory one line."""
    if met(exception) is not exception:
        structlog.get_logger().warning("machine_exhausted", request_id=request_id, fault=repr(exception))
        return
    # written out here: a renderer that shows local variables would write keys and cookies into the log
    trace = "".join(traceback.format_exception(exception))
    structlog.get_logger().error("internal_error", request_id=request_id, trace=trace)


async def _answer_problem(request: Request, exception: Exception) -> Response:
    path = shortened(request.url.path, 200)
    if isinstance(exception, HTTPException) and exception.status_code == 404:
        exception = Refusal("not_found", _nothing_at(request))
    allowed = (
        parameters_of(request.scope.get("route")) if isinstance(exception, RequestValidationError) else None
    )
    return problem_response(exception, request.state.request_id, path, headers_of(exception), allowed)


def _nothing_at(request: Request) -> str:
    """That there is nothing at the address, and what there is at the one that was probably meant."""
    words, path = KINDS["not_found"].description, request.url.path
    meant = "/" + "/".join(step for step in path.split("/") if step)
    if meant == path or not any(
        isinstance(route, APIRoute) and route.path_regex.match(meant) for route in request.app.router.routes
    ):
        return words
    return f"{words} There is at {shortened(meant, 200)}: one slash between two steps, none at the end."


def headers_of(exception: BaseException) -> dict[str, str]:
    """The header fields that go with a problem."""
    if isinstance(exception, Refusal):
        headers = dict(exception.headers)
        if exception.etag is not None:
            headers["ETag"] = f'"{exception.etag}"'
        if exception.retry_after is not None:
            headers["Retry-After"] = str(exception.retry_after)
        if exception.code == "unauthenticated":
            headers["WWW-Authenticate"] = "Bearer"
        return headers
    given = dict(getattr(exception, "headers", None) or {})
    return {name: value for name, value in given.items() if name.lower() in ("retry-after", "allow")}


def answer_with_problems(app: FastAPI) -> None:
    """Let every refusal that leaves a route be answered as a problem."""
    for kind in (
        UnreadableJson,
        Refusal,
        RequestValidationError,
        ValidationError,
        HTTPException,
    ):
        app.add_exception_handler(kind, _answer_problem)
