"""POST /v1/assessments/batch: a line for each line, in order, none lost, whatever comes in between."""

import json
import socket
import time
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import httpx
import pytest

from service.web.problem_kinds import KINDS
from tests.api.problem_check import checked_problem

NDJSON = {"Content-Type": "application/x-ndjson"}


def _line(request_document: dict[str, Any], title: str) -> bytes:
    document = {**request_document, "condition": {**request_document["condition"], "title": title}}
    return json.dumps(document).encode()


def _batch(http: httpx.Client, body: Any, **parameters: str) -> list[dict[str, Any]]:
    response = http.post("/v1/assessments/batch", content=body, params=parameters, headers=NDJSON)
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == "application/x-ndjson"
    assert response.content.endswith(b"\n")
    return [json.loads(line) for line in response.content.splitlines()]


@pytest.mark.long
def test_every_line_of_ten_thousand_is_answered_in_order(
    http: httpx.Client, request_document: dict[str, Any]
) -> None:
    request_document["condition"]["tanks"] = request_document["condition"]["tanks"][:3]
    count, bad_every = 10_000, 997
    template = _line(request_document, "@@")
    lines = [
        b'{"no": "condition"}' if number % bad_every == 0 else template.replace(b"@@", b"%d" % number)
        for number in range(count)
    ]
    body = b"\n".join(lines)

    def pieces() -> Iterator[bytes]:
        for start in range(0, len(body), 40_009):  # cut where no line ends
            yield body[start : start + 40_009]

    *answers, end = _batch(http, pieces(), detail="summary")
    bad = len(range(0, count, bad_every))
    assert end == {"type": "end", "count": count, "failed": bad, "complete": True}
    assert len(answers) == count
    for number, answer in enumerate(answers):
        if number % bad_every == 0:
            assert answer["line"] == number + 1
            assert answer["status"] == 422
        else:
            assert answer["title"] == str(number)


def test_a_bad_line_answers_for_itself(http: httpx.Client, request_document: dict[str, Any]) -> None:
    good = _line(request_document, "good")
    bad = {
        b"{": "not_json",
        b'{"a": NaN}': "not_a_number",
        b"[]": "not_an_object",
        b'{"a": 1, "a": 2}': "duplicate_member",
        rb'{"a": "\ud800"}': "lone_surrogate",
        b'{"a": "\xff"}': "not_utf8",
        b"{}": "invalid_request",
        b"x" * 1_000_001: "line_too_long",
        good.replace(b'"halvenmoor"', b'"nobody"'): "unknown_vessel",
    }
    body = b"\n".join(line for text in bad for line in (text, good))
    *answers, end = _batch(http, body)
    assert end == {"type": "end", "count": 2 * len(bad), "failed": len(bad), "complete": True}
    for number, code in enumerate(bad.values()):
        problem, answer = answers[2 * number : 2 * number + 2]
        assert problem["code"] == code
        assert problem["type"] == f"/problems/{code}"
        assert problem["status"] == KINDS[code].status
        assert problem["line"] == 2 * number + 1
        assert answer["title"] == "good"


def test_blank_lines_are_counted_and_skipped(http: httpx.Client, request_document: dict[str, Any]) -> None:
    body = b"\n\r\n" + _line(request_document, "a") + b"\r\n \t\n[]\n\n"
    answer, problem, end = _batch(http, body)
    assert answer["title"] == "a"
    assert problem["line"] == 5
    assert end["count"] == 2


@pytest.mark.parametrize("body", [b"", b"\n\n", b"   "])
def test_nothing_in_nothing_out(http: httpx.Client, body: bytes) -> None:
    assert _batch(http, body) == [{"type": "end", "count": 0, "failed": 0, "complete": True}]


def test_a_line_alone_and_in_a_batch_give_the_same(
    http: httpx.Client, request_document: dict[str, Any]
) -> None:
    single = http.post("/v1/assessments", json=request_document).json()
    lines = b"\n".join([json.dumps(request_document).encode()] * 3)
    *answers, _ = _batch(http, lines)
    for number, answer in enumerate(answers, start=1):
        assert answer.pop("line") == number
        assert _close(answer, single)


def _close(one: Any, other: Any) -> bool:
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_close(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(_close, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return one == pytest.approx(other, rel=1e-12, abs=1e-12)
    return bool(one == other)


def test_summary_and_units(http: httpx.Client, request_document: dict[str, Any]) -> None:
    summary, _ = _batch(http, _line(request_document, "a"), detail="summary", units="us")
    full, _ = _batch(http, _line(request_document, "a"), units="us")
    assert summary["units"] == full["units"]["system"] == "us"
    assert summary["gm_corrected"] == full["stability"]["gm_corrected"]
    assert "tanks" not in summary
    assert summary["caution"]


def test_refused_before_it_begins(http: httpx.Client) -> None:
    address = "/v1/assessments/batch"
    checked_problem(http.post(address, content=b"{}", headers={"Content-Type": "application/json"}), 415)
    checked_problem(http.post(address, content=b"{}", headers={**NDJSON, "Accept": "text/csv"}), 406)
    checked_problem(http.post(f"{address}?detail=all", content=b"{}", headers=NDJSON), 400)
    checked_problem(http.post(address, content=b" " * 64_000_001, headers=NDJSON), 413)


def test_both_media_types_of_lines(http: httpx.Client) -> None:
    response = http.post(
        "/v1/assessments/batch", content=b"[]", headers={"Content-Type": "application/jsonl; charset=utf-8"}
    )
    assert response.headers["content-type"] == "application/jsonl"


def _connect(url: str) -> socket.socket:
    parts = urlsplit(url)
    assert parts.hostname
    assert parts.port
    connection = socket.create_connection((parts.hostname, parts.port), timeout=30)
    connection.sendall(
        b"POST /v1/assessments/batch HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
        b"Transfer-Encoding: chunked\r\n\r\n"
    )
    return connection


def _chunk(data: bytes) -> bytes:
    return b"%x\r\n%s\r\n" % (len(data), data)


def test_answers_come_while_lines_still_go(url: str, request_document: dict[str, Any]) -> None:
    """Answer and request stream at the same time: each line is answered before the next is sent."""
    with _connect(url) as connection, connection.makefile("rb") as answer:
        for number in range(5):
            connection.sendall(_chunk(_line(request_document, f"voyage {number}") + b"\n"))
            for line in answer:
                if line.startswith(b"{"):
                    break
            assert json.loads(line)["title"] == f"voyage {number}"
        connection.sendall(b"0\r\n\r\n")
        rest = b"".join(answer.readline() for _ in range(3))
    assert b'"type":"end","count":5,"failed":0,"complete":true' in rest


def test_a_client_that_reads_only_when_all_is_sent_is_answered(
    url: str, request_document: dict[str, Any]
) -> None:
    """Far more answer than any socket buffer holds, none of it taken before the last line is sent."""
    count = 1500
    line = _line(request_document, "a") + b"\n"
    with _connect(url) as connection:
        for _ in range(count):
            connection.sendall(_chunk(line))
        connection.sendall(b"0\r\n\r\n")
        received = bytearray()
        while not received.endswith(b"0\r\n\r\n"):
            block = connection.recv(1_000_000)
            assert block, "closed too early"
            received += block
    assert len(received) > 15_000_000
    assert received.count(b'"caution"') == count
    assert b'"count":%d,"failed":0,"complete":true' % count in received


def test_a_client_that_goes_away_frees_its_place(
    http: httpx.Client, url: str, request_document: dict[str, Any]
) -> None:
    line = _line(request_document, "a") + b"\n"
    for _ in range(20):  # more than may be answered at the same time
        connection = _connect(url)
        connection.sendall(_chunk(line * 50))
        connection.close()
    deadline = time.monotonic() + 60
    while "loading_batches 0.0" not in http.get("/metrics").text:
        assert time.monotonic() < deadline
        time.sleep(0.05)
    assert len(_batch(http, line)) == 2
