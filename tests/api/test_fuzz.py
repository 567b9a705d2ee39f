"""Requests made at random, by mutation of valid ones and from the published description: never a server error."""

import copy
import json
import random
from collections.abc import Callable
from typing import Any

import httpx
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

import tests.api.media_types  # noqa: F401 - serializers
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from tests.api.problem_check import checked_problem

KEEP_NOTHING = ("/v1/assessments", "/v1/rule-sets", "/v1/findings")
Post = Callable[..., httpx.Response]
CONDITIONS = [
    (vessel, json.loads(read_condition(vessel, name)))
    for vessel in demo_vessel_ids()
    for name in condition_names(vessel)
]
VESSELS = {vessel: json.loads(read_vessel(vessel)) for vessel in demo_vessel_ids()}
NUMBERS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.floats(-1e4, 1e4),
    st.sampled_from([0, -0.0, 1, -1, 1e-300, 1e300, 2**53, 98.0, 100.0, 100.0001, 0.5, 2.0]),
)
VALUES = st.one_of(
    NUMBERS,
    st.none(),
    st.booleans(),
    st.text(max_size=5),
    st.just([]),
    st.just({}),
    st.lists(NUMBERS, max_size=3),
)


def _places(document: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    steps = (
        document.items()
        if isinstance(document, dict)
        else enumerate(document)
        if isinstance(document, list)
        else ()
    )
    return [path, *(place for step, part in steps for place in _places(part, (*path, step)))] if path else [
        place for step, part in steps for place in _places(part, (step,))
    ]  # fmt: skip


def _mutate(document: Any, place: tuple[str | int, ...], how: str, value: Any) -> None:
    for step in place[:-1]:
        document = document[step]
    last = place[-1]
    if how == "set":
        document[last] = copy.deepcopy(value)
    elif how == "drop":
        del document[last]
    elif how == "scale" and isinstance(document[last], int | float):
        document[last] *= value if isinstance(value, int | float) else 2
    elif how == "twice" and isinstance(document, list):
        document.insert(int(last), copy.deepcopy(document[int(last)]))
    elif how == "add" and isinstance(document[last], dict):
        document[last]["an unknown member"] = copy.deepcopy(value)


def _answered_or_refused(response: httpx.Response) -> None:
    if response.status_code == 200:
        answer = response.json()
        assert answer["verdict"] in ("pass", "fail", "incomplete")
        assert answer["caution"]
        return
    assert 400 <= response.status_code < 500, response.text
    checked_problem(response, response.status_code)


def _posted(post: Post, document: Any) -> httpx.Response:
    return post(json.dumps(document).encode())


MUTATIONS = st.tuples(
    st.integers(0, 10**9), st.sampled_from(["set", "drop", "scale", "twice", "add"]), VALUES
)
bounded = settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@bounded
@given(st.sampled_from(CONDITIONS), st.lists(MUTATIONS, min_size=1, max_size=4))
def test_mutated_conditions(
    post: Post, chosen: tuple[str, Any], mutations: list[tuple[int, str, Any]]
) -> None:
    vessel_id, condition = chosen
    request = {"vessel_id": vessel_id, "condition": copy.deepcopy(condition)}
    for number, how, value in mutations:
        if places := _places(request):
            _mutate(request, places[number % len(places)], how, value)
    _answered_or_refused(_posted(post, request))


@bounded
@given(st.sampled_from(CONDITIONS), st.lists(MUTATIONS, min_size=1, max_size=3))
def test_mutated_vessels(post: Post, chosen: tuple[str, Any], mutations: list[tuple[int, str, Any]]) -> None:
    vessel_id, condition = chosen
    vessel = copy.deepcopy(VESSELS[vessel_id])
    for number, how, value in mutations:
        # Parts first, then places within: long tables would otherwise take nearly every mutation.
        part = random.Random(number).choice(sorted(vessel))
        places = [(part, *place) for place in _places(vessel[part])] or [(part,)]
        _mutate(vessel, places[number % len(places)], how, value)
    _answered_or_refused(_posted(post, {"vessel": vessel, "condition": condition}))


@bounded
@given(st.sampled_from(CONDITIONS), st.integers(0, 10**9), st.binary(max_size=4))
def test_mutated_text(post: Post, chosen: tuple[str, Any], place: int, junk: bytes) -> None:
    vessel_id, condition = chosen
    text = json.dumps({"vessel_id": vessel_id, "condition": condition}).encode()
    at = place % len(text)
    _answered_or_refused(post(text[:at] + junk + text[at + len(junk) // 2 :]))


def test_from_the_published_description(url: str, http: httpx.Client) -> None:
    """Every operation that keeps nothing, with requests that fit the description and requests that do not.

    Those of kept records are tried in `test_record_fuzz`, with keys.
    """
    schema = schemathesis.openapi.from_dict(http.get("/openapi.json").json())
    checks = [
        not_a_server_error,
        status_code_conformance,
        content_type_conformance,
        response_schema_conformance,
    ]
    tried: dict[str, int] = {}
    modes = (schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE)
    for result in schema.get_all_operations():
        operation = result.ok()
        if operation.path.startswith("/v1/") and not operation.path.startswith(KEEP_NOTHING):
            continue
        cases = st.one_of([operation.as_strategy(generation_mode=mode) for mode in modes])

        examples = 25 if operation.path.startswith("/v1/assessments") else 8

        @settings(
            max_examples=examples, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
        )
        @given(case=cases)
        def run(case: Any) -> None:
            tried[case.operation.label] = tried.get(case.operation.label, 0) + 1
            case.call_and_validate(base_url=url, checks=checks)

        run()
    assert len(tried) > 8
