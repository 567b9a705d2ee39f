"""Conditions that are being typed: anything of a condition's shape, written over, forgotten."""

import time
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
import pytest

from service.actions.access import LOCAL
from service.actions.keep_unfinished import _entry, forget_unfinished
from service.actions.records.lifecycle import visited_records
from service.storage import as_text, now
from service.wire.refusal import Refusal
from service.wire.unfinished import MOST_BYTES, MOST_OF_A_VESSEL
from tests.api.office import Office, code_of, condition_document


@pytest.fixture
def path(office: Office) -> str:
    return f"/v1/vessels/{office.enter_vessel()}/unfinished/departure"


def put(office: Office, path: str, document: Any, tag: str | None = None, **headers: str) -> httpx.Response:
    return office.http.put(path, json=document, headers={**headers, **({"If-Match": tag} if tag else {})})


def test_what_is_typed_is_kept_complete_or_not(office: Office, path: str) -> None:
    assert code_of(office.http.get(path)) == (404, "unknown_unfinished")
    begun = {"units": "metric", "title": "Dep", "tanks": [{"tank": "fo-db-5-p", "fill": "12,"}, {}]}
    first = put(office, path, begun)
    assert (first.status_code, first.headers["ETag"], first.headers["Location"]) == (201, '"1"', path)
    assert first.json()["document"] == begun
    second = put(office, path, condition_document(), '"1"')
    assert (second.status_code, second.headers["ETag"]) == (200, '"2"')
    read = office.http.get(path)
    assert (read.content, read.headers["ETag"]) == (second.content, '"2"')
    assert office.http.get(path, headers={"If-None-Match": '"2"'}).status_code == 304
    found = read.json()
    assert found["document"] == condition_document()
    assert (found["number"], found["title"]) == (2, condition_document()["title"])
    assert found["created"] == first.json()["created"] < found["updated"]
    kept = datetime.fromisoformat(found["expires"]) - datetime.fromisoformat(found["updated"])
    assert kept == timedelta(days=30)


def test_the_last_write_wins_where_it_has_seen_the_one_before(office: Office, path: str) -> None:
    put(office, path, {"title": "Ship"})
    assert code_of(put(office, path, {"title": "Phone"})) == (428, "precondition_required")
    assert put(office, path, {"title": "Phone"}, '"1"').status_code == 200
    stale = put(office, path, {"title": "Ship again"}, '"1"')
    assert (code_of(stale), stale.headers["ETag"]) == ((412, "stale"), '"2"')
    assert office.http.get(path).json()["title"] == "Phone"
    assert code_of(office.http.delete(path, headers={"If-Match": '"1"'})) == (412, "stale")
    assert office.http.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert code_of(office.http.delete(path)) == (404, "unknown_unfinished")
    assert code_of(put(office, path, {"title": "Ship again"}, '"2"')) == (412, "stale")
    again = put(office, path, {"title": "New"})
    assert (again.status_code, again.headers["ETag"]) == (201, '"4"')  # no tag comes twice
    assert office.http.delete(path).status_code == 204


def test_nothing_of_it_is_a_record(office: Office, path: str) -> None:
    before = office.http.get("/v1/changes").json()["head"]
    put(office, path, condition_document())
    assert office.http.get("/v1/changes").json()["head"] == before
    assert office.http.get("/v1/conditions").json()["items"] == []
    listed = office.http.get(path.rpartition("/")[0]).json()
    [line] = listed["items"]
    assert (line["name"], line["author"]["name"], "document" in line) == (
        "departure",
        "Local administrator",
        False,
    )
    assert listed["next"] is None


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ([1], 400, "not_an_object"),
        ({"tank": []}, 422, "invalid_request"),
        ({"title": "x" * MOST_BYTES}, 413, "unfinished_too_large"),
    ],
)
def test_what_no_condition_can_be_is_refused(
    office: Office, path: str, body: Any, status: int, code: str
) -> None:
    assert code_of(put(office, path, body)) == (status, code)
    assert office.http.get(path).status_code == 404


def test_names_and_numbers_are_bounded(office: Office, path: str) -> None:
    folder = path.rpartition("/")[0]
    for name in ("a b", ".x", "x" * 65, "%00"):
        assert put(office, f"{folder}/{name}", {}).status_code in (400, 404)
    assert code_of(put(office, "/v1/vessels/nobody/unfinished/x", {})) == (404, "unknown_vessel")
    for number in range(MOST_OF_A_VESSEL):
        assert put(office, f"{folder}/n{number}", {}).status_code == 201
    assert code_of(put(office, path, {})) == (409, "too_many_unfinished")
    assert put(office, f"{folder}/n0", {"title": "x"}, '"1"').status_code == 200
    office.http.delete(f"{folder}/n1")
    assert put(office, path, {}).status_code == 201
    assert len(office.http.get(folder).json()["items"]) == MOST_OF_A_VESSEL
    assert office.http.get(folder).json()["items"][0]["name"] == "departure"


def test_it_is_forgotten_after_thirty_days(office: Office, path: str) -> None:
    put(office, path, {"title": "Old"})
    old = path.replace("departure", "old")
    put(office, old, {"title": "Old"})
    put(office, path, {"title": "New"}, '"1"')
    with visited_records(office.database) as records:
        with records.writing() as tx:
            later = as_text(datetime.now(UTC) - timedelta(days=30, seconds=1))
            tx.connection.exec_driver_sql(f"UPDATE unfinished SET updated = '{later}' WHERE name = 'old'")
        assert forget_unfinished(records) == 1
        assert forget_unfinished(records) == 0
    assert office.http.get(old).status_code == 404
    assert office.http.get(path).json()["updated"] < now()


@pytest.mark.parametrize(
    ("item", "count", "status"),
    [(1, 100_000, 422), ({}, 80_000, 201), (1, 900_000, 413), ({}, 600_000, 413)],
    ids=["faults", "lines", "too many faults", "too many lines"],
)
def test_long_documents_are_looked_at_in_little_time(item: Any, count: int, status: int) -> None:
    """Processor time of this thread; a second is the ceiling for anything hostile."""
    began, listed = time.thread_time(), 0
    try:
        _entry(LOCAL, "halvenmoor", "long", {"tanks": [item] * count})
        found = 201
    except Refusal as refused:
        found = {"invalid_request": 422, "unfinished_too_large": 413}[refused.code]
        listed = len(refused.errors)
    assert (found, listed) == (status, 50 if status == 422 else 0)
    assert time.thread_time() - began < 1.0
