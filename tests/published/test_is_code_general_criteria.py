"""2008 IS Code, Part A 2.2: limits of the righting lever criteria; Part B 3.1: which free surfaces count.

Sources: International Code on Intact Stability, 2008 (resolution MSC.267(85)); the same limits read in A.749(18)
3.1.2.1 to 3.1.2.4, and at crewtraffic.com; Part B 3.1 read in part, the rest value from memory. The ship with six
tanks is constructed.
"""

from math import degrees, pi

import pytest

from tests.published.booklet import loaded, ship, surface

# quantity by clause, as printed in metres and metre-radians
LIMITS = {
    "is-code-2008-a-2.2.1-area-to-30": 0.055,
    "is-code-2008-a-2.2.1-area-to-40": 0.09,
    "is-code-2008-a-2.2.1-area-30-to-40": 0.03,
    "is-code-2008-a-2.2.2-lever": 0.20,
    "is-code-2008-a-2.2.3-angle-of-maximum": 25.0,
    "is-code-2008-a-2.2.4-initial-gm": 0.15,
}


def test_limits_of_part_a_2_2(rule_set):
    rows = {row["id"]: row for row in rule_set("is-code-2008-a-2.2")["criteria"]}
    assert {id: row["limit"] for id, row in rows.items()} == LIMITS
    assert {row["comparison"] for row in rows.values()} == {">="}
    assert sum(LIMITS.values()) == pytest.approx(25.525, abs=1e-12)


def test_areas_in_metre_degrees_and_foot_degrees():
    """As printed in other documents: 0.055 m rad is 3.151 metre-degrees and 10.339 foot-degrees; 0.09 is 5.157
    and 16.92; 0.03 is 1.719 and 5.64."""
    metre_degrees = [degrees(area) for area in (0.055, 0.09, 0.03)]
    assert metre_degrees == pytest.approx([3.151, 5.157, 1.719], abs=0.0005)
    assert [a / 0.3048 for a in metre_degrees] == pytest.approx([10.339, 16.92, 5.64], abs=0.005)
    assert 180 / pi * 0.08 == pytest.approx(4.584, abs=0.0005)


# tank, density, inertia in m4, filling in percent, moment that counts in t m
TANKS = [
    ("A", 1.025, 480, 0.0, 0.0),
    ("B", 0.95, 620, 50.0, 589.0),
    ("C", 0.85, 150, 97.0, 127.5),
    ("D", 1.0, 300, 98.5, 0.0),
    ("E", 1.025, 900, 100.0, 0.0),
    ("F", 0.9, 20, 40.0, 18.0),
]


@pytest.fixture(scope="module")
def vessel():
    return ship(
        12_000, 7.0, 8.0, rule_sets=["is-code-2008-a-2.2"], particulars={"minimum_service_displacement": 4000.0},
        tanks=[surface(id, inertia, density) for id, density, inertia, _, _ in TANKS],
    )  # fmt: skip


# basis, moments that count, sum, loss of GM: a small tank may be left out by the rule, for 18 t m at upright is less
# than 0.01 m of the minimum displacement of 4000 t (2008 IS Code B/3.1.12: the moment at 30 degrees)
BASES = [
    ("as_filled", [row[4] for row in TANKS], 734.5, 0.061208),
    ("by_rule", [*(row[4] for row in TANKS[:-1]), 0.0], 716.5, 716.5 / 12_000),
]


@pytest.mark.parametrize(("basis", "moments", "total", "loss"), BASES)
def test_full_empty_and_slack_tanks(assess, vessel, basis, moments, total, loss):
    """Empty, and above 98 per cent, a tank has no free surface; at 97 per cent it has (B/3.1.2)."""
    fills = {id: fill for id, _, _, fill, _ in TANKS}
    answer = assess(loaded(vessel, fills=fills, counted=True, basis=basis))
    assert [t["free_surface_moment"] for t in answer["tanks"]] == pytest.approx(moments, abs=1e-9)
    assert answer["free_surface_moment"] == pytest.approx(total, abs=1e-9)
    assert answer["free_surface_correction"] == pytest.approx(loss, abs=1e-6)
    states = [t["state"] for t in answer["tanks"]]
    assert states == ["empty", "slack", "slack", "pressed_up", "pressed_up", "slack"]
    assert answer["assumed_free_surfaces"] == []  # none of the liquids is consumable
