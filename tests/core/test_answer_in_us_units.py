"""What the core's answers carry since GM, flooding and load line are judged anew, in feet and long tons.

Truth: the international foot (0.3048 m) and the long ton (1.0160469088 t), both exact; the figure in metres itself.
"""

from typing import Any

import pytest

from service.actions.assess import Assessor
from service.core.conventions import FOOT, LONG_TON
from tests.actions import documents

MOMENT = FOOT * LONG_TON
SCALES = {
    "free_surface/as_filled/moment": MOMENT,
    "free_surface/as_filled/gm_corrected": FOOT,
    "free_surface/maximum_when_slack/moment": MOMENT,
    "free_surface/by_rule/moment": MOMENT,
    "free_surface/by_rule/gm_corrected": FOOT,
    "free_surface/judged/moment": MOMENT,
    "free_surface/judged/gm_corrected": FOOT,
    "free_surface/exempt_moment": MOMENT,
    "least_stability_margin/margin": FOOT,
    "least_stability_margin/gm_equivalent": FOOT,
    "load_line_margin/draft": FOOT,
    "load_line_margin/mass": LONG_TON,
    "righting_lever/maximum": FOOT,
    "righting_lever/angle_of_maximum": 1.0,
    "righting_lever/range_end/angle": 1.0,
    "righting_lever/beyond/maximum": FOOT,
    "righting_lever/beyond/angle_of_maximum": 1.0,
    "righting_lever/deck_edge_angle": 1.0,
    "righting_lever/down_flooding/angle": 1.0,
    "stability/gm_corrected": FOOT,
    "flotation/km": FOOT,
}
"""Metres and tonnes of one unit of the answer in feet and long tons, by its place."""


def at(answer: Any, path: str) -> Any:
    for step in path.split("/"):
        answer = None if answer is None else answer[step]
    return answer


def assessed(vessel: dict[str, Any], condition: dict[str, Any], units: str) -> dict[str, Any]:
    return Assessor().assessment({"vessel": vessel, "condition": condition}, units)


def cases() -> dict[str, tuple[dict[str, Any], dict[str, Any]]]:
    """As she is; with small tanks left out; off her tables; without an angle of rest; trim off her tables."""
    changed = documents.changed
    base = documents.condition()
    cargo = {"name": "Cargo", "category": "cargo", "mass": 4000.0, "lcg": 53.0, "vcg": 5.6}
    small = changed(documents.vessel(), "particulars/minimum_service_displacement", 12_000.0)
    return {
        "as she is": (documents.vessel(), changed(base, "deflection", 0.05)),
        "small tanks": (small, changed(base, "free_surface/basis", "by_rule")),
        "off her tables": (documents.vessel(), changed(base, "weights/0/mass", 20_000.0)),
        "no angle of rest": (documents.vessel(), changed(base, "weights/0/vcg", 14.0)),
        "trim off her tables": (
            documents.vessel(),
            {**base, "tanks": [], "weights": [{**cargo, "lcg": 40.0}]},
        ),
    }


@pytest.mark.parametrize("case", cases())
def test_every_new_figure_converts_by_its_own_unit(case):
    vessel, condition = cases()[case]
    metric, us = (assessed(vessel, condition, units) for units in ("metric", "us"))
    compared = 0
    for path, scale in SCALES.items():
        expected, found = at(metric, path), at(us, path)
        assert (expected is None) is (found is None), path
        if expected is not None:
            compared += 1
            assert found * scale == pytest.approx(expected, rel=1e-12, abs=1e-12), path
    assert compared >= 5
    for name in ("verdict", "dangers", "unjudged"):
        assert us[name] == metric[name]
    assert [n["figure"] for n in us["not_computed"]] == [n["figure"] for n in metric["not_computed"]]
    assert at(us, "righting_lever/range_end/reason") == at(metric, "righting_lever/range_end/reason")


@pytest.mark.parametrize("case", cases())
def test_a_document_in_feet_and_long_tons_has_the_same_answer(case):
    vessel, condition = cases()[case]
    converted = documents.in_us(condition)
    if "deflection" in condition:
        converted["deflection"] = condition["deflection"] / FOOT
    one, other = (
        assessed(vessel, condition, "metric"), assessed(documents.in_us(vessel), converted, "metric")
    )  # fmt: skip
    for path in SCALES:
        expected = at(one, path)
        assert at(other, path) == (
            None if expected is None else pytest.approx(expected, rel=1e-9, abs=1e-9)
        ), path
    assert [(c["id"], c["verdict"]) for c in one["criteria"]] == [
        (c["id"], c["verdict"]) for c in other["criteria"]
    ]
    assert sorted(f["code"] for f in one["findings"]) == sorted(f["code"] for f in other["findings"])


def test_the_reason_of_a_gap_speaks_in_the_units_of_the_answer():
    vessel, condition = cases()["off her tables"]
    for units, words in (("metric", "(tonne)"), ("us", "(long ton)")):
        reasons = {n["reason"] for n in assessed(vessel, condition, units)["not_computed"]}
        assert all(words in reason for reason in reasons)
