"""Containerships: six numbers over C (2008 IS Code Part B 2.3.2: 0.009, 0.016, 0.006, 0.033, 0.042, 0.029, read; the
formulae of C and D' are values from memory). Curves are cubics whose areas and levers are closed forms.
"""

from dataclasses import replace
from math import inf, sqrt

import pytest

from service.core.hatch import HatchCoamings
from service.core.rules.is_code_2008_b_2_3 import PARTS, RULE_SET, Form, form_of
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP, Ruling
from tests.core.ship import (
    afloat,
    details,
    just_around,
    particulars,
    situation,
    vessel,
)
from tests.core.type_rules import area, judged, lever, without_a_curve

COAMINGS = HatchCoamings(60.0, 13.0, 1.5)
AROUND = [FAIL, PASS, PASS]
SLUGS = ("area-to-30", "area-to-40", "area-30-to-40", "lever-at-30", "greatest-lever", "area-to-flooding")


def containership(length: float = 160.0, hatch: HatchCoamings | None = COAMINGS, **more):
    dimensions = particulars(length_load_line=length, depth=11.0, block_coefficient=0.62, **more)
    return vessel(particulars=dimensions, hatch_coamings=hatch)


def aboard(length: float = 160.0, **changes):
    given = {"flotation": afloat(6.0, waterplane_area=1250.0), "ship": containership(length)}
    return situation(**{**given, **changes})


def factor() -> float:
    """C of the ship above by hand: d 6, KG = KM - GM = 6.4, D' by the coamings, CW on the waterline's length."""
    p = particulars()
    corrected = 11.0 + 1.5 * (2.0 * 13.0 - p.breadth) / p.breadth * (2.0 * 60.0 / 160.0)
    cw = 1250.0 / (p.length_waterline * p.breadth)
    return 6.0 * corrected / p.breadth**2 * sqrt(6.0 / 6.4) * (0.62 / cw) ** 2 * sqrt(100.0 / 160.0)


def test_the_six_numbers():
    assert list(PARTS.values()) == [0.009, 0.016, 0.006, 0.033, 0.042, 0.029]
    assert all(row.from_memory is not None and row.limit is None for row in PARTS)


def test_c_by_hand():
    """Own figures of a 210 m ship, worked out on paper."""
    form = Form(10.0, 18.0, 31.0, 12.5, 0.64, 0.82, 210.0, 80.0, 26.0, 1.6, 32.0)
    assert form.corrected_depth == pytest.approx(18.0 + 1.6 * (20.0 / 32.0) * (160.0 / 210.0), rel=1e-14)
    expected = 10.0 * form.corrected_depth / 961.0 * sqrt(0.8) * (0.64 / 0.82) ** 2 * sqrt(100.0 / 210.0)
    assert form.factor == pytest.approx(expected, rel=1e-14)


def test_c_of_a_ship_afloat():
    found = form_of(aboard())
    assert isinstance(found, Form)
    assert found.vcg == pytest.approx(6.4)
    assert found.factor == pytest.approx(factor(), rel=1e-12)
    assert details(judged(RULE_SET, ship=aboard())["area-to-30"])["form_factor"] == pytest.approx(factor())


def test_kg_is_not_taken_as_less_than_the_draft():
    assert form_of(aboard(vcg=5.0)).vcg == 6.0
    assert form_of(aboard(vcg=7.0)).vcg == 7.0


def test_the_breadth_at_half_the_draft_counts_where_it_is_given():
    """The moulded breadth instead makes C smaller and so the requirements greater."""
    ship = containership(breadth_half_draft=14.0)
    assert form_of(aboard(ship=ship)).breadth == 14.0
    assert form_of(aboard()).breadth == particulars().breadth
    assert form_of(aboard(ship=ship)).factor > factor()


@pytest.mark.parametrize(
    ("slug", "part", "per_slope"),
    [
        ("area-to-30", 0.009, area(30.0)),
        ("area-to-40", 0.016, area(40.0)),
        ("area-30-to-40", 0.006, area(40.0) - area(30.0)),
        ("lever-at-30", 0.033, lever(35.0)),
        ("greatest-lever", 0.042, lever(35.0)),
    ],
)
def test_each_row_just_below_at_and_just_above_its_limit(slug, part, per_slope):
    limit = part / factor()
    rows = [judged(RULE_SET, value / per_slope, ship=aboard())[slug] for value in just_around(limit)]
    assert [row.attained for row in rows] == pytest.approx(just_around(limit), rel=1e-8)
    assert [row.required for row in rows] == pytest.approx([limit] * 3, rel=1e-12)
    assert [row.verdict for row in rows] == AROUND


@pytest.mark.parametrize(("flooding", "end"), [(inf, 35.0 * sqrt(3.0)), (50.0, 50.0)])
def test_the_total_area_ends_at_down_flooding_or_where_levers_vanish(flooding, end):
    """The cubic vanishes at the root of three times the angle of its maximum."""
    limit = 0.029 / factor()
    per_slope = area(end)
    rows = [
        judged(RULE_SET, value / per_slope, flooding=flooding, ship=aboard())["area-to-flooding"]
        for value in just_around(limit, 1e-5)
    ]
    assert [row.attained for row in rows] == pytest.approx(just_around(limit, 1e-5), rel=1e-6)
    assert [row.verdict for row in rows] == AROUND


def test_the_total_area_is_open_where_her_curves_end_before_and_it_is_too_small():
    small = judged(RULE_SET, 0.1, 45.0, last=50.0, ship=aboard())["area-to-flooding"]
    assert small.verdict == NOT_COMPUTABLE
    enough = judged(RULE_SET, 50.0, 45.0, last=50.0, ship=aboard())["area-to-flooding"]
    assert enough.verdict == PASS


@pytest.mark.parametrize(("length", "applies"), [(99.9, False), (100.0, False), (100.1, True)])
def test_it_is_for_ships_greater_than_100_m(length, applies):
    rows = judged(RULE_SET, 5.0, ship=aboard(length)).values()
    assert {row.verdict for row in rows} == ({PASS} if applies else {NOT_APPLICABLE})
    assert {row.because for row in rows} == ({None} if applies else {SHIP})


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"ship": containership(hatch=None)}, "hatch_coamings"),
        (
            {"ship": replace(containership(), particulars=particulars(length_load_line=160.0, depth=None))},
            "depth",
        ),
        ({"flotation": afloat(6.0)}, "waterplane_area"),
    ],
)
def test_what_is_missing_is_never_a_pass(changes, word):
    given = aboard(**changes)
    assert isinstance(form_of(given), Ruling)
    rows = judged(RULE_SET, 50.0, ship=given).values()
    assert {row.verdict for row in rows} == {NOT_COMPUTABLE}
    assert all(word in row.reason for row in rows)


def test_without_a_curve_or_an_angle_of_flooding_nothing_is_judged():
    given = {"ship": containership(), "flotation": afloat(6.0, waterplane_area=1250.0)}
    assert {row.verdict for row in without_a_curve(RULE_SET, **given).values()} == {NOT_COMPUTABLE}
    assert {row.verdict for row in judged(RULE_SET, 50.0, flooding=None, ship=aboard()).values()} == {
        NOT_COMPUTABLE
    }


def test_down_flooding_before_30_degrees_leaves_nothing_between_30_and_40():
    rows = judged(RULE_SET, 50.0, flooding=25.0, ship=aboard())
    assert rows["area-30-to-40"].verdict == FAIL
    assert rows["lever-at-30"].verdict == FAIL
    assert rows["greatest-lever"].attained == pytest.approx(50.0 * lever(25.0))
