"""Bodies meant to hurt: each is refused with a problem that names the place, none is a server error."""

import json
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from tests.api.problem_check import checked_problem
from tests.wire.hostile_texts import REFUSED

Post = Callable[..., httpx.Response]


@pytest.mark.parametrize(("body", "code"), REFUSED.values(), ids=REFUSED.keys())
def test_hostile_text(post: Post, body: bytes, code: str) -> None:
    assert checked_problem(post(body), 400)["code"] == code


def _at(document: Any, path: tuple[str | int, ...], value: Any) -> None:
    for step in path[:-1]:
        document = document[step]
    document[path[-1]] = value


TANK, WEIGHT = ("condition", "tanks", 0), ("condition", "weights", 0)
WRONG_DOCUMENTS: dict[str, tuple[tuple[str | int, ...], Any]] = {
    "true as a number": (("condition", "water_density"), True),
    "text as a number": (("condition", "water_density"), "12.5"),
    "null density": (("condition", "water_density"), None),
    "density of mercury": (("condition", "water_density"), 13.6),
    "density of air": ((*TANK, "density"), 0.0012),
    "NUL in a title": (("condition", "title"), "a\0b"),
    "direction override in a name": ((*WEIGHT, "name"), "Coils\u202eslioC"),
    "very long name": ((*WEIGHT, "name"), "x" * 100_000),
    "number as a name": ((*WEIGHT, "name"), 7),
    "unknown member on top": (("extra",), 1),
    "unknown member of a tank": ((*TANK, "colour"), "red"),
    "unknown member named like a path": ((*TANK, "a/b~c"), 1),
    "prototype member": (("__proto__",), {"x": 1}),
    "condition as a list": (("condition",), []),
    "condition as null": (("condition",), None),
    "condition as a text": (("condition",), "{}"),
    "tanks as an object": (("condition", "tanks"), {"tank": "x"}),
    "tank as a list": (TANK, ["x"]),
    "huge list of tanks": (("condition", "tanks"), [{"tank": "x", "fill": 1}] * 20_000),
    "huge list of weights": (("condition", "weights"), [{}] * 5_001),
    "negative filling": ((*TANK, "fill"), -1),
    "negative volume": ((*TANK, "volume"), -1),
    "weight without a place": (WEIGHT, {"name": "x", "category": "cargo", "mass": 1}),
    "negative mass of cargo": ((*WEIGHT, "mass"), -1),
    "absurd mass": ((*WEIGHT, "mass"), 1e300),
    "absurd place": ((*WEIGHT, "lcg"), -1e300),
    "unknown tank": ((*TANK, "tank"), "no-such-tank"),
    "unknown rule set": (("condition", "rule_sets"), ["no-such-rules"]),
    "unknown basis": (("condition", "free_surface", "basis"), "guess"),
    "vessel id as a number": (("vessel_id",), 5),
    "vessel id as a list": (("vessel_id",), []),
    "revision as a text": (("vessel_revision",), "1"),
    "revision as true": (("vessel_revision",), True),
    "empty vessel beside the id": (("vessel",), {}),
    "axes without members": (("condition", "axes"), {}),
    "unknown units": (("condition", "units"), "imperial"),
}


@pytest.mark.parametrize(("path", "value"), WRONG_DOCUMENTS.values(), ids=WRONG_DOCUMENTS.keys())
def test_wrong_document_is_refused_at_its_place(
    post: Post, request_document: dict[str, Any], path: tuple[str | int, ...], value: Any
) -> None:
    _at(request_document, path, value)
    problem = checked_problem(post(request_document), 422)
    pointers = [error["pointer"] for error in problem["errors"]]
    top = "/" + str(path[0])
    assert any(pointer.startswith(top) or pointer == "" for pointer in pointers), pointers


@pytest.mark.parametrize("vessel_id", ["nobody", "../../etc/passwd", "x" * 1000, "hälvenmoor"])
def test_unknown_vessel(post: Post, request_document: dict[str, Any], vessel_id: str) -> None:
    problem = checked_problem(post({**request_document, "vessel_id": vessel_id}), 404)
    assert problem["code"] == "unknown_vessel"
    assert vessel_id not in json.dumps(problem)


@pytest.mark.parametrize("vessel", [{}, [], "x", 5, {"name": 1}, {"units": "metric", "tanks": [[]]}])
def test_broken_inline_vessel(post: Post, condition: dict[str, Any], vessel: Any) -> None:
    problem = checked_problem(post({"vessel": vessel, "condition": condition}), 422)
    assert all(error["pointer"].startswith("/vessel") for error in problem["errors"])


def test_no_vessel_and_two_vessels(
    post: Post, vessel: dict[str, Any], request_document: dict[str, Any]
) -> None:
    checked_problem(post({"condition": request_document["condition"]}), 422)
    checked_problem(post({**request_document, "vessel": vessel}), 422)


def test_a_posted_value_is_never_repeated(post: Post, request_document: dict[str, Any]) -> None:
    secret = "S3CRET" * 40
    request_document["condition"]["title"] = secret + "\0"
    request_document["condition"]["units"] = secret
    request_document["condition"]["weights"][0][secret] = secret
    text = post(request_document).text
    assert "S3CRET" * 8 not in text


def test_body_over_the_limit(http: httpx.Client, post: Post) -> None:
    problem = checked_problem(post(b" " * 2_000_001), 413)
    assert problem["code"] == "body_too_large"


def test_body_over_the_limit_without_a_declared_length(http: httpx.Client) -> None:
    def pieces() -> Any:
        for _ in range(40):
            yield b" " * 100_000

    response = http.post("/v1/assessments", content=pieces(), headers={"Content-Type": "application/json"})
    checked_problem(response, 413)


@pytest.mark.parametrize(
    "content_type",
    [
        "",
        "text/plain",
        "application/x-www-form-urlencoded",
        "application/json; charset=utf-16",
        "json",
        "*/*",
    ],
)
def test_wrong_content_type(http: httpx.Client, content_type: str) -> None:
    response = http.post("/v1/assessments", content=b"{}", headers={"Content-Type": content_type})
    checked_problem(response, 415)


def test_content_types_that_are_taken(http: httpx.Client, request_document: dict[str, Any]) -> None:
    text = json.dumps(request_document).encode()
    for content_type in (
        "application/json",
        "Application/JSON; charset=UTF-8",
        'application/json;charset="utf-8"',
    ):
        response = http.post("/v1/assessments", content=text, headers={"Content-Type": content_type})
        assert response.status_code == 200, response.text


@pytest.mark.parametrize(("accept", "status"), [
    ("application/xml", 406), ("text/html, image/*", 406), ("application/json", 200), ("*/*", 200),
    ("text/html, application/*;q=0.5", 200),
])  # fmt: skip
def test_accept(http: httpx.Client, request_document: dict[str, Any], accept: str, status: int) -> None:
    response = http.post("/v1/assessments", json=request_document, headers={"Accept": accept})
    assert response.status_code == status
    if status != 200:
        checked_problem(response, status)


@pytest.mark.parametrize(
    "query", ["units=imperial", "units=", "unit=us", "units=us&units=metric&x=1", "detail=full"]
)
def test_wrong_query(http: httpx.Client, request_document: dict[str, Any], query: str) -> None:
    problem = checked_problem(http.post(f"/v1/assessments?{query}", json=request_document), 400)
    assert problem["code"] == "invalid_query"


@pytest.mark.parametrize(
    "path", ["/v1", "/v1/assessment", "/v1/assessments/", "/v2/assessments", "/%00", "/a%2Fb"]
)
def test_unknown_address(http: httpx.Client, path: str) -> None:
    checked_problem(http.get(path), 404)


@pytest.mark.parametrize("method", ["GET", "PUT", "PATCH", "DELETE", "TRACE"])
def test_unknown_method(http: httpx.Client, method: str) -> None:
    response = http.request(method, "/v1/assessments")
    checked_problem(response, 405)
    assert response.headers["allow"] == "OPTIONS, POST"
