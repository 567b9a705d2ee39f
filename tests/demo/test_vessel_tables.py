"""The committed tables of both demonstration ships agree with one another.

Sources: definitions and closed forms, named at each test.  Tolerances come from the last printed digit of the
columns that enter, plus the error of the finite difference where one is taken (said there).
"""

import json
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from service.core.hull.cross_curves import immersion_angle, kn
from service.core.hull.hydrostatics import upright
from service.demo import halvenmoor_form, ostrel_form, read_vessel
from service.demo.halvenmoor_tanks import TANKS
from service.demo.tank_shape import shift_moment, solid
from tests.demo.booklet_sum import MASS, STEP, columns

FORMS = {"halvenmoor": halvenmoor_form.FORM, "ostrel": ostrel_form.FORM}
HULLS = {"halvenmoor": halvenmoor_form.HULL, "ostrel": ostrel_form.HULL}
WATER = 1.025

both = pytest.mark.parametrize("ship", sorted(FORMS))


@cache
def vessel(ship: str) -> dict[str, Any]:
    return json.loads(read_vessel(ship))


def table(ship: str, trim: float = 0.0) -> list[dict[str, float]]:
    return [row for row in vessel(ship)["hydrostatics"]["rows"] if row["trim"] == trim]


def from_ap(ship: str, x: np.ndarray) -> np.ndarray:
    """Printed positions as distances forward of the aft perpendicular."""
    if vessel(ship)["axes"]["x_origin"] == "midship":
        return vessel(ship)["particulars"]["length_bp"] / 2.0 - x
    return x


@both
def test_slope_of_kn_upright_is_km(ship: str) -> None:
    """Definition: d(KN)/d(heel) at 0 = KM.  KN is odd, so a spline through both sides has its slope there.

    Tolerance: half a digit of KN over the first step of 5 degrees, and the spline's own error (1 in 250).  Up to
    the deepest load line: beyond it the deck edge goes under within the first steps, a knuckle no spline
    follows; the exact slope is checked there by the next test."""
    curves = vessel(ship)["cross_curves"]
    heels = np.radians(curves["heels"])
    draft, mass, km = columns(table(ship), "draft", "displacement", "km")
    deepest = np.interp(max(vessel(ship)["load_lines"]["marks"].values()), draft, mass)
    for displacement, levers in zip(curves["displacements"], curves["levers"], strict=True):
        if not mass[0] <= displacement <= deepest:
            continue
        both_sides = np.concatenate((-heels[::-1], [0.0], heels))
        values = np.concatenate((-np.array(levers)[::-1], [0.0], levers))
        slope = float(CubicSpline(both_sides, values)(0.0, 1))
        expected = float(CubicSpline(mass, km)(displacement))
        assert slope == pytest.approx(expected, abs=0.0005 / heels[0] + expected / 250.0)


@both
@pytest.mark.parametrize("trim", [-1.0, 0.0, 2.0])
def test_slope_of_kn_upright_is_km_exactly(ship: str, trim: float) -> None:
    """Definition, on the hull itself and at any trim: KN / heel tends to KM.  Tolerance: the second order of
    a heel of a tenth of a degree, 1e-6 in relation, and the polygons of the sections."""
    for draft in np.array([0.45, 0.8, 1.05]) * FORMS[ship].draft:
        row = upright(HULLS[ship], float(draft), trim)
        slope = kn(HULLS[ship], row.volume, 0.1, trim) / np.radians(0.1)
        assert slope == pytest.approx(row.km, rel=2e-5)


@both
def test_displacement_grows_by_tpc(ship: str) -> None:
    """Definition: d(displacement)/d(draft) = TPC per step of draft; central differences, exact for a
    parabola; tolerance of half a digit in each displacement and in TPC, and 0.1 for the third order."""
    units = vessel(ship)["units"]
    draft, mass, tpc = columns(table(ship), "draft", "displacement", "tpc")
    slope = (mass[2:] - mass[:-2]) / (draft[2:] - draft[:-2])
    digits = 0.05 / (draft[1] - draft[0]) + 0.0005 * STEP[units]
    assert slope == pytest.approx(tpc[1:-1] * STEP[units], abs=digits + 0.1)


@both
def test_displacement_is_the_integral_of_tpc(ship: str) -> None:
    """Definition: displacement difference = integral of TPC over draft (spline through the table).
    Tolerance: half a digit of both displacements, and of TPC along the whole range."""
    units = vessel(ship)["units"]
    draft, mass, tpc = columns(table(ship), "draft", "displacement", "tpc")
    total = CubicSpline(draft, tpc * STEP[units]).integrate(draft[0], draft[-1])
    assert float(total) == pytest.approx(mass[-1] - mass[0], abs=0.1 + 0.0005 * STEP[units])


@both
@pytest.mark.parametrize(("centre", "at"), [("vcb", "draft"), ("lcb", "lcf")])
def test_moments_of_volume_grow_by_those_of_the_waterplane(ship: str, centre: str, at: str) -> None:
    """Definition: d(V * VCB)/dd = Aw * d and d(V * LCB)/dd = Aw * LCF, integrated over the whole table.
    Tolerance: half a digit of the centre at the deepest draft (0.0005) times the volume there, twice."""
    rows = table(ship)
    draft, mass, area = columns(rows, "draft", "displacement", "waterplane_area")
    volume = mass / WATER / MASS[vessel(ship)["units"]]
    arm, centres = columns(rows, at)[0], columns(rows, centre)[0]
    if centre == "lcb":
        arm, centres = from_ap(ship, arm), from_ap(ship, centres)
    grown = float(CubicSpline(draft, area * arm).integrate(draft[0], draft[-1]))
    moment = volume * centres
    digits = 0.001 * volume[-1] + 0.05 * centres[-1] / WATER / MASS[vessel(ship)["units"]] * 2.0
    assert grown == pytest.approx(moment[-1] - moment[0], abs=digits)


@both
def test_metacentres_follow_from_the_hull(ship: str) -> None:
    """Definition: KM = KB + I/V, MCTC = displacement * BML / length, CB = V / L B d.  Tolerance: half a digit of each
    column that enters."""
    particulars, units = vessel(ship)["particulars"], vessel(ship)["units"]
    for row in table(ship)[::7]:
        whole = upright(HULLS[ship], row["draft"])
        assert row["km"] == pytest.approx(row["vcb"] + whole.waterplane_inertia / whole.volume, abs=0.0011)
        bml = row["kml"] - row["vcb"]
        step = row["displacement"] / particulars["length_bp"] / STEP[units]
        digits = 0.005 + 0.0056 * step + 0.05 * bml * step / row["displacement"]
        assert row["mctc"] == pytest.approx(step * bml, abs=digits)
        volume = row["displacement"] / WATER / MASS[units]
        box = particulars["length_bp"] * particulars["breadth"] * row["draft"]
        assert row["block_coefficient"] == pytest.approx(
            volume / box, abs=0.00005 + 0.05 * volume / box / row["displacement"]
        )


@both
def test_trimmed_tables_meet_the_even_keel_table(ship: str) -> None:
    """Definition: at a held draft amidships d(V)/d(trim) = Aw (L/2 - LCF)/L, and the even-keel table lies
    between those trimmed by the head and by the stern.  Tolerance: 4 percent of the change and
    a two-thousandth of the immersion per unit of draft, for its curvature."""
    units = vessel(ship)["units"]
    length = vessel(ship)["particulars"]["length_bp"]
    span = 1.0 if units == "metric" else 2.0
    head, level, stern = table(ship, -span), table(ship), table(ship, span)
    for a, b, c in list(zip(head, level, stern, strict=True))[20::5]:
        lcf = float(from_ap(ship, np.array(b["lcf"])))
        slope = b["tpc"] * STEP[units] * (length / 2.0 - lcf) / length
        assert (c["displacement"] - a["displacement"]) / (2.0 * span) == pytest.approx(
            slope, abs=0.04 * abs(slope) + 0.0005 * b["tpc"] * STEP[units] + 0.05
        )
        lcb = from_ap(ship, np.array([a["lcb"], b["lcb"], c["lcb"]]))
        assert lcb[0] > lcb[1] > lcb[2]
        assert lcb[1] == pytest.approx((lcb[0] + lcb[2]) / 2.0, abs=0.02 * (lcb[0] - lcb[2]))


@both
def test_kn_against_a_count_of_cells(ship: str) -> None:
    """Definition of KN, worked another way: the hull as a heap of small cells, the wet ones picked by sorting
    their depth until they displace the volume.  Tolerance: the cell size over a few hundred cells."""
    form, document = FORMS[ship], vessel(ship)
    curves = document["cross_curves"]
    heel_index, mass_index = curves["heels"].index(40.0), len(curves["displacements"]) // 2
    volume = curves["displacements"][mass_index] / WATER / MASS[document["units"]]
    ends = np.linspace(form.transom, form.foremost(), 321)
    x = (ends[1:] + ends[:-1]) / 2.0
    size = form.breadth / 240.0
    z = np.arange(size / 2.0, float(form.top(x).max()), size)
    y = np.arange(-form.breadth / 2.0 + size / 2.0, form.breadth / 2.0, size)
    half = np.where(z[None, :] < form.top(x)[:, None], form.half_breadth(x[:, None], z[None, :]), -1.0)
    counts = (np.abs(y)[None, :, None] <= half[:, None, :]).sum(axis=0)
    angle = np.radians(40.0)
    depth = (z[None, :] * np.cos(angle) - y[:, None] * np.sin(angle)).ravel()
    lever = (y[:, None] * np.cos(angle) + z[None, :] * np.sin(angle)).ravel()
    order = np.argsort(depth)
    filled = np.cumsum(counts.ravel()[order]) * size**2 * (ends[1] - ends[0])
    wet = order[: np.searchsorted(filled, volume)]
    found = float(np.average(lever[wet], weights=counts.ravel()[wet]))
    assert curves["levers"][mass_index][heel_index] == pytest.approx(found, abs=size / 8.0)


def tanks_with_tables() -> list[Any]:
    return [
        pytest.param(ship, tank, id=f"{ship}-{tank['id']}")
        for ship in sorted(FORMS)
        for tank in vessel(ship)["tanks"]
        if "table" in tank
    ]


@pytest.mark.parametrize(("ship", "tank"), tanks_with_tables())
def test_sounding_table(ship: str, tank: dict[str, Any]) -> None:
    """Definitions: volumes grow; each slice's own centre lies between its two soundings; the last row is the
    full tank; sounding and ullage add up to the same pipe."""
    rows = tank["table"]["rows"]
    assert 6 <= len(rows) <= 40
    sounding, volume, vcg = columns(rows, "sounding", "volume", "vcg")
    assert volume[0] == 0.0
    assert (np.diff(volume) > 0.0).all()
    assert (np.diff(sounding) > 0.0).all()
    assert volume[-1] == tank["capacity"]
    assert [rows[-1][c] for c in ("lcg", "vcg", "tcg")] == [tank[c] for c in ("lcg", "vcg", "tcg")]
    bottom = vcg[0]
    for (s1, v1, z1), (s2, v2, z2) in pairwise(zip(sounding, volume, vcg, strict=True)):
        slack = (0.0005 * (v1 + v2) + 0.005 * (z1 + z2)) / (v2 - v1)
        centre = (v2 * z2 - v1 * z1) / (v2 - v1)
        assert bottom + s1 - slack <= centre <= bottom + s2 + slack
    if "ullage" in rows[0]:
        pipe = columns(rows, "ullage")[0] + sounding
        assert pipe == pytest.approx(pipe[0], abs=1e-9)


def test_wall_sided_wing_tank_is_a_box() -> None:
    """Closed form: No. 3 wing tank lies in the parallel body, hence l b^3 / 12 and l b per unit of depth."""
    tank = next(t for t in vessel("halvenmoor")["tanks"] if t["id"] == "wb-wing-3-p")
    length = tank["extent"]["x_to"] - tank["extent"]["x_from"]
    breadth = vessel("halvenmoor")["particulars"]["breadth"] / 2.0 - 5.55
    rows = tank["table"]["rows"]
    assert rows[-2]["free_surface_inertia"] == pytest.approx(length * breadth**3 / 12.0, abs=0.005)
    (s1, s2), (v1, v2) = columns(rows[-3:-1], "sounding", "volume")
    assert (v2 - v1) / (s2 - s1) == pytest.approx(length * breadth, abs=0.01 / (s2 - s1))


@pytest.mark.parametrize("plan", [plan for plan in TANKS if plan.pair or plan.heeled], ids=lambda p: p.id)
def test_inertia_is_the_small_heel_shift_of_the_liquid(plan: Any) -> None:
    """Definition: moment of shift / heel -> inertia of the free surface.  The shift comes from cutting the tank's
    polygons at half a degree, the inertia from the sounding table: two different calculations."""
    tank = next(t for t in vessel("halvenmoor")["tanks"] if t["id"] == plan.id)
    rows = tank["table"]["rows"]
    row = rows[len(rows) // 2]
    shape = solid(FORMS["halvenmoor"], plan.blocks, plan.side)
    moment = shift_moment(shape, row["volume"] / tank["capacity"], 0.5)
    assert moment / np.radians(0.5) == pytest.approx(row["free_surface_inertia"], rel=0.01, abs=0.02)


@pytest.mark.parametrize("heel", [5.0, 10.0, 25.0, 40.0, 60.0, 80.0])
def test_heeled_moments_of_a_box_tank(heel: float) -> None:
    """Closed form: No. 3 centre double bottom tank is a box, l = 12.35, b = 8.8, h = 1.2 m.  Half full, its moment is
    v b k with k = sin t / 12 (1 + tan^2 t / 2) b/h while the surface meets the sides (cot t >= b/h), and
    k = cos t / 8 (1 + tan t h/b) - cos t h^2 / 12 b^2 (1 + cot^2 t / 2) while it meets top and bottom.
    Same formula in IMO resolution A.749(18), 3.3 (value from memory).  Tolerance: half a digit."""
    tank = next(t for t in vessel("halvenmoor")["tanks"] if t["id"] == "wb-db-3-c")
    length, breadth, height = 12.35, 8.8, 1.2
    assert tank["capacity"] == pytest.approx(length * breadth * height, abs=0.005)
    t, ratio = np.radians(heel), breadth / height
    if 1.0 / np.tan(t) >= ratio:
        k = np.sin(t) / 12.0 * (1.0 + np.tan(t) ** 2 / 2.0) * ratio
    else:
        k = np.cos(t) / 8.0 * (1.0 + np.tan(t) / ratio)
        k -= np.cos(t) / (12.0 * ratio**2) * (1.0 + 1.0 / np.tan(t) ** 2 / 2.0)
    moments = tank["heeled_moments"]
    half = moments["moments"][moments["fillings"].index(50.0)]
    printed = half[moments["heels"].index(heel)]
    assert printed == pytest.approx(length * breadth * height * breadth * k, abs=0.0051)


@both
def test_pairs_mirror_exactly(ship: str) -> None:
    """Invariant: a pair differs by the sign of TCG, its name and its side only."""
    tanks = {tank["id"]: tank for tank in vessel(ship)["tanks"]}
    pairs = [tank for tank in tanks.values() if "pair" in tank]
    assert len(pairs) >= 10
    for tank in pairs:
        twin = tanks[tank["pair"]]
        assert twin["pair"] == tank["id"]
        assert {tank["side"], twin["side"]} == {"port", "starboard"}
        assert tank["tcg"] == -twin["tcg"] != 0.0
        for name in ("capacity", "lcg", "vcg", "extent", "frames", "normal_limit", "printed_free_surface"):
            assert tank.get(name) == twin.get(name)
        if "table" in tank:
            mirrored = [row | {"tcg": -row["tcg"]} for row in twin["table"]["rows"]]
            assert tank["table"]["rows"] == mirrored


def test_printed_columns_differ_by_density_alone() -> None:
    """Definition: limit mass = limit volume * density; moments of one surface go with the density; a surface at the
    limit never has more than the slack one.  Tolerance: half of the last printed digit of each."""
    for tank in vessel("ostrel")["tanks"]:
        if "printed_free_surface" not in tank:
            continue
        found = tank["printed_free_surface"]["columns"]
        assert len({c["contents"] for c in found}) == len(found) >= 2
        for column in found:
            volume = tank["capacity"] * tank["normal_limit"] / 100.0
            assert column["limit_mass"] == pytest.approx(volume * column["density"] * MASS["us"], abs=0.051)
            assert 0.0 < column["limit_moment"] <= column["slack_moment"]
            for name in ("slack_moment", "limit_moment"):
                per_density = column[name] / column["density"]
                assert per_density == pytest.approx(found[0][name] / found[0]["density"], abs=0.12)


@both
def test_wind_area_shrinks_by_the_length_of_the_outline(ship: str) -> None:
    """Definition: d(area)/d(draft) = -length of the outline in the waterline, and the moment about the baseline by that
    length times the draft.  Tolerance: half a digit of both areas over the step."""
    form = FORMS[ship]
    rows = vessel(ship)["wind_profile"]
    draft, area, height = columns(rows, "draft", "area", "centroid_height")
    middle = (draft[1:] + draft[:-1]) / 2.0
    length = form.stem(middle) - form.stern(middle)
    step = np.diff(draft)
    assert -np.diff(area) / step == pytest.approx(length, abs=0.1 / step[0] + 0.02 * length.max())
    moments = -np.diff(area * height)
    digits = 0.0005 * area.max() * 2.0 + 0.05 * height.max() * 2.0
    assert moments == pytest.approx(
        length * middle * step, abs=digits + 0.02 * length.max() * middle.max() * step[0]
    )


@both
def test_deck_edge_angle_at_a_small_freeboard(ship: str) -> None:
    """Closed form for a wall-sided ship: tan(angle) = freeboard / (B/2).  At the deepest draft of the table the
    freeboard is small, and the ends, which are not wall-sided, draw the angle by a few percent at most."""
    edge, particulars = vessel(ship)["deck_edge"], vessel(ship)["particulars"]
    last = edge["immersion_angles"][-1]
    freeboard = min(point["z"] for point in edge["points"]) - last["draft"]
    expected = np.degrees(np.arctan(freeboard / (particulars["breadth"] / 2.0)))
    assert last["angle"] == pytest.approx(expected, rel=0.03)
    angles = columns(edge["immersion_angles"], "angle")[0]
    assert (np.diff(angles) < 0.0).all()


@both
def test_openings_immerse_sooner_when_deeper(ship: str) -> None:
    """Invariant; and at each printed angle the point lies in the waterplane found from a fresh KN calculation:
    recomputed for the deepest draft, tolerance half a digit."""
    for opening in vessel(ship)["openings"]:
        draft, angle = columns(opening["immersion_angles"], "draft", "angle")
        assert (np.diff(angle) < 0.0).all()
        hull = HULLS[ship]
        volume = upright(hull, float(draft[-1])).volume
        x = float(from_ap(ship, np.array(opening["x"])))
        again = immersion_angle(hull, volume, x, abs(opening["y"]), opening["z"])
        assert angle[-1] == pytest.approx(again, abs=0.0051)


@both
def test_load_line_marks(ship: str) -> None:
    """ICLL 1966 Annex I reg 40 (from memory): T and W a forty-eighth of the summer draft away, F by
    displacement / (40 TPC), here from the printed table; rounded down to a thousandth."""
    lines = vessel(ship)["load_lines"]
    marks, summer = lines["marks"], lines["summer_draft"]
    assert marks["S"] == summer
    assert marks["T"] - summer == pytest.approx(summer / 48.0, abs=0.001)
    assert summer - marks["W"] == pytest.approx(summer / 48.0, abs=0.001)
    mass, tpc = (float(np.interp(summer, *columns(table(ship), "draft", n))) for n in ("displacement", "tpc"))
    fresh = mass / (40.0 * tpc * STEP[vessel(ship)["units"]])
    assert marks["F"] - summer == pytest.approx(fresh, abs=0.0015)
    assert marks["TF"] - marks["T"] == pytest.approx(fresh, abs=0.002)


def test_enough_tanks_of_every_kind() -> None:
    """The metric ship has 25 tanks or more, with fuel, diesel, lubricating oil, fresh water, ballast and waste."""
    tanks = vessel("halvenmoor")["tanks"]
    assert len(tanks) >= 25
    assert {t["contents"] for t in tanks} >= {
        "fuel_oil",
        "diesel_oil",
        "lubricating_oil",
        "fresh_water",
        "ballast",
        "waste",
    }
