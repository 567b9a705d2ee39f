"""New from this, arrival from this departure, and any two conditions of a ship compared."""

from typing import Any

import pytest

from tests.api.office import Office, code_of, condition_document, vessel_document

PLAN = {
    "kind": "voyage",
    "stages": [
        {
            "name": "Passage",
            "days": 5.0,
            "consumption": [
                {"contents": "fuel_oil", "mass_per_day": 4.0, "order": [["fo-db-5-p", "fo-db-5-s"]]},
                {"contents": "fresh_water", "mass_per_day": 1.5, "order": [["fw-p"], ["fw-s"]]},
                {"weight": "Provisions and stores", "mass_per_day": 0.2},
            ],
        }
    ],
}
CONSUMED = ("fuel_oil", "diesel_oil", "lubricating_oil", "fresh_water")


def kept(office: Office, vessel: str, **changes: Any) -> dict[str, Any]:
    """A kept departure with everything that belongs to its moment."""
    document = condition_document(
        id="departure", reference="R 1", observed={"drafts": {"aft": 6.1, "forward": 5.0}}, **changes
    )
    answer = office.http.post(f"/v1/vessels/{vessel}/conditions", json=document)
    assert answer.status_code == 201, answer.text
    return dict(answer.json())


def copy(office: Office, body: dict[str, Any], **headers: str) -> Any:
    return office.http.post("/v1/conditions/departure/copies", json=body, headers=headers)


def masses(record: dict[str, Any]) -> dict[str, float]:
    return {row["tank"]: row["mass"] for row in record["assessment"]["tanks"]}


def test_new_from_this_leaves_out_what_was_true_of_that_moment(office: Office) -> None:
    vessel = office.enter_vessel()
    departure = kept(office, vessel, plan=PLAN)
    made = copy(office, {}, **{"Idempotency-Key": "once"})
    assert (made.status_code, made.headers["Location"]) == (201, f"/v1/conditions/{made.json()['condition']}")
    record = made.json()
    left_out = {"id", "reference", "observed"}
    wanted = {name: value for name, value in departure["document"].items() if name not in left_out}
    assert record["document"] == {**wanted, "title": f"Copy of {departure['title']}"}
    assert (record["revision"], record["condition"] != "departure", record["reference"]) == (1, True, None)
    assert record["reason"] == f"From {departure['title']}, revision 1"
    assert copy(office, {}, **{"Idempotency-Key": "once"}).content == made.content
    named = copy(office, {"title": "Second leg"}).json()
    assert named["title"] == named["document"]["title"] == "Second leg"
    assert office.http.get("/v1/conditions/departure").json()["digest"] == departure["digest"]


def test_an_arrival_by_percent(office: Office) -> None:
    """2008 IS Code Part A 3.4.1: arrival with 10 % stores and fuel remaining; here as 90 % used up."""
    vessel = office.enter_vessel()
    departure = kept(office, vessel)
    arrival = copy(office, {"consumables": {"percent": 90}}).json()
    assert (arrival["phase"], departure["phase"]) == ("arrival", "departure")
    assert arrival["title"] == f"Arrival from: {departure['title']}"
    before, after = masses(departure), masses(arrival)
    contents = {row["tank"]: row["contents"] for row in departure["assessment"]["tanks"]}
    assert {contents[tank] for tank in before} > set(CONSUMED)
    for tank, mass in before.items():
        left = 0.1 if contents[tank] in CONSUMED else 1.0
        assert after[tank] == pytest.approx(mass * left, abs=2e-4), tank
    lines = {line["tank"]: line for line in arrival["document"]["tanks"]}
    assert lines["fo-db-5-p"]["fill"] == 9.6
    assert "sounding" not in lines["do-db-p"]
    weights = {weight["name"]: weight["mass"] for weight in arrival["document"]["weights"]}
    assert (weights["Provisions and stores"], weights["Constant"]) == (1.6, 30.0)
    none = copy(office, {"consumables": {"percent": 0}, "title": "As it is"}).json()
    assert masses(none) == pytest.approx(before, abs=2e-6)


def test_an_arrival_by_days_of_its_own_plan(office: Office) -> None:
    vessel = office.enter_vessel()
    departure = kept(office, vessel, plan=PLAN)
    made = copy(office, {"consumables": {"days": 4}, "title": "Estmouth"})
    assert made.status_code == 201, made.text
    arrival = made.json()
    assert ("plan" in arrival["document"], arrival["phase"]) == (False, "arrival")
    assert arrival["reason"].endswith(", 4 days later")
    before, after = masses(departure), masses(arrival)
    fuel, water = ("fo-db-5-p", "fo-db-5-s"), ("fw-p", "fw-s")
    assert sum(before[t] - after[t] for t in fuel) == pytest.approx(16.0, abs=1e-6)
    assert before["fw-p"] - after["fw-p"] == pytest.approx(6.0, abs=1e-6)
    rest = set(before) - {*fuel, "fw-p"}
    assert {t: after[t] for t in rest} == pytest.approx({t: before[t] for t in rest}, abs=1e-9)
    stores = next(w for w in arrival["document"]["weights"] if w["name"] == "Provisions and stores")
    assert stores["mass"] == pytest.approx(16.0 - 0.8)
    assert water[1] in rest


def test_what_cannot_be_worked_out_is_refused(office: Office) -> None:
    vessel = office.enter_vessel()
    kept(office, vessel)
    refused = copy(office, {"consumables": {"days": 4}})
    assert code_of(refused) == (422, "consumption_missing")
    assert refused.json()["errors"][0]["pointer"] == "/consumables/days"
    for wrong in (
        {"consumables": {}},
        {"consumables": {"days": 1, "percent": 1}},
        {"consumables": {"percent": 101}},
        {"consumables": {"days": 0}},
        {"title": ""},
        {"id": "x"},
    ):
        assert code_of(copy(office, wrong)) == (422, "invalid_request")
    gone = office.http.post("/v1/conditions/nothing/copies", json={})
    assert code_of(gone) == (404, "unknown_condition")
    office.revise("departure", {"plan": PLAN})
    assert code_of(copy(office, {"consumables": {"days": 400}})) == (422, "not_computable")
    assert len(office.http.get("/v1/conditions").json()["items"]) == 1


def test_any_two_conditions_of_a_ship_are_compared(office: Office) -> None:
    vessel = office.enter_vessel()
    departure = kept(office, vessel)
    arrival = copy(office, {"consumables": {"percent": 90}}).json()
    office.revise("departure", {"title": "Departure, corrected"})
    place = {"from": "departure/1", "to": f"{arrival['condition']}/1"}
    found = office.http.get("/v1/comparison", params=place).json()
    assert (found["revision_from"]["condition"], found["revision_to"]["condition"]) == (
        *("departure", arrival["condition"]),
    )
    gm = next(row for row in found["figures"] if row["name"] == "gm_corrected")
    assert gm["before"] == departure["assessment"]["stability"]["gm_corrected"]
    assert gm["after"] == arrival["assessment"]["stability"]["gm_corrected"]
    assert {row["tank"] for row in found["tanks"]} >= {"fo-db-5-p", "fw-p"}
    assert "wb-fore-peak" not in {row["tank"] for row in found["tanks"]}
    latest = office.http.get("/v1/comparison", params={**place, "from": "departure"}).json()
    assert latest["revision_from"]["revision"] == 2
    # two revisions of one condition: the same as at its own address
    one = office.http.get("/v1/comparison", params={"from": "departure/1", "to": "departure/2"})
    assert one.content == office.http.get("/v1/conditions/departure/comparison?from=1&to=2").content
    other = office.enter_vessel(vessel_document(name="Other"))
    foreign, _ = office.enter_condition(other)
    for params, status, code in (
        ({**place, "to": f"{foreign}/1"}, 400, "invalid_query"),
        ({**place, "to": "departure/9"}, 404, "unknown_revision"),
        ({**place, "to": "nothing/1"}, 404, "unknown_condition"),
        ({**place, "to": "departure/x"}, 400, "invalid_query"),
        ({"from": "departure/1"}, 400, "invalid_query"),
    ):
        assert code_of(office.http.get("/v1/comparison", params=params)) == (status, code)
    scoped = office.key("ship", [vessel])
    hidden = office.http.get("/v1/comparison", params={**place, "to": f"{foreign}/1"}, headers=scoped)
    assert code_of(hidden) == (404, "unknown_condition")
