"""The client against a real server, and against one that misbehaves."""

import json
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from service import client as client_module
from service.app import create_app
from service.cli.local_server import local_server
from service.client import CutOff, Refused, ServiceClient, Unreachable
from service.demo import read_condition
from service.settings import Settings


@pytest.fixture(scope="module")
def client() -> Iterator[ServiceClient]:
    with (
        local_server(create_app(Settings(access_log=False, database_url=""))) as url,
        ServiceClient(url) as client,
    ):
        yield client


@pytest.fixture
def request_document() -> dict[str, Any]:
    return {
        "vessel_id": "halvenmoor",
        "condition": json.loads(read_condition("halvenmoor", "departure-homogeneous")),
    }


def test_assess(client: ServiceClient, request_document: dict[str, Any]) -> None:
    answer = client.assess(request_document, units="us")
    assert answer["units"]["system"] == "us"
    assert answer == client.assess(json.dumps(request_document).encode(), units="us")


def test_refusals_carry_the_problem(client: ServiceClient) -> None:
    with pytest.raises(Refused) as refused:
        client.assess({"vessel_id": "nobody", "condition": {}})
    assert refused.value.problem["code"] == "unknown_vessel"
    with pytest.raises(Refused):
        client.rule_set("none-such")


def test_rule_sets_and_version(client: ServiceClient) -> None:
    items = client.rule_sets()["items"]
    assert client.rule_set(items[0]["name"]) == items[0]
    assert client.version()["api_version"] == "1"


def test_batch_of_many_requests_keeps_order_and_numbers(
    client: ServiceClient, request_document: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client_module, "LINES_PER_REQUEST", 7)
    taken = 0

    def requests() -> Iterator[Any]:
        nonlocal taken
        for number in range(30):
            taken += 1
            if number == 16:
                yield b" \n "
            elif number == 23:
                yield {"no": "vessel"}
            else:
                yield {
                    **request_document,
                    "condition": {**request_document["condition"], "title": str(number)},
                }

    answers: list[Any] = []
    for answer in client.assess_batch(requests(), detail="summary"):
        answers.append(answer)
        assert taken <= len(answers) + 2 * 7  # taken as they are answered, not all at once
    assert len(answers) == 30
    assert [answer.get("line", 0) for answer in answers if "type" in answer] == [17, 24]
    assert [answer["title"] for answer in answers if "type" not in answer] == [
        str(number) for number in range(30) if number not in (16, 23)
    ]


def test_nobody_there() -> None:
    with ServiceClient("http://127.0.0.1:9", timeout=2) as client, pytest.raises(Unreachable):
        client.version()


def _answering(*responses: httpx.Response) -> ServiceClient:
    waiting = iter(responses)
    return ServiceClient("http://service", transport=httpx.MockTransport(lambda _: next(waiting)))


@pytest.mark.parametrize(
    "lines",
    [
        b'{"title":"a"}\n',
        b'{"title":"a"}\n{"type":"end","count":1,"failed":0,"complete":true}\n',
        b'{"title":"a"}\n{"title":"b"}\n{"type":"end","count":2,"failed":0,"complete":false}\n',
        b"",
    ],
)
def test_a_batch_that_is_cut_off_is_noticed(lines: bytes) -> None:
    client = _answering(httpx.Response(200, content=lines))
    with pytest.raises(CutOff):
        list(client.assess_batch([{}, {}]))


def test_busy_is_tried_again_as_told(monkeypatch: pytest.MonkeyPatch) -> None:
    pauses: list[float] = []
    monkeypatch.setattr(client_module.time, "sleep", pauses.append)
    busy = [httpx.Response(503, headers={"Retry-After": pause}) for pause in ("2", "900", "soon")]
    client = _answering(*busy, httpx.Response(200, json={"api_version": "1"}))
    assert client.version()["api_version"] == "1"
    assert pauses == [2.0, 5.0, 1.0]


def test_an_answer_of_something_in_between() -> None:
    client = _answering(httpx.Response(502, text="<html>bad gateway</html>"))
    with pytest.raises(Refused) as refused:
        client.version()
    assert refused.value.problem["status"] == 502
