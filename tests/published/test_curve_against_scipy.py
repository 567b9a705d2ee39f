"""The righting lever curve against independent numerics: scipy's splines, quadrature and root finder.

Sources: definitions of area, equilibrium, range and greatest lever; analytic levers of our own making,
GZ = GM sin(k heel) / k, whose areas and zeros are closed forms; scipy 1.x (CubicSpline, quad, brentq) on the very
table that was posted.
"""

from math import cos, degrees, radians, sin

import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize_scalar

from tests.published.booklet import loaded, ship, weight

GM, K, KG = 1.0, 2.25, 8.0
HEELS = [float(heel) for heel in range(5, 95, 5)]


def analytic(heel):
    """GZ in m at a heel in radians: vanishes at 180 / 2.25 = 80 degrees."""
    return GM / K * sin(K * heel)


def levers_of(gz):
    return lambda heel: gz(heel) + KG * sin(heel)


@pytest.fixture(scope="module")
def curve(assess):
    answer = assess(loaded(ship(9000, KG, KG + GM, kn=levers_of(analytic), heels=HEELS, openings=[])))
    return answer["righting_lever"]


@pytest.mark.parametrize(("row", "low", "high"), [(0, 0, 30), (1, 0, 40), (2, 30, 40)])
def test_areas_of_an_analytic_lever(curve, row, low, high):
    """Closed form: GM / k^2 (cos(k low) - cos(k high)) in metre-radians."""
    exact = GM / K**2 * (cos(K * radians(low)) - cos(K * radians(high)))
    assert curve["areas"][row] == {"start": low, "end": high, "area": pytest.approx(exact, abs=2e-6)}


def test_greatest_lever_and_range_of_an_analytic_lever(curve):
    """Greatest at 40 degrees with GM / k, gone at 80 degrees."""
    assert curve["angle_of_maximum"] == pytest.approx(40.0, abs=0.01)
    assert curve["maximum"] == pytest.approx(GM / K, abs=1e-5)
    assert curve["vanishing_angle"] == pytest.approx(80.0, abs=0.01)


# a lever with an inflexion, a humped one, one of few heels: GM, heels, GZ at them
TABLES = [
    pytest.param(0.35, [10, 20, 30, 40, 50, 60, 75], [0.07, 0.16, 0.31, 0.42, 0.38, 0.21, -0.15], id="usual"),
    pytest.param(1.90, [12, 20, 30, 40, 60], [0.36, 0.41, 0.38, 0.22, -0.31], id="humped"),
    pytest.param(
        -0.12,
        [5, 10, 20, 30, 40, 50, 60, 70],
        [-0.008, 0.0, 0.07, 0.19, 0.28, 0.27, 0.15, -0.05],
        id="lolled",
    ),
    pytest.param(0.80, [20, 40, 60], [0.3, 0.5, -0.2], id="three heels"),
]


@pytest.mark.parametrize(("gm", "heels", "levers"), TABLES)
@pytest.mark.parametrize("tcg", [0.0, 0.03])
def test_tabulated_lever_against_scipy(assess, gm, heels, levers, tcg):
    """KN splined with slope KM at zero and the not-a-knot end (a natural end with fewer than three heels), as
    documented."""
    table = {radians(h): gz + KG * sin(radians(h)) for h, gz in zip(heels, levers, strict=True)}
    vessel = ship(9000, KG, KG + gm, kn=table.__getitem__, heels=[float(h) for h in heels], openings=[])
    vessel["lightship"]["tcg"] = tcg
    answer = assess(loaded(vessel))
    found = answer["righting_lever"]

    spline = CubicSpline([0.0, *table], [0.0, *table.values()], bc_type=((1, KG + gm), "not-a-knot"))

    def gz(heel):
        return float(spline(radians(heel))) - KG * sin(radians(heel)) - tcg * cos(radians(heel))

    for heel, lever in zip(found["heels"], found["levers"], strict=True):
        assert lever == pytest.approx(gz(heel), abs=1e-9)
    for area in found["areas"]:
        exact = quad(
            gz, area["start"], area["end"], points=[h for h in heels if area["start"] < h < area["end"]]
        )[0]
        assert area["area"] == pytest.approx(radians(exact), abs=1e-9)
    best = minimize_scalar(lambda h: -gz(h), bounds=(10.0, 55.0), method="bounded", options={"xatol": 1e-9})
    assert found["maximum"] == pytest.approx(-best.fun, abs=1e-9)
    assert found["angle_of_maximum"] == pytest.approx(best.x, abs=1e-3)
    assert found["vanishing_angle"] == pytest.approx(brentq(gz, best.x, heels[-1], xtol=1e-12), abs=1e-7)
    if gm < 0 or degrees(tcg / gm) > 5.0:
        rest = brentq(gz, 1.0, best.x, xtol=1e-12)
        assert answer["flotation"]["list"]["angle"] == pytest.approx(rest, abs=1e-7)


def test_curve_blends_linearly_between_displacements(assess):
    """Half-way between two displacements KN is half-way between their levers."""
    vessel = ship(8000, KG, KG + GM, kn=levers_of(analytic), heels=HEELS, openings=[])
    low, high = vessel["cross_curves"]["displacements"]
    vessel["cross_curves"]["levers"][1] = [1.1 * lever for lever in vessel["cross_curves"]["levers"][1]]
    part = (0.5 * (low + high) - low) / (high - low)
    answer = assess(loaded(vessel, [weight(0.5 * (low + high) - 8000, KG)]))["righting_lever"]
    for heel in (10, 30, 60):
        expected = levers_of(analytic)(radians(heel)) * (1.0 + 0.1 * part) - KG * sin(radians(heel))
        assert answer["levers"][heel] == pytest.approx(expected, abs=1e-9)
