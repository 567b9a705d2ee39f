"""Shear force and bending moment: closed forms of a beam on even or linear buoyancy, and a numerical integration.

Sense of IACS UR S11.2.1.1: downward positive, integrated forward from aft; hogging positive.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.strength.load_curve import Cut, LoadCurve, quadratic_roots
from service.core.strength.weight_curve import Load, linear, spread


def curve(*loads: Load, x=(0.0, 100.0), buoyancy=(0.0, 0.0)) -> LoadCurve:
    return LoadCurve.of(loads, x, buoyancy)


def even(*loads: Load, length: float = 100.0) -> LoadCurve:
    """Carried by buoyancy spread evenly."""
    mass = sum(load.mass for load in loads)
    return LoadCurve.of(loads, (0.0, length), (mass / length, mass / length))


def test_a_mass_amidships_sags_by_an_eighth():
    """W / 2 on both sides, - W L / 8 amidships."""
    found = even(spread(900.0, 30.0, None), length=60.0)
    assert found.at(30.0) == pytest.approx((-450.0, 450.0, -6750.0), rel=1e-12)
    assert found.at(15.0) == pytest.approx((-225.0, -225.0, -900.0 / 60.0 * 15.0**2 / 2.0), rel=1e-12)
    assert found.closure == pytest.approx((0.0, 0.0), abs=1e-9)
    assert min(v.value for v in found.bending_extremes()) == pytest.approx(-6750.0, rel=1e-12)


def test_of_two_sides_of_a_point_load_the_larger_counts():
    assert Cut(-268.8, 331.2, 0.0).shear == 331.2
    assert Cut(-331.2, 268.8, 0.0).shear == -331.2


def test_a_mass_over_the_middle_part():
    """P (1/2 - l / 2 L) at its ends, - P (L - l) / 8 amidships."""
    found = even(spread(1000.0, 50.0, (40.0, 60.0)))
    assert found.at(40.0) == pytest.approx((-400.0, -400.0, -8000.0), rel=1e-12)
    assert found.at(60.0).shear == pytest.approx(400.0, rel=1e-12)
    assert found.at(50.0) == pytest.approx((0.0, 0.0, -1000.0 * 80.0 / 8.0), abs=1e-9)


def test_both_ends_full_hog():
    """P (1 - 2 l / L) at the inner bulkhead, P (L / 4 - l / 2) amidships."""
    found = even(spread(900.0, 6.0, (0.0, 12.0)), spread(900.0, 114.0, (108.0, 120.0)), length=120.0)
    assert found.at(12.0) == pytest.approx((720.0, 720.0, 4320.0), rel=1e-12)
    assert found.at(60.0) == pytest.approx((0.0, 0.0, 21600.0), abs=1e-9)
    assert max(found.shear_extremes(), key=lambda v: v.value) == pytest.approx((12.0, 720.0))
    assert max(found.bending_extremes(), key=lambda v: v.value) == pytest.approx((60.0, 21600.0))


def test_a_linear_weight_on_the_same_buoyancy_feels_nothing():
    found = curve(linear(0.0, 100.0, 60.0, 40.0), buoyancy=(60.0, 40.0))
    for x in (0.0, 13.0, 50.0, 99.0, 100.0):
        assert found.at(x) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_linear_against_even_is_a_cubic_with_its_extremes_as_roots():
    """w = 40 + 0.2 x against 50: load -10 + 0.2 x, shear - 10 x + 0.1 x^2 (least at 50: -250), nothing left at 100."""
    found = curve(linear(0.0, 100.0, 40.0, 60.0), buoyancy=(50.0, 50.0))
    assert found.at(30.0).shear == pytest.approx(-300.0 + 90.0, rel=1e-12)
    assert found.at(30.0).bending == pytest.approx(-5.0 * 900.0 + 0.1 / 3.0 * 27000.0, rel=1e-12)
    assert min(found.shear_extremes(), key=lambda v: v.value) == pytest.approx((50.0, -250.0), rel=1e-12)


def test_a_shear_force_may_change_its_sign_twice_between_two_knots():
    """A point of 9 t at 0, w - b = -10 + 2 x to x = 10: shear 9 - 10 x + x^2 with roots 1 and 9."""
    found = curve(spread(9.0, 0.0, None), linear(0.0, 10.0, 0.0, 20.0), x=(0.0, 10.0), buoyancy=(10.0, 10.0))
    inner = sorted(v for v in found.bending_extremes() if 0.0 < v.x < 10.0)
    assert [v.x for v in inner] == pytest.approx([1.0, 9.0], rel=1e-12)
    assert [v.value for v in inner] == pytest.approx(
        [9.0 * x - 5.0 * x**2 + x**3 / 3.0 for x in (1.0, 9.0)], rel=1e-12
    )


def test_weight_may_lie_beyond_her_sections_where_nothing_carries_it():
    found = curve(linear(-5.0, 0.0, 10.0, 10.0), x=(0.0, 100.0), buoyancy=(0.5, 0.5))
    assert found.at(0.0).shear == pytest.approx(50.0)
    assert found.at(0.0).bending == pytest.approx(125.0)
    assert found.at(-2.0).shear == pytest.approx(30.0)


def test_nothing_acts_beyond_her_ends():
    found = even(spread(900.0, 50.0, None))
    assert found.at(-1.0) == found.at(101.0) == Cut(0.0, 0.0, 0.0)


def test_a_step_in_the_sections_is_a_step_of_the_load():
    """20 t/m of buoyancy to 50 m, none beyond, under 10 t/m: shear - 500 at the step, - 12500 there and at the end."""
    found = LoadCurve.of([linear(0.0, 100.0, 10.0, 10.0)], (0.0, 50.0, 50.0, 100.0), (20.0, 20.0, 0.0, 0.0))
    assert found.at(50.0) == pytest.approx((-500.0, -500.0, -12500.0), rel=1e-12)
    assert found.closure == pytest.approx((0.0, -25000.0), abs=1e-9)
    assert min(found.shear_extremes(), key=lambda v: v.value) == pytest.approx((50.0, -500.0))


def test_a_station_reads_a_point_load_a_rounding_away():
    found = even(spread(900.0, 30.0 + 1e-9, None), length=60.0)
    assert found.at(30.0) == pytest.approx((-450.0, 450.0, -6750.0), rel=1e-6)


def test_a_short_heavy_load_leaves_no_trace_behind_it():
    found = even(spread(5000.0, 50.0, (49.998, 50.002)), linear(0.0, 100.0, 10.0, 10.0))
    assert found.closure == pytest.approx((0.0, 0.0), abs=1e-7)


LOADS = st.lists(
    st.tuples(st.floats(1.0, 99.0), st.floats(0.0, 30.0), st.floats(-50.0, 900.0)), min_size=1, max_size=8
)


@given(LOADS, st.lists(st.floats(0.0, 90.0), min_size=3, max_size=6))
def test_against_a_fine_numerical_integration(given_loads, buoyancy):
    """Trapezoidal rule on a fine grid. A load of half a metre that begins inside a step of 5 mm is off by half a
    percent of its mass, which a lever of 100 m carries into the moment."""
    loads = []
    for middle, half, mass in given_loads:
        aft, forward = max(middle - half, 0.0), min(middle + half, 100.0)
        loads.append(spread(mass, 0.5 * (aft + forward), (aft, forward) if forward - aft > 0.5 else None))
    x = np.linspace(0.0, 100.0, len(buoyancy))
    found = LoadCurve.of(loads, x.tolist(), buoyancy)
    grid = np.linspace(0.0, 100.0, 20001)
    load = -np.interp(grid, x, buoyancy)
    for each in loads:
        if each.aft < each.forward:
            load += np.where(
                (grid >= each.aft) & (grid <= each.forward), each.mass / (each.forward - each.aft), 0.0
            )
    step = grid[1]
    shear = np.concatenate(([0.0], np.cumsum(0.5 * step * (load[1:] + load[:-1]))))
    for each in loads:
        if each.aft == each.forward:
            shear += np.where(grid >= each.aft, each.mass, 0.0)
    moment = np.concatenate(([0.0], np.cumsum(0.5 * step * (shear[1:] + shear[:-1]))))
    size = 1.0 + sum(abs(each.mass) for each in loads) + 100.0 * max(buoyancy)
    for k in (2345, 10000, 17777):
        assert found.at(float(grid[k])).bending == pytest.approx(float(moment[k]), abs=0.6 * size)
    values = [v.value for v in found.bending_extremes()]
    assert max(values) >= float(moment.max()) - 0.6 * size
    assert min(values) <= float(moment.min()) + 0.6 * size
    shears = [v.value for v in found.shear_extremes()]
    assert max(shears) >= float(shear.max()) - 0.02 * size
    assert min(shears) <= float(shear.min()) + 0.02 * size


@given(LOADS)
def test_mirrored_fore_and_aft_the_moment_stays_and_the_shear_changes_its_sign(given_loads):
    """Invariant: a load seen from the other end."""
    ends = [(max(x - half, 0.0), min(x + half, 100.0), mass) for x, half, mass in given_loads]
    loads = [spread(mass, 0.5 * (a + f), (a, f) if f - a > 0.5 else None) for a, f, mass in ends]
    mass, moment = sum(each.mass for each in loads), sum(each.moment for each in loads)
    # linear buoyancy of that mass and moment
    tilt = 6.0 * (moment - 50.0 * mass) / 100.0**2
    found = LoadCurve.of(loads, (0.0, 100.0), (mass / 100.0 - tilt, mass / 100.0 + tilt))
    mirrored = [Load(100.0 - e.forward, 100.0 - e.aft, e.at_forward, e.at_aft, e.mass) for e in loads]
    other = LoadCurve.of(mirrored, (0.0, 100.0), (mass / 100.0 + tilt, mass / 100.0 - tilt))
    size = 1.0 + sum(abs(each.mass) for each in loads)
    assert found.closure == pytest.approx((0.0, 0.0), abs=1e-8 * size)
    for x in (12.34, 50.0, 77.7):
        here, there = found.at(x), other.at(100.0 - x)
        assert here.shear_aft == pytest.approx(-there.shear_forward, abs=1e-8 * size)
        assert here.bending == pytest.approx(there.bending, abs=1e-7 * size)


@pytest.mark.parametrize(
    ("a", "b", "c", "roots"),
    [
        (1.0, -3.0, 2.0, [1.0, 2.0]),
        (0.0, 2.0, -4.0, [2.0]),
        (0.0, 0.0, 5.0, []),
        (1.0, 0.0, 1.0, []),
        (1.0, 0.0, 0.0, [0.0]),
        (1e-12, 1.0, -1.0, [1.0, -1e12]),
    ],
)
def test_roots_of_a_parabola(a, b, c, roots):
    assert sorted(quadratic_roots(a, b, c)) == pytest.approx(sorted(roots), rel=1e-9)
