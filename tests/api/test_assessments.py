"""POST /v1/assessments: the answer's form, units, and the same bytes for the same request."""

import json
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from pydantic import TypeAdapter

from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.wire.assessment import Assessment

Post = Callable[..., httpx.Response]
DEMO = [(vessel, name) for vessel in demo_vessel_ids() for name in condition_names(vessel)]


@pytest.mark.parametrize(("vessel_id", "name"), DEMO)
def test_answers_have_the_published_shape(post: Post, vessel_id: str, name: str) -> None:
    condition = json.loads(read_condition(vessel_id, name))
    response = post({"vessel_id": vessel_id, "condition": condition})
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == "application/json"
    adapter = TypeAdapter(Assessment)
    answer = adapter.validate_python(response.json(), strict=True)
    assert answer["units"]["system"] == condition["units"]
    assert answer["caution"]
    assert answer["provenance"]["vessel"]["id"] == vessel_id
    extra = {key for key in response.json() if key not in Assessment.__annotations__}
    assert not extra
    assert "NaN" not in response.text


def test_inline_vessel_gives_the_figures_of_the_held_one(
    post: Post, condition: dict[str, Any], vessel: dict[str, Any]
) -> None:
    held = post({"vessel_id": "halvenmoor", "condition": condition}).json()
    inline = post({"vessel": vessel, "condition": condition}).json()
    assert inline["provenance"]["vessel"]["id"] is None
    assert held["provenance"]["vessel"]["digest"] == inline["provenance"]["vessel"]["digest"]
    del held["provenance"], inline["provenance"]
    assert held == inline


def test_same_request_same_bytes(post: Post, request_document: dict[str, Any]) -> None:
    assert len({post(request_document).content for _ in range(5)}) == 1


@pytest.mark.parametrize("vessel_id", demo_vessel_ids())
def test_units_of_the_answer(post: Post, vessel_id: str) -> None:
    names = condition_names(vessel_id)
    condition = json.loads(read_condition(vessel_id, names[0]))
    request = {"vessel_id": vessel_id, "condition": condition}
    metric, us = (post(request, units=units).json() for units in ("metric", "us"))
    assert us["units"]["system"] == "us"
    # 1 ft = 0.3048 m, 1 long ton = 1.0160469088 t (international yard and pound agreement of 1959)
    assert us["stability"]["gm_corrected"] * 0.3048 == pytest.approx(
        metric["stability"]["gm_corrected"], rel=1e-9
    )
    assert us["displacement"] * 1.0160469088 == pytest.approx(metric["displacement"], rel=1e-9)
    assert us["verdict"] == metric["verdict"]


def test_held_vessel_document_is_the_demonstration_vessel(vessel: dict[str, Any]) -> None:
    assert json.loads(read_vessel("halvenmoor")) == vessel


def test_request_id_is_taken_or_made(http: httpx.Client, request_document: dict[str, Any]) -> None:
    given = http.post("/v1/assessments", json=request_document, headers={"X-Request-ID": "watch-4.b_7"})
    assert given.headers["x-request-id"] == "watch-4.b_7"
    for wrong in ("a b", "x" * 65, "é", "a\tb", ""):
        made = http.get("/livez", headers=[(b"x-request-id", wrong.encode("latin-1"))])
        assert made.headers["x-request-id"] != wrong
        assert len(made.headers["x-request-id"]) == 16
