"""POST /v1/sensitivities over HTTP: vessels inline and by id, and what is refused."""

from collections.abc import Callable
from typing import Any

import httpx
import pytest
from pydantic import TypeAdapter

from service.wire.sensitivity import Sensitivities
from tests.api.problem_check import checked_problem

Ask = Callable[..., httpx.Response]


@pytest.fixture(scope="module")
def ask(http: httpx.Client) -> Ask:
    def send(document: Any, **query: str) -> httpx.Response:
        return http.post("/v1/sensitivities", json=document, params=query)

    return send


def test_every_tank_of_hers_is_answered_and_the_answer_has_its_published_shape(
    ask: Ask, request_document: dict[str, Any], vessel: dict[str, Any]
) -> None:
    answer = ask(request_document)
    assert answer.status_code == 200, answer.text
    found = answer.json()
    TypeAdapter(Sensitivities).validate_python(found)
    assert [tank["tank"] for tank in found["tanks"]] == [tank["id"] for tank in vessel["tanks"]]
    assert found["weights"] == []
    assert {row["criterion"] for row in found["gains"]} == set(found["tanks"][0]["margins"])
    assert all(len(row["tanks"]) <= 3 for row in found["gains"])


def test_weights_are_answered_when_named(ask: Ask, request_document: dict[str, Any]) -> None:
    name = request_document["condition"]["weights"][0]["name"]
    found = ask({**request_document, "weights": [name]}).json()["weights"]
    assert [row["weight"] for row in found] == [name]
    assert found[0]["per_height"]["gm_corrected"] < 0.0


def test_an_inline_vessel_is_answered_like_a_stored_one(
    ask: Ask, request_document: dict[str, Any], vessel: dict[str, Any]
) -> None:
    inline = ask({"vessel": vessel, "condition": request_document["condition"]}).json()
    stored = ask(request_document).json()
    assert inline.pop("vessel")["digest"] == stored.pop("vessel")["digest"]
    assert inline == stored


@pytest.mark.parametrize(
    ("change", "code", "pointer"),
    [
        ({"tanks": ["none"]}, "unknown_tank", "/tanks/0"),
        ({"tanks": []}, "invalid_request", "/tanks"),
        ({"tanks": ["none"] * 101}, "invalid_request", "/tanks"),
        ({"weights": ["none"]}, "invalid_request", "/weights/0"),
        ({"criteria": ["none"]}, "target_unknown", "/criteria/0"),
        ({"modus": 1}, "invalid_request", "/modus"),
    ],
)
def test_refusals(
    ask: Ask, request_document: dict[str, Any], change: dict[str, Any], code: str, pointer: str
) -> None:
    problem = checked_problem(ask({**request_document, **change}), 422)
    assert problem["code"] == code
    assert problem["errors"][0]["pointer"] == pointer


def test_a_query_is_refused(ask: Ask, request_document: dict[str, Any]) -> None:
    assert checked_problem(ask(request_document, units="us"), 400)["code"] == "invalid_query"


def test_a_request_without_a_condition_is_refused(ask: Ask) -> None:
    problem = checked_problem(ask({"vessel_id": "halvenmoor"}), 422)
    assert [each["pointer"] for each in problem["errors"]] == ["/condition"]
