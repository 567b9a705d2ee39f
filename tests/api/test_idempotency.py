"""A POST sent again under the same name makes nothing twice and gets the same answer."""

import json
import threading
from concurrent.futures import ThreadPoolExecutor

import httpx
import pytest

from tests.api.office import MERGE_PATCH, Office, code_of, condition_document, running_office, vessel_document

NAMED = {"Idempotency-Key": "17/2-departure"}


def _count(office: Office, vessel: str) -> int:
    return len(office.http.get(f"/v1/vessels/{vessel}/conditions").json()["items"])


def test_the_same_request_gets_the_same_answer_also_after_a_restart(migrated_url: str) -> None:
    with running_office(migrated_url) as office:
        vessel = office.enter_vessel()
        path = f"/v1/vessels/{vessel}/conditions"
        first = office.http.post(path, json=condition_document(), headers=NAMED)
        assert (first.status_code, "Idempotency-Replayed" in first.headers) == (201, False)
        again = office.http.post(path, json=condition_document(), headers=NAMED)
        _assert_replayed(again, first)
    with running_office(migrated_url) as office:
        quoted = {"Idempotency-Key": f'"{NAMED["Idempotency-Key"]}"'}
        _assert_replayed(office.http.post(path, json=condition_document(), headers=quoted), first)
        assert _count(office, vessel) == 1


def _assert_replayed(again: httpx.Response, first: httpx.Response) -> None:
    assert (again.status_code, again.content) == (201, first.content)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert (again.headers["Location"], again.headers["ETag"]) == (
        first.headers["Location"],
        first.headers["ETag"],
    )


def test_another_request_under_the_same_name_is_refused(office: Office) -> None:
    vessel = office.enter_vessel()
    path = f"/v1/vessels/{vessel}/conditions"
    office.http.post(path, json=condition_document(), headers=NAMED)
    other = condition_document(title="Another")
    assert code_of(office.http.post(path, json=other, headers=NAMED)) == (422, "idempotency_key_reused")
    with_reason = office.http.post(path, json=condition_document(), params={"reason": "x"}, headers=NAMED)
    assert code_of(with_reason) == (422, "idempotency_key_reused")
    elsewhere = office.http.post("/v1/vessels", json=vessel_document(), headers=NAMED)
    assert code_of(elsewhere) == (422, "idempotency_key_reused")
    assert _count(office, vessel) == 1


def test_names_belong_to_the_key_that_gives_them(office: Office) -> None:
    vessel = office.enter_vessel()
    path = f"/v1/vessels/{vessel}/conditions"
    ids = set()
    for name in ("Mate", "Master"):
        headers = {**NAMED, **office.key("ship", [vessel], name)}
        ids.add(office.http.post(path, json=condition_document(), headers=headers).json()["condition"])
    assert len(ids) == 2


def test_a_refused_request_leaves_its_name_free(office: Office) -> None:
    vessel = office.enter_vessel()
    path = f"/v1/vessels/{vessel}/conditions"
    bad = condition_document()
    bad["tanks"][0]["tank"] = "no-such"
    assert office.http.post(path, json=bad, headers=NAMED).status_code == 422
    assert office.http.post(path, json=condition_document(), headers=NAMED).status_code == 201


def test_vessels_and_reviews_are_made_once_too(office: Office) -> None:
    first = office.http.post("/v1/vessels", json=vessel_document(), headers=NAMED)
    _assert_replayed(office.http.post("/v1/vessels", json=vessel_document(), headers=NAMED), first)
    id, _ = office.enter_condition(first.json()["vessel"])
    reviewer = {**NAMED, **office.key("reviewer")}
    path = f"/v1/conditions/{id}/revisions/1/reviews"
    review = office.http.post(path, json={"decision": "accepted"}, headers=reviewer)
    _assert_replayed(office.http.post(path, json={"decision": "accepted"}, headers=reviewer), review)
    assert len(office.http.get(path, headers=reviewer).json()["items"]) == 1


def test_sixteen_senders_at_once_make_one(office: Office) -> None:
    vessel = office.enter_vessel()
    path, body = f"/v1/vessels/{vessel}/conditions", condition_document()
    start = threading.Barrier(16)

    def send(_: int) -> httpx.Response:
        start.wait()
        return httpx.post(office.address + path, json=body, headers=NAMED, timeout=30, trust_env=False)

    with ThreadPoolExecutor(16) as pool:
        answers = list(pool.map(send, range(16)))
    made = [answer for answer in answers if answer.status_code == 201]
    assert made
    assert len({answer.content for answer in made}) == 1
    for answer in answers:
        if answer.status_code != 201:
            assert code_of(answer) == (409, "idempotency_in_flight")
            assert answer.headers["Retry-After"] == "1"
    assert _count(office, vessel) == 1


@pytest.mark.parametrize("name", ["", "x" * 256, "with space", "\xe9"])
def test_a_name_is_visible_ascii(office: Office, name: str) -> None:
    headers = [(b"Idempotency-Key", name.encode("latin-1")), (b"Content-Type", b"application/json")]
    answer = office.http.post("/v1/vessels", json=vessel_document(), headers=headers)
    assert code_of(answer) == (400, "invalid_header")


def _changes(office: Office) -> dict[str, tuple[str, str, dict[str, str], dict[str, str]]]:
    """Method, address and body of a change, by its kind, with the headers of a vessel and a condition just entered."""
    vessel = office.enter_vessel()
    condition, tag = office.enter_condition(vessel)
    ship = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
    path = f"/v1/conditions/{condition}"
    named = {**NAMED, "Content-Type": "application/json"}
    return {
        "vessel": ("PUT", f"/v1/vessels/{vessel}", vessel_document(name="New"), {**named, "If-Match": ship}),
        "condition": ("PUT", path, condition_document(title="New"), {**named, "If-Match": tag}),
        "patch": ("PATCH", path, {"title": "New"}, {**NAMED, **MERGE_PATCH, "If-Match": tag}),
    }


@pytest.mark.parametrize("kind", ["vessel", "condition", "patch"])
def test_a_change_sent_again_gets_the_same_answer(office: Office, kind: str) -> None:
    method, path, document, headers = _changes(office)[kind]
    body = json.dumps(document).encode()

    def send(body: bytes = body, **more: str) -> httpx.Response:
        return office.http.request(method, path, content=body, headers={**headers, **more})

    first = send()
    assert (first.status_code, first.json()["revision"]) == (200, 2)
    again = send()  # its If-Match is of the state before
    assert (again.status_code, again.content) == (200, first.content)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.headers["ETag"] == first.headers["ETag"]
    assert code_of(send(body.replace(b"New", b"Old"))) == (422, "idempotency_key_reused")
    assert code_of(send(**{"Idempotency-Key": "another"})) == (412, "stale")
    assert office.http.get(path).json()["revision"] == 2


@pytest.mark.parametrize("kind", ["vessel", "condition", "patch"])
def test_the_same_change_many_times_at_once_is_kept_once(office: Office, kind: str) -> None:
    method, path, document, headers = _changes(office)[kind]
    body = json.dumps(document).encode()
    with ThreadPoolExecutor(6) as pool:
        answers = list(
            pool.map(lambda _: office.http.request(method, path, content=body, headers=headers), range(6))
        )
    for answer in answers:
        assert answer.status_code == 200 or code_of(answer) == (409, "idempotency_in_flight")
    assert 200 in [answer.status_code for answer in answers]
    assert office.http.get(path).json()["revision"] == 2


def test_another_key_does_not_get_the_answer_of_a_change(office: Office) -> None:
    method, path, document, headers = _changes(office)["condition"]
    vessel = office.http.get(path).json()["vessel"]
    elsewhere = office.enter_vessel()
    mate, other = office.key("ship", [vessel], "Mate"), office.key("ship", [elsewhere], "Other")
    body = json.dumps(document).encode()
    assert office.http.request(method, path, content=body, headers={**headers, **mate}).status_code == 200
    foreign = office.http.request(method, path, content=body, headers={**headers, **other})
    assert code_of(foreign) == (404, "unknown_condition")
