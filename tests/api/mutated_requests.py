"""Requests made from valid ones by chance, of every operation and page: what the fuzz tests send."""

import json
import random
from collections.abc import Iterator
from typing import Any, NamedTuple
from urllib.parse import quote

import httpx

from service.app import create_app
from service.pages.session import form_token
from tests.api.in_process import InProcess
from tests.api.office import Office, condition_document, settings_for, vessel_document

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "QUERY")
TEXTS = (
    *("", "0", "-1", "1", "2", "99999999999999999999", "1e9", "true", "null", "a" * 300, "%", "%00", "%0a", "%ff"),
    *("%2f", "..", "full", "summary", "-0", "1.5"),
    *("\u202e", "é", "e\u0301", "船", "'", '"', "<b>", "//[", "http://[", "[", "{}", "*", "metric", "us"),
    *("2026-01-01T00:00:00Z", "9999-99-99", "departure", "pass", "accepted", "=", "&", ";", "\\", "x" * 3_000),
)  # fmt: skip
QUERIES = (
    *(
        "units",
        "detail",
        "limit",
        "cursor",
        "from",
        "to",
        "after",
        "vessel",
        "verdict",
        "review_state",
        "phase",
        "name",
    ),
    *("updated_after", "updated_before", "reason", "key", "revision", "since", "done", "x"),
)
FIELDS = (
    *(
        "accept",
        "accept-encoding",
        "authorization",
        "content-type",
        "content-length",
        "cookie",
        "expect",
        "host",
    ),
    *(
        "idempotency-key",
        "if-match",
        "if-none-match",
        "origin",
        "range",
        "sec-fetch-site",
        "te",
        "x-forwarded-for",
    ),
    *("x-request-id", "transfer-encoding", "content-encoding", "x-http-method-override"),
)
TYPES = (
    *(
        "application/json",
        "application/x-ndjson",
        "application/merge-patch+json",
        "application/x-www-form-urlencoded",
    ),
    *(
        "multipart/form-data; boundary=x",
        "text/html",
        "*/*",
        "application/json; charset=utf-16",
        "application/pdf",
    ),
)
FITTING = {
    "/assessments": 0,
    "/batch": 1,
    "/conditions": 2,
    "/{condition}": 2,
    "/vessels": 3,
    "/{vessel}": 3,
    "/reviews": 5,
    "/reassessments": 6,
    "/keys": 7,
    "/scope": 8,
}
"""Which document of the seeds an operation takes, by the end of its path."""
FORM_FIELDS = (
    *(
        "key",
        "target",
        "kept",
        "reason",
        "seen",
        "once",
        "document",
        "decision",
        "note",
        "digest",
        "name",
        "role",
    ),
    *(
        "vessels",
        "days",
        "title",
        "water_density",
        "basis",
        "mark",
        "voyage.phase",
        "q:fo-db-5-p",
        "b:fo-db-5-p",
    ),
    *("w:0:name", "w:0:mass", "w:4999:lcg", "w:x:y", "c:fo-db-5-p", "d:fo-db-5-p"),
)
VALUES = (
    *(None, True, False, 0, -0.0, 1, -1, 1e300, -1e300, 1e-300, 2**53, 0.5, 98.0, 100.0001, 1e4, "", "a\0b", "\u202e"),
    *([], {}, [[]], [None], {"a": 1}, "x" * 300, "metric", "pass", [1e9] * 30),
)  # fmt: skip


class Request(NamedTuple):
    """One request as `InProcess.ask` takes it."""

    method: str
    target: bytes
    body: bytes
    headers: list[tuple[bytes, bytes]]


class Seeds(NamedTuple):
    """What requests are made from: operations with the documents and parameters they take, and names of what is
    stored."""

    operations: list[tuple[str, str]]
    parameters: dict[tuple[str, str], list[str]]
    documents: list[Any]
    names: dict[str, list[str]]
    key: str


def seeds(app: InProcess, database: str) -> Seeds:
    """Every operation and page, with some records entered for them."""
    json_type = [(b"content-type", b"application/json")]

    key = Office("", database, httpx.Client()).token("administrator")
    bearer = (b"authorization", f"Bearer {key}".encode())

    def entered(path: str, document: Any) -> Any:
        answer = app.ask("POST", path, json.dumps(document).encode(), [*json_type, bearer])
        assert answer.status == 201, answer.body
        return json.loads(answer.body)

    vessel = entered("/v1/vessels", vessel_document())["vessel"]
    conditions = [
        entered(f"/v1/vessels/{ship}/conditions", condition_document(name, known))["condition"]
        for ship, known, name in (
            (vessel, "halvenmoor", "departure-homogeneous"),
            ("halvenmoor", "halvenmoor", "departure-homogeneous"),
        )
    ]
    described = json.loads(app.ask("GET", "/openapi.json").body)["paths"]
    parameters = {
        (method.upper(), path): [p["name"] for p in operation.get("parameters", ()) if p["in"] == "query"]
        for path, methods in described.items()
        for method, operation in methods.items()
    }
    operations = set(parameters)
    pages = create_app(settings_for(database)).routes
    operations |= {
        (method, route.path) for route in pages for method in getattr(route, "methods", None) or ()
    }
    small = {**vessel_document(), "tanks": vessel_document()["tanks"][:2]}
    documents = [
        {"vessel_id": vessel, "condition": condition_document()},
        {"vessel": small, "condition": {**condition_document(), "tanks": []}},
        condition_document(),
        small,
        {"title": "Patched"},
        {"decision": "returned", "note": "Look again."},
        {"vessel": vessel},
        {"name": "New", "role": "ship", "vessels": [vessel], "days": 3},
        {"vessels": None},
    ]
    names = {
        "vessel": [vessel, "halvenmoor", "ostrel"],
        "condition": conditions,
        "number": ["1", "2"],
        "name": ["is-code-2008-a-2.2", "page.css"],
        "code": ["stale"],
    }
    return Seeds(sorted(operations), parameters, documents, names, key)


DEAR = (".pdf", "/report", "/vcg-limits", "/what-would-do", "/what-moves")
"""Ends of the addresses that take longest, a hundred times as long as the others: they are asked for seldom."""


def requests(seeds: Seeds, chance: random.Random) -> Iterator[Request]:
    """Requests without an end, the same ones for the same seed."""
    while True:
        method, template = chance.choice(seeds.operations)
        if template.endswith(DEAR) and chance.random() < 0.9:
            continue
        if chance.random() < 0.08:
            method = chance.choice(METHODS)
        yield Request(
            method,
            _target(seeds, method, template, chance),
            _body(seeds, method, template, chance),
            list(_headers(seeds, method, template, chance)),
        )


def _target(seeds: Seeds, method: str, template: str, chance: random.Random) -> bytes:
    steps = []
    for step in template.split("/"):
        name = step.strip("{}").partition(":")[0] if step.startswith("{") else ""
        if name and chance.random() < 0.85:
            step = chance.choice(seeds.names.get(name, ["x"]))
        elif name or chance.random() < 0.02:
            step = _text(chance)
        steps.append(step)
    path = "/".join(steps)
    count = chance.choice((0, 0, 1, 1, 2, 5) if method in ("GET", "HEAD") else (0, 0, 0, 0, 1, 5))
    known = seeds.parameters.get((method, template))  # an unknown one is refused, whatever else is asked
    taken = [chance.choice(known if known and chance.random() < 0.8 else QUERIES) for _ in range(count)]
    query = "&".join(f"{name}={_text(chance)}" for name in taken)
    return (f"{path}?{query}" if query else path).encode("latin-1", "replace")


def _text(chance: random.Random) -> str:
    """Something to stand in an address or a field."""
    text = chance.choice(TEXTS)
    return text if chance.random() < 0.3 else quote(text, safe="%/")


def _headers(
    seeds: Seeds, method: str, template: str, chance: random.Random
) -> Iterator[tuple[bytes, bytes]]:
    if chance.random() < 0.9:
        yield b"authorization", f"Bearer {seeds.key}".encode()
    if chance.random() < 0.9:
        yield b"cookie", f"loading_session=fuzz.{seeds.key}".encode()
    if method not in ("GET", "HEAD") or chance.random() < 0.1:
        media_type = _fitting_type(method, template) if chance.random() < 0.7 else chance.choice(TYPES)
        yield b"content-type", media_type.encode()
    if method in ("PUT", "PATCH") and chance.random() < 0.7:
        yield b"if-match", b'"1.0"'
    if chance.random() < (0.02 if template.startswith("/v1/") else 0.2):
        yield b"accept", b"text/html"
    for _ in range(chance.choice((0, 0, 0, 1, 2))):
        value = chance.choice(TEXTS) if chance.random() < 0.7 else chance.choice(TYPES)
        yield chance.choice(FIELDS).encode(), value.encode("utf-8")


def _fitting_type(method: str, template: str) -> str:
    """The media type that an operation takes."""
    if not template.startswith("/v1/"):
        return "application/x-www-form-urlencoded"
    if template.endswith("/batch"):
        return "application/x-ndjson"
    return "application/merge-patch+json" if method == "PATCH" else "application/json"


def _body(seeds: Seeds, method: str, template: str, chance: random.Random) -> bytes:
    if method in ("GET", "HEAD") and chance.random() < 0.95:
        return b""
    kind = chance.random()
    if kind < (0.1 if template.startswith("/v1/") else 0.8):
        fields = {name: _text(chance) for name in chance.sample(FORM_FIELDS, 6)}
        fields |= {
            "token": form_token("fuzz", seeds.key),
            "do": chance.choice(("save", "try", _text(chance))),
        }
        return "&".join(f"{name}={value}" for name, value in fields.items()).encode()
    fitting = [n for end, n in FITTING.items() if template.startswith("/v1/") and template.endswith(end)]
    chosen = fitting[0] if fitting and chance.random() < 0.7 else chance.randrange(len(seeds.documents))
    document = json.loads(json.dumps(seeds.documents[chosen]))
    for _ in range(chance.choice((0, 0, 1, 1, 2, 4))):
        _mutate(document, chance)
    text = json.dumps(document).encode()
    if chance.random() < 0.15:
        at = chance.randrange(len(text))
        junk = chance.choice((b"\0", b"\xff", b'"', b"{", b"\\", b"NaN", b"1e999", b"\n", b""))
        text = text[:at] + junk + text[at + chance.choice((0, 1, 9)) :]
    return text


def _mutate(document: Any, chance: random.Random) -> None:
    """Change one place at some depth, in place."""
    while True:
        places = list(document) if isinstance(document, dict) else range(len(document))
        if not places:
            return
        place = chance.choice(list(places))
        below = document[place]
        if isinstance(below, dict | list) and below and chance.random() < 0.75:
            document = below
            continue
        how = chance.random()
        if how < 0.6:
            document[place] = json.loads(json.dumps(chance.choice(VALUES)))
        elif how < 0.75:
            del document[place]
        elif isinstance(document, list):
            document.append(below)
        else:
            document[chance.choice(TEXTS)[:50]] = below
        return
