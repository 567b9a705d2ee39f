"""Natural rolling period and its inverse. Source: 2008 IS Code Part A 2.3.4; the coefficient at L, B, d 120, 20, 8 m
is arithmetic: 0.373 + 0.0575 - 0.0516 = 0.3789."""

from math import sqrt

import pytest

from service.core.rolling import coefficient, metacentric_height, period


def test_coefficient_and_period():
    c = coefficient(20.0, 8.0, 120.0)
    assert c == pytest.approx(0.3789, abs=1e-12)
    assert period(c, 20.0, 0.8) == pytest.approx(2 * 0.3789 * 20.0 / sqrt(0.8), rel=1e-14)


@pytest.mark.parametrize("gm", [1e-6, 0.01, 0.15, 0.8, 3.0])
def test_the_gm_of_a_period_is_the_gm_it_came_from(gm):
    c = coefficient(20.0, 8.0, 120.0)
    seconds = period(c, 20.0, gm)
    assert seconds is not None
    assert metacentric_height(c, 20.0, seconds) == pytest.approx(gm, rel=1e-13)


@pytest.mark.parametrize("gm", [0.0, -0.1])
def test_no_period_without_positive_gm(gm):
    assert period(1.0, 20.0, gm) is None
