"""Which tank lines count at their filling, by basis and by rule, and so take part in her levers with moments by heel.

Sources: 2008 IS Code Part B 3.1.3 (consumables at their greatest, fixed fillings as they are), 3.1.9 (actual moments by
heel), 3.1.12 (small tanks left out); 46 CFR 170.285 (every tank at its greatest). Truth: the wall-sided formula
i sin (1 + tan^2 / 2) and the closed forms of ship.py.
"""

from math import radians, sin

import pytest

from service.core.assessment import Assessment
from service.core.free_surface import AS_FILLED, BASES, BY_RULE, MAXIMUM_WHEN_SLACK, MOMENT_AT_30_DEGREES
from service.core.tank import Tank
from service.core.vessel import Vessel
from tests.core.ship import HEELS, box_tank, kn, line, particulars, vessel
from tests.core.test_free_surface import BOX_INERTIA, BY_CODE, BY_REGULATION, answer
from tests.core.test_situation import moments, wall_sided

DENSITY = {"B": 1.0, "F": 0.9, "W": 1.0, "C": 0.8}
EVERY_BASIS = [(basis, rules) for basis in BASES for rules in ((), BY_CODE, BY_REGULATION)]


def with_moments(id: str, contents: str, **changes: object) -> Tank:
    """A box tank with its wall-sided moments from 10 to 100 percent."""
    return box_tank(id, contents, heeled=moments(10.0, 100.0), **changes)


def ship_of_four(**changes: object) -> Vessel:
    """Ballast and fuel oil with moments by heel, fresh water and cargo without."""
    tanks = (
        with_moments("B", "ballast"),
        with_moments("F", "fuel_oil"),
        box_tank("W", "fresh_water"),
        box_tank("C", "cargo_liquid"),
    )
    return vessel(*tanks, **changes)


def at_half(ship: Vessel, basis: str, rules: tuple[str, ...], fill: float = 50.0) -> Assessment:
    lines = [line(ship, tank.id, density=DENSITY[tank.id], fill=fill) for tank in ship.tanks]
    return answer(ship, *lines, basis=basis, rules=rules)


@pytest.mark.parametrize(
    ("basis", "rules", "expected"),
    [
        (AS_FILLED, (), [True, True, True, True]),
        (MAXIMUM_WHEN_SLACK, (), [False, False, False, False]),
        (BY_RULE, (), [True, False, False, True]),
        (BY_RULE, BY_CODE, [True, False, False, True]),
        (BY_RULE, BY_REGULATION, [False, False, False, False]),
    ],
)
def test_the_lines_that_count_at_their_filling(basis, rules, expected):
    judged = at_half(ship_of_four(), basis, rules).surfaces.judged
    assert (judged.basis, judged.at_filling) == (basis, expected)


def test_without_lines_nothing_counts_at_its_filling():
    for basis, rules in EVERY_BASIS:
        surfaces = answer(ship_of_four(), basis=basis, rules=rules).surfaces
        assert surfaces.judged.at_filling == []


def test_it_goes_with_the_one_that_judges_not_with_the_one_asked_for():
    """As filled is asked. Where oil that is full is assumed slack the rule counts more, and judges."""
    full = ship_of_four()
    asked = at_half(full, AS_FILLED, BY_CODE)
    assert (asked.surfaces.judged.basis, asked.surfaces.judged.at_filling) == (AS_FILLED, [True] * 4)
    lines = [line(full, name, density=DENSITY[name], fill=fill) for name, fill in (("B", 50.0), ("F", 99.0))]
    found = answer(full, *lines, basis=AS_FILLED, rules=BY_CODE)
    assert found.surfaces.judged is found.surfaces.by_rule, "fuel oil is assumed slack"
    assert found.surfaces.judged.at_filling == [True, False]
    assert found.actual_moments
    assert curve(found, 30.0) == pytest.approx(levers_of(found, {"B"}, 30.0), rel=1e-11)


def curve(result: Assessment, heel: float) -> float:
    assert result.heeled.curve is not None
    return result.heeled.curve.lever(heel)


def levers_of(result: Assessment, actual: set[str], heel: float) -> float:
    """GZ with these tanks by their wall-sided moments, every other through the fluid VCG."""
    load, mass = result.displacement, sum(DENSITY[id] for id in actual)
    vcg = load.vcg_corrected - mass * BOX_INERTIA / load.mass
    return kn(heel) - vcg * sin(radians(heel)) - mass * wall_sided(heel) / load.mass


@pytest.mark.parametrize(
    ("basis", "rules", "actual"),
    [
        (AS_FILLED, (), {"B", "F"}),
        (AS_FILLED, BY_CODE, {"B", "F"}),  # box tanks: the Code counts as much, and her basis stands
        (MAXIMUM_WHEN_SLACK, (), set()),
        (BY_RULE, (), {"B"}),
        (BY_RULE, BY_CODE, {"B"}),
        (BY_RULE, BY_REGULATION, set()),
    ],
)
def test_those_with_moments_by_heel_take_part_with_them(basis, rules, actual):
    result = at_half(ship_of_four(), basis, rules)
    assert result.actual_moments is bool(actual)
    for heel in HEELS:
        assert curve(result, heel) == pytest.approx(levers_of(result, actual, heel), rel=1e-11)


@pytest.mark.parametrize(("basis", "rules"), EVERY_BASIS)
def test_the_slope_upright_is_the_corrected_gm_whichever_take_part(basis, rules):
    result = at_half(ship_of_four(), basis, rules)
    slope = curve(result, 1e-4) / radians(1e-4)
    assert slope == pytest.approx(result.situation.gm_corrected, rel=1e-8)
    assert result.displacement.free_surface_moment == pytest.approx(3.7 * BOX_INERTIA)


def small(basis: str) -> Assessment:
    """Ballast in a box tank that the Code leaves out."""
    least = 1.01 * BOX_INERTIA * MOMENT_AT_30_DEGREES / 0.01
    ship = vessel(with_moments("B", "ballast"), particulars=particulars(minimum_service_displacement=least))
    return at_half(ship, basis, BY_CODE)


def test_a_small_tank_that_is_left_out_is_left_out_of_the_levers_too():
    result = small(BY_RULE)
    assert result.surfaces.judged.at_filling == [False]
    assert not result.actual_moments
    assert result.situation.gm_corrected == result.situation.gm_solid
    for heel in HEELS:
        expected = kn(heel) - result.displacement.vcg_solid * sin(radians(heel))
        assert curve(result, heel) == pytest.approx(expected, rel=1e-11)


def test_a_small_tank_that_counts_as_filled_takes_part():
    result = small(AS_FILLED)
    assert (result.surfaces.judged.basis, result.surfaces.judged.at_filling) == (AS_FILLED, [True])
    assert result.actual_moments
    assert curve(result, 30.0) == pytest.approx(levers_of(result, {"B"}, 30.0), rel=1e-11)


@pytest.mark.parametrize("fill", [96.0, 97.9])
def test_a_tank_that_the_code_counts_above_her_own_limit_counts_through_the_fluid_vcg(fill):
    """Slack by the Code below 98 %, full by her booklet: its moments by heel are those of a slack tank."""
    ship = vessel(with_moments("B", "ballast", normal_limit=95.0))
    result = at_half(ship, BY_RULE, BY_CODE, fill)
    assert result.surfaces.judged.moments == [pytest.approx(BOX_INERTIA)]
    assert not result.actual_moments
    assert curve(result, 30.0) == pytest.approx(levers_of(result, set(), 30.0), rel=1e-11)
