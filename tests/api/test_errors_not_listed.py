"""A document with more errors than an answer lists says how many it leaves out."""

import copy
from typing import Any

import httpx
import pytest

from service.wire.problem import MAX_ERRORS
from tests.api.problem_check import checked_problem


@pytest.mark.parametrize(("wrong", "left_out"), [(MAX_ERRORS, 0), (MAX_ERRORS + 1, 1), (MAX_ERRORS + 70, 70)])
def test_the_errors_beyond_the_first_fifty_are_counted(
    http: httpx.Client, request_document: dict[str, Any], wrong: int, left_out: int
) -> None:
    """By their type, and by what they mean for the vessel."""
    weight = {"name": "Box", "category": "other", "mass": "heavy", "lcg": 50.0, "vcg": 5.0}
    unreadable = copy.deepcopy(request_document)
    unreadable["condition"]["weights"] = [weight] * wrong
    unknown = copy.deepcopy(request_document)
    unknown["condition"]["tanks"] = [{"tank": f"none-{i}", "fill": 1.0} for i in range(wrong)]
    for document in (unreadable, unknown):
        problem = checked_problem(http.post("/v1/assessments", json=document), 422)
        assert len(problem["errors"]) == MAX_ERRORS
        assert problem.get("errors_not_listed", 0) == left_out
