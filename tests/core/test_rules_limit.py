"""How a value is judged against its row, and how two sides of a ship become one answer."""

import numpy as np
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
    Cause,
    Detail,
    Limit,
    judge,
    one_half,
    unfavourable,
)
from tests.core.ship import RULE_SETS

AT_LEAST_ONE = Limit("id", "clause", "title", "quantity", AT_LEAST, 1.0, "m", "source")
AT_MOST_ONE = Limit("id", "clause", "title", "quantity", AT_MOST, 1.0, "m", "source")
AROUND = np.array([0.999999, 1.0 - 1e-12, 1.0, 1.000001, np.nan])


def test_at_least():
    criterion = judge(AT_LEAST_ONE, AROUND)
    assert criterion.verdict.tolist() == [FAIL, PASS, PASS, PASS, NOT_COMPUTABLE]
    assert criterion.margin[0] < 0.0 < criterion.margin[3]


def test_at_most():
    criterion = judge(AT_MOST_ONE, AROUND)
    assert criterion.verdict.tolist() == [PASS, PASS, PASS, FAIL, NOT_COMPUTABLE]
    assert criterion.margin[3] < 0.0 < criterion.margin[0], "positive is good"


def test_a_missing_requirement_is_not_computable():
    criterion = judge(AT_LEAST_ONE, np.ones(2), np.array([np.nan, 0.5]))
    assert criterion.verdict.tolist() == [NOT_COMPUTABLE, PASS]
    assert criterion.reason(0)
    assert criterion.reason(1) == "requirement met"


def test_an_infinite_requirement_is_failed():
    assert judge(AT_LEAST_ONE, np.ones(1), np.array([np.inf])).verdict.tolist() == [FAIL]


def test_the_first_cause_counts_whatever_the_numbers_say():
    first = Cause(np.array([True, False, False]), NOT_APPLICABLE, "first")
    second = Cause(np.array([True, True, False]), FAIL, "second")
    criterion = judge(AT_LEAST_ONE, np.full(3, 2.0), causes=[first, second])
    assert criterion.verdict.tolist() == [NOT_APPLICABLE, FAIL, PASS]
    assert [criterion.reason(n) for n in range(3)] == ["first", "second", "requirement met"]


def test_the_worse_side_is_the_worse_verdict_then_the_smaller_margin():
    """First half to port, second to starboard."""
    attained = np.array([3.0, 2.0, 2.0, 0.5, 2.0, 3.0, 2.0, np.nan])
    details = [Detail("value", "m", attained), Detail("word", "", [str(i) for i in range(8)])]
    both = judge(AT_LEAST_ONE, attained, details=details)
    one = one_half(both, unfavourable(both) > 0, np.array([1.0, 1.0, -1.0, 1.0]))
    assert one.verdict.tolist() == [PASS, PASS, PASS, FAIL]
    assert one.attained.tolist() == [2.0, 2.0, 2.0, 0.5]
    values = {detail.name: detail.values for detail in one.details}
    assert list(values["word"]) == ["4", "1", "2", "3"]
    assert list(values["side"]) == ["starboard", "port", "starboard", "port"]


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
def test_a_side_that_could_not_be_checked_never_hides_behind_one_that_passes(better, worse):
    causes = [Cause(np.array([True, False]), better, "b"), Cause(np.array([False, True]), worse, "w")]
    both = judge(AT_LEAST_ONE, np.full(2, 2.0), causes=causes)
    one = one_half(both, unfavourable(both) > 0, np.array([1.0]))
    assert one.verdict.tolist() == [worse]
    assert one.reason(0) == "w"


def test_names_and_ids_of_the_catalogue():
    """Public names are part of the interface; ids are unique within a set; every row names unit and source."""
    assert [name for name in CATALOGUE if name in RULE_SETS] == list(RULE_SETS)
    for rule_set in CATALOGUE.values():
        ids = [row.id for row in rule_set.limits]
        assert len(ids) == len(set(ids))
        assert rule_set.edition
        assert rule_set.document
        for row in rule_set.limits:
            assert all((row.clause, row.title, row.quantity, row.unit, row.source))
            assert row.comparison in (AT_LEAST, AT_MOST)
