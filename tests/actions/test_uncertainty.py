"""Uncertain conditions: linear cases against the law of error propagation, what is kept, what is refused; the numbers
themselves are in tests/published.

Source: standard deviation of a sum of independent masses sqrt(sum (m sigma)^2) / displacement (closed form).
"""

import json
from math import pi, sqrt

import numpy as np
import pytest
from pydantic import TypeAdapter
from scipy.special import ndtr

from service.actions.assess import Assessor
from service.actions.sample_uncertainty import SampleTask, parts_of_samples, uncertainty_answer
from service.translation.uncertainty import Samples, sampling_of
from service.wire.refusal import Refusal
from service.wire.uncertainty import Uncertainty
from tests.actions.box_ship import condition, vessel
from tests.actions.documents import FOOT, LONG_TON, in_us

ASSESSOR = Assessor()


def asked(aboard, deviations, **more):
    body = {"vessel": vessel(), "condition": aboard, "standard_deviations": deviations, **more}
    return json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))


def two_weights(**more):
    aboard = condition(**more)
    aboard["weights"] = [
        {"name": "A", "category": "cargo", "mass": 3000.0, "lcg": 50.0, "vcg": 5.0},
        {"name": "B", "category": "cargo", "mass": 2500.0, "lcg": 50.0, "vcg": 9.0},
    ]
    return aboard


@pytest.fixture(scope="module")
def answer():
    deviations = {
        "weights": [{"name": "A", "vcg": 0.1}, {"name": "B", "vcg": 0.15}],
        "lightship": {"vcg": 0.05},
    }
    return asked(two_weights(), deviations, samples=10_000, seed=1)


def test_gm_with_uncertain_centres(answer):
    """GM is linear in each VCG. Deviation, mean and fifth percentile are those of the stated generator."""
    gm = answer["figures"]["gm_corrected"]
    assert gm["value"] == pytest.approx(4.296586303, abs=1e-3)
    assert gm["standard_deviation"] == pytest.approx(0.065203162, abs=1e-7)
    assert gm["mean"] - gm["value"] == pytest.approx(0.000577062, abs=1e-7)
    assert gm["value"] - gm["p05"] == pytest.approx(0.106542796, abs=1e-7)
    theory = sqrt((3000.0 * 0.1) ** 2 + (2500.0 * 0.15) ** 2 + (2050.0 * 0.05) ** 2) / 7550.0
    # four standard errors of a standard deviation
    assert gm["standard_deviation"] == pytest.approx(theory, abs=4.0 * theory / sqrt(2.0 * 9999.0))
    (share,) = (
        c["share"] for c in answer["contributions"] if (c["figure"], c["name"]) == ("gm_corrected", "B")
    )
    assert share == pytest.approx((2500.0 * 0.15 / (7550.0 * theory)) ** 2, abs=0.02)
    shares = [c["share"] for c in answer["contributions"] if c["figure"] == "gm_corrected"]
    assert sum(shares) == pytest.approx(1.0, abs=0.05)
    assert shares == sorted(shares, reverse=True)
    assert (answer["outside"], answer["clipped"], answer["findings"]) == (0, 0, [])
    assert answer["figures"]["displacement"]["standard_deviation"] == pytest.approx(0.0, abs=1e-9)


def test_how_often_a_criterion_holds_whose_margin_is_so_many_deviations():
    """A load line 0.8 standard deviations of the draft above her: the normal distribution function of 0.8."""
    sigma = 0.01 * 3000.0 / 2050.0
    ship = vessel()
    draft = 7550.0 / 2050.0 + 0.8 * sigma
    ship["load_lines"] = {"summer_draft": draft, "marks": {"S": draft}}
    body = {
        "vessel": ship,
        "condition": two_weights(load_line_mark="S"),
        "samples": 4000,
        "standard_deviations": {"weights": [{"name": "A", "mass_percent": 1.0}]},
    }
    found = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))
    (line,) = (c for c in found["criteria"] if c["id"] == "load-lines-draft")
    expected = float(ndtr(0.8))
    assert line["probability"] == pytest.approx(expected, abs=4.0 * sqrt(expected * (1.0 - expected) / 4000))
    assert line["standard_error"] == pytest.approx(
        sqrt(line["probability"] * (1 - line["probability"]) / 4000)
    )
    assert line["margin"]["standard_deviation"] == pytest.approx(sigma, rel=0.05)
    assert found["verdict_probability"] == line["probability"]


def test_the_same_seed_gives_the_same_answer_and_another_another():
    deviations = {"every_weight": {"mass_percent": 1.0, "vcg": 0.1}}
    one, two, other = (asked(two_weights(), deviations, samples=100, seed=seed) for seed in (7, 7, 8))
    assert one == two
    assert one["figures"] != other["figures"]


def test_what_is_exact_takes_no_number():
    """A deviation of nothing does not shift the numbers of the others."""
    plain = asked(two_weights(), {"weights": [{"name": "B", "vcg": 0.15}]}, samples=100)
    zeros = {"weights": [{"name": "A", "vcg": 0.0}, {"name": "B", "vcg": 0.15}], "lightship": {"lcg": 0.0}}
    assert asked(two_weights(), zeros, samples=100)["figures"] == plain["figures"]


def test_a_slack_tank_stays_slack_and_none_holds_more_than_it_can():
    """Two tanks of 97 % with 5 %: many would be over-full; each is held at 100 %, and its surface stays counted."""
    aboard = condition({"P": 0.97 * 410.0, "S": 0.97 * 410.0})
    found = asked(aboard, {"tanks": {"mass_percent": 5.0}}, samples=200)
    # one of two above 3 % of 97 over 5: 46 %
    assert found["clipped"] == pytest.approx(200 * (1.0 - ndtr(0.03 / 0.97 / 0.05) ** 2), abs=30)
    assert found["outside"] == 0
    nominal = found["figures"]["gm_corrected"]
    # had a surface of 437 t.m vanished, GM would reach 0.06 m further for each
    assert nominal["p95"] - nominal["value"] < 0.05


def test_an_over_full_tank_loses_and_never_gains():
    """404 m3 typed in a tank of 400: no sample has more than was typed, so its mass is 404 x 1.025 (1 + min(s z, 0)) t.

    Mean - m s / sqrt(2 pi), standard deviation m s sqrt(1/2 - 1/(2 pi)), half of the samples held (closed form: a
    normal variable cut off at its mean), within four standard errors."""
    samples, sigma, mass = 4000, 0.02, 404.0 * 1.025
    aboard = {**condition(), "tanks": [{"tank": "P", "volume": 404.0, "density": 1.025}]}
    found = asked(aboard, {"tanks": {"mass_percent": 100.0 * sigma}}, samples=samples)
    displacement = found["figures"]["displacement"]
    assert displacement["value"] == pytest.approx(2050.0 + 5000.0 + mass, rel=1e-12)
    deviation = mass * sigma * sqrt(0.5 - 0.5 / pi)
    loss = displacement["value"] - displacement["mean"]
    assert loss == pytest.approx(mass * sigma / sqrt(2.0 * pi), abs=4.0 * deviation / sqrt(samples))
    assert displacement["standard_deviation"] == pytest.approx(deviation, rel=0.06)
    assert displacement["p50"] == pytest.approx(displacement["value"], abs=4.0 * mass * sigma / sqrt(samples))
    assert displacement["p95"] == pytest.approx(displacement["value"], rel=1e-12)
    assert found["clipped"] == pytest.approx(samples / 2, abs=4.0 * sqrt(samples) / 2)
    assert found["outside"] == 0
    # its surface of 437 t.m counts in no sample: GM would lose 0.06 m
    gm = found["figures"]["gm_corrected"]
    assert gm["p95"] - gm["p05"] < 0.03


@pytest.mark.parametrize("fill", [97.97, 98.02])
def test_a_full_tank_stays_full(fill):
    """At her limit, with samples on both sides of it: no free surface in any."""
    aboard = {**condition(), "tanks": [{"tank": "P", "fill": fill}]}
    found = asked(aboard, {"tanks": {"mass_percent": 0.5}}, samples=200)["figures"]["gm_corrected"]
    assert found["p95"] - found["p05"] < 0.01


def test_a_sum_of_masses_by_the_law_of_propagation():
    """Displacement is linear in masses: sqrt(sum (m sigma)^2), within four standard errors; drafts follow by TPC."""
    aboard = two_weights(tanks={"P": 200.0, "FP": 100.0})
    deviations = {"every_weight": {"mass_percent": 1.0}, "tanks": {"mass_percent": 5.0}}
    found = asked(aboard, deviations, samples=4000)["figures"]
    theory = sqrt(30.0**2 + 25.0**2 + 10.0**2 + 5.0**2)
    room = 4.0 * theory / sqrt(2.0 * 3999.0)
    assert found["displacement"]["standard_deviation"] == pytest.approx(theory, abs=room)
    assert found["draft_at_lcf"]["standard_deviation"] == pytest.approx(theory / 2050.0, abs=room / 2050.0)


def test_what_is_certain_has_probability_one_or_nothing():
    """Every deviation small against the margins, or none at all."""
    for deviations in ({"every_weight": {"vcg": 0.001}}, {}):
        found = asked(two_weights(), deviations, samples=200)
        assert found["verdict"] == "pass"
        assert found["verdict_probability"] == 1.0
        assert {row["probability"] for row in found["criteria"]} == {1.0}
        assert {row["standard_error"] for row in found["criteria"]} == {0.0}
    low = vessel()
    low["gm_limits"][0]["rows"] = [{"draft": draft, "value": 8.0} for draft in (0.5, 9.0)]
    body = {"vessel": low, "condition": two_weights(), "samples": 200}
    body["standard_deviations"] = {"every_weight": {"vcg": 0.001}}
    found = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))
    assert found["verdict_probability"] == 0.0
    (own,) = (row for row in found["criteria"] if row["id"].startswith("vessel-gm-limits"))
    assert (own["probability"], own["verdict"]) == (0.0, "fail")


def test_parts_of_samples_are_those_of_the_whole():
    """However many processes share them."""
    body = {"vessel": vessel(), "condition": two_weights(), "samples": 1100, "seed": 3}
    body["standard_deviations"] = {"every_weight": {"mass_percent": 1.0, "vcg": 0.1}}
    text = json.dumps(body).encode()
    sampling = ASSESSOR.question(text, sampling_of)
    parts = parts_of_samples(sampling)
    assert parts == [(0, 500), (500, 500), (1000, 100)]
    found = [result for part in parts for result in SampleTask(text, part).results(Assessor())]
    whole = sampling.part(0, 1100)
    for one, other in zip(Samples.joined(found), whole):
        assert np.array_equal(one, other, equal_nan=True)
    assert sampling.answer(found) == sampling.answer([whole])


def test_feet_and_long_tons():
    """The same ship and deviations in the other system: every figure by its factor."""
    metric = {"every_weight": {"mass_percent": 1.0, "vcg": 0.1}, "tanks": {"sounding": 0.02}}
    us = {"every_weight": {"mass_percent": 1.0, "vcg": 0.1 / FOOT}, "tanks": {"sounding": 0.02 / FOOT}}
    aboard = two_weights(tanks={"P": 200.0})
    one = asked(aboard, metric, samples=300)
    body = {"vessel": in_us(vessel()), "condition": in_us(aboard), "standard_deviations": us, "samples": 300}
    other = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))
    for name, factor in (("gm_corrected", FOOT), ("displacement", LONG_TON), ("trim", FOOT)):
        for member in ("value", "mean", "standard_deviation", "p05"):
            wanted = one["figures"][name][member] / factor
            assert other["figures"][name][member] == pytest.approx(wanted, rel=1e-6, abs=1e-9)


def test_the_answer_has_its_published_shape():
    found = asked(
        two_weights(tanks={"P": 200.0}), {"tanks": {"density": 0.01}, "water_density": 0.001}, samples=100
    )
    TypeAdapter(Uncertainty).validate_python(found)
    assert {row["source"] for row in found["contributions"]} == {"tank", "water"}
    assert found["caution"].endswith("As good as the deviations typed in.")


def test_samples_off_her_tables_are_left_out_and_counted():
    aboard = two_weights()
    # 9.45 m is the last row of her hydrostatics
    aboard["weights"][0]["mass"] = 9.45 * 2050.0 - 2050.0 - 2500.0
    found = asked(aboard, {"weights": [{"name": "A", "mass_percent": 1.0}]}, samples=400)
    assert found["outside"] == pytest.approx(200, abs=40)
    assert [finding["code"] for finding in found["findings"]] == ["samples_outside_tables"]
    assert found["verdict_probability"] is None
    assert {c["probability"] for c in found["criteria"]} == {None}


REFUSED = [
    ({"weights": [{"name": "X", "vcg": 0.1}]}, "unknown_weight", "/standard_deviations/weights/0/name"),
    ({"tank": [{"tank": "APT", "mass_percent": 1.0}]}, "unknown_tank", "/standard_deviations/tank/0/tank"),
    ({"tanks": {"mass_percent": 1.0, "sounding": 0.1}}, "one_quantity", "/standard_deviations/tanks"),
    ({"lightship": {"vcg": -0.1}}, "greater_than_equal", "/standard_deviations/lightship/vcg"),
]


@pytest.mark.parametrize(("deviations", "code", "pointer"), REFUSED)
def test_what_is_refused(deviations, code, pointer):
    with pytest.raises(Refusal) as refused:
        asked(two_weights(), deviations)
    assert [(e["code"], e["pointer"]) for e in refused.value.errors] == [(code, pointer)]


BOUNDS = [({"samples": 99}, "/samples"), ({"samples": 100_001}, "/samples"), ({"seed": -1}, "/seed")]


@pytest.mark.parametrize(("more", "pointer"), BOUNDS)
def test_bounds(more, pointer):
    with pytest.raises(Refusal) as refused:
        asked(two_weights(), {}, **more)
    assert refused.value.errors[0]["pointer"] == pointer
