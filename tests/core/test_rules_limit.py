"""How a value is judged against its row, and how two sides of a ship become one answer."""

from dataclasses import replace
from math import inf

import pytest

from service.core.errors import CoreError, OutsideTable
from service.core.rules.limit import (
    AT_LEAST,
    AT_MOST,
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    SHIP,
    VERDICTS,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    is_less_favourable,
    judge,
    judge_gm,
    towards,
    without,
    without_curve,
)
from service.core.situation import Situation
from tests.core.ship import cubic_lever, details, heeled, situation

AT_LEAST_ONE = Limit("id", "clause", "title", "quantity", AT_LEAST, 1.0, "m", "source", "key")
AT_MOST_ONE = Limit("id", "clause", "title", "quantity", AT_MOST, 1.0, "m", "source", "key")


@pytest.mark.parametrize(
    ("value", "least", "most"),
    [
        (0.999999, FAIL, PASS),
        (1.0 - 2e-9, FAIL, PASS),
        (1.0 - 1e-12, PASS, PASS),
        (1.0, PASS, PASS),
        (1.0 + 1e-12, PASS, PASS),
        (1.0 + 2e-9, PASS, FAIL),
        (1.000001, PASS, FAIL),
        (None, NOT_COMPUTABLE, NOT_COMPUTABLE),
    ],
)
def test_around_a_limit(value, least, most):
    """At the limit counts as met, and within a billionth of it: rounding of sums."""
    for row, verdict in ((AT_LEAST_ONE, least), (AT_MOST_ONE, most)):
        criterion = judge(row, value)
        assert criterion.verdict == verdict
        assert criterion.reason
        assert (criterion.attained, criterion.required) == (value, 1.0)


@pytest.mark.parametrize(("value", "least", "most"), [(0.7, -0.3, 0.3), (1.0, 0.0, 0.0), (1.4, 0.4, -0.4)])
def test_a_positive_margin_is_good(value, least, most):
    assert judge(AT_LEAST_ONE, value).margin == pytest.approx(least)
    assert judge(AT_MOST_ONE, value).margin == pytest.approx(most)
    assert judge(AT_LEAST_ONE, None).margin is None


@pytest.mark.parametrize(
    ("limit", "value", "verdict"),
    [
        (1000.0, 1000.0 - 5e-7, PASS),
        (1000.0, 1000.0 - 2e-6, FAIL),
        (0.001, 0.001 - 5e-10, PASS),
        (0.001, 0.001 - 2e-9, FAIL),
        (0.0, -5e-10, PASS),
        (0.0, -2e-9, FAIL),
        (-1000.0, -1000.0 - 5e-7, PASS),
        (-1000.0, -1000.0 - 2e-6, FAIL),
    ],
)
def test_room_for_rounding_is_a_billionth_of_the_limit_or_of_the_unit(limit, value, verdict):
    assert judge(AT_LEAST_ONE, value, limit).verdict == verdict


def test_a_requirement_that_is_given_goes_before_the_row_s():
    assert judge(AT_LEAST_ONE, 0.6, 0.5).verdict == PASS
    assert judge(AT_LEAST_ONE, 0.6, 0.0).required == 0.0
    assert judge(AT_LEAST_ONE, -0.1, 0.0).verdict == FAIL


def test_a_missing_requirement_is_not_computable():
    row = Limit("id", "clause", "title", "quantity", AT_LEAST, None, "m", "source", "key")
    criterion = judge(row, 1.0)
    assert (criterion.verdict, criterion.margin) == (NOT_COMPUTABLE, None)
    assert criterion.reason
    assert judge(row, 1.0, 0.5).verdict == PASS


def test_an_infinite_requirement_is_failed():
    assert judge(AT_LEAST_ONE, 1.0, inf).verdict == FAIL


@pytest.mark.parametrize("verdict", [FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY])
@pytest.mark.parametrize("value", [0.5, 2.0, None])
def test_a_ruling_counts_whatever_the_numbers_say(verdict, value):
    criterion = judge(AT_LEAST_ONE, value, unless=Ruling(verdict, "because"))
    assert (criterion.verdict, criterion.reason) == (verdict, "because")
    assert (criterion.attained, criterion.required) == (value, 1.0)


def test_details_are_kept_in_order():
    given = (Intermediate("b", "second letter", "m", 1.0), Intermediate("a", "first letter", "", "word"))
    assert judge(AT_LEAST_ONE, 1.0, details=given).details == given
    assert judge(AT_LEAST_ONE, 1.0, unless=Ruling(FAIL, "because"), details=list(given)).details == given


def test_what_the_rise_of_the_centre_costs_is_kept():
    assert judge(AT_LEAST_ONE, 2.0, vcg_effect=0.5).vcg_effect == 0.5
    assert judge(AT_LEAST_ONE, 2.0, unless=Ruling(FAIL, "because"), vcg_effect=0.5).vcg_effect == 0.5
    assert judge(AT_LEAST_ONE, 2.0).vcg_effect is None


@pytest.mark.parametrize("because", [SHIP, CONDITION, None])
def test_a_clause_that_does_not_apply_says_because_of_what(because):
    criterion = judge(AT_LEAST_ONE, 2.0, unless=Ruling(NOT_APPLICABLE, "no grain", because))
    assert (criterion.because, criterion.is_judged) == (because, False)
    assert judge(AT_LEAST_ONE, 2.0).because is None


def test_only_a_comparison_is_judged():
    judged = {
        verdict: judge(AT_LEAST_ONE, 2.0, unless=Ruling(verdict, "b")).is_judged for verdict in VERDICTS
    }
    assert {verdict for verdict, is_judged in judged.items() if is_judged} == {PASS, FAIL}


def with_gaps(**gaps: CoreError) -> Situation:
    return situation(gaps=gaps)


OFF = OutsideTable("trim", 9.0, -2.0, 2.0, "length")


def test_a_figure_that_is_missing_says_why_without_its_numbers():
    """The reason is the same for every ship; the numbers stand with the figure itself."""
    ruling = without(with_gaps(flotation=OFF, stability=CoreError("no trim balances her")), "flotation")
    assert ruling == Ruling(NOT_COMPUTABLE, "her trim lies outside the table")
    assert without(with_gaps(stability=CoreError("no trim balances her")), "stability") == Ruling(
        NOT_COMPUTABLE, "no trim balances her"
    )
    assert without(with_gaps(flotation=OFF), "stability") is None
    assert without(situation(), "flotation") is None


def test_without_a_curve_every_row_is_not_computable_unless_ruled():
    rows = (AT_LEAST_ONE, AT_MOST_ONE)
    for criterion, row in zip(without_curve(rows, situation()), rows, strict=True):
        assert (criterion.row, criterion.verdict, criterion.attained) == (row, NOT_COMPUTABLE, None)
        assert "no cross curves" in criterion.reason
    off = without_curve(rows, with_gaps(righting_lever=OFF))
    assert [(c.verdict, c.reason) for c in off] == [(NOT_COMPUTABLE, OFF.cause)] * 2
    ruled = without_curve(rows, with_gaps(righting_lever=OFF), Ruling(NOT_APPLICABLE, "no grain", CONDITION))
    assert [(c.verdict, c.reason, c.because) for c in ruled] == [(NOT_APPLICABLE, "no grain", CONDITION)] * 2


GM_ROW = replace(AT_LEAST_ONE, limit=0.15)


@pytest.mark.parametrize(("gm", "verdict"), [(0.149999, FAIL), (0.15, PASS), (0.150001, PASS), (-0.2, FAIL)])
def test_the_corrected_gm_against_a_rows_limit(gm, verdict):
    criterion = judge_gm(GM_ROW, situation(gm, gm_solid=1.0))
    assert (criterion.verdict, criterion.attained, criterion.vcg_effect) == (verdict, gm, 1.0)


def test_a_gm_that_is_not_known_is_not_computable():
    criterion = judge_gm(GM_ROW, situation(gm_corrected=None, gaps={"stability": OFF}))
    assert (criterion.verdict, criterion.reason) == (NOT_COMPUTABLE, OFF.cause)
    trim_only = judge_gm(GM_ROW, situation(0.5, gaps={"flotation": OFF}))
    assert trim_only.verdict == PASS, "GM at even keel is a GM"
    ruled = judge_gm(GM_ROW, situation(gaps={"stability": OFF}), Ruling(NOT_APPLICABLE, "short", SHIP))
    assert (ruled.verdict, ruled.because) == (NOT_APPLICABLE, SHIP)


# --- two sides -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (NOT_APPLICABLE, PASS),
        (PASS, OUTSIDE_VALIDITY),
        (OUTSIDE_VALIDITY, NOT_COMPUTABLE),
        (NOT_COMPUTABLE, FAIL),
        (PASS, FAIL),
    ],
)
@pytest.mark.parametrize("values", [(2.0, 2.0), (2.0, 3.0), (3.0, 2.0), (None, 2.0), (2.0, None)])
def test_a_side_that_could_not_be_checked_never_hides_behind_one_that_passes(better, worse, values):
    one = judge(AT_LEAST_ONE, values[0], unless=Ruling(better, "b"))
    other = judge(AT_LEAST_ONE, values[1], unless=Ruling(worse, "w"))
    assert is_less_favourable(other, one)
    assert not is_less_favourable(one, other)


@pytest.mark.parametrize(
    ("row", "worse", "better"), [(AT_LEAST_ONE, 2.0, 3.0), (AT_MOST_ONE, 0.9, 0.8), (AT_MOST_ONE, 3.0, 2.0)]
)
def test_of_equal_verdicts_the_smaller_margin_is_less_favourable(row, worse, better):
    assert is_less_favourable(judge(row, worse), judge(row, better))
    assert not is_less_favourable(judge(row, better), judge(row, worse))
    assert not is_less_favourable(judge(row, worse), judge(row, worse))


def test_the_margin_counts_not_the_value():
    """2.0 against 1.9 is less favourable than 1.5 against 1.0."""
    assert is_less_favourable(judge(AT_LEAST_ONE, 2.0, 1.9), judge(AT_LEAST_ONE, 1.5, 1.0))


def test_without_a_margin_neither_is_less_favourable():
    nothing = judge(AT_LEAST_ONE, None)
    assert not is_less_favourable(nothing, nothing)
    ruled = Ruling(NOT_COMPUTABLE, "because")
    known = judge(AT_LEAST_ONE, 2.0, unless=ruled)
    assert not is_less_favourable(judge(AT_LEAST_ONE, None, unless=ruled), known)
    assert not is_less_favourable(known, judge(AT_LEAST_ONE, None, unless=ruled))


@pytest.mark.parametrize(("side", "word"), [(1.0, "port"), (-1.0, "starboard")])
def test_a_criterion_says_which_side_it_was_judged_on(side, word):
    criterion = judge(AT_LEAST_ONE, 2.0, details=(Intermediate("a", "a", "m", 1.0),))
    turned = towards(criterion, side)
    assert details(turned) == {"a": 1.0, "side": word}
    assert turned._replace(side=None) == criterion


# --- rule sets -------------------------------------------------------------------------------------------------


def test_a_rule_set_is_judged_heeled_or_upright():
    criterion = judge(AT_LEAST_ONE, 2.0)
    common = ("name", "title", "document", "edition", (AT_LEAST_ONE,))
    ship, side = situation(), heeled(cubic_lever(1.0, 40.0))
    seen = []
    by_side = RuleSet(*common, evaluate=lambda *given: seen.append(given) or [criterion])
    upright = RuleSet(*common, evaluate_upright=lambda *given: seen.append(given) or [criterion])
    assert (by_side.reads, upright.reads) == ("heeled", "upright")
    assert by_side.judged(ship, side) == upright.judged(ship, side) == [criterion]
    assert seen == [(ship, side), (ship,)]
    assert RuleSet(*common).judged(ship, side) == []
    assert RuleSet(*common).names == ("name",)
    assert RuleSet(*common, also_known_as=("before",)).names == ("name", "before")
