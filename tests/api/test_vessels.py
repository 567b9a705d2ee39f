"""Vessels: every change is a revision, nothing is overwritten."""

import copy
import json
from typing import Any

from service.storage import canonical
from tests.api.office import Office, code_of, vessel_document


def test_a_vessel_is_kept_as_posted(office: Office) -> None:
    document = vessel_document()
    made = office.http.post("/v1/vessels", json=document, params={"reason": "Booklet, issue é"})
    assert made.status_code == 201
    record = made.json()
    assert made.headers["Location"] == f"/v1/vessels/{record['vessel']}"
    assert made.headers["ETag"] == f'"{record["digest"]}"'
    read = office.http.get(made.headers["Location"])
    assert read.content == made.content
    assert canonical(read.json()["document"]) == canonical(document)
    assert (record["revision"], record["reason"], record["previous_digest"]) == (1, "Booklet, issue é", None)
    assert record["source"].startswith(document["source"]["booklet"])
    assert record["author"] == {"key": "local", "name": "Local administrator"}


def test_a_change_is_the_next_revision_and_the_first_stays(office: Office) -> None:
    id = office.enter_vessel()
    first = office.http.get(f"/v1/vessels/{id}")
    changed = vessel_document()
    changed["lightship"]["vcg"] += 0.12
    second = office.http.put(
        f"/v1/vessels/{id}",
        json=changed,
        params={"reason": "Inclined"},
        headers={"If-Match": first.headers["ETag"]},
    )
    assert second.status_code == 200
    assert second.json()["revision"] == 2
    assert second.json()["previous_digest"] == first.json()["digest"]
    kept = office.http.get(f"/v1/vessels/{id}/revisions/1")
    assert kept.content == first.content
    assert kept.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    lines = office.http.get(f"/v1/vessels/{id}/revisions").json()["items"]
    assert [(line["revision"], line["reason"]) for line in lines] == [(2, "Inclined"), (1, None)]
    assert "document" not in lines[0]


def test_a_change_names_the_state_that_was_seen(office: Office) -> None:
    id = office.enter_vessel()
    tag = office.http.get(f"/v1/vessels/{id}").headers["ETag"]
    path, document = f"/v1/vessels/{id}", vessel_document(name="Renamed")
    assert code_of(office.http.put(path, json=document)) == (428, "precondition_required")
    assert code_of(office.http.put(path, json=document, headers={"If-Match": "*"})) == (
        428,
        "precondition_required",
    )
    assert code_of(office.http.put(path, json=document, headers={"If-Match": f"W/{tag}"})) == (412, "stale")
    answer = office.http.put(path, json=document, headers={"If-Match": f'"other", {tag}'})
    assert answer.status_code == 200
    stale = office.http.put(path, json=document, headers={"If-Match": tag})
    assert code_of(stale) == (412, "stale")
    assert stale.headers["ETag"] == answer.headers["ETag"]
    assert office.http.get(f"{path}/revisions").json()["items"][0]["revision"] == 2


def test_a_reader_who_has_it_gets_304(office: Office) -> None:
    id = office.enter_vessel()
    for path in (f"/v1/vessels/{id}", f"/v1/vessels/{id}/revisions/1"):
        tag = office.http.get(path).headers["ETag"]
        same = office.http.get(path, headers={"If-None-Match": f'"x", {tag}'})
        assert (same.status_code, same.content, same.headers["ETag"]) == (304, b"", tag)
        assert office.http.get(path, headers={"If-None-Match": '"x"'}).status_code == 200


def test_an_unusable_booklet_is_refused_with_its_places(office: Office) -> None:
    document = vessel_document()
    document["tanks"][1]["id"] = document["tanks"][0]["id"]
    document["lightship"]["mass"] = -1
    answer = office.http.post("/v1/vessels", json=document)
    assert code_of(answer) == (422, "invalid_request")
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/lightship/mass"]
    document["lightship"]["mass"] = 1700.0
    answer = office.http.post("/v1/vessels", json=document)
    assert answer.status_code == 422
    assert "/tanks/1/id" in [error["pointer"] for error in answer.json()["errors"]]
    assert office.http.get("/v1/vessels").json()["items"] == []


def test_lists_come_in_pages_and_filters_belong_to_the_cursor(office: Office) -> None:
    document = vessel_document()
    ids = [office.enter_vessel({**document, "name": f"Ship {n}"}) for n in range(5)]
    seen, page = [], office.http.get("/v1/vessels", params={"limit": 2, "name": "ship"})
    while True:
        seen += [item["id"] for item in page.json()["items"]]
        following = page.json()["next"]
        if following is None:
            assert "Link" not in page.headers
            break
        assert page.headers["Link"] == f'<{following}>; rel="next"'
        page = office.http.get(following)
    assert seen == ids
    assert [v["name"] for v in office.http.get("/v1/vessels", params={"name": "P 3"}).json()["items"]] == [
        "Ship 3"
    ]
    cursor = office.http.get("/v1/vessels", params={"limit": 2}).json()["next"].partition("cursor=")[2]
    foreign = office.http.get("/v1/vessels", params={"limit": 2, "name": "ship", "cursor": cursor})
    assert code_of(foreign) == (400, "invalid_query")
    for bad in (
        {"limit": 0},
        {"cursor": "!"},
        {"cursor": "YWJj"},
        {"offset": 1},
        {"updated_after": "yesterday"},
    ):
        assert code_of(office.http.get("/v1/vessels", params=bad)) == (400, "invalid_query")


def test_times_filter_and_are_utc(office: Office) -> None:
    office.enter_vessel()
    updated = office.http.get("/v1/vessels").json()["items"][0]["updated"]
    assert updated.endswith("Z")
    assert len(updated) == len("2026-04-12T09:30:00.000000Z")
    count = {
        name: len(office.http.get("/v1/vessels", params={name: moment}).json()["items"])
        for name, moment in (("updated_after", updated), ("updated_before", "2999-01-01T00:00:00+14:00"))
    }
    assert count == {"updated_after": 0, "updated_before": 1}
    early = office.http.get("/v1/vessels", params={"updated_after": "0001-01-01T00:00:00+14:00"})
    assert code_of(early) == (400, "invalid_query")


def test_two_revisions_are_compared_by_tank_and_row(office: Office) -> None:
    before = vessel_document()
    after = copy.deepcopy(before)
    after["tanks"][2]["vcg"] += 0.05
    alone = next(tank for tank in before["tanks"] if "pair" not in tank)
    after["tanks"].remove(alone)
    removed = alone["id"]
    row = after["hydrostatics"]["rows"][3]
    row["km"] += 0.02
    after["name"] = "Halvenmoor II"
    id = office.enter_vessel(before)
    tag = office.http.get(f"/v1/vessels/{id}").headers["ETag"]
    assert office.http.put(f"/v1/vessels/{id}", json=after, headers={"If-Match": tag}).status_code == 200
    compared = office.http.get(f"/v1/vessels/{id}/comparison").json()
    assert (compared["revision_from"]["revision"], compared["revision_to"]["revision"]) == (1, 2)
    found = {tuple(change["path"]): change for change in compared["changes"]}
    tank = before["tanks"][2]
    assert tank["id"] != removed
    assert set(found) == {
        ("name",),
        ("tanks", tank["id"], "vcg"),
        ("tanks", removed),
        ("hydrostatics", "rows", _row_name(row), "km"),
    }
    assert found["tanks", tank["id"], "vcg"]["before"] == tank["vcg"]
    assert found["tanks", removed]["change"] == "removed"
    assert found["hydrostatics", "rows", _row_name(row), "km"]["after"] == row["km"]
    back = office.http.get(f"/v1/vessels/{id}/comparison", params={"from": 2, "to": 1}).json()
    assert {c["change"] for c in back["changes"] if c["path"] == ["tanks", removed]} == {"added"}
    assert (
        office.http.get(f"/v1/vessels/{id}/comparison", params={"from": 1, "to": 1}).json()["changes"] == []
    )


def _row_name(row: dict[str, Any]) -> str:
    return f"trim {row['trim']:g}, draft {row['draft']:g}"


def test_what_is_not_there_is_not_found(office: Office) -> None:
    id = office.enter_vessel()
    for path, code in (
        ("/v1/vessels/nobody", "unknown_vessel"),
        ("/v1/vessels/%00", "unknown_vessel"),
        (f"/v1/vessels/{id}/revisions/2", "unknown_revision"),
        (f"/v1/vessels/{id}/comparison?from=7", "unknown_revision"),
        ("/v1/vessels/nobody/conditions", "unknown_vessel"),
        ("/v1/vessels/nobody/revisions", "unknown_vessel"),
    ):
        assert code_of(office.http.get(path)) == (404, code), path


def test_history_cannot_be_changed_by_any_method(office: Office) -> None:
    id = office.enter_vessel()
    for path in (f"/v1/vessels/{id}/revisions", f"/v1/vessels/{id}/revisions/1"):
        for method in ("PUT", "PATCH", "POST", "DELETE"):
            answer = office.http.request(method, path, content=json.dumps(vessel_document()))
            assert code_of(answer) == (405, "method_not_allowed"), (method, path)
    assert office.http.delete(f"/v1/vessels/{id}").status_code == 405
