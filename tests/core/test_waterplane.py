"""The level of the waterplane as she heels, and where points of the ship meet it.

Truth: T' = d0 - d/dV [V integral of KN], for KN = KM a - 1.6 a^3 with a KM that is linear in the displacement, so that
V KN is a parabola and the level a closed form; crossings of that form by scipy's brentq; CubicSpline (not-a-knot) for
tables that are no closed form. Sections whose level is known from their geometry: tests/published.
"""

from math import cos, degrees, inf, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from service.core.cross_curves import CrossCurves, CrossCurveTable, km_from_levers
from service.core.hydrostatics import Hydrostatics
from service.core.waterplane import LevelTable, LevelTables, Points, Upright, Waterplane
from tests.core.ship import (
    CUBIC,
    DRAFTS,
    HEELS,
    KM,
    LENGTH,
    PER_METRE,
    SALT,
    afloat,
    cross_curves,
    hydrostatics,
    kn,
    level,
    row,
    vessel,
    waterplane,
    wet_at,
)

PER_TONNE = 0.0002
"""m of KM a tonne of displacement, of the ships of this module."""
PER_TRIM = 0.1
"""m of KM a metre of trim."""
TRIMS = (-2.0, 0.0, 2.0)
DENSE = tuple(PER_METRE * d for d in (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0))


def km_of(mass: float, trim: float = 0.0) -> float:
    return KM + PER_TONNE * (mass - 7500.0) + PER_TRIM * trim


def tables(trims=(0.0,), density: float = SALT) -> Hydrostatics:
    rows = [{**row(m / PER_METRE, t), "km": km_of(m, t)} for t in trims for m in DENSE]
    return Hydrostatics.from_rows(density, True, rows)


def curves(trims=(0.0,), density: float = SALT, scale: float = 1.0) -> CrossCurves:
    """KN = KM a - 1.6 a^3; `scale` is what a displacement of the hydrostatic tables weighs in their water."""

    def levers(mass: float, trim: float) -> list[float]:
        return [km_of(mass, trim) * radians(h) - CUBIC * radians(h) ** 3 for h in HEELS]

    made = [
        CrossCurveTable(t, [scale * m for m in DENSE], np.array([levers(m, t) for m in DENSE])) for t in trims
    ]
    return CrossCurves(density, HEELS, tuple(made))


def exact(mass: float, heel: float, trim: float = 0.0) -> float:
    """d/dV (V KM) is KM plus V times its slope."""
    a = radians(heel)
    slope = km_of(mass, trim) + PER_TONNE * mass
    return mass / PER_METRE - slope * a**2 / 2.0 + CUBIC * a**4 / 4.0


def floating(mass: float, trim: float = 0.0, trims=(0.0,)) -> Waterplane:
    upright = Upright(mass / PER_METRE, 49.0, trim, LENGTH)
    return Waterplane(LevelTables.of(curves(trims), tables(trims)), mass, upright)


# --- the level -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("heel", [0.0, 0.5, 3.0, 10.0, 17.3, 30.0, 44.4, 60.0])
@pytest.mark.parametrize("mass", [3000.0, 4100.0, 7500.0, 9999.0, 12000.0])
def test_the_level_of_a_ship_whose_km_grows_with_her_displacement(mass, heel):
    """At tabulated displacements, between them and at both ends."""
    assert floating(mass).level(heel) == pytest.approx(exact(mass, heel), abs=1e-11)


@pytest.mark.parametrize("draft", [2.0, 5.3, 6.0, 8.0])
@pytest.mark.parametrize("heel", [0.0, 5.0, 25.0, 60.0])
def test_the_level_where_kn_is_the_same_at_every_displacement(draft, heel):
    """V times the integral grows with V alone: the level falls by the area under KN itself."""
    found = waterplane(afloat(draft)).level(heel)
    assert found == pytest.approx(level(draft, heel), abs=1e-12)


@pytest.mark.parametrize("trim", [-2.0, -0.7, 0.0, 1.1, 2.0])
@pytest.mark.parametrize("mass", [4100.0, 7500.0])
def test_between_tabulated_trims_the_level_is_linear(trim, mass):
    for heel in (7.0, 33.0):
        found = floating(mass, trim, TRIMS).level(heel)
        assert found == pytest.approx(exact(mass, heel, trim), abs=1e-11)


@pytest.mark.parametrize("trim", [-9.0, 9.0])
def test_beyond_the_tabulated_trims_the_nearest_stands(trim):
    stands = -2.0 if trim < 0.0 else 2.0
    assert floating(7500.0, trim, TRIMS).level(20.0) == pytest.approx(exact(7500.0, 20.0, stands), abs=1e-11)


def test_the_level_is_that_of_the_upright_waterplane_when_she_is_upright():
    found = floating(6600.0, 1.5)
    assert found.level(0.0) == pytest.approx(4.4, rel=1e-15)
    assert found.draft_midship == pytest.approx(4.4 - 1.5 * 0.01, rel=1e-14)
    assert found.trim == 1.5


@pytest.mark.parametrize("mass", [3000.0, 7000.0, 12000.0])
def test_cross_curves_in_fresh_water_beside_tables_in_salt_water(mass):
    """The same volume: displacements of the curves are lighter by 1 / 1.025, and the level is the same."""
    fresh = curves(density=1.0, scale=1.0 / SALT)
    upright = Upright(mass / PER_METRE, 49.0, 0.0, LENGTH)
    found = Waterplane(LevelTables.of(fresh, tables()), mass / SALT, upright)
    for heel in (5.0, 40.0):
        assert found.level(heel) == pytest.approx(exact(mass, heel), abs=1e-10)


# --- the table of falls ----------------------------------------------------------------------------------------


def fall(cross: CrossCurves, masses, levers, kms, mass: float) -> np.ndarray:
    """d/dV of the not-a-knot spline (scipy) through V KN at every heel and through V KM, taken to the areas under it;
    a parabola through three displacements, a straight line through two."""
    products = np.array(masses)[:, None] * np.column_stack((levers, kms))
    if len(masses) == 2:
        slope = np.diff(products, axis=0)[0] / (masses[1] - masses[0])
    else:
        slope = CubicSpline(masses, products)(mass, 1)
    return cross.area_matrix @ slope


@pytest.mark.parametrize("count", [2, 3, 4, 7])
def test_the_fall_is_the_derivative_of_the_cubic_spline_through_the_products(count):
    """Any KN, at tabulated displacements and between them."""
    masses = [3000.0, 4000.0, 6500.0, 7000.0, 9500.0, 11000.0, 12000.0][:count]
    levers = np.array([[np.sin(7.0 * i + h) + 0.1 * h for h in HEELS] for i in range(count)])
    table = CrossCurveTable(0.0, masses, levers)
    cross = CrossCurves(SALT, HEELS, (table,))
    rows = [{**row(m / PER_METRE), "km": 7.0 + np.sin(m)} for m in masses]
    made = LevelTable.of(table, cross, Hydrostatics.from_rows(SALT, True, rows))
    for mass in (*masses, 3700.0, 0.5 * (masses[-2] + masses[-1])):
        truth = fall(cross, masses, levers, [r["km"] for r in rows], mass)
        np.testing.assert_allclose(made.at(mass), truth, rtol=1e-9, atol=1e-9)


def test_where_the_hydrostatic_table_does_not_reach_km_is_that_of_the_levers():
    """Rows to 6 m; cross curves to 8 m."""
    short = Hydrostatics.from_rows(SALT, True, [row(d) for d in (2.0, 4.0, 6.0)])
    cross = cross_curves()
    table = cross.tables[0]
    made = LevelTable.of(table, cross, short)
    from_levers = km_from_levers(HEELS, [kn(h) for h in HEELS])
    assert from_levers is not None
    assert from_levers != pytest.approx(KM, rel=1e-6)
    masses = list(table.displacements)
    kms = [KM if mass <= 9000.0 else from_levers for mass in masses]
    assert set(kms) == {KM, from_levers}
    for mass in masses:
        np.testing.assert_allclose(made.at(mass), fall(cross, masses, table.levers, kms, mass), rtol=1e-11)


def test_where_no_heel_is_small_km_is_the_first_levers_ratio():
    heels = (20.0, 40.0)
    table = CrossCurveTable(0.0, (1000.0, 14000.0), np.array([[2.4, 4.0], [2.6, 4.2]]))
    cross = CrossCurves(SALT, heels, (table,))
    made = LevelTable.of(table, cross, hydrostatics())
    kms = [lever / sin(radians(20.0)) for lever in (2.4, 2.6)]
    truth = fall(cross, table.displacements, table.levers, kms, 5000.0)
    np.testing.assert_allclose(made.at(5000.0), truth, rtol=1e-12)


def test_km_is_taken_at_the_trim_of_each_table():
    cross = curves(TRIMS)
    made = LevelTables.of(cross, tables(TRIMS))
    for i, trim in enumerate(TRIMS):
        table = cross.tables[i]
        kms = [km_of(mass, trim) for mass in table.displacements]
        truth = fall(cross, table.displacements, table.levers, kms, 6000.0)
        np.testing.assert_allclose(made.tables[i].at(6000.0), truth, rtol=1e-10, atol=1e-12)
        np.testing.assert_allclose(made.fall(6000.0, trim), truth, rtol=1e-10, atol=1e-12)
    assert vessel(cross_curves=None).levels is None


# --- points ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "rise"), [(49.0, 0.0), (0.0, 0.98), (100.0, -1.02)])
@pytest.mark.parametrize("heel", [0.0, 12.0, 40.0])
def test_the_height_of_a_point(x, rise, heel):
    """2 m by the stern: the water stands (49 - x) 2 / 100 higher."""
    a, found = radians(heel), floating(7500.0, 2.0)
    height = 9.0 * cos(a) - 3.0 * sin(a) - exact(7500.0, heel) - rise
    assert found.height(x, 3.0, 9.0, heel) == pytest.approx(height, abs=1e-11)


def first_meeting(mass: float, toward: float, z: float, rise: float) -> float:
    def above(heel: float) -> float:
        a = radians(heel)
        return z * cos(a) - toward * sin(a) - exact(mass, heel) - rise

    if above(0.0) <= 0.0:
        return 0.0
    wet = next((h for h in np.arange(0.0, 60.0, 0.01) if above(h + 0.01) <= 0.0), None)
    return inf if wet is None else brentq(above, wet, wet + 0.01, xtol=1e-13)


@pytest.mark.parametrize("mass", [4500.0, 9000.0])
@pytest.mark.parametrize("trim", [0.0, 1.5, -1.5])
@pytest.mark.parametrize("x", [5.0, 95.0])
@pytest.mark.parametrize(("toward", "z"), [(3.0, 7.4), (7.0, 9.0), (0.0, 6.5), (-4.0, 6.2), (8.0, 4.0)])
def test_where_a_point_first_meets_the_water(mass, trim, x, toward, z):
    expected = first_meeting(mass, toward, z, (49.0 - x) * trim / LENGTH)
    assert floating(mass, trim).immersion_angle(x, toward, z) == pytest.approx(expected, abs=1e-9)


def test_the_meeting_is_found_whatever_lies_between_the_degrees():
    """Every hundredth of a metre of height: the closed form's angle to rounding."""
    found = waterplane(afloat(6.0))
    for z in np.arange(6.01, 12.0, 0.13):
        assert found.immersion_angle(50.0, 5.0, z) == pytest.approx(wet_at(5.0, z), abs=1e-9)


@pytest.mark.parametrize("z", [5.9, 6.0])
def test_a_point_under_water_or_awash_upright_is_wet_at_once(z):
    for toward in (-5.0, 0.0, 5.0):
        assert waterplane(afloat(6.0)).immersion_angle(50.0, toward, z) == 0.0


def test_a_point_that_heeling_lifts_out_stays_dry():
    assert waterplane(afloat(6.0)).immersion_angle(50.0, -7.0, 12.0) == inf
    assert waterplane(afloat(6.0)).immersion_angle(50.0, 2.0, 40.0) == inf


def test_a_point_dry_at_the_last_heel_may_still_be_wet_before():
    """The level rises first and wets it, then falls below it again."""
    found = rising_again()
    assert found.height(50.0, 0.0, 6.3, 60.0) > 0.0
    angle = found.immersion_angle(50.0, 0.0, 6.3)
    assert 0.0 < angle < 60.0
    assert found.height(50.0, 0.0, 6.3, angle) == pytest.approx(0.0, abs=1e-12)
    assert found.height(50.0, 0.0, 6.3, angle - 0.1) > 0.0
    assert found.immersion_angle(50.0, 0.0, 6.3, 30.0) == angle, "wherever the search begins"


def rising_again() -> Waterplane:
    """KN = -2 a + 14 a^3: the level rises above her draft by a^2 - 3.5 a^4, then falls below it."""
    angles = np.radians(HEELS)
    levers = -2.0 * angles + 14.0 * angles**3
    made = CrossCurves(SALT, HEELS, (CrossCurveTable(0.0, (3000.0, 12000.0), np.array([levers, levers])),))
    rows = [{**row(d), "km": -2.0} for d in DRAFTS]
    falling = Hydrostatics.from_rows(SALT, True, rows)
    return Waterplane(LevelTables.of(made, falling), 9000.0, Upright(6.0, 50.0, 0.0, LENGTH))


@pytest.mark.parametrize("near", [0.0, 0.5, 20.0, 59.0, 75.0])
@pytest.mark.parametrize(("toward", "z"), [(5.0, 8.0), (7.0, 9.5), (2.0, 6.1)])
def test_a_search_that_begins_near_an_angle_finds_the_same(near, toward, z):
    """Also at an angle beyond the last heel."""
    found = waterplane(afloat(6.0))
    expected = found.immersion_angle(50.0, toward, z)
    assert found.immersion_angle(50.0, toward, z, near) == pytest.approx(expected, abs=1e-10)


def test_a_search_that_begins_near_an_angle_finds_nothing_where_there_is_nothing():
    assert waterplane(afloat(6.0)).immersion_angle(50.0, 2.0, 40.0, 30.0) == inf
    assert waterplane(afloat(6.0)).immersion_angle(50.0, 5.0, 5.0, 30.0) == 0.0


# --- many points at once ---------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 100.0), st.floats(-2.0, 8.0), st.floats(5.0, 30.0)), min_size=1, max_size=6
    ),
    st.floats(-2.0, 2.0),
    st.sampled_from([4500.0, 8000.0]),
)
def test_the_first_of_many_points_is_the_least_of_their_angles(given_points, trim, mass):
    found = floating(mass, trim)
    x, toward, z = np.array(given_points).T
    points = Points.of(curves(), x, toward, z)
    expected = min(found.immersion_angle(*point) for point in given_points)
    assert found.first_immersion_angle(points) == pytest.approx(expected, abs=0.01)


def test_of_points_that_meet_the_water_within_one_degree_the_first_counts():
    """8 m off the centreline, 8.98, 8.99 and 9 m up."""
    found, heights = waterplane(afloat(6.0)), [9.0, 8.98, 8.99]
    points = Points.of(cross_curves(), np.full(3, 50.0), np.full(3, 8.0), np.array(heights))
    angles = [wet_at(8.0, z) for z in heights]
    assert len({int(a) for a in angles}) == 1
    assert found.first_immersion_angle(points) == pytest.approx(min(angles), abs=1e-9)


def test_points_all_dry_or_one_under_water():
    found = waterplane(afloat(6.0))
    dry = Points.of(cross_curves(), np.array([50.0, 0.0]), np.array([2.0, 1.0]), np.array([40.0, 50.0]))
    assert found.first_immersion_angle(dry) == inf
    wet = Points.of(cross_curves(), np.array([50.0, 0.0]), np.array([2.0, 1.0]), np.array([40.0, 6.0]))
    assert found.first_immersion_angle(wet) == 0.0


def test_the_deep_end_of_points_abreast_meets_the_water_first():
    """2 m by the stern: 0.98 m more water at the aft perpendicular, 1.02 m less at the forward one."""
    found = waterplane(afloat(6.0, trim=2.0, lcf=49.0))
    points = Points.of(cross_curves(), np.array([0.0, 100.0]), np.full(2, 6.0), np.full(2, 9.0))
    assert found.first_immersion_angle(points) == pytest.approx(wet_at(6.0, 9.0, rise=0.98), abs=1e-9)


# --- another trim ----------------------------------------------------------------------------------------------


def test_at_another_trim_she_has_the_draft_of_that_trim():
    """The same displacement; rows for trims that print the draft amidships for 5 m at the LCF."""
    found = floating(7500.0, 1.5, TRIMS)
    even = found.at_trim(0.0)
    assert even.trim == 0.0
    assert even.draft_midship == pytest.approx(5.0, rel=1e-13)
    by_the_head = found.at_trim(-1.0)
    assert by_the_head.draft_midship == pytest.approx(5.0 + 0.01, rel=1e-13)
    for heel in (6.0, 31.0):
        assert even.level(heel) == pytest.approx(exact(7500.0, heel, 0.0), abs=1e-11)
        assert by_the_head.level(heel) == pytest.approx(exact(7500.0, heel, -1.0), abs=1e-11)


def test_the_draft_at_the_centre_of_flotation_is_that_of_the_other_trim():
    """Tables of a ship that floats 0.1 m deeper at her LCF for each metre by the stern."""
    rows = [{**row(m / PER_METRE, t), "draft": m / PER_METRE + 0.1 * t} for t in TRIMS for m in DENSE]
    her = LevelTables.of(curves(TRIMS), Hydrostatics.from_rows(SALT, False, rows))
    found = Waterplane(her, 7500.0, Upright(5.15, 49.0, 1.5, LENGTH))
    for trim in (0.0, -1.0, 2.0):
        other = found.at_trim(trim)
        assert other.level(0.0) == pytest.approx(5.0 + 0.1 * trim, rel=1e-13)
        assert other.draft_midship == pytest.approx(5.0 + 0.1 * trim - 0.01 * trim, rel=1e-13)


def test_another_trim_is_worked_out_once_and_the_same_one_not_at_all():
    found = floating(7500.0, 1.5, TRIMS)
    assert found.at_trim(1.5 + 0.9e-6) is found
    other = found.at_trim(1.5 + 1.1e-6)
    assert other is not found
    assert found.at_trim(1.5 + 1.1e-6) is other


def test_another_trim_in_lighter_water_is_looked_up_in_the_water_of_the_tables():
    fresh = curves(TRIMS, density=1.0, scale=1.0 / SALT)
    upright = Upright(5.0, 49.0, 1.5, LENGTH)
    found = Waterplane(LevelTables.of(fresh, tables(TRIMS)), 7500.0 / SALT, upright)
    assert found.at_trim(0.0).draft_midship == pytest.approx(5.0, rel=1e-13)


def test_heights_of_points_are_laid_out_at_every_degree():
    made = Points.of(cross_curves(), np.array([1.0, 2.0]), np.array([3.0, 4.0]), np.array([9.0, 8.0]))
    assert made.heights.shape == (2, 61)
    expected = [
        9.0 * cos(radians(30.0)) - 3.0 * sin(radians(30.0)),
        8.0 * cos(radians(30.0)) - 4.0 * sin(radians(30.0)),
    ]
    assert made.heights[:, 30] == pytest.approx(expected, rel=1e-14)
    assert degrees(radians(30.0)) == pytest.approx(cross_curves().grid[30])
