"""States: what she sails with, what is put aside or withdrawn; who may, with which tags, and where it shows."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from tests.api.office import MERGE_PATCH, Office, code_of, condition_document, vessel_document

Keys = dict[str, dict[str, str]]


@pytest.fixture
def keys(office: Office) -> Keys:
    """An administrator first, then the people of one ship."""
    operator = office.key("administrator", None, "Operator")
    vessel = office.enter_vessel(vessel_document(id="halven"), **operator)
    return {
        "administrator": operator,
        "ship": office.key("ship", [vessel], "Mate"),
        "reviewer": office.key("reviewer", None, "Superintendent"),
        "integrator": office.key("integrator", None),
    }


def entered(office: Office, keys: Keys, name: str = "departure-homogeneous", **changes: Any) -> str:
    return office.enter_condition("halven", condition_document(name, **changes), keys["ship"])[0]


def set_state(
    office: Office, who: dict[str, str], condition: str, state: str, tag: str | None = None, **more: Any
) -> httpx.Response:
    """Set it by the present tag, or by `tag`."""
    path = f"/v1/conditions/{condition}"
    tag = tag or office.http.get(path, headers=who).headers["ETag"]
    return office.http.put(f"{path}/state", json={"state": state, **more}, headers={**who, "If-Match": tag})


def test_one_condition_is_in_force_and_the_former_is_put_aside(office: Office, keys: Keys) -> None:
    ship = keys["ship"]
    first, second = (
        entered(office, keys),
        entered(office, keys, "ballast-departure"),
    )
    made = set_state(office, ship, first, "in_force", reason="She sails with this.")
    assert (made.status_code, made.headers["ETag"]) == (200, '"1.1"')
    assert made.headers["Location"] == f"/v1/conditions/{first}/state"
    [event] = made.json()["events"]
    assert (event["state"], event["reason"], event["author"]["name"]) == (
        *("in_force", "She sails with this."),
        "Mate",
    )
    taken = set_state(office, keys["reviewer"], second, "in_force", reason="The mate asked for it.")
    assert (taken.status_code, taken.json()["state"]) == (200, "in_force")
    former = office.http.get(f"/v1/conditions/{first}/state", headers=ship)
    assert former.json()["state"] == "put_aside"
    assert [e["replaced_by"] for e in former.json()["events"]] == [second, None]
    assert former.json()["events"][0]["previous_digest"] == event["digest"]
    assert office.http.get(f"/v1/conditions/{first}", headers=ship).headers["ETag"] == '"1.2"'
    states = {
        line["id"]: line["state"] for line in office.http.get("/v1/conditions", headers=ship).json()["items"]
    }
    assert states == {first: "put_aside", second: "in_force"}
    [line] = office.http.get("/v1/fleet", headers=ship).json()["items"]
    assert (line["condition"]["id"], line["condition"]["state"]) == (second, "in_force")
    feed = office.http.get("/v1/changes?after=3", headers=ship).json()["items"]
    assert [(line["event"], line["condition"], line["state"], line["revision"]) for line in feed] == [
        ("state", first, "in_force", 1),
        ("state", first, "put_aside", 1),
        ("state", second, "in_force", 1),
    ]
    assert feed[0]["subject"] == event["digest"]
    notes = office.http.get("/v1/audit", headers=keys["administrator"]).json()["items"]
    assert [n["reason"] for n in notes if n["action"] == "set_condition_state"] == [
        "in_force: The mate asked for it.",
        "put_aside: The mate asked for it.",
        "in_force: She sails with this.",
    ]


def test_a_tag_names_revision_and_state(office: Office, keys: Keys) -> None:
    """A state compares both, a change of the document the revision alone; a review disturbs neither."""
    ship, path = keys["ship"], "/v1/conditions/{}"
    id = entered(office, keys)
    path = f"/v1/conditions/{id}"
    seen = office.http.get(path, headers=ship)
    assert seen.headers["ETag"] == '"1.0"'
    missing = office.http.put(f"{path}/state", json={"state": "in_force"}, headers=ship)
    assert code_of(missing) == (428, "precondition_required")
    office.http.post(f"{path}/revisions/1/reviews", json={"decision": "accepted"}, headers=keys["reviewer"])
    assert office.http.get(path, headers=ship).headers["ETag"] == '"1.0.1"'
    assert set_state(office, ship, id, "in_force", '"1.0"').status_code == 200
    for old in ('"1.0"', '"1.0.1"', '"1"', '"2.1"', f'"{seen.json()["digest"]}"', '"x"'):
        stale = set_state(office, ship, id, "put_aside", old)
        assert code_of(stale) == (412, "stale")
        assert stale.headers["ETag"] == '"1.1.1"'
    for number, tag in enumerate(('"1.0"', '"2.0"', '"3.9.7"', '"4"'), 2):
        headers = {**MERGE_PATCH, **ship, "If-Match": tag}
        changed = office.http.patch(path, content=b'{"title": "T"}', headers=headers)
        assert (changed.status_code, changed.headers["ETag"]) == (200, f'"{number}.1.1"')
    digest = f'"{changed.json()["digest"]}"'
    headers = {**MERGE_PATCH, **ship, "If-Match": digest}
    assert office.http.patch(path, content=b"{}", headers=headers).json()["revision"] == 6
    for old in (digest, '"5.1.1"'):
        again = office.http.patch(path, content=b"{}", headers={**headers, "If-Match": old})
        assert code_of(again) == (412, "stale")
    assert set_state(office, ship, id, "put_aside", '"5.1"').status_code == 412
    assert set_state(office, ship, id, "put_aside", '"6.1"').headers["ETag"] == '"6.2.1"'


def test_the_same_again_is_not_kept_again(office: Office, keys: Keys) -> None:
    ship, id = keys["ship"], entered(office, keys)
    for state, events in (("worked_on", 0), ("in_force", 1), ("in_force", 1), ("worked_on", 2)):
        assert len(set_state(office, ship, id, state).json()["events"]) == events
    set_state(office, ship, id, "in_force")
    office.revise(id, {"title": "Next"}, ship)
    again = set_state(office, ship, id, "in_force")  # she sails with the next revision
    assert [e["revision"] for e in again.json()["events"]] == [2, 1, 1, 1]
    head = {**ship, "If-Match": again.headers["ETag"], "Idempotency-Key": "aside"}
    path = f"/v1/conditions/{id}/state"
    first = office.http.put(path, json={"state": "put_aside"}, headers=head)
    second = office.http.put(path, json={"state": "put_aside"}, headers=head)
    assert (first.status_code, second.status_code, second.headers["Idempotency-Replayed"]) == (
        *(200, 200),
        "true",
    )
    assert second.content == first.content


@pytest.mark.parametrize(
    "body", [{"state": "sailing"}, {}, {"state": "in_force", "because": "x"}, {"state": "active"}]
)
def test_other_words_are_refused(office: Office, keys: Keys, body: dict[str, Any]) -> None:
    id = entered(office, keys)
    path = f"/v1/conditions/{id}/state"
    answer = office.http.put(path, json=body, headers={**keys["ship"], "If-Match": '"1.0"'})
    assert code_of(answer) == (422, "invalid_request")


def test_an_accepting_review_can_take_force(office: Office, keys: Keys) -> None:
    ship, reviewer = keys["ship"], keys["reviewer"]
    first, second = entered(office, keys), entered(office, keys, "ballast-departure")
    set_state(office, ship, first, "in_force")
    path = f"/v1/conditions/{second}/revisions/1/reviews"
    wrong = office.http.post(path, json={"decision": "returned", "in_force": True}, headers=reviewer)
    assert code_of(wrong) == (422, "invalid_request")
    plain = office.http.post(path, json={"decision": "accepted"}, headers=reviewer)
    assert plain.status_code == 201
    assert office.http.get(f"/v1/conditions/{first}", headers=ship).json()["state"] == "in_force"
    office.revise(second, {"title": "Changed"}, ship)
    late = office.http.post(path, json={"decision": "accepted", "in_force": True}, headers=reviewer)
    assert code_of(late) == (409, "conflict")
    path = f"/v1/conditions/{second}/revisions/2/reviews"
    taken = office.http.post(
        path, json={"decision": "accepted", "in_force": True, "note": "Go."}, headers=reviewer
    )
    assert taken.status_code == 201
    found = office.http.get(f"/v1/conditions/{second}", headers=ship).json()
    assert (found["state"], found["review_state"], found["returned"]) == ("in_force", "accepted", None)
    assert (found["accepted"]["who"]["name"], found["accepted"]["note"]) == ("Superintendent", "Go.")
    events = office.http.get(f"/v1/conditions/{second}/state", headers=ship).json()["events"]
    assert (events[0]["reason"], events[0]["author"]["name"]) == ("Go.", "Superintendent")
    assert office.http.get(f"/v1/conditions/{first}", headers=ship).json()["state"] == "put_aside"


def test_what_was_returned_says_by_whom_until_it_is_answered(office: Office, keys: Keys) -> None:
    ship, id = keys["ship"], entered(office, keys)
    note = "Why less in No. 1? The draft on the bar is 5.90."
    review = {"decision": "returned", "note": note}
    path = f"/v1/conditions/{id}/revisions/1/reviews"
    when = office.http.post(path, json=review, headers=keys["reviewer"]).json()["created"]

    def shown() -> list[Any]:
        lists = ("/v1/conditions", "/v1/vessels/halven/conditions")
        lines = [office.http.get(path, headers=ship).json()["items"][0] for path in lists]
        lines += [office.http.get(f"/v1/conditions/{id}", headers=ship).json()]
        lines += [office.http.get("/v1/fleet", headers=ship).json()["items"][0]["condition"]]
        return [line["returned"] for line in lines]

    for returned in shown():
        assert (returned["who"]["name"], returned["when"], returned["note"]) == ("Superintendent", when, note)
    office.revise(id, {"title": "Answered"}, ship)
    assert shown() == [None] * 4


def test_withdrawn_conditions_leave_the_lists_and_stay_where_they_are(office: Office, keys: Keys) -> None:
    ship, id = keys["ship"], entered(office, keys)
    stays = entered(office, keys, "ballast-departure")
    assert set_state(office, ship, id, "withdrawn", reason="Entered twice.").status_code == 200

    def listed(query: str = "") -> list[list[str]]:
        paths = ("/v1/conditions", "/v1/vessels/halven/conditions")
        answers = [office.http.get(path + query, headers=ship).json()["items"] for path in paths]
        return [[line["id"] for line in items] for items in answers]

    assert listed() == [[stays]] * 2
    assert listed("?state=withdrawn") == [[id]] * 2
    assert listed("?state=in_force") == [[]] * 2
    [line] = office.http.get("/v1/fleet", headers=ship).json()["items"]
    assert line["condition"]["id"] == stays
    assert line["others"] == {"count": 0, "fail": 0, "incomplete": 0, "returned": 0, "unreviewed": 0}
    assert office.http.get(f"/v1/conditions/{id}", headers=ship).json()["state"] == "withdrawn"
    again = set_state(office, ship, id, "worked_on")
    assert [e["state"] for e in again.json()["events"]] == ["worked_on", "withdrawn"]
    assert listed() == [[stays, id]] * 2


def test_withdrawn_vessels_leave_fleet_and_lists_and_free_their_number(office: Office, keys: Keys) -> None:
    operator = keys["administrator"]
    document = vessel_document(name="Calme", imo_number="9074729")
    first = office.enter_vessel(document, **operator)
    condition, _ = office.enter_condition(first, headers=operator)
    taken = office.http.post("/v1/vessels", json=document, headers=operator)
    assert code_of(taken) == (409, "imo_number_taken")
    path = f"/v1/vessels/{first}/state"
    for who in ("ship", "reviewer", "integrator"):
        answer = office.http.put(path, json={"state": "withdrawn"}, headers=keys[who])
        assert answer.status_code == 403
    made = office.http.put(path, json={"state": "withdrawn", "reason": "Sold."}, headers=operator)
    assert (made.status_code, made.json()["state"]) == (200, "withdrawn")
    vessel = office.http.get(f"/v1/vessels/{first}", headers=operator)
    assert (vessel.json()["state"], vessel.headers["ETag"]) == ("withdrawn", made.headers["ETag"])
    assert vessel.headers["ETag"] == f'"{vessel.json()["digest"]}.1"'

    def listed(path: str) -> list[str]:
        return [line["id"] for line in office.http.get(path, headers=operator).json()["items"]]

    assert listed("/v1/fleet") == listed("/v1/vessels") == ["halven"]
    assert listed("/v1/fleet?state=withdrawn") == listed("/v1/vessels?state=withdrawn") == [first]
    assert listed("/v1/conditions") == []
    assert (
        listed(f"/v1/conditions?vessel={first}") == listed(f"/v1/vessels/{first}/conditions") == [condition]
    )
    tag = {**operator, "If-Match": '"1.0"'}
    sail = office.http.put(f"/v1/conditions/{condition}/state", json={"state": "in_force"}, headers=tag)
    assert code_of(sail) == (409, "conflict")
    second = office.http.post("/v1/vessels", json=document, headers=operator)
    assert second.status_code == 201
    back = office.http.put(path, json={"state": "active"}, headers=operator)
    assert code_of(back) == (409, "imo_number_taken")
    office.http.put(f"/v1/vessels/{second.json()['id']}/state", json={"state": "withdrawn"}, headers=operator)
    stale = office.http.put(path, json={"state": "active"}, headers={**operator, "If-Match": '"x"'})
    assert code_of(stale) == (412, "stale")
    back = office.http.put(
        path, json={"state": "active"}, headers={**operator, "If-Match": vessel.headers["ETag"]}
    )
    assert [e["reason"] for e in back.json()["events"]] == [None, "Sold."]
    assert [
        (line["state"], line["condition"])
        for line in office.http.get("/v1/changes", headers=operator).json()["items"]
        if line["vessel"] == first and line["event"] == "state"
    ] == [("withdrawn", None), ("active", None)]


def test_others_that_fail_are_counted_beside_what_is_in_force(office: Office, keys: Keys) -> None:
    ship = keys["ship"]
    sails = entered(office, keys)
    set_state(office, ship, sails, "in_force")
    for name in ("timber-gm-fails", "timber-loll", "everything-slack"):
        last = entered(office, keys, name)
    review = {"decision": "returned", "note": "Look again."}
    office.http.post(f"/v1/conditions/{last}/revisions/1/reviews", json=review, headers=keys["reviewer"])
    [line] = office.http.get("/v1/fleet", headers=ship).json()["items"]
    assert (line["condition"]["id"], line["condition"]["verdict"]) == (sails, "pass")
    others = {"count": 3, "fail": 2, "incomplete": 1, "returned": 1, "unreviewed": 2}
    assert line["others"] == others
    set_state(office, ship, sails, "put_aside")
    [line] = office.http.get("/v1/fleet", headers=ship).json()["items"]
    assert (line["condition"]["id"], line["others"]) == (
        last,
        {**others, "count": 2, "incomplete": 0, "returned": 0},
    )


def test_two_who_take_force_at_once(office: Office, keys: Keys) -> None:
    """Each names the state it has seen: both are kept, one after the other, and one condition is in force."""
    ids = [entered(office, keys), entered(office, keys, "ballast-departure")]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda each: set_state(office, keys["ship"], each, "in_force", '"1.0"'), ids))
    assert [answer.status_code for answer in answers] == [200, 200]
    found = office.http.get("/v1/conditions", headers=keys["ship"]).json()["items"]
    assert sorted(line["state"] for line in found) == ["in_force", "put_aside"]
