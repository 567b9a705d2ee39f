"""US fishing vessels: 46 CFR 28.570(a) and (b). Limits as printed there: 0.35 m (the public page prints 1.15 feet
beside it), 0.2 m, 25 degrees, 0.090, 0.055 and 0.030 m.rad, positive arms to 60 degrees or 50."""

from math import sqrt

import pytest

from service.core.conventions import FOOT
from service.core.rules.cfr_46_28_570 import GM, LIMITS, RULE_SET
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS
from tests.core.ship import details, just_around, situation, vessel
from tests.core.type_rules import area, judged, lever, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]


def rows_of(slope: float = 5.0, *curve, gm: float = 1.0, secured: bool | None = None, **changes):
    ship = vessel(hatches_secured=secured)
    return judged(RULE_SET, slope, *curve, ship=situation(gm, ship), **changes)


def test_limits_are_those_printed():
    assert [row.limit for row in LIMITS] == [0.35, 0.2, 25.0, 0.090, 0.055, 0.030, None]
    assert all(row.from_memory is None for row in LIMITS)
    assert round(1.15 * FOOT, 2) == GM.limit


@pytest.mark.parametrize(
    ("slug", "limit", "per_slope"),
    [
        ("area-to-30", 0.055, area(30.0)),
        ("area-to-40", 0.090, area(40.0)),
        ("area-30-to-40", 0.030, area(40.0) - area(30.0)),
        ("lever-at-30", 0.2, lever(35.0)),
    ],
)
def test_areas_and_levers_around_their_limits(slug, limit, per_slope):
    given = [rows_of(value / per_slope) for value in just_around(limit)]
    assert [rows[slug].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts_of(slug, given) == AROUND


def test_gm_and_angle_around_their_limits():
    assert verdicts_of("gm", [rows_of(gm=gm) for gm in just_around(0.35)]) == AROUND
    assert verdicts_of("angle-of-maximum", [rows_of(5.0, a) for a in just_around(25.0)]) == AROUND


@pytest.mark.parametrize(("secured", "limit"), [(None, 60.0), (False, 60.0), (True, 50.0)])
def test_the_range_around_its_limit(secured, limit):
    given = [rows_of(5.0, angle / sqrt(3.0), secured=secured) for angle in just_around(limit, 1e-5)]
    assert given[1]["range"].required == limit
    assert verdicts_of("range", given) == AROUND
    stated = details(given[1]["range"])["paragraph"]
    assert ("(b)" in stated) is bool(secured)


def test_an_opening_that_floods_ends_the_range():
    given = [rows_of(5.0, 40.0, flooding=angle) for angle in just_around(60.0)]
    assert [rows["range"].attained for rows in given] == pytest.approx(just_around(60.0))
    assert verdicts_of("range", given) == AROUND


def test_openings_that_close_by_themselves_do_not_count():
    """`judged` floods the other kind of opening at half a degree."""
    assert {row.verdict for row in rows_of(5.0, 40.0).values()} == {PASS}


def test_what_is_unknown_is_never_a_pass():
    rows = rows_of(flooding=None)
    assert {row.verdict for slug, row in rows.items() if slug != "gm"} == {NOT_COMPUTABLE}
    bare = without_a_curve(RULE_SET)
    assert {row.verdict for slug, row in bare.items() if slug != "gm"} == {NOT_COMPUTABLE}
    assert bare["gm"].verdict == PASS
    assert rows_of(5.0, 45.0, last=55.0)["range"].verdict == NOT_COMPUTABLE
