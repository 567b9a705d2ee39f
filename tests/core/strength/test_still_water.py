"""Strength of a condition: a box barge, whose shear forces and bending moments are closed forms.

Weights and buoyancy of a box are even or linear, so every figure is a polynomial integrated by hand (sense of IACS
UR S11.2.1.1: hogging positive).
"""

import time
from dataclasses import replace

import numpy as np
import pytest

from service.core.assessment import Assessment, assess
from service.core.errors import CoreError, OutsideTable
from service.core.strength.limits import BENDING, SHEAR, Limits, Station
from service.core.strength.sections import Sections
from service.core.strength.still_water import StationForces, StillWater, StrengthError
from service.core.strength.weight_curve import Segment
from service.core.weight import Weight
from tests.core.barge import LENGTH, LIGHT, LIGHTSHIP, barge, loaded, sections, stations, strength
from tests.core.ship import SALT, line


def found(assessed: Assessment) -> StillWater:
    assert assessed.situation.strength is not None, assessed.situation.gaps
    return assessed.situation.strength


def station(strengths: StillWater, x: float) -> StationForces:
    return next(each for each in strengths.stations if each.station.x == x)


def gap(assessed: Assessment) -> CoreError:
    assert assessed.situation.strength is None
    return assessed.situation.gaps["strength"]


CARGO = Weight(1000.0, 50.0, 5.0, 0.0, "cargo", extent=(10.0, 90.0))


def hogging(**changes) -> Assessment:
    """820 t of ballast in both peaks, 1000 t of cargo in between."""
    ship = barge(**changes)
    tanks = (line(ship, "APT", mass=820.0), line(ship, "FPT", mass=820.0))
    return assess(ship, loaded(CARGO, tanks=tanks))


def test_full_peaks_hog_her():
    """Load over a peak 82 + 20.5 - 46.9 = 55.6 t/m, over the cargo 12.5 + 20.5 - 46.9 = - 13.9 t/m."""
    forces = found(hogging())
    assert station(forces, 10.0).cut == pytest.approx((556.0, 556.0, 2780.0), abs=1e-6)
    assert station(forces, 50.0).cut == pytest.approx((0.0, 0.0, 13900.0), abs=1e-6)
    assert station(forces, 50.0).sea.bending.percent == pytest.approx(100.0 * 13900.0 / 22000.0, rel=1e-9)
    assert station(forces, 10.0).sea.shear.percent == pytest.approx(69.5, rel=1e-9)
    assert station(forces, 90.0).sea.shear.percent == pytest.approx(100.0 * 556.0 / 900.0, rel=1e-9)
    assert station(forces, 10.0).harbour.shear.percent == pytest.approx(55.6, rel=1e-9)
    assert forces.curve.closure == pytest.approx((0.0, 0.0), abs=1e-6)
    assert forces.bending_greatest[:2] == pytest.approx((50.0, 13900.0), abs=1e-6)
    assert forces.shear_greatest[:2] == pytest.approx((10.0, 556.0), abs=1e-6)
    assert forces.shear_least[:2] == pytest.approx((90.0, -556.0), abs=1e-6)
    assert forces.which == "sea"
    assert forces.point_loads.mass == 0.0


def test_a_point_load_on_a_trimmed_box():
    """600 t at 70 m: buoyancy 26.5 t/m, sloping by 600 x 20 / (L^3 / 12) a metre; two values of shear at the load."""
    assessed = assess(barge(), loaded(Weight(600.0, 70.0, 12.0, 0.0, "cargo")))
    forces = found(assessed)
    slope = 600.0 * 20.0 * 12.0 / LENGTH**3

    def shear(x: float) -> float:
        return 20.5 * x - (26.5 - 50.0 * slope) * x - slope * x**2 / 2.0

    def bending(x: float) -> float:
        return (20.5 - 26.5 + 50.0 * slope) * x**2 / 2.0 - slope * x**3 / 6.0

    assert (shear(70.0), bending(70.0)) == pytest.approx((-268.8, -5292.0), rel=1e-12)
    assert station(forces, 70.0).cut == pytest.approx((-268.8, 331.2, -5292.0), abs=1e-6)
    assert station(forces, 70.0).cut.shear == pytest.approx(331.2, abs=1e-6)
    assert station(forces, 30.0).cut == pytest.approx((shear(30.0), shear(30.0), bending(30.0)), abs=1e-6)
    assert station(forces, 30.0).cut == pytest.approx((-28.8, -28.8, -108.0), abs=1e-6)
    assert forces.bending_least[:2] == pytest.approx((70.0, -5292.0), abs=1e-6)
    assert forces.shear_greatest.value == pytest.approx(331.2, abs=1e-6)
    assert forces.point_loads == pytest.approx((600.0, 42000.0))
    # weights rotate with her by the hydrostatic table only to the first order: the waterlines agree to a micrometre
    flotation = assessed.situation.flotation
    assert forces.waterline.draft_aft == pytest.approx(flotation.draft_aft, abs=1e-6)
    assert forces.waterline.draft_forward == pytest.approx(flotation.draft_forward, abs=1e-6)


def test_she_balances_on_her_own_sections_where_the_table_floats_her_a_little_off():
    """The moment method with the MCTC of another draft leaves a trim that is off; the load closes all the same."""
    x, drafts = np.linspace(0.0, 100.0, 41), np.linspace(0.0, 10.0, 41)
    flared = [[20.0 * d * (1.0 + 0.002 * d) for d in drafts] for _ in x]
    ship = barge(strength=strength(sections=Sections(x.tolist(), drafts.tolist(), flared)))
    forces = found(assess(ship, loaded(Weight(2600.0, 47.0, 5.0, extent=(20.0, 74.0)))))
    assert abs(forces.table_difference.percent) > 0.1
    assert forces.curve.closure == pytest.approx((0.0, 0.0), abs=1e-6)


def test_what_is_distributed_is_her_displacement():
    """Mass and moment along her length against the sums of the loading form, one in a million."""
    ship = barge()
    weights = [
        Weight(20.0 + 15.0 * (k % 7), 2.0 + 3.0 * k, 5.0, extent=(1.0 + 3.0 * k, 4.0 + 3.0 * k))
        for k in range(30)
    ]
    weights += [Weight(-120.0, 33.0, 4.0, 0.0, "removal"), Weight(300.0, 51.0, 3.0)]
    assessed = assess(
        ship, loaded(*weights, tanks=(line(ship, "APT", mass=200.0), line(ship, "FPT", fill=30.0)))
    )
    forces, load = found(assessed), assessed.displacement
    assert forces.distributed.mass == pytest.approx(load.mass, rel=1e-12)
    assert forces.distributed.moment == pytest.approx(load.mass * load.lcg, rel=1e-12)
    assert forces.curve.closure == pytest.approx((0.0, 0.0), abs=1e-6)


def test_in_port_the_limits_of_the_harbour_are_in_force():
    ship = barge()
    forces = found(assess(ship, loaded(CARGO, in_port=True)))
    assert forces.which == "harbour"
    extreme = forces.bending_least
    assert extreme.use.limit == 28000.0
    assert station(forces, 50.0).sea.bending.limit == 20000.0


def test_fresh_water_floats_her_deeper_and_moves_no_force():
    """The buoyancy of a box under an even load is the same in any water."""
    salt, fresh = (found(assess(barge(), loaded(CARGO, water_density=water))) for water in (SALT, 1.0))
    assert fresh.waterline.draft_aft == pytest.approx(SALT * salt.waterline.draft_aft, rel=1e-9)
    for one, other in zip(salt.stations, fresh.stations):
        assert one.cut == pytest.approx(other.cut, abs=1e-6)


def test_deflection_moves_no_force():
    """Value from memory: buoyancy is taken on a straight waterline."""
    one, other = (found(assess(barge(), loaded(CARGO, deflection=sag))) for sag in (0.0, 0.2))
    assert one.stations == other.stations


def test_of_local_extremes_the_one_that_uses_most_of_its_limit_is_found_between_stations():
    """1000 t over 40 to 60 m: greatest shear 400 t at its ends, where no station stands; -10000 t.m amidships."""
    limits = Limits.of(1000.0, 500.0, 22000.0, 12500.0)
    ship = barge(strength=strength(stations=(Station(10.0, limits, limits), Station(90.0, limits, limits))))
    forces = found(assess(ship, loaded(Weight(1000.0, 50.0, 5.0, extent=(40.0, 60.0)))))
    shear, bending = forces.between[SHEAR], forces.between[BENDING]
    assert (shear.x, shear.value, shear.use.percent) == pytest.approx((40.0, -400.0, 80.0), rel=1e-9)
    assert (bending.x, bending.value, bending.use.percent) == pytest.approx((50.0, -10000.0, 80.0), rel=1e-9)


# --- what her booklet does not give ------------------------------------------------------------------------------


@pytest.mark.parametrize("lacks", [{"sections": None}, {"segments": ()}, {"stations": ()}])
def test_without_a_table_there_is_no_strength_and_no_gap(lacks):
    assessed = assess(barge(strength=strength(**lacks)), loaded(CARGO))
    assert assessed.situation.strength is None
    assert assessed.situation.gaps == {} or "strength" not in assessed.situation.gaps


def test_without_any_data_of_strength_nothing_is_computed():
    assessed = assess(barge(strength=None), loaded(CARGO))
    assert assessed.situation.strength is None
    assert "strength" not in assessed.situation.gaps


def test_a_ship_off_her_hydrostatic_table_has_no_strength():
    assessed = assess(barge(), loaded(Weight(19000.0, 50.0, 5.0, extent=(0.0, 100.0))))
    assert gap(assessed) is assessed.situation.gaps["flotation"]


def test_a_draft_beyond_the_sections_is_a_gap():
    shallow = Sections((0.0, 100.0), (0.0, 1.4), ((0.0, 28.0), (0.0, 28.0)))
    assessed = assess(barge(strength=strength(sections=shallow)), loaded(CARGO))
    assert isinstance(gap(assessed), OutsideTable)
    assert gap(assessed).cause == "her draft at a section of the strength tables lies outside the table"


# 0.5 % of 2050 t is 10.25 t; 0.5 % of 100 m is 0.5 m
@pytest.mark.parametrize(("mass", "computed"), [(10.2, True), (10.25, True), (10.3, False), (-10.3, False)])
def test_segments_must_add_up_to_the_lightship(mass, computed):
    """Common practice, no source: never re-scaled, the residual is reported."""
    segments = (Segment.of_mass(0.0, LENGTH, LIGHT + mass),)
    assessed = assess(barge(strength=strength(segments=segments)), loaded(CARGO))
    if computed:
        difference = found(assessed).lightship_difference
        assert difference == pytest.approx((mass, mass / 20.5, 0.0), abs=1e-9)
        assert found(assessed).distributed.mass == pytest.approx(LIGHT + mass + 1000.0)
    else:
        assert isinstance(gap(assessed), StrengthError)
        assert gap(assessed).code == "lightship_distribution_differs"


@pytest.mark.parametrize(("away", "computed"), [(0.49, True), (0.51, False)])
def test_segments_must_have_the_centre_of_the_lightship(away, computed):
    ship = barge(lightship=LIGHTSHIP._replace(lcg=50.0 - away))
    assessed = assess(ship, loaded(CARGO))
    if computed:
        assert found(assessed).lightship_difference.centre == pytest.approx(away)
    else:
        assert gap(assessed).code == "lightship_distribution_differs"


@pytest.mark.parametrize(
    ("factor", "computed", "worth_a_word"),
    [(1.0049, True, False), (1.0051, True, True), (1.0199, True, True), (1.0201, False, True)],
)
def test_sections_must_be_those_of_the_hull_of_the_hydrostatic_table(factor, computed, worth_a_word):
    """2 %: tolerance of displacement, MSC.1/Circ.1461; the half percent is common practice, no source."""
    given = replace(sections(), factor=factor)
    assessed = assess(barge(strength=strength(sections=given)), loaded(CARGO))
    codes = [finding.code for finding in assessed.findings]
    assert ("strength_waterline_differs" in codes) is worth_a_word
    if computed:
        difference = found(assessed).table_difference
        assert difference.percent == pytest.approx(100.0 * (factor - 1.0), rel=1e-9)
        assert difference.mass == pytest.approx((factor - 1.0) * 3050.0, rel=1e-9)
    else:
        assert gap(assessed).code == "strength_waterline_differs"


def test_a_liquid_beyond_the_ends_of_its_tank_is_a_gap_that_names_the_tank():
    ship = barge()
    tanks = tuple(replace(tank, extent=(20.0, 30.0)) for tank in ship.tanks)
    ship = replace(ship, tanks=tanks)
    assessed = assess(ship, loaded(CARGO, tanks=(line(ship, "FPT", mass=100.0),)))
    assert "FPT" in str(gap(assessed))


# --- findings ----------------------------------------------------------------------------------------------------


def findings(assessed: Assessment) -> dict[str, tuple[str, tuple[str | int, ...]]]:
    return {f.code: (f.severity, f.place) for f in assessed.findings if "extent" in f.code}


def test_masses_at_a_point_are_named_as_a_caution_from_one_percent_of_her_displacement():
    """Common practice, no source. 3050 t: 30.5 t."""
    for mass, severity in ((30.5, "info"), (31.0, "caution")):
        rest = CARGO._replace(mass=1000.0 - mass)
        given = loaded(rest, Weight(mass, 50.0, 5.0), Weight(0.0, 60.0, 5.0))
        assert findings(assess(barge(), given)) == {"weight_without_extent": (severity, ("weights", 1))}


def test_a_tank_without_ends_is_named():
    ship = barge()
    ship = replace(ship, tanks=tuple(replace(tank, extent=None) for tank in ship.tanks))
    given = loaded(CARGO, tanks=(line(ship, "APT", mass=0.0), line(ship, "FPT", mass=100.0)))
    assert findings(assess(ship, given)) == {"tank_without_extent": ("caution", ("tanks", 1))}


def test_a_centre_far_to_one_end_is_named():
    given = loaded(Weight(300.0, 56.0, 5.0, extent=(40.0, 60.0)), CARGO)
    assert findings(assess(barge(), given)) == {"weight_extent_shortened": ("caution", ("weights", 0))}


def test_a_ship_without_strength_tables_hears_nothing_of_extents():
    assert findings(assess(barge(strength=None), loaded(Weight(600.0, 50.0, 5.0)))) == {}


def test_sixty_sections_and_forty_weights_take_a_few_milliseconds():
    """1.6 ms on the machine this was written on; the bound leaves room for a busy one."""
    x, drafts = np.linspace(0.0, LENGTH, 60), np.linspace(0.0, 10.0, 60)
    areas = [[float(20.0 * d) for d in drafts] for _ in x]
    booklet = strength(
        sections=Sections(x.tolist(), drafts.tolist(), areas),
        stations=tuple(Station(float(at), *stations()[0][1:3]) for at in np.linspace(2.0, 98.0, 40)),
        segments=tuple(Segment.of_mass(5.0 * k, 5.0 * k + 5.0, LIGHT / 20.0) for k in range(20)),
    )
    weights = [Weight(100.0, 3.0 + 2.4 * k, 5.0, extent=(1.0 + 2.4 * k, 5.0 + 2.4 * k)) for k in range(40)]
    given = loaded(*weights)

    def seconds(ship) -> float:
        times = []
        for _ in range(15):
            begin = time.perf_counter()
            assess(ship, given)
            times.append(time.perf_counter() - begin)
        return min(times)

    more = seconds(barge(strength=booklet)) - seconds(barge(strength=None))
    assert more < 0.015
