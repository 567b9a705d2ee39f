"""Timber on deck: absorbed water as its own weight, cross curves with its buoyancy, the criteria of A 3.3.

Sources: 2008 IS Code Part A 3.3 (0.08 m.rad, 0.25 m read in secondary texts; GM 0.10 m at all times and the weather
criterion without the deck edge: values from memory). Percent of absorption: whoever enters it.
"""

from dataclasses import replace
from math import radians
from typing import Any

import pytest

from service.core.assessment import assess
from service.core.cross_curves import CrossCurves
from service.core.rules import is_code_2008_a_3_3 as rules
from service.core.rules.is_code_2008_a_2_3 import STEADY_WIND
from service.core.rules.is_code_2008_a_2_3 import evaluate as weather
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.timber import TimberLine, absorbed, alternative_applies, floats_on_timber
from service.core.weight import Weight
from tests.core.barge import LIGHT, PER_METRE, barge, km, loaded, strength
from tests.core.ship import (
    condition,
    cross_curve_table,
    cross_curves,
    cubic_area,
    cubic_lever,
    heeled,
    just_around,
    lever_through,
    situation,
    verdicts,
    vessel,
)

STOWED = TimberLine(1, 10.0, True, True, True)
FIRST = (STOWED._replace(weight=0),)
CARGO = Weight(6000.0, 50.0, 4.5, 0.0, "cargo")
TIMBER = Weight(900.0, 55.0, 12.0, 0.5, "deck_cargo", extent=(20.0, 90.0))


# --- absorbed water ----------------------------------------------------------------------------------------------


def test_absorbed_water_is_a_weight_of_its_own_at_the_centre_of_the_timber():
    """10 % of 900 t; 9040 t, KG 5.661504 m (by hand)."""
    assessed = assess(barge(strength=None), loaded(CARGO, TIMBER, timber=(STOWED,)))
    (water,) = assessed.added
    assert water.weight[:4] == pytest.approx((90.0, 55.0, 12.0, 0.5))
    assert (water.of, water.reason, water.name, water.weight.category) == (1, "absorption", None, "other")
    mass = LIGHT + 6000.0 + 900.0 + 90.0
    assert assessed.displacement.mass == pytest.approx(9040.0) == mass
    assert assessed.displacement.vcg_solid == pytest.approx(5.661504425, abs=1e-9)
    assert assessed.situation.gm_corrected == pytest.approx(km(mass / PER_METRE) - 5.661504425, abs=1e-4)
    assert assessed.condition.weights == [CARGO, TIMBER], "the mate's lines stay as they are"


def test_it_keeps_the_extent_of_its_timber_for_strength():
    spread = CARGO._replace(extent=(0.0, 100.0))
    assessed = assess(barge(strength=strength()), loaded(spread, TIMBER, timber=(STOWED,)))
    forces = assessed.situation.strength
    assert forces is not None
    assert assessed.added[0].weight.extent == (20.0, 90.0)
    assert forces.point_loads.mass == 0.0
    assert forces.distributed.mass == pytest.approx(9040.0)


@pytest.mark.parametrize("percent", [None, 0.0])
def test_without_a_percent_nothing_is_absorbed(percent):
    assert absorbed((replace_line(absorption=percent),), [CARGO, TIMBER]) == []


def replace_line(**changes: Any) -> TimberLine:
    return STOWED._replace(**changes)


def test_a_constructed_arrival():
    """8000 t at 7.2 m, 1200 t of timber at 11 m with 10 %, 300 t of bunkers at 0.8 m used, 400 t m of free surface,
    KM 8 m: 7820 t, KG 7.503836, GM 0.445013 m (constructed)."""
    (water,) = absorbed((TimberLine(0, 10.0, True, True, True),), [Weight(1200.0, 50.0, 11.0)])
    mass = 8000.0 + water.weight.mass - 300.0
    kg = (8000.0 * 7.2 + water.weight.mass * water.weight.vcg - 300.0 * 0.8) / mass
    assert (mass, kg) == pytest.approx((7820.0, 7.503836), abs=5e-7)
    assert 8.0 - kg - 400.0 / mass == pytest.approx(0.445013, abs=5e-7)


# --- cross curves with its buoyancy ------------------------------------------------------------------------------


def with_timber_curves():
    heels = cross_curves().heels
    more = CrossCurves(cross_curves().density, heels, (cross_curve_table(more=0.3),))
    return vessel(cross_curves_timber=more, rule_sets=("is-code-2008-a-2.2",))


@pytest.mark.parametrize(
    ("buoyant", "more"), [((True,), 0.3), ((False,), 0.0), ((True, False), 0.0), ((), 0.0)]
)
def test_curves_with_the_buoyancy_of_timber_hold_where_all_of_it_is_buoyant(buoyant, more):
    lines = tuple(TimberLine(0, 0.0, True, True, True, each) for each in buoyant)
    assert floats_on_timber(lines) is bool(more)
    ship = with_timber_curves()
    plain = assess(ship, condition()).heeled.curve
    found = assess(ship, condition(timber=lines)).heeled.curve
    assert plain is not None
    assert found is not None
    assert found.lever(30.0) - plain.lever(30.0) == pytest.approx(more, abs=1e-9)


def test_a_ship_without_such_curves_keeps_her_own():
    lines = (TimberLine(0, 0.0, True, True, True, True),)
    assert assess(vessel(), condition(timber=lines)).heeled.curve is not None


# --- timber that was discharged ---------------------------------------------------------------------------------


def test_timber_of_no_mass_is_not_there():
    """Discharged, its line stays with a mass of 0: neither its buoyancy nor its criteria are left (A 3.3 is for ships
    that carry timber deck cargoes)."""
    gone = TIMBER._replace(mass=0.0)
    lines = (TimberLine(1, 0.0, True, True, True, True),)
    ship = replace(with_timber_curves(), rule_sets=("is-code-2008-a-3.3",))
    plain, found = (assess(ship, condition(weights=[CARGO, gone], timber=given)) for given in ((), lines))
    assert plain.heeled.curve is not None
    assert found.heeled.curve is not None
    assert found.heeled.curve.lever(30.0) == plain.heeled.curve.lever(30.0)
    rows = {criterion.row: criterion.verdict for _, criterion in found.criteria}
    assert [rows[row] for row in rules.TIMBER] == [NOT_APPLICABLE] * 3
    assert NOT_APPLICABLE not in {rows[row] for row in rules.ORDINARY}


@pytest.mark.parametrize(("mass", "limit"), [(900.0, 16.0), (0.0, 8.0)])
def test_80_percent_of_the_deck_edge_binds_again_without_it(mass, limit):
    """Deck edge at 10 degrees. Value from memory."""
    weights = [CARGO, TIMBER._replace(mass=mass)]
    given = condition(timber=(STOWED,), weights=weights, rule_sets=("is-code-2008-a-3.3",))
    row = weather(situation(given=given, deck_edge=10.0), heeled(cubic_lever(1.0, 45.0)))[0]
    assert row.required == limit


# --- the criteria ------------------------------------------------------------------------------------------------


def judged(curve, gm: float = 1.0, timber=FIRST, **changes) -> dict[str, Criterion]:
    ship = situation(gm=gm, given=condition(timber=timber, weights=[TIMBER, TIMBER]))
    found = rules.evaluate(ship, heeled(curve, **changes))
    assert [row.row for row in found] == [*rules.TIMBER, *rules.ORDINARY]
    return {row.row.id: row for row in found}


def area_curve(area: float):
    """A cubic whose area to 40 degrees is this."""
    return cubic_lever(area / cubic_area(radians(40.0), radians(45.0)), 45.0)


def test_area_of_0_08_to_40_degrees():
    found = [judged(area_curve(area))[rules.AREA.id] for area in just_around(0.08)]
    assert verdicts(found) == [FAIL, PASS, PASS]
    assert found[1].attained == pytest.approx(0.08)


def test_the_area_ends_where_she_floods():
    m = radians(45.0)
    slope = 0.08 / cubic_area(radians(35.0), m)
    found = [judged(cubic_lever(slope, 45.0), flooding=angle)[rules.AREA.id] for angle in just_around(35.0)]
    assert verdicts(found) == [FAIL, PASS, PASS]


def test_lever_of_a_quarter_of_a_metre_at_any_angle():
    """Its greatest at 20 degrees would be too early for 2.2."""
    top = 2.0 / 3.0 * radians(20.0)
    found = [judged(cubic_lever(lever / top, 20.0))[rules.LEVER.id] for lever in just_around(0.25)]
    assert verdicts(found) == [FAIL, PASS, PASS]
    assert found[1].attained == pytest.approx(0.25, rel=1e-6)


def test_a_lever_that_still_rises_where_the_curves_end_is_open_until_it_is_reached():
    rising = lever_through((10.0, 20.0), (0.05, 0.10), 0.28)
    assert judged(rising)[rules.LEVER.id].verdict == NOT_COMPUTABLE
    enough = lever_through((10.0, 20.0), (0.15, 0.30), 0.85)
    assert judged(enough)[rules.LEVER.id].verdict == PASS
    assert judged(enough)[rules.AREA.id].verdict == NOT_COMPUTABLE


def test_gm_of_a_tenth_of_a_metre():
    found = [judged(area_curve(0.1), gm=gm)[rules.GM.id] for gm in just_around(0.10)]
    assert verdicts(found) == [FAIL, PASS, PASS]


def test_without_the_percent_of_absorption_gm_is_not_computable():
    found = judged(area_curve(0.1), timber=(STOWED._replace(weight=0, absorption=None),))
    assert found[rules.GM.id].verdict == NOT_COMPUTABLE
    assert "absorbs" in found[rules.GM.id].reason
    assert found[rules.AREA.id].verdict == PASS


@pytest.mark.parametrize(
    "timber",
    [
        (),
        (STOWED._replace(secured=False),),
        (STOWED._replace(full_breadth=False),),
        (STOWED, STOWED._replace(between_superstructures=False)),
    ],
)
def test_otherwise_the_six_of_2_2_are_judged_here(timber):
    assert not alternative_applies(timber)
    found = judged(area_curve(0.085), timber=timber)
    assert verdicts(found[row.id] for row in rules.TIMBER) == [NOT_APPLICABLE] * 3
    assert found["is-code-2008-a-3.3-area-to-40"].verdict == FAIL, "0.085 is enough for timber only"
    assert found["is-code-2008-a-3.3-initial-gm"].verdict == PASS
    assert {found[row.id].because for row in rules.TIMBER} == {"condition"}


def test_with_timber_the_six_are_silent_and_the_whole_is_judged():
    found = judged(area_curve(0.085))
    assert verdicts(found[row.id] for row in rules.ORDINARY) == [NOT_APPLICABLE] * 6
    assert {found[row.id].because for row in rules.ORDINARY} == {"condition"}


def test_without_curve_or_openings_nothing_passes():
    none = judged(None)
    assert verdicts(none[row.id] for row in rules.TIMBER) == [NOT_COMPUTABLE, NOT_COMPUTABLE, PASS]
    unknown = judged(area_curve(0.1), flooding=None)
    assert verdicts(unknown[row.id] for row in rules.TIMBER) == [NOT_COMPUTABLE, NOT_COMPUTABLE, PASS]


def test_it_binds_where_it_is_listed_and_stands_instead_of_2_2():
    ship = vessel(rule_sets=("is-code-2008-a-3.3",))
    assessed = assess(ship, condition())
    names = {rule_set.name for rule_set, _ in assessed.criteria}
    assert "is-code-2008-a-3.3" in names
    assert rules.RULE_SET.excludes == ("is-code-2008-a-2.2",)
    assert assessed.verdict in ("pass", "fail")


# --- the weather criterion ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("timber", "listed", "limit"),
    [((STOWED,), True, 16.0), ((STOWED,), False, 8.0), ((), True, 8.0)],
)
def test_80_percent_of_the_deck_edge_does_not_bind_with_timber(timber, listed, limit):
    """Deck edge at 10 degrees. Value from memory."""
    sets = ("is-code-2008-a-3.3",) if listed else ()
    given = condition(timber=timber, weights=[CARGO, TIMBER], rule_sets=sets)
    ship = situation(given=given, deck_edge=10.0)
    row = weather(ship, heeled(cubic_lever(1.0, 45.0)))[0]
    assert row.row is STEADY_WIND
    assert row.required == limit


def test_a_stiff_ship_under_timber_is_said():
    """3 % of 16 m: 0.48 m."""
    for gm_at, said in ((0.6, True), (0.4, False)):
        low = Weight(4000.0, 53.0, 7.4 - gm_at + (7.0 - 7.4 + gm_at) * -0.9, 0.0, "cargo")
        assessed = assess(vessel(), condition(weights=[low], timber=(TimberLine(0, 0.0, True, True, True),)))
        assert assessed.situation.gm_corrected == pytest.approx(gm_at, abs=1e-9)
        assert ("gm_over_3_percent_beam" in {f.code for f in assessed.findings}) is said
    assert "gm_over_3_percent_beam" not in {f.code for f in assess(vessel(), condition()).findings}
