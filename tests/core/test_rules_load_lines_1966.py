"""The load line mark in force: draft amidships and that of the lower side, and what is known where no mark is named.

Sources: International Convention on Load Lines 1966, article 12 (the marks on the sides of the ship are not submerged:
value from memory), regulations 6 and 40. A mark is never assumed, deflection enters the draft amidships, the low side
is half the breadth times the tangent of the list lower: common practice, no source. Marks: test_load_line.py.
"""

from dataclasses import replace
from math import radians, tan
from typing import Any

import pytest

from service.core.assessment import assess
from service.core.errors import CoreError, OutsideTable
from service.core.load_line_figures import load_line_check, mass_to_line
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.load_lines_1966 import DRAFT, LOW_SIDE, evaluate
from service.core.situation import Situation
from service.core.stability import Rest
from service.core.timber import TimberLine
from service.core.weight import Weight
from tests.core.ship import (
    BREADTH,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    afloat,
    condition,
    details,
    hydrostatics,
    just_around,
    lcb,
    particulars,
    situation,
    verdicts,
    vessel,
)

SUMMER = 6.0
FWA = 9000.0 / (40.0 * 15.0) / 100.0  # 9000 t at 6 m, 15 t/cm: 0.15 m
TROPICAL, WINTER = SUMMER * 49.0 / 48.0, SUMMER * 47.0 / 48.0
ATLANTIC = WINTER - 0.05
OFF = OutsideTable("displacement", 9.0, 1.0, 2.0, "mass")


def made(
    draft: float,
    mark: str | None = "S",
    water: float = SALT,
    marks: dict[str, float] | None = None,
    length: float = 99.0,
    list_angle: float | None = 0.0,
    deflection: float = 0.0,
    **changes: Any,
) -> Situation:
    """Her draft amidships; forward and aft she floats elsewhere."""
    ship = vessel(
        load_line_drafts={"S": SUMMER} if marks is None else marks,
        particulars=particulars(length_load_line=length),
    )
    flotation = afloat(SUMMER, draft_midship=draft, draft_aft=draft + 1.0, draft_forward=draft - 1.0)
    given = condition(water_density=water, load_line_mark=mark, deflection=deflection)
    return situation(ship=ship, given=given, flotation=flotation, rest=Rest(list_angle, None), **changes)


def rows(given: Situation) -> tuple[Criterion, Criterion]:
    draft, low = evaluate(given)
    assert (draft.row, low.row) == (DRAFT, LOW_SIDE)
    return draft, low


# --- the mark in force -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mark", "water", "permitted"),
    [
        ("S", 1.025, SUMMER),
        ("S", 1.000, SUMMER + FWA),
        ("F", 1.000, SUMMER + FWA),
        ("T", 1.025, TROPICAL),
        ("W", 1.025, WINTER),
        ("WNA", 1.025, ATLANTIC),
    ],
)
def test_the_draft_just_below_at_and_just_above_what_is_permitted(mark, water, permitted):
    criteria = [rows(made(draft, mark, water))[0] for draft in just_around(permitted)]
    assert [criterion.attained for criterion in criteria] == list(just_around(permitted))
    assert [criterion.required for criterion in criteria] == pytest.approx([permitted] * 3, rel=1e-12)
    assert verdicts(criteria) == [PASS, PASS, FAIL]
    assert details(criteria[0]) == {"mark": mark, "water_density": water, "deflection": 0.0}


@pytest.mark.parametrize("angle", [2.0, -2.0])
def test_the_low_side_just_below_at_and_just_above_what_is_permitted(angle):
    """A list of 2 degrees lowers the side of a 16 m ship by 0.279 m, to either side alike."""
    lower = 0.5 * BREADTH * tan(radians(2.0))
    criteria = [rows(made(draft - lower, list_angle=angle)) for draft in just_around(SUMMER)]
    assert [low.attained for _, low in criteria] == pytest.approx(just_around(SUMMER), rel=1e-12)
    assert verdicts(low for _, low in criteria) == [PASS, PASS, FAIL]
    assert verdicts(draft for draft, _ in criteria) == [PASS] * 3, "the mean of the sides is not submerged"
    assert details(criteria[0][1]) == details(criteria[0][0])


def test_upright_the_low_side_is_the_draft_amidships():
    draft, low = rows(made(5.9))
    assert (draft.attained, low.attained) == (5.9, 5.9)


@pytest.mark.parametrize("deflection", [0.05, -0.05])
def test_sagging_lowers_her_amidships_and_hogging_lifts_her(deflection):
    """Positive when she sags."""
    criteria = [rows(made(draft - deflection, deflection=deflection)) for draft in just_around(SUMMER)]
    for row in (0, 1):
        assert [found[row].attained for found in criteria] == pytest.approx(just_around(SUMMER), rel=1e-12)
        assert verdicts(found[row] for found in criteria) == [PASS, PASS, FAIL]
    assert details(criteria[0][0])["deflection"] == deflection


@pytest.mark.parametrize("mark", ["LS", "LF", "F"])
def test_a_mark_the_booklet_does_not_tell_is_not_computable(mark):
    marks = {"T": 6.2} if mark == "F" else {"S": SUMMER}
    for criterion in rows(made(1.0, mark, marks=marks)):
        assert (criterion.verdict, criterion.required) == (NOT_COMPUTABLE, None)
        assert "no draft for this load line mark" in criterion.reason


# --- no mark named ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("draft", "verdict", "required"),
    [
        (ATLANTIC - 1e-6, PASS, ATLANTIC),
        (ATLANTIC, PASS, ATLANTIC),
        (ATLANTIC + 1e-6, NOT_COMPUTABLE, None),
        (SUMMER, NOT_COMPUTABLE, None),
        (TROPICAL, NOT_COMPUTABLE, None),
        (TROPICAL + 1e-6, FAIL, TROPICAL),
        (7.0, FAIL, TROPICAL),
    ],
)
def test_a_mark_is_never_assumed(draft, verdict, required):
    """Under every mark she has she passes, over every mark she fails; between, the mark must be named."""
    for criterion in rows(made(draft, None)):
        assert criterion.verdict == verdict
        assert criterion.required == (None if required is None else pytest.approx(required, rel=1e-12))
        assert {
            PASS: "under every mark",
            FAIL: "over every mark",
            NOT_COMPUTABLE: "name the mark in force",
        }[verdict] in criterion.reason
    shown = details(rows(made(draft, None))[0])
    assert shown["mark"] == "not named"
    assert {n: v for n, v in shown.items() if n.startswith("permitted/")} == {
        f"permitted/{mark}": pytest.approx(value, rel=1e-12)
        for mark, value in (("T", TROPICAL), ("S", SUMMER), ("W", WINTER), ("WNA", ATLANTIC))
    }


@pytest.mark.parametrize(("length", "least"), [(100.0, ATLANTIC), (100.1, WINTER)])
def test_winter_north_atlantic_is_no_mark_of_ships_over_100_m(length, least):
    criteria = [rows(made(draft, None, length=length))[0] for draft in just_around(least)]
    assert verdicts(criteria) == [PASS, PASS, NOT_COMPUTABLE]


def test_marks_of_fresh_water_and_of_timber_are_not_among_those_that_bind_unnamed():
    """In fresh water every ordinary mark is deepened by the allowance; timber marks need timber."""
    marks = {"S": SUMMER, "LS": 6.4, "LWNA": 5.0, "F": 6.1}
    low = [rows(made(draft, None, marks=marks))[0] for draft in just_around(ATLANTIC)]
    assert verdicts(low) == [PASS, PASS, NOT_COMPUTABLE]
    high = [rows(made(draft, None, 1.0, marks=marks))[0] for draft in just_around(TROPICAL + FWA)]
    assert verdicts(high) == [NOT_COMPUTABLE, NOT_COMPUTABLE, FAIL]


STOWED = TimberLine(0, 10.0, True, True, True)
DECK_TIMBER = Weight(500.0, 50.0, 10.0, 0.0, "deck_cargo")
SUMMER_TIMBER = 6.3


@pytest.mark.parametrize(
    ("timber", "weights", "beside"),
    [
        ((STOWED,), [DECK_TIMBER], PASS),
        ((), [DECK_TIMBER], NOT_COMPUTABLE),
        ((STOWED,), [DECK_TIMBER._replace(mass=0.0)], NOT_COMPUTABLE),
        ((STOWED._replace(secured=False),), [DECK_TIMBER], NOT_COMPUTABLE),
    ],
)
def test_a_timber_mark_holds_with_a_timber_deck_cargo_only(timber, weights, beside):
    """International Convention on Load Lines 1966, regulations 41 to 45 (value from memory): timber freeboards are for
    ships with a timber deck cargo stowed as they ask. Over the mark she fails with it and without."""
    marks = {"S": SUMMER, "LS": SUMMER_TIMBER}
    given = []
    for draft in just_around(SUMMER_TIMBER):
        ship = made(draft, "LS", marks=marks)
        given.append(rows(replace(ship, condition=replace(ship.condition, timber=timber, weights=weights))))
    for row in (0, 1):
        assert verdicts(found[row] for found in given) == [beside, beside, FAIL]
        assert given[0][row].required == pytest.approx(SUMMER_TIMBER, rel=1e-12)
        assert ("timber mark is named" in given[0][row].reason) is (beside == NOT_COMPUTABLE)


def test_the_amidships_row_and_the_low_side_may_stand_apart():
    """Amidships under every mark, the low side among them."""
    draft, low = rows(made(ATLANTIC - 0.01, None, list_angle=1.0))
    assert (draft.verdict, low.verdict) == (PASS, NOT_COMPUTABLE)
    draft, low = rows(made(SUMMER, None, list_angle=4.0))
    assert (draft.verdict, low.verdict) == (NOT_COMPUTABLE, FAIL)


def test_of_marks_of_which_some_are_unknown_the_known_ones_tell():
    """A certificate with T alone: over it she is over every mark that is known, under it under."""
    assert verdicts(rows(made(6.1, None, marks={"T": 6.2}))) == [PASS, PASS]
    assert verdicts(rows(made(6.3, None, marks={"T": 6.2}))) == [FAIL, FAIL]
    shown = details(rows(made(6.1, None, marks={"T": 6.2}))[0])
    assert (shown["permitted/T"], shown["permitted/S"]) == (6.2, None)


# --- what is missing -------------------------------------------------------------------------------------------


def test_without_load_lines_it_is_not_computable():
    for criterion in rows(made(1.0, marks={})):
        assert criterion.verdict == NOT_COMPUTABLE
        assert "no draft" in criterion.reason
    assert load_line_check(made(1.0, marks={})) is None


def test_without_drafts_it_is_not_computable():
    given = replace(made(1.0), flotation=None, gaps={"flotation": OFF})
    for criterion in rows(given):
        assert (criterion.verdict, criterion.reason) == (NOT_COMPUTABLE, OFF.cause)
    assert load_line_check(given) is None
    assert mass_to_line(given, SUMMER) is None


@pytest.mark.parametrize(
    ("gaps", "word"), [({}, "list is not known"), ({"list": CoreError("capsize")}, "capsize")]
)
@pytest.mark.parametrize("mark", ["S", None])
def test_without_a_list_the_low_side_is_open(gaps, word, mark):
    draft, low = rows(made(5.0, mark, list_angle=None, gaps=gaps))
    assert draft.verdict == PASS
    assert (low.verdict, low.attained) == (NOT_COMPUTABLE, None)
    assert word in low.reason


@pytest.mark.parametrize(("angle", "known"), [(89.0, True), (90.0, False), (-90.0, False), (120.0, False)])
def test_on_her_beam_ends_there_is_no_low_side(angle, known):
    check = load_line_check(made(5.0, list_angle=angle))
    assert (check.low_side is not None) is known


# --- mass to the line ------------------------------------------------------------------------------------------


def to_draft(draft: float, water: float = SALT, **changes: Any):
    """Loaded to a draft at the LCF on even keel."""
    mass, centre = PER_METRE * draft * water / SALT, lcb(draft)
    added = mass - LIGHTSHIP.mass
    cargo = Weight(added, (mass * centre - LIGHTSHIP.mass * LIGHTSHIP.lcg) / added, 5.0)
    given = condition(weights=[cargo], water_density=water, **changes)
    return assess(vessel(load_line_drafts={"S": SUMMER}), given).situation


@pytest.mark.parametrize(("draft", "mass"), [(5.0, 1500.0), (5.9, 150.0), (6.0, 0.0), (6.1, -150.0)])
def test_the_mass_to_a_line_by_1500_t_a_metre(draft, mass):
    assert mass_to_line(to_draft(draft), SUMMER) == pytest.approx(mass, abs=1e-8)


def test_the_mass_to_a_line_is_less_by_the_deflection_and_in_lighter_water():
    """Sagging 4 cm: 60 t less. In fresh water a metre is 1500 / 1.025 t."""
    assert mass_to_line(to_draft(5.0, deflection=0.04), SUMMER) == pytest.approx(1440.0, abs=1e-8)
    assert mass_to_line(to_draft(5.0, 1.0), SUMMER) == pytest.approx(1500.0 / SALT, abs=1e-8)


def test_the_mass_to_a_line_keeps_her_trim():
    """Of tables for three trims; at 1.2 m by the stern 6 m amidships are 6.012 m at the LCF."""
    tables = hydrostatics((-2.0, 0.0, 2.0))
    ship = vessel(load_line_drafts={"S": SUMMER}, hydrostatics=tables)
    flotation = afloat(5.0, trim=1.2, lcf=49.0, draft_midship=4.988)
    given = situation(ship=ship, flotation=flotation, mass=7500.0)
    assert mass_to_line(given, SUMMER) == pytest.approx(PER_METRE * 6.012 - 7500.0, rel=1e-9)


def test_the_mass_to_a_line_off_her_tables_is_unknown():
    assert mass_to_line(to_draft(5.0), 8.1) is None
    assert mass_to_line(to_draft(5.0), 8.0) == pytest.approx(4500.0, abs=1e-6)
