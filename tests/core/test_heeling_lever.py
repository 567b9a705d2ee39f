"""The wind profile with deck cargo: linear in draft, first moments of area, nothing beyond its ends."""

import pytest

from service.core.heeling_lever import Wind, WindProfile

PROFILE = WindProfile((4.0, 6.0, 8.0), (700.0, 600.0, 400.0), (8.0, 9.0, 11.0))


@pytest.mark.parametrize(
    ("draft", "area", "height"),
    [(4.0, 700.0, 8.0), (5.0, 650.0, 8.5), (7.5, 450.0, 10.5), (8.0, 400.0, 11.0)],
)
def test_between_and_at_its_rows(draft, area, height):
    assert PROFILE.at(draft, 0.0, 0.0) == pytest.approx((area, height))


@pytest.mark.parametrize("draft", [3.99, 8.01])
def test_beyond_its_ends_it_is_unknown(draft):
    assert PROFILE.at(draft, 50.0, 600.0) is None


def test_deck_cargo_adds_its_area_and_moment():
    """600 m2 at 9 m and 100 m2 at 12 m: 700 m2 at (5400 + 1200) / 700."""
    wind = PROFILE.at(6.0, 100.0, 1200.0)
    assert wind == pytest.approx(Wind(700.0, 6600.0 / 700.0))


def test_a_ship_without_side_area():
    bare = WindProfile((4.0, 8.0), (0.0, 0.0), (8.0, 8.0))
    assert bare.at(6.0, 0.0, 0.0) == (0.0, 8.0)
