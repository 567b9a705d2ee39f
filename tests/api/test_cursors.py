"""Cursors that a list did not give out, for every list of the published description: all refused in the same words.

The forgeries: the unsigned form of earlier releases, a signature by another key, each byte changed, the cursor of
another list or of other filters, and an item of somebody else under a signature that holds.
"""

import hashlib
import hmac
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest

from service.actions.access import Access
from service.api import paging
from service.app import create_app
from service.cli.local_server import local_server
from tests.api.office import PEPPER, Office, code_of, settings_for, vessel_document

REFUSED = "This is not a cursor of this list with these filters; follow `next` of the page before."


@dataclass(frozen=True)
class List:
    """One operation of the description that takes a cursor."""

    method: str
    path: str


@dataclass
class Lists:
    """A service with more than one item in every list, and a key that sees one vessel of two."""

    office: Office
    places: dict[str, str]
    foreign: str
    """A condition of the vessel that the key does not see."""
    headers: dict[str, dict[str, str]]

    def ask(self, asked: List, key: str = "administrator", **query: Any) -> httpx.Response:
        body = {"vessel": self.places["vessel"], "all_revisions": True} if asked.method == "POST" else None
        return self.office.http.request(
            asked.method,
            asked.path.format(**self.places, number=1),
            params=query,
            json=body,
            headers=self.headers[key],
        )

    def operations(self) -> list[List]:
        described = self.office.http.get("/openapi.json").json()["paths"]
        return [
            List(method.upper(), path)
            for path, methods in described.items()
            for method, operation in methods.items()
            if any(parameter["name"] == "cursor" for parameter in operation.get("parameters", ()))
        ]

    def cursor(self, asked: List, **query: Any) -> str:
        """The one that the list gives out after its first item."""
        answer = self.ask(asked, **{"limit": 1, **query})
        assert answer.status_code == 200, answer.text
        following = parse_qs(urlsplit(answer.json()["next"]).query)
        return following["cursor"][0]


@pytest.fixture
def lists(migrated_url: str) -> Iterator[Lists]:
    app = create_app(settings_for(migrated_url, webhook_networks="127.0.0.0/8"))
    with local_server(app) as address, httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
        office = Office(address, migrated_url, http)
        administrator = office.key("administrator")
        vessel = office.enter_vessel(**administrator)
        tag = http.get(f"/v1/vessels/{vessel}", headers=administrator).headers["ETag"]
        http.put(f"/v1/vessels/{vessel}", json=vessel_document(), headers={**administrator, "If-Match": tag})
        hook = {
            "url": "http://127.0.0.1:9/",
            "events": ["revision.kept", "review.made"],
        }  # nobody listens there
        hooks = [http.post("/v1/webhooks", json=hook, headers=administrator).json()["id"] for _ in range(2)]
        other = office.enter_vessel(vessel_document(name="Other"), **administrator)
        for fleet in ("north", "south"):
            document = {"name": fleet, "vessels": [vessel, other]}
            assert http.put(f"/v1/fleets/{fleet}", json=document, headers=administrator).status_code == 201
        condition, _ = office.enter_condition(vessel, headers=administrator)
        assert office.revise(condition, {"title": "Second"}, administrator).status_code == 200
        office.enter_condition(vessel, headers=administrator)
        foreign, _ = office.enter_condition(other, headers=administrator)
        reviewer = office.key("reviewer")
        for decision in ("returned", "accepted"):
            path = f"/v1/conditions/{condition}/revisions/1/reviews"
            assert http.post(path, json={"decision": decision}, headers=reviewer).status_code == 201
        headers = {"administrator": administrator, "scoped": office.key("integrator", [vessel])}
        places = {"vessel": vessel, "condition": condition, "webhook": hooks[0]}
        yield Lists(office, places, foreign, headers)


def refused_alike(answer: httpx.Response) -> None:
    assert code_of(answer) == (400, "invalid_query"), answer.text
    assert answer.json()["detail"] == REFUSED
    (wrong,) = answer.json()["errors"]
    assert (wrong["parameter"], wrong["code"]) == ("cursor", "foreign_cursor")


def encoded(raw: bytes) -> str:
    return urlsafe_b64encode(raw).decode("ascii").rstrip("=")


def decoded(cursor: str) -> bytes:
    return urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))


def test_every_list_goes_on_by_its_own_cursor_and_refuses_every_other(lists: Lists) -> None:
    found = lists.operations()
    assert {"/v1/reassessments", "/v1/fleet", "/v1/audit", "/v1/keys"} <= {asked.path for asked in found}
    assert len(found) >= 8
    given = {asked: lists.cursor(asked) for asked in found}
    for asked, cursor in given.items():
        own = lists.ask(asked, limit=1, cursor=cursor)
        assert own.status_code == 200, own.text
        assert own.json()["items"] != lists.ask(asked, limit=1).json()["items"]
        for forged in forgeries(asked, cursor, lists.places):
            refused_alike(lists.ask(asked, limit=1, cursor=forged))
        for other, foreign in given.items():
            if other != asked:
                refused_alike(lists.ask(asked, limit=1, cursor=foreign))


def forgeries(asked: List, cursor: str, places: dict[str, str]) -> Iterator[str]:
    """Cursors made by somebody who knows how they are made, and not the key."""
    raw = decoded(cursor)
    signature, last = raw[: paging.SIGNATURE_BYTES], raw[paging.SIGNATURE_BYTES :]
    address = asked.path.format(**places, number=1)
    mark = hashlib.sha256(f"{address}?".encode()).hexdigest()[:8].encode()
    yield encoded(mark + b":" + last)
    for key in (b"", b"pepper", Access(None, b"").cursor_key):
        yield encoded(hmac.digest(key, raw, "sha256")[: paging.SIGNATURE_BYTES] + last)
    for at in range(len(raw)):
        yield encoded(raw[:at] + bytes([raw[at] ^ 1]) + raw[at + 1 :])
    yield encoded(signature)
    yield encoded(last)
    yield encoded(raw + b"0")
    yield encoded(raw[:-1])
    yield from ("!", "é", "A", "YWJj", cursor + "=", cursor + "A", " " + cursor)


def test_a_cursor_goes_with_its_filters_and_its_body(lists: Lists) -> None:
    fleet = List("GET", "/v1/fleet")
    refused_alike(lists.ask(fleet, limit=1, cursor=lists.cursor(fleet), units="us"))
    report = List("POST", "/v1/reassessments")
    cursor = lists.cursor(report)
    other = {"vessel": lists.places["vessel"], "all_revisions": False}
    answer = lists.office.http.post(
        report.path,
        params={"limit": 1, "cursor": cursor},
        json=other,
        headers=lists.headers["administrator"],
    )
    refused_alike(answer)


@pytest.mark.parametrize("key", ["scoped", "administrator"])
def test_a_signed_cursor_of_a_foreign_condition_is_refused_like_an_unknown_one(
    lists: Lists, key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the signing key be lost one day: the scope is looked at all the same."""
    report = List("POST", "/v1/reassessments")
    sign = paging.cursor_of
    for last in (f"{lists.foreign}/2", f"{lists.foreign}/1", "nobody/2", f"{lists.places['condition']}/99"):
        with monkeypatch.context() as patched:
            patched.setattr(
                paging,
                "cursor_of",
                lambda request, query, _, body="", last=last: sign(request, query, last, body),
            )
            cursor = lists.cursor(report)
        assert decoded(cursor)[paging.SIGNATURE_BYTES :] == last.encode()
        answer = lists.ask(report, key, limit=1, cursor=cursor)
        refused_alike(answer)
        assert lists.foreign not in answer.text


def test_conditions_asked_for_by_name_are_refused_alike_whether_foreign_or_unknown(lists: Lists) -> None:
    told = set()
    for condition in (lists.foreign, "0190c5f0-0000-7000-8000-000000000000"):
        body = {"vessel": lists.places["vessel"], "conditions": [condition]}
        answer = lists.office.http.post("/v1/reassessments", json=body, headers=lists.headers["scoped"])
        assert code_of(answer) == (404, "unknown_condition")
        told.add(answer.json()["detail"])
    assert len(told) == 1


def test_processes_with_one_pepper_sign_alike() -> None:
    keys = {Access(None, pepper).cursor_key for pepper in (PEPPER.encode(), PEPPER.encode(), b"other")}
    assert len(keys) == 2
    assert PEPPER.encode() not in keys
