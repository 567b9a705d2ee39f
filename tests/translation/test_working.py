"""The working closes: every node on its own inputs, every figure of the answer, every pointer into what was typed.

Every demo condition in both unit systems. The evaluator is one of the tests' own (`node_evaluator.py`).
"""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import service.demo
from service.core.assessment import assess
from service.translation.answer import full_answer
from service.translation.assess_documents import Working, assess_documents, point_documents
from service.translation.condition import condition_of
from service.translation.prepared_vessel import prepare_vessel, validated
from service.translation.units import SCALES
from service.translation.working.shapes import compact, nodes_of
from service.translation.working.sheet import Sheet
from service.translation.working.worksheet import sheet_of
from service.wire.compact_working import expanded
from service.wire.condition import Condition
from service.wire.working import NOT_DERIVED
from tests.translation.box import condition as boxed
from tests.translation.box import vessel as box
from tests.translation.box import weight
from tests.translation.node_evaluator import evaluated

DEMO = Path(service.demo.__file__).parent
CONDITIONS = sorted(f"{path.parent.name}/{path.stem}" for path in (DEMO / "conditions").glob("*/*.json"))


@cache
def vessel(ship: str) -> Any:
    return json.loads((DEMO / "vessels" / f"{ship}.json").read_text())


@cache
def document(name: str) -> Any:
    condition = json.loads((DEMO / "conditions" / f"{name}.json").read_text())
    return condition.get("condition", condition)


@cache
def prepared(ship: str) -> Any:
    return prepare_vessel(vessel(ship), id=ship, revision=1)


@pytest.fixture(params=[(name, units) for name in CONDITIONS for units in SCALES], ids="-".join)
def written(request: pytest.FixtureRequest) -> tuple[dict[str, Any], Sheet, dict[str, Any]]:
    """An answer, the sheet of its working, and the documents by kind."""
    return working(*request.param)


@pytest.fixture
def worked(
    written: tuple[dict[str, Any], Sheet, dict[str, Any]],
) -> tuple[dict[str, Any], list[Any], dict[str, Any]]:
    """An answer, its nodes, and the documents by kind."""
    answer, sheet, documents = written
    return answer, nodes(sheet), documents


nodes = cache(nodes_of)


@cache
def working(name: str, units: str) -> tuple[dict[str, Any], Sheet, dict[str, Any]]:
    ship, _ = name.split("/")
    ready, wire = prepared(ship), validated(Condition, document(name), ("condition",))
    found = assess(ready.vessel, condition_of(wire, ready.vessel, ready.axes))
    answer = full_answer(found, SCALES[units], ready.reference, wire.title)
    sheet = sheet_of(found, answer, SCALES[units], vessel(ship), document(name))
    return answer, sheet, {"vessel": vessel(ship), "condition": document(name)}


def test_every_node_closes_and_stands_for_a_figure_of_the_answer(worked):
    """Within 1e-9, relative; a root gives nothing. No figure has two nodes, no node an input that comes later."""
    closes(*worked)


def closes(answer: dict[str, Any], nodes: list[Any], documents: dict[str, Any]) -> None:
    seen: dict[str, float] = {}
    shown: dict[str, str] = {}
    for node in nodes:
        expected = 0.0 if node["kind"] == "root" else node["value"]
        assert evaluated(node) == pytest.approx(expected, rel=1e-9, abs=1e-9), node["id"]
        for given in node["inputs"]:
            origin = given["from"]
            if origin["kind"] == "working":
                assert given["value"] == seen[origin["id"]], (node["id"], given["symbol"])
            elif origin["kind"] in documents:
                typed = at(documents[origin["kind"]], origin["pointer"])
                turned = typed * origin.get("factor", 1.0) + origin.get("offset", 0.0)
                assert given["value"] == pytest.approx(turned, rel=1e-12, abs=1e-12), (node["id"], origin)
                assert origin.get("original", typed) == typed
        assert node["id"] not in seen
        seen[node["id"]] = node["value"]
        if node["path"] is not None:
            assert node["path"] not in shown, node["id"]
            shown[node["path"]] = node["id"]
            assert at(answer, node["path"]) == pytest.approx(node["value"], rel=1e-9, abs=1e-12), node["id"]
    missing = [path for path in numbers_of(answer) if path not in shown and not is_listed(path)]
    assert missing == []


TIMBER = {
    "absorption": 10.0,
    "between_superstructures": True,
    "full_breadth": True,
    "secured": True,
    "buoyant": True,
}


@pytest.mark.parametrize("units", SCALES)
@pytest.mark.parametrize("density", [1.025, 1.01])
@pytest.mark.parametrize("dock_water", ["linear", "exact"])
def test_it_closes_with_ice_timber_marks_to_the_keel_and_strength(
    units: str, density: float, dock_water: str
) -> None:
    """What the service adds is among the masses; KN is of the curves with timber; marks lose the keel."""
    curves = {
        "displacements": [4000.0, 8000.0, 12000.0, 16000.0],
        "heels": [10.0, 20.0, 30.0, 40.0, 50.0, 60.0],
        "basis": "kn",
        "density": 1.025,
    }
    levers = [[v * (1.0 + 0.1 * k) for v in (1.6, 3.1, 4.4, 5.4, 6.1, 6.5)] for k in range(4)]
    timber = [[v + 0.2 * i for i, v in enumerate(row)] for row in levers]
    ship = box(
        load_lines={"reference": "extreme", "summer_draft": 6.02, "marks": {"S": 6.02, "W": 5.9}},
        icing_surfaces=[{"name": "Deck", "kind": "deck", "area": 1800.0, "x": 52.0, "z": 10.0}],
        wind_profile=[
            {"draft": d, "area": 1160.0 - 100.0 * d, "centroid_height": 8.5 + 0.1 * d}
            for d in (1.0, 4.0, 7.0)
        ],
        cross_curves={**curves, "levers": levers},
        cross_curves_timber={**curves, "levers": timber},
        passenger_spaces=[{"id": "SUN", "x": 50.0, "deck_z": 12.0, "length": 20.0, "half_breadth": 6.0}],
        rule_sets=["is-code-2008-a-3.3", "vessel-strength"],
    )
    stow = weight("Timber", 900.0, 50.0, 11.0, category="deck_cargo", timber=TIMBER)
    condition = boxed(
        weight("Cargo", 5000.0, 51.0), stow, icing={"factor": 1.0}, load_line_mark="S", dock_water=dock_water,
        water_density=density, passengers=[{"space": "SUN", "number": 40}],
        operation={"lift": {"mass": 20.0, "x": 50.0, "y": 3.0, "z": 20.0}},
    )  # fmt: skip
    ready, document = prepare_vessel(ship), validated(Condition, condition, ("condition",))
    found = assess(ready.vessel, condition_of(document, ready.vessel, ready.axes))
    answer = full_answer(found, SCALES[units], ready.reference, document.title)
    assert answer["righting_lever"] is not None
    reasons = ["passengers", "hook_load", "absorption", "ice", "ice"]
    assert [row["reason"] for row in answer["added_weights"]] == reasons
    places = ["/condition/passengers/0", "/condition/operation/lift", "/condition/weights/1", None, None]
    assert [row["of"] for row in answer["added_weights"]] == places
    assert {"strength", "load_line"} <= answer.keys()
    nodes = nodes_of(sheet_of(found, answer, SCALES[units], ship, condition))
    closes(answer, nodes, {"vessel": ship, "condition": condition})
    by_id = {node["id"]: node for node in nodes}
    before = by_id["displacement"]["value"] - by_id["icing/mass"]["value"]
    assert by_id["before_ice/displacement"]["value"] == pytest.approx(before, rel=1e-12)
    for figure in ("gm_corrected", "draft_midship", "trim"):
        assert by_id[f"before_ice/{figure}"]["inputs"]
    exact = by_id["load_line/exact/S"]
    assert exact["kind"] == ("root" if density < 1.025 else "copy")
    assert exact["value"] == answer["load_line"]["permitted_draft_exact"]
    typed = {given["from"].get("pointer", "") for node in nodes for given in node["inputs"]}
    assert any(pointer.startswith("/cross_curves_timber/levers") for pointer in typed)
    assert not any(pointer.startswith("/cross_curves/") for pointer in typed)


PLANNED = [(name, units) for name in CONDITIONS if "plan" in document(name) for units in SCALES]


@pytest.mark.parametrize(("name", "units"), PLANNED)
def test_it_closes_at_the_points_of_a_plan(name: str, units: str) -> None:
    """What it says was typed stands in the condition that the point is answered with."""
    ship, _ = name.split("/")
    plan = assess_documents(prepared(ship), document(name), "full", None)["plan"]
    count = len(plan["points"])
    for number in sorted({0, 1, count // 2, count - 1}):
        found = point_documents(prepared(ship), document(name), number, units, Working(vessel(ship)))
        nodes = found["assessment"].pop("working")
        closes(found["assessment"], nodes, {"vessel": vessel(ship), "condition": found["condition"]})
        again = point_documents(
            prepared(ship), document(name), number, units, Working(vessel(ship), compact=True)
        )
        assert expanded(again["assessment"]["working"]) == nodes


@pytest.mark.parametrize(("density", "icing", "point"), [(1.007, None, 4), (1.025, "timber-iced", 7)])
def test_an_extreme_a_hair_from_a_knot_has_its_forces(density: float, icing: str | None, point: int) -> None:
    """The least bending moment stands less than 1e-12 m before her forward end, by rounding."""
    aboard = {**document("halvenmoor/loading-sequence"), "water_density": density}
    if icing is not None:
        aboard["icing"] = document(f"halvenmoor/{icing}")["icing"]
    found = point_documents(prepared("halvenmoor"), aboard, point, None, Working(vessel("halvenmoor")))
    answer, nodes = found["assessment"], found["assessment"].pop("working")
    end = answer["strength"]["extremes"]["bending_least"]["x"]
    assert end != 91.0
    assert end == pytest.approx(91.0, abs=1e-12)
    closes(answer, nodes, {"vessel": vessel("halvenmoor"), "condition": found["condition"]})
    assert {"strength/bending_least/value", "strength/weight"} <= {node["id"] for node in nodes}


def test_no_figure_of_a_demo_condition_is_left_without_its_working(worked):
    _, nodes, _ = worked
    names = {given["name"] for node in nodes for given in node["inputs"]}
    stand_in = ("not written in this version", "integrated along her length")
    assert not [name for name in names if any(words in name for words in stand_in)]


def test_the_compact_working_is_small_and_loses_nothing(written):
    """The goal: 200 kB, in US units too, where her own figures stand beside what is converted."""
    _, sheet, _ = written
    small = compact(sheet)
    assert expanded(small) == nodes(sheet)
    assert len(json.dumps(small, separators=(",", ":"), ensure_ascii=False).encode()) < 200_000


def test_the_main_figures_read_as_a_booklet_writes_them(worked):
    answer, nodes, _ = worked
    by_id = {node["id"]: node for node in nodes}
    assert by_id["gm_corrected"]["expression"] == "KM - KG - FSC"
    assert by_id["free_surface_correction"]["expression"] == "sum_FSM / W"
    assert by_id["vcg_solid"]["expression"] == "M_v / W"
    if answer["flotation"]["method"].startswith("trim by moment"):
        assert by_id["trim"]["expression"] == "W * (LCB - LCG) / (cm_per_m * MCTC)"


def at(document: Any, pointer: str) -> Any:
    """What a JSON pointer points at."""
    for step in pointer.split("/")[1:]:
        name = step.replace("~1", "/").replace("~0", "~")
        document = document[int(name) if isinstance(document, list) else name]
    return document


def numbers_of(document: Any, pointer: str = "") -> list[str]:
    """Pointers to every number of a document."""
    if isinstance(document, dict):
        members = [(key.replace("~", "~0").replace("/", "~1"), value) for key, value in document.items()]
    elif isinstance(document, list):
        members = [(str(i), value) for i, value in enumerate(document)]
    else:
        is_number = isinstance(document, int | float) and not isinstance(document, bool)
        return [pointer] if is_number else []
    return [path for name, value in members for path in numbers_of(value, f"{pointer}/{name}")]


LISTED = [re.compile(re.escape(path).replace(r"\*\*", ".+").replace(r"\*", "[^/]+")) for path in NOT_DERIVED]


def is_listed(path: str) -> bool:
    """Whether a number is published as one without a node."""
    return any(pattern.fullmatch(path) for pattern in LISTED)
