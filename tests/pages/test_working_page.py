"""The working as sums on paper: the table adds up, and every equation is the node's own numbers."""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.pages.working_sums import lever_lines, steps_of, sum_of, weight_lines
from service.wire.figures import MINUS
from service.wire.working import SymbolNames

CONDITIONS = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]


@pytest.fixture(scope="module", params=CONDITIONS, ids=["-".join(pair) for pair in CONDITIONS])
def worked(request: pytest.FixtureRequest) -> dict[str, Any]:
    ship, name = request.param
    condition = {k: v for k, v in json.loads(read_condition(ship, name)).items() if k != "plan"}
    document = {"vessel": json.loads(read_vessel(ship)), "condition": condition}
    found: dict[str, Any] = json.loads(Assessor().worked_answer(json.dumps(document).encode()))
    return found


def test_the_lines_of_the_table_add_up_to_its_foot(worked: dict[str, Any]) -> None:
    """Sum of the masses is the displacement, sums of mass times lever the first moments: definition."""
    lines = weight_lines(worked["working"])
    assert sum(line.mass for line in lines) == pytest.approx(worked["displacement"], rel=1e-9)
    moments = [worked["moments"][name] for name in ("longitudinal", "vertical", "transverse")]
    for axis, moment in enumerate(moments):
        total = sum(line.moments[axis] for line in lines)
        assert total == pytest.approx(moment, rel=1e-9, abs=1e-6)


def test_every_lever_is_kn_less_the_two_falls(worked: dict[str, Any]) -> None:
    """GZ = KN - KG sin - TCG cos, by the printed figures: within half a unit of their last digit each."""
    for line in lever_lines(worked["working"]):
        kn, fall, arm, lever = (
            float(text.replace(MINUS, "-")) for text in (line.kn, line.fall, line.arm, line.lever)
        )
        assert kn - fall - arm == pytest.approx(lever, abs=2.1e-4)


def test_main_figures_stand_under_a_step(worked: dict[str, Any]) -> None:
    shown = {s.id: s for step in steps_of(worked["working"]) for s in step.sums}
    wanted = {"lcg", "vcg_solid", "free_surface_correction", "gm_solid", "gm_corrected", "trim", "draft_aft"}
    assert wanted <= set(shown)
    gm = worked["stability"]["gm_corrected"]
    assert shown["gm_corrected"].value.startswith(f"{gm:.4f}".replace("-", MINUS))
    assert shown["lcg"].over[1]
    assert shown["lcg"].under[1]


def test_no_symbol_is_left_among_the_numbers(worked: dict[str, Any]) -> None:
    said = SymbolNames()
    for node in worked["working"]:
        given = {i["symbol"] for i in node["inputs"]}
        found = sum_of(node, said)
        assert not given & set(found.numbers.replace("(", " ").replace(")", " ").split())


def test_every_symbol_is_named_at_its_first_use_and_every_long_sum_names_its_lines(
    worked: dict[str, Any],
) -> None:
    """Common practice, no source: a booklet says what a symbol stands for where it first appears."""
    shown = {s.id: s for step in steps_of(worked["working"]) for s in step.sums}
    by_id = {node["id"]: node for node in worked["working"]}
    assert "W_ls: mass of lightship" in shown["deadweight"].where
    assert "M_l: longitudinal moment" in shown["lcg"].where
    assert "W: displacement" not in shown["lcg"].where
    for id, found in shown.items():
        if found.symbols.startswith("sum of "):
            masses = [i["name"] for i in by_id[id]["inputs"] if i["symbol"].startswith("m")]
            assert found.symbols.startswith(f"sum of {len(masses)} ")
            assert found.how == "the same lines" or masses[0].rpartition(" of ")[2] in found.how
    weights = [i["name"].removeprefix("mass of ") for i in by_id["displacement"]["inputs"]]
    assert len(weights) <= 8 or all(name in shown["displacement"].how for name in weights)
