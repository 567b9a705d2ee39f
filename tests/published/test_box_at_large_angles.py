"""Boxes and the wall-sided formula at large angles, through the service; angles of loll.

Sources: the wall-sided formula GZ = sin(heel) (GM + BM tan^2(heel) / 2) and tan^2(loll) = -2 GM / BM, Derrett and
Barrass, Ship Stability for Masters and Mates, chapters on stability at large angles and on angle of loll (value
from memory); the box of page 142 there (65 x 12 x 8 m at 4 m, KG 4 m). Its levers beyond deck edge immersion were
computed once by clipping the section exactly; below that they are the closed form. The log is that of the chapter
on angle of loll.
"""

from math import atan, cos, degrees, radians, sin, sqrt, tan

import pytest

from service.core.hull.cross_curves import kn
from service.core.hull.hydrostatics import upright
from tests.published.booklet import loaded, ship
from tests.published.hulls import box

# heel: KN and GZ in m, exact for the section; deck edge under water from 33.69 degrees
BOX_LEVERS = {
    5: (0.436779, 0.088156),
    10: (0.876339, 0.181747),
    15: (1.321969, 0.286693),
    20: (1.778064, 0.409983),
    25: (2.250934, 0.560461),
    30: (2.75, 0.75),
    40: (3.704802, 1.133652),
    50: (4.220028, 1.15585),
    60: (4.445583, 0.981481),
    70: (4.460676, 0.701905),
    80: (4.303422, 0.364191),
    90: (4.0, 0.0),
}


def box_ship(hull, draft, kg, heels, density=1.025):
    """A box as a vessel document: her exact KN at every heel, her KM, her mass."""
    row = upright(hull, draft)
    levers = {radians(heel): kn(hull, row.volume, heel) for heel in heels}
    return ship(
        row.volume * density, kg, row.km, length=hull.length, draft=draft, density=density,
        kn=levers.__getitem__, heels=heels,
    )  # fmt: skip


@pytest.fixture(scope="module")
def box_answer(assess):
    heels = [float(heel) for heel in BOX_LEVERS]
    return assess(loaded(box_ship(box(65, 12, 8), 4.0, 4.0, heels)))


@pytest.mark.parametrize("heel", BOX_LEVERS)
def test_box_65_by_12_by_8(box_answer, heel):
    lever = box_answer["righting_lever"]
    found, (arm, gz) = lever["levers"][lever["heels"].index(heel)], BOX_LEVERS[heel]
    assert found == pytest.approx(gz, abs=1e-6)
    assert found + 4.0 * sin(radians(heel)) == pytest.approx(arm, abs=1e-6)


@pytest.mark.parametrize("heel", [5, 10, 15, 20, 25, 30])
def test_wall_sided_identity(box_answer, heel):
    """To rounding while the sides are wet: GM 1 m, BM 3 m."""
    lever = box_answer["righting_lever"]
    exact = sin(radians(heel)) * (1.0 + 1.5 * tan(radians(heel)) ** 2)
    assert lever["levers"][lever["heels"].index(heel)] == pytest.approx(exact, abs=1e-9)


def test_between_tabulated_heels_the_curve_is_nearly_the_formula(box_answer):
    """The spline, not the table: half-way between heels 5 degrees apart, where the sides are wet."""
    lever = box_answer["righting_lever"]
    for heel in (3, 7, 12, 18, 22):
        exact = sin(radians(heel)) * (1.0 + 1.5 * tan(radians(heel)) ** 2)
        assert lever["levers"][lever["heels"].index(heel)] == pytest.approx(exact, abs=2e-4)


@pytest.mark.parametrize("gm", [-0.02, -0.1, -0.3])
@pytest.mark.parametrize("bm", [2.0, 4.0])
def test_angle_of_loll_of_a_wall_sided_ship(assess, gm, bm):
    """tan(loll) = sqrt(-2 GM / BM)."""
    kg = 7.0
    vessel = ship(
        9000, kg, kg + gm, kn=lambda a: sin(a) * (kg + gm + 0.5 * bm * tan(a) ** 2), heels=[*range(2, 42, 2)]
    )
    answer = assess(loaded(vessel))
    exact = degrees(atan(sqrt(-2.0 * gm / bm)))
    assert answer["stability"]["angle_of_loll"] == pytest.approx(exact, abs=0.01)
    assert answer["stability"]["gm_corrected"] == pytest.approx(gm, abs=1e-9)


def test_log_lies_edge_up(assess):
    """A homogeneous square log of density 0.4 floats at exactly 45 degrees (classical for densities between 9/32
    and 23/32).

    The textbook's 43 degrees 10 minutes uses the wall-sided formula beyond the 38.66 degrees at which the bilge
    emerges."""
    heels = [2.5 * k for k in range(1, 24)]
    answer = assess(loaded(box_ship(box(6, 3, 3), 1.2, 1.5, heels, density=1.0)))
    assert answer["stability"]["gm_solid"] == pytest.approx(-0.275, abs=1e-9)
    assert answer["stability"]["angle_of_loll"] == pytest.approx(45.0, abs=0.01)
    assert degrees(atan(1.2 / 1.5)) == pytest.approx(38.66, abs=0.005)


@pytest.mark.parametrize("heel", [10.0, 20.0, 30.0])
def test_heeling_weight_brings_the_box_to_its_equilibrium(assess, heel):
    """TCG = GZ / cos(heel) holds her at that heel: list beyond 5 degrees comes from the curve."""
    heels = [float(h) for h in range(2, 62, 2)]
    vessel = box_ship(box(65, 12, 8), 4.0, 4.0, heels)
    gz = sin(radians(heel)) * (1.0 + 1.5 * tan(radians(heel)) ** 2)
    vessel["lightship"]["tcg"] = -gz / cos(radians(heel))
    answer = assess(loaded(vessel))
    assert answer["flotation"]["list"]["side"] == "starboard"
    assert answer["flotation"]["list"]["angle"] == pytest.approx(-heel, abs=1e-6)
