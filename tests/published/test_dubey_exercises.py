"""Dubey's exercises, worked at marinegyaan.com: Simpson's rules, a TPC curve, areas under GZ.

Citation: solutions at marinegyaan.com to exercise 2 (Simpson's rules, questions 1 and 2) and exercise 11
(carriage of grain, questions 2 and 3). How obtained: read there.
"""

from math import pi, radians, sin

import numpy as np
import pytest

from service.core.hull.hydrostatics import upright
from tests.published.booklet import loaded, ship
from tests.published.hulls import prism, simpson_curve, waterplane


def test_exercise_2_question_2_waterplane():
    """120 m, eleven breadths 12 m apart: sum of products 370.8, area 1483.2 m2."""
    breadths = [1.2, 9.6, 13.2, 15.0, 15.3, 15.6, 15.6, 14.7, 12.9, 9.0, 0.0]
    area = upright(waterplane([b / 2 for b in breadths], 12), 0.5).waterplane_area
    assert area == pytest.approx(1483.2, abs=0.05)
    assert area * 3 / 12 == pytest.approx(370.8, abs=0.05)


def test_exercise_2_question_1_tpc_curve():
    """TPC at 2, 3, 4, 5, 6 m in salt water; below 2 m an appendage of 3280 t. From 2 to 6 m: 8357.398 m3, moment
    17 041.95 m4, centroid 2.039 m above 2 m; KB of the whole 3.253 m.

    The KB of the appendage is garbled in print; 1.2 m is inferred from the answer."""
    curve = simpson_curve([19.68, 20.91, 21.53, 22.04, 22.45], 1.0)
    hull = prism(1.0, lambda z: curve(np.maximum(z - 2.0, 0.0)) * 100 / 1.025 / 2, 6.0, levels=6000)
    low, high = upright(hull, 2.0), upright(hull, 6.0)
    volume = high.volume - low.volume
    moment = high.volume * high.vcb - low.volume * low.vcb - 2.0 * volume
    assert volume == pytest.approx(8357.398, abs=0.001)
    assert moment == pytest.approx(17041.95, abs=0.01)
    assert moment / volume == pytest.approx(2.039, abs=0.0005)
    kb = (3280 * 1.2 + 1.025 * (moment + 2.0 * volume)) / (3280 + 1.025 * volume)
    assert kb == pytest.approx(3.253, abs=0.0005)


# heels and levers printed, area from 0 to 40 degrees by the printed ordinates (m rad), room
GRAIN_LEVERS = [
    # the ordinates at 10 degree steps are read off their drawing; the printed sum of products, 9.30, is 0.09 too low
    # (its own products add up to 9.39): within 0.01 m rad either way
    pytest.param(
        [5, 12, 20, 30, 40, 60, 75], [0.188, 0.449, 0.764, 1.227, 1.551, 1.713, 1.298], 0.5502, 0.01, id="2"
    ),
    pytest.param([10, 20, 30, 40], [0.263, 0.472, 0.604, 0.631], 5.043 * 10 / 3 * pi / 180, 0.003, id="3"),
]


def grain_ship(heels, levers, openings=()):
    """10 000 t with these righting levers and one hold. GM is not printed: it is taken from the first lever, GZ /
    sin(heel)."""
    gm, kg = levers[0] / sin(radians(heels[0])), 7.0
    printed = {radians(heel): gz + kg * sin(radians(heel)) for heel, gz in zip(heels, levers, strict=True)}
    return ship(
        10_000,
        kg,
        kg + gm,
        kn=printed.__getitem__,
        heels=[float(heel) for heel in heels],
        openings=list(openings),
        holds=[{"id": "H", "name": "Hold", "capacity": 9000, "lcg": 50.0, "vcg": 7.0}],
    )


@pytest.mark.parametrize(("heels", "levers", "area", "room"), GRAIN_LEVERS)
def test_exercise_11_area_under_the_righting_lever(assess, heels, levers, area, room):
    vessel = grain_ship(heels, levers)
    found = assess(loaded(vessel))["righting_lever"]
    assert found["areas"][1] == {"start": 0.0, "end": 40.0, "area": pytest.approx(area, abs=room)}
    for heel, gz in zip(heels, levers, strict=True):
        assert found["levers"][found["heels"].index(heel)] == pytest.approx(gz, abs=1e-12)


def grain_criteria(assess, vessel, lambda_0):
    """What the Grain Code's criteria come to for a heeling lever of `lambda_0` m, and their details by name."""
    line = {
        "hold": "H",
        "filling": "filled_trimmed",
        "stowage_factor": 1.25,
        "heeling_moment": lambda_0 * 10_000 * 1.25,
        "vcg_basis": "hold",
    }
    rows = {row["id"]: row for row in assess(loaded(vessel, grain=[line]))["criteria"]}
    heel, area = rows["grain-code-a-7.1.1-heel"], rows["grain-code-a-7.1.2-residual-area"]
    return heel, area, {detail["name"]: detail["value"] for detail in area["details"]}


def test_exercise_11_question_2_heel_and_residual_area(assess):
    """lambda_0 0.275 m, flooding at 40 degrees. Printed: lambda_40 0.22 m, heel 7 degrees; below the curve up to the
    heel a triangle of 0.016, under the heeling lever from there to 40 degrees a trapezium of 0.139 m rad.

    Their sum of products, printed as 9.30, is 9.39 (see above); heel read off their drawing. The deck edge is not
    printed, so the clause on heel cannot be judged, and is not."""
    hatch = {"id": "F", "name": "Flooding", "x": 50.0, "y": 0.0, "z": 12.0, "protection": "unprotected"}
    immersion = [{"draft": 4.0, "angle": 40.0}, {"draft": 6.0, "angle": 40.0}]
    heels, levers = GRAIN_LEVERS[0].values[:2]
    vessel = grain_ship(heels, levers, [{**hatch, "immersion_angles": immersion}])
    heel, area, shown = grain_criteria(assess, vessel, 0.275)
    assert shown["heeling lever lambda_0"] == pytest.approx(0.275, rel=1e-12)
    assert shown["heeling lever lambda_40"] == pytest.approx(0.22, abs=1e-12)
    assert heel["attained"] == pytest.approx(7, abs=0.3)
    assert heel["verdict"] == "not_computable"
    assert shown["end of the area"] == pytest.approx(40.0, abs=1e-9)
    products = 9.39 * 10 / 3 * pi / 180
    assert area["attained"] == pytest.approx(products - 0.016 - 0.139, abs=0.01)
    assert area["verdict"] == "pass"


def test_exercise_11_question_3_heel_and_residual_area(assess):
    """lambda_0 0.18 m; heel 6.5 degrees, residual area 0.192 m rad up to 40 degrees.

    They take 0.14 m for lambda_40 where 0.8 times 0.18 is 0.144 (0.002 m rad less), and go to 40 degrees although the
    levers draw apart only to about 38, where the Code ends the area: the part beyond is added here to compare."""
    heel, area, shown = grain_criteria(assess, grain_ship(*GRAIN_LEVERS[1].values[:2]), 0.18)
    assert shown["heeling lever lambda_40"] == pytest.approx(0.144, abs=1e-12)
    assert heel["attained"] == pytest.approx(6.5, abs=0.1)
    assert 37.0 < shown["end of the area"] == shown["angle of maximum difference"] < 39.0
    beyond = (0.631 - 0.144) * radians(40.0 - shown["end of the area"])
    assert area["attained"] + beyond == pytest.approx(0.192, abs=0.003)
    assert (area["verdict"], heel["verdict"]) == ("pass", "not_computable")
