"""Load line, drafts, view, own limits, ice and timber from documents to the answer, on a box of closed forms.

Sources of the figures: tests/core/test_load_line_figures.py, test_view.py, test_icing.py, test_timber.py. The sentence
beside the mark, rounded half up: common practice, no source.
"""

from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor
from service.translation.answer_load_line import statement
from service.translation.units import METRIC, US
from service.wire.assessment import Assessment
from service.wire.refusal import Refusal
from tests.translation.box import FOOT, LONG_TON, condition, vessel, weight

FULL = TypeAdapter(list[Assessment], config=ConfigDict(strict=True, extra="forbid"))
MARKS = {"summer_draft": 6.0, "marks": {"S": 6.0, "W": 5.875, "T": 6.125}}


def box(**changes: Any) -> dict[str, Any]:
    ship = vessel(
        load_lines=MARKS,
        rule_sets=["load-lines"],
        propeller={"x": 2.0, "shaft_height": 2.0, "diameter": 3.2},
        bridge={"eye_x": 12.0, "eye_z": 20.0, "obstruction_x": 95.0, "obstruction_z": 11.0, "bow_x": 100.0},
        air_draft_points=[{"name": "Mast", "x": 10.0, "z": 28.0}, {"name": "Foremast", "x": 96.0, "z": 27.0}],
        icing_surfaces=[
            {"name": "Deck", "kind": "deck", "area": 1800.0, "x": 52.0, "z": 10.0},
            {"name": "House top", "kind": "deck", "area": 120.0, "x": 12.0, "z": 18.0},
        ],
        wind_profile=[
            {"draft": d, "area": 1160.0 - 100.0 * d, "centroid_height": 8.5 + 0.1 * d}
            for d in (1.0, 4.0, 7.0)
        ],
    )
    return {**ship, **changes}


def answer(ship: dict[str, Any], loaded: dict[str, Any], units: str = "metric") -> dict[str, Any]:
    found: dict[str, Any] = Assessor().assessment({"vessel": ship, "condition": loaded}, units)
    FULL.validate_python([found])
    return found


def refused(ship: dict[str, Any], loaded: dict[str, Any]) -> set[tuple[str, str]]:
    with pytest.raises(Refusal) as refusal:
        answer(ship, loaded)
    return {(error["code"], error["pointer"]) for error in refusal.value.errors}


def verdict(found: dict[str, Any], name: str) -> str:
    return str(next(row["verdict"] for row in found["criteria"] if row["id"] == name))


# --- load line ---------------------------------------------------------------------------------------------------


def laden(mass: float, **changes: Any) -> dict[str, Any]:
    return condition(weight("Cargo", mass, 50.0), **{"load_line_mark": "S", **changes})


def test_what_is_left_to_the_mark():
    found = answer(box(), laden(10186.45))["load_line"]
    assert (found["margin"], found["mass_to_line"]) == pytest.approx((0.031, 63.55), abs=1e-6)
    assert found["statement"] == "31 mm, 64 t still to load"
    assert (found["mark"], found["mark_source"], found["method"]) == ("S", "condition", "linear")
    marks = {mark["mark"]: mark for mark in found["marks"]}
    assert (marks["S"]["origin"], marks["WNA"]["origin"]) == ("booklet", "worked_out")
    assert marks["S"]["displacement"] == pytest.approx(12300.0)


def test_the_same_in_feet_and_long_tons():
    found = answer(box(), laden(10186.45), "us")["load_line"]
    assert found["margin"] == pytest.approx(0.031 / FOOT, abs=1e-6)
    assert found["mass_to_line"] == pytest.approx(63.55 / LONG_TON, abs=1e-6)
    assert found["statement"] == "1.2 in, 63 LT still to load"


def test_exact_dock_water_is_judged_where_it_is_asked_for():
    linear = answer(box(), laden(10250.9, water_density=1.01))
    assert verdict(linear, "load-lines-draft") == "pass"
    assert linear["load_line"]["margin_exact"] == pytest.approx(-0.000445545, abs=1e-9)
    assert "exact_and_linear_disagree" in {f["code"] for f in linear["findings"]}
    exact = answer(box(), laden(10250.9, water_density=1.01, dock_water="exact"))
    assert verdict(exact, "load-lines-draft") == "fail"
    assert exact["load_line"]["statement"] == "less than 1 mm over"


def test_inland_no_mark_binds():
    assert verdict(answer(box(), laden(12000.0, inland=True)), "load-lines-draft") == "not_applicable"


def test_drafts_to_the_underside_of_the_keel_lose_its_thickness():
    ship = box(load_lines={**MARKS, "reference": "extreme", "fresh_water_allowance": 0.12})
    found = answer(ship, laden(9000.0, water_density=1.0))["load_line"]
    assert found["permitted_draft"] == pytest.approx(5.98 + 0.12)
    del ship["particulars"]["keel_thickness"]
    assert refused(ship, laden(9000.0)) == {("keel_thickness_missing", "/vessel/particulars/keel_thickness")}


@pytest.mark.parametrize(
    ("margin", "mass", "said"),
    [
        (0.031, 46.4, "31 mm, 46 t still to load"),
        (-0.012, -18.4, "12 mm, 18 t over"),
        (0.0115, 0.5, "12 mm, 1 t still to load"),
        (-0.0004, -0.8, "less than 1 mm over"),
        (0.0004, 0.8, "at the line"),
        (0.0, 0.0, "at the line"),
        (0.031, None, "31 mm still to load"),
        (None, None, None),
    ],
)
def test_the_sentence_beside_the_mark(margin, mass, said):
    assert statement(margin, mass, METRIC) == said


def test_the_sentence_in_inches():
    assert statement(-0.0127, -25.4, US) == "0.5 in, 25 LT over"
    assert statement(-0.0005, -1.0, US) == "less than 0.1 in over"


# --- drafts and views --------------------------------------------------------------------------------------------

TRIMMED = condition(weight("Cargo", 2000.0, 40.0), load_line_mark="S")


def test_what_her_drafts_mean():
    found = answer(box(), TRIMMED)["drafts"]
    assert found["propeller_immersion"] == pytest.approx(66.798780488, abs=1e-6)
    assert found["marpol_18"] == pytest.approx({"least_midship": 4.0, "most_trim": 1.5})
    assert (found["air_draft"], found["air_draft_point"]) == (
        pytest.approx(25.562926829, abs=1e-6),
        "Foremast",
    )
    assert found["view"]["hidden"] == pytest.approx(93.744683437, abs=1e-5)
    assert found["view"]["limit"] == 200.0
    assert found["view"]["not_covered"]
    other = answer(box(), TRIMMED, "us")["drafts"]
    assert other["air_draft"] == pytest.approx(found["air_draft"] / FOOT, rel=1e-12)
    assert other["propeller_immersion"] == pytest.approx(found["propeller_immersion"], rel=1e-12)


def test_rule_sets_of_drafts_and_views_judge():
    ship = box(rule_sets=["load-lines", "solas-v-22", "marpol-annex-1-reg-18"])
    found = answer(ship, {**TRIMMED, "voyage": {"ballast": True}})
    assert verdict(found, "solas-v-22-view") == "pass"
    assert verdict(found, "marpol-annex-1-reg-18-midship") == "fail"
    assert verdict(answer(ship, TRIMMED), "marpol-annex-1-reg-18-midship") == "not_applicable"


def test_deck_cargo_needs_its_top_where_the_view_is_judged():
    ship = box(rule_sets=["load-lines", "solas-v-22"])
    stack = {**weight("Stack", 50.0, 50.0, 12.0), "category": "deck_cargo"}
    loaded = condition(weight("Cargo", 2000.0, 50.0), stack, load_line_mark="S")
    silent = answer(ship, loaded)
    assert verdict(silent, "solas-v-22-view") == "not_computable"
    assert "deck_cargo_without_top" in {f["code"] for f in silent["findings"]}
    top = {"name": "Stack", "x": 50.0, "z": 19.0, "y_from": -8.0, "y_to": 8.0, "of": "Stack"}
    found = answer(ship, {**loaded, "obstructions": [top]})
    assert verdict(found, "solas-v-22-view") == "fail"
    assert found["drafts"]["view"]["obstruction"] == "Stack"
    assert refused(ship, {**loaded, "obstructions": [{**top, "of": "Crane"}]}) == {
        ("unknown_weight", "/condition/obstructions/0/of")
    }
    assert "deck_cargo_without_top" not in {f["code"] for f in answer(box(), loaded)["findings"]}


def test_own_limits_of_vessel_and_condition():
    ship = box(limits=[{"quantity": "displacement", "at_most": 4000.0, "source": "class"}])
    loaded = {**TRIMMED, "limits": [{"quantity": "draft_greatest", "at_most": 2.6, "when": "in_port"}]}
    found = answer(ship, loaded)
    assert verdict(found, "own-limits-displacement-at-most-1") == "fail"
    assert verdict(found, "own-limits-draft_greatest-at-most-2") == "not_applicable"
    port = answer(ship, {**loaded, "voyage": {"phase": "in_port"}})
    assert verdict(port, "own-limits-draft_greatest-at-most-2") == "pass"
    us = next(
        c for c in answer(ship, loaded, "us")["criteria"] if c["id"].startswith("own-limits-displacement")
    )
    assert (us["limit"], us["unit"]) == (pytest.approx(4000.0 / LONG_TON), "LT")


def test_a_limit_needs_exactly_one_bound():
    both = {"quantity": "trim", "at_least": 0.0, "at_most": 1.0}
    assert refused(box(limits=[both]), TRIMMED) == {("one_bound", "/vessel/limits/0")}
    assert refused(box(), {**TRIMMED, "limits": [{"quantity": "trim"}]}) == {
        ("one_bound", "/condition/limits/0")
    }


# --- ice and timber ----------------------------------------------------------------------------------------------


def test_ice_is_a_weight_of_its_own():
    loaded = condition(weight("Cargo", 6150.0, 50.0, 4.5), load_line_mark="S", icing={"factor": 1.0})
    found = answer(box(), loaded)
    masses = {each["name"]: each["mass"] for each in found["added_weights"]}
    assert masses == pytest.approx({"Deck": 54.0, "House top": 3.6, "Sides": 11.97}, abs=1e-6)
    assert found["icing"]["mass"] == pytest.approx(69.57, abs=1e-6)
    assert found["icing"]["gm_loss"] > 0.0
    assert next(s["mass"] for s in found["weights"] if s["category"] == "ice") == pytest.approx(69.57)
    assert found["displacement"] == pytest.approx(8269.57)
    us = answer(box(), loaded, "us")
    assert us["icing"]["mass"] == pytest.approx(69.57 / LONG_TON, abs=1e-6)


def test_ice_without_anything_to_settle_on_is_refused():
    ship = box(wind_profile=None, icing_surfaces=None)
    loaded = condition(weight("Cargo", 6150.0, 50.0, 4.5), icing={"factor": 1.0})
    assert refused(ship, loaded) == {("icing_surfaces_missing", "/condition/icing")}


def test_timber_absorbs_water():
    stowed = {"absorption": 10.0, "between_superstructures": True, "full_breadth": True, "secured": True}
    timber = {**weight("Timber", 900.0, 55.0, 12.0, timber=stowed), "category": "deck_cargo"}
    loaded = condition(weight("Cargo", 6000.0, 50.0, 4.5), timber, load_line_mark="S")
    found = answer(box(), loaded)
    (water,) = found["added_weights"]
    assert (water["reason"], water["of"], water["mass"]) == ("absorption", "/condition/weights/1", 90.0)
    assert found["displacement"] == pytest.approx(9040.0)
    assert found["vcg_solid"] == pytest.approx(5.661504425, abs=1e-9)
    misplaced = condition(weight("Planks", 10.0, 50.0, timber=stowed))
    assert refused(box(), misplaced) == {("contradiction", "/condition/weights/0/timber")}


def test_a_set_that_stands_instead_of_another_is_refused_beside_it():
    ship = box(rule_sets=["is-code-2008-a-2.2", "is-code-2008-a-3.3"])
    assert refused(ship, laden(1000.0)) == {("sets_exclude_each_other", "/vessel/rule_sets/1")}


def test_without_any_of_it_the_answer_has_no_such_members():
    ship = box(load_lines=None, rule_sets=["afloat"], strength=None, icing_surfaces=None)
    found = answer(ship, condition(weight("Cargo", 2000.0, 50.0)))
    assert not {"load_line", "strength", "added_weights", "icing"} & set(found)
