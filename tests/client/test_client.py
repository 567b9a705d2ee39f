"""The client against a real server, and against one that misbehaves."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from typing import Any

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.client import CutOff, Refused, ServiceClient, Unreachable, documents
from service.client.synchronous import iteration
from service.demo import read_condition
from service.settings import Settings
from service.wire.key import KeyRequest


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
        client.get_rule_set("none-such")


def test_rule_sets_and_version(client: ServiceClient) -> None:
    items = client.list_rule_sets()["items"]
    assert client.get_rule_set(items[0]["name"]) == items[0]
    assert client.get_version()["api_version"] == "1"


def test_batch_of_many_requests_keeps_order_and_numbers(
    client: ServiceClient, request_document: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(documents, "LINES_PER_REQUEST", 7)
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
        client.get_version()


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


@pytest.fixture
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The seconds the client waits, without waiting."""
    waited: list[float] = []
    monkeypatch.setattr(iteration.time, "sleep", waited.append)
    return waited


VERSION = httpx.Response(200, json={"api_version": "1"})


def test_busy_is_tried_again_as_told(pauses: list[float]) -> None:
    busy = [httpx.Response(503, headers={"Retry-After": pause}) for pause in ("2", "60", "soon")]
    client = _answering(*busy, VERSION)
    assert client.get_version()["api_version"] == "1"
    assert pauses == [2.0, 60.0, 1.0]


def test_who_asks_too_often_waits_until_the_time_told(pauses: list[float]) -> None:
    """Retry-After as a date (RFC 9110, section 10.2.3)."""
    at = format_datetime(datetime.now(UTC) + timedelta(seconds=20), usegmt=True)
    past = format_datetime(datetime.now(UTC) - timedelta(seconds=20), usegmt=True)
    client = _answering(*(httpx.Response(429, headers={"Retry-After": when}) for when in (at, past)), VERSION)
    assert client.get_version()["api_version"] == "1"
    assert 17.0 < pauses[0] <= 20.0
    assert pauses[1] == 0.0


def test_it_gives_up(pauses: list[float]) -> None:
    for answers in ([httpx.Response(503)] * 4, [httpx.Response(429, headers={"Retry-After": "61"})]):
        with pytest.raises(Refused) as refused:
            _answering(*answers).get_version()
        assert refused.value.problem["status"] == answers[-1].status_code
    assert pauses == [0.25, 0.5, 1.0]


def test_a_request_still_under_way_is_asked_again_and_no_other_conflict(pauses: list[float]) -> None:
    def conflict(code: str) -> httpx.Response:
        problem = {"type": f"/problems/{code}", "title": "", "status": 409, "detail": "", "code": code}
        return httpx.Response(
            409, json=problem, headers={"Content-Type": "application/problem+json", "Retry-After": "1"}
        )

    assert _answering(conflict("idempotency_in_flight"), VERSION).get_version()["api_version"] == "1"
    assert pauses == [1.0]
    with pytest.raises(Refused) as refused:
        _answering(conflict("own_revision"), VERSION).get_version()
    assert refused.value.problem["code"] == "own_revision"
    assert pauses == [1.0]


def _losing(sent: list[httpx.Request], *answers: httpx.Response | Exception) -> ServiceClient:
    waiting = iter(answers)

    def answer(request: httpx.Request) -> httpx.Response:
        sent.append(request)
        found = next(waiting)
        if isinstance(found, Exception):
            raise found
        return found

    return ServiceClient("http://service", transport=httpx.MockTransport(answer))


def test_a_lost_connection_repeats_the_change_under_the_same_name(pauses: list[float]) -> None:
    made = httpx.Response(201, json={"vessel": "a"}, headers={"ETag": '"1"'})
    lost = (httpx.RemoteProtocolError("gone"), httpx.ReadError("gone"), httpx.ConnectError("refused"))
    sent: list[httpx.Request] = []
    assert _losing(sent, *lost, made).add_vessel({"name": "x"}).record == {"vessel": "a"}
    assert len({request.headers["Idempotency-Key"] for request in sent}) == 1
    assert len({request.content for request in sent}) == 1
    assert pauses == [0.25, 0.5, 1.0]
    others: list[httpx.Request] = []
    _losing(others, made).add_vessel({"name": "x"})
    assert others[0].headers["Idempotency-Key"] != sent[0].headers["Idempotency-Key"]
    with pytest.raises(Unreachable):
        _losing([], *lost, httpx.ReadError("gone")).get_version()


def test_a_service_that_is_slow_is_not_asked_twice(pauses: list[float]) -> None:
    with pytest.raises(Unreachable):
        _losing([], httpx.ReadTimeout("slow")).get_version()
    assert pauses == []


class _CutOff(httpx.SyncByteStream):
    def __init__(self, text: bytes) -> None:
        self._text = text

    def __iter__(self) -> Iterator[bytes]:
        yield self._text
        raise httpx.RemoteProtocolError("peer closed connection")


def test_a_batch_goes_on_behind_the_last_whole_answer(pauses: list[float]) -> None:
    first = httpx.Response(200, stream=_CutOff(b'{"title":"a"}\n{"title":"b"}\n{"tit'))
    rest = b'{"title":"c"}\n{"line":2,"type":"/problems/x"}\n{"type":"end","count":2,"failed":1,"complete":true}\n'
    sent: list[httpx.Request] = []
    client = _losing(sent, first, httpx.Response(200, content=rest))
    answers: list[Any] = list(client.assess_batch([{"n": n} for n in range(4)]))
    assert [answer.get("title") for answer in answers] == ["a", "b", "c", None]
    assert answers[3]["line"] == 4
    assert sent[1].content == b'{"n": 2}\n{"n": 3}'
    assert pauses == [0.25]


def test_a_proxy_that_reaches_nobody_is_asked_again_where_that_does_no_harm(pauses: list[float]) -> None:
    def between() -> httpx.Response:
        return httpx.Response(502, text="<html>bad gateway</html>")

    assert _answering(between(), VERSION).get_version()["api_version"] == "1"
    with pytest.raises(Refused) as refused:
        _answering(*(between() for _ in range(4))).get_version()
    assert refused.value.problem["status"] == 502
    assert pauses == [0.25, 0.25, 0.5, 1.0]
    with pytest.raises(Refused):
        _answering(between()).add_key({"name": "x", "role": "ship"})  # that key may be there already


def test_a_key_is_asked_for_once(pauses: list[float]) -> None:
    sent: list[httpx.Request] = []
    made = httpx.Response(201, json={"id": "k"})
    assert _losing(sent, httpx.ConnectError("refused"), made).add_key({"name": "x"})["id"] == "k"
    assert pauses == [0.25]
    with pytest.raises(Unreachable):
        _losing(sent, httpx.ReadError("gone")).add_key({"name": "x"})


def test_how_often_it_tries_is_the_callers_choice(pauses: list[float]) -> None:
    transport = httpx.MockTransport(lambda _: httpx.Response(503))
    with pytest.raises(Refused):
        ServiceClient("http://service", attempts=1, transport=transport).get_version()
    assert pauses == []


def test_documents_may_be_models() -> None:
    """Of a model the members that were set are sent: what is not known is left out, not null."""
    model = KeyRequest(name="Mate", role="ship", vessels=["a"])
    assert json.loads(documents.text_of(model)) == {"name": "Mate", "role": "ship", "vessels": ["a"]}


def test_ids_stay_one_step_of_an_address() -> None:
    sent: list[httpx.Request] = []
    client = _losing(sent, httpx.Response(200, json={}), httpx.Response(200, json={}))
    client.get_vessel("a/../b")
    client.get_vessel("?x=ü")
    assert [request.url.raw_path for request in sent] == [
        b"/v1/vessels/a%2F..%2Fb",
        b"/v1/vessels/%3Fx%3D%C3%BC",
    ]


def test_a_batch_goes_on_where_the_service_stopped(pauses: list[float]) -> None:
    """What the service says of the whole stream is no answer to a line."""
    stopping = (
        b'{"type":"/problems/not_ready","status":503,"code":"not_ready","detail":"Send the rest again."}\n'
    )
    cut = b'{"type":"end","count":1,"failed":0,"complete":false}\n'
    whole = b'{"title":"b"}\n{"type":"end","count":1,"failed":0,"complete":true}\n'
    first = httpx.Response(200, content=b'{"title":"a"}\n' + stopping + cut)
    sent: list[httpx.Request] = []
    answers: list[Any] = list(
        _losing(sent, first, httpx.Response(200, content=whole)).assess_batch([{"n": 0}, {"n": 1}])
    )
    assert [answer["title"] for answer in answers] == ["a", "b"]
    assert sent[1].content == b'{"n": 1}'
    refused = stopping.replace(b"503", b"422").replace(b"not_ready", b"too_many_refused")
    ended = _answering(httpx.Response(200, content=b'{"title":"a"}\n' + refused + cut))
    with pytest.raises(CutOff, match=r"answered: Send the rest again\.$"):
        list(ended.assess_batch([{}, {}]))
    broken = _answering(httpx.Response(200, content=b'{"title":"a"}\n{"tit'))
    with pytest.raises(CutOff, match="within an answer"):
        list(broken.assess_batch([{}, {}]))


def test_who_did_not_answer_and_why() -> None:
    def client(address: str, error: Exception) -> ServiceClient:
        def refuse(_: httpx.Request) -> httpx.Response:
            raise error

        return ServiceClient(address, attempts=1, transport=httpx.MockTransport(refuse))

    for address, name in (
        ("https://loading.example", "loading.example"),
        ("http://10.0.0.1:81/", "10.0.0.1:81"),
    ):
        with pytest.raises(Unreachable, match=rf"^No answer from {name}: connection refused\.$"):
            client(address, httpx.ConnectError("connection refused")).get_version()
    with pytest.raises(Unreachable, match=r"ReadTimeout\.$"):
        client("http://service", httpx.ReadTimeout("")).get_version()


def test_what_stands_between_is_told_from_the_service() -> None:
    with pytest.raises(Refused) as refused:
        _answering(httpx.Response(200, html="<p>Sign in to the network</p>")).get_version()
    assert refused.value.problem["code"] == "foreign_answer"
    moved = httpx.Response(308, headers={"Location": "https://service/version"})
    with pytest.raises(Refused, match=r"leads to https://service/version: give the client that address"):
        _answering(moved).get_version()


def test_a_key_from_a_file_and_times_as_filters() -> None:
    sent: list[httpx.Request] = []
    page = httpx.Response(200, json={"items": [], "next": None})

    def answer(request: httpx.Request) -> httpx.Response:
        sent.append(request)
        return page

    client = ServiceClient("http://service/", key="lc_a\n", transport=httpx.MockTransport(answer))
    at = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
    list(client.list_conditions(created_after=at, verdict=["fail", "incomplete"], limit=5))
    assert sent[0].headers["Authorization"] == "Bearer lc_a"
    assert sent[0].url.params.multi_items() == [
        ("created_after", "2026-11-27T09:30:00+00:00"),
        ("verdict", "fail"),
        ("verdict", "incomplete"),
        ("limit", "5"),
    ]


def test_a_review_may_take_force() -> None:
    sent: list[httpx.Request] = []
    client = _losing(sent, *(httpx.Response(201, json={}) for _ in range(2)))
    client.add_review("c", 2, "accepted", "Good.", in_force=True)
    client.add_review("c", 2, "accepted")
    assert [json.loads(request.content) for request in sent] == [
        {"decision": "accepted", "note": "Good.", "in_force": True},
        {"decision": "accepted"},
    ]
