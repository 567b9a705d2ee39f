"""Derrett and Barrass, Ship Stability for Masters and Mates: areas, volumes and dynamical stability.

Citation: D. R. Derrett, revised by C. B. Barrass, Ship Stability for Masters and Mates, 5th edition; pages are
those of the page images at online.flipbuilder.com/ekxp/lzjw (page of the book in brackets). How obtained: read
there; exercise 23 and its answer read at scribd.com/document/564518832.

The hull calculation is given the parabolas that Simpson's first rule is exact for, and must return what the rule
returns; the righting lever is the service's own spline, and differs from the rules as they do from one another.
"""

import numpy as np
import pytest

from service.core.cross_curves import CrossCurves, CrossCurveTable, KnCurve
from service.core.hull.hydrostatics import upright
from service.core.righting_lever import RightingLever
from tests.published.booklet import loaded, ship
from tests.published.hulls import waterplane


def test_area_of_a_waterplane():
    """Page 86 (74): 120 m, seven half-ordinates 20 m apart: 1207 m2, TPC in salt water 12.37."""
    area = upright(waterplane([0, 3.7, 5.9, 7.6, 7.5, 4.6, 0.1], 20), 0.5).waterplane_area
    assert area == pytest.approx(1207, abs=0.5)
    assert area * 1.025 / 100 == pytest.approx(12.37, abs=0.005)


def test_fresh_water_allowance_from_volume_and_waterplane(assess):
    """Page 91 (79): sum of products 7918 at 1 m, waterplane 660 m2: 2639.3 m3, 2705.3 t, TPC 6.77, FWA 99.9 mm.

    The allowance is printed from the rounded TPC; the unrounded one gives 99.97 mm, hence a tenth of a
    millimetre."""
    mass, tpc = 7918 / 3 * 1.025, 660 / 97.56  # 97.56 = 100 / 1.025, as printed
    assert mass == pytest.approx(2705.3, abs=0.05)
    assert tpc == pytest.approx(6.77, abs=0.005)
    vessel = ship(mass, 4, 5, draft=4.0, tpc=tpc, load_lines={"summer_draft": 4.0}, rule_sets=["load-lines"])
    row = assess(loaded(vessel, density=1.000, load_line_mark="F"))["criteria"][0]
    assert 1000 * (row["limit"] - 4.0) == pytest.approx(99.9, abs=0.1)


def test_area_centroid_and_inertia_of_a_waterplane():
    """Page 274 (262): 18 m, half-ordinates from forward 3 m apart: 51.6 m2, LCF 0.77 m abaft amidships, and a
    second moment about it printed 1058 m4, from a lever rounded to 9.77 m before it was squared: the rule gives
    1060.4.

    The rule treats y x^2 as a parabola; the integral under the very parabolas of y is 0.8 % more, 1069.0."""
    row = upright(waterplane([0, 1.2, 1.5, 1.8, 1.8, 1.5, 1.2], 3), 0.5)
    assert row.waterplane_area == pytest.approx(51.6, abs=0.05)
    assert row.lcf - 9 == pytest.approx(0.77, abs=0.005)
    assert row.bml * row.volume == pytest.approx(1060.4, rel=0.01)


# GM is not in the question: the cubic through the first four levers rises at -0.29 m a radian, and she may have none
@pytest.mark.parametrize(("gm", "most"), [(-0.29, 1426), (0.0, 1430)])
def test_dynamical_stability_with_six_ordinates(gm, most):
    """Exercise 23 no. 3: 10 000 t, GZ 0, .02, .12, .21, .30, .33 m from 0 to 50 degrees.

    The published web answer, 1442 t m, is wrong: five intervals, and the products of two rules mixed. The first
    rule to 20 degrees with the second beyond gives 1412 t m, the other way round 1425, the trapezium rule 1422."""
    levers = np.array([0.02, 0.12, 0.21, 0.30, 0.33])
    table = CrossCurveTable(0.0, (9_000.0, 11_000.0), np.array([levers, levers]))
    curves = CrossCurves(1.025, (10.0, 20.0, 30.0, 40.0, 50.0), (table,))
    work = 10_000 * RightingLever(KnCurve(curves, levers, gm), 0.0, 0.0).area(0.0, 50.0)
    assert 1410 <= work <= most
    assert work != pytest.approx(1442, abs=10)
