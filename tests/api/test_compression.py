"""Packed answers and requests, against the gzip of the standard library (RFC 1952; RFC 9110, 8.4 and 12.5.3)."""

import gzip
import json
import time
import zlib
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from service.api.compression import takes_gzip
from tests.api.office import SHIP, Office, code_of, condition_document, running_office, vessel_document

JSON = {"Content-Type": "application/json"}
PACKED = {**JSON, "Content-Encoding": "gzip"}
LIMIT = 400_000


@pytest.fixture(scope="module")
def packed_office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    database = f"sqlite:///{tmp_path_factory.mktemp('packed')}/records.db"
    with running_office(database, max_body_bytes=LIMIT, demo=True) as office:
        yield office


@pytest.fixture(scope="module")
def key(packed_office: Office) -> dict[str, str]:
    return packed_office.key("administrator")


def _raw(
    office: Office, method: str, path: str, headers: dict[str, str], **more: Any
) -> tuple[httpx.Response, bytes]:
    """The answer and its bytes as they came."""
    with office.http.stream(method, path, headers=headers, **more) as answer:
        return answer, b"".join(answer.iter_raw())


def test_long_answers_are_packed_for_a_key_in_the_header(packed_office: Office, key: dict[str, str]) -> None:
    path = f"/v1/vessels/{SHIP}"
    plain, text = _raw(packed_office, "GET", path, {**key, "Accept-Encoding": "identity"})
    packed, raw = _raw(packed_office, "GET", path, {**key, "Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(raw) == text
    assert int(packed.headers["Content-Length"]) == len(raw) < len(text) / 3
    assert packed.headers["ETag"] == plain.headers["ETag"]
    for answer in (plain, packed):
        assert "Accept-Encoding" in answer.headers.get_list("Vary", split_commas=True)
    head = packed_office.http.head(path, headers={**key, "Accept-Encoding": "gzip"})
    assert (head.headers["Content-Encoding"], head.headers["Content-Length"]) == ("gzip", str(len(raw)))


def test_short_answers_are_not_packed(packed_office: Office, key: dict[str, str]) -> None:
    answer, raw = _raw(packed_office, "GET", "/version", {**key, "Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in answer.headers
    assert json.loads(raw)["api_version"] == "1"


def test_answers_to_a_cookie_are_not_packed(packed_office: Office, key: dict[str, str]) -> None:
    """A site that makes a browser ask could tell contents by the length."""
    token = key["Authorization"].partition(" ")[2]
    headers = {"Cookie": f"loading_session=x.{token}", "Accept-Encoding": "gzip"}
    answer, raw = _raw(packed_office, "GET", f"/v1/vessels/{SHIP}", headers)
    assert answer.status_code == 200
    assert "Content-Encoding" not in answer.headers
    assert json.loads(raw)["vessel"] == SHIP


def test_what_has_no_body_is_not_packed(packed_office: Office, key: dict[str, str]) -> None:
    path = f"/v1/vessels/{SHIP}"
    tag = packed_office.http.get(path, headers=key).headers["ETag"]
    answer, raw = _raw(packed_office, "GET", path, {**key, "Accept-Encoding": "gzip", "If-None-Match": tag})
    assert (answer.status_code, raw) == (304, b"")
    assert "Content-Encoding" not in answer.headers


@pytest.mark.parametrize(
    ("field", "taken"),
    [
        ("gzip", True),
        ("GZip, br", True),
        ("deflate, x-gzip;q=0.5", True),
        ("*", True),
        ("gzip;q=0", False),
        ("gzip; q=0.000", False),
        ("*;q=0", False),
        ("br, gzip;q=0, *", False),
        ("identity", False),
        ("", False),
    ],
)
def test_accept_encoding(field: str, taken: bool) -> None:
    assert takes_gzip(field.encode()) is taken


def test_a_batch_is_packed_while_its_lines_still_come_in(packed_office: Office, key: dict[str, str]) -> None:
    """Each answer can be unpacked before the next line is sent."""
    line = json.dumps({"vessel_id": SHIP, "condition": condition_document()}).encode() + b"\n"
    unpacker = zlib.decompressobj(31)
    text = b""

    def lines() -> Iterator[bytes]:
        yield line
        yield line

    headers = {**key, "Content-Type": "application/x-ndjson", "Accept-Encoding": "gzip"}
    with packed_office.http.stream(
        "POST", "/v1/assessments/batch", content=lines(), headers=headers, params={"detail": "summary"}
    ) as answer:
        assert answer.headers["Content-Encoding"] == "gzip"
        for block in answer.iter_raw():
            text += unpacker.decompress(block)
    assert unpacker.eof
    answers = [json.loads(part) for part in text.splitlines()]
    assert [each.get("verdict") for each in answers[:2]] == ["pass", "pass"]
    assert (answers[2]["type"], answers[2]["count"]) == ("end", 2)


def test_packed_requests(packed_office: Office, key: dict[str, str]) -> None:
    request = json.dumps({"vessel_id": SHIP, "condition": condition_document()}).encode()
    plain = packed_office.http.post("/v1/assessments", content=request, headers={**key, **JSON})
    half = len(request) // 2
    for body, coding in (
        (gzip.compress(request), "gzip"),
        (gzip.compress(request), "X-GZIP"),
        (gzip.compress(request[:half]) + gzip.compress(b"") + gzip.compress(request[half:]), "gzip"),
        (request, "identity"),
    ):
        headers = {**key, **JSON, "Content-Encoding": coding}
        answer = packed_office.http.post("/v1/assessments", content=body, headers=headers)
        assert (answer.status_code, answer.content) == (200, plain.content)
    parts = (gzip.compress(request)[i : i + 1] for i in range(len(gzip.compress(request))))
    answer = packed_office.http.post("/v1/assessments", content=parts, headers={**key, **PACKED})
    assert (answer.status_code, answer.content) == (200, plain.content)


def test_a_vessel_and_a_batch_come_packed(packed_office: Office, key: dict[str, str]) -> None:
    text = json.dumps(vessel_document(name="Packed")).encode()
    made = packed_office.http.post("/v1/vessels", content=gzip.compress(text), headers={**key, **PACKED})
    assert made.status_code == 201
    line = json.dumps({"vessel_id": made.json()["vessel"], "condition": condition_document()}).encode()
    headers = {**key, "Content-Type": "application/x-ndjson", "Content-Encoding": "gzip"}
    body = gzip.compress(b"\n".join([line] * 200))  # in several pieces
    answer = packed_office.http.post("/v1/assessments/batch?detail=summary", content=body, headers=headers)
    assert json.loads(answer.text.splitlines()[-1]) == {
        "type": "end",
        "count": 200,
        "failed": 0,
        "complete": True,
    }


@pytest.mark.parametrize("over", [0, 1])
def test_the_limit_counts_what_comes_out(packed_office: Office, key: dict[str, str], over: int) -> None:
    request = json.dumps({"vessel_id": SHIP, "condition": condition_document()}).encode()
    body = gzip.compress(request.ljust(LIMIT + over))
    answer = packed_office.http.post("/v1/assessments", content=body, headers={**key, **PACKED})
    if over:
        assert code_of(answer) == (413, "body_too_large")
    else:
        assert answer.status_code == 200, answer.text


def test_bombs_are_stopped_early(packed_office: Office, key: dict[str, str]) -> None:
    """97 kB that would become 100 MB, and 19,000 empty members; neither takes noticeable time."""
    bomb = gzip.compress(bytes(100_000_000), 9)
    assert len(bomb) < LIMIT
    members = gzip.compress(b"") * (LIMIT // 21)
    for body, wanted in ((bomb, (413, "body_too_large")), (members, (400, "unreadable_encoding"))):
        began = time.perf_counter()
        answer = packed_office.http.post("/v1/assessments", content=body, headers={**key, **PACKED})
        assert code_of(answer) == wanted
        assert time.perf_counter() - began < 2.0


@pytest.mark.parametrize(
    "body",
    [b"", b"{}", gzip.compress(b"{}")[:-4], gzip.compress(b"{}")[:-1] + b"x", gzip.compress(b"{}") + b"{}"],
    ids=["empty", "not packed", "cut off", "wrong check sum", "more behind it"],
)
def test_what_is_no_gzip_is_refused(packed_office: Office, key: dict[str, str], body: bytes) -> None:
    answer = packed_office.http.post("/v1/assessments", content=body, headers={**key, **PACKED})
    assert code_of(answer) == (400, "unreadable_encoding")


def test_other_codings_are_refused_by_name(packed_office: Office, key: dict[str, str]) -> None:
    for coding in ("br", "gzip, gzip", "deflate"):
        headers = {**key, **JSON, "Content-Encoding": coding}
        answer = packed_office.http.post("/v1/assessments", content=b"{}", headers=headers)
        assert code_of(answer) == (415, "unsupported_media_type")
        assert answer.headers["Accept-Encoding"] == "gzip"
        assert coding in answer.json()["detail"]
