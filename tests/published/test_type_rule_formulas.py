"""Formulas of the rules for types of ships, each with one set of figures worked through by hand.

Sources stand at each test. Where a document prints a formula as a picture, or was read in a secondary publication, the
formula is a value from memory, as the rule itself says."""

import json
from math import atan, degrees, radians, sin, tan

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.optimize import brentq

from service.actions.assess import Assessor
from service.core.lift import Lift, threshold
from service.core.rules.cfr_46_172_090 import least_gm, trunk_freeboard
from service.core.rules.is_code_2008_a_3_1 import turning_moment
from service.core.rules.is_code_2008_b_2_1 import SmallVessel
from service.core.rules.is_code_2008_b_2_3 import PARTS, Form
from service.core.trunk import BargeTrunk
from service.translation.vcg_limits import vcg_limits
from tests.published.box_vessel import km, vessel
from tests.published.test_vcg_limits import ROOM


def test_turning_moment_of_a_box_at_12_knots() -> None:
    """2008 IS Code A 3.1.2 (coefficient 0.200 from memory): v = 12 x 1852 / 3600 = 6.1733 m/s, 8200 t, KG 6.75 m at a
    draft of 4 m: 0.2 x 0.38110 x 8200 x 4.75 = 2968.77 kN.m. Constant lever M / (g W); heel = lever / GM."""
    speed = 12.0 * 1852.0 / 3600.0
    vcg = (6150.0 * 7.0 + 2050.0 * 6.0) / 8200.0
    moment = turning_moment(speed, 100.0, 8200.0, vcg, 4.0)
    assert moment == pytest.approx(2968.772462222, abs=1e-6)
    lever = moment / (9.81 * 8200.0)
    assert lever == pytest.approx(0.036905752, abs=1e-9)
    # the box's lever to a small heel, wall-sided: sin (GM + BM tan^2 / 2)
    gm, bm = km(4.0) - vcg, 20.0**2 / 12.0 / 4.0
    heel = brentq(lambda a: sin(a) * (gm + 0.5 * bm * tan(a) ** 2) - lever, 0.0, 0.2)
    assert degrees(heel) == pytest.approx(0.59004291, abs=0.01)
    assert degrees(atan(lever / gm)) == pytest.approx(degrees(heel), abs=0.01)


def test_factor_c_of_a_containership() -> None:
    """2008 IS Code B 2.3 (C and D' from memory): D' = 16.5 + 1.8 x 0.52727 x 0.825 = 17.283 m with BD 27.5 m."""
    form = Form(9.0, 16.5, 27.0, 11.2, 0.6, 0.78, 160.0, 66.0, 21.0, 1.8, 27.5)
    assert form.corrected_depth == pytest.approx(16.5 + 1.8 * (14.5 / 27.5) * (132.0 / 160.0), rel=1e-12)
    assert form.corrected_depth == pytest.approx(17.283, abs=1e-9)
    assert form.factor == pytest.approx(0.089474578, abs=1e-9)
    limits = {part: part / form.factor for part in PARTS.values()}
    expected = (0.100587231, 0.178821743, 0.067058154, 0.368819845, 0.469407076, 0.324114410)
    assert sorted(limits.values()) == pytest.approx(sorted(expected), abs=1e-9)


def test_least_gm_of_a_small_fishing_vessel() -> None:
    """2008 IS Code B 2.1.5 (formula from memory): L 22, B 6.4, D 3.3, f 0.55, ls 5 m: 0.53 + 12.8 x 0.014835."""
    small = SmallVessel(22.0, 6.4, 3.3, 0.55, 5.0)
    assert small.least_gm == pytest.approx(0.719885322, abs=1e-9)
    assert small.is_covered


def test_gm_of_a_tank_barge_with_a_trunk() -> None:
    """46 CFR 172.090(b) (sum of freeboards from memory): fa = 1.25 x 40/60 x (28/18 - 1) x 1.2 = 0.5556 m;
    fe = 1.8 + fa; GM = 0.4 x 18 / 2.3556 = 3.0566 m. A trunk counts with its height at most."""
    extra = trunk_freeboard(BargeTrunk(40.0, 14.0, 1.2), 60.0, 18.0)
    assert extra == pytest.approx(0.555555556, abs=1e-9)
    assert 1.8 + extra == pytest.approx(2.355555556, abs=1e-9)
    assert least_gm(0.4, 18.0, 1.8 + extra) == pytest.approx(3.056603774, abs=1e-9)
    assert trunk_freeboard(BargeTrunk(60.0, 18.0, 1.2), 60.0, 18.0) == 1.2


def test_from_which_moment_the_rules_for_lifting_apply() -> None:
    """46 CFR 173.005(b): 0.67 x 1900 x 1.05 x 2.1 / 13 = 215.92 t.m; 22 t at 14 m heel her by 308 t.m."""
    least = threshold(1900.0, 1.05, 2.1, 13.0)
    assert least == pytest.approx(215.920384615, abs=1e-9)
    moment = Lift(None, 22.0, 0.0, -14.0, 20.0).heeling_moment
    assert moment == 308.0 > least


BREADTH, DEPTH = 20.0, 10.0


def box_kn(draft: float, heel: float) -> float:
    """KN of a box of 20 by 10 m: the section below a waterline at the heel, of the same area, by cutting the rectangle
    (Sutherland and Hodgman); its centroid across the heeled ship. Source: definition of KN."""
    low, high = -40.0, 40.0
    for _ in range(50):
        level = 0.5 * (low + high)
        area, _ = below(level, heel)
        low, high = (level, high) if area < BREADTH * draft else (low, level)
    return below(0.5 * (low + high), heel)[1]


def below(level: float, heel: float) -> tuple[float, float]:
    """Area of the box's section under a waterline at a distance from the keel's middle, and its centroid across."""
    c, s = np.cos(heel), np.sin(heel)
    corners = [(-10.0, 0.0), (10.0, 0.0), (10.0, DEPTH), (-10.0, DEPTH)]
    turned = [(y * c + z * s, z * c - y * s - level) for y, z in corners]
    kept: list[tuple[float, float]] = []
    for (a, u), (b, v) in zip(turned, turned[1:] + turned[:1], strict=True):
        if u <= 0.0:
            kept.append((a, u))
        if (u <= 0.0) != (v <= 0.0):
            kept.append((a + (b - a) * u / (u - v), 0.0))
    if len(kept) < 3:
        return 0.0, 0.0
    x, y = np.array(kept).T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = 0.5 * float(cross.sum())
    return area, float(((x + np.roll(x, -1)) * cross).sum()) / (6.0 * area) if area > 1e-9 else 0.0


@pytest.mark.parametrize("draft", [3.0, 5.0, 7.0])
def test_greatest_vcg_of_a_box_by_cutting_its_section(draft: float) -> None:
    """2008 IS Code A 2.2: KG = (area under KN - limit) / (cos - cos), (KN - 0.20) / sin, KM - 0.15; the deck edge is
    under water before 30 degrees at the deepest of these drafts."""

    heels = np.radians(np.linspace(0.0, 40.0, 81))
    levers = np.array([box_kn(draft, heel) for heel in heels])
    to_30, to_40 = simpson(levers[:61], x=heels[:61]), simpson(levers, x=heels)
    cos = {angle: np.cos(radians(angle)) for angle in (30.0, 40.0)}
    expected = {
        "2.2.1-area-to-30": (to_30 - 0.055) / (1.0 - cos[30.0]),
        "2.2.1-area-to-40": (to_40 - 0.090) / (1.0 - cos[40.0]),
        "2.2.1-area-30-to-40": (to_40 - to_30 - 0.030) / (cos[30.0] - cos[40.0]),
        "2.2.4-initial-gm": km(draft) - 0.15,
    }
    body = {
        "vessel": vessel(), "units": "metric", "drafts": [draft], "water_density": 1.025,
        "rule_sets": ["is-code-2008-a-2.2"],
    }  # fmt: skip
    (row,) = json.loads(Assessor().answer_about_vessel(json.dumps(body).encode(), vcg_limits))["rows"]
    found = {each["id"].removeprefix("is-code-2008-a-"): each for each in row["criteria"]}
    for name, highest in expected.items():
        assert found[name]["max_vcg"] == pytest.approx(highest, abs=2.0 * ROOM), name
