"""Conditions: judged and kept with every change, by the data of the vessel at that moment."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from service.demo import demo_vessel_ids
from service.storage import Storage, canonical, verify
from tests.api.office import (
    MERGE_PATCH,
    SHIP,
    Office,
    code_of,
    condition_document,
    running_office,
    vessel_document,
)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A service with the demonstration ships, for tests that write nothing."""
    database = tmp_path_factory.mktemp("demo") / "records.db"
    with running_office(f"sqlite:///{database}", demo=True) as running:
        yield running


def _stateless(office: Office, vessel: str, document: dict[str, Any], **query: str) -> dict[str, Any]:
    answer = office.http.post(
        "/v1/assessments", json={"vessel_id": vessel, "condition": document}, params=query
    )
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def test_a_condition_is_kept_as_posted_with_the_answer_it_got(office: Office) -> None:
    vessel = office.enter_vessel()
    document = condition_document("timber-gm-fails")
    made = office.http.post(f"/v1/vessels/{vessel}/conditions", json=document, params={"reason": "As loaded"})
    assert made.status_code == 201
    record = made.json()
    assert canonical(record["document"]) == canonical(document)
    assert record["assessment"] == _stateless(office, vessel, document)
    assert (record["verdict"], record["revision"], record["reason"]) == ("fail", 1, "As loaded")
    assert record["vessel_revision"] == record["assessment"]["provenance"]["vessel"]["revision"] == 1
    assert record["calculation_version"] == record["assessment"]["provenance"]["calculation_version"]
    assert record["rule_sets"] == record["assessment"]["provenance"]["rule_sets"]
    vessel_record = office.http.get(f"/v1/vessels/{vessel}").json()
    assert record["vessel_digest"] == vessel_record["digest"]
    read = office.http.get(made.headers["Location"])
    nothing_yet = {"review_state": "unreviewed", "state": "worked_on", "returned": None, "accepted": None}
    assert read.json() == record | nothing_yet
    assert read.headers["ETag"] == made.headers["ETag"] == '"1.0"'


def test_put_and_patch_make_revisions_that_follow_one_another(office: Office) -> None:
    vessel = office.enter_vessel()
    id, tag = office.enter_condition(vessel)
    path = f"/v1/conditions/{id}"
    put = office.http.put(path, json=condition_document("ballast-departure"), headers={"If-Match": tag})
    assert (put.status_code, put.json()["revision"]) == (200, 2)
    patch = {
        "title": "Ballast, fresh water",
        "water_density": 1.0,
        "load_line_mark": None,
        "voyage": {"number": "9"},
    }
    changed = office.http.patch(
        path,
        content=json.dumps(patch),
        headers={**MERGE_PATCH, "If-Match": put.headers["ETag"]},
        params={"reason": "Dock water"},
    )
    assert (changed.status_code, changed.json()["revision"]) == (200, 3)
    wanted = condition_document("ballast-departure", title="Ballast, fresh water", water_density=1.0)
    wanted.pop("load_line_mark", None)
    wanted["voyage"]["number"] = "9"
    assert canonical(changed.json()["document"]) == canonical(wanted)
    lines = office.http.get(f"{path}/revisions").json()["items"]
    assert [(line["revision"], line["reason"], line["review_state"]) for line in lines] == [
        (3, "Dock water", "unreviewed"),
        (2, None, "unreviewed"),
        (1, None, "unreviewed"),
    ]
    assert [line["previous_digest"] for line in lines] == [lines[1]["digest"], lines[2]["digest"], None]
    first = office.http.get(f"{path}/revisions/1")
    assert first.json()["title"] == condition_document()["title"]
    assert first.headers["Cache-Control"] == "private, max-age=31536000, immutable"
    storage = Storage(office.database)
    assert verify(storage).condition_revisions == 3
    storage.close()


def test_a_stale_writer_changes_nothing(office: Office) -> None:
    vessel = office.enter_vessel()
    id, tag = office.enter_condition(vessel)
    path, document = f"/v1/conditions/{id}", condition_document(title="Mine")
    patch = {"content": b'{"title":"Mine"}', "headers": MERGE_PATCH}
    assert code_of(office.http.put(path, json=document)) == (428, "precondition_required")
    assert code_of(office.http.patch(path, **patch)) == (428, "precondition_required")
    other = office.http.put(path, json=condition_document(title="Theirs"), headers={"If-Match": tag})
    for answer in (
        office.http.put(path, json=document, headers={"If-Match": tag}),
        office.http.patch(path, content=b'{"title":"Mine"}', headers={**MERGE_PATCH, "If-Match": tag}),
    ):
        assert code_of(answer) == (412, "stale")
        assert answer.headers["ETag"] == other.headers["ETag"]
    assert office.http.get(path).json()["title"] == "Theirs"
    assert len(office.http.get(f"{path}/revisions").json()["items"]) == 2


def test_a_condition_stays_judged_by_the_vessel_of_its_day(office: Office) -> None:
    vessel = office.enter_vessel()
    id, tag = office.enter_condition(vessel)
    heavier = vessel_document()
    heavier["lightship"]["vcg"] += 0.1
    vessel_tag = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
    office.http.put(f"/v1/vessels/{vessel}", json=heavier, headers={"If-Match": vessel_tag})
    kept = office.http.get(f"/v1/conditions/{id}")
    assert kept.headers["ETag"] == tag
    assert kept.json()["vessel_revision"] == 1
    again = office.revise(id, {"title": "After the inclining"}).json()
    assert again["vessel_revision"] == 2
    rise = again["assessment"]["vcg_solid"] - kept.json()["assessment"]["vcg_solid"]
    share = heavier["lightship"]["mass"] / kept.json()["assessment"]["displacement"]
    assert rise == pytest.approx(0.1 * share, rel=1e-9)


def test_the_stateless_answer_knows_kept_vessels_by_revision(office: Office) -> None:
    vessel = office.enter_vessel()
    tag = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
    heavier = vessel_document()
    heavier["lightship"]["mass"] += 25.0
    office.http.put(f"/v1/vessels/{vessel}", json=heavier, headers={"If-Match": tag})
    request: dict[str, Any] = {"vessel_id": vessel, "condition": condition_document()}
    latest = office.http.post("/v1/assessments", json=request).json()
    first = office.http.post("/v1/assessments", json={**request, "vessel_revision": 1}).json()
    assert latest["displacement"] - first["displacement"] == pytest.approx(25.0, abs=1e-9)
    assert latest["provenance"]["vessel"]["id"] == vessel
    for unknown in ({"vessel_revision": 3}, {"vessel_id": "nobody"}, {"vessel_revision": 2**53}):
        assert code_of(office.http.post("/v1/assessments", json={**request, **unknown})) == (
            404,
            "unknown_vessel",
        )


def test_a_condition_that_does_not_fit_is_refused_by_its_own_places(office: Office) -> None:
    vessel = office.enter_vessel()
    document = condition_document()
    document["tanks"][3]["tank"] = "no-such"
    answer = office.http.post(f"/v1/vessels/{vessel}/conditions", json=document)
    assert code_of(answer) == (422, "invalid_condition")
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/tanks/3/tank"]
    answer = office.http.post(f"/v1/vessels/{vessel}/conditions", json={"title": "Empty"})
    assert code_of(answer) == (422, "invalid_request")
    assert "/units" in [error["pointer"] for error in answer.json()["errors"]]
    id, tag = office.enter_condition(vessel)
    headers = {**MERGE_PATCH, "If-Match": tag}
    for patch, code in (
        (b"[]", "not_an_object"),
        (b'{"units":null}', "invalid_request"),
        (b'{"weights":7}', "invalid_request"),
    ):
        answer = office.http.patch(f"/v1/conditions/{id}", content=patch, headers=headers)
        assert answer.json()["code"] == code
    plain = office.http.patch(f"/v1/conditions/{id}", json={"title": "x"}, headers={"If-Match": tag})
    assert code_of(plain) == (415, "unsupported_media_type")
    assert len(office.http.get(f"/v1/conditions/{id}/revisions").json()["items"]) == 1
    assert code_of(office.http.post("/v1/vessels/nobody/conditions", json=condition_document())) == (
        404,
        "unknown_vessel",
    )


def test_reasons_are_words_of_a_person(demo: Office) -> None:
    path = f"/v1/vessels/{SHIP}/conditions"
    for bad in ("x" * 501, "line\nbreak", "\u202etfel"):
        answer = demo.http.post(path, json=condition_document(), params={"reason": bad})
        assert code_of(answer) == (400, "invalid_query")


def test_the_answer_comes_in_the_units_of_the_reader(demo: Office) -> None:
    """A kept answer is converted; computing it anew in the other units must give the same figures."""
    line = demo.http.get(f"/v1/vessels/{SHIP}/conditions").json()["items"][0]
    path = f"/v1/conditions/{line['id']}"
    kept = demo.http.get(path).json()
    for address in (path, f"{path}/revisions/1"):
        shown = demo.http.get(address, params={"units": "us"}).json()["assessment"]
        _same(shown, _stateless(demo, SHIP, kept["document"], units="us"))
        assert demo.http.get(address, params={"units": "metric"}).json()["assessment"] == kept["assessment"]
    us = demo.http.get(f"/v1/vessels/{SHIP}/conditions", params={"units": "us"}).json()
    assert us["units"] == {"system": "us", "length": "foot", "mass": "long ton"}
    assert us["items"][0]["displacement"] * 1.0160469088 == pytest.approx(line["displacement"], rel=1e-12)
    assert us["items"][0]["gm_corrected"] * 0.3048 == pytest.approx(line["gm_corrected"], rel=1e-12)


def _same(found: Any, wanted: Any, path: str = "") -> None:
    if isinstance(wanted, dict):
        assert found.keys() == wanted.keys(), path
        for name in wanted:
            _same(found[name], wanted[name], f"{path}/{name}")
    elif isinstance(wanted, list):
        assert len(found) == len(wanted), path
        for place, value in enumerate(wanted):
            _same(found[place], value, f"{path}/{place}")
    elif isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=1e-9, abs=1e-9), path
    else:
        assert found == wanted, path


def test_lists_are_filtered_by_what_a_superintendent_asks(demo: Office) -> None:
    everything = demo.http.get("/v1/conditions").json()["items"]
    assert {item["vessel"] for item in everything} == set(demo_vessel_ids())
    for name in ("verdict", "phase", "review_state"):
        for value in {item[name] for item in everything}:
            wanted = [item["id"] for item in everything if item[name] == value]
            found = demo.http.get("/v1/conditions", params={name: value}).json()["items"]
            assert [item["id"] for item in found] == wanted
    of_ship = demo.http.get(f"/v1/vessels/{SHIP}/conditions").json()["items"]
    assert [item["id"] for item in of_ship] == [item["id"] for item in everything if item["vessel"] == SHIP]
    by_query = demo.http.get("/v1/conditions", params={"vessel": SHIP}).json()["items"]
    assert by_query == of_ship
    moment = everything[4]["updated"]
    later = demo.http.get("/v1/conditions", params={"updated_after": moment}).json()["items"]
    assert [item["id"] for item in later] == [item["id"] for item in everything[:4]]
    pages, address = [], "/v1/conditions?limit=5&verdict=pass"
    while address:
        page = demo.http.get(address).json()
        pages += [item["id"] for item in page["items"]]
        address = page["next"]
    assert pages == [item["id"] for item in everything if item["verdict"] == "pass"]
    for bad in ({"verdict": "maybe"}, {"phase": "sailing"}, {"sort": "length"}, {"units": "imperial"}):
        assert code_of(demo.http.get("/v1/conditions", params=bad)) == (400, "invalid_query")


def test_no_method_changes_the_history(demo: Office) -> None:
    id = demo.http.get(f"/v1/vessels/{SHIP}/conditions").json()["items"][0]["id"]
    for path in (f"/v1/conditions/{id}/revisions", f"/v1/conditions/{id}/revisions/1"):
        for method in ("PUT", "PATCH", "POST", "DELETE"):
            answer = demo.http.request(method, path, content=b"{}")
            assert code_of(answer) == (405, "method_not_allowed"), (method, path)
    assert code_of(demo.http.delete(f"/v1/conditions/{id}")) == (405, "method_not_allowed")
    for path in ("/v1/conditions/none", f"/v1/conditions/{id}/revisions/2", "/v1/conditions/none/revisions"):
        assert demo.http.get(path).status_code == 404
    assert demo.http.get(f"/v1/conditions/{id}?limit=1").status_code == 400
