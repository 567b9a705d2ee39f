"""2008 IS Code, Part A 2.3: severe wind and rolling, with every intermediate; its tables.

Sources: International Code on Intact Stability, 2008 (resolution MSC.267(85)), Part A 2.3: formulae and tables
2.3.4-1 to 2.3.4-4 are values from memory (the formulae of roll also read in 46 CFR 28.575; structure read in
A.749(18) 3.2). A student's calculation read at zanotowane.pl/37/366. No published example with every number was
found: the ship with a closed-form lever is constructed, its figures follow from the formulae and independent
quadrature.
"""

from math import radians, sin, sqrt

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from service.core.rules import is_code_2008_a_2_3 as rule
from tests.published.booklet import loaded, ship

# table, number of rows, sum of its arguments, sum of its values
TABLES = [
    pytest.param(rule.TABLE_X1, 12, 35.4, 10.83, id="X1 by B/d"),
    pytest.param(rule.TABLE_X2, 6, 3.45, 5.38, id="X2 by CB"),
    pytest.param(rule.TABLE_K, 8, 17.5, 6.76, id="k by 100 Ak / (Lwl B)"),
    pytest.param(rule.TABLE_S, 8, 101.0, 0.526, id="s by T"),
]


@pytest.mark.parametrize(("table", "count", "arguments", "values"), TABLES)
def test_checksums_of_the_tables(table, count, arguments, values):
    assert [len(column) for column in table] == [count, count]
    assert [sum(column) for column in table] == pytest.approx([arguments, values], abs=1e-9)


def weather(assess, vessel, **more):
    """The two criteria of 2.3 and the details of the second, by name."""
    rows = assess(loaded(vessel, **more))["criteria"]
    steady, areas = [row for row in rows if row["rule_set"] == "is-code-2008-a-2.3"]
    return steady, areas, {row["name"]: row["value"] for row in areas["details"]}


def exposed(mass, kg, gm, *, length, breadth, draft, block, area=1500.0, arm=9.0, **more):
    """A ship before the wind, her openings none; `arm` is Z."""
    particulars = {"length_waterline": length, "block_coefficient": block, **more.pop("particulars")}
    return ship(
        mass, kg, kg + gm, length=length, breadth=breadth, draft=draft, particulars=particulars, openings=[],
        wind_profile=[
            {"draft": d, "area": area, "centroid_height": arm + d / 2} for d in (0.5 * draft, draft, 1.5 * draft)
        ],
        deck_edge={"immersion_angles": [{"draft": 0.5 * draft, "angle": 25.0}, {"draft": 1.5 * draft, "angle": 25.0}]},
        rule_sets=["is-code-2008-a-2.3"], **more,
    )  # fmt: skip


# factor, what makes its argument, the argument, the value: before the first row, between two rows, beyond the last
SPOTS = [
    ("factor X1", "breadth", 2.0, 1.00),
    ("factor X1", "breadth", 2.75, 0.94),
    ("factor X1", "breadth", 3.6, 0.80),
    ("factor X2", "block", 0.40, 0.75),
    ("factor X2", "block", 0.525, 0.855),
    ("factor X2", "block", 0.80, 1.00),
    ("factor k", "keel", 0.0, 1.00),
    ("factor k", "keel", 1.75, 0.915),
    ("factor k", "keel", 4.5, 0.70),
    ("factor s", "period", 5.0, 0.100),
    ("factor s", "period", 10.0, 0.079),
    ("factor s", "period", 21.0, 0.035),
]


@pytest.mark.parametrize(("factor", "by", "argument", "value"), SPOTS)
def test_spots_of_the_tables(assess, factor, by, argument, value):
    """In a ship 120 m long and 20 m wide at 8 m, C 0.3789, unless the argument asks for another."""
    breadth = 8.0 * argument if by == "breadth" else 20.0
    gm = (2 * 0.3789 * 20 / argument) ** 2 if by == "period" else 0.8
    vessel = exposed(
        12000.0, 8.4, gm, length=120.0, breadth=breadth, draft=8.0, block=argument if by == "block" else 0.65,
        particulars={"bilge_keel_area": (argument if by == "keel" else 1.0) * 120.0 * 20.0 / 100.0},
    )  # fmt: skip
    assert weather(assess, vessel)[2][factor] == pytest.approx(value, abs=1e-9)


# formulae by hand; angles to 0.01 degree, areas to 1e-4 m rad, the rest to the digits given
CONSTRUCTED = {
    "steady wind lever lw1": (0.050347, 5e-7),
    "gust wind lever lw2": (0.07552, 5e-6),
    "B/d": (2.5, 1e-9),
    "factor X1": (0.98, 1e-9),
    "factor X2": (1.0, 1e-9),
    "factor k": (1.0, 1e-9),
    "OG/d": (0.0, 1e-9),
    "factor r": (0.73, 1e-9),
    "coefficient C": (0.3789, 1e-9),
    "rolling period T": (15.156, 5e-4),
    "factor s": (0.047798, 5e-7),
    "angle of roll phi1": (19.95349, 0.01),
    "angle under steady wind phi0": (2.890867, 0.01),
    "first intercept of lw2": (4.348089, 0.01),
    "second intercept of lw2, phi_c": (75.651911, 0.01),
    "end of area b, phi2": (50.0, 1e-9),
    "area a": (0.068056, 1e-4),
    "area b": (0.210077, 1e-4),
}


@pytest.fixture(scope="module")
def constructed(assess):
    """120 x 20 m at 8 m, CB 0.70, 13 776 t, KG 8, GM 1 m, A 1500 m2, Z 9 m; GZ = GM sin(2.25 heel) / 2.25."""
    heels = [2.5 * k for k in range(1, 37)]
    vessel = exposed(
        13776.0, 8.0, 1.0, length=120.0, breadth=20.0, draft=8.0, block=0.7, particulars={"bilge": "round"},
        kn=lambda a: sin(2.25 * a) / 2.25 + 8.0 * sin(a), heels=heels,
    )  # fmt: skip
    return weather(assess, vessel)


@pytest.mark.parametrize("name", CONSTRUCTED)
def test_every_intermediate_of_a_closed_form_ship(constructed, name):
    value, room = CONSTRUCTED[name]
    assert constructed[2][name] == pytest.approx(value, abs=room)


def test_verdict_of_the_closed_form_ship(constructed):
    """b / a = 3.087; phi0 against 16 degrees or 80 % of deck edge immersion (25 degrees here: 20)."""
    steady, areas, _ = constructed
    assert areas["attained"] / areas["limit"] == pytest.approx(3.087, abs=0.002)
    assert areas["verdict"] == "pass"
    assert steady["attained"] == pytest.approx(2.890867, abs=0.01)
    assert (steady["limit"], steady["verdict"]) == (16.0, "pass")


def test_areas_of_the_closed_form_ship_by_quadrature(constructed):
    """Roots by brentq and areas by quad on the formula itself, not on the service's curve."""
    details = constructed[2]
    lw1, lw2 = details["steady wind lever lw1"], details["gust wind lever lw2"]

    def gz(heel):
        return sin(2.25 * radians(heel)) / 2.25

    phi0 = brentq(lambda h: gz(h) - lw1, 0, 40)
    phi_e = brentq(lambda h: gz(h) - lw2, 0, 40)
    phi_c = brentq(lambda h: gz(h) - lw2, 40, 90)
    start = phi0 - 109 * 0.98 * sqrt(0.73 * details["factor s"])
    assert details["angle under steady wind phi0"] == pytest.approx(phi0, abs=1e-4)
    assert details["second intercept of lw2, phi_c"] == pytest.approx(phi_c, abs=1e-3)
    assert details["angle to windward phi0 - phi1"] == pytest.approx(start, abs=1e-4)
    a = radians(quad(lambda h: lw2 - gz(h), start, phi_e)[0])
    b = radians(quad(lambda h: gz(h) - lw2, phi_e, min(50.0, phi_c))[0])
    assert details["area a"] == pytest.approx(a, abs=2e-6)
    assert details["area b"] == pytest.approx(b, abs=2e-6)


# formulae by hand: breadth 20, draft 8, Lwl 120, CB 0.65, KG 8.4, GM 0.8, bilge keels 36 m2 (1.5 % of Lwl B)
BY_HAND = {
    "coefficient C": (0.3789, 5e-5),
    "rolling period T": (16.945, 5e-4),
    "factor r": (0.760, 5e-4),
    "factor X1": (0.98, 1e-9),
    "factor X2": (0.97, 1e-9),
    "factor k": (0.95, 1e-9),
    "factor s": (0.04117, 5e-6),
    "angle of roll phi1": (17.41, 0.005),
}


@pytest.mark.parametrize("name", BY_HAND)
def test_angle_of_roll_with_bilge_keels(assess, name):
    vessel = exposed(
        12000.0,
        8.4,
        0.8,
        length=120.0,
        breadth=20.0,
        draft=8.0,
        block=0.65,
        particulars={"bilge_keel_area": 36.0},
    )
    value, room = BY_HAND[name]
    assert weather(assess, vessel)[2][name] == pytest.approx(value, abs=room)


def test_wind_levers(assess):
    """P 504 Pa, A 1500 m2, Z 9 m, 12 000 t: lw1 0.05780 m, lw2 0.08670 m."""
    vessel = exposed(
        12000.0, 8.4, 0.8, length=120.0, breadth=20.0, draft=8.0, block=0.65, particulars={"bilge": "round"}
    )
    details = weather(assess, vessel)[2]
    assert details["steady wind lever lw1"] == pytest.approx(0.05780, abs=5e-6)
    assert details["gust wind lever lw2"] == pytest.approx(0.08670, abs=5e-6)


def test_a_students_calculation_of_the_angle_of_roll(assess):
    """zanotowane.pl/37/366: B/d 4.79, k 0.98, KG 9.0, d 4.30 m: r 1.38581, C 0.424303, phi1 31.81 degrees.

    Its s of 0.1 does not go with its period of 20.89 s (the table gives 0.035): to meet it here she gets a GM that
    makes the period shorter than 6 s. B/d lies outside the range of the tables, and the service says so."""
    breadth = 4.79 * 4.30
    length = (0.373 + 0.023 * 4.79 - 0.424303) / 0.043 * 100
    vessel = exposed(
        6000.0, 9.0, 10.0, length=length, breadth=breadth, draft=4.30, block=0.75,
        particulars={"bilge_keel_area": 0.01 * length * breadth},
    )  # fmt: skip
    _, areas, details = weather(assess, vessel)
    assert details["factor r"] == pytest.approx(1.38581, abs=5e-6)
    assert details["coefficient C"] == pytest.approx(0.424303, abs=5e-7)
    assert details["rolling period T"] < 6.0
    assert details["angle of roll phi1"] == pytest.approx(31.81, abs=0.005)
    assert areas["verdict"] == "outside_validity"


@pytest.mark.parametrize(
    ("bilge", "k"), [({"bilge": "round"}, 1.0), ({"bilge": "sharp"}, 0.7), ({"bilge_keel_area": 96.0}, 0.70)]
)
def test_factor_k(assess, bilge, k):
    """Round bilge without keels 1.0, sharp bilge 0.7, keels of 4 % of Lwl B 0.70 (2.3.4 and table 2.3.4-3)."""
    vessel = exposed(12000.0, 8.4, 0.8, length=120.0, breadth=20.0, draft=8.0, block=0.65, particulars=bilge)
    assert weather(assess, vessel)[2]["factor k"] == pytest.approx(k, abs=1e-9)
