"""Halvenmoor's sections, lightship segments, limits and decks agree with her hull and her other tables.

Sources: definitions (an area is the integral of a breadth, a displacement that of areas), closed forms, and IACS UR
S7 and S11 for the limits (values from memory).
"""

import json
from functools import cache
from typing import Any

import numpy as np
import pytest

from service.core.hull.sections import immersed
from service.demo import read_vessel
from service.demo.booklet import block_coefficient
from service.demo.deck_area import deck
from service.demo.halvenmoor import FITTINGS, PRINTING
from service.demo.halvenmoor_form import FORM, HULL
from service.demo.strength import bending_limits, section_areas, wave_coefficient

WATER = 1.025


@cache
def vessel() -> dict[str, Any]:
    return json.loads(read_vessel("halvenmoor"))


def sections() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    table = vessel()["strength"]["sections"]
    return np.array(table["x"]), np.array(table["drafts"]), np.array(table["areas"])


@pytest.mark.parametrize("trim", [0.0, -1.0, 2.0, 3.0])
def test_sections_displace_what_the_hydrostatic_table_says(trim: float) -> None:
    """Definition: volume and its moment are integrals of areas, here by the trapezium between printed sections and
    between printed drafts. The table was cut from polygons of the hull, the areas from its half-breadths. Tolerance:
    a tenth of a percent, 3 cm of LCB (chords of a convex curve between printed sections)."""
    x, drafts, areas = sections()
    for row in vessel()["hydrostatics"]["rows"]:
        if row["trim"] != trim:
            continue
        levels = row["draft"] - trim * (x / FORM.length - 0.5)
        at = np.array([np.interp(level, drafts, line) for level, line in zip(levels, areas, strict=True)])
        mass = WATER * float(np.trapezoid(at, x))
        assert mass == pytest.approx(row["displacement"], rel=0.0012), row["draft"]
        assert WATER * float(np.trapezoid(at * x, x)) / mass == pytest.approx(row["lcb"], abs=0.05)


def test_areas_against_polygons_of_the_hull() -> None:
    """Two routes: half-breadths integrated up the section, and polygons of the hull cut at the level."""
    cut = immersed(HULL.sections, 0.0, 4.0)
    areas = section_areas(FORM, HULL.sections.x[::7], np.array([4.0]))[:, 0]
    assert areas == pytest.approx(cut.area[::7], rel=2e-3, abs=0.02)


def test_areas_end_at_the_watertight_deck() -> None:
    """Amidships the deck stands at 8 m: deeper drafts add nothing; the box there is breadth times draft less both
    bilges, (1 - pi/4) r2 each, r = 1.25 m (closed form)."""
    x, drafts, areas = sections()
    row = areas[int(np.argmin(np.abs(x - 48.0)))]
    by_draft = dict(zip(drafts.tolist(), row.tolist(), strict=True))
    assert by_draft[9.0] == by_draft[8.0]
    assert by_draft[6.0] == pytest.approx(14.4 * 6.0 - 2.0 * (1.0 - np.pi / 4.0) * 1.25**2, abs=0.01)
    assert (np.diff(areas, axis=1) >= 0.0).all()


def test_segments_add_up_to_the_lightship() -> None:
    """Definition: mass and first moment. Tolerance: rates printed to a kilogram a metre over her length."""
    mass = moment = 0.0
    for row in vessel()["lightship"]["segments"]:
        length = row["x_to"] - row["x_from"]
        low, high = row.get("mass_from"), row.get("mass_to")
        if "mass" in row:
            low = high = row["mass"] / length
        mass += 0.5 * length * (low + high)
        thirds = low * (2.0 * row["x_from"] + row["x_to"]) + high * (row["x_from"] + 2.0 * row["x_to"])
        moment += length * thirds / 6.0
    ship = vessel()["lightship"]
    assert mass == pytest.approx(ship["mass"], abs=0.05)
    assert moment / mass == pytest.approx(ship["lcg"], abs=0.01)
    assert sum(each.mass for each in FITTINGS) < 0.5 * ship["mass"]


def test_limits_by_hand() -> None:
    """IACS UR S7.3, S11.2.2 (values from memory), L = 89 m, B = 14.4 m, Cb as printed: what the least section modulus
    bears at 175 N/mm2 less the wave's part, in t.m; harbour leaves room for half the wave."""
    block = vessel()["particulars"]["block_coefficient"]
    assert wave_coefficient(89.0) == pytest.approx(10.75 - 2.11**1.5, rel=1e-12)
    size = (10.75 - 2.11**1.5) * 89.0**2 * 14.4
    hogging = (175.0 * (block + 0.7) - 190.0 * block) * size / 9810.0
    sagging = (175.0 - 110.0) * (block + 0.7) * size / 9810.0
    limits = bending_limits(FORM, block_coefficient(FORM, HULL))
    assert limits["sea"] == pytest.approx((hogging, sagging), rel=1e-3)
    amidships = next(row for row in vessel()["strength"]["stations"] if row["name"] == "Frame 74")
    assert amidships["bending_moment_sea"] == pytest.approx(hogging, abs=12.0)
    assert amidships["bending_moment_sea_sagging"] == pytest.approx(sagging, abs=12.0)


def test_limits_are_wider_in_harbour_and_for_hogging() -> None:
    for row in vessel()["strength"]["stations"]:
        for quantity, other in (("shear_force", "negative"), ("bending_moment", "sagging")):
            sea, harbour = row[f"{quantity}_sea"], row[f"{quantity}_harbour"]
            assert 0.0 < row[f"{quantity}_sea_{other}"] < sea < harbour
            assert row[f"{quantity}_harbour_{other}"] <= harbour


def test_deck_areas() -> None:
    """Closed form: amidships a strip of deck is the breadth, 14.4 m, less the hatch, 11.1 m. The decks printed cover
    what lies inside her outline seen from above, by a sum over thin strips; the wheelhouse stands over the house."""
    strip = deck(FORM, PRINTING, "strip", 45.0, 50.0, 11.1)
    assert (strip["area"], strip["x"], strip["z"]) == pytest.approx((16.5, 47.5, 8.0), abs=0.01)
    x = np.linspace(FORM.transom + 0.01, FORM.foremost() - 0.02, 4001)
    breadth = 2.0 * FORM.half_breadth(x, FORM.top(x))
    printed = {row["name"]: row["area"] for row in vessel()["icing_surfaces"]}
    assert printed["Forecastle deck"] == pytest.approx(
        float(np.trapezoid(breadth[x > 80.0], x[x > 80.0])), abs=1.0
    )
    beside = np.maximum(breadth - 11.1, 0.0)
    after = (x > 18.86) & (x < 48.4)
    assert printed["Main deck beside hatch 2"] == pytest.approx(
        float(np.trapezoid(beside[after], x[after])), abs=0.6
    )
    assert printed["Hatch covers 1"] == pytest.approx(24.7 * 11.1, abs=0.1)
