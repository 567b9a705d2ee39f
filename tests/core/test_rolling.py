"""Natural rolling period and its inverse. Source: 2008 IS Code Part A 2.3.4; the coefficient at L, B, d 120, 20, 8 m
is arithmetic: 0.373 + 0.0575 - 0.0516 = 0.3789."""

import numpy as np
import pytest

from service.core.rolling import coefficient, metacentric_height, period


def test_coefficient_and_period():
    c = coefficient(20.0, np.array([8.0]), 120.0)
    assert c[0] == pytest.approx(0.3789, abs=1e-12)
    assert period(c, 20.0, np.array([0.8]))[0] == pytest.approx(2 * 0.3789 * 20.0 / np.sqrt(0.8), rel=1e-14)


@pytest.mark.parametrize("gm", [0.15, 0.8, 3.0])
def test_the_gm_of_a_period_is_the_gm_it_came_from(gm):
    c = coefficient(20.0, np.array([8.0]), 120.0)
    assert metacentric_height(c, 20.0, period(c, 20.0, np.array([gm])))[0] == pytest.approx(gm, rel=1e-13)


@pytest.mark.parametrize("gm", [0.0, -0.1])
def test_no_period_without_positive_gm(gm):
    assert np.isnan(period(np.ones(1), 20.0, np.array([gm]))[0])
