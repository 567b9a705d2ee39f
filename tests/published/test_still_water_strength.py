"""Shear forces and bending moments of box barges: a textbook example and closed forms of beam theory.

Sources: Tupper, Introduction to Naval Architecture, example 7.1 (still-water part; inputs as printed, its printed
answer was not seen: the closed form stands for it); a question of an internet physics forum on a box vessel of four
compartments (+-100 t read there); MSC/Circ.920 3.8.1, sample row of limits (frame 64), with constructed values.
Closed forms: a beam on even, linear or parabolic buoyancy. Sense of IACS UR S11.2.1.1: hogging positive, forces as
masses.
"""

from math import sqrt

import numpy as np
import pytest

from service.core.strength.limits import BENDING, SHEAR, Limits, used
from service.core.strength.load_curve import LoadCurve
from service.core.strength.sections import Sections, float_on_sections
from service.core.strength.weight_curve import Load, linear, spread, totals

GRAVITY = 9.81


def box(length: float, breadth: float, depth: float) -> Sections:
    full = breadth * depth
    return Sections((0.0, length), (0.0, depth), ((0.0, full), (0.0, full)))


def forces(hull: Sections, length: float, *loads: Load, water: float = 1.025) -> LoadCurve:
    """Afloat where hull and loads balance, from a guess of 2 m."""
    mass, moment = totals(loads)
    line = float_on_sections(hull, mass, moment, length, water, (2.0, 2.0))
    areas, _ = hull.at(hull.along(*line))
    return LoadCurve.of(loads, hull.x, (water * areas).tolist())


def test_tupper_7_1_a_box_with_a_concentrated_cargo():
    """140 m by 20 m by 13 m, 20 830 t evenly spread and 5000 t over the central 10 m: M = W g (L - l) / 8 = 797.06
    MN m sagging; shear at the ends of the cargo 5000 g (1/2 - 5/140) = 22.773 MN."""
    found = forces(
        box(140.0, 20.0, 13.0),
        140.0,
        linear(0.0, 140.0, 20830.0 / 140.0, 20830.0 / 140.0),
        spread(5000.0, 70.0, (65.0, 75.0)),
    )
    assert found.at(70.0).bending * GRAVITY / 1000.0 == pytest.approx(-797.0625, abs=1e-3)
    assert found.at(65.0).shear * GRAVITY / 1000.0 == pytest.approx(-22.773214, abs=1e-5)
    assert found.at(75.0).shear * GRAVITY / 1000.0 == pytest.approx(22.773214, abs=1e-5)


def test_box_vessel_of_four_compartments():
    """80 m, light 800 t, 200 t in the end compartments: 100 t at 20 m, - 100 t at 60 m, 2000 t m amidships
    (hogging)."""
    found = forces(
        box(80.0, 10.0, 8.0),
        80.0,
        linear(0.0, 80.0, 10.0, 10.0),
        spread(200.0, 10.0, (0.0, 20.0)),
        spread(200.0, 70.0, (60.0, 80.0)),
    )
    assert found.at(20.0).shear == pytest.approx(100.0, abs=1e-9)
    assert found.at(60.0).shear == pytest.approx(-100.0, abs=1e-9)
    assert found.at(40.0).bending == pytest.approx(2000.0, abs=1e-7)


def test_weightless_barge_with_a_concentrated_weight():
    """60 m, 900 t amidships: P / 2 = 450 t on both sides, P L / 8 = 6750 t m sagging."""
    found = forces(box(60.0, 10.0, 6.0), 60.0, spread(900.0, 30.0, None))
    assert found.at(30.0) == pytest.approx((-450.0, 450.0, -6750.0), abs=1e-7)


def parabola(length: float, mass: float, pieces: int) -> list[Load]:
    """6 W x (L - x) / L^3 in linear pieces between its own points."""
    x = np.linspace(0.0, length, pieces + 1)
    w = 6.0 * mass * x * (length - x) / length**3
    return [linear(*each) for each in zip(x[:-1].tolist(), x[1:].tolist(), w[:-1].tolist(), w[1:].tolist())]


def test_parabolic_weight_on_an_even_hull_sags():
    """120 m, 6000 t: sqrt(3) / 18 W = 577.35 t at 0.2113 L = 25.359 m, W L / 32 = 22 500 t m amidships, 12 656.25 t
    m and 562.5 t at the quarter. In 480 pieces, which leave 1 / 480^2 of the weight out."""
    found = forces(box(120.0, 16.0, 8.0), 120.0, *parabola(120.0, 6000.0, 480))
    least = min(found.shear_extremes(), key=lambda value: value.value)
    assert least.value == pytest.approx(-577.350269, rel=2e-5)
    assert least.value == pytest.approx(-sqrt(3.0) / 18.0 * 6000.0, rel=2e-5)
    assert least.x == pytest.approx(25.358984, abs=0.01)
    assert found.at(60.0).bending == pytest.approx(-22500.0, rel=2e-5)
    assert found.at(30.0).bending == pytest.approx(-12656.25, rel=2e-5)
    assert found.at(30.0).shear == pytest.approx(-562.5, rel=2e-5)


def test_even_weight_on_parabolic_sections_hogs():
    """The same the other way round, on section areas 6 V x (L - x) / L^3 a metre of draft."""
    length, mass = 120.0, 6000.0
    x = np.linspace(0.0, length, 481)
    areas = [[0.0, float(8.0 * 80.0 * at * (length - at) / length**2)] for at in x]
    found = forces(
        Sections(x.tolist(), (0.0, 8.0), areas), length, linear(0.0, length, mass / length, mass / length)
    )
    assert found.at(60.0).bending == pytest.approx(22500.0, rel=2e-5)
    greatest = max(found.shear_extremes(), key=lambda value: value.value)
    assert greatest == pytest.approx((25.358984, 577.350269), rel=5e-4)


def test_linear_weight_on_a_box_floats_trimmed_and_feels_nothing():
    """100 m by 16 m, 60 t/m aft to 40 t/m forward: drafts 3.658537 and 2.439024 m, no shear, no bending anywhere."""
    hull = box(100.0, 16.0, 8.0)
    load = linear(0.0, 100.0, 60.0, 40.0)
    line = float_on_sections(hull, load.mass, load.moment, 100.0, 1.025, (3.0, 3.0))
    assert (line.draft_aft, line.draft_forward) == pytest.approx((3.658537, 2.439024), abs=5e-7)
    found = forces(hull, 100.0, load)
    for at in np.linspace(0.0, 100.0, 11):
        assert found.at(float(at)) == pytest.approx((0.0, 0.0, 0.0), abs=5e-3)


def test_both_end_tanks_full():
    """120 m, 900 t over the last 12 m at both ends, 25 t/m: 720 t and 4320 t m at the bulkhead, 21 600 t m (211 896
    kN m) amidships, hogging."""
    found = forces(
        box(120.0, 18.0, 9.0),
        120.0,
        linear(0.0, 120.0, 25.0, 25.0),
        spread(900.0, 6.0, (0.0, 12.0)),
        spread(900.0, 114.0, (108.0, 120.0)),
    )
    assert found.at(12.0) == pytest.approx((720.0, 720.0, 4320.0), abs=1e-6)
    assert found.at(60.0).bending == pytest.approx(21600.0, abs=1e-6)
    assert found.at(60.0).bending * GRAVITY == pytest.approx(211896.0, abs=1e-4)


SEA = Limits.of(21050.0, 20750.0, 292850.0, 240400.0)
PORT = Limits.of(25350.0, 25350.0, 465350.0, 465350.0)


@pytest.mark.parametrize(
    ("limits", "quantity", "value", "percent"),
    [
        (SEA, SHEAR, -18000.0, 86.746988),
        (PORT, SHEAR, -18000.0, 71.005917),
        (SEA, BENDING, 200000.0, 68.294349),
        (SEA, BENDING, -200000.0, 83.194676),
        (SEA, BENDING, -245000.0, 101.913478),
        (PORT, BENDING, -245000.0, 52.648544),
    ],
)
def test_circ_920_limits_by_sign_at_sea_and_in_port(limits, quantity, value, percent):
    """kN and kN m as printed; the percent is the same in any unit."""
    assert used(limits.of_sign(quantity, value), value).percent == pytest.approx(percent, abs=1e-6)
