"""When a call is made again, and after how long."""

from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Any, cast

import httpx

from service.client.errors import FeedRewound, Refused, Unreachable
from service.wire.problem import MEDIA_TYPE, Problem

ATTEMPTS = 4
LONGEST_PAUSE = 60.0
FIRST_PAUSE = 0.25
LOST = (httpx.NetworkError, httpx.RemoteProtocolError)
"""The connection was lost: whether the service has the request is not known."""
NOT_SENT = (httpx.ConnectError,)
"""There was no connection: the service does not have the request."""
BUSY = (429, 503)
BETWEEN = (502, 504)
"""A proxy speaks for a service that it does not reach."""


def may_pass(response: httpx.Response, *, repeatable: bool) -> bool:
    """Whether the same request may be answered later: busy, asked too often, the first one still under way, or
    nobody behind the proxy (only where a request may be made twice)."""
    if response.status_code == 409:
        return problem_of(response)["code"] == "idempotency_in_flight"
    return response.status_code in BUSY or (repeatable and response.status_code in BETWEEN)


def pause_before(attempt: int, retry_after: str = "") -> float | None:
    """Seconds to wait after an attempt, the service's own (a number or a date; RFC 9110, section 10.2.3) where it says
    any; None where they are more than a minute."""
    if retry_after.isdigit():
        seconds = float(retry_after)
    else:
        try:
            seconds = (parsedate_to_datetime(retry_after) - datetime.now(UTC)).total_seconds()
        except (TypeError, ValueError):
            seconds = FIRST_PAUSE * 2.0 ** (attempt - 1)
    return max(seconds, 0.0) if seconds <= LONGEST_PAUSE else None


def refusal_of(response: httpx.Response) -> Refused:
    """The error for an answer that refuses."""
    problem = problem_of(response)
    if problem["code"] == "feed_rewound" and "head" in problem:
        return FeedRewound(problem, problem["head"])
    return Refused(problem)


def no_answer(request: httpx.Request, error: httpx.TransportError) -> Unreachable:
    """The error for a request that was not answered: by whom, and why as far as that is known."""
    reason = str(error).rstrip(".") or type(error).__name__
    return Unreachable(f"No answer from {request.url.netloc.decode('ascii')}: {reason}.")


def json_of(response: httpx.Response) -> Any:
    """The document in an answer. Raises Refused where something on the way answered in its own words."""
    try:
        return response.json()
    except ValueError:
        raise Refused(_foreign(response)) from None


def problem_of(response: httpx.Response) -> Problem:
    """The problem of an answer; one made here where something on the way answered in its own words."""
    if response.headers.get("content-type", "").startswith(MEDIA_TYPE):
        return cast(Problem, response.json())
    return _foreign(response)


def _foreign(response: httpx.Response) -> Problem:
    """The problem for an answer that is not the service's."""
    target = response.headers.get("location", "")
    elsewhere = f" It leads to {target}: give the client that address." if response.is_redirect else ""
    return {
        "type": "about:blank",
        "title": f"HTTP status {response.status_code}",
        "status": response.status_code,
        "detail": f"The answer did not come from the service itself.{elsewhere}",
        "code": "foreign_answer",
        "request_id": response.headers.get("x-request-id", ""),
    }
