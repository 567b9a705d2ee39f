"""Fleets as scopes of keys: what is put into one is seen at once, what leaves it no more, by every way there is."""

import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.actions.access import KNOWN_SECONDS
from service.storage import Storage, verify
from tests.api.office import Office, code_of, condition_document, running_office, vessel_document
from tests.api.receiver import receiver

FLEETS, KEYS = "/v1/fleets", "/v1/keys"
Headers = dict[str, str]


@pytest.fixture
def admin(office: Office) -> Headers:
    return office.key("administrator", None, "Head")


def put(
    office: Office, admin: Headers, fleet: str, *vessels: str, name: str = "North Sea", tag: str | None = None
) -> Any:
    """Make a fleet, or set it from its present state; the answer."""
    if tag is None:
        tag = office.http.get(f"{FLEETS}/{fleet}", headers=admin).headers.get("ETag")
    headers = admin if tag is None else {**admin, "If-Match": tag}
    document = {"name": name, "vessels": list(vessels)}
    return office.http.put(f"{FLEETS}/{fleet}", json=document, headers=headers)


def seen(office: Office, headers: Headers) -> set[str]:
    return {ship["id"] for ship in office.http.get("/v1/vessels", headers=headers).json()["items"]}


def test_a_fleet_is_made_read_and_set_by_whoever_saw_it(office: Office, admin: Headers) -> None:
    ship, other = (office.enter_vessel(vessel_document(name=name), **admin) for name in ("A", "B"))
    assert code_of(office.http.get(f"{FLEETS}/north", headers=admin)) == (404, "unknown_fleet")
    made = put(office, admin, "north", ship)
    assert (made.status_code, made.headers["Location"]) == (201, f"{FLEETS}/north")
    assert made.json()["vessels"] == [ship]
    unseen = office.http.put(f"{FLEETS}/north", json={"name": "x", "vessels": []}, headers=admin)
    assert code_of(unseen) == (428, "precondition_required")
    again = put(office, admin, "north", other, ship, other)
    assert (again.status_code, again.json()["number"], again.json()["vessels"]) == (
        200,
        2,
        sorted([ship, other]),
    )
    stale = put(office, admin, "north", tag=made.headers["ETag"])
    assert code_of(stale) == (412, "stale")
    assert stale.headers["ETag"] == again.headers["ETag"]
    known = office.http.get(f"{FLEETS}/north", headers={**admin, "If-None-Match": again.headers["ETag"]})
    assert known.status_code == 304
    put(office, admin, "empty", name="None yet")
    page = office.http.get(f"{FLEETS}?limit=1", headers=admin).json()
    assert [fleet["id"] for fleet in page["items"]] == ["empty"]
    assert office.http.get(page["next"], headers=admin).json()["items"] == [again.json()]
    wrong = office.http.put(f"{FLEETS}/new", json={"name": "x", "vessels": [ship, "nobody"]}, headers=admin)
    assert code_of(wrong) == (422, "invalid_request")
    assert [place["pointer"] for place in wrong.json()["errors"]] == ["/vessels/1"]
    for bad in ("Not-Lower", "a b", "-a", "ä"):
        assert put(office, admin, bad).status_code == 404
    reasons = [line["reason"] for line in office.http.get("/v1/audit", headers=admin).json()["items"]]
    assert f"fleet north: with {other}" in reasons
    assert f"fleet north: with {ship}" in reasons
    storage = Storage(office.database)
    assert verify(storage).fleets == 2
    storage.close()


def test_a_ship_put_into_a_fleet_is_seen_at_once_and_no_more_when_it_leaves(
    office: Office, admin: Headers
) -> None:
    """By lists, records, batches, the fleet and the feed; a cursor of the time before gives no right."""
    mine, later, foreign = (
        office.enter_vessel(vessel_document(name=name), **admin) for name in ("Mine", "Later", "Foreign")
    )
    conditions = {ship: office.enter_condition(ship, headers=admin)[0] for ship in (mine, later, foreign)}
    put(office, admin, "north", mine)
    headers = office.key("ship", fleets=["north"])

    def paths(ship: str) -> list[str]:
        return [f"/v1/vessels/{ship}", f"/v1/conditions/{conditions[ship]}", f"/v1/fleet?vessel={ship}"]

    def in_feed() -> set[str]:
        return {line["vessel"] for line in office.http.get("/v1/changes", headers=headers).json()["items"]}

    def by_batch() -> list[bool]:
        whole = [{"vessel_id": ship, "condition": condition_document()} for ship in conditions]
        named = [{"condition_id": id} for id in conditions.values()]
        lines = "\n".join(json.dumps(line) for line in [*whole, *named])
        answer = office.http.post(
            "/v1/assessments/batch?detail=summary",
            content=lines,
            headers={**headers, "Content-Type": "application/x-ndjson"},
        )
        return ["verdict" in json.loads(line) for line in answer.text.splitlines()[:-1]]

    assert seen(office, headers) == in_feed() == {mine}
    assert by_batch() == [True, False, False] * 2
    assert [office.http.get(path, headers=headers).status_code for path in paths(later)] == [404] * 3
    put(office, admin, "north", mine, later)
    assert seen(office, headers) == in_feed() == {mine, later}
    assert by_batch() == [True, True, False] * 2
    assert [office.http.get(path, headers=headers).status_code for path in paths(later)] == [200] * 3
    assert [office.http.get(path, headers=headers).status_code for path in paths(foreign)] == [404] * 3
    entered = office.http.post(
        f"/v1/vessels/{later}/conditions", json=condition_document(title="By the fleet"), headers=headers
    )
    assert entered.status_code == 201
    following = office.http.get("/v1/conditions?limit=1", headers=headers).json()["next"]
    put(office, admin, "north", mine)
    assert seen(office, headers) == in_feed() == {mine}
    rest = office.http.get(following, headers=headers).json()["items"]
    assert {line["vessel"] for line in rest} <= {mine}
    assert [office.http.get(path, headers=headers).status_code for path in paths(later)] == [404] * 3
    forged = following[:-4] + ("AAAA" if not following.endswith("AAAA") else "BBBB")
    assert code_of(office.http.get(forged, headers=headers)) == (400, "invalid_query")


def test_a_key_may_have_ships_and_fleets_and_get_others(office: Office, admin: Headers) -> None:
    a, b, c = (office.enter_vessel(vessel_document(name=name), **admin) for name in "abc")
    put(office, admin, "one", a)
    put(office, admin, "two", b)
    made = office.http.post(
        KEYS,
        json={"name": "Office", "role": "reviewer", "vessels": [c], "fleets": ["one"]},
        headers=admin,
    ).json()
    assert (made["vessels"], made["fleets"]) == ([c], ["one"])
    headers, scope = {"Authorization": f"Bearer {made['token']}"}, f"{KEYS}/{made['id']}/scope"
    assert seen(office, headers) == {a, c}
    changed = office.http.put(scope, json={"vessels": [], "fleets": ["two", "one"]}, headers=admin).json()
    assert (changed["vessels"], changed["fleets"]) == ([], ["one", "two"])
    assert seen(office, headers) == {a, b}
    changed = office.http.put(scope, json={"vessels": [c]}, headers=admin).json()
    assert (changed["vessels"], changed["fleets"]) == ([c], [])
    assert seen(office, headers) == {c}
    for refused, pointer in (
        ({"vessels": [], "fleets": ["none"]}, "/fleets/0"),
        ({"vessels": None, "fleets": ["one"]}, "/fleets"),
        ({"vessels": [], "fleets": []}, "/fleets"),
    ):
        answer = office.http.put(scope, json=refused, headers=admin)
        assert code_of(answer) == (422, "invalid_request")
        assert [place["pointer"] for place in answer.json()["errors"]] == [pointer]
    everything = {"name": "x", "role": "administrator", "fleets": ["one"]}
    assert code_of(office.http.post(KEYS, json=everything, headers=admin)) == (422, "invalid_request")
    own = admin["Authorization"].split("_")[1]
    narrowed = office.http.put(f"{KEYS}/{own}/scope", json={"vessels": [], "fleets": ["one"]}, headers=admin)
    assert code_of(narrowed) == (409, "conflict")
    assert seen(office, headers) == {c}


def test_a_fleet_set_by_another_process_counts_within_a_second(office: Office, admin: Headers) -> None:
    a, b = (office.enter_vessel(vessel_document(name=name), **admin) for name in "ab")
    put(office, admin, "north", a)
    headers = office.key("integrator", fleets=["north"])
    assert seen(office, headers) == {a}
    storage = Storage(office.database)
    with storage.transaction(write=True) as tx:
        tx.named_fleets.put("north", name="North Sea", vessels=[b])
    storage.close()
    time.sleep(KNOWN_SECONDS + 0.1)
    assert seen(office, headers) == {b}


@pytest.fixture
def hooked(tmp_path: Path) -> Iterator[Office]:
    with running_office(f"sqlite:///{tmp_path}/records.db", webhook_networks="127.0.0.0/8") as office:
        yield office


def test_webhooks_follow_the_fleet_of_their_key(hooked: Office) -> None:
    admin = hooked.key("administrator")
    mine, later = (hooked.enter_vessel(vessel_document(name=name), **admin) for name in ("Mine", "Later"))
    put(hooked, admin, "north", mine)
    headers = hooked.key("integrator", fleets=["north"])
    with receiver() as target:
        wanted = {"url": target.address, "events": ["revision.kept"]}
        assert hooked.http.post("/v1/webhooks", json=wanted, headers=headers).status_code == 201
        narrow = hooked.http.post("/v1/webhooks", json={**wanted, "vessels": [later]}, headers=headers)
        assert code_of(narrow) == (422, "invalid_request")
        for _ in range(2):
            for ship in (later, mine):
                hooked.enter_condition(ship, headers=admin)
            put(hooked, admin, "north", mine, later)
        told = [post.event["data"]["vessel"] for post in target.wait_for(3)]
        assert sorted(told) == sorted([mine, mine, later])
        put(hooked, admin, "north", mine)
        storage = Storage(hooked.database)
        with storage.transaction(write=True) as tx:
            listeners = tx.webhooks.listeners()
        storage.close()
    # What is taken from the outbox is held against the same scope.
    assert [listener.scope for listener in listeners.values()] == [{mine}]
