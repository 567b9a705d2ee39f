"""The wind profile with deck cargo: linear in draft, first moments of area, nothing beyond its ends."""

import numpy as np
import pytest

from service.core.heeling_lever import WindProfile

PROFILE = WindProfile(np.array([4.0, 6.0, 8.0]), np.array([700.0, 600.0, 400.0]), np.array([8.0, 9.0, 11.0]))


@pytest.mark.parametrize(
    ("draft", "area", "height"), [(4.0, 700.0, 8.0), (5.0, 650.0, 8.5), (8.0, 400.0, 11.0)]
)
def test_between_and_at_its_rows(draft, area, height):
    got = PROFILE.at(np.array([draft]), np.zeros(1), np.zeros(1))
    assert [float(v[0]) for v in got] == pytest.approx([area, height])


@pytest.mark.parametrize("draft", [3.99, 8.01])
def test_beyond_its_ends_it_is_unknown(draft):
    area, height = PROFILE.at(np.array([draft]), np.full(1, 50.0), np.full(1, 600.0))
    assert np.isnan(area[0])
    assert np.isnan(height[0])


def test_deck_cargo_adds_its_area_and_moment():
    """600 m2 at 9 m and 100 m2 at 12 m: 700 m2 at (5400 + 1200) / 700."""
    area, height = PROFILE.at(np.array([6.0]), np.full(1, 100.0), np.full(1, 1200.0))
    assert area[0] == 700.0
    assert height[0] == pytest.approx(6600.0 / 700.0)


def test_a_ship_without_side_area():
    bare = WindProfile(np.array([4.0, 8.0]), np.zeros(2), np.full(2, 8.0))
    area, height = bare.at(np.array([6.0]), np.zeros(1), np.zeros(1))
    assert (area[0], height[0]) == (0.0, 8.0)
