"""Documents with what few types of ship have: the same answer in both systems of units and on other axes, weights
that the service adds, and what is refused."""

from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor
from service.core.assessment import assess
from service.core.rules.catalogue import CATALOGUE
from service.translation.answer import full_answer
from service.translation.condition import condition_of
from service.translation.conversion import converted
from service.translation.prepared_vessel import prepare_vessel, validated
from service.translation.units import METRIC, SCALES, US
from service.translation.working.shapes import nodes_of
from service.translation.working.worksheet import sheet_of
from service.wire.assessment import Assessment
from service.wire.condition import Condition
from service.wire.refusal import Refusal
from tests.actions.documents import (
    FOOT,
    LONG_TON,
    Json,
    changed,
    condition,
    in_us,
    on_axes,
    request,
    vessel,
)
from tests.translation.node_evaluator import evaluated
from tests.translation.test_working import at, is_listed, numbers_of

ASSESSOR = Assessor()
TYPES = (
    "is-code-2008-a-3.1",
    "is-code-2008-b-2.1",
    "is-code-2008-b-2.2",
    "is-code-2008-b-2.3",
    "is-code-2008-b-2.4",
    "is-code-2008-b-2.8",
    "is-code-2008-b-2.9",
    "marpol-annex-1-reg-27",
    "46-cfr-28.570",
    "46-cfr-172.090",
    "46-cfr-173.020",
    "46-cfr-173.095",
    "46-cfr-174.145",
    "46-cfr-174.185",
)


def every_type() -> Json:
    """A ship with everything that any of these sets reads."""
    ship = vessel()
    ship["particulars"] |= {
        "service_speed": 14.0,
        "superstructure": "none",
        "superstructure_length": 12.0,
        "freeboard_least": 3.2,
        "breadth_half_draft": 15.5,
        "length_load_line": 120.0,
    }
    for row in ship["hydrostatics"]["rows"]:
        row["waterplane_area"] = 1300.0
    ship["deck_edge"]["points"].append({"x": 0.0, "y": 6.0, "z": 9.5})
    ship["passenger_spaces"] = [
        {"id": "SUN", "x": 40.0, "deck_z": 11.0, "length": 22.0, "half_breadth": 6.5, "area": 240.0}
    ]
    ship["hatch_coamings"] = {"length_sum": 48.0, "breadth": 12.0, "height": 1.4}
    ship["towing"] = {
        "propellers": 2,
        "shaft_power": 1400.0,
        "propeller_diameter": 2.2,
        "rudder_fraction": 0.5,
        "bitts_height": 3.6,
        "bollard_pull": 420.0,
        "tow_point": {"x": 30.0, "y": 0.5, "z": 8.0},
        "propulsion": {"x": 4.0, "z": 1.6},
        "drive": "azimuth_stern",
    }
    ship["barge_trunk"] = {"length": 50.0, "breadth": 11.0, "height": 1.2}
    ship["hatches_secured"] = True
    ship["rule_sets"] = list(TYPES)
    return ship


def busy() -> Json:
    given = condition()
    given["passengers"] = [{"space": "SUN", "number": 180, "mass_each": 80.0}]
    given["operation"] = {
        "lift": {"name": "Buoy", "mass": 84.0, "x": 35.0, "y": -20.0, "z": 20.0},
        "escort": {"heeling_moment": 600.0},
    }
    return given


def answer(ship: Json, given: Json, units: str | None = None) -> Any:
    return ASSESSOR.assessment(request(ship, given), units)


def in_feet(given: Json) -> Json:
    """The moment of an escort is a moment of mass, not of volume as that of grain, which has the same name."""
    escort = given["operation"]["escort"]["heeling_moment"]
    return changed(in_us(given), "operation/escort/heeling_moment", escort / (FOOT * LONG_TON))


def same(one: Any, other: Any, rel: float = 1e-9) -> None:
    rows = {c["id"]: c for c in other["criteria"]}
    assert [c["id"] for c in one["criteria"]] == list(rows)
    for c in one["criteria"]:
        twin = rows[c["id"]]
        assert (c["verdict"], c["reason"]) == (twin["verdict"], twin["reason"]), c["id"]
        for name in ("attained", "limit", "margin"):
            value = c["as_written"][name]
            expected = None if value is None else pytest.approx(value, rel=rel, abs=1e-9)
            assert twin["as_written"][name] == expected, (c["id"], name)


def test_every_set_is_judged_somewhere():
    found = answer(every_type(), busy())
    TypeAdapter(list[Assessment], config=ConfigDict(extra="forbid", strict=True)).validate_python([found])
    judged = {c["rule_set"] for c in found["criteria"] if c["verdict"] in ("pass", "fail")}
    # she is too long for a supply vessel, too fine for a pontoon, and the criteria of B 2.9 were not read
    assert {*TYPES} - judged == {"is-code-2008-b-2.2", "is-code-2008-b-2.4", "is-code-2008-b-2.9"}
    assert {c["rule_set"] for c in found["criteria"]} > {*TYPES}


def test_feet_and_long_tons_give_the_same():
    metric = answer(every_type(), busy())
    same(metric, answer(in_us(every_type()), in_feet(busy())))
    same(metric, answer(every_type(), busy(), "us"))


@pytest.mark.parametrize(
    "axes", [("midship", "forward", "port"), ("forward_perpendicular", "aft", "starboard")]
)
def test_other_axes_give_the_same(axes):
    metric = answer(every_type(), busy())
    same(metric, answer(on_axes(every_type(), *axes), on_axes(busy(), *axes)))


def mirrored(document: Any, key: str = "") -> Any:
    """The same document with port and starboard exchanged."""
    if isinstance(document, dict):
        return {
            name: value if name == "points" else mirrored(value, name) for name, value in document.items()
        }
    if isinstance(document, list):
        return [mirrored(value, key) for value in document]
    return -document if key in ("tcg", "tcb", "y") and isinstance(document, float) else document


def test_the_mirrored_ship_gives_the_same_on_the_other_side():
    one, other = answer(every_type(), busy()), answer(mirrored(every_type()), mirrored(busy()))
    same(one, other)
    assert one["flotation"]["list"]["angle"] == pytest.approx(-other["flotation"]["list"]["angle"])
    sides = [
        {c["id"]: d["value"] for c in found["criteria"] for d in c["details"] if d["key"] == "side"}
        for found in (one, other)
    ]
    assert sides[0]
    assert all(sides[1][id] != side for id, side in sides[0].items())


def test_what_the_service_adds_is_listed_and_counted():
    found, before = answer(every_type(), busy()), answer(every_type(), condition())
    passengers, load = found["added_weights"]
    assert (passengers["reason"], passengers["of"]) == ("passengers", "/condition/passengers/0")
    assert (load["reason"], load["of"]) == ("hook_load", "/condition/operation/lift")
    assert passengers["mass"] == pytest.approx(180 * 0.080)
    assert passengers["vcg"] == pytest.approx(12.0)
    assert (load["mass"], load["vcg"], load["tcg"]) == (84.0, 20.0, -20.0)
    assert "recalled" in load["from_memory"]
    assert found["displacement"] - before["displacement"] == pytest.approx(98.4)
    assert sum(row["mass"] for row in found["weights"]) == pytest.approx(found["displacement"])
    (other,) = [row for row in found["weights"] if row["category"] == "other"]
    assert other["mass"] == pytest.approx(98.4)
    assert "added_weights" not in before
    in_feet_now = converted(found, US)
    assert in_feet_now["added_weights"][1]["mass"] == pytest.approx(84.0 / LONG_TON)
    assert converted(in_feet_now, METRIC)["added_weights"][1]["vcg"] == pytest.approx(20.0)


def test_a_passenger_is_75_kg_where_nothing_is_said():
    given = changed(busy(), "passengers/0/mass_each", ...)
    assert answer(every_type(), given)["added_weights"][0]["mass"] == pytest.approx(180 * 0.075)


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("passengers/0/space", "MOON", "/passengers/0/space", "unknown_space"),
        ("passengers/1", {"space": "SUN", "number": 2}, "/passengers/1/space", "duplicate"),
        ("passengers/0/mass_each", 59.9, "/passengers/0/mass_each", "too_small"),
        ("passengers/0/number", -1, "/passengers/0/number", "greater_than_equal"),
        ("passengers/0/number", 1.5, "/passengers/0/number", "int_type"),
        ("operation/lift/mass", 0.0, "/operation/lift/mass", "greater_than"),
        ("operation/lift/z", ..., "/operation/lift/z", "missing"),
        ("operation/tow", {}, "/operation/tow", "extra_forbidden"),
    ],
)
def test_what_does_not_fit_is_refused_by_place(path, value, pointer, code):
    with pytest.raises(Refusal) as caught:
        answer(every_type(), changed(busy(), path, value))
    assert {error["pointer"]: error["code"] for error in caught.value.errors} == {
        f"/condition{pointer}": code
    }


def test_60_kg_is_enough_in_either_system():
    assert answer(every_type(), changed(busy(), "passengers/0/mass_each", 60.0))["added_weights"]
    pounds = changed(in_feet(busy()), "passengers/0/mass_each", 60.0 / 0.45359237)
    assert answer(in_us(every_type()), pounds)["added_weights"]


@pytest.mark.parametrize(
    ("path", "value", "code"),
    [
        ("towing/drive", "paddle", "literal_error"),
        ("towing/rudder_fraction", 1.1, "less_than_equal"),
        ("towing/propellers", 0, "greater_than_equal"),
        ("barge_trunk/height", 0.0, "greater_than"),
        ("passenger_spaces/0/length", -1.0, "greater_than"),
        ("hatch_coamings/breadth", ..., "missing"),
        ("particulars/superstructure", "some", "literal_error"),
    ],
)
def test_a_booklet_that_cannot_be_is_refused(path, value, code):
    with pytest.raises(Refusal) as caught:
        answer(changed(every_type(), path, value), busy())
    assert {error["code"] for error in caught.value.errors} == {code}


def test_a_space_that_stands_twice_is_refused():
    ship = every_type()
    ship["passenger_spaces"].append(dict(ship["passenger_spaces"][0]))
    with pytest.raises(Refusal) as caught:
        answer(ship, busy())
    assert caught.value.errors[0]["pointer"] == "/vessel/passenger_spaces/1/id"


def test_what_was_recalled_and_had_a_say_is_listed():
    found = answer(every_type(), busy())
    said = found["provenance"]["from_memory"]
    rows = {row.id: row.from_memory for s in CATALOGUE.values() for row in s.limits}
    for c in found["criteria"]:
        assert c["from_memory"] == rows.get(c["id"], c["from_memory"])
        assert (c["id"] in said) is (
            c["counts"] and c["from_memory"] is not None and c["verdict"] != "not_applicable"
        )
    assert "is-code-2008-a-3.1-turning" in said


def test_in_port_an_answer_says_so_and_leaves_the_sea_out():
    given = changed(busy(), "voyage/phase", "in_port")
    found = answer(every_type(), given)
    assert found["phase"] == "in_port"
    counting = {c["id"] for c in found["criteria"] if c["counts"]}
    assert counting == {
        "marpol-annex-1-reg-27-in-port-gm",
        "load-lines-draft",
        "load-lines-low-side",
        "afloat-equilibrium",
        "afloat-gm",
        "afloat-openings",
    }
    assert found["smallest_margin"]["criterion"] in counting
    assert found["least_stability_margin"]["criterion"] in counting
    assert "phase" not in answer(every_type(), busy())


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_working_closes_with_what_the_service_adds(units):
    """Every node on its own inputs, every figure has one; what a type's own clauses measure is given as it is."""
    ship, given = every_type(), busy()
    ready, document = prepare_vessel(ship), validated(Condition, given, ("condition",))
    found = assess(ready.vessel, condition_of(document, ready.vessel, ready.axes))
    shown = full_answer(found, SCALES[units], ready.reference, document.title)
    nodes = nodes_of(sheet_of(found, shown, SCALES[units], ship, given))
    for node in nodes:
        expected = 0.0 if node["kind"] == "root" else node["value"]
        assert evaluated(node) == pytest.approx(expected, rel=1e-9, abs=1e-9), node["id"]
        if node["path"] is not None:
            assert at(shown, node["path"]) == pytest.approx(node["value"], rel=1e-9, abs=1e-12), node["id"]
    paths = {node["path"] for node in nodes}
    assert [path for path in numbers_of(shown) if path not in paths and not is_listed(path)] == []
    by_id = {node["id"]: node for node in nodes}
    assert by_id["added/0/mass"]["expression"] == "n * m"
    pointers = [given["from"].get("pointer") for given in by_id["added/1/lcg"]["inputs"]]
    assert pointers == ["/operation/lift/x"]
