"""Answers of the inclining test and of the uncertainty of a condition have exactly the published shape,
in both units."""

import json
from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor
from service.actions.sample_uncertainty import uncertainty_answer
from service.translation.inclining import inclining
from service.wire.assessment import Assessment
from service.wire.inclining import Inclining
from service.wire.refusal import Refusal
from service.wire.uncertainty import Uncertainty
from tests.actions.documents import Json, condition, in_us, vessel

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
INCLINING = TypeAdapter(list[Inclining], config=STRICT)
UNCERTAINTY = TypeAdapter(list[Uncertainty], config=STRICT)
FULL = TypeAdapter(list[Assessment], config=STRICT)
ASSESSOR = Assessor()
FOOT, TON = 0.3048, 1.0160469088


def asked(question: Any, aboard: Json, ship: Json | None = None, **more: Any) -> Json:
    body = {"vessel": ship or vessel(), "condition": aboard, **more}
    answer: Json = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), question))
    return answer


def test_inclined_in_metres_and_in_feet() -> None:
    def test_of(moment: float, length: float, mass: float) -> Json:
        movements = [
            {"moment": moment * k, "readings": {"P": length * (0.004 * k + 0.001)}}
            for k in (0.0, 1.0, 2.0, -1.0)
        ]
        return {
            "pendulums": [{"name": "P", "length": length}],
            "movements": movements,
            "displacement": mass,
        }

    metric = asked(inclining, condition(), inclining=test_of(100.0, 6.0, 8009.0))
    us = asked(
        inclining,
        in_us(condition()),
        in_us(vessel()),
        inclining=test_of(100.0 / FOOT / TON, 6.0 / FOOT, 8009.0 / TON),
    )
    INCLINING.validate_python([metric, us])
    assert us["gm"] * FOOT == pytest.approx(metric["gm"], rel=1e-12)
    assert us["slope"] / FOOT / TON == pytest.approx(metric["slope"], rel=1e-12)
    for name in ("lcg", "vcg", "tcg", "vcg_low", "vcg_high"):
        # two sets of marks were read, which give the trim, and the displacement is given
        found = us["lightship"][name] * FOOT
        assert found == pytest.approx(metric["lightship"][name], rel=1e-8, abs=1e-9)
    # the line of 0.00004 for each t.m at 8009 t
    assert metric["gm"] == pytest.approx(1.0 / (8009.0 * 0.00004), rel=1e-9)


def test_sampled_in_metres_and_in_feet() -> None:
    def deviations(foot: float) -> Json:
        return {
            "lightship": {"mass_percent": 0.5, "vcg": 0.05 / foot},
            "tanks": {"mass_percent": 1.0, "density": 0.002},
            "tank": [{"tank": "BP", "sounding": 0.02 / foot}],
            "weights": [{"name": "Coils", "mass_percent": 1.0, "lcg": 0.2 / foot, "tcg": 0.05 / foot}],
            "water_density": 0.001,
        }

    metric = asked(uncertainty_answer, condition(), samples=100, standard_deviations=deviations(1.0))
    us = asked(
        uncertainty_answer,
        in_us(condition()),
        in_us(vessel()),
        samples=100,
        standard_deviations=deviations(FOOT),
    )
    UNCERTAINTY.validate_python([metric, us])
    for name, unit in (("gm_corrected", FOOT), ("displacement", TON), ("trim", FOOT), ("list", 1.0)):
        for figure in ("value", "mean", "standard_deviation", "p05", "p95"):
            assert us["figures"][name][figure] * unit == pytest.approx(
                metric["figures"][name][figure], rel=1e-7, abs=1e-9
            )
    assert [c["probability"] for c in us["criteria"]] == [c["probability"] for c in metric["criteria"]]
    assert {c["source"] for c in metric["contributions"]} <= {"lightship", "tank", "weight", "water"}


def test_a_tank_without_soundings_has_no_sounding_that_deviates() -> None:
    with pytest.raises(Refusal) as refused:
        asked(uncertainty_answer, condition(), samples=100, standard_deviations={"tanks": {"sounding": 0.02}})
    assert {e["code"] for e in refused.value.errors} == {"no_soundings"}


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_survey_has_the_published_shape(units: str) -> None:
    aboard = condition()
    aboard["observed"]["drafts"] = {
        "aft": {"port": 5.5, "starboard": 5.6},
        "fore": {"port": 5.2, "starboard": 5.3},
    }
    ship = vessel()
    ship["draft_marks"].append({"name": "mid", "x": 50.0, "keel_offset": 0.01})
    two = ASSESSOR.assessment({"vessel": ship, "condition": aboard}, units)
    aboard["observed"]["drafts"]["mid"] = 5.4
    three = ASSESSOR.assessment({"vessel": ship, "condition": aboard}, units)
    FULL.validate_python([two, three])
    assert two["draft_survey"]["displacement"] is None
    # tables for several trims: the displacement is read at the trim itself too
    assert three["draft_survey"]["displacement_direct"] == pytest.approx(
        three["draft_survey"]["displacement"], rel=0.02
    )


@pytest.mark.parametrize("question", [inclining, uncertainty_answer])
def test_a_plan_is_not_asked_for_here(question: Any) -> None:
    aboard = {**condition(), "plan": {"kind": "voyage", "stages": [{"name": "x"}]}}
    reading = {"moment": 0.0, "readings": {"P": 0.0}}
    more = (
        {"standard_deviations": {}}
        if question is uncertainty_answer
        else {"inclining": {"pendulums": [{"name": "P", "length": 1.0}], "movements": [reading] * 2}}
    )
    with pytest.raises(Refusal) as refused:
        asked(question, aboard, **more)
    assert refused.value.errors[0]["pointer"] == "/condition/plan"
