"""Percent of the limit of a value's own sign, at stations and between them.

Limits by sign, at sea and in port: layout of MSC/Circ.920 3.8.1. Between stations linear: value from memory.
"""

from math import inf

import pytest

from service.core.strength.booklet import StrengthBooklet
from service.core.strength.limits import (
    BENDING,
    HARBOUR,
    SEA,
    SHEAR,
    LimitLine,
    Limits,
    Station,
    used,
    used_by,
)
from service.core.strength.weight_curve import Segment
from tests.core.barge import HARBOUR as IN_PORT
from tests.core.barge import SEA as AT_SEA
from tests.core.barge import sections, stations, strength


def percent(limits: Limits, quantity: str, value: float) -> float | None:
    return used(limits.of_sign(quantity, value), value).percent


def test_each_value_is_judged_by_the_limit_of_its_own_sign():
    """- 850 t against 900, - 21000 t.m against 20000 at sea and 28000 in harbour (constructed)."""
    assert percent(AT_SEA, SHEAR, -850.0) == pytest.approx(94.444444444, abs=1e-9)
    assert percent(AT_SEA, BENDING, -21000.0) == pytest.approx(105.0, abs=1e-9)
    assert percent(IN_PORT, BENDING, -21000.0) == pytest.approx(75.0, abs=1e-9)
    assert percent(AT_SEA, SHEAR, 850.0) == pytest.approx(106.25, abs=1e-9)
    assert percent(AT_SEA, BENDING, 21000.0) == pytest.approx(95.454545455, abs=1e-9)


def test_a_negative_limit_that_is_not_given_is_that_of_the_positive_sign():
    assert Limits.of(1000.0, None, 30000.0, None) == Limits(1000.0, 1000.0, 30000.0, 30000.0)
    assert percent(IN_PORT, SHEAR, -500.0) == 50.0


def test_without_a_limit_there_is_no_percent_and_nothing_exceeds_a_limit_of_nothing_unnoticed():
    assert percent(Limits(), SHEAR, 5.0) is None
    assert percent(Limits(0.0, 0.0), SHEAR, 5.0) == inf
    assert percent(Limits(0.0, 0.0), SHEAR, 0.0) == 0.0


def test_at_a_point_load_the_side_that_uses_more_counts():
    """- 850 of 900 is more than 800 of 1000."""
    limits = Limits.of(1000.0, 900.0, None, None)
    assert used_by(limits, SHEAR, (-850.0, 800.0)) == (900.0, pytest.approx(94.4444444))
    assert used_by(limits, SHEAR, (800.0, -850.0)) == (900.0, pytest.approx(94.4444444))
    assert used_by(Limits(1000.0), SHEAR, (800.0, -850.0)) == (None, None)


def test_between_two_stations_a_limit_is_linear_and_beyond_them_there_is_none():
    line = LimitLine((10.0, 20.0, 40.0), (100.0, 200.0, 100.0))
    assert [line.at(x) for x in (10.0, 15.0, 20.0, 30.0, 40.0)] == [100.0, 150.0, 200.0, 150.0, 100.0]
    assert line.at(9.99) is line.at(40.01) is LimitLine((), ()).at(10.0) is None


def test_stations_in_any_order_are_read_from_aft_and_those_without_a_limit_are_passed_over():
    limits = [Limits.of(100.0, 50.0, None, None), Limits(), Limits.of(300.0, 90.0, None, None)]
    booklet = StrengthBooklet([Station(x, each, Limits()) for x, each in zip((30.0, 20.0, 10.0), limits)])
    assert [station.x for station in booklet.stations] == [10.0, 20.0, 30.0]
    assert booklet.limit_between(SEA, SHEAR, 20.0, 1.0) == pytest.approx(200.0)
    assert booklet.limit_between(SEA, SHEAR, 20.0, -1.0) == pytest.approx(70.0)
    assert booklet.limit_between(HARBOUR, SHEAR, 20.0, 1.0) is None
    assert booklet.limit_between(SEA, BENDING, 20.0, 1.0) is None


@pytest.mark.parametrize("there", [(9.0, 3.0), (3.0, 9.0)])
def test_where_two_stations_stand_at_one_place_the_smaller_limit_counts_between(there):
    """In either order. Common practice, no source."""
    each = [
        Station(x, Limits.of(limit, None, None, None), Limits())
        for x, limit in ((0.0, 1.0), *((5.0, limit) for limit in there))
    ]
    assert StrengthBooklet(each).limit_between(SEA, SHEAR, 5.0, 1.0) == 3.0


def test_what_a_booklet_lacks_is_said():
    segments = (Segment.of_mass(0.0, 100.0, 2050.0),)
    assert "no limits" in (StrengthBooklet((), segments, sections()).missing or "")
    assert "sections" in (StrengthBooklet(stations(), segments).missing or "")
    assert "lightship" in (StrengthBooklet(stations(), (), sections()).missing or "")
    assert strength().is_complete
