"""No text from outside takes more than a second of processor time, at the length that is let in.

Every kind of text that is cut up, decoded, normalised or searched: bodies, lines of batches, header fields, addresses,
queries, forms. Found answers are not looked at here beyond their being no server error.
"""

import itertools
import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.api.in_process import Headers, InProcess, in_process
from tests.api.office import condition_document, settings_for, vessel_document
from tests.wire.hostile_texts import at_length

SECONDS = 1.0
BODY, BATCH, FIELD = 2_000_000, 64_000_000, 8_000
JSON: Headers = [(b"content-type", b"application/json")]
LINES: Headers = [(b"content-type", b"application/x-ndjson")]
FORM: Headers = [(b"content-type", b"application/x-www-form-urlencoded")]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[InProcess]:
    database = f"sqlite:///{tmp_path_factory.mktemp('hostile')}/records.db"
    with in_process(settings_for(database, demo=True, worker_processes=0)) as app:
        app.ask("GET", "/sign-in")
        yield app


@pytest.fixture(scope="module")
def address(app: InProcess) -> str:
    text = json.dumps(condition_document()).encode()
    answer = app.ask("POST", "/v1/vessels/halvenmoor/conditions", text, JSON)
    assert answer.status == 201
    return f"/v1/conditions/{json.loads(answer.body)['condition']}"


def _in_time(app: InProcess, method: str, target: str, body: bytes = b"", headers: Headers = ()) -> int:
    """The status of an answer that took little processor time, whoever else uses the machine."""
    began = time.process_time()
    answer = app.ask(method, target, body, headers)
    taken = time.process_time() - began
    assert taken < SECONDS, (
        f"{taken:.2f} s for {method} {target[:60]} {body[:40]!r} {list(headers)[:1]!r:.80}"
    )
    assert 200 <= answer.status < 500, answer.body[:300]
    return answer.status


@pytest.mark.parametrize("name", at_length(100))
def test_json(app: InProcess, name: str) -> None:
    _in_time(app, "POST", "/v1/assessments", at_length(BODY)[name], JSON)


def test_json_elsewhere(app: InProcess, address: str) -> None:
    text = at_length(BODY)["escaped quotes, not closed"]
    _in_time(app, "POST", "/v1/vessels", text, JSON)
    patch = [(b"content-type", b"application/merge-patch+json"), (b"if-match", b'"1.0"')]
    _in_time(app, "PATCH", address, text, patch)


def test_documents_with_very_many_errors(app: InProcess) -> None:
    """Fifty errors are listed, the others counted, and places are true."""
    ship = {"vessel_id": "halvenmoor"}
    weights = [{str(number): 1 for number in range(30)}] * 5_000
    unknown = {str(number): 1 for number in range(120_000)}
    for more in ({"weights": weights}, unknown, {"weights": [{}] * 5_000}, {"tanks": [{"fill": None}] * 500}):
        body = json.dumps({**ship, "condition": {**condition_document(), **more}}).encode()
        assert len(body) < BODY
        answer = app.ask("POST", "/v1/assessments", body, JSON)
        assert answer.status == 422
        problem = json.loads(answer.body)
        assert len(problem["errors"]) == 50
        assert problem["errors_not_listed"] >= 450
        assert not any(e["code"] == "missing" and e["pointer"].count("/") == 2 for e in problem["errors"])
        _in_time(app, "POST", "/v1/assessments", body, JSON)
    vessel = vessel_document()
    tanks = json.dumps({**vessel, "tanks": vessel["tanks"][:1] * 300}).encode()
    _in_time(app, "POST", "/v1/vessels", tanks, JSON)


@pytest.mark.parametrize(
    "unit", [b"\n", b" \n", b" ", b"\r", b"{}\n", b"x\n", b"x", b"x" + b"\n" * 999], ids=repr
)
def test_batches(app: InProcess, unit: bytes) -> None:
    """Blank lines cost a count, and a thousand refused lines in a row end a batch."""
    _in_time(app, "POST", "/v1/assessments/batch", unit * (BATCH // len(unit)), LINES)


UNITS = (b" ", b'"', b",", b"\\", b";", b'W/"a",', b'="', rb"a=\"", b"\\377", b"*", b"[", b"%", b"\xff", b"9")
NAMES = (
    *(
        b"accept",
        b"accept-encoding",
        b"authorization",
        b"content-type",
        b"cookie",
        b"host",
        b"idempotency-key",
    ),
    *(b"if-match", b"if-none-match", b"origin", b"sec-fetch-site", b"x-forwarded-for", b"x-request-id"),
)


@pytest.mark.parametrize("name", NAMES, ids=bytes.decode)
def test_header_fields(app: InProcess, address: str, name: bytes) -> None:
    """Seven of a name at nearly their longest, so that the head has nearly its longest; in a cookie also its name."""
    for unit, (method, target) in itertools.product(
        UNITS,
        [("GET", address), ("GET", "/"), ("PUT", address), ("POST", "/v1/assessments"), ("POST", "/sign-in")],
    ):
        head = b'loading_session="' if name == b"cookie" else b""
        fields = [(name, (head + unit * FIELD)[:FIELD])] * 7
        _in_time(app, method, target, b"{}", [*fields, *(JSON if name != b"content-type" else ())])


def test_addresses_and_queries(app: InProcess, address: str) -> None:
    for unit in (
        "a",
        "&",
        "=",
        "%",
        "+",
        "a=&",
        "units=metric&",
        "%ff",
        "%00",
        "limit=1&",
        "/",
        "%2f",
        "..%2f",
        "[",
        ";",
    ):
        long = (unit * FIELD)[:FIELD]
        for target in ("/v1/vessels", "/v1/changes", address, f"{address}/comparison", "/", "/sign-in"):
            for query in (long, f"cursor={long}", f"to=/{long}"):
                _in_time(app, "GET", f"{target}?{query}")
        for target in ("/", "/v1/vessels/", "/v1/conditions/", "/static/", "/problems/", "/conditions/"):
            _in_time(app, "GET", target + long)


def test_forms(app: InProcess) -> None:
    for unit in (
        b"&",
        b"=",
        b"%",
        b"+",
        b"a&",
        b"a=b&",
        b"%41",
        b"%c3",
        b"kept=[",
        b"a",
        b"[%22a%22,%22b%22],",
    ):
        body = (b"kept=[" if unit.endswith(b",") else b"") + unit * (BODY // len(unit) - 10)
        for target in ("/sign-in", "/vessels/new"):
            _in_time(app, "POST", target, body, FORM)


def test_forms_in_parts(app: InProcess) -> None:
    head = b'Content-Disposition: form-data; name="a"\r\n'
    for boundary in (b"x", b"-" * 70):
        start = b"--" + boundary + b"\r\n"
        for unit in (
            *(b"-", b"\r\n", b"\r\n-", b"\r", b"\r\n--" + boundary, start + head + b"\r\n\r\n"),
            *(start + b"A: b\r\n", start + b"A;", start + b"Content-Disposition: form-data" + b';"' * 2_000),
        ):
            for first in (b"", start + head + b"\r\n"):
                body = (first + unit * (BODY // len(unit)))[: BODY - 10]
                headers = [(b"content-type", b"multipart/form-data; boundary=" + boundary)]
                _in_time(app, "POST", "/sign-in", body, headers)


def test_long_header_fields_and_addresses_are_refused(app: InProcess) -> None:
    for target, headers, status, code in (
        ("/livez", [(b"x-anything", b"a" * 8_200)], 431, "header_too_large"),
        ("/livez", [(b"a" * 8_200, b"")], 431, "header_too_large"),
        ("/livez?" + "a" * 8_200, [], 414, "address_too_long"),
        ("/" + "a" * 8_200, [], 414, "address_too_long"),
    ):
        answer = app.ask("GET", target, b"", headers)
        assert (answer.status, json.loads(answer.body)["code"]) == (status, code)
    assert app.ask("GET", "/livez", b"", [(b"x-anything", b"a" * 8_000)] * 7).status == 200


def test_a_form_in_another_encoding_is_refused(app: InProcess, tmp_path: Path) -> None:
    for charset in (b"undefined", b"\0", b"utf-16", b"idna", b"hex", b"../x", b"a" * 7_000, b"\xff"):
        body = b'--x\r\nContent-Disposition: form-data; name="key\xff\xfe.."\r\n\r\n\xff\x00\r\n--x--\r\n'
        kind = b"multipart/form-data; boundary=x; charset=" + charset
        assert app.ask("POST", "/sign-in", body, [(b"content-type", kind)]).status == 415
