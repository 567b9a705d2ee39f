"""The fleet: every vessel with the condition that was changed last."""

import json

import pytest

from service.actions.records.lifecycle import visited_records
from service.actions.refresh_fleet import refresh_fleet
from service.demo import demo_vessel_ids, read_printed_conditions
from tests.api.office import Office, code_of, condition_document, running_office, vessel_document


def test_each_vessel_shows_the_condition_that_was_changed_last(office: Office) -> None:
    document = vessel_document()
    ships = [office.enter_vessel({**document, "name": f"Ship {n}"}) for n in range(3)]
    first, _ = office.enter_condition(ships[0])
    office.enter_condition(ships[0], condition_document("timber-gm-fails"))
    office.enter_condition(ships[2], condition_document("everything-slack"))
    lines = office.http.get("/v1/fleet").json()["items"]
    assert [line["vessel"] for line in lines] == ships
    assert [line["condition"] and line["condition"]["verdict"] for line in lines] == [
        "fail",
        None,
        "incomplete",
    ]
    office.revise(first, {"title": "Changed last"})
    found = office.http.get("/v1/fleet").json()
    line = found["items"][0]["condition"]
    kept = office.http.get(f"/v1/conditions/{first}").json()
    assert (line["id"], line["title"], line["revision"]) == (first, "Changed last", 2)
    assert line["smallest_margin"] == {
        "criterion": kept["assessment"]["smallest_margin"]["criterion"],
        "percent": kept["assessment"]["smallest_margin"]["percent"],
    }
    assert line["displacement"] == kept["assessment"]["displacement"]
    assert line["gm_corrected"] == kept["assessment"]["stability"]["gm_corrected"]
    assert 0 <= line["age"] < 60
    assert found["as_of"] > line["updated"]


def test_filters_and_pages(office: Office) -> None:
    document = vessel_document()
    ships = [office.enter_vessel({**document, "name": f"Ship {n}"}) for n in range(4)]
    for ship, name in zip(
        ships, ("timber-gm-fails", "ballast-departure", "timber-loll", "everything-slack"), strict=True
    ):
        office.enter_condition(ship, condition_document(name))
    failing = office.http.get("/v1/fleet?verdict=fail").json()["items"]
    assert [line["vessel"] for line in failing] == [ships[0], ships[2]]
    assert office.http.get("/v1/fleet?review_state=accepted").json()["items"] == []
    seen, address = [], "/v1/fleet?limit=1&verdict=fail"
    while address:
        page = office.http.get(address).json()
        seen += [line["vessel"] for line in page["items"]]
        address = page["next"]
    assert seen == [ships[0], ships[2]]
    scoped = office.key("reviewer", [ships[1], ships[2]])
    assert [line["vessel"] for line in office.http.get("/v1/fleet", headers=scoped).json()["items"]] == ships[
        1:3
    ]
    for bad in ({"verdict": "unknown"}, {"ship": ships[1]}, {"sort": "gm"}):
        assert code_of(office.http.get("/v1/fleet", params=bad, headers=scoped)) == (400, "invalid_query")
    for hidden in (ships[0], "nobody"):
        refused = office.http.get("/v1/fleet", params={"vessel": [ships[1], hidden]}, headers=scoped)
        assert code_of(refused) == (404, "unknown_vessel")


def test_several_values_and_orders(office: Office) -> None:
    """Each order page by page, one vessel a page; without a condition comes last by verdict, first by time."""
    named = {
        "Brava": "timber-gm-fails",
        "Alfa": "departure-homogeneous",
        "Cara": "everything-slack",
        "Duna": "",
    }
    ships = {
        name: office.enter_vessel(vessel_document(name=name, reference=f"ref {name}", imo_number=number))
        for name, number in zip(named, ("9074729", "1234567", "7654329", "9999993"), strict=True)
    }
    for name, condition in reversed(named.items()):
        if condition:
            office.enter_condition(ships[name], condition_document(condition))

    def names(query: str) -> list[str]:
        seen, address = [], f"/v1/fleet?limit=1&{query}"
        while address:
            page = office.http.get(address).json()
            seen += [line["name"] for line in page["items"]]
            address = page["next"]
        return seen

    orders = {
        "created": ["Brava", "Alfa", "Cara", "Duna"],
        "name": ["Alfa", "Brava", "Cara", "Duna"],
        "updated": ["Duna", "Cara", "Alfa", "Brava"],
        "verdict": ["Brava", "Cara", "Alfa", "Duna"],
    }
    for order, expected in orders.items():
        assert names(f"sort={order}") == expected
        assert names(f"sort=-{order}") == expected[::-1]
    assert names("") == orders["created"]
    assert names("verdict=fail&verdict=incomplete&sort=-name") == ["Cara", "Brava"]
    assert names("reference=ref+Duna&reference=ref+Alfa") == ["Alfa", "Duna"]
    assert names("imo_number=9074729&imo_number=1234567&name=BR") == ["Brava"]
    assert names(f"vessel={ships['Cara']}&vessel={ships['Duna']}&sort=verdict") == ["Cara", "Duna"]
    assert names("state=active&state=withdrawn&review_state=unreviewed&review_state=returned") == [
        *("Brava", "Alfa", "Cara"),
    ]
    following = office.http.get("/v1/fleet?limit=1&sort=verdict").json()["next"]
    for other in ("sort=name", "sort=-verdict"):
        assert code_of(office.http.get(following.replace("sort=verdict", other))) == (400, "invalid_query")


def test_demonstration_ships_are_entered_once(migrated_url: str) -> None:
    seen = []
    for _ in range(2):
        with running_office(migrated_url, demo=True) as office:
            changes = office.http.get("/v1/changes?limit=200").json()["items"]
            seen.append([change["digest"] for change in changes])
            fleet = office.http.get("/v1/fleet").json()["items"]
    assert seen[0] == seen[1]
    assert [line["vessel"] for line in fleet] == sorted(demo_vessel_ids())
    assert all(line["condition"]["author_name"] == "Demonstration" for line in fleet)


def test_ports_and_drafts_are_those_of_the_condition_shown(office: Office) -> None:
    vessel = office.enter_vessel()
    condition, _ = office.enter_condition(vessel)
    kept = office.http.get(f"/v1/conditions/{condition}").json()
    voyage, flotation = kept["document"]["voyage"], kept["assessment"]["flotation"]
    shown = office.http.get("/v1/fleet").json()["items"][0]["condition"]
    assert (shown["port_from"], shown["port_to"]) == (voyage["from"], voyage["to"])
    assert (shown["draft_aft"], shown["draft_forward"]) == (
        flotation["draft_aft"],
        flotation["draft_forward"],
    )
    feet = office.http.get("/v1/fleet?units=us").json()["items"][0]["condition"]
    # The international foot is 0.3048 m exactly
    assert feet["draft_aft"] == pytest.approx(flotation["draft_aft"] / 0.3048, rel=1e-12)
    office.revise(condition, {"voyage": {"from": "Aldwick", "to": "Brenhaven"}})
    for search in ("brenh", "ALDWICK", vessel_document()["name"][:4].lower()):
        found = office.http.get("/v1/fleet", params={"search": search}).json()["items"]
        assert [line["vessel"] for line in found] == [vessel], search
    assert office.http.get("/v1/fleet?search=%25").json()["items"] == []
    assert office.http.get("/v1/fleet", params={"search": voyage["to"]}).json()["items"] == []


def test_the_proof_of_each_booklet(office: Office) -> None:
    """Kept with the revision; an older one is said to be older until it is made anew."""
    document = vessel_document()
    printed = json.loads(read_printed_conditions("halvenmoor"))
    proved = office.enter_vessel({**document, "printed_conditions": printed})
    bare = office.enter_vessel({**document, "name": "Bare"})
    fleet = {line["vessel"]: line for line in office.http.get("/v1/fleet").json()["items"]}
    proof = fleet[proved]["proof"]
    own = office.http.get(f"/v1/vessels/{proved}/proof").json()
    record = office.http.get(f"/v1/vessels/{proved}").json()
    assert (proof["state"], proof["conditions"], proof["off"]) == ("proved", 4, 0)
    assert (proof["state"], proof["calculation_version"]) == (own["state"], own["calculation_version"])
    assert (proof["revision"], proof["digest"], proof["is_older"]) == (1, record["digest"], False)
    assert fleet[bare]["proof"]["state"] == "none"
    found = office.http.get("/v1/fleet?proof=none").json()["items"]
    assert [line["vessel"] for line in found] == [bare]
    with visited_records(office.database) as records:
        with records.writing() as tx:
            tx.proofs.keep(
                proved, 1, proof["digest"], calculation_version="1.0.0", state="off", conditions=1, off=2
            )
        older = office.http.get("/v1/fleet").json()["items"][0]["proof"]
        assert (older["state"], older["is_older"]) == ("off", True)
        assert refresh_fleet(records) == 1
        assert refresh_fleet(records) == 0
    assert office.http.get("/v1/fleet").json()["items"][0]["proof"] == proof


def test_what_an_earlier_release_kept_gets_its_ports_and_drafts(office: Office) -> None:
    """Heads whose columns are of another revision show none, until they are filled."""
    condition, _ = office.enter_condition(office.enter_vessel())
    before = office.http.get("/v1/fleet").json()["items"][0]["condition"]
    with visited_records(office.database) as records:
        with records.writing() as tx:
            tx.connection.exec_driver_sql("UPDATE conditions SET shown_number = NULL, port_to = NULL")
        lost = office.http.get("/v1/fleet").json()["items"][0]["condition"]
        assert (lost["port_from"], lost["port_to"], lost["draft_aft"]) == (None, None, None)
        assert refresh_fleet(records) == 1
    after = office.http.get("/v1/fleet").json()["items"][0]["condition"]
    assert after["id"] == condition
    assert {**after, "age": 0} == {**before, "age": 0}
