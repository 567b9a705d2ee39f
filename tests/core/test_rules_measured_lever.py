"""When the righting lever curve decides a clause by itself. Source: 2008 IS Code Part A 2.2, 2.3.1."""

from math import inf

import pytest

from service.core.lever_measures import LeverMeasures
from service.core.rules.limit import FAIL, NOT_COMPUTABLE, Intermediate
from service.core.rules.measured_lever import flooding_detail, floods_before, too_short, unknown
from tests.core.ship import cubic_lever


def measured(flooding: float | None, last: float = 80.0) -> LeverMeasures:
    return LeverMeasures(cubic_lever(1.0, 35.0, last), flooding)


@pytest.mark.parametrize("flooding", [0.0, 40.0, inf])
def test_a_known_end_decides_nothing(flooding):
    assert unknown(measured(flooding)) is None


def test_an_unknown_end_is_not_computable():
    ruling = unknown(measured(None))
    assert ruling is not None
    assert ruling.verdict == NOT_COMPUTABLE
    assert "openings" in ruling.reason


@pytest.mark.parametrize(
    ("last", "flooding", "decides"),
    [(29.0, inf, True), (30.0, inf, False), (29.0, 28.0, False), (29.0, None, False), (29.0, 29.5, True)],
)
def test_cross_curves_that_end_too_early_are_not_computable(last, flooding, decides):
    ruling = too_short(measured(flooding, last), 30.0)
    assert (ruling is not None) is decides
    if ruling is not None:
        assert ruling.verdict == NOT_COMPUTABLE
        assert "cross curves" in ruling.reason


@pytest.mark.parametrize(
    ("flooding", "decides"),
    [(0.0, True), (29.9, True), (30.0, True), (30.1, False), (inf, False), (None, False)],
)
def test_an_opening_that_floods_first_fails(flooding, decides):
    ruling = floods_before(measured(flooding), 30.0)
    assert (ruling is not None) is decides
    if ruling is not None:
        assert ruling.verdict == FAIL
        assert "floods" in ruling.reason


@pytest.mark.parametrize(("flooding", "shown"), [(0.0, 0.0), (33.0, 33.0), (inf, None), (None, None)])
def test_the_angle_is_shown_under_the_documents_own_name(flooding, shown):
    expected = Intermediate("flooding_angle", "downflooding angle", "degree", shown)
    assert flooding_detail(measured(flooding), "downflooding angle") == expected
