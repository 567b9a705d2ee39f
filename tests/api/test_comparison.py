"""Two revisions side by side: what was changed, and what it did. Figures are taken from the two kept answers."""

import copy
from typing import Any

import pytest

from service.storage import ConditionEntry, Storage, canonical
from tests.api.office import Office, code_of, condition_document, refill, vessel_document

FT = 0.3048
LT = 1.0160469088


def _compare(office: Office, condition: str, **query: Any) -> dict[str, Any]:
    answer = office.http.get(f"/v1/conditions/{condition}/comparison", params=query)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def _figures(compared: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {row["name"]: row for row in compared["figures"]}


def test_a_tank_made_slack_is_named_with_what_it_did(office: Office) -> None:
    vessel = office.enter_vessel()
    before = condition_document("ballast-departure")
    tank = next(
        line["tank"]
        for line in before["tanks"]
        if line.get("fill", 0) >= 95 and line["tank"].startswith("wb")
    )
    id, _ = office.enter_condition(vessel, before)
    second = office.revise(id, refill(before, tank, fill=50.0), reason="Stripping").json()
    first = office.http.get(f"/v1/conditions/{id}/revisions/1").json()
    compared = _compare(office, id)
    assert (compared["revision_from"]["revision"], compared["revision_to"]["revision"]) == (1, 2)
    assert compared["revision_to"]["reason"] == "Stripping"
    [change] = compared["tanks"]
    assert (change["tank"], change["change"]) == (tank, "changed")
    assert change["before"]["fill"] > 90 > change["after"]["fill"] == pytest.approx(50.0)
    assert change["after"]["state"] == "slack"
    assert set(change["members"]) >= {"mass", "volume", "fill", "state", "free_surface_moment"}
    assert (compared["weights"], compared["other"], compared["rule_sets"]) == ([], [], [])
    assert compared["vessel_changes"] == []
    figures = _figures(compared)
    loss = change["before"]["mass"] - change["after"]["mass"]
    assert figures["displacement"]["change"] == pytest.approx(-loss, abs=1e-9)
    for name, path in (
        ("gm_corrected", ("stability", "gm_corrected")),
        ("gm_solid", ("stability", "gm_solid")),
        ("draft_forward", ("flotation", "draft_forward")),
        ("draft_midship", ("flotation", "draft_midship")),
        ("draft_aft", ("flotation", "draft_aft")),
        ("trim", ("flotation", "trim")),
        ("list", ("flotation", "list", "angle")),
        ("free_surface_correction", ("free_surface_correction",)),
    ):
        old, new = _at(first["assessment"], path), _at(second["assessment"], path)
        assert figures[name]["before"] == old
        assert figures[name]["after"] == new
        assert figures[name]["change"] == pytest.approx(new - old, abs=1e-12)
    assert len(compared["criteria"]) == len(first["assessment"]["criteria"])
    judged = [row for row in compared["criteria"] if row["after"]["margin"] is not None]
    assert len(judged) > 10
    for row in judged:
        assert row["margin_change"] == pytest.approx(row["after"]["margin"] - row["before"]["margin"])
    applies = {row["id"] for row in compared["criteria"] if row["after"]["verdict"] != "not_applicable"}
    assert applies - {row["id"] for row in judged} == {"afloat-equilibrium"}


def _at(document: Any, path: tuple[str, ...]) -> Any:
    for step in path:
        document = document[step]
    return document


def test_verdicts_that_flipped_come_first_the_worst_of_them_first(office: Office) -> None:
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel, condition_document("departure-homogeneous"))
    office.revise(id, condition_document("timber-gm-fails"))
    compared = _compare(office, id)
    assert compared["verdict"] == {"before": "pass", "after": "fail"}
    flips = compared["flips"]
    assert flips
    assert compared["criteria"][: len(flips)] == flips
    assert all(row["before"]["verdict"] != row["after"]["verdict"] for row in flips)
    assert not any(row["flipped"] for row in compared["criteria"][len(flips) :])
    order = {"fail": 0, "not_computable": 1, "outside_validity": 1, "not_applicable": 2, "pass": 3}
    ranks = [order[row["after"]["verdict"]] for row in flips]
    assert ranks == sorted(ranks)
    back = _compare(office, id, **{"from": 2, "to": 1})
    assert back["verdict"] == {"before": "fail", "after": "pass"}
    assert {row["id"] for row in back["flips"]} == {row["id"] for row in flips}


def test_weights_density_water_and_rule_sets_are_told_apart(office: Office) -> None:
    vessel = office.enter_vessel()
    before = condition_document()
    before["rule_sets"] = ["grain-code"]
    id, _ = office.enter_condition(vessel, before)
    after = copy.deepcopy(before)
    landed = after["weights"].pop(0)
    after["weights"][0]["mass"] += 5.0
    after["weights"].append(
        {"name": "Anchor chain", "category": "other", "mass": 12.0, "lcg": 78.0, "vcg": 4.0, "tcg": -1.0}
    )
    fresh = next(line for line in after["tanks"] if line["tank"] == "fo-db-5-p")
    fresh["density"] = 0.9
    after["water_density"] = 1.01
    after["rule_sets"] = []
    after["title"] = "Changed"
    office.revise(id, after)
    compared = _compare(office, id)
    weights = {row["name"]: row for row in compared["weights"]}
    assert set(weights) == {landed["name"], after["weights"][0]["name"], "Anchor chain"}
    assert (weights[landed["name"]]["change"], weights[landed["name"]]["after"]) == ("removed", None)
    assert weights["Anchor chain"]["after"] == {"mass": 12.0, "lcg": 78.0, "vcg": 4.0, "tcg": -1.0}
    changed = weights[after["weights"][0]["name"]]
    assert changed["members"] == ["mass"]
    assert changed["after"]["mass"] - changed["before"]["mass"] == pytest.approx(5.0)
    [tank] = compared["tanks"]
    assert (tank["tank"], tank["after"]["density"]) == ("fo-db-5-p", 0.9)
    assert "density" in tank["members"]
    other = {tuple(row["path"]): row for row in compared["other"]}
    assert other["water_density",]["before"] == 1.025
    assert other["water_density",]["after"] == 1.01
    assert other["title",]["after"] == "Changed"
    removed = {row["name"] for row in compared["rule_sets"]}
    assert removed
    assert {row["change"] for row in compared["rule_sets"]} == {"removed"}
    gone = [row for row in compared["criteria"] if row["after"] is None]
    assert {row["rule_set"] for row in gone} == removed
    assert all(row["flipped"] and row["margin_change"] is None for row in gone)


def test_documents_in_different_units_and_axes_are_compared_in_the_readers(office: Office) -> None:
    """The same loading typed in feet from midship aft: no weight moved, no tank changed."""
    vessel = office.enter_vessel()
    before = condition_document()
    id, _ = office.enter_condition(vessel, before)
    half = vessel_document()["particulars"]["length_bp"] / 2
    after = copy.deepcopy(before)
    after["units"] = "us"
    after["axes"] = {"x_origin": "midship", "x_positive": "aft", "y_positive": "starboard"}
    for line in after["tanks"]:
        for name, unit in (("mass", LT), ("volume", FT**3), ("sounding", FT), ("ullage", FT)):
            if name in line:
                line[name] /= unit
    for weight in after["weights"]:
        weight |= {
            "mass": weight["mass"] / LT,
            "vcg": weight["vcg"] / FT,
            "tcg": -weight.get("tcg", 0.0) / FT,
        }
        weight["lcg"] = (half - weight["lcg"]) / FT
        if "extent" in weight:
            weight["extent"] = {name: (half - x) / FT for name, x in weight["extent"].items()}
    office.revise(id, after)
    for units, length, mass in (("metric", 1.0, 1.0), ("us", FT, LT)):
        compared = _compare(office, id, units=units)
        assert compared["units"]["system"] == units
        assert (compared["tanks"], compared["weights"], compared["flips"]) == ([], [], [])
        assert {row["path"][0] for row in compared["other"]} == {"units", "axes"}
        kept = office.http.get(f"/v1/conditions/{id}/revisions/1").json()["assessment"]
        figures = _figures(compared)
        assert figures["displacement"]["before"] * mass == pytest.approx(kept["displacement"], rel=1e-12)
        assert figures["gm_corrected"]["after"] * length == pytest.approx(
            kept["stability"]["gm_corrected"], rel=1e-9
        )
        assert figures["gm_corrected"]["change"] == pytest.approx(0.0, abs=1e-9)
    assert _compare(office, id)["units"]["system"] == "us"  # those of the later document


def test_across_revisions_of_the_vessel_her_changes_are_listed(office: Office) -> None:
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel)
    heavier = vessel_document()
    heavier["lightship"]["vcg"] += 0.15
    tag = office.http.get(f"/v1/vessels/{vessel}").headers["ETag"]
    office.http.put(f"/v1/vessels/{vessel}", json=heavier, headers={"If-Match": tag})
    office.revise(id, {"title": "Same loading"})
    compared = _compare(office, id)
    [change] = compared["vessel_changes"]
    assert change["path"] == ["lightship", "vcg"]
    assert change["after"] - change["before"] == pytest.approx(0.15)
    assert compared["tanks"] == []
    assert _figures(compared)["gm_solid"]["change"] < -0.01


def test_numbers_that_moved_are_found_and_nothing_kept_is_changed(office: Office) -> None:
    """An answer as another calculation would have given it: three figures and a verdict altered before it is kept."""
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel)
    kept = office.http.get(f"/v1/conditions/{id}").json()
    older = copy.deepcopy(kept["assessment"])
    older["displacement"] += 1.0
    older["stability"]["gm_corrected"] -= 0.01
    older["tanks"][4]["mass"] *= 1.5
    flipped = older["criteria"][0]
    flipped["verdict"] = "fail"
    older["provenance"]["calculation_version"] = "0.0.1"
    entry = {name: kept[name] for name in ("title", "phase", "voyage", "verdict", "vessel_revision")}
    storage = Storage(office.database)
    with storage.transaction(write=True) as tx:
        tx.conditions.append(
            id,
            ConditionEntry(
                **entry,
                rule_sets=canonical(kept["rule_sets"]),
                calculation_version="0.0.1",
                author_key="earlier",
                author_name="Earlier release",
                document=canonical(kept["document"]),
                assessment=canonical(older),
            ),
            expected=kept["digest"],
        )
    storage.close()
    before = office.http.get(f"/v1/conditions/{id}/revisions/2").content
    compared = _compare(office, id, reassess="true")
    first, second = compared["reassessed"]
    assert (first["moved"], first["moved_count"], first["criteria"]) == ([], 0, [])
    assert second["kept_calculation_version"] == "0.0.1"
    assert {row["path"]: (row["kept"], row["now"]) for row in second["moved"]} == {
        "/displacement": (older["displacement"], kept["assessment"]["displacement"]),
        "/stability/gm_corrected": (
            older["stability"]["gm_corrected"],
            kept["assessment"]["stability"]["gm_corrected"],
        ),
        "/tanks/4/mass": (older["tanks"][4]["mass"], kept["assessment"]["tanks"][4]["mass"]),
        "/criteria/0/verdict": ("fail", kept["assessment"]["criteria"][0]["verdict"]),
    }
    assert [row["id"] for row in second["criteria"]] == [flipped["id"]]
    assert office.http.get(f"/v1/conditions/{id}/revisions/2").content == before
    assert _compare(office, id)["reassessed"] is None


def test_queries_of_a_comparison(office: Office) -> None:
    vessel = office.enter_vessel()
    id, _ = office.enter_condition(vessel)
    alone = _compare(office, id)
    assert (alone["revision_from"]["revision"], alone["revision_to"]["revision"]) == (1, 1)
    assert (alone["flips"], alone["tanks"], alone["other"]) == ([], [], [])
    path = f"/v1/conditions/{id}/comparison"
    assert code_of(office.http.get(path, params={"to": 2})) == (404, "unknown_revision")
    assert code_of(office.http.get("/v1/conditions/none/comparison")) == (404, "unknown_condition")
    for bad in ({"from": 0}, {"since": 1}, {"units": "si"}, {"from": "first"}):
        assert code_of(office.http.get(path, params=bad)) == (400, "invalid_query")
