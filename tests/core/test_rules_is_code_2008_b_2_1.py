"""Fishing vessels: 2008 IS Code Part B 2.1. Levers as Part A 2.2; GM 0.35 m as read in 46 CFR 28.570, 0.15 m and the
formula of 2.1.5 values from memory, its ranges read in A.207(VII)."""

import pytest

from service.core.opening import DeckEdge
from service.core.rules.is_code_2008_b_2_1 import LIMITS, RULE_SET, SmallVessel
from service.core.rules.limit import (
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    SHIP,
)
from tests.core.ship import details, heeled, just_around, particulars, situation, vessel
from tests.core.type_rules import area, judged, lever, verdicts_of

AROUND = [FAIL, PASS, PASS]
CURVE = ("area-to-30", "area-to-40", "area-30-to-40", "lever-at-30", "angle-of-maximum")


def trawler(length: float = 26.0, curves: bool = True, **changes):
    given = {
        "length_load_line": length,
        "length_waterline": length,
        "breadth": 7.2,
        "depth": 3.7,
        "superstructure_length": 6.5,
        "freeboard_least": 0.7,
        **changes,
    }
    ship = {} if curves else {"cross_curves": None}
    return vessel(particulars=particulars(**given), **ship)


def rows_of(slope: float = 5.0, *curve, gm: float = 1.0, ship=None, **changes):
    return judged(RULE_SET, slope, *curve, ship=situation(gm, ship or trawler()), **changes)


def bare(gm: float = 1.0, **changes):
    """Without cross curves."""
    found = RULE_SET.judged(situation(gm, trawler(curves=False, **changes)), heeled(None))
    return {row.row.id.removeprefix(f"{RULE_SET.name}-"): row for row in found}


def test_limits_and_what_is_recalled():
    assert [row.limit for row in LIMITS] == [0.055, 0.090, 0.030, 0.20, 25.0, None, None]
    assert [row.from_memory is None for row in LIMITS] == [True] * 5 + [False] * 2


@pytest.mark.parametrize(
    ("slug", "limit", "per_slope"),
    [
        ("area-to-30", 0.055, area(30.0)),
        ("area-to-40", 0.090, area(40.0)),
        ("area-30-to-40", 0.030, area(40.0) - area(30.0)),
        ("lever-at-30", 0.20, lever(35.0)),
    ],
)
def test_areas_and_levers_around_their_limits(slug, limit, per_slope):
    given = [rows_of(value / per_slope) for value in just_around(limit)]
    assert [rows[slug].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts_of(slug, given) == AROUND


def test_the_angle_of_maximum_around_its_limit():
    assert verdicts_of("angle-of-maximum", [rows_of(5.0, angle) for angle in just_around(25.0)]) == AROUND


@pytest.mark.parametrize(
    ("changes", "limit"),
    [
        ({}, 0.35),
        ({"superstructure": "none"}, 0.35),
        ({"superstructure": "complete"}, 0.15),
        ({"length": 69.9}, 0.35),
        ({"length": 70.0}, 0.15),
    ],
)
def test_the_initial_gm_around_its_limit(changes, limit):
    given = [rows_of(gm=gm, ship=trawler(**changes)) for gm in just_around(limit)]
    assert given[0]["initial-gm"].required == limit
    assert verdicts_of("initial-gm", given) == AROUND


def test_with_cross_curves_the_formula_is_not_chosen():
    row = rows_of()["simplified-gm"]
    assert (row.verdict, row.because) == (NOT_APPLICABLE, CONDITION)
    assert "2.1.2 is chosen" in row.reason


def test_the_formula_by_hand():
    """Own figures: L 26, B 7.2, D 3.7, f 0.7, ls 6.5 m."""
    f, d, part = 0.7 / 7.2, 7.2 / 3.7, 6.5 / 26.0
    expected = 0.53 + 14.4 * (0.075 - 0.37 * f + 0.82 * f * f - 0.014 * d - 0.032 * part)
    small = SmallVessel(26.0, 7.2, 3.7, 0.7, 6.5)
    assert small.least_gm == pytest.approx(expected, rel=1e-14)
    assert small.is_covered


def test_without_cross_curves_the_formula_is_chosen_and_judged_around_its_limit():
    limit = SmallVessel(26.0, 7.2, 3.7, 0.7, 6.5).least_gm
    given = [bare(gm) for gm in just_around(limit)]
    assert verdicts_of("simplified-gm", given) == AROUND
    assert given[1]["simplified-gm"].required == pytest.approx(limit)
    assert {given[1][slug].verdict for slug in CURVE} == {NOT_APPLICABLE}
    assert {given[1][slug].because for slug in CURVE} == {CONDITION}
    assert "sheer" in details(given[1]["simplified-gm"])["not_checked"]


@pytest.mark.parametrize(("length", "short"), [(29.9, True), (30.0, False)])
def test_the_formula_is_for_vessels_under_30_m(length, short):
    rows = bare(length=length)
    assert rows["simplified-gm"].verdict == (PASS if short else NOT_APPLICABLE)
    assert rows["simplified-gm"].because == (None if short else SHIP)
    assert {rows[slug].verdict for slug in CURVE} == {NOT_APPLICABLE if short else NOT_COMPUTABLE}


def test_the_ends_of_its_ranges():
    """f/B from 0.02 to 0.20 and B/D from 1.75 to 2.15, ends included, ls/L below 0.60: 2008 IS Code Part B 2.1.5;
    A.207(VII)."""
    for breadth, depth, freeboard in ((4.0, 2.0, 0.08), (4.0, 2.0, 0.8), (3.5, 2.0, 0.35), (4.3, 2.0, 0.43)):
        assert SmallVessel(20.0, breadth, depth, freeboard, 5.0).is_covered
    assert not SmallVessel(32.0, 4.0, 2.0, 0.4, 19.2).is_covered


@pytest.mark.parametrize(
    ("changes", "inside"),
    [
        ({"freeboard_least": 0.02 * 7.2 * 1.0001}, True),
        ({"freeboard_least": 0.02 * 7.2 * 0.9999}, False),
        ({"freeboard_least": 0.20 * 7.2 * 0.9999}, True),
        ({"freeboard_least": 0.20 * 7.2 * 1.0001}, False),
        ({"depth": 7.2 / 1.7501}, True),
        ({"depth": 7.2 / 1.7499}, False),
        ({"depth": 7.2 / 2.1499}, True),
        ({"depth": 7.2 / 2.1501}, False),
        ({"superstructure_length": 0.5999 * 26.0}, True),
        ({"superstructure_length": 0.6 * 26.0}, False),
    ],
)
def test_outside_its_ranges_the_formula_is_outside_validity(changes, inside):
    assert bare(9.0, **changes)["simplified-gm"].verdict == (PASS if inside else OUTSIDE_VALIDITY)


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"depth": None}, "depth"),
        ({"superstructure_length": None}, "superstructure_length"),
        ({"freeboard_least": None}, "freeboard_least"),
    ],
)
def test_what_the_formula_misses_is_named(changes, word):
    ship = trawler(curves=False, **changes)
    ship = vessel(particulars=ship.particulars, cross_curves=None, deck_edge=DeckEdge((), ()))
    found = {row.row.id: row for row in RULE_SET.judged(situation(9.0, ship), heeled(None))}
    row = found[f"{RULE_SET.name}-simplified-gm"]
    assert row.verdict == NOT_COMPUTABLE
    assert word in row.reason


def test_without_a_superstructure_its_length_is_nothing():
    assert bare(9.0, superstructure="none", superstructure_length=None)["simplified-gm"].verdict == PASS


def test_the_freeboard_to_the_deck_edge_counts_where_none_is_given():
    ship = vessel(
        particulars=trawler(freeboard_least=None).particulars,
        cross_curves=None,
        deck_edge=DeckEdge(((50.0, 3.6, 6.7),)),
    )
    found = {row.row.id: row for row in RULE_SET.judged(situation(9.0, ship), heeled(None))}
    shown = details(found[f"{RULE_SET.name}-simplified-gm"])
    assert shown["freeboard_to_breadth"] == pytest.approx(0.7 / 7.2)


def test_unknown_flooding_is_never_a_pass():
    assert {rows_of(flooding=None)[slug].verdict for slug in CURVE} == {NOT_COMPUTABLE}
