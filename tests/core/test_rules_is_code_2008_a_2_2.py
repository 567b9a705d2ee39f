"""2008 IS Code Part A 2.2.1 to 2.2.4 and the alternative to 2.2.3, each clause around its limit and in each case of
down-flooding.

Limits: resolution MSC.267(85), Part A 2.2 (0.055, 0.090, 0.030 m.rad; 0.20 m; 25 degrees; 0.15 m); the same figures
in A.749(18) 3.1.2. The alternative (15 degrees, 0.055 + 0.001 (30 - angle) m.rad) is a value from memory. Curves are
cubics GZ = s (a - a^3 / 3 m^2), whose areas, maximum and levers are closed forms.
"""

import numpy as np
import pytest

from service.core.rules.is_code_2008_a_2_2 import ALTERNATIVE, GENERAL, evaluate_alternative, evaluate_general
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Situation
from tests.core.ship import cubic_lever, just_around, particulars, situation, vessel

AREA_30, AREA_40, AREA_30_40, LEVER, ANGLE, GM = (row.id for row in GENERAL)
ALT_AREA, ALT_ANGLE = (row.id for row in ALTERNATIVE[:2])
AROUND = [FAIL, PASS, PASS]
MAXIMUM = 35.0


def area(to: float, maximum: float = MAXIMUM) -> float:
    """Area under the unit cubic from upright, m.rad."""
    a, m = np.radians(to), np.radians(maximum)
    return float(a**2 / 2.0 - a**4 / (12.0 * m**2))


def lever(at: float, maximum: float = MAXIMUM) -> float:
    a, m = np.radians(at), np.radians(maximum)
    return float(a - a**3 / (3.0 * m**2))


def general(given: Situation) -> dict[str, Criterion]:
    return {criterion.row.id: criterion for criterion in evaluate_general(given)}


def alternative(given: Situation) -> dict[str, Criterion]:
    return {criterion.row.id: criterion for criterion in evaluate_alternative(given)}


def with_slopes(
    slopes: np.ndarray, maximum: float = MAXIMUM, flooding: float = np.inf, last: float = 80.0
) -> Situation:
    return situation(cubic_lever(slopes, np.full(len(slopes), maximum), last), slopes, flooding)


def test_limits_are_those_of_the_code():
    assert [(row.limit, row.unit) for row in GENERAL] == [
        (0.055, "m·rad"),
        (0.090, "m·rad"),
        (0.030, "m·rad"),
        (0.20, "m"),
        (25.0, "degree"),
        (0.15, "m"),
    ]
    assert [row.limit for row in ALTERNATIVE] == [None, 15.0, 0.030, 0.20, 0.15]


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        (AREA_30, 0.055, area(30.0)),
        (AREA_40, 0.090, area(40.0)),
        (AREA_30_40, 0.030, area(40.0) - area(30.0)),
        (LEVER, 0.20, lever(MAXIMUM)),
        (GM, 0.15, 1.0),
    ],
)
def test_each_clause_just_below_at_and_just_above_its_limit(clause, limit, per_slope):
    criterion = general(with_slopes(just_around(limit / per_slope)))[clause]
    np.testing.assert_allclose(criterion.attained, just_around(limit), rtol=1e-9)
    assert criterion.verdict.tolist() == AROUND
    np.testing.assert_allclose(criterion.margin, just_around(limit) - limit, atol=1e-12)


def test_the_angle_of_maximum_around_25_degrees():
    maxima = just_around(25.0)
    criterion = general(situation(cubic_lever(np.ones(3), maxima), np.ones(3)))[ANGLE]
    np.testing.assert_allclose(criterion.attained, maxima, rtol=1e-9)
    assert criterion.verdict.tolist() == AROUND


@pytest.mark.parametrize(("flooding", "verdict"), [(20.0, FAIL), (25.0, PASS), (35.0, PASS)])
def test_the_angle_of_maximum_ends_at_down_flooding(flooding, verdict):
    """The lever still rises to 45 degrees, but beyond the angle of down-flooding none is counted."""
    criterion = general(situation(cubic_lever(np.ones(1), np.array([45.0])), np.ones(1), flooding))[ANGLE]
    assert criterion.attained[0] == pytest.approx(flooding)
    assert criterion.verdict[0] == verdict


@pytest.mark.parametrize("maximum", [20.0, 29.0, 31.0, 50.0])
def test_the_greatest_lever_is_sought_at_30_degrees_or_more(maximum):
    """With the maximum before 30 degrees it is the lever at 30 itself."""
    criterion = general(with_slopes(np.ones(1), maximum))[LEVER]
    expected = lever(30.0, maximum) if maximum < 30.0 else lever(maximum, maximum)
    assert criterion.attained[0] == pytest.approx(expected, rel=1e-12)


def test_no_down_flooding_uses_40_degrees():
    criteria = general(with_slopes(np.ones(1)))
    assert criteria[AREA_40].attained[0] == pytest.approx(area(40.0), rel=1e-12)
    assert {int(c.verdict[0]) for c in criteria.values()} == {PASS}
    detail = {d.name: d.values for d in criteria[AREA_40].details}
    assert np.isnan(detail["angle of down-flooding"][0])


@pytest.mark.parametrize("flooding", [40.0, 45.0])
def test_down_flooding_at_or_beyond_40_degrees_changes_no_area(flooding):
    with_it, without = general(with_slopes(np.ones(1), flooding=flooding)), general(with_slopes(np.ones(1)))
    for clause in (AREA_30, AREA_40, AREA_30_40):
        assert with_it[clause].attained[0] == pytest.approx(without[clause].attained[0], rel=1e-14)
        assert with_it[clause].verdict[0] == PASS


@pytest.mark.parametrize("flooding", [30.5, 35.0, 39.9])
def test_down_flooding_between_30_and_40_degrees_ends_the_areas(flooding):
    criteria = general(with_slopes(np.ones(1), flooding=flooding))
    assert criteria[AREA_30].attained[0] == pytest.approx(area(30.0), rel=1e-12)
    assert criteria[AREA_40].attained[0] == pytest.approx(area(flooding), rel=1e-12)
    assert criteria[AREA_30_40].attained[0] == pytest.approx(area(flooding) - area(30.0), rel=1e-10)
    expected = lever(min(flooding, MAXIMUM))
    assert criteria[LEVER].attained[0] == pytest.approx(expected, rel=1e-12)
    assert {d.name: d.values[0] for d in criteria[AREA_40].details}["angle of down-flooding"] == flooding


@pytest.mark.parametrize("flooding", [0.0, 10.0, 29.9])
def test_down_flooding_before_30_degrees_leaves_nothing_to_count_beyond_it(flooding):
    criteria = general(with_slopes(np.full(1, 50.0), flooding=flooding))
    assert criteria[AREA_30].attained[0] == pytest.approx(50.0 * area(flooding), rel=1e-12)
    assert criteria[AREA_40].attained[0] == pytest.approx(50.0 * area(flooding), rel=1e-12)
    for clause in (AREA_30_40, LEVER):
        assert criteria[clause].verdict[0] == FAIL
        assert criteria[clause].attained[0] == 0.0
        assert "floods" in criteria[clause].reason(0)


def test_unknown_down_flooding_is_never_a_pass():
    criteria = general(with_slopes(np.full(1, 50.0), flooding=np.nan))
    for clause in (AREA_30, AREA_40, AREA_30_40, LEVER, ANGLE):
        assert criteria[clause].verdict[0] == NOT_COMPUTABLE
        assert "openings" in criteria[clause].reason(0)
    assert criteria[GM].verdict[0] == PASS


def test_without_cross_curves_only_gm_is_judged():
    for evaluate in (general, alternative):
        criteria = evaluate(situation(None, np.array([0.5])))
        assert criteria.pop(GM).verdict[0] == PASS
        for criterion in criteria.values():
            assert criterion.verdict[0] == NOT_COMPUTABLE
            assert "cross curves" in criterion.reason(0)


@pytest.mark.parametrize(
    ("last", "missing"),
    [
        (29.0, {AREA_30, AREA_40, AREA_30_40, LEVER}),
        (30.0, {AREA_40, AREA_30_40}),
        (39.0, {AREA_40, AREA_30_40}),
        (40.0, set()),
    ],
)
def test_cross_curves_that_end_early(last, missing):
    """What lies beyond their last heel is not guessed; what they reach is judged."""
    criteria = general(with_slopes(np.full(1, 5.0), flooding=np.inf, last=last))
    for clause in (AREA_30, AREA_40, AREA_30_40, LEVER):
        assert criteria[clause].verdict[0] == (NOT_COMPUTABLE if clause in missing else PASS), clause


def test_cross_curves_that_end_early_but_after_down_flooding_are_long_enough():
    criteria = general(with_slopes(np.full(1, 5.0), flooding=34.0, last=35.0))
    assert {int(criterion.verdict[0]) for criterion in criteria.values()} == {PASS}


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True), (24.1, True)])
def test_the_code_is_for_ships_of_24_m_and_above(length, applies):
    ship = vessel(particulars=particulars(length_load_line=length))
    given = situation(cubic_lever(np.full(1, 5.0), np.array([MAXIMUM])), np.full(1, 5.0), ship=ship)
    for criterion in (*evaluate_general(given), *evaluate_alternative(given)):
        assert criterion.verdict[0] == (PASS if applies else NOT_APPLICABLE)


# --- the alternative to 2.2.3 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("maximum", "required"), [(15.0, 0.070), (20.0, 0.065), (25.0, 0.060), (30.0, 0.055), (45.0, 0.055)]
)
def test_the_area_the_alternative_asks_for(maximum, required):
    slopes = just_around(required / area(maximum, maximum))
    criterion = alternative(with_slopes(slopes, maximum))[ALT_AREA]
    np.testing.assert_allclose(criterion.required, required, rtol=1e-9)
    np.testing.assert_allclose(criterion.attained, just_around(required), rtol=1e-8)
    assert criterion.verdict.tolist() == AROUND


def test_the_alternative_angle_around_15_degrees():
    criterion = alternative(situation(cubic_lever(np.ones(3), just_around(15.0)), np.ones(3)))[ALT_ANGLE]
    assert criterion.verdict.tolist() == AROUND


def test_the_alternative_keeps_the_other_clauses():
    given = with_slopes(just_around(0.030 / (area(40.0) - area(30.0))))
    for clause in (AREA_30_40, LEVER, GM):
        np.testing.assert_array_equal(alternative(given)[clause].verdict, general(given)[clause].verdict)


def test_the_alternative_with_unknown_down_flooding_is_never_a_pass():
    criteria = alternative(with_slopes(np.full(1, 50.0), flooding=np.nan))
    verdicts = {id: int(criterion.verdict[0]) for id, criterion in criteria.items()}
    assert verdicts.pop(GM) == PASS
    assert set(verdicts.values()) == {NOT_COMPUTABLE}
