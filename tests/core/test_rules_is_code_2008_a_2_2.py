"""2008 IS Code Part A 2.2.1 to 2.2.4 and the alternative to 2.2.3, each clause around its limit and in each case of
down-flooding.

Limits: resolution MSC.267(85), Part A 2.2 (0.055, 0.090, 0.030 m.rad; 0.20 m; 25 degrees; 0.15 m); the same figures
in A.749(18) 3.1.2. The alternative (15 degrees, 0.055 + 0.001 (30 - angle) m.rad) is a value from memory. Curves are
cubics GZ = s (a - a^3 / 3 m^2), whose areas, maximum and levers are closed forms.
"""

from math import inf, radians

import pytest

from service.core.rules.is_code_2008_a_2_2 import ALTERNATIVE, GENERAL, evaluate_alternative, evaluate_general
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Heeled
from service.core.vessel import Vessel
from tests.core.ship import (
    cubic,
    cubic_area,
    cubic_lever,
    details,
    heeled,
    just_around,
    particulars,
    situation,
    verdicts,
    vessel,
)

AREA_30, AREA_40, AREA_30_40, LEVER, ANGLE, GM = (row.id for row in GENERAL)
ALT_AREA, ALT_ANGLE = (row.id for row in ALTERNATIVE[:2])
AROUND = [FAIL, PASS, PASS]
MAXIMUM = 35.0


def area(to: float, maximum: float = MAXIMUM) -> float:
    """Area under the unit cubic from upright, m.rad."""
    return cubic_area(radians(to), radians(maximum))


def lever(at: float, maximum: float = MAXIMUM) -> float:
    return cubic(radians(at), radians(maximum))


def on(slope: float, maximum: float = MAXIMUM, flooding: float | None = inf, last: float = 80.0) -> Heeled:
    """On the cubic of this slope and angle of maximum; openings of the other rule would flood at once."""
    return heeled(cubic_lever(slope, maximum, last), flooding, automatic=0.5)


def general(side: Heeled, gm: float = 1.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    return {criterion.row.id: criterion for criterion in evaluate_general(situation(gm, ship), side)}


def alternative(side: Heeled, gm: float = 1.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    return {criterion.row.id: criterion for criterion in evaluate_alternative(situation(gm, ship), side)}


def test_limits_are_those_of_the_code():
    assert [(row.comparison, row.limit, row.unit) for row in GENERAL] == [
        (">=", 0.055, "m·rad"),
        (">=", 0.090, "m·rad"),
        (">=", 0.030, "m·rad"),
        (">=", 0.20, "m"),
        (">=", 25.0, "degree"),
        (">=", 0.15, "m"),
    ]
    assert [(row.comparison, row.limit) for row in ALTERNATIVE] == [
        (">=", None),
        (">=", 15.0),
        (">=", 0.030),
        (">=", 0.20),
        (">=", 0.15),
    ]


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        (AREA_30, 0.055, area(30.0)),
        (AREA_40, 0.090, area(40.0)),
        (AREA_30_40, 0.030, area(40.0) - area(30.0)),
        (LEVER, 0.20, lever(MAXIMUM)),
    ],
)
def test_each_clause_just_below_at_and_just_above_its_limit(clause, limit, per_slope):
    criteria = [general(on(slope))[clause] for slope in just_around(limit / per_slope)]
    assert [c.attained for c in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND
    margins = [value - limit for value in just_around(limit)]
    assert [c.margin for c in criteria] == pytest.approx(margins, abs=1e-12)


@pytest.mark.parametrize("evaluate", [general, alternative])
def test_the_initial_gm_around_its_limit(evaluate):
    criteria = [evaluate(on(1.0), gm)[GM] for gm in just_around(0.15)]
    assert [c.attained for c in criteria] == list(just_around(0.15))
    assert verdicts(criteria) == AROUND


def test_the_gm_judged_is_the_corrected_one():
    given = situation(0.1, gm_solid=0.5)
    assert evaluate_general(given, on(1.0))[-1].attained == 0.1


def test_the_angle_of_maximum_around_25_degrees():
    criteria = [general(on(1.0, maximum))[ANGLE] for maximum in just_around(25.0)]
    assert [c.attained for c in criteria] == pytest.approx(just_around(25.0), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(("flooding", "verdict"), [(20.0, FAIL), (25.0, PASS), (35.0, PASS)])
def test_the_angle_of_maximum_ends_at_down_flooding(flooding, verdict):
    """The lever still rises to 45 degrees, but beyond the angle of down-flooding none is counted."""
    criterion = general(on(1.0, 45.0, flooding))[ANGLE]
    assert criterion.attained == pytest.approx(flooding)
    assert criterion.verdict == verdict


@pytest.mark.parametrize("maximum", [20.0, 29.0, 31.0, 50.0])
def test_the_greatest_lever_is_sought_at_30_degrees_or_more(maximum):
    """With the maximum before 30 degrees it is the lever at 30 itself."""
    expected = lever(30.0, maximum) if maximum < 30.0 else lever(maximum, maximum)
    assert general(on(1.0, maximum))[LEVER].attained == pytest.approx(expected, rel=1e-12)


def test_no_down_flooding_uses_40_degrees():
    criteria = general(on(1.0))
    assert criteria[AREA_40].attained == pytest.approx(area(40.0), rel=1e-12)
    assert set(verdicts(criteria.values())) == {PASS}
    assert details(criteria[AREA_40]) == {"flooding_angle": None}


@pytest.mark.parametrize("flooding", [40.0, 45.0])
def test_down_flooding_at_or_beyond_40_degrees_changes_no_area(flooding):
    with_it, without = general(on(1.0, flooding=flooding)), general(on(1.0))
    for clause in (AREA_30, AREA_40, AREA_30_40):
        assert with_it[clause].attained == pytest.approx(without[clause].attained, rel=1e-14)
        assert with_it[clause].verdict == PASS


@pytest.mark.parametrize("flooding", [30.5, 35.0, 39.9])
def test_down_flooding_between_30_and_40_degrees_ends_the_areas(flooding):
    criteria = general(on(1.0, flooding=flooding))
    assert criteria[AREA_30].attained == pytest.approx(area(30.0), rel=1e-12)
    assert criteria[AREA_40].attained == pytest.approx(area(flooding), rel=1e-12)
    assert criteria[AREA_30_40].attained == pytest.approx(area(flooding) - area(30.0), rel=1e-10)
    assert criteria[LEVER].attained == pytest.approx(lever(min(flooding, MAXIMUM)), rel=1e-12)
    for clause in (AREA_30, AREA_40, AREA_30_40, LEVER, ANGLE):
        assert details(criteria[clause]) == {"flooding_angle": flooding}


@pytest.mark.parametrize("flooding", [0.0, 10.0, 29.9, 30.0])
def test_down_flooding_before_30_degrees_leaves_nothing_to_count_beyond_it(flooding):
    criteria = general(on(50.0, flooding=flooding))
    assert criteria[AREA_30].attained == pytest.approx(50.0 * area(flooding), rel=1e-12)
    assert criteria[AREA_40].attained == pytest.approx(50.0 * area(flooding), rel=1e-12)
    for clause in (AREA_30_40, LEVER):
        assert criteria[clause].verdict == FAIL
        assert criteria[clause].attained == 0.0
        assert "floods" in criteria[clause].reason


def test_unknown_down_flooding_is_never_a_pass():
    criteria = general(on(50.0, flooding=None))
    for clause in (AREA_30, AREA_40, AREA_30_40, LEVER, ANGLE):
        assert criteria[clause].verdict == NOT_COMPUTABLE
        assert "openings" in criteria[clause].reason
    assert criteria[GM].verdict == PASS


@pytest.mark.parametrize("evaluate", [general, alternative])
def test_without_cross_curves_only_gm_is_judged(evaluate):
    criteria = evaluate(heeled(None), 0.5)
    assert len(criteria) == (6 if evaluate is general else 5)
    assert criteria.pop(GM).verdict == PASS
    for criterion in criteria.values():
        assert criterion.verdict == NOT_COMPUTABLE
        assert "cross curves" in criterion.reason


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
    criteria = general(on(5.0, last=last))
    for clause in (AREA_30, AREA_40, AREA_30_40, LEVER):
        assert criteria[clause].verdict == (NOT_COMPUTABLE if clause in missing else PASS), clause


def test_cross_curves_that_end_early_but_after_down_flooding_are_long_enough():
    assert set(verdicts(general(on(5.0, flooding=34.0, last=35.0)).values())) == {PASS}


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True), (24.1, True)])
@pytest.mark.parametrize("evaluate", [general, alternative])
def test_the_code_is_for_ships_of_24_m_and_above(length, applies, evaluate):
    ship = vessel(particulars=particulars(length_load_line=length))
    criteria = evaluate(on(5.0), 5.0, ship)
    assert set(verdicts(criteria.values())) == {PASS if applies else NOT_APPLICABLE}
    small = evaluate(heeled(None), 5.0, ship)[GM]
    assert small.verdict == (PASS if applies else NOT_APPLICABLE)


# --- the alternative to 2.2.3 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("maximum", "required"),
    [(12.0, 0.070), (15.0, 0.070), (20.0, 0.065), (25.0, 0.060), (30.0, 0.055), (45.0, 0.055)],
)
def test_the_area_the_alternative_asks_for(maximum, required):
    slopes = just_around(required / area(maximum, maximum))
    criteria = [alternative(on(slope, maximum))[ALT_AREA] for slope in slopes]
    assert [c.required for c in criteria] == pytest.approx([required] * 3, rel=1e-9)
    assert [c.attained for c in criteria] == pytest.approx(just_around(required), rel=1e-8)
    assert verdicts(criteria) == AROUND
    shown = details(criteria[0])
    assert shown == {"flooding_angle": None, "angle_of_maximum": pytest.approx(maximum, rel=1e-9)}


def test_the_alternative_area_ends_at_down_flooding():
    """Rising to 45 degrees, flooding at 20: the greatest usable lever is there, and 0.065 m.rad is asked."""
    criterion = alternative(on(1.0, 45.0, 20.0))[ALT_AREA]
    assert criterion.attained == pytest.approx(area(20.0, 45.0), rel=1e-12)
    assert criterion.required == pytest.approx(0.065, rel=1e-12)


def test_the_alternative_angle_around_15_degrees():
    criteria = [alternative(on(1.0, maximum))[ALT_ANGLE] for maximum in just_around(15.0)]
    assert verdicts(criteria) == AROUND
    assert [c.attained for c in criteria] == pytest.approx(just_around(15.0), rel=1e-9)


@pytest.mark.parametrize("slope", just_around(0.030 / (area(40.0) - area(30.0))))
def test_the_alternative_keeps_the_other_clauses(slope):
    one, other = alternative(on(slope)), general(on(slope))
    assert list(one) == [ALT_AREA, ALT_ANGLE, AREA_30_40, LEVER, GM]
    for clause in (AREA_30_40, LEVER, GM):
        assert one[clause] == other[clause]


def test_the_alternative_with_unknown_down_flooding_is_never_a_pass():
    criteria = alternative(on(50.0, flooding=None))
    assert criteria.pop(GM).verdict == PASS
    assert set(verdicts(criteria.values())) == {NOT_COMPUTABLE}
