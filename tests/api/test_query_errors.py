"""A refused parameter: which one, why, and what may stand there instead."""

from typing import Any

import httpx
import pytest

from tests.api.office import Office
from tests.api.problem_check import checked_problem


def _errors(http: httpx.Client, path: str, method: str = "GET") -> list[dict[str, Any]]:
    problem = checked_problem(http.request(method, path), 400)
    assert problem["code"] == "invalid_query"
    errors: list[dict[str, Any]] = problem["errors"]
    if len(errors) == 1:
        assert problem["detail"] == errors[0]["detail"]
    for entry in errors:
        assert entry["parameter"] in entry["detail"]
        assert entry["pointer"] == ""
    return errors


@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        (
            "/v1/vessels?colour=red",
            [
                "created_after",
                "created_before",
                "cursor",
                "imo_number",
                "limit",
                "name",
                "reference",
                "sort",
                "state",
                "updated_after",
                "updated_before",
            ],
        ),
        (
            "/v1/fleet?colour=red",
            [
                *(
                    "cursor",
                    "imo_number",
                    "limit",
                    "name",
                    "phase",
                    "proof",
                    "reference",
                    "review_state",
                    "search",
                ),
                *("sort", "state", "units", "verdict", "vessel", "voyage"),
            ],
        ),
        ("/v1/changes?colour=red", ["after", "limit", "wait"]),
        ("/v1/conditions/a/comparison?colour=red", ["from", "reassess", "to", "units"]),
        ("/v1/conditions/a?colour=red", ["units"]),
        ("/v1/conditions/a/revisions/1/reviews?colour=red", []),
        ("/v1/vessels/a?colour=red", []),
        ("/v1/keys/a?colour=red", []),
        ("/v1/rule-sets?colour=red", []),
        ("/v1/rule-sets/is-code-2008-a-2.2?colour=red", []),
    ],
)
def test_unknown_names_are_refused_with_those_that_are_known(
    http: httpx.Client, path: str, allowed: list[str]
) -> None:
    (entry,) = _errors(http, path)
    assert (entry["parameter"], entry["code"], entry["allowed"]) == ("colour", "extra_forbidden", allowed)
    assert all(name in entry["detail"] for name in allowed)


def test_routes_that_read_parameters_themselves_do_the_same(http: httpx.Client) -> None:
    (entry,) = _errors(http, "/v1/assessments?detail=full", "POST")
    assert (entry["parameter"], entry["allowed"]) == ("detail", ["curves", "point", "units", "working"])
    (entry,) = _errors(http, "/v1/assessments/batch?details=full", "POST")
    assert entry["allowed"] == ["detail", "units", "working"]


@pytest.mark.parametrize(
    ("query", "parameter", "words", "allowed"),
    [
        ("verdict=passed", "verdict", "one of", ["pass", "fail", "incomplete"]),
        ("units=imperial", "units", "one of", ["metric", "us"]),
        ("limit=0", "limit", "at least 1", None),
        ("limit=10001", "limit", "at most 10000", None),
        ("limit=ten", "limit", "whole number", None),
        ("cursor=YWJj", "cursor", "follow `next`", None),
        ("vessel=%20", "vessel", "wrong form", None),
    ],
)
def test_values_are_refused_with_the_reason(
    http: httpx.Client, query: str, parameter: str, words: str, allowed: list[str] | None
) -> None:
    (entry,) = _errors(http, f"/v1/conditions?{query}")
    assert entry["parameter"] == parameter
    assert words in entry["detail"]
    assert entry.get("allowed") == allowed


def test_a_reason_in_an_address_has_few_combining_characters_in_a_row(http: httpx.Client) -> None:
    """Unicode Standard Annex 15, Stream-Safe Text Format: 30, as in bodies."""
    (entry,) = _errors(http, "/v1/conditions/a?reason=e" + "%CC%81" * 31, "PUT")
    assert (entry["parameter"], entry["code"]) == ("reason", "too_many_marks")
    assert "30 combining characters" in entry["detail"]


@pytest.mark.parametrize(
    "moment",
    [
        *("yesterday", "2026-04-12", "2026-04-12T09:30:00", "2026-13-12T09:30:00Z", "2026-04-31T09:30:00Z"),
        *("1770000000", "0001-01-01T00:00:00Z", "2026-04-12T25:00:00Z", "2026-04-12T09:30:00+02:00", ""),
        "2026-04-12T09:30Z",
    ],
)
@pytest.mark.parametrize("path", ["/v1/vessels", "/v1/conditions"])
def test_times_are_those_of_rfc_3339(http: httpx.Client, path: str, moment: str) -> None:
    """A + that is not escaped comes in as a space (WHATWG URL Standard, application/x-www-form-urlencoded)."""
    (entry,) = _errors(http, f"{path}?updated_after={moment}")
    assert (entry["parameter"], entry["code"]) == ("updated_after", "datetime")
    assert "RFC 3339" in entry["detail"]


def test_times_with_any_offset_are_taken(http: httpx.Client) -> None:
    for moment in ("2026-04-12T09:30:00Z", "2026-04-12t09:30:00.5z", "2026-04-12T09:30:00.123456%2B05:30"):
        assert http.get(f"/v1/vessels?updated_before={moment}").status_code == 200, moment


def test_a_period_has_a_beginning_before_its_end(http: httpx.Client) -> None:
    query = "updated_after=2026-04-12T09:30:00Z&updated_before=2026-04-12T09:30:00Z"
    (entry,) = _errors(http, f"/v1/conditions?{query}")
    assert (entry["parameter"], entry["code"]) == ("updated_before", "empty_period")
    earlier = query.replace("before=2026-04-12T09:30:00Z", "before=2026-04-12T11:30:00%2B02:01")
    assert _errors(http, f"/v1/conditions?{earlier}")


def test_several_are_told_together(office: Office) -> None:
    errors = _errors(office.http, "/v1/vessels?limit=0&colour=red&updated_after=now")
    assert {entry["parameter"] for entry in errors} == {"limit", "colour", "updated_after"}


def test_numbers_in_the_path_are_named_too(http: httpx.Client) -> None:
    (entry,) = _errors(http, "/v1/vessels/a/revisions/0")
    assert (entry["parameter"], entry["code"]) == ("number", "greater_than_equal")
