"""The working of an answer over HTTP: given when asked for, one condition at a time, without moving the answer."""

import json
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from service.wire.compact_working import expanded
from tests.api.problem_check import checked_problem


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_answer_is_the_same_but_for_its_working(
    post: Callable[..., httpx.Response], request_document: dict[str, Any], units: str
) -> None:
    plain, worked = post(request_document, units=units), post(request_document, units=units, working="true")
    assert (plain.status_code, worked.status_code) == (200, 200)
    assert "working" not in plain.json()
    answer = worked.json()
    nodes = answer.pop("working")
    assert json.dumps(answer) == json.dumps(plain.json())
    by_id = {node["id"]: node for node in nodes}
    assert by_id["gm_corrected"]["path"] == "/stability/gm_corrected"
    assert by_id["gm_corrected"]["value"] == answer["stability"]["gm_corrected"]


def test_an_inline_vessel_is_worked_like_a_stored_one(
    post: Callable[..., httpx.Response],
    request_document: dict[str, Any],
    vessel: dict[str, Any],
    condition: dict[str, Any],
) -> None:
    inline = post({"vessel": vessel, "condition": condition}, working="true").json()
    assert inline["working"] == post(request_document, working="true").json()["working"]


def test_the_senders_own_name_comes_back_with_the_working_and_with_its_refusal(
    post: Callable[..., httpx.Response], request_document: dict[str, Any]
) -> None:
    named = {**request_document, "reference": "voyage 7, departure"}
    assert post(named, working="true").json()["reference"] == "voyage 7, departure"
    named["condition"] = {**named["condition"], "tanks": [{"tank": "none", "fill": 10.0}]}
    assert checked_problem(post(named, working="true"), 422)["reference"] == "voyage 7, departure"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_compact_working_gives_back_every_node(
    post: Callable[..., httpx.Response], request_document: dict[str, Any], units: str
) -> None:
    nodes = post(request_document, units=units, working="true").json()["working"]
    compact = post(request_document, units=units, working="compact").json()["working"]
    assert expanded(compact) == nodes
    assert len(compact["texts"]) == len(set(compact["texts"]))
    assert len(json.dumps(compact)) < 0.4 * len(json.dumps(nodes))


def test_working_false_is_the_plain_answer(
    post: Callable[..., httpx.Response], request_document: dict[str, Any]
) -> None:
    assert post(request_document, working="false").content == post(request_document).content


def test_a_batch_gives_no_working(http: httpx.Client, request_document: dict[str, Any]) -> None:
    refused = http.post(
        "/v1/assessments/batch",
        content=json.dumps(request_document),
        params={"working": "true"},
        headers={"Content-Type": "application/x-ndjson"},
    )
    assert checked_problem(refused, 400)["code"] == "working_not_in_batch"


def test_a_refused_condition_is_refused_the_same_way(
    post: Callable[..., httpx.Response], request_document: dict[str, Any]
) -> None:
    request_document["condition"]["tanks"].append({"tank": "none", "fill": 10.0})
    plain, worked = post(request_document), post(request_document, working="true")
    assert checked_problem(worked, 422)["errors"] == checked_problem(plain, 422)["errors"]


def test_curves_of_strength_are_asked_for_by_themselves(
    post: Callable[..., httpx.Response], request_document: dict[str, Any]
) -> None:
    plain = post(request_document)
    drawn = post(request_document, curves="true")
    assert drawn.status_code == 200
    assert "curves" not in plain.json().get("strength", {})
    for other in ({"working": "true"}, {"point": "0"}):
        problem = checked_problem(post(request_document, curves="true", **other), 400)
        assert problem["code"] == "query_members_exclude_each_other"
