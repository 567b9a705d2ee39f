"""The feed for those who wait for it, and as Atom."""

import socket
import threading
import time
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import httpx
import pytest

from service.app import create_app
from service.cli.local_server import local_server
from service.running.change_signal import MOST_OF_A_KEY
from tests.api.office import Office, code_of, running_office, settings_for

ATOM = {"Accept": "application/atom+xml"}
NS = {"a": "http://www.w3.org/2005/Atom"}


class Waiter(threading.Thread):
    """Asks with `wait`, and notes what came and how long it took."""

    def __init__(self, address: str, headers: dict[str, str] | None = None, **query: Any) -> None:
        super().__init__(daemon=True)
        self._address, self._headers, self._query = address, headers, query
        self.answer: httpx.Response | None = None
        self.seconds = 0.0

    def run(self) -> None:
        began = time.monotonic()
        with httpx.Client(base_url=self._address, timeout=40, trust_env=False) as http:
            self.answer = http.get("/v1/changes", params=self._query, headers=self._headers)
        self.seconds = time.monotonic() - began

    def answered(self) -> dict[str, Any]:
        self.join(30)
        assert self.answer is not None
        assert self.answer.status_code == 200, self.answer.text
        found: dict[str, Any] = self.answer.json()
        return found


def waiting(office: Office, headers: dict[str, str] | None = None, **query: Any) -> Waiter:
    waiter = Waiter(office.address, headers, **query)
    waiter.start()
    time.sleep(0.3)
    assert waiter.is_alive()
    return waiter


def test_a_waiter_hears_of_what_comes(office: Office) -> None:
    waiter = waiting(office, after=0, wait=25)
    office.enter_vessel()
    found = waiter.answered()
    assert [line["id"] for line in found["items"]] == [1]
    assert found["head"]["id"] == 1
    assert waiter.seconds < 20
    began = time.monotonic()
    assert (
        office.http.get("/v1/changes?after=0&wait=25").json() == found
    )  # what is there already is not waited for
    empty = office.http.get("/v1/changes?after=1&wait=1").json()
    assert (empty["items"], empty["after"], empty["head"]) == ([], 1, found["head"])
    assert 0.9 < time.monotonic() - began < 10
    for bad in ({"wait": -1}, {"wait": 26}, {"wait": "long"}):
        assert code_of(office.http.get("/v1/changes", params=bad)) == (400, "invalid_query")
    assert code_of(office.http.get("/v1/changes?after=2&wait=1")) == (409, "feed_rewound")


def test_a_waiter_is_not_woken_by_what_it_may_not_see(office: Office) -> None:
    admin = office.key("administrator")
    own, other = office.enter_vessel(**admin), office.enter_vessel(**admin)
    waiter = waiting(office, office.key("integrator", [own]), after=2, wait=20)
    office.enter_condition(other, headers=admin)
    time.sleep(0.5)
    assert waiter.is_alive()
    office.enter_condition(own, headers=admin)
    assert [line["vessel"] for line in waiter.answered()["items"]] == [own]


def test_a_key_waits_so_often_at_once_and_places_are_given_back(office: Office) -> None:
    sockets = []
    for _ in range(MOST_OF_A_KEY):
        connection = socket.create_connection(("127.0.0.1", int(office.address.rpartition(":")[2])))
        connection.sendall(b"GET /v1/changes?wait=25 HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        sockets.append(connection)
    time.sleep(0.5)
    refused = office.http.get("/v1/changes?wait=1")
    assert code_of(refused) == (429, "rate_limited")
    assert office.http.get("/v1/changes").status_code == 200
    sockets[0].close()  # who hangs up waits no longer
    until = time.monotonic() + 10
    while office.http.get("/v1/changes?wait=1").status_code != 200:
        assert time.monotonic() < until
    for connection in sockets[1:]:
        connection.close()


def test_waiters_are_answered_when_the_server_stops(tmp_path: Any) -> None:
    settings = settings_for(f"sqlite:///{tmp_path}/records.db")
    with local_server(create_app(settings)) as address:
        waiter = Waiter(address, after=0, wait=25)
        waiter.start()
        time.sleep(0.5)
        began = time.monotonic()
    assert waiter.answered()["items"] == []
    assert time.monotonic() - began < 5


def test_a_waiter_hears_of_what_another_server_keeps(postgres_server: Any) -> None:
    url = postgres_server.create()
    with running_office(url) as office, running_office(url) as second:
        waiter = waiting(second, after=0, wait=25)
        office.enter_vessel()
        assert len(waiter.answered()["items"]) == 1
        assert waiter.seconds < 15
    postgres_server.drop(url)


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with running_office(f"sqlite:///{tmp_path_factory.mktemp('atom')}/records.db") as office:
        yield office


def test_the_feed_as_atom(read: Office) -> None:
    """RFC 4287: what a feed and an entry must have (4.1.1, 4.1.2), ids that stay, unique; newest first."""
    empty = ElementTree.fromstring(read.http.get("/v1/changes", headers=ATOM).content)
    assert empty.findall("a:entry", NS) == []
    vessel = read.enter_vessel()
    condition, _ = read.enter_condition(vessel)
    read.revise(condition, {"title": 'Ebb & <flow> "x"'})
    answer = read.http.get("/v1/changes", headers=ATOM)
    assert answer.headers["Content-Type"] == "application/atom+xml;charset=utf-8"
    feed = ElementTree.fromstring(answer.content)
    for parent in (feed, *feed.findall("a:entry", NS)):
        for name in ("id", "title", "updated"):
            [element] = parent.findall(f"a:{name}", NS)
            assert element.text
    assert feed.find("a:author/a:name", NS) is not None
    assert "approved stability booklet" in str(feed.findtext("a:subtitle", namespaces=NS))
    entries = feed.findall("a:entry", NS)
    lines = read.http.get("/v1/changes").json()["items"][::-1]
    assert [entry.findtext("a:updated", namespaces=NS) for entry in entries] == [
        line["created"] for line in lines
    ]
    assert feed.findtext("a:updated", namespaces=NS) == lines[0]["created"]
    assert 'Ebb & <flow> "x"' in str(entries[0].findtext("a:title", namespaces=NS))
    assert str(entries[0].findtext("a:summary", namespaces=NS)).startswith("Passes")
    ids = [element.text for element in feed.iter(f"{{{NS['a']}}}id")]
    assert len(set(ids)) == len(ids) == 4
    again = ElementTree.fromstring(read.http.get("/v1/changes", headers=ATOM).content)
    assert [element.text for element in again.iter(f"{{{NS['a']}}}id")] == ids
    for link in feed.iter(f"{{{NS['a']}}}link"):
        assert read.http.get(link.attrib["href"], headers={"Accept": "*/*"}).status_code == 200
    known = {**ATOM, "If-None-Match": answer.headers["ETag"]}
    assert read.http.get("/v1/changes", headers=known).status_code == 304
    part = ElementTree.fromstring(read.http.get("/v1/changes?limit=1&after=1", headers=ATOM).content)
    assert len(part.findall("a:entry", NS)) == 1


def test_what_is_taken_decides_and_readers_come_seldom(read: Office) -> None:
    for accept, wanted in (
        ("application/json", "application/json"),
        ("*/*", "application/json"),
        ("application/*", "application/json"),
        ("application/json;q=0.5, application/atom+xml", "application/atom+xml;charset=utf-8"),
        ("application/atom+xml;q=0.1, application/json;q=0.2", "application/json"),
    ):
        assert read.http.get("/v1/changes", headers={"Accept": accept}).headers["Content-Type"] == wanted
    assert code_of(read.http.get("/v1/changes?wait=1", headers=ATOM)) == (400, "invalid_query")
    assert code_of(read.http.get("/v1/changes", headers={"Accept": "text/html"})) == (406, "not_acceptable")
    answers = [read.http.get("/v1/changes", headers=ATOM).status_code for _ in range(15)]
    assert 429 in answers
    assert read.http.get("/v1/changes").status_code == 200
