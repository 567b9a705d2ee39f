"""When a request is sent again, how long to wait before, and what a refusal says."""

from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import cast

import httpx

from service.wire.problem import Problem

LONGEST_PAUSE = 60.0
FIRST_PAUSE = 0.25


def may_pass(response: httpx.Response) -> bool:
    """Whether the same request may be answered later: busy, asked too often, or the first one still under way."""
    if response.status_code == 409:
        return problem_of(response)["code"] == "idempotency_in_flight"
    return response.status_code in (429, 503)


def pause(retry_after: str, attempt: int) -> float | None:
    """Seconds to wait after an attempt, the service's own (a number or a date; RFC 9110, section 10.2.3) where it says
    any; None where they are too many."""
    if retry_after.isdigit():
        seconds = float(retry_after)
    else:
        try:
            seconds = (parsedate_to_datetime(retry_after) - datetime.now(UTC)).total_seconds()
        except (TypeError, ValueError):
            seconds = FIRST_PAUSE * 2.0 ** (attempt - 1)
    return max(seconds, 0.0) if seconds <= LONGEST_PAUSE else None


def problem_of(response: httpx.Response) -> Problem:
    """The problem of an answer; one made here where something on the way answered in its own words."""
    if response.headers.get("content-type", "").startswith("application/problem+json"):
        return cast(Problem, response.json())
    return {
        "type": "about:blank",
        "title": f"HTTP status {response.status_code}",
        "status": response.status_code,
        "detail": "The answer did not come from the service itself.",
        "code": "foreign_answer",
        "request_id": response.headers.get("x-request-id", ""),
    }
