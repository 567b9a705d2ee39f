"""Plans through the assessor: their points against the same states typed out, refusals with their places, bounds."""

import copy
import json
from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor, as_json
from service.translation.conversion import converted
from service.translation.units import SCALES
from service.wire.assessment import Assessment, AssessmentSummary
from service.wire.plan_point import PointAnswer
from service.wire.refusal import Refusal
from tests.actions.documents import Json, changed, condition, in_us, request
from tests.published.box_vessel import condition as box_condition
from tests.published.box_vessel import vessel as box

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
FULL = TypeAdapter(list[Assessment], config=STRICT)
SUMMARY = TypeAdapter(list[AssessmentSummary], config=STRICT)
POINT = TypeAdapter(list[PointAnswer], config=STRICT)
ASSESSOR = Assessor()
PLAIN = condition()
ORDER = [["DB1P", "DB1S"], ["DB2P", "DB2S"]]


def whole_plan() -> Json:
    """One of everything: two liquids, one of them made, a weight, a season, changes through and by their ends."""
    return {
        "kind": "voyage",
        "departs": "2026-10-28T12:00:00Z",
        "every_days": 3.0,
        "consumption": [
            {"contents": "fuel_oil", "mass_per_day": 12.0, "order": [["FP", "FS"], ["PRN"]], "leave": 2.0},
            {"contents": "fresh_water", "mass_per_day": -2.0, "order": [["REC"]]},
            {"weight": "Stores", "mass_per_day": 0.5},
        ],
        "stages": [
            {"name": "Out", "days": 5.0, "load_line_mark": "T", "phase": "at_sea"},
            {
                "name": "Ballast and cargo",
                "tanks": [{"tank": "WIDE", "fill": 98.0}, {"tank": "BP", "mass": 0.0}],
                "weights": [
                    {
                        "name": "Coils",
                        "category": "cargo",
                        "mass": 3000.0,
                        "lcg": 53.0,
                        "vcg": 5.6,
                        "tcg": 0.1,
                    },
                    {
                        "name": "Cranes",
                        "category": "cargo",
                        "mass": 80.0,
                        "lcg": 40.0,
                        "vcg": 9.0,
                        "tcg": 1.0,
                    },
                ],
                "removed_weights": ["Anchor ashore"],
            },
            {
                "name": "On",
                "days": 6.0,
                "water_density": 1.02,
                "season": {"from": "11-04", "to": "03-31", "mark": "W", "otherwise": "S"},
            },
            {"name": "Crane ashore", "removed_weights": ["Cranes"], "transition": "ends", "phase": "arrival"},
        ],
    }


def with_plan(plan: Json | None = None, aboard: Json | None = None) -> Json:
    return {**copy.deepcopy(aboard or PLAIN), "plan": plan or whole_plan()}


def assessed(aboard: Json, ship: Json | None = None, units: str | None = None) -> Json:
    answer: Json = json.loads(as_json(ASSESSOR.assessment(request(ship, aboard), units)))
    return answer


def same(one: Any, other: Any, room: float, path: str = "") -> None:
    """Two documents equal but for rounding."""
    if isinstance(one, dict):
        assert one.keys() == other.keys(), path
        for name in one:
            same(one[name], other[name], room, f"{path}/{name}")
    elif isinstance(one, list):
        assert len(one) == len(other), path
        for i, (a, b) in enumerate(zip(one, other, strict=True)):
            same(a, b, room, f"{path}/{i}")
    elif isinstance(one, float) and isinstance(other, float):
        assert one == pytest.approx(other, rel=room, abs=room), path
    else:
        assert one == other, path


def points(answer: Json) -> list[tuple[int, str]]:
    return [(point["stage"], point["at"]) for point in answer["plan"]["points"]]


# --- points are conditions -----------------------------------------------------------------------------------------


def test_a_plan_of_one_empty_stage_is_the_condition() -> None:
    plan = {"kind": "voyage", "stages": [{"name": "Nothing", "phase": "departure"}]}
    plain, planned = assessed(PLAIN), assessed(with_plan(plan))
    assert points(planned) == [(0, "start"), (1, "end")]
    start, end = planned["plan"]["points"]
    figures = set(start) - {"index", "stage", "name", "at", "kind", "findings"}
    assert {name: start[name] for name in figures} == {name: end[name] for name in figures}
    beside = {"plan", "findings", "smallest_margin"}
    assert {k: v for k, v in planned.items() if k not in beside} == {
        k: v for k, v in plain.items() if k not in beside
    }
    assert planned["smallest_margin"] == {**plain["smallest_margin"], "point": 0}
    added = planned["findings"][len(plain["findings"]) :]
    assert [finding["code"] for finding in added] == ["stage_without_change", "plan_ends_at_sea"]
    assert {finding["path"] for finding in added} == {"/condition/plan/stages/0"}


@pytest.mark.parametrize("basis", ["as_filled", "maximum_when_slack", "by_rule"])
def test_every_point_typed_out_is_that_point(basis: str) -> None:
    """At a change of fillings the point counts the surfaces of the tanks that change, which cannot be typed."""
    aboard = changed(with_plan(), "free_surface/basis", basis)
    rows = assessed(aboard)["plan"]["points"]
    assert {row["kind"] for row in rows} >= {"start", "day", "season", "change", "end"}
    for row in rows:
        asked = json.loads(as_json(ASSESSOR.point(request(None, aboard), row["index"])))
        POINT.validate_python([asked])
        assert "plan" not in asked["condition"]
        for figure in ("displacement", "vcg_solid", "free_surface_moment"):
            assert asked["assessment"][figure] == row[figure]
        again = assessed(asked["condition"])
        if row["kind"] == "change":
            assert again["displacement"] == pytest.approx(row["displacement"], rel=1e-12)
            assert again["free_surface_moment"] <= row["free_surface_moment"] + 1e-9
        else:
            same(again, asked["assessment"], 1e-12)


def test_a_stage_typed_by_hand_is_its_point() -> None:
    """Masses worked out here: 12 t a day from the pair, 5 days; 2 t of water made, 0.5 t of stores used a day."""
    before = assessed(PLAIN)
    mass = {row["tank"]: row["mass"] for row in before["tanks"]}
    capacity = {"FP": 150.0, "FS": 150.0}
    typed = copy.deepcopy(PLAIN)
    del typed["observed"]
    typed["voyage"]["phase"], typed["load_line_mark"] = "at_sea", "T"
    free = {id: mass[id] - 0.02 * capacity[id] * 0.95 for id in ("FP", "FS")}
    for line in typed["tanks"]:
        id = line["tank"]
        if id in free:
            line.clear()
            used = 60.0 * free[id] / sum(free.values())
            line.update({"tank": id, "mass": mass[id] - used, "density": 0.95})
        if id == "REC":
            line.clear()
            line.update({"tank": id, "mass": mass[id] + 10.0})
    typed["weights"][1]["mass"] = 10.0
    found = ASSESSOR.point(request(None, with_plan()), points(assessed(with_plan())).index((1, "end")))
    same(assessed(typed), json.loads(as_json(found["assessment"])), 1e-12)


def test_a_plan_in_feet_and_long_tons() -> None:
    """The condition and its plan converted here: the same points in other units."""
    metric = assessed(with_plan())
    us = in_us(PLAIN)
    plan = whole_plan()
    ton, foot = 1.0160469088, 0.3048
    for use in plan["consumption"]:
        use["mass_per_day"] /= ton
    for stage in plan["stages"]:
        for weight in stage.get("weights", ()):
            weight["mass"] /= ton
            for name in ("lcg", "vcg", "tcg"):
                weight[name] /= foot
    there = assessed(with_plan(plan, us), units="metric")
    assert points(there) == points(metric)
    for one, other in zip(metric["plan"]["points"], there["plan"]["points"], strict=True):
        for figure in ("displacement", "trim", "gm_corrected", "free_surface_moment", "draft_midship"):
            assert other[figure] == pytest.approx(one[figure], rel=1e-9, abs=1e-9)
    kept = assessed(with_plan(plan, us))
    same(json.loads(as_json(converted(kept, SCALES["metric"])))["plan"], there["plan"], 1e-9)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_answers_have_exactly_the_published_shape(units: str) -> None:
    answer = ASSESSOR.assessment(request(None, with_plan()), units)
    FULL.validate_python([answer])
    line = json.dumps(request(None, with_plan())).encode()
    summary = json.loads(ASSESSOR.answer(line, "summary", units))
    SUMMARY.validate_python([summary])
    assert summary["verdict"] == answer["verdict"] == answer["plan"]["verdict"]
    assert summary["smallest_margin"] == json.loads(as_json(answer))["smallest_margin"]


def test_a_plan_is_no_small_request() -> None:
    line = json.dumps(request(None, with_plan())).encode()
    ASSESSOR.answer(line)
    assert ASSESSOR.answer_if_small(line) is None
    assert ASSESSOR.answer_if_small(json.dumps(request()).encode()) is not None


def test_a_point_is_asked_for_by_its_number() -> None:
    plain = ASSESSOR.point(request(), 0)
    assert plain["assessment"] == ASSESSOR.assessment(request())
    count = len(assessed(with_plan())["plan"]["points"])
    for aboard, number in ((PLAIN, 1), (with_plan(), count)):
        with pytest.raises(Refusal) as refused:
            ASSESSOR.point(request(None, aboard), number)
        assert refused.value.code == "point_not_found"


# --- what is drawn --------------------------------------------------------------------------------------------------


def box_with(plan: Json, tanks: dict[str, float] | None = None) -> Json:
    phase = "arrival" if plan["kind"] == "voyage" else "in_port"
    aboard = box_condition(6000.0, 50.0, 6.0, plan=plan, voyage={"phase": phase})
    if tanks is not None:
        aboard["tanks"] = [{"tank": id, "fill": fill} for id, fill in tanks.items()]
    return assessed(aboard, box())


def voyage(days: float, *uses: Json, **more: Any) -> Json:
    return {
        "kind": "voyage",
        "consumption": list(uses),
        "stages": [{"name": "Passage", "days": days, "phase": "arrival", **more}],
    }


def fuel(rate: float, order: list[list[str]] | None = None, **more: Any) -> Json:
    return {"contents": "fuel_oil", "mass_per_day": rate, "order": order or ORDER, **more}


SURFACE = 0.95 * 20.0 * 10.0**3 / 12.0
"""t.m of one double bottom tank of the box: density l b^3 / 12."""


def test_a_full_group_counts_as_slack_from_the_moment_it_is_begun() -> None:
    answer = box_with(voyage(4.0, fuel(25.0)), {"DB1P": 99.0, "DB1S": 99.0, "DB2P": 99.0, "DB2S": 99.0})
    assert points(answer) == [(0, "start"), (1, "begun DB1P, DB1S"), (1, "end")]
    start, begun, end = answer["plan"]["points"]
    assert start["free_surface_moment"] == 0.0
    assert begun["tanks"] == ["DB1P", "DB1S"]
    assert begun["free_surface_moment"] == pytest.approx(2 * SURFACE)
    assert (begun["day"], begun["displacement"]) == (0.0, start["displacement"])
    assert end["free_surface_moment"] == pytest.approx(2 * SURFACE)


def test_the_drawing_goes_on_in_the_next_stage_without_beginning_again() -> None:
    plan = voyage(4.0, fuel(25.0))
    plan["stages"].append({"name": "Further", "days": 2.0, "phase": "arrival"})
    found = points(box_with(plan, {"DB1P": 99.0, "DB1S": 99.0, "DB2P": 99.0, "DB2S": 99.0}))
    assert found == [(0, "start"), (1, "begun DB1P, DB1S"), (1, "end"), (2, "day 5"), (2, "end")]


def test_a_group_is_drawn_in_proportion_to_what_its_tanks_hold() -> None:
    aboard = box_condition(6000.0, 50.0, 6.0, plan=voyage(3.0, fuel(19.0, [["DB1P", "DB1S"]])))
    aboard["tanks"] = [{"tank": "DB1P", "mass": 76.0}, {"tank": "DB1S", "mass": 38.0}]
    tanks = ASSESSOR.point(request(box(), aboard), 2)["assessment"]["tanks"]
    assert [row["mass"] for row in tanks] == pytest.approx([38.0, 19.0])


def test_what_is_left_in_each_tank() -> None:
    plan = voyage(10.0, fuel(50.0, leave=2.0))
    tanks = {"DB1P": 50.0, "DB1S": 50.0, "DB2P": 50.0, "DB2S": 50.0}
    answer = box_with(plan, tanks)
    changeover = [p for p in answer["plan"]["points"] if p["kind"] in ("emptied", "begun")]
    assert [p["at"] for p in changeover] == ["emptied DB1P, DB1S", "begun DB2P, DB2S"]
    assert changeover[0]["day"] == pytest.approx(2 * 0.48 * 300.0 * 0.95 / 50.0)
    # the remainder of 2 % still has a surface
    assert changeover[1]["free_surface_moment"] == pytest.approx(4 * SURFACE)


def test_more_is_used_than_she_carries() -> None:
    plan = voyage(50.0, fuel(25.0))
    plan["stages"].append({"name": "Beyond", "days": 1.0, "phase": "in_port"})
    answer = box_with(plan)
    stock = 4 * 276.45 / 25.0
    assert answer["verdict"] == answer["plan"]["verdict"] == "incomplete"
    (finding,) = (f for f in answer["findings"] if f["code"] == "consumption_exceeds_stock")
    assert finding["severity"] == "danger"
    assert finding["path"] == "/condition/plan/consumption/0"
    assert f"day {stock:.2f}" in finding["message"]
    assert "fuel oil" in finding["message"]
    rows = answer["plan"]["points"]
    known = [row for row in rows if row["displacement"] is not None]
    assert known[-1]["at"] == "emptied DB2P, DB2S"
    assert known[-1]["day"] == pytest.approx(stock)
    for row in rows[len(known) :]:
        assert row["day"] > stock
        assert row["verdict"] == "incomplete"
        assert row["reason"]
    (used,) = answer["plan"]["consumption"]
    assert used["empty_on_day"] == pytest.approx(stock)
    assert used["used"] == pytest.approx(4 * 276.45)
    with pytest.raises(Refusal) as refused:
        ASSESSOR.point(request(box(), box_condition(6000.0, 50.0, 6.0, plan=plan)), len(rows) - 1)
    assert refused.value.code == "not_computable"


def test_stock_that_is_used_to_the_last_drop_suffices() -> None:
    answer = box_with(voyage(4 * 276.45 / 27.645, fuel(27.645)))
    assert answer["plan"]["verdict"] == "pass"
    assert answer["plan"]["points"][-1]["displacement"] == pytest.approx(8050.0)
    assert not any(f["code"] == "consumption_exceeds_stock" for f in answer["findings"])


def test_made_liquid_fills_to_the_normal_limit_and_no_further() -> None:
    plan = voyage(20.0, {"contents": "ballast", "mass_per_day": -100.0, "order": [["APT"], ["FPT"]]})
    answer = box_with(plan)
    full = 0.98 * 800.0 * 1.025
    (finding,) = (f for f in answer["findings"] if f["code"] == "made_liquid_has_no_room")
    assert finding["severity"] == "caution"
    end = answer["plan"]["points"][-1]
    assert end["displacement"] - answer["displacement"] == pytest.approx(2 * full)
    assert [p["at"] for p in answer["plan"]["points"] if p["kind"] == "begun"] == ["begun APT", "begun FPT"]
    (used,) = answer["plan"]["consumption"]
    assert used["used"] == pytest.approx(-2 * full)
    assert (used["lasts_days"], used["empty_on_day"]) == (None, None)


def test_a_weight_is_used_up() -> None:
    plan = voyage(12.0, {"weight": "Cargo", "mass_per_day": 600.0})
    answer = box_with(plan)
    by_day = {p["day"]: p["displacement"] for p in answer["plan"]["points"]}
    assert by_day[5.0] == pytest.approx(answer["displacement"] - 3000.0)
    assert by_day[12.0] == pytest.approx(answer["displacement"] - 6000.0)
    (used,) = answer["plan"]["consumption"]
    assert (used["weight"], used["contents"], used["empty_on_day"]) == ("Cargo", None, 10.0)


def test_a_tank_of_the_order_that_holds_something_else_is_pointed_out() -> None:
    aboard = box_condition(6000.0, 50.0, 6.0, plan=voyage(1.0, fuel(25.0)))
    aboard["tanks"][2]["contents"] = "ballast"
    codes = [(f["code"], f["path"]) for f in assessed(aboard, box())["findings"]]
    assert ("consumption_contents_differ", "/condition/plan/consumption/0") in codes


# --- what is changed -------------------------------------------------------------------------------------------------


def test_tanks_that_change_count_their_surfaces_on_the_way() -> None:
    """From empty to pressed up: no surface before and after, 1.025 l b^3/12 between."""
    plan = {"kind": "loading", "stages": [{"name": "Ballast", "tanks": [{"tank": "FPT", "fill": 100.0}]}]}
    answer = box_with(plan, {})
    assert points(answer) == [(0, "start"), (1, "1/4"), (1, "2/4"), (1, "3/4"), (1, "end")]
    rows = answer["plan"]["points"]
    assert {row["phase"] for row in rows} == {"in_port"}
    surface = 1.025 * 10.0 * 20.0**3 / 12.0
    assert [row["free_surface_moment"] for row in rows] == pytest.approx(
        [0.0, surface, surface, surface, 0.0]
    )
    assert [row["displacement"] - 8050.0 for row in rows] == pytest.approx([0.0, 205.0, 410.0, 615.0, 820.0])


def test_a_change_by_its_ends_only() -> None:
    stage = {"name": "Ballast", "tanks": [{"tank": "FPT", "fill": 100.0}], "transition": "ends"}
    assert points(box_with({"kind": "loading", "stages": [stage]})) == [(0, "start"), (1, "end")]


def test_a_weight_that_is_shifted_moves_with_its_moments() -> None:
    moved = {"name": "Cargo", "category": "cargo", "mass": 6000.0, "lcg": 52.0, "vcg": 6.4, "tcg": 0.2}
    plan = {"kind": "loading", "stages": [{"name": "Shift", "weights": [moved]}]}
    aboard = box_condition(6000.0, 50.0, 6.0, plan=plan)
    half = ASSESSOR.point(request(box(), aboard), points(assessed(aboard, box())).index((1, "2/4")))
    (weight,) = half["condition"]["weights"]
    assert (weight["lcg"], weight["vcg"], weight["tcg"]) == pytest.approx((51.0, 6.2, 0.1))
    assert half["assessment"]["moments"]["transverse"] == pytest.approx(600.0)


def test_an_addition_in_the_wind_counts_while_its_weight_is_aboard() -> None:
    deck = {"name": "Stack", "category": "deck_cargo", "mass": 100.0, "lcg": 50.0, "vcg": 12.0}
    area = {"name": "Stack", "area": 60.0, "centroid_height": 12.0, "of": "Stack"}
    stages = [
        {"name": "Load", "weights": [deck], "wind_additions": [area], "transition": "ends"},
        {"name": "Unload", "removed_weights": ["Stack"], "transition": "ends", "phase": "in_port"},
    ]
    plan = {"kind": "voyage", "stages": stages}
    aboard = {k: v for k, v in PLAIN.items() if k != "wind_additions"}
    whole = with_plan(plan, aboard)
    assert points(assessed(whole)) == [(0, "start"), (1, "end"), (2, "start"), (2, "end")]
    found = [ASSESSOR.point(request(None, whole), number)["condition"] for number in range(4)]
    assert [len(document.get("wind_additions", ())) for document in found] == [0, 1, 1, 0]


# --- what is refused, and where ---------------------------------------------------------------------------------------

STAGE = "/condition/plan/stages/1"
USE = "/condition/plan/consumption/0"
SEASON = {"from": "11-01", "to": "03-31", "mark": "W", "otherwise": "S"}
OFF_TABLE = [{"tank": "DB1P", "fill": 5.0}, {"tank": "APT", "sounding": 4.5}]
NEGATIVE = [{"name": "New", "category": "cargo", "mass": -1.0, "lcg": 1.0, "vcg": 1.0}]
TOO_MUCH_OFF = [{"name": "Off", "category": "removal", "mass": -9000.0, "lcg": 1.0, "vcg": 1.0}]
OF_NOTHING = [{"name": "N", "area": 1.0, "centroid_height": 1.0, "of": "X"}]
REFUSED = [
    ({"departs": None}, {"season": SEASON}, "departs_missing", f"{STAGE}/season"),
    ({}, {"season": SEASON, "load_line_mark": "S"}, "season_or_mark", f"{STAGE}/season"),
    ({}, {"season": {**SEASON, "to": "02-30"}}, "no_such_date", f"{STAGE}/season/to"),
    ({"departs": "2026-02-30T00:00:00Z"}, {}, "no_such_date", "/condition/plan/departs"),
    ({}, {"tanks": [{"tank": "X", "fill": 5.0}]}, "unknown_tank", f"{STAGE}/tanks/0/tank"),
    ({}, {"tanks": [{"tank": "APT"}]}, "one_quantity", f"{STAGE}/tanks/0"),
    ({}, {"tanks": [{"tank": "APT", "fill": 5.0}] * 2}, "duplicate", f"{STAGE}/tanks/1/tank"),
    ({}, {"tanks": OFF_TABLE}, "outside_table", f"{STAGE}/tanks/1"),
    ({}, {"removed_weights": ["X"]}, "unknown_weight", f"{STAGE}/removed_weights/0"),
    ({}, {"removed_weights": ["Cargo", "Cargo"]}, "ambiguous_weight", f"{STAGE}/removed_weights/1"),
    ({}, {"weights": NEGATIVE}, "sign", f"{STAGE}/weights/0/mass"),
    ({}, {"wind_additions": OF_NOTHING}, "unknown_weight", f"{STAGE}/wind_additions/0/of"),
    ({}, {"removed_weights": ["Cargo"], "weights": TOO_MUCH_OFF}, "not_computable", STAGE),
    ({}, {"consumption": [fuel(1.0, [["X"]])]}, "unknown_tank", f"{STAGE}/consumption/0/order/0/0"),
    ({"consumption": [fuel(1.0, [["DB1P"], ["DB1P"]])]}, {}, "tank_in_two_orders", f"{USE}/order/1/0"),
    ({"consumption": [{"contents": "fuel_oil", "mass_per_day": 1.0}]}, {}, "missing", f"{USE}/order"),
    ({"consumption": [{"mass_per_day": 1.0}]}, {}, "one_quantity", USE),
    ({"consumption": [{"weight": "X", "mass_per_day": 1.0}]}, {}, "unknown_weight", f"{USE}/weight"),
    ({"consumption": [{"weight": "Cargo", "mass_per_day": -1.0}]}, {}, "sign", f"{USE}/mass_per_day"),
    ({"consumption": [{"weight": "Cargo", "mass_per_day": 1.0, "order": [["APT"]]}]}, {}, "not_here", f"{USE}/order"),
]  # fmt: skip


@pytest.mark.parametrize(("plan", "stage", "code", "pointer"), REFUSED)
def test_a_plan_that_contradicts_something_is_refused_with_the_place(
    plan: Json, stage: Json, code: str, pointer: str
) -> None:
    stages = [{"name": "First"}, {"name": "Second", "days": 2.0, **stage}]
    whole = {"kind": "voyage", "departs": "2026-10-28T12:00:00Z", "stages": stages, **plan}
    with pytest.raises(Refusal) as refused:
        ASSESSOR.assessment(request(box(), box_condition(6000.0, 50.0, 6.0, plan=whole)))
    assert [(e["code"], e["pointer"]) for e in refused.value.errors] == [(code, pointer)]


def test_two_weights_of_one_name_are_ambiguous() -> None:
    new = {"name": "New", "category": "cargo", "mass": 1.0, "lcg": 1.0, "vcg": 1.0}
    stages = [{"name": "First", "weights": [new, new]}]
    aboard = box_condition(6000.0, 50.0, 6.0, plan={"kind": "loading", "stages": stages})
    with pytest.raises(Refusal) as refused:
        ASSESSOR.assessment(request(box(), aboard))
    assert [e["code"] for e in refused.value.errors] == ["ambiguous_weight"]
    assert refused.value.errors[0]["pointer"] == "/condition/plan/stages/0/weights/1/name"


def test_every_place_is_named_at_once() -> None:
    stages = [
        {"name": "First", "tanks": [{"tank": "X", "fill": 5.0}], "removed_weights": ["Y"]},
        {"name": "Second", "season": SEASON},
    ]
    aboard = box_condition(6000.0, 50.0, 6.0, plan={"kind": "voyage", "stages": stages})
    with pytest.raises(Refusal) as refused:
        ASSESSOR.assessment(request(box(), aboard))
    assert {e["code"] for e in refused.value.errors} == {"unknown_tank", "unknown_weight", "departs_missing"}


@pytest.mark.parametrize(("stages", "fits"), [(1, True), (100, True), (101, False), (0, False)])
def test_one_to_a_hundred_stages(stages: int, fits: bool) -> None:
    plan = {"kind": "voyage", "stages": [{"name": "Stage", "phase": "arrival"}] * stages}
    aboard = box_condition(6000.0, 50.0, 6.0, plan=plan)
    if fits:
        answer = assessed(aboard, box())
        # a start where the phase becomes another one, and an end of each
        assert len(answer["plan"]["points"]) == 2 + stages
    else:
        with pytest.raises(Refusal) as refused:
            ASSESSOR.assessment(request(box(), aboard))
        assert refused.value.errors[0]["pointer"] == "/condition/plan/stages"


@pytest.mark.parametrize(("days", "fits"), [(298.0, True), (299.0, False), (1000.0, False)])
def test_three_hundred_points(days: float, fits: bool) -> None:
    """A point a day: start, start of the stage (another phase), the days between, end."""
    plan = voyage(days, fuel(1.0)) | {"every_days": 1.0}
    aboard = box_condition(6000.0, 50.0, 6.0, plan=plan)
    if fits:
        assert len(assessed(aboard, box())["plan"]["points"]) == 300
    else:
        with pytest.raises(Refusal) as refused:
            ASSESSOR.assessment(request(box(), aboard))
        assert refused.value.code == "plan_too_long"
        assert refused.value.errors[0]["pointer"] == "/condition/plan/stages/0"
