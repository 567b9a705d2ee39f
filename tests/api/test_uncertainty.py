"""POST /v1/uncertainty over HTTP: by worker processes and without them the same, inline and by id."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.settings import Settings
from tests.api.conftest import VESSEL
from tests.api.problem_check import checked_problem

DEVIATIONS = {"tanks": {"mass_percent": 2.0}, "lightship": {"vcg": 0.05}, "water_density": 0.001}


@pytest.fixture(scope="module")
def alone() -> Iterator[httpx.Client]:
    """A service without worker processes."""
    with (
        local_server(create_app(Settings(access_log=False, database_url="", worker_processes=0))) as address,
        httpx.Client(base_url=address, timeout=60, trust_env=False) as client,
    ):
        yield client


@pytest.fixture(scope="module")
def pooled() -> Iterator[httpx.Client]:
    """A service with two, asked until both are there."""
    with (
        local_server(create_app(Settings(access_log=False, database_url="", worker_processes=2))) as address,
        httpx.Client(base_url=address, timeout=60, trust_env=False) as client,
    ):
        yield client


@pytest.fixture
def body(condition: dict[str, Any], vessel: dict[str, Any]) -> dict[str, Any]:
    return {
        "vessel": vessel,
        "condition": condition,
        "standard_deviations": DEVIATIONS,
        "samples": 600,
        "seed": 5,
    }


def test_worker_processes_give_the_same_bytes(
    alone: httpx.Client, pooled: httpx.Client, body: dict[str, Any]
) -> None:
    wanted = alone.post("/v1/uncertainty", json=body)
    assert wanted.status_code == 200, wanted.text
    for _ in range(3):  # the first finds the workers starting
        assert pooled.post("/v1/uncertainty", json=body).content == wanted.content


def test_a_stored_vessel_is_answered_like_an_inline_one(http: httpx.Client, body: dict[str, Any]) -> None:
    body["samples"] = 100
    stored = {name: value for name, value in body.items() if name != "vessel"} | {"vessel_id": VESSEL}
    answers = [http.post("/v1/uncertainty", json=each).json() for each in (body, stored)]
    for answer in answers:
        assert answer.pop("vessel")["digest"]
    assert answers[0] == answers[1]


def test_refusals(alone: httpx.Client, body: dict[str, Any]) -> None:
    many = checked_problem(alone.post("/v1/uncertainty", json={**body, "samples": 100_001}), 422)
    assert many["errors"][0]["pointer"] == "/samples"
    every = {**DEVIATIONS, "every_weight": {"mass_percent": 1.0, "lcg": 1.0, "vcg": 1.0, "tcg": 1.0}}
    weight = body["condition"]["weights"][0]
    body["condition"]["weights"] = [{**weight, "name": f"W{i}"} for i in range(30)]
    numbers = alone.post("/v1/uncertainty", json={**body, "standard_deviations": every, "samples": 100_000})
    assert checked_problem(numbers, 422)["errors"][0]["code"] == "too_many"
    asked = alone.post("/v1/uncertainty", json=body, params={"a": 1})
    assert checked_problem(asked, 400)["code"] == "invalid_query"
