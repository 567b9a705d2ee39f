"""Tupper, Introduction to Naval Architecture: righting levers from an assumed pole, and GM at the angle of loll.

Citation: E. C. Tupper, Introduction to Naval Architecture; page text at digilib.universitaspertamina.ac.id, page
76 (63 of the book) and page 79 (66), table 4.2. How obtained: read there.
"""

from math import cos, radians, sin, tan

import pytest

from tests.published.booklet import loaded, ship

POLE, HEELS = 6.0, [15.0, 30.0, 45.0, 60.0, 75.0, 90.0]
SZ = [0.11, 0.36, 0.58, 0.38, -0.05, -0.60]
GZ = [0.203, 0.540, 0.835, 0.692, 0.298, -0.240]


def test_levers_from_a_pole_above_the_centre_of_gravity(assess):
    """Table 4.2: G lies 0.36 m below the pole S: GZ = SZ + SG sin(heel), printed to a millimetre."""
    vessel = ship(10_000, POLE - 0.36, POLE + 0.5)
    curves = vessel["cross_curves"]
    vessel["cross_curves"] = {
        **curves, "basis": "gz_at_vcg", "vcg": POLE, "heels": [0.0, *HEELS], "levers": [[0.0, *SZ]] * 2,
    }  # fmt: skip
    lever = assess(loaded(vessel))["righting_lever"]
    found = [lever["levers"][lever["heels"].index(heel)] for heel in [0.0, *HEELS]]
    assert found == pytest.approx([0.0, *GZ], abs=0.0005)


def test_gm_when_lolled(assess):
    """Page 76: GM at the angle of loll is about twice the upright GM with the opposite sign (printed: -2).

    By the wall-sided formula the slope of GZ there is -2 GM / cos(loll); at 10 degrees of loll -2.031."""
    bm, kg, loll = 4.0, 6.0, radians(10)
    gm = -0.5 * bm * tan(loll) ** 2
    vessel = ship(8000, kg, kg + gm, kn=lambda a: sin(a) * (kg + gm + 0.5 * bm * tan(a) ** 2))
    answer = assess(loaded(vessel))
    assert answer["stability"]["angle_of_loll"] == pytest.approx(10.0, abs=0.001)
    levers = answer["righting_lever"]["levers"]
    slope = (levers[11] - levers[9]) / radians(2)
    assert slope / gm == pytest.approx(-2, abs=0.5)
    assert slope / gm == pytest.approx(-2 / cos(loll), rel=0.01)
