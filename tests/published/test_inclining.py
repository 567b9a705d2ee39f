"""Inclining tests: GM by one line through all readings, its interval, and the lightship that follows.

Sources: the length of a pendulum for 6 in of deflection at 2 degrees (US Coast Guard practice, worked at
tallshipdesigner.blogspot.com, 2008/03); tolerance for sister ships, SOLAS II-1/5.2; number of movements, 2008 IS Code
Part B 8.4.1. Series of readings are constructed; least squares and Student's t by scipy, KG by first moments.
"""

import json
from math import degrees, radians, tan

import pytest
from scipy import stats

from service.actions.assess import Assessor
from service.core.inclining import line_through, sister_tolerance, student
from service.translation.inclining import inclining
from service.wire.refusal import Refusal
from tests.published.box_vessel import condition as box_condition
from tests.published.box_vessel import km
from tests.published.box_vessel import vessel as box

ASSESSOR = Assessor()
MOMENTS = [0.0, 120.0, 240.0, 120.0, 0.0, -120.0, -240.0, -120.0, 0.0]
READ = [0.0, 0.0412, 0.0828, 0.0414, 0.0003, -0.0411, -0.0829, -0.0415, -0.0002]
PENDULUM = 6.0


def ship(displacement, km_there):
    """A ship with a KM of her own at a displacement: a row on either side, linear in displacement x KM."""
    row = {"lcb": 50.0, "lcf": 50.0, "km": km_there, "tpc": 10.0, "mctc": 50.0}
    rows = [{**row, "draft": d, "displacement": displacement * d / 4.0} for d in (3.0, 4.0, 5.0)]
    return {
        "name": "Inclined",
        "source": {"booklet": "A published example"},
        "units": "metric",
        "particulars": {"length_bp": 100.0, "breadth": 15.0},
        "lightship": {"mass": 3000.0, "lcg": 50.0, "vcg": 4.0},
        "hydrostatics": {"density": 1.025, "rows": rows},
        "tanks": [],
        "rule_sets": [],
    }


def asked(vessel, movements, *, pendulums=None, displacement=None, aboard=None):
    empty = {
        "units": "metric",
        "title": "Inclining",
        "water_density": 1.025,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [],
    }
    test = {
        "pendulums": pendulums or [{"name": "P", "length": PENDULUM}],
        "movements": movements,
        **({"displacement": displacement} if displacement else {}),
    }
    body = {"vessel": vessel, "condition": aboard or empty, "inclining": test}
    return json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), inclining))


def series(read, moments=MOMENTS):
    return [{"moment": m, "readings": {"P": d}} for m, d in zip(moments, read)]


def test_eight_movements_and_one_pendulum():
    """3280 t, KM 9.2 m, a pendulum of 6 m; figures by scipy's line and Student's t, zeros counting as readings."""
    found = asked(ship(3280.0, 9.2), series(READ), displacement=3280.0)
    assert found["slope"] == pytest.approx(5.7477e-05, abs=1e-9)
    assert found["intercept"] == pytest.approx(0.0, abs=1e-12)
    assert found["gm"] == pytest.approx(5.304362347, abs=1e-6)
    assert found["gm_low"] == pytest.approx(5.287024834, abs=1e-6)
    assert found["gm_high"] == pytest.approx(5.321813942, abs=1e-6)
    assert found["vcg_as_inclined"] == pytest.approx(3.895637653, abs=1e-6)
    assert found["lightship"]["vcg"] == pytest.approx(3.895637653, abs=1e-6)
    assert found["lightship"]["vcg_low"] == pytest.approx(9.2 - 5.321813942, abs=1e-6)
    assert found["readings"] == 9
    codes = {finding["code"] for finding in found["findings"]}
    assert {"movement_off_the_line", "zero_does_not_return", "fewer_than_seven_movements"}.isdisjoint(codes)
    assert {"fewer_than_three_pendulums", "deflection_under_15_cm", "heel_outside_1_to_4"} <= codes


def test_a_reading_off_the_line_is_named():
    read = [*READ]
    read[2] = 0.089
    found = asked(ship(3280.0, 9.2), series(read), displacement=3280.0)
    assert found["gm"] == pytest.approx(5.17514016, abs=1e-6)
    off = [f["path"] for f in found["findings"] if f["code"] == "movement_off_the_line"]
    assert off == ["/inclining/movements/2"]


def test_the_line_and_its_interval_against_scipy():
    tangents = [d / PENDULUM for d in READ]
    line, oracle = line_through(MOMENTS, tangents), stats.linregress(MOMENTS, tangents)
    assert line.slope == pytest.approx(oracle.slope, rel=1e-12)
    assert line.intercept == pytest.approx(oracle.intercept, abs=1e-15)
    assert line.half_width == pytest.approx(oracle.stderr * stats.t.ppf(0.975, 7), rel=1e-9)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 8, 25, 40, 178])
def test_students_t_against_scipy(freedom):
    assert student(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=1e-10)


def test_six_inches_at_two_degrees_take_a_pendulum_of_172_inches():
    """The printed 172 in: what the deflection of 6 in on it means is a heel of 2 degrees, to the printed digit."""
    assert 6.0 / tan(radians(2.0)) == pytest.approx(172.0, abs=0.5)
    long = [{"name": "P", "length": 172.0 * 0.0254}]
    movements = series([0.0, 6.0 * 0.0254, 0.0], [0.0, 400.0, 0.0])
    found = asked(ship(3280.0, 9.2), movements, displacement=3280.0, pendulums=long)
    assert found["movements"][1]["tan_mean"] == pytest.approx(tan(radians(2.0)), abs=1e-4)
    assert "heel_outside_1_to_4" not in {f["code"] for f in found["findings"]}


@pytest.mark.parametrize(
    ("length", "percent"), [(24.0, 2.0), (50.0, 2.0), (105.0, 1.5), (160.0, 1.0), (300.0, 1.0)]
)
def test_sister_ships(length, percent):
    assert sister_tolerance(length) == (pytest.approx(percent, abs=1e-12), pytest.approx(0.005 * length))


# --- a box whose lightship is known: it comes back --------------------------------------------------------------------

LIGHT = {"mass": 8000.0, "lcg": 51.0, "vcg": 6.3, "tcg": 0.02}
ABOARD = [
    {"name": "Inclining weights", "category": "other", "mass": 80.0, "lcg": 50.0, "vcg": 10.5, "tcg": 0.0},
    {"name": "To come", "category": "removal", "mass": -30.0, "lcg": 70.0, "vcg": 8.0, "tcg": 1.0},
]
FUEL = {"tank": "DB1P", "mass": 142.5, "density": 0.95}, {"tank": "DB1S", "mass": 142.5, "density": 0.95}


def box_test(units_of_moment=1.0):
    """Readings, drafts and surfaces by first moments: two half full tanks of 20 x 10 m, surface 20 x 10^3 / 12 each."""
    fuel = [(142.5, 40.0, 0.375, y) for y in (5.0, -5.0)]
    parts = [tuple(LIGHT.values()), *fuel, *((w["mass"], w["lcg"], w["vcg"], w["tcg"]) for w in ABOARD)]
    mass = sum(m for m, *_ in parts)
    lcg, vcg, tcg = (sum(part[0] * part[k] for part in parts) / mass for k in (1, 2, 3))
    draft = mass / 2050.0
    trim = mass * (50.0 - lcg) / (100.0 * 1.025 * 20.0 * 100.0**2 / 1200.0)
    gm = km(draft) - vcg - 2 * 0.95 * 20.0 * 10.0**3 / 12.0 / mass
    shifts = [(0.0, []), (20.0 * 8.0, [(20.0, 0.0, 8.0)]), (40.0 * 8.0, [(20.0, 0.0, 8.0)])]
    movements = []
    for moment, moved in [*shifts, (160.0, [(20.0, 8.0, 0.0)]), (0.0, [(20.0, 8.0, 0.0)])]:
        tangent = (moment + mass * tcg) / (mass * gm)
        readings = {"forward": 6.0 * tangent, "aft": 5.0 * tangent}
        shifts_now = [{"mass": m, "from_y": a, "to_y": b} for m, a, b in moved]
        movements.append({"shifts": shifts_now, "readings": readings})
    slope = trim / 100.0
    marks = {"aft": 4.0, "midship": 50.0, "forward": 97.0}
    aboard = box_condition(0.0, 50.0, 6.0)
    aboard |= {"tanks": list(FUEL), "weights": ABOARD}
    aboard["observed"] = {"drafts": {n: draft + slope * (50.0 - x) + 0.02 for n, x in marks.items()}}
    pendulums = [{"name": "forward", "length": 6.0}, {"name": "aft", "length": 5.0}]
    return aboard, movements, pendulums, (mass, gm, lcg, vcg)


def test_the_lightship_comes_back():
    aboard, movements, pendulums, (mass, gm, lcg, vcg) = box_test()
    found = asked(box(), movements, pendulums=pendulums, aboard=aboard)
    assert found["displacement"] == pytest.approx(mass, rel=1e-9)
    # KM between rows of the table is interpolated
    assert found["gm"] == pytest.approx(gm, abs=1e-9)
    assert found["lcg_as_inclined"] == pytest.approx(lcg, abs=1e-9)
    assert found["vcg_as_inclined"] == pytest.approx(vcg, abs=1e-3)
    light = found["lightship"]
    assert light["mass"] == pytest.approx(LIGHT["mass"], abs=1e-6)
    assert light["lcg"] == pytest.approx(LIGHT["lcg"], abs=1e-6)
    assert light["tcg"] == pytest.approx(LIGHT["tcg"], abs=1e-9)
    assert light["vcg"] == pytest.approx(LIGHT["vcg"], abs=1e-3)
    assert found["against_booklet"]["mass_percent"] == pytest.approx(100.0 * (8000.0 / 2050.0 - 1.0))
    assert "slack_tanks" in {f["code"] for f in found["findings"]}


def test_the_free_surface_is_that_of_the_day_whatever_the_basis():
    """What she heels with is in the measured GM (2008 IS Code Part B 8.4): a greater moment lowers her lightship."""
    aboard, movements, pendulums, (*_, vcg) = box_test()
    by_the_greatest = {**aboard, "free_surface": {"basis": "maximum_when_slack"}}
    tanks = [
        {**tank, "table": {"rows": [dict(row) for row in tank["table"]["rows"]]}} for tank in box()["tanks"]
    ]
    for tank in tanks:
        tank["table"]["rows"][0]["free_surface_inertia"] *= 4.0
    for given in (aboard, by_the_greatest):
        found = asked({**box(), "tanks": tanks}, movements, pendulums=pendulums, aboard=given)
        assert (
            found["free_surface_moment"]
            == asked(box(), movements, pendulums=pendulums, aboard=aboard)["free_surface_moment"]
        )
        assert found["vcg_as_inclined"] == pytest.approx(vcg, abs=1e-3)


def test_shifts_add_to_a_moment_given_before():
    """Net moments, by first moments of the weights: 120 t.m and 10 t over 3 m more are 150 t.m."""
    movements = series([0.0, 0.0412], [0.0, 120.0])
    movements.append({"shifts": [{"mass": 10.0, "from_y": 0.0, "to_y": 3.0}], "readings": {"P": 0.0515}})
    found = asked(ship(3280.0, 9.2), movements, displacement=3280.0)
    assert [movement["moment"] for movement in found["movements"]] == pytest.approx([0.0, 120.0, 150.0])


def test_two_marks_give_the_trim_where_the_displacement_is_given():
    """Trim and with it her LCG: the slope between the marks over her length, as in ECE/ENERGY/19."""
    aboard, movements, pendulums, (mass, _, lcg, _) = box_test()
    read = dict(aboard["observed"]["drafts"])
    del read["midship"]
    two = {**aboard, "observed": {"drafts": read}}
    found = asked(box(), movements, pendulums=pendulums, aboard=two, displacement=mass)
    assert found["lcg_as_inclined"] == pytest.approx(lcg, abs=1e-9)
    assert found["lightship"]["lcg"] == pytest.approx(LIGHT["lcg"], abs=1e-6)


READY = series(READ)
REFUSED = [
    (series([0.1, 0.1], [50.0, 50.0]), {}, "one_moment", "/inclining/movements"),
    (series([0.0, -0.1], [0.0, 50.0]), {}, "no_positive_gm", "/inclining/movements"),
    (READY, {"displacement": 9000.0}, "outside_table", "/inclining"),
    (READY, {"displacement": None}, "not_computable", "/condition/observed/drafts"),
    (
        [*READY[:2], {"moment": 1.0, "readings": {"X": 0.1}}],
        {},
        "unknown_pendulum",
        "/inclining/movements/2/readings/X",
    ),
    ([*READY[:2], {"readings": {"P": 0.1}}], {}, "one_quantity", "/inclining/movements/2"),
    (READY * 4, {}, "too_long", "/inclining/movements"),
    (READY, {"pendulums": [{"name": "P", "length": 1.0}] * 2}, "duplicate", "/inclining/pendulums/1/name"),
]


@pytest.mark.parametrize(("movements", "more", "code", "pointer"), REFUSED)
def test_what_is_refused(movements, more, code, pointer):
    with pytest.raises(Refusal) as refused:
        asked(ship(3280.0, 9.2), movements, **{"displacement": 3280.0, **more})
    assert [(e["code"], e["pointer"]) for e in refused.value.errors] == [(code, pointer)]


def test_zero_that_does_not_return():
    read = [*READ]
    read[-1] = 0.005
    found = asked(ship(3280.0, 9.2), series(read), displacement=3280.0)
    assert "zero_does_not_return" in {f["code"] for f in found["findings"]}
    assert degrees(found["movements"][2]["tan_mean"]) < 1.0
