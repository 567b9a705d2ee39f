"""Points of a plan over HTTP: asked for with a request, and of a kept condition; plans side by side."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.wire.compact_working import expanded
from tests.api.office import Office, condition_document, running_office, vessel_document


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with running_office(f"sqlite:///{tmp_path_factory.mktemp('points')}/records.db") as office:
        yield office


def planned(**more: Any) -> dict[str, Any]:
    document = condition_document()
    lines = [{**line, "fill": 50.0} for line in document["tanks"]]
    tank = lines[0]["tank"]
    for line in lines:
        for quantity in ("mass", "volume", "sounding", "ullage"):
            line.pop(quantity, None)
    use = {"contents": "fuel_oil", "mass_per_day": 0.5, "order": [[tank]]}
    stages = [{"name": "Passage", "days": 6.0}, {"name": "Arrival", "phase": "arrival"}]
    plan = {"kind": "voyage", "consumption": [use], "stages": stages}
    return {**document, "tanks": lines, "plan": plan, **more}


def test_a_point_of_a_posted_plan(office: Office) -> None:
    request = {"vessel": vessel_document(), "condition": planned()}
    whole = office.http.post("/v1/assessments", json=request).json()
    rows = whole["plan"]["points"]
    assert whole["verdict"] == whole["plan"]["verdict"]
    for row in rows:
        answer = office.http.post(f"/v1/assessments?point={row['index']}", json=request)
        assert answer.status_code == 200
        assert answer.json()["assessment"]["displacement"] == row["displacement"]
    refusals = {len(rows): (404, "point_not_found"), 300: (400, "invalid_query"), -1: (400, "invalid_query")}
    for number, expected in refusals.items():
        refused = office.http.post(f"/v1/assessments?point={number}", json=request)
        assert (refused.status_code, refused.json()["code"]) == expected


def test_the_working_of_a_point_beside_the_condition_it_was_typed_in(office: Office) -> None:
    """As nodes and compact; of the plan as a whole there is none."""
    request = {"vessel": vessel_document(), "condition": planned()}
    plain = office.http.post("/v1/assessments?point=1", json=request).json()
    found = office.http.post("/v1/assessments?point=1&working=true", json=request).json()
    nodes = found["assessment"].pop("working")
    assert found == plain
    by_id = {node["id"]: node for node in nodes}
    assert by_id["displacement"]["value"] == plain["assessment"]["displacement"]
    small = office.http.post("/v1/assessments?point=1&working=compact", json=request).json()
    assert expanded(small["assessment"]["working"]) == nodes
    refused = office.http.post("/v1/assessments?working=true", json=request)
    assert (refused.status_code, refused.json()["code"]) == (400, "working_not_with_plan")


def test_a_plan_that_is_too_long(office: Office) -> None:
    plan = {"kind": "voyage", "every_days": 1.0, "stages": [{"name": "Long", "days": 400.0}]}
    answer = office.http.post(
        "/v1/assessments", json={"vessel": vessel_document(), "condition": planned(plan=plan)}
    )
    assert (answer.status_code, answer.json()["code"]) == (422, "plan_too_long")
    assert office.http.get(answer.json()["type"]).status_code == 200


def test_the_points_of_a_kept_condition_and_two_plans_side_by_side(office: Office) -> None:
    operator = office.key("administrator", None, "Operator")
    vessel = office.enter_vessel(vessel_document(), **operator)
    entered = office.http.post(f"/v1/vessels/{vessel}/conditions", json=planned(), headers=operator)
    assert entered.status_code == 201, entered.text
    kept = entered.json()
    place = entered.headers["Location"]
    assert kept["verdict"] == kept["assessment"]["plan"]["verdict"]
    rows = kept["assessment"]["plan"]["points"]
    found = office.http.get(f"{place}/revisions/1/points/{rows[-1]['index']}", headers=operator)
    assert found.status_code == 200, found.text
    assert found.json()["assessment"]["displacement"] == rows[-1]["displacement"]
    assert "plan" not in found.json()["condition"]
    worked = office.http.get(
        f"{place}/revisions/1/points/1", params={"working": "true"}, headers=operator
    ).json()
    assert {"displacement", "gm_corrected"} <= {node["id"] for node in worked["assessment"]["working"]}
    missing = office.http.get(f"{place}/revisions/1/points/{len(rows)}", headers=operator)
    assert (missing.status_code, missing.json()["code"]) == (404, "point_not_found")

    longer = planned()
    longer["plan"]["stages"][0]["days"] = 9.0
    changed = office.http.put(place, json=longer, headers={**operator, "If-Match": entered.headers["ETag"]})
    assert changed.status_code == 200, changed.text
    compared = office.http.get(f"{place}/comparison", headers=operator).json()
    after = changed.json()["assessment"]["plan"]["worst"]
    assert [row["after"] for row in compared["plan_worst"]] == after
    assert [row["before"] for row in compared["plan_worst"]] == kept["assessment"]["plan"]["worst"]


def test_the_description_names_the_plan() -> None:
    file = Path(__file__).parents[2] / "openapi_examples" / "openapi.json"
    described = json.loads(file.read_text("utf-8"))
    assert "plan" in described["components"]["schemas"]["Condition"]["properties"]
    assert "/v1/conditions/{condition}/revisions/{number}/points/{point}" in described["paths"]
