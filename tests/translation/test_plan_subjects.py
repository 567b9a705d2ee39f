"""Subjects along a plan and in samples: strength, ice and the view ahead at points, a lightship that is uncertain.

Figures of strength are those of the point's own assessment, checked elsewhere against closed forms
(tests/published/test_still_water_strength.py); what is expected here is that a stage means what a condition means.
"""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor, as_json
from service.actions.sample_uncertainty import uncertainty_answer
from service.translation.conversion import converted
from service.translation.units import METRIC, US
from tests.translation.box import Json, condition, vessel, weight

ASSESSOR = Assessor()
HATCH = {"x_from": 40.0, "x_to": 60.0}
CARGO = weight("Cargo", 4000.0, 50.0, extent={"x_from": 10.0, "x_to": 90.0})
COIL = weight("Coil", 800.0, 50.0, extent=HATCH)
PEAKS = [{"tank": name, "density": 1.025, "mass": 820.0} for name in ("APT", "FPT")]


def assessed(loaded: Json, ship: Json | None = None, units: str = "metric") -> Json:
    found = ASSESSOR.assessment({"vessel": ship or vessel(), "condition": loaded}, units)
    answer: Json = json.loads(as_json(found))
    return answer


def point(loaded: Json, number: int, ship: Json | None = None) -> Json:
    found = ASSESSOR.point({"vessel": ship or vessel(), "condition": loaded}, number, "metric")
    answer: Json = json.loads(as_json(found))
    return answer


def loading() -> Json:
    stages: list[Json] = [
        {"name": "Coil", "weights": [COIL]},
        {
            "name": "Coil shifted",
            "weights": [{**COIL, "lcg": 30.0, "extent": {"x_from": 20.0, "x_to": 40.0}}],
        },
        {"name": "Out", "days": 1.0, "phase": "at_sea"},
    ]
    return condition(CARGO, tanks=PEAKS, plan={"kind": "loading", "stages": stages})


def test_strength_at_every_point_is_that_of_its_assessment() -> None:
    """The most of the read-out points and of what lies between, in the set in force; axes and signs as there."""
    loaded = loading()
    points = assessed(loaded)["plan"]["points"]
    sets = set()
    for row in points:
        there = point(loaded, row["index"])["assessment"]
        used, which = row["strength"], there["strength"]["set"]
        assert used["set"] == which
        sets.add(which)
        for quantity, name in (("shear", "shear-force"), ("bending", "bending-moment")):
            stations = {x["x"]: x[which][f"percent_{quantity}"] for x in there["strength"]["stations"]}
            assert used[f"percent_{quantity}"] >= max(stations.values()) - 1e-9, name
            if used[f"x_{quantity}"] in stations:
                assert used[f"percent_{quantity}"] == pytest.approx(stations[used[f"x_{quantity}"]])
    assert sets == {"sea", "harbour"}


def test_the_harbour_set_holds_until_she_is_at_sea() -> None:
    """The same forces against other limits: 30000 in harbour, 22000 at sea (hogging, heavy ends)."""
    rows = assessed(loading())["plan"]["points"]
    before, after = (next(r for r in reversed(rows) if r["stage"] == stage) for stage in (2, 3))
    assert (before["strength"]["set"], after["strength"]["set"]) == ("harbour", "sea")
    ratio = after["strength"]["percent_bending"] / before["strength"]["percent_bending"]
    hogs = (
        point(loading(), before["index"])["assessment"]["strength"]["extremes"]["bending_greatest"]["value"]
        > 1.0
    )
    assert ratio == pytest.approx(30000.0 / 22000.0 if hogs else 28000.0 / 20000.0)


def test_a_weight_under_way_is_spread_from_where_it_was_to_where_it_comes() -> None:
    rows = [r for r in assessed(loading())["plan"]["points"] if r["stage"] == 2 and r["at"] == "2/4"]
    typed = point(loading(), rows[0]["index"])["condition"]["weights"]
    coil = next(w for w in typed if w["name"] == "Coil")
    assert coil["lcg"] == pytest.approx(40.0)
    assert coil["extent"] == {"x_from": 20.0, "x_to": 60.0}


def test_without_strength_a_point_says_null() -> None:
    ship = vessel(strength=None, rule_sets=[])
    del ship["strength"]
    rows = assessed({**loading(), "rule_sets": []}, ship)["plan"]["points"]
    assert {row["strength"] for row in rows} == {None}


def iced_ship() -> Json:
    return vessel(
        icing_surfaces=[{"name": "Deck", "kind": "deck", "area": 1800.0, "x": 52.0, "z": 10.0}],
        wind_profile=[
            {"draft": d, "area": 1160.0 - 100.0 * d, "centroid_height": 8.5 + 0.1 * d}
            for d in (1.0, 4.0, 7.0)
        ],
    )


def test_a_stage_counts_ice_from_its_beginning_on() -> None:
    """30 kg/m2 on decks (2008 IS Code Part B 6.3.1): the same as the condition typed out with it."""
    stages = [
        {"name": "Clear", "days": 1.0},
        {"name": "Ice", "days": 1.0, "icing": {"factor": 1.0}},
        {"name": "South", "days": 1.0, "icing": {"factor": 0.0}},
    ]
    plain = condition(CARGO)
    rows = assessed({**plain, "plan": {"kind": "voyage", "stages": stages}}, iced_ship())["plan"]["points"]
    clear, ice, south = ([r for r in rows if r["stage"] == stage] for stage in (1, 2, 3))
    typed = assessed({**plain, "icing": {"factor": 1.0}}, iced_ship())
    assert typed["displacement"] > clear[-1]["displacement"] + 1800.0 * 0.030
    assert {r["displacement"] for r in ice} == {typed["displacement"]}
    assert ice[0]["at"] == "start"
    assert south[-1]["displacement"] == clear[-1]["displacement"]


def test_the_top_of_a_weight_stands_in_the_view_while_it_is_aboard() -> None:
    """SOLAS V/22.1.1: what hides the sea is the top of the stack until it is put ashore, then her own bow."""
    ship = vessel(
        bridge={"eye_x": 12.0, "eye_z": 20.0, "obstruction_x": 95.0, "obstruction_z": 11.0, "bow_x": 100.0},
        rule_sets=["solas-v-22"],
    )
    stack = weight("Stack", 100.0, 80.0, 12.0, category="deck_cargo")
    top = {"name": "Top of the stack", "x": 80.0, "z": 17.0, "of": "Stack"}
    stages: list[Json] = [
        {"name": "Stack ashore", "removed_weights": ["Stack"], "transition": "ends"},
        {"name": "Stack again", "weights": [stack], "obstructions": [top], "transition": "ends"},
    ]
    loaded = condition(CARGO, stack, obstructions=[top], plan={"kind": "discharging", "stages": stages})
    ends = {r["stage"]: r["index"] for r in assessed(loaded, ship)["plan"]["points"]}
    seen = {
        stage: point(loaded, index, ship)["assessment"]["drafts"]["view"]["obstruction"]
        for stage, index in ends.items()
    }
    assert seen[0] == seen[2] == "Top of the stack" != seen[1]


def test_an_uncertain_lightship_does_not_make_strength_unknown() -> None:
    """Its segments go with it: no sample of a condition far below every limit fails one."""
    loaded = condition(CARGO, COIL)
    deviations = {
        "lightship": {"mass_percent": 3.0, "lcg": 1.0},
        "weights": [{"name": "Coil", "lcg": 9.0}, {"name": "Cargo", "lcg": 0.5}],
    }
    body = {"vessel": vessel(), "condition": loaded, "standard_deviations": deviations, "samples": 100}
    found: Any = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))
    rows = [row for row in found["criteria"] if row["id"].startswith("vessel-strength-shear")]
    rows += [row for row in found["criteria"] if row["id"].startswith("vessel-strength-bending")]
    assert rows
    assert {row["probability"] for row in rows} == {1.0}


def test_subjects_of_a_kept_answer_convert_as_they_are_answered() -> None:
    """Every number of load line, drafts, strength, ice and plan: converted, or answered in the other system."""
    ship = {**iced_ship(), "load_lines": {"summer_draft": 6.0, "marks": {"S": 6.0}}, "limits": [
        {"quantity": "displacement", "at_most": 9000.0, "source": "Berth"},
    ]}  # fmt: skip
    loaded = {**loading(), "icing": {"factor": 1.0}, "load_line_mark": "S"}
    metric, us = (assessed(loaded, ship, units) for units in ("metric", "us"))
    for one, other in ((converted(metric, US), us), (converted(us, METRIC), metric)):
        for name in ("load_line", "drafts", "strength", "icing", "added_weights", "plan", "criteria"):
            same(one[name], other[name], name)


def same(one: Any, other: Any, path: str) -> None:
    if isinstance(one, dict):
        assert one.keys() == other.keys(), path
        for name in set(one) - {"statement", "as_written", "reason", "details"}:
            same(one[name], other[name], f"{path}/{name}")
    elif isinstance(one, list):
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            same(a, b, f"{path}/{i}")
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-7), path
    else:
        assert one == other, path
