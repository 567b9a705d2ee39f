"""International Convention on Load Lines, 1966: marks of the seasons and allowances for the density of the water.

Sources: regulation 40 (tropical a 48th of the summer draft and fresh water displacement / (40 TPC) read at
northernarchitecture.us; the rest values from memory); fresh and dock water allowance read at marineinbox.com and
shipinspection.eu. The ships are constructed.
"""

import pytest

from tests.published.booklet import loaded, ship

SUMMER, FWA = 9.6, 0.200


def with_marks(length=95.0, **marks):
    """40 000 t at 50 t per cm, summer draft 9.6 m: fresh water allowance 200 mm."""
    lines = {"summer_draft": SUMMER, **({"marks": marks} if marks else {})}
    return ship(40_000, 8, 9, length=length, draft=SUMMER, tpc=50, load_lines=lines, rule_sets=["load-lines"])


def permitted(assess, vessel, mark, density):
    row = assess(loaded(vessel, density=density, load_line_mark=mark))["criteria"][0]
    assert next(d["value"] for d in row["details"] if d["name"] == "mark in force") == mark
    return row["limit"]


# mark, density, length, permitted draft above the summer draft
MARKS = [
    ("S", 1.025, 95.0, 0.0),
    ("T", 1.025, 95.0, SUMMER / 48),
    ("W", 1.025, 95.0, -SUMMER / 48),
    ("WNA", 1.025, 95.0, -SUMMER / 48 - 0.050),
    ("WNA", 1.025, 100.0, -SUMMER / 48 - 0.050),
    ("WNA", 1.025, 100.1, -SUMMER / 48),
    ("F", 1.000, 95.0, FWA),
    ("TF", 1.000, 95.0, SUMMER / 48 + FWA),
    ("S", 1.000, 95.0, FWA),
    # dock water allowance = FWA (1025 - density) / 25: 120 mm at 1010
    ("S", 1.010, 95.0, 0.120),
    ("F", 1.010, 95.0, 0.120),
    ("T", 1.010, 95.0, SUMMER / 48 + 0.120),
    ("S", 1.030, 95.0, 0.0),
]


@pytest.mark.parametrize(("mark", "density", "length", "above"), MARKS)
def test_permitted_draft(assess, mark, density, length, above):
    assert permitted(assess, with_marks(length), mark, density) - SUMMER == pytest.approx(above, abs=1e-9)


def test_a_printed_mark_goes_before_the_formula(assess):
    vessel = with_marks(W=9.41, F=9.79)
    assert permitted(assess, vessel, "W", 1.025) == pytest.approx(9.41, abs=1e-12)
    assert permitted(assess, vessel, "F", 1.000) == pytest.approx(9.79, abs=1e-12)
    assert permitted(assess, vessel, "WNA", 1.025) == pytest.approx(9.36, abs=1e-12)
