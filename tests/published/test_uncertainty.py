"""Uncertain conditions: the random numbers, the quantiles, and linear cases against the law of error propagation.

Sources: numpy's PCG64 and scipy's quantile of the normal distribution as independent implementations; standard
deviation of a sum of independent masses sqrt(sum (m sigma)^2) / displacement (closed form).
"""

import json
from math import sqrt

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from service.actions.assess import Assessor
from service.actions.sample_uncertainty import uncertainty_answer
from service.core.normal_numbers import normal_quantile, uniforms
from tests.published.box_vessel import condition as box_condition
from tests.published.box_vessel import vessel as box

ASSESSOR = Assessor()
UNIFORM = [
    0.511821624700257,
    0.950463696325935,
    0.144159612719634,
    0.948649447137244,
    0.311831452010486,
    0.423326448972576,
]
NORMAL = [0.029636756666, 1.649366334483, -1.061815998456, 1.63189738163, -0.490665708311, -0.193390828129]


def asked(aboard, deviations, **more):
    body = {"vessel": box(), "condition": aboard, "standard_deviations": deviations, **more}
    return json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))


def two_weights(**more):
    aboard = box_condition(0.0, 50.0, 6.0, **more)
    aboard["tanks"] = []
    aboard["weights"] = [
        {"name": "A", "category": "cargo", "mass": 3000.0, "lcg": 50.0, "vcg": 5.0},
        {"name": "B", "category": "cargo", "mass": 2500.0, "lcg": 50.0, "vcg": 9.0},
    ]
    return aboard


def test_the_random_numbers_of_seed_1():
    assert uniforms(1, 2, 3).ravel() == pytest.approx(UNIFORM, abs=1e-15)
    assert normal_quantile(uniforms(1, 6, 1)).ravel() == pytest.approx(NORMAL, abs=1e-9)


def test_the_quantile_against_scipy():
    u = np.concatenate([10.0 ** -np.arange(1.0, 17.0), np.linspace(1e-6, 1.0 - 1e-6, 20_001)])
    for side in (u, 1.0 - u[(u > 1e-12)]):
        assert normal_quantile(side) == pytest.approx(ndtri(side), rel=1e-9, abs=1e-9)


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
    assert theory == pytest.approx(0.06503989, abs=1e-8)
    # four standard errors of a standard deviation
    assert gm["standard_deviation"] == pytest.approx(theory, abs=4.0 * theory / sqrt(2.0 * 9999.0))
    (share,) = (
        c["share"] for c in answer["contributions"] if (c["figure"], c["name"]) == ("gm_corrected", "B")
    )
    assert share == pytest.approx((2500.0 * 0.15 / (7550.0 * theory)) ** 2, abs=0.02)
    assert share == pytest.approx(0.583188616, abs=0.02)
    shares = [c["share"] for c in answer["contributions"] if c["figure"] == "gm_corrected"]
    assert sum(shares) == pytest.approx(1.0, abs=0.05)
    assert shares == sorted(shares, reverse=True)
    assert (answer["outside"], answer["clipped"], answer["findings"]) == (0, 0, [])
    assert answer["figures"]["displacement"]["standard_deviation"] == pytest.approx(0.0, abs=1e-9)


def test_how_often_a_criterion_holds_whose_margin_is_so_many_deviations():
    """A load line 0.8 standard deviations of the draft above her: the normal distribution function of 0.8."""
    sigma = 0.01 * 3000.0 / 2050.0
    ship = box()
    draft = 7550.0 / 2050.0 + 0.8 * sigma
    ship["load_lines"] = {"summer_draft": draft, "marks": {"S": draft}}
    body = {
        "vessel": ship,
        "condition": two_weights(),
        "samples": 4000,
        "standard_deviations": {"weights": [{"name": "A", "mass_percent": 1.0}]},
    }
    found = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), uncertainty_answer))
    (line,) = (c for c in found["criteria"] if c["id"] == "load-lines-draft")
    expected = 0.788144601
    assert float(ndtr(0.8)) == pytest.approx(expected, abs=1e-9)
    assert line["probability"] == pytest.approx(expected, abs=4.0 * sqrt(expected * (1.0 - expected) / 4000))
    assert line["standard_error"] == pytest.approx(
        sqrt(line["probability"] * (1 - line["probability"]) / 4000)
    )
    assert line["margin"]["standard_deviation"] == pytest.approx(sigma, rel=0.05)
    assert found["verdict_probability"] == line["probability"]


def test_a_slack_tank_stays_slack_and_none_holds_more_than_it_can():
    """Two pairs of 97 % with 5 %: many would be over-full; each is held at 100 %, and its surface stays counted."""
    found = asked(box_condition(6000.0, 50.0, 6.0), {"tanks": {"mass_percent": 5.0}}, samples=200)
    assert 100 < found["clipped"] <= 200
    assert found["outside"] == 0
    nominal = found["figures"]["gm_corrected"]
    # had the surfaces of some samples vanished, GM would reach 0.18 m further for each
    assert nominal["p95"] - nominal["value"] < 0.1


def test_samples_off_her_tables_are_left_out_and_counted():
    aboard = two_weights()
    # 19 475 t float her at 9.5 m, the last row of her hydrostatics
    aboard["weights"][0]["mass"] = 19_475.0 - 2050.0 - 2500.0
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


BOUNDS = [({"samples": 99}, "/samples"), ({"samples": 100_001}, "/samples"), ({"seed": -1}, "/seed")]
