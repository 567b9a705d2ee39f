"""What stands beside a verdict in every list: dangers, the least stability margin in its own unit, the load line.

The foot and the long ton are those of the international agreement of 1959: 0.3048 m and 1.0160469088 t, exact.
"""

import json
from copy import deepcopy
from typing import Any

import pytest

from service.storage import Storage, import_history, verify
from service.storage.digest import SINCE_FORM_2
from tests.api.office import Office, condition_document
from tests.storage.records import kept_by_1_0_0

FOOT, LONG_TON = 0.3048, 1.0160469088
PASSING, DANGEROUS, GRAIN = "departure-homogeneous", "over-full-tank", "grain-departure"
MEMBERS = ("dangers", "least_stability_margin", "load_line_margin")


def get(office: Office, path: str) -> Any:
    answer = office.http.get(path)
    assert answer.status_code == 200, answer.text
    return answer.json()


def close(found: Any, expected: Any) -> None:
    """The same members, numbers within rounding."""
    assert found.keys() == expected.keys()
    for name, value in expected.items():
        assert found[name] == (pytest.approx(value, rel=1e-12) if isinstance(value, float) else value), name


def entered(office: Office, name: str, **changes: Any) -> tuple[str, str, dict[str, Any]]:
    """Vessel, condition and kept assessment of a demonstration condition."""
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel, {**condition_document(name), **changes})
    return vessel, id, get(office, f"/v1/conditions/{id}")["assessment"]


def lines_of(office: Office, vessel: str, id: str, units: str = "metric") -> list[dict[str, Any]]:
    """The condition in the list of all, in that of her vessel, in the fleet, and in its own history."""
    fleet = get(office, f"/v1/fleet?units={units}")["items"]
    return [
        get(office, f"/v1/conditions?units={units}")["items"][0],
        get(office, f"/v1/vessels/{vessel}/conditions?units={units}")["items"][0],
        next(line["condition"] for line in fleet if line["vessel"] == vessel),
        get(office, f"/v1/conditions/{id}/revisions?units={units}")["items"][0],
    ]


@pytest.mark.parametrize("name", [PASSING, DANGEROUS, GRAIN])
def test_every_list_shows_what_the_answer_says(office: Office, name: str) -> None:
    vessel, id, answer = entered(office, name)
    least = {key: value for key, value in answer["least_stability_margin"].items() if key != "title"}
    assert answer["dangers"] == (name == DANGEROUS)
    feed = get(office, "/v1/changes")
    assert feed["units"] == {"system": "metric", "length": "metre", "mass": "tonne"}
    for line in (*lines_of(office, vessel, id), feed["items"][-1]):
        assert line["dangers"] == answer["dangers"]
        close(line["least_stability_margin"], least)
        close(line["load_line_margin"], answer["load_line_margin"])
    assert feed["items"][0]["dangers"] is feed["items"][0]["least_stability_margin"] is None


@pytest.mark.parametrize("name", [PASSING, GRAIN])
def test_the_units_of_a_list_are_asked_for(office: Office, name: str) -> None:
    """Length, and length times radian, by the foot; an answer in feet is kept in metres."""
    vessel, id, answer = entered(office, name)
    least, line = answer["least_stability_margin"], answer["load_line_margin"]
    for shown in lines_of(office, vessel, id, "us"):
        found = shown["least_stability_margin"]
        assert found["unit"] == least["unit"].replace("m", "ft", 1)
        assert found["margin"] == pytest.approx(least["margin"] / FOOT, rel=1e-12)
        assert found["gm_equivalent"] == pytest.approx(least["gm_equivalent"] / FOOT, rel=1e-12)
        assert shown["load_line_margin"]["draft"] == pytest.approx(line["draft"] / FOOT, rel=1e-12)
        assert shown["load_line_margin"]["mass"] == pytest.approx(line["mass"] / LONG_TON, rel=1e-12)
    in_feet = get(office, f"/v1/conditions/{id}?units=us")["assessment"]
    unit = {"unit": least["unit"].replace("m", "ft", 1)}
    figures = {name: least[name] / FOOT for name in ("margin", "gm_equivalent")}
    close(in_feet["least_stability_margin"], least | unit | figures)
    surface, kept = in_feet["free_surface"], answer["free_surface"]
    assert surface["exempt_moment"] == pytest.approx(kept["exempt_moment"] / FOOT / LONG_TON, rel=1e-12)
    for basis in ("as_filled", "maximum_when_slack", "by_rule", "judged"):
        assert surface[basis]["moment"] == pytest.approx(kept[basis]["moment"] / FOOT / LONG_TON, rel=1e-12)
        assert surface[basis]["gm_corrected"] == pytest.approx(kept[basis]["gm_corrected"] / FOOT, rel=1e-12)
    curve = in_feet["righting_lever"]
    assert curve["range_end"] == answer["righting_lever"]["range_end"]
    maximum = answer["righting_lever"]["beyond"]["maximum"]
    assert curve["beyond"]["maximum"] == pytest.approx(maximum / FOOT, rel=1e-12)


def test_a_condition_posted_in_feet_shows_metres_in_a_metric_list(office: Office) -> None:
    metric = condition_document(PASSING)
    weights = [
        {**w, "mass": w["mass"] / LONG_TON, **{n: w[n] / FOOT for n in ("lcg", "vcg", "tcg") if n in w}}
        for w in metric["weights"]
    ]
    for weight in weights:
        if weight.get("extent"):
            weight["extent"] = {name: place / FOOT for name, place in weight["extent"].items()}
    tanks = [
        {name: value / FOOT if name in ("sounding", "ullage") else value for name, value in line.items()}
        for line in metric["tanks"]
    ]
    vessel, id, answer = entered(office, PASSING, units="us", weights=weights, tanks=tanks)
    assert answer["least_stability_margin"]["unit"] == "ft"
    for line in lines_of(office, vessel, id):
        assert line["least_stability_margin"]["unit"] == "m"
        margin = answer["least_stability_margin"]["margin"] * FOOT
        assert line["least_stability_margin"]["margin"] == pytest.approx(margin, rel=1e-12)
        assert line["load_line_margin"]["draft"] == pytest.approx(
            answer["load_line_margin"]["draft"] * FOOT, rel=1e-12
        )


OFF_DISPLACEMENT, OFF_TRIM, NO_EQUILIBRIUM = (
    {"mass": 9000.0, "lcg": 45.0, "vcg": 5.0},
    {"mass": 400.0, "lcg": 98.0, "vcg": 5.0},
    {"mass": 900.0, "lcg": 45.0, "vcg": 5.0, "tcg": 9.0},
)


def with_weight(weight: dict[str, Any]) -> dict[str, Any]:
    document = deepcopy(condition_document(PASSING))
    document["weights"].append({"name": "Trial", "category": "cargo", **weight})
    return document


@pytest.mark.parametrize(
    ("weight", "verdict", "margin"),
    [
        (OFF_DISPLACEMENT, "incomplete", None),
        (OFF_TRIM, "incomplete", "m"),
        (NO_EQUILIBRIUM, "fail", "m·rad"),
    ],
)
def test_a_condition_off_her_tables_is_kept_listed_and_compared(
    office: Office, weight: dict[str, Any], verdict: str, margin: str | None
) -> None:
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel)
    assert office.revise(id, with_weight(weight)).status_code == 200
    for line in lines_of(office, vessel, id):
        assert line["verdict"] == verdict
        found = line["least_stability_margin"]
        assert (found and found["unit"]) == margin
    gm = get(office, "/v1/conditions")["items"][0]["gm_corrected"]
    assert (gm is None) is (weight is OFF_DISPLACEMENT)
    compared = get(office, f"/v1/conditions/{id}/comparison?units=us")
    assert compared["verdict"] == {"before": "pass", "after": verdict}
    figures = {row["name"]: row for row in compared["figures"]}
    assert figures["list"]["change"] is figures["list"]["after"] is None
    assert figures["displacement"]["change"] == pytest.approx(weight["mass"] / LONG_TON, rel=1e-9)
    report = office.http.post("/v1/reassessments", json={"vessel": vessel, "all_revisions": True})
    assert [item["moved_count"] for item in report.json()["items"]] == [0, 0]
    storage = Storage(office.database)
    verify(storage)
    storage.close()


def old_condition(office: Office) -> tuple[str, str, list[dict[str, Any]]]:
    """Vessel and condition of the history that release 1.0.0 exported, and its revisions."""
    storage = Storage(office.database)
    with storage.transaction(write=True) as tx:
        made = import_history(tx, kept_by_1_0_0())
    storage.close()
    return made.vessel, made.condition, json.loads(kept_by_1_0_0())["condition"]["revisions"]


def test_an_answer_of_1_0_0_is_given_byte_for_byte(office: Office) -> None:
    vessel, id, revisions = old_condition(office)
    for kept in revisions:
        text = office.http.get(f"/v1/conditions/{id}/revisions/{kept['number']}").text
        assert f'"assessment":{kept["assessment"]}' in text
        assert f'"document":{kept["document"]}' in text
    assert f'"assessment":{revisions[-1]["assessment"]}' in office.http.get(f"/v1/conditions/{id}").text
    other = get(office, f"/v1/conditions/{id}/revisions/1?units=us")["assessment"]
    assert other.keys() == json.loads(revisions[0]["assessment"]).keys()
    for line in lines_of(office, vessel, id):
        assert [line[name] for name in MEMBERS] == [None, None, None]
        assert line["calculation_version"] == "1.0.0"
    [*_, reviewed] = get(office, "/v1/changes")["items"]
    assert (reviewed["event"], reviewed["verdict"], reviewed["dangers"]) == ("review", "pass", None)


def test_revisions_of_both_calculations_are_compared(office: Office) -> None:
    _, id, revisions = old_condition(office)
    assert office.revise(id, {"title": "Judged by today's calculation"}).status_code == 200
    lines = get(office, f"/v1/conditions/{id}/revisions")["items"]
    assert [line["dangers"] for line in lines] == [0, None, None, None, None]
    assert lines[0]["calculation_version"] != "1.0.0"
    found = get(office, f"/v1/conditions/{id}/comparison?from=3&to=5")
    assert found["dangers"] == {"before": 2, "after": 0}
    assert {row["id"] for row in found["criteria"] if row["before"] is None} >= {"afloat-gm"}
    storage = Storage(office.database)
    assert verify(storage).condition_revisions == len(revisions) + 1
    with storage.transaction() as tx:
        assert [row.form for row in tx.conditions.history(id)] == [2, 1, 1, 1, 1]
        assert all(getattr(tx.conditions.revision(id, 1), name) is None for name in SINCE_FORM_2)
    storage.close()


def test_conditions_of_1_0_0_are_judged_again(office: Office) -> None:
    vessel, _, revisions = old_condition(office)
    report = office.http.post("/v1/reassessments", json={"vessel": vessel, "all_revisions": True}).json()
    items = {item["revision"]: item for item in report["items"]}
    assert len(items) == len(revisions)
    for number, dangers in ((1, 0), (2, 1), (3, 2), (4, 0)):
        item = items[number]
        assert (item["kept_calculation_version"], item["kept_dangers"]) == ("1.0.0", dangers)
        assert item["calculation_version"] == report["calculation_version"] != "1.0.0"
        assert (item["refused"], item["kept_verdict"]) == (None, revisions[number - 1]["verdict"])
        assert item["dangers"] is not None
        assert all(not moved["path"].startswith("/free_surface/") for moved in item["moved"])
