"""The level of the waterplane as she heels, from cross curves alone, against sections whose level is a closed form.

Closed forms: a box turns about the point where the upright waterline meets her centreline while bottom and deck
stay clear; a wedge keeps the area of its immersed triangle; a cylinder is the same at every heel. The level of all
three follows from the area of the immersed section alone, their KN from its centroid.

Also against the demonstration hulls, whose immersion angles are found by balancing the hull itself at constant volume.
"""

import json
from math import cos, degrees, inf, pi, radians, sin, sqrt, tan
from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import brentq

from service import demo
from service.actions.assess import Assessor
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.flotation import float_on
from service.core.hull.cross_curves import immersion_angle, kn
from service.core.hull.hydrostatics import upright
from service.core.hydrostatics import Hydrostatics
from service.core.waterplane import LevelTables, Waterplane
from service.demo.halvenmoor_form import HULL
from service.demo.ostrel_form import HULL as OSTREL
from service.demo.quarrenby_form import HULL as QUARRENBY

LENGTH, WATER = 100.0, 1.025
HULLS = {"halvenmoor": HULL, "ostrel": OSTREL, "quarrenby": QUARRENBY}
HEELS = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0]


class Section(NamedTuple):
    """A prism's section at a draft and heel (degrees): area (upright), level, and KN."""

    area: float
    level: float
    kn: float


def box(draft: float, heel: float, breadth: float = 16.0) -> Section:
    a, bm = radians(heel), breadth**2 / (12.0 * draft)
    km = 0.5 * draft + bm
    return Section(breadth * draft, draft * cos(a), sin(a) * (km + 0.5 * bm * tan(a) ** 2))


def wedge(draft: float, heel: float, slope: float = 0.9) -> Section:
    """Half-breadth = slope x height above the keel."""
    a, area = radians(heel), slope * draft**2
    level = sqrt(area * (cos(a) ** 2 - (slope * sin(a)) ** 2) / slope)
    low, high = level / (cos(a) - slope * sin(a)), level / (cos(a) + slope * sin(a))
    y, z = slope * (low - high) / 3.0, (low + high) / 3.0
    return Section(area, level, y * cos(a) + z * sin(a))


def cylinder(draft: float, heel: float, radius: float = 8.0) -> Section:
    a, depth = radians(heel), radius - draft
    area = radius**2 * np.arccos(depth / radius) - depth * sqrt(radius**2 - depth**2)
    return Section(float(area), radius * cos(a) - depth, radius * sin(a))


def km(section, draft: float) -> float:
    """Limit of KN / sin(heel)."""
    return section(draft, 1e-4).kn / sin(radians(1e-4))


def afloat(section, draft: float, trim: float = 0.0, heels=HEELS) -> Waterplane:
    """A prism of this section, her hydrostatic rows 5 cm apart, her cross curves 0.5 m. Trimmed, but with the same KN:
    the formula's own premise."""
    rows = [
        {"trim": t, "draft": d, "displacement": WATER * LENGTH * section(d, 0.0).area, "lcb": 50.0 - 5.0 * t,
         "lcf": 50.0, "km": km(section, d), "tpc": 1.0, "mctc": 1.0, "vcb": None, "tcb": None,
         "block_coefficient": None}
        for t in (-3.0, 0.0, 3.0) for d in np.linspace(3.0, 9.5, 131)
    ]  # fmt: skip
    drafts = np.linspace(3.5, 9.0, 12)
    masses = [WATER * LENGTH * section(d, 0.0).area for d in drafts]
    levers = np.array([[section(d, heel).kn for heel in heels] for d in drafts])
    return waterplane(
        rows, masses, levers, heels, WATER * LENGTH * section(draft, 0.0).area, 50.0 - 5.0 * trim
    )


def waterplane(rows, masses, levers, heels, mass: float, lcg: float) -> Waterplane:
    hydrostatics = Hydrostatics.from_rows(WATER, True, rows)
    curves = CrossCurves(WATER, heels, (CrossCurveTable(0.0, masses, levers),))
    flotation = float_on(hydrostatics, LENGTH, mass, lcg, 5.0, WATER)
    return Waterplane(LevelTables.of(curves, hydrostatics), mass, flotation)


def test_the_sections_are_what_they_say():
    """The closed forms against the definition of KN: at the level of the section the immersed area is that upright."""
    for section, draft in ((box, 6.0), (wedge, 6.0), (cylinder, 5.0)):
        assert section(draft, 0.0).level == pytest.approx(draft, abs=1e-12)
    assert wedge(6.0, 20.0).kn / sin(radians(20.0)) > km(wedge, 6.0)
    assert cylinder(8.0, 30.0).area == pytest.approx(0.5 * pi * 64.0, rel=1e-12)


@pytest.mark.parametrize("heel", [3.0, 7.5, 12.0, 20.0])
@pytest.mark.parametrize("draft", [4.3, 6.1, 7.4])
def test_level_of_a_box(draft, heel):
    """Her sides stay wet and her deck edge dry: 20 degrees move the waterline at her side by 2.9 m."""
    assert afloat(box, draft).level(heel) == pytest.approx(box(draft, heel).level, abs=0.001)


@pytest.mark.parametrize("heel", [3.0, 7.5, 12.0, 20.0, 30.0, 34.0])
@pytest.mark.parametrize("draft", [4.3, 6.1, 7.4])
def test_level_of_a_wedge(draft, heel):
    """She rises as she heels: her level falls by 1.6 m at 30 degrees and 6.1 m draft. Her flatter side leaves the water
    at 48 degrees."""
    found = afloat(wedge, draft, heels=[h for h in HEELS if h <= 40.0]).level(heel)
    assert found == pytest.approx(wedge(draft, heel).level, abs=0.002)


@pytest.mark.parametrize("heel", [3.0, 12.0, 20.0, 33.0, 47.0, 59.0])
@pytest.mark.parametrize("draft", [4.3, 6.1, 8.0])
def test_level_of_a_cylinder(draft, heel):
    assert afloat(cylinder, draft).level(heel) == pytest.approx(cylinder(draft, heel).level, abs=0.002)


@pytest.mark.parametrize("trim", [-2.0, -0.5, 0.0, 1.0, 2.0])
@pytest.mark.parametrize("x", [5.0, 50.0, 90.0])
def test_immersion_of_a_point_of_a_trimmed_cylinder(trim, x):
    """A point at radius r and angle b from the vertical through the axis goes under where r cos(b + heel) equals the
    height of the waterplane at it: closed form."""
    draft, y, z = 6.0, 5.0, 15.0
    level = draft + (50.0 - x) * trim / LENGTH - 8.0  # from the axis
    radius, b = sqrt(y**2 + (z - 8.0) ** 2), np.arctan2(y, z - 8.0)
    exact = degrees(np.arccos(level / radius) - b)
    found = afloat(cylinder, draft, trim).immersion_angle(x, y, z)
    assert found == pytest.approx(exact if exact <= 60.0 else inf, abs=0.02)


def test_a_point_under_water_upright_and_one_that_stays_dry():
    found = afloat(cylinder, 6.0)
    assert found.immersion_angle(50.0, 3.0, 5.9) == 0.0
    assert found.immersion_angle(50.0, -3.0, 15.9) == inf


def test_the_turned_waterline_that_leaves_sinkage_out_is_far_off():
    """A deep box, 16 x 9 m at 6.1 m: an opening 3 m off the centreline, 10 m up, goes under at 43.3 degrees; turning
    the upright waterline about the centreline gives 52.4. The section is cut exactly."""
    section = clipped_box(6.1)
    exact = brentq(lambda h: 10.0 * cos(radians(h)) - 3.0 * sin(radians(h)) - section(h), 20.0, 70.0)
    assert exact == pytest.approx(43.26, abs=0.01)
    assert degrees(np.arctan2(10.0 - 6.1, 3.0)) == pytest.approx(52.43, abs=0.01)
    answer = deep_box_angle(3.0, 10.0)
    assert answer == pytest.approx(exact, abs=0.1)


def clipped_box(draft: float, breadth: float = 16.0, depth: float = 9.0):
    """Level of the waterplane of a closed box by heel: the section cut exactly, area by the shoelace formula."""

    def level(heel: float) -> float:
        low, high = -30.0, 30.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            if immersed(middle, heel)[0] < breadth * draft:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)

    def immersed(at: float, heel: float):
        c, s = cos(radians(heel)), sin(radians(heel))
        corners = [(-breadth / 2, 0.0), (breadth / 2, 0.0), (breadth / 2, depth), (-breadth / 2, depth)]
        kept = []
        for (y0, z0), (y1, z1) in zip(corners, corners[1:] + corners[:1]):
            f0, f1 = z0 * c - y0 * s - at, z1 * c - y1 * s - at
            if f0 <= 0.0:
                kept.append((y0, z0))
            if (f0 < 0.0) != (f1 < 0.0):
                part = f0 / (f0 - f1)
                kept.append((y0 + part * (y1 - y0), z0 + part * (z1 - z0)))
        if len(kept) < 3:
            return 0.0, 0.0, 0.0
        crosses = [(a[0] * b[1] - b[0] * a[1], a, b) for a, b in zip(kept, kept[1:] + kept[:1])]
        area = sum(cross for cross, _, _ in crosses) / 2.0
        y = sum(cross * (a[0] + b[0]) for cross, a, b in crosses) / 6.0 / area
        z = sum(cross * (a[1] + b[1]) for cross, a, b in crosses) / 6.0 / area
        return area, y, z

    level.immersed = immersed
    return level


def deep_box_angle(y: float, z: float, draft: float = 6.1) -> float:
    """The same by cross curves of the closed box."""
    drafts, heels = np.linspace(1.0, 8.8, 20), [*HEELS, 70.0, 80.0]

    def lever(d: float, heel: float) -> float:
        section = clipped_box(d)
        _, yb, zb = section.immersed(section(heel), heel)
        return yb * cos(radians(heel)) + zb * sin(radians(heel))

    rows = [
        {"trim": 0.0, "draft": d, "displacement": WATER * LENGTH * 16.0 * d, "lcb": 50.0, "lcf": 50.0,
         "km": d / 2.0 + 256.0 / (12.0 * d), "tpc": 1.0, "mctc": 1.0, "vcb": d / 2.0, "tcb": None,
         "block_coefficient": None}
        for d in np.linspace(0.5, 9.0, 60)
    ]  # fmt: skip
    masses = [WATER * LENGTH * 16.0 * d for d in drafts]
    levers = np.array([[lever(d, heel) for heel in heels] for d in drafts])
    found = waterplane(rows, masses, levers, heels, WATER * LENGTH * 16.0 * draft, 50.0)
    return found.immersion_angle(50.0, y, z)


# --- the demonstration hull ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hull_tables():
    """Halvenmoor's hull at trims of -2, 0 and 2 m: her own tables, unrounded."""
    document = json.loads(demo.read_vessel("halvenmoor"))
    trims, drafts = (-2.0, 0.0, 2.0), np.linspace(3.0, 8.0, 21)
    rows, tables = [], []
    for trim in trims:
        floating = [upright(HULL, float(d), trim) for d in drafts]
        rows += [
            {"trim": trim, "draft": float(d), "displacement": u.volume * WATER, "lcb": u.lcb, "lcf": u.lcf, "km": u.km,
             "tpc": 1.0, "mctc": 1.0, "vcb": u.vcb, "tcb": None, "block_coefficient": None}
            for d, u in zip(drafts, floating)
        ]  # fmt: skip
        volumes = np.linspace(floating[0].volume, floating[-1].volume, 9)
        levers = np.array([[kn(HULL, float(v), heel, trim) for heel in HEELS] for v in volumes])
        tables.append(CrossCurveTable(trim, (volumes * WATER).tolist(), levers))
    hydrostatics = Hydrostatics.from_rows(WATER, True, rows)
    curves = CrossCurves(WATER, HEELS, tuple(tables))
    return document, hydrostatics, LevelTables.of(curves, hydrostatics)


@pytest.mark.parametrize("trim", [-1.6, -0.4, 0.0, 0.94, 1.8])
@pytest.mark.parametrize("draft", [4.4, 6.0, 7.1])
def test_openings_of_a_hull_within_a_tenth_of_a_degree(hull_tables, draft, trim):
    document, hydrostatics, levels = hull_tables
    row = upright(HULL, draft, trim)
    mass = row.volume * WATER
    # the centre of gravity that floats her at this trim: G and B on one normal
    lcg = row.lcb + trim / HULL.length * (6.0 - row.vcb)
    flotation = float_on(hydrostatics, HULL.length, mass, lcg, 6.0, WATER)
    assert flotation.trim == pytest.approx(trim, abs=0.03)
    afloat_now = Waterplane(levels, mass, flotation)
    for opening in document["openings"]:
        place = opening["x"], abs(opening["y"]), opening["z"]
        exact = immersion_angle(HULL, row.volume, *place, trim=flotation.trim)
        found = afloat_now.immersion_angle(*place)
        if exact < 59.0:
            assert found == pytest.approx(exact, abs=0.1), opening["id"]
        else:
            assert found > 58.5


def conditions() -> list[tuple[str, str]]:
    return [(ship, name) for ship in demo.demo_vessel_ids() for name in demo.condition_names(ship)]


@pytest.mark.parametrize("printed", [True, False])
@pytest.mark.parametrize(("ship", "name"), conditions())
def test_down_flooding_of_every_demonstration_condition(ship, name, printed):
    """With the printed angles, corrected to her trim, and without any: both against the hull balanced at that trim."""
    vessel = json.loads(demo.read_vessel(ship))
    for place in () if printed else (*vessel["openings"], vessel["deck_edge"]):
        place.pop("immersion_angles")
    answer = Assessor().assessment(
        {"vessel": vessel, "condition": json.loads(demo.read_condition(ship, name))}
    )
    flooding, hull = answer["righting_lever"]["down_flooding"], HULLS[ship]
    opening = next(o for o in vessel["openings"] if o["id"] == flooding["opening"])
    volume, x = answer["displacement"] / answer["flotation"]["water_density"], opening["x"]
    if ship == "ostrel":  # feet and long tons, x from amidships, positive aft
        volume, x = volume * 1.0160469088 / 0.3048**3, 0.5 * hull.length - x
    exact = immersion_angle(
        hull, volume, x, abs(opening["y"]), opening["z"], trim=answer["flotation"]["trim"]
    )
    assert flooding["angle"] == pytest.approx(exact, abs=0.1)
