"""Oil tankers: MARPOL Annex I, regulation 27 (figures read in the guidance for existing tankers, regulation from
memory): GM of 0.15 m in port; at sea 0.055, 0.09 and 0.03 m.rad, 0.20 m, 25 degrees, 0.15 m."""

import pytest

from service.core.assessment import assess
from service.core.displacement import Displacement
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS
from service.core.rules.marpol_annex_1_reg_27 import LIMITS, RULE_SET
from service.core.weight import Weight
from tests.core.ship import condition, details, just_around, situation, vessel
from tests.core.type_rules import area, judged, lever, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]
CURVE = ("area-to-30", "area-to-40", "area-30-to-40", "lever-at-30", "angle-of-maximum")


def rows_of(slope: float = 5.0, *curve, gm: float = 1.0, **changes):
    return judged(RULE_SET, slope, *curve, ship=situation(gm), **changes)


def test_limits_and_when_they_count():
    assert [row.limit for row in LIMITS] == [0.15, 0.055, 0.09, 0.03, 0.20, 25.0, 0.15]
    assert [RULE_SET.counts(row, in_port=True) for row in LIMITS] == [True] + [False] * 6
    assert [RULE_SET.counts(row, in_port=False) for row in LIMITS] == [False] + [True] * 6
    assert all(row.from_memory for row in LIMITS)


@pytest.mark.parametrize(
    ("slug", "limit", "per_slope"),
    [
        ("area-to-30", 0.055, area(30.0)),
        ("area-to-40", 0.09, area(40.0)),
        ("area-30-to-40", 0.03, area(40.0) - area(30.0)),
        ("lever-at-30", 0.20, lever(35.0)),
    ],
)
def test_areas_and_levers_around_their_limits(slug, limit, per_slope):
    given = [rows_of(value / per_slope) for value in just_around(limit)]
    assert [rows[slug].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts_of(slug, given) == AROUND


@pytest.mark.parametrize("slug", ["in-port-gm", "initial-gm"])
def test_gm_around_its_limit(slug):
    assert verdicts_of(slug, [rows_of(gm=gm) for gm in just_around(0.15)]) == AROUND


def test_gm_is_that_with_the_free_surfaces_at_0_degrees():
    """KM 8.2, KG 7.4, surfaces of 13,000 t.m on 20,000 t: 0.8 less 0.65 m, exactly at the limit."""
    load = Displacement(20000.0, 50.0, 0.0, 7.4, 8.05, 13000.0, 0.65)
    ship = situation(0.8 - 13000.0 / 20000.0, gm_solid=0.8, displacement=load)
    row = judged(RULE_SET, 5.0, ship=ship)["in-port-gm"]
    assert (row.verdict, row.margin) == (PASS, pytest.approx(0.0, abs=1e-12))


def test_the_angle_of_maximum_around_its_limit_and_whether_it_is_over_30_degrees():
    assert verdicts_of("angle-of-maximum", [rows_of(5.0, a) for a in just_around(25.0)]) == AROUND
    assert details(rows_of(5.0, 28.0)["angle-of-maximum"])["over_30_degrees"] == "no"
    assert details(rows_of(5.0, 33.0)["angle-of-maximum"])["over_30_degrees"] == "yes"


def test_exactly_30_degrees_is_not_over_30():
    """Down-flooding at 30 degrees ends a curve that rises on."""
    row = rows_of(1.0, 45.0, 30.0)["angle-of-maximum"]
    assert row.attained == 30.0
    assert details(row)["over_30_degrees"] == "no"


@pytest.mark.parametrize(("in_port", "verdict"), [(True, "pass"), (False, "fail")])
def test_a_tanker_that_could_not_sail_may_lie_in_port(in_port, verdict):
    """GM between 0.15 m and what her areas need."""
    ship = vessel(rule_sets=(RULE_SET.name,))
    found = assess(ship, condition(weights=[Weight(4000.0, 53.0, 7.4, 0.0, "cargo")], in_port=in_port))
    assert 0.15 < found.situation.gm_corrected < 0.25
    assert found.verdict == verdict


def test_what_is_unknown_is_never_a_pass():
    assert {rows_of(flooding=None)[slug].verdict for slug in CURVE} == {NOT_COMPUTABLE}
    assert {without_a_curve(RULE_SET)[slug].verdict for slug in CURVE} == {NOT_COMPUTABLE}
