"""Her curve in one condition: which tables it is made from, and tanks with moments by heel.

Truth: closed forms of ship.py; box tank moments by the wall-sided formula i sin (1 + tan^2 / 2); 2008 IS Code Part B
3.1.9 for tanks that take part with their actual moments, 3.1.9.2 for those that count through the fluid VCG.
"""

from dataclasses import replace
from math import inf, radians, sin, tan

import pytest

from service.core.assessment import Assessment, assess
from service.core.cross_curves import CrossCurves
from service.core.errors import OutsideTable, UnusableBooklet
from service.core.free_surface import AS_FILLED, BY_RULE, MAXIMUM_WHEN_SLACK
from service.core.opening import FirstImmersion
from service.core.righting_lever import RightingLever
from service.core.situation import Heeled
from service.core.tank import HeeledMoments, PrintedColumn
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    HEELS,
    PER_METRE,
    SALT,
    afloat,
    box_tank,
    condition,
    cross_curve_table,
    cubic_lever,
    hydrostatics,
    kn,
    lcb,
    line,
    opening,
    printed_tank,
    rectangular_tank,
    situation,
    vessel,
    waterplane,
    wedge_tank,
    wet_at,
)

# --- ends of the cross curves ----------------------------------------------------------------------------------


def without_levers(result: Assessment) -> OutsideTable:
    """Why she has no righting levers: drafts, GM and a small list are answered all the same."""
    found, heeled = result.situation, result.heeled
    assert (heeled.curve, heeled.levers, heeled.levers_automatic) == (None, None, None)
    assert set(found.gaps) == {"righting_lever"}
    assert found.flotation is not None
    assert found.gm_corrected is not None
    assert found.rest.list_angle is not None
    assert (found.waterplane, result.actual_moments) == (None, False)
    gap = found.gaps["righting_lever"]
    assert isinstance(gap, OutsideTable)
    return gap


@pytest.mark.parametrize(
    ("mass", "served"),
    [(5999.0, False), (6000.0, True), (6001.0, True), (8999.0, True), (9000.0, True), (9001.0, False)],
)
def test_the_ends_of_the_displacements(mass, served):
    curves = CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(4.0, 6.0)),))
    given = condition(weights=[Weight(mass - 3600.0, 50.0, 5.0)])
    if served:
        assert assess(vessel(cross_curves=curves), given).heeled.curve is not None
        return
    error = without_levers(assess(vessel(cross_curves=curves), given))
    assert "cross curves" in error.quantity
    assert (error.value, error.low, error.high, error.dimension) == (mass, 6000.0, 9000.0, "mass")


@pytest.mark.parametrize(("trim", "served"), [(0.999, True), (1.0, True), (1.001, False), (-1.001, False)])
def test_the_ends_of_the_trims(trim, served):
    tables = tuple(cross_curve_table(t, more=0.01 * t) for t in (-1.0, 1.0))
    ship = vessel(cross_curves=CrossCurves(SALT, HEELS, tables), hydrostatics=hydrostatics())
    mass = 7600.0
    lcg = lcb(mass / PER_METRE) - 1.5 * trim
    cargo = Weight(4000.0, (mass * lcg - 3600.0 * 47.0) / 4000.0, 5.6)
    if served:
        result = assess(ship, condition(weights=[cargo]))
        expected = kn(30.0) + 0.01 * trim - result.displacement.vcg_corrected * 0.5
        assert curve_of(result.heeled).lever(30.0) == pytest.approx(expected, rel=1e-10)
        return
    error = without_levers(assess(ship, condition(weights=[cargo])))
    assert ("trim" in error.quantity, error.low, error.high) == (True, -1.0, 1.0)
    assert (error.value, error.dimension) == (pytest.approx(trim), "length")


def curve_of(heeled: Heeled) -> RightingLever:
    assert heeled.curve is not None
    return heeled.curve


@pytest.mark.parametrize("water", [1.0, 1.025])
@pytest.mark.parametrize("density", [1.0, SALT])
def test_cross_curves_are_entered_with_the_displacement_in_their_own_water(water, density):
    """The same volume has the same KN, whatever it weighs: 7500 m3 in water of the table's density."""
    curves = CrossCurves(density, HEELS, (cross_curve_table(),))
    given = condition(weights=[Weight(7500.0 * water - 3600.0, 50.0, 5.5)], water_density=water)
    result = assess(vessel(cross_curves=curves), given)
    expected = kn(30.0) - 0.5 * result.displacement.vcg_corrected
    assert curve_of(result.heeled).lever(30.0) == pytest.approx(expected, rel=1e-10)


# --- tanks with moments by heel --------------------------------------------------------------------------------

TANK_HEELS = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0)
BOX_INERTIA = 10.0 * 8.0**3 / 12.0


def wall_sided(heel: float) -> float:
    """Shift moment (m4) of a surface that meets neither deck nor bottom: i sin (1 + tan^2 / 2). Closed form."""
    a = radians(heel)
    return BOX_INERTIA * sin(a) * (1.0 + 0.5 * tan(a) ** 2)


def moments(*fillings: float, more: float = 0.0) -> HeeledMoments:
    """The wall-sided moments at each filling, `more` of them for every percent."""
    rows = [[wall_sided(heel) * (1.0 + more * filling) for heel in TANK_HEELS] for filling in fillings]
    return HeeledMoments(fillings, TANK_HEELS, rows)


def heeled_ship(*fillings: float) -> Vessel:
    return vessel(box_tank("B", heeled=moments(*(fillings or (25.0, 75.0)))))


def test_a_box_tank_takes_part_with_its_wall_sided_moment():
    """At the heels both tables print: GZ = KN - VCG sin - density i sin (1 + tan^2 / 2) / displacement."""
    ship = heeled_ship()
    result = assess(ship, condition(line(ship, "B", density=1.025, fill=50.0)))
    load = result.displacement
    assert result.actual_moments
    for heel in HEELS:
        shift = 1.025 * wall_sided(heel) / load.mass
        expected = kn(heel) - load.vcg_solid * sin(radians(heel)) - shift
        assert curve_of(result.heeled).lever(heel) == pytest.approx(expected, rel=1e-11)


def test_between_fillings_the_moments_are_linear():
    """Moments that grow by a thousandth a percent of filling: at 40 %, 1.04 times."""
    ship = vessel(box_tank("B", heeled=moments(20.0, 50.0, 90.0, more=0.001)))
    for filling in (20.0, 40.0, 50.0, 70.0, 90.0):
        shift = ship.heeled[0].at(filling)[HEELS.index(30.0)]
        assert shift == pytest.approx(wall_sided(30.0) * (1.0 + 0.001 * filling), rel=1e-12)


def test_a_single_filling_serves_that_filling_only():
    ship = heeled_ship(50.0)
    assert [ship.heeled[0].covers(fill) for fill in (49.9, 50.0, 50.1)] == [False, True, False]
    assert ship.heeled[0].at(50.0)[HEELS.index(40.0)] == pytest.approx(wall_sided(40.0), rel=1e-12)


def test_moments_between_the_heels_they_are_printed_at():
    """Cross curves at 12 and 33 degrees too: the spline whose slope upright is the inertia is close to the closed
    form there (1e-3)."""
    heels = (12.0, 33.0, 60.0)
    curves = CrossCurves(SALT, heels, (cross_curve_table(heels=heels),))
    ship = vessel(box_tank("B", heeled=moments(25.0, 75.0)), cross_curves=curves)
    for heel, shift in zip(heels, ship.heeled[0].at(50.0), strict=True):
        assert shift == pytest.approx(wall_sided(heel), rel=1e-3)


@pytest.mark.parametrize(("sounding", "inertia"), [(2.0, 32.0), (4.0, 256.0)])
def test_near_upright_the_moments_rise_with_the_inertia_at_their_own_filling(sounding, inertia):
    """The wedge has 4 s^3 at its rows; cross curves at 2 degrees, where the table has nothing yet (1e-3)."""
    filling = 100.0 * 6.0 * sounding**2 / 150.0
    rows = [[inertia / BOX_INERTIA * wall_sided(heel) for heel in TANK_HEELS]]
    curves = CrossCurves(SALT, (2.0, 60.0), (cross_curve_table(heels=(2.0, 60.0)),))
    tank = wedge_tank("W", heeled=HeeledMoments((filling,), TANK_HEELS, rows))
    shift = vessel(tank, cross_curves=curves).heeled[0].at(filling)[0]
    assert shift == pytest.approx(inertia / BOX_INERTIA * wall_sided(2.0), rel=1e-3)


def test_two_tanks_take_part_each_with_its_own():
    """Beside them a third one counts through the fluid VCG."""
    given = moments(25.0, 75.0)
    ship = vessel(box_tank("A", heeled=given), box_tank("B", heeled=given), box_tank("C"))
    densities = {"A": 1.025, "B": 0.9, "C": 1.0}
    lines = [line(ship, name, density=density, fill=50.0) for name, density in densities.items()]
    result = assess(ship, condition(*lines))
    load = result.displacement
    shift = (1.025 + 0.9) * wall_sided(30.0) / load.mass
    vcg = load.vcg_solid + BOX_INERTIA / load.mass
    expected = kn(30.0) - 0.5 * vcg - shift
    assert curve_of(result.heeled).lever(30.0) == pytest.approx(expected, rel=1e-11)


def test_with_actual_moments_the_slope_upright_is_still_the_corrected_gm():
    ship = heeled_ship()
    result = assess(ship, condition(line(ship, "B", fill=50.0)))
    slope = curve_of(result.heeled).lever(1e-4) / radians(1e-4)
    assert slope == pytest.approx(result.situation.gm_corrected, rel=1e-9)
    assert result.situation.gm_corrected < result.situation.gm_solid


@pytest.mark.parametrize(
    ("basis", "contents", "fill"),
    [
        (MAXIMUM_WHEN_SLACK, "ballast", 50.0),
        (BY_RULE, "fuel_oil", 50.0),
        (AS_FILLED, "ballast", 99.0),
        (AS_FILLED, "ballast", 98.0),
    ],
)
def test_actual_moments_are_for_slack_tanks_that_count_at_their_filling(basis, contents, fill):
    """Otherwise through the fluid VCG (2008 IS Code B/3.1.9.2); by rule consumables count at their greatest."""
    ship = vessel(box_tank("B", heeled=moments(10.0, 100.0)))
    result = assess(ship, condition(line(ship, "B", fill=fill, contents=contents), basis=basis))
    load = result.displacement
    assert not result.actual_moments
    expected = kn(30.0) - load.vcg_corrected * 0.5
    assert curve_of(result.heeled).lever(30.0) == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize(
    ("fill", "takes_part"), [(24.9, False), (25.0, True), (75.0, True), (75.1, False), (97.0, False)]
)
def test_actual_moments_only_where_the_table_covers_the_filling(fill, takes_part):
    """Beyond its fillings the tank counts through the fluid VCG (2008 IS Code B/3.1.9.2)."""
    ship = heeled_ship()
    result = assess(ship, condition(line(ship, "B", density=1.025, fill=fill)))
    load = result.displacement
    assert result.actual_moments is takes_part
    upright = kn(30.0)
    shift = 1.025 * wall_sided(30.0) / load.mass
    fluid, actual = upright - load.vcg_corrected * 0.5, upright - load.vcg_solid * 0.5 - shift
    assert abs(fluid - actual) > 1e-3
    expected = actual if takes_part else fluid
    assert curve_of(result.heeled).lever(30.0) == pytest.approx(expected, rel=1e-11)


def test_one_condition_leaves_nothing_behind_for_the_next():
    """The ship that took part with moments by heel counts through the fluid VCG in the next condition."""
    ship = heeled_ship()
    given = [condition(line(ship, "B", fill=fill)) for fill in (20.0, 50.0, 20.0, 50.0)]
    results = [assess(ship, each) for each in given]
    assert [result.actual_moments for result in results] == [False, True, False, True]
    for first, again in ((0, 2), (1, 3)):
        assert curve_of(results[first].heeled).levers == curve_of(results[again].heeled).levers


def test_heeled_moments_that_end_before_the_cross_curves_are_refused():
    heeled = HeeledMoments((50.0,), (10.0, 20.0, 30.0), ((1.0, 1.0, 1.0),))
    with pytest.raises(UnusableBooklet) as caught:
        vessel(box_tank("FIRST"), box_tank("B", heeled=heeled))
    assert caught.value.place == ("tanks", 1, "heeled_moments", "heels")


def test_heeled_moments_without_an_inertia_upright_are_refused():
    """Printed slack moments have no inertia by filling: the curve could not rise with the corrected GM."""
    column = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)
    with pytest.raises(UnusableBooklet) as caught:
        vessel(printed_tank("P", column, heeled=moments(50.0)))
    assert caught.value.place == ("tanks", 0, "heeled_moments")


def test_heeled_moments_of_a_rectangular_surface_rise_with_its_inertia():
    ship = vessel(rectangular_tank("R", heeled=moments(50.0)))
    result = assess(ship, condition(line(ship, "R", fill=50.0)))
    slope = curve_of(result.heeled).lever(1e-4) / radians(1e-4)
    assert slope == pytest.approx(result.situation.gm_corrected, rel=1e-5)


# --- both sides ------------------------------------------------------------------------------------------------


def test_the_arm_of_her_weight_is_her_tcg_less_her_tcb():
    given = situation(flotation=afloat(tcb=0.02))
    moved = given.displacement._replace(tcg=-0.05)
    assert situation(flotation=afloat(tcb=0.02), displacement=moved).heeling_arm == pytest.approx(-0.07)


def test_heeling_to_a_side_she_meets_the_openings_of_that_side():
    ship = vessel(
        openings=(
            opening("P", 5.0, 11.0),
            opening("S", -5.0, 10.5),
            opening("W", 5.0, 10.0, "weathertight"),
        )
    )
    curve, flotation = cubic_lever(1.0, 40.0), afloat()
    port, starboard = (
        Heeled.to(side, ship, flotation, waterplane(flotation), curve, True) for side in (1.0, -1.0)
    )
    assert (port.side, starboard.side) == (1.0, -1.0)
    names = [
        [first.opening.id for first in (heeled.flooding, heeled.flooding_automatic) if first.opening]
        for heeled in (port, starboard)
    ]
    assert names == [["P", "W"], ["S", "S"]]
    for heeled in (port, starboard):
        assert heeled.levers is not None
        assert heeled.levers_automatic is not None
        assert heeled.levers.flooding == heeled.flooding.angle
        assert heeled.levers_automatic.flooding == heeled.flooding_automatic.angle
    assert port.flooding.angle == pytest.approx(wet_at(5.0, 11.0), abs=1e-9)
    assert starboard.flooding.angle == pytest.approx(wet_at(5.0, 10.5), abs=1e-9)
    bare = Heeled.to(1.0, vessel(openings=None), flotation, waterplane(flotation), None, True)
    assert (bare.curve, bare.levers, bare.levers_automatic) == (None, None, None)
    assert bare.flooding == bare.flooding_automatic == FirstImmersion(None)


@pytest.mark.parametrize("arm", [1.5, -1.5])
def test_the_other_side_has_the_same_weight_on_its_high_side(arm):
    """GZ upright is minus TCG on the side she leans to and plus TCG on the other."""
    vents = (
        opening("LOW", -8.0 if arm > 0.0 else 8.0, 8.0),
        opening("HIGH", 8.0 if arm > 0.0 else -8.0, 14.0),
    )
    given = condition(weights=[CARGO_WEIGHT, Weight(50.0, 50.0, 6.0, arm)], rule_sets=("is-code-2008-a-2.2",))
    result = assess(vessel(openings=vents), given)
    assert result.heeled.side == (-1.0 if arm > 0.0 else 1.0), "the side of the low opening"
    assert curve_of(result.heeled).levers[0] == pytest.approx(50.0 * 1.5 / 7650.0, rel=1e-12)


def test_openings_that_close_automatically_are_looked_for_only_where_a_rule_asks():
    """Without 46 CFR the angle of those that do not close by themselves is not worked out: unknown, never "none"."""
    ship, flotation = vessel(openings=(opening("W", 5.0, 10.0, "weathertight"),)), afloat()
    curve = cubic_lever(1.0, 40.0)
    without = Heeled.to(1.0, ship, flotation, waterplane(flotation), curve, False)
    assert without.flooding == FirstImmersion(inf)
    assert without.flooding_automatic == FirstImmersion(None)
    assert without.levers_automatic.usable is None


def test_without_drafts_no_opening_has_an_angle():
    ship = vessel(openings=(opening("P", 5.0),))
    found = Heeled.to(1.0, ship, None, None, None, True)
    assert found.flooding == found.flooding_automatic == FirstImmersion(None)


def test_without_drafts_the_arm_is_that_of_her_weight_alone():
    moved = situation().displacement._replace(tcg=-0.05)
    assert situation(displacement=moved).heeling_arm == pytest.approx(-0.05)
    given = replace(situation(displacement=moved), flotation=None)
    assert given.heeling_arm == pytest.approx(-0.05)
    assert given.half_freeboard is None
