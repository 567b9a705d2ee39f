"""Stored conditions judged again, as a report that changes nothing."""

import pytest

from service.storage import Storage, verify
from tests.api.office import Office, code_of, condition_document, vessel_document

PATH = "/v1/reassessments"


def _revised_vessel(office: Office) -> str:
    vessel = office.enter_vessel()
    office.enter_condition(vessel, condition_document("departure-homogeneous"))
    office.enter_condition(vessel, condition_document("ballast-departure"))
    heavier = vessel_document()
    heavier["lightship"]["vcg"] += 0.9
    heavier["tanks"] = [tank for tank in heavier["tanks"] if tank["id"] != "sewage-p"]
    tag = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
    put = office.http.put(f"/v1/vessels/{vessel}", json=heavier, headers={"If-Match": tag})
    assert put.status_code == 200, put.text
    _id, _ = office.enter_condition(
        vessel,
        {
            **(document := condition_document("departure-homogeneous")),
            "tanks": [line for line in document["tanks"] if line["tank"] != "sewage-p"],
        },
    )
    return vessel


def test_the_same_data_and_calculation_move_nothing(office: Office) -> None:
    vessel = office.enter_vessel()
    office.enter_condition(vessel)
    report = office.http.post(PATH, json={"vessel": vessel}).json()
    [item] = report["items"]
    assert (item["moved"], item["moved_count"], item["refused"]) == ([], 0, None)
    assert item["verdict"] == item["kept_verdict"]
    assert report["verdicts_changed"] == 0
    assert all(row["change"] in (0.0, None) for row in item["figures"])


def test_other_data_of_the_vessel_move_figures_and_verdicts_in_the_report_alone(office: Office) -> None:
    vessel = _revised_vessel(office)
    changes = office.http.get("/v1/changes").json()["items"]
    report = office.http.post(PATH, json={"vessel": vessel, "vessel_revision": 1}).json()
    assert (report["vessel_revision"], report["next"]) == (1, None)
    latest = report["items"][0]
    assert (latest["kept_vessel_revision"], latest["vessel_revision"]) == (2, 1)
    kg = next(row for row in latest["figures"] if row["name"] == "vcg_solid")
    share = (
        vessel_document()["lightship"]["mass"]
        / office.http.get(f"/v1/conditions/{latest['condition']}").json()["assessment"]["displacement"]
    )
    assert kg["change"] == pytest.approx(-0.9 * share, rel=1e-9)
    assert latest["moved_count"] >= len(latest["moved"]) > 10
    now = office.http.post(PATH, json={"vessel": vessel}).json()
    refused = [item for item in now["items"] if item["refused"]]
    assert len(refused) == 2  # two conditions fill a tank that her new booklet does not have
    assert all(item["verdict"] is None for item in refused)
    assert now["verdicts_changed"] == 2
    assert office.http.get("/v1/changes").json()["items"] == changes
    storage = Storage(office.database)
    verify(storage)
    storage.close()


def test_pages_and_revisions_of_the_report(office: Office) -> None:
    vessel = office.enter_vessel()
    ids = [office.enter_condition(vessel)[0] for _ in range(3)]
    for title in ("Second", "Third"):
        assert office.revise(ids[1], {"title": title}).status_code == 200
    wanted = {"vessel": vessel, "all_revisions": True}
    seen, address = [], f"{PATH}?limit=2"
    while address:
        page = office.http.post(address, json=wanted)
        assert page.status_code == 200, page.text
        seen += [(item["condition"], item["revision"]) for item in page.json()["items"]]
        address = page.json()["next"]
    assert seen == [(ids[2], 1), (ids[1], 3), (ids[1], 2), (ids[1], 1), (ids[0], 1)]
    chosen = office.http.post(PATH, json={"vessel": vessel, "conditions": [ids[0], ids[1]]}).json()["items"]
    assert [(item["condition"], item["revision"]) for item in chosen] == [(ids[1], 3), (ids[0], 1)]


def test_what_is_refused(office: Office) -> None:
    vessel, other = office.enter_vessel(), office.enter_vessel()
    id, _ = office.enter_condition(other)
    for document, expected in (
        ({"vessel": "nobody"}, (404, "unknown_vessel")),
        ({"vessel": vessel, "vessel_revision": 2}, (404, "unknown_revision")),
        ({"vessel": vessel, "conditions": [id]}, (404, "unknown_condition")),
        ({"vessel": vessel, "conditions": []}, (422, "invalid_request")),
        ({"vessels": [vessel]}, (422, "invalid_request")),
    ):
        assert code_of(office.http.post(PATH, json=document)) == expected
    assert code_of(office.http.post(f"{PATH}?cursor=YWJj", json={"vessel": vessel})) == (400, "invalid_query")


def test_the_whole_fleet_by_the_data_of_then_and_the_worst_first(office: Office) -> None:
    vessel = _revised_vessel(office)
    other = office.enter_vessel(vessel_document("ostrel"))
    office.enter_condition(other, condition_document("ballast-transit", "ostrel"))
    then = office.http.post(PATH, json={"vessel_data": "kept"}).json()
    assert (then["vessel"], then["vessel_revision"], then["verdicts_changed"]) == (None, None, 0)
    assert [item["vessel"] for item in then["items"]] == [other, vessel, vessel, vessel]
    assert all(item["moved_count"] == 0 for item in then["items"])
    assert [item["vessel_revision"] for item in then["items"]] == [1, 2, 1, 1]
    worst = office.http.post(PATH, json={"order": "worst_first"}).json()["items"]
    assert [item["refused"] is not None for item in worst] == [True, True, False, False]
    scoped = office.key("integrator", [other])
    seen = office.http.post(PATH, json={}, headers=scoped).json()["items"]
    assert [item["vessel"] for item in seen] == [other]


def test_a_further_rule_set_adds_its_clauses(office: Office) -> None:
    vessel = office.enter_vessel()
    office.enter_condition(vessel)
    wanted = {"vessel": vessel, "rule_sets": ["is-code-2008-b-2.4"]}
    (item,) = office.http.post(PATH, json=wanted).json()["items"]
    assert {row["rule_set"] for row in item["criteria"]} == {"is-code-2008-b-2.4"}
    assert all(row["before"] is None and row["flipped"] for row in item["criteria"])
    for document, place in (
        ({"vessel_revision": 1}, "/vessel_revision"),
        ({"conditions": ["a"]}, "/conditions"),
        ({"vessel": vessel, "vessel_revision": 1, "vessel_data": "kept"}, "/vessel_data"),
    ):
        refused = office.http.post(PATH, json=document)
        assert code_of(refused) == (422, "invalid_request")
        assert [wrong["pointer"] for wrong in refused.json()["errors"]] == [place]
    assert code_of(office.http.post(PATH, json={"rule_sets": ["none"]})) == (422, "unknown_rule_set")
