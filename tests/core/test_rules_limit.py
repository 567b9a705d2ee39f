"""How a value is judged against its row, and how two sides of a ship become one answer."""

from math import inf

import pytest

from service.core.rules.catalogue import CATALOGUE
from service.core.rules.limit import (
    AT_LEAST,
    AT_MOST,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    OUTSIDE_VALIDITY,
    PASS,
    Detail,
    Limit,
    RuleSet,
    Ruling,
    is_less_favourable,
    judge,
    towards,
    without_curve,
)
from tests.core.ship import RULE_SETS, cubic_lever, details, heeled, situation

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
    given = (Detail("b", "second letter", "m", 1.0), Detail("a", "first letter", "", "word"))
    assert judge(AT_LEAST_ONE, 1.0, details=given).details == given
    assert judge(AT_LEAST_ONE, 1.0, unless=Ruling(FAIL, "because"), details=list(given)).details == given


def test_without_cross_curves_every_row_is_not_computable_unless_ruled():
    rows = (AT_LEAST_ONE, AT_MOST_ONE)
    for criterion, row in zip(without_curve(rows), rows, strict=True):
        assert (criterion.row, criterion.verdict, criterion.attained) == (row, NOT_COMPUTABLE, None)
        assert "cross curves" in criterion.reason
    ruled = without_curve(rows, Ruling(NOT_APPLICABLE, "no grain"))
    assert [(c.verdict, c.reason) for c in ruled] == [(NOT_APPLICABLE, "no grain")] * 2


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
    criterion = judge(AT_LEAST_ONE, 2.0, details=(Detail("a", "a", "m", 1.0),))
    turned = towards(criterion, side)
    assert details(turned) == {"a": 1.0, "side": word}
    assert turned._replace(details=criterion.details) == criterion


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


def test_names_and_ids_of_the_catalogue():
    """Public names are part of the interface; ids are unique within a set; every row names unit, source and key."""
    assert [name for name in CATALOGUE if name in RULE_SETS] == list(RULE_SETS)
    for rule_set in CATALOGUE.values():
        ids = [row.id for row in rule_set.limits]
        assert len(ids) == len(set(ids))
        assert rule_set.edition
        assert rule_set.document
        assert (rule_set.evaluate is None) is not (rule_set.evaluate_upright is None)
        for row in rule_set.limits:
            assert all((row.clause, row.title, row.quantity, row.unit, row.source, row.key))
            assert row.comparison in (AT_LEAST, AT_MOST)


def test_what_each_rule_set_brings():
    """The rule for free surfaces of its document, and what makes it bind although nobody listed it."""
    assert {name: rule_set.surfaces for name, rule_set in CATALOGUE.items()} == {
        "is-code-2008-a-2.2": "imo",
        "is-code-2008-a-2.2.3-alternative": "imo",
        "is-code-2008-a-2.3": "imo",
        "grain-code": None,
        "46-cfr-170.170": "cfr",
        "46-cfr-170.173-b": "cfr",
        "46-cfr-170.173-c": "cfr",
        "vessel-gm-limits": None,
        "load-lines": None,
    }
    binds = {name: rule_set.binds_with for name, rule_set in CATALOGUE.items() if rule_set.binds_with}
    assert binds == {"grain-code": "grain"}


def test_what_is_measured_has_one_key_in_every_document():
    """Rows of different documents that measure the same carry the same key."""
    keys = {row.id: row.key for rule_set in CATALOGUE.values() for row in rule_set.limits}
    assert keys == {
        "is-code-2008-a-2.2.1-area-to-30": "area_to_30",
        "is-code-2008-a-2.2.1-area-to-40": "area_to_40",
        "is-code-2008-a-2.2.1-area-30-to-40": "area_30_to_40",
        "is-code-2008-a-2.2.2-lever": "greatest_lever_from_30",
        "is-code-2008-a-2.2.3-angle-of-maximum": "angle_of_maximum",
        "is-code-2008-a-2.2.4-initial-gm": "gm",
        "is-code-2008-a-2.2.3-alternative-area": "area_to_maximum",
        "is-code-2008-a-2.2.3-alternative-angle": "angle_of_maximum",
        "is-code-2008-a-2.3.1-steady-wind": "steady_wind_angle",
        "is-code-2008-a-2.3.1-areas": "weather_areas",
        "grain-code-a-7.1.1-heel": "grain_heel",
        "grain-code-a-7.1.2-residual-area": "grain_residual_area",
        "grain-code-a-7.1.3-initial-gm": "gm",
        "46-cfr-170.170-gm": "gm",
        "46-cfr-170.173-b-gm": "gm",
        "46-cfr-170.173-b-lever": "greatest_lever_from_30",
        "46-cfr-170.173-b-angle": "angle_of_maximum",
        "46-cfr-170.173-b-area-to-30": "area_to_30",
        "46-cfr-170.173-b-area-to-40": "area_to_40",
        "46-cfr-170.173-b-area-30-to-40": "area_30_to_40",
        "46-cfr-170.173-c-gm": "gm",
        "46-cfr-170.173-c-angle": "angle_of_maximum",
        "46-cfr-170.173-c-area-to-40": "area_to_40",
        "46-cfr-170.173-c-area-30-to-40": "area_30_to_40",
        "46-cfr-170.173-c-area-to-maximum": "area_to_maximum",
        "vessel-gm-limits-min-gm": "gm",
        "vessel-gm-limits-max-vcg": "vcg",
        "load-lines-draft": "draft_midship",
    }
