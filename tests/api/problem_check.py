"""What every refusal has to look like (RFC 9457, and the conventions of this service)."""

from typing import Any, cast

import httpx

from service.web.problem_kinds import KINDS


def checked_problem(response: httpx.Response, status: int) -> dict[str, Any]:
    """The problem of a refusal, after checking its form."""
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/problem+json"
    problem = cast(dict[str, Any], response.json())
    kind = KINDS[problem["code"]]
    assert problem["type"] == f"/problems/{kind.code}"
    assert problem["status"] == status == kind.status
    assert problem["title"] == kind.title
    assert problem["detail"]
    assert problem["request_id"] == response.headers["x-request-id"]
    errors = problem.get("errors", [])
    assert len(errors) <= 50
    for error in errors:
        assert (
            {"pointer", "code", "detail"}
            <= set(error)
            <= {"pointer", "code", "detail", "parameter", "allowed"}
        )
        assert error["pointer"] == "" or error["pointer"].startswith("/")
    for word in ("Traceback", "site-packages", "pydantic", "Error("):
        assert word not in response.text
    return problem
