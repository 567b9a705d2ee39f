"""Areas and volumes worked by Simpson's rules in class papers.

Citation and how obtained (all read): University of Southampton, edshare.soton.ac.uk/4624, section of a clipper
ship of 1869; answers 1 to 4 of chapter 20 at scribd.com/document/547723768; transtutors.com question 286740. The
hull calculation is given the curves the rules are exact for.
"""

import numpy as np
import pytest

from service.core.hull.hydrostatics import upright
from tests.published.hulls import prism, simpson_curve, waterplane


def test_section_of_a_clipper():
    """Half-widths in feet from the deck down, 20.4 ft deep: half area 301.75, area 603.5 square feet."""
    half = [17.15, 17.4, 17.45, 17.3, 16.1, 10.65, 0.6]
    hull = prism(1.0, simpson_curve(half[::-1], 20.4 / 6), 20.4, levels=4000)
    area = upright(hull, 20.4).volume
    assert area == pytest.approx(603.5, abs=0.01)
    assert area / 2 == pytest.approx(301.75, abs=0.005)


# half-ordinates, spacing, area printed (whole), room
AREAS = [
    pytest.param([0, 1.125, 1.5, 1.125, 0], 2.5, 20, 1e-9, id="1, whole ordinates 0, 2.25, 3 .."),
    pytest.param([0.78, 2.89, 4.06, 2.34, 0.31], 12.5, 251.083, 0.0005, id="2"),
    pytest.param([7, 4.8, 2.95, 2, 1.65, 1.3, 0], 2, 64.8, 0.05, id="3"),
]


@pytest.mark.parametrize(("half", "spacing", "area", "room"), AREAS)
def test_chapter_20_areas(half, spacing, area, room):
    assert upright(waterplane(half, spacing), 0.5).waterplane_area == pytest.approx(area, abs=room)


def test_chapter_20_answer_4_six_ordinates():
    """First rule over two intervals and second rule over three: 74, 75.75, together 149.75 (exact)."""
    half = [10, 9.3, 8.3, 7.1, 5.7, 3.8]
    assert upright(waterplane(half[:3], 2), 0.5).waterplane_area == pytest.approx(74, abs=1e-9)
    assert upright(waterplane(half[2:], 2, cubic_end=True), 0.5).waterplane_area == pytest.approx(
        75.75, abs=1e-9
    )
    assert upright(waterplane(half, 2, cubic_end=True), 0.5).waterplane_area == pytest.approx(
        149.75, abs=1e-9
    )


def test_volume_from_half_sectional_areas():
    """Eleven half-areas 10 m apart: 11 748 m3. The centre of buoyancy is printed 0.607 m aft (and, contradicting
    itself, as 0.067 m), by a mean of ordinates instead of the rule asked for: Simpson's rule gives 0.705 m."""
    half_areas = [0, 19.4, 45.7, 73.6, 94.4, 104.1, 97.1, 76.4, 48.5, 23.5, 2.8]
    row = upright(waterplane(half_areas, 10), 1.0)
    assert row.volume == pytest.approx(11748, abs=0.5)
    assert abs(row.lcb - 50) == pytest.approx(0.705, abs=0.0005)


@pytest.mark.parametrize(("power", "area"), [(1, 1 / 2), (2, 1 / 3), (3, 1 / 4)])
def test_area_and_moment_of_a_power(power, area):
    """Closed form, as of the 5, 8, -1 and 3, 10, -1 rules: under x^2 from 0 to 1 a third, its moment a quarter."""
    hull = waterplane([0.0, 0.5**power, 1.0], 0.5) if power < 3 else None
    if hull is None:
        hull = waterplane([(k / 3) ** 3 for k in range(4)], 1 / 3, cubic_end=True)
    row = upright(hull, 0.5)
    assert row.waterplane_area / 2 == pytest.approx(area, abs=1e-12)
    if power == 2:
        assert row.waterplane_area / 2 * row.lcf == pytest.approx(1 / 4, abs=1e-12)
    assert np.isfinite(row.km)
