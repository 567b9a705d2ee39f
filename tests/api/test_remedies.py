"""POST /v1/remedies over HTTP: proposals go back into the service, vessels inline and by id, what is refused."""

import json
import sys
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from pydantic import TypeAdapter

from service.demo import read_condition
from service.wire.remedy import Remedies
from tests.api.conftest import VESSEL
from tests.api.problem_check import checked_problem

Ask = Callable[..., httpx.Response]
LIST = [{"quantity": "list", "at_most": 0.2}]


@pytest.fixture(scope="module")
def ask(http: httpx.Client) -> Ask:
    def send(document: Any, **query: str) -> httpx.Response:
        return http.post("/v1/remedies", json=document, params=query)

    return send


@pytest.fixture
def listing(request_document: dict[str, Any]) -> dict[str, Any]:
    """Twenty tonnes of cargo to port of a ship in ballast."""
    condition = json.loads(read_condition(VESSEL, "ballast-departure"))
    weight = {"name": "Late cargo", "category": "cargo", "mass": 20.0, "lcg": 40.0, "vcg": 5.0, "tcg": 4.0}
    return {**request_document, "condition": {**condition, "weights": [*condition["weights"], weight]}}


@pytest.mark.parametrize("mode", ["single", "shift"])
def test_a_proposal_posted_again_passes(
    ask: Ask, post: Callable[..., httpx.Response], listing: dict[str, Any], mode: str
) -> None:
    before = post(listing).json()
    assert abs(before["flotation"]["list"]["angle"]) > 0.2
    answer = ask({**listing, "mode": mode, "targets": LIST})
    assert answer.status_code == 200, answer.text
    found = answer.json()
    TypeAdapter(Remedies).validate_python(found)
    rows = found["remedies"] if mode == "single" else [found]
    assert rows
    for row in rows:
        again = post({**listing, "condition": row["condition"]}).json()
        assert again["verdict"] == "pass"
        assert abs(again["flotation"]["list"]["angle"]) <= 0.2
        assert {**again, "provenance": 0} == {**row["assessment"], "provenance": 0}


def test_the_shift_is_no_more_than_the_best_single_tank(ask: Ask, listing: dict[str, Any]) -> None:
    single = ask({**listing, "mode": "single", "targets": LIST}).json()["remedies"]
    shift = ask({**listing, "mode": "shift", "targets": LIST}).json()
    assert shift["outcome"] == "solved"
    assert shift["moved"] <= single[0]["moved"] + 0.2


def test_an_inline_vessel_is_answered_like_a_stored_one(
    ask: Ask, listing: dict[str, Any], vessel: dict[str, Any]
) -> None:
    asked = {"mode": "shift", "targets": LIST}
    inline = ask({"vessel": vessel, "condition": listing["condition"], **asked}).json()
    stored = ask({**listing, **asked}).json()
    for answer in (inline, stored):
        del answer["vessel"], answer["assessment"]["provenance"]
    assert inline == stored


def test_without_the_solver(ask: Ask, listing: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    problem = checked_problem(ask({**listing, "mode": "shift", "targets": LIST}), 501)
    assert problem["code"] == "solver_not_installed"


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ({}, "invalid_request"),
        ({"mode": "single", "tanks": ["none"]}, "unknown_tank"),
        ({"mode": "single", "conserve": ["ballast"]}, "no_tank_may_change"),
        (
            {"mode": "single", "targets": [{"quantity": "margin", "criterion": "x", "equal": 1}]},
            "target_unknown",
        ),
    ],
)
def test_refusals(ask: Ask, request_document: dict[str, Any], asked: dict[str, Any], code: str) -> None:
    assert checked_problem(ask({**request_document, **asked}), 422)["code"] == code


def test_a_query_is_refused(ask: Ask, request_document: dict[str, Any]) -> None:
    assert (
        checked_problem(ask({**request_document, "mode": "single"}, units="us"), 400)["code"]
        == "invalid_query"
    )
