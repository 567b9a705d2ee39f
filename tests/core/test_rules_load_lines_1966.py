"""The load line mark in force and dock water.

Sources: International Convention on Load Lines 1966, article 12, regulations 6 and 40 (T and W at 1/48 of the summer
draft, WNA 50 mm for ships up to 100 m, fresh water allowance displacement / (40 TPC) cm: values from memory); dock
water allowance in proportion to density: Derrett and Barrass, Ship Stability, chapter on densities.
"""

import pytest

from service.core.hydrostatics import Hydrostatics
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.load_lines_1966 import evaluate, fresh_water_allowance, permitted_draft
from service.core.situation import Situation
from tests.core.ship import (
    DRAFTS,
    SALT,
    afloat,
    condition,
    details,
    just_around,
    particulars,
    row,
    situation,
    verdicts,
    vessel,
)

SUMMER = 6.0
FWA = 9000.0 / (40.0 * 15.0) / 100.0  # 9000 t at 6 m, 15 t/cm: 0.15 m


def made(
    draft: float,
    mark: str | None = None,
    water: float = SALT,
    length: float = 99.0,
    marks: dict[str, float] | None = None,
    **changes: object,
) -> Situation:
    """Her draft amidships; forward and aft she floats elsewhere."""
    ship = vessel(
        load_line_drafts={"S": SUMMER} if marks is None else marks,
        particulars=particulars(length_load_line=length),
        **changes,
    )
    flotation = afloat(SUMMER, draft_midship=draft, draft_aft=draft + 1.0, draft_forward=draft - 1.0)
    given = condition(water_density=water, load_line_mark=mark)
    return situation(ship=ship, given=given, flotation=flotation)


def only(given: Situation) -> Criterion:
    (criterion,) = evaluate(given)
    return criterion


@pytest.mark.parametrize(
    ("mark", "water", "permitted"),
    [
        (None, 1.025, SUMMER),
        ("S", 1.030, SUMMER),
        ("S", 1.000, SUMMER + FWA),
        ("S", 0.998, SUMMER + FWA),
        ("S", 1.010, SUMMER + 0.6 * FWA),
        ("F", 1.000, SUMMER + FWA),
        ("F", 1.025, SUMMER),
        ("T", 1.025, SUMMER * 49.0 / 48.0),
        ("TF", 1.000, SUMMER * 49.0 / 48.0 + FWA),
        ("W", 1.025, SUMMER * 47.0 / 48.0),
        ("W", 1.000, SUMMER * 47.0 / 48.0 + FWA),
        ("WNA", 1.025, SUMMER * 47.0 / 48.0 - 0.05),
    ],
)
def test_the_draft_just_below_at_and_just_above_what_is_permitted(mark, water, permitted):
    criteria = [only(made(draft, mark, water)) for draft in just_around(permitted)]
    assert [criterion.required for criterion in criteria] == pytest.approx([permitted] * 3, rel=1e-12)
    assert verdicts(criteria) == [PASS, PASS, FAIL]
    assert details(criteria[0]) == {"mark": mark or "S", "water_density": water}


@pytest.mark.parametrize(("length", "less"), [(99.9, 0.05), (100.0, 0.05), (100.1, 0.0)])
def test_winter_north_atlantic_for_ships_up_to_100_m(length, less):
    permitted, _ = permitted_draft(made(5.0, "WNA", length=length))
    assert permitted == pytest.approx(SUMMER * 47.0 / 48.0 - less, rel=1e-12)


CERTIFICATE = {"S": 6.0, "T": 6.2, "W": 5.8, "F": 6.16, "TF": 6.37}


@pytest.mark.parametrize(
    ("mark", "water", "expected"),
    [
        ("T", SALT, 6.2),
        ("W", SALT, 5.8),
        ("WNA", SALT, 5.75),
        ("F", 1.0, 6.16),
        ("F", 1.0125, 6.08),
        ("TF", 1.0, 6.37),
        ("TF", 1.0125, 6.285),
    ],
)
def test_marks_of_the_certificate_go_before_worked_out_ones(mark, water, expected):
    permitted, shown = permitted_draft(made(5.0, mark, water, marks=CERTIFICATE))
    assert permitted == pytest.approx(expected, rel=1e-12)
    assert shown == mark


@pytest.mark.parametrize(("given", "expected"), [({"F": 6.16}, 6.16 + 6.0 / 48.0), ({"T": 6.2}, 6.2 + FWA)])
def test_tropical_fresh_is_tropical_and_the_allowance_of_fresh(given, expected):
    permitted, _ = permitted_draft(made(5.0, "TF", 1.0, marks={"S": SUMMER, **given}))
    assert permitted == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("mark", ["LS", "LT", "LW", "LWNA", "LF", "LTF"])
def test_timber_marks_are_only_those_of_the_certificate(mark):
    assert only(made(1.0, mark)).verdict == NOT_COMPUTABLE
    given_mark = {"S": 6.0, "LS": 6.3, mark: 6.3}
    if mark in ("LS", "LW", "LWNA"):
        assert only(made(6.3, mark, marks=given_mark)).verdict == PASS


def test_timber_fresh_lies_above_timber_by_the_lightness_of_the_water():
    marks = {"S": 6.0, "LS": 6.3, "LF": 6.46, "LT": 6.4, "LTF": 6.58}
    assert permitted_draft(made(1.0, "LF", 1.0125, marks=marks))[0] == pytest.approx(6.38, rel=1e-12)
    assert permitted_draft(made(1.0, "LTF", 1.0, marks=marks))[0] == pytest.approx(6.58, rel=1e-12)


def test_without_load_lines_it_is_not_computable():
    for marks in ({}, {"T": 6.2}):
        criterion = only(made(1.0, marks=marks))
        assert criterion.verdict == NOT_COMPUTABLE
        assert "no draft" in criterion.reason


def test_the_allowance_is_that_of_the_summer_draft_in_the_table_nearest_to_even_keel():
    """Displacement over 40 TPC, whatever water the table is for, and whatever she weighs now."""
    assert fresh_water_allowance(made(3.0)) == pytest.approx(FWA, rel=1e-12)
    rows = [{**row(d, t), "tpc": 15.0 + abs(t)} for t in (-2.0, 0.5, 4.0) for d in DRAFTS]
    table = Hydrostatics.from_rows(SALT, True, rows)
    # the table at 0.5 m by the stern prints drafts amidships: 6 m there is 6.005 m at the LCF
    expected = 1500.0 * (SUMMER + 0.5 * 0.01) / (40.0 * 15.5) / 100.0
    assert fresh_water_allowance(made(3.0, hydrostatics=table)) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("summer", [1.9, 8.1])
def test_off_her_hydrostatic_table_the_allowance_is_unknown(summer):
    """Then salt water marks are known in salt water only, fresh water marks not at all."""
    marks = {"S": summer}
    assert fresh_water_allowance(made(1.0, marks=marks)) is None
    assert only(made(1.0, "S", marks=marks)).verdict == PASS
    for mark, water in (("S", 1.0), ("T", 1.01), ("F", 1.0), ("TF", 1.0)):
        assert only(made(1.0, mark, water, marks=marks)).verdict == NOT_COMPUTABLE


def test_a_fresh_mark_of_the_certificate_needs_no_table():
    marks = {"S": 8.1, "F": 8.3}
    assert permitted_draft(made(1.0, "F", 1.0, marks=marks))[0] == pytest.approx(8.3, rel=1e-12)
    expected = 8.1 + 8.1 / 48.0 + 0.2
    assert permitted_draft(made(1.0, "TF", 1.0, marks=marks))[0] == pytest.approx(expected, rel=1e-12)
