"""Masses along her length: trapezium, triangle and point, mass and first moment kept (definition of a linear load)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import CoreError
from service.core.strength.weight_curve import (
    Load,
    Segment,
    is_inside,
    is_shortened,
    linear,
    point_loads,
    spread,
    totals,
)


def by_quadrature(load: Load) -> tuple[float, float]:
    """Mass and moment by Simpson's rule, exact for what is linear."""
    middle, length = 0.5 * (load.aft + load.forward), load.forward - load.aft
    ends = ((load.aft, load.at_aft, 1.0), (load.forward, load.at_forward, 1.0))
    points = [*ends, (middle, 0.5 * (load.at_aft + load.at_forward), 4.0)]
    return (
        length / 6.0 * sum(share * mass for _, mass, share in points),
        length / 6.0 * sum(share * mass * x for x, mass, share in points),
    )


def test_the_trapezium_of_a_mass_whose_centre_is_off_the_middle():
    """Closed form: 300 t over 40 to 60 m with its centre at 51.5 m: 8.25 t/m aft, 21.75 t/m forward."""
    load = spread(300.0, 51.5, (40.0, 60.0))
    assert load == pytest.approx((40.0, 60.0, 8.25, 21.75, 300.0), rel=1e-12)
    assert by_quadrature(load) == pytest.approx((300.0, 300.0 * 51.5), rel=1e-12)
    assert not is_shortened(51.5, (40.0, 60.0))


def test_a_centre_a_sixth_off_the_middle_is_a_triangle_over_the_whole_extent():
    load = spread(300.0, 50.0 + 20.0 / 6.0, (40.0, 60.0))
    assert (load.aft, load.forward) == (40.0, 60.0)
    assert (load.at_aft, load.at_forward) == pytest.approx((0.0, 30.0), abs=1e-12)
    assert not is_shortened(50.0 + 20.0 / 6.0, (40.0, 60.0))


@pytest.mark.parametrize(
    ("lcg", "aft", "forward", "ends"), [(44.0, 40.0, 52.0, (50.0, 0.0)), (56.0, 48.0, 60.0, (0.0, 50.0))]
)
def test_a_centre_further_off_is_a_triangle_at_the_nearer_end(lcg, aft, forward, ends):
    """Base 3 (l / 2 - |e|) = 12 m, peak 2 m / base = 50 t/m; its centre a third of the base from the end."""
    load = spread(300.0, lcg, (40.0, 60.0))
    assert load == pytest.approx((aft, forward, *ends, 300.0), rel=1e-12)
    assert is_shortened(lcg, (40.0, 60.0))


@pytest.mark.parametrize("extent", [None, (47.0, 47.0), (46.9998, 47.0002)])
def test_without_extent_or_with_hardly_any_it_acts_at_a_point(extent):
    assert spread(300.0, 47.0, extent) == Load(47.0, 47.0, 0.0, 0.0, 300.0)
    assert point_loads([spread(300.0, 47.0, extent)]) == [spread(300.0, 47.0, extent)]


@pytest.mark.parametrize("lcg", [40.0, 60.0])
def test_a_centre_at_an_end_acts_at_a_point_there(lcg):
    assert spread(300.0, lcg, (40.0, 60.0)) == Load(lcg, lcg, 0.0, 0.0, 300.0)


@pytest.mark.parametrize("lcg", [39.9, 60.1])
def test_a_centre_outside_its_extent_is_an_error(lcg):
    assert not is_inside(lcg, (40.0, 60.0))
    with pytest.raises(CoreError, match="outside the extent"):
        spread(300.0, lcg, (40.0, 60.0))


@pytest.mark.parametrize("lcg", [40.0 - 1e-7, 60.0 + 1e-7])
def test_rounding_of_units_does_not_put_a_centre_outside(lcg):
    assert is_inside(lcg, (40.0, 60.0))
    assert spread(300.0, lcg, (40.0, 60.0)).mass == 300.0


@given(st.floats(-500.0, 5000.0), st.floats(0.0, 200.0), st.floats(0.01, 80.0), st.floats(0.001, 0.999))
def test_mass_and_centre_are_kept_whatever_the_extent(mass, aft, length, part):
    lcg = aft + part * length
    load = spread(mass, lcg, (aft, aft + length))
    assert load.mass == pytest.approx(mass, rel=1e-9)
    assert load.moment == pytest.approx(mass * lcg, rel=1e-9, abs=1e-9)
    if load.aft < load.forward:
        assert by_quadrature(load) == pytest.approx((mass, mass * lcg), rel=1e-9, abs=1e-9)
        assert min(load.at_aft * mass, load.at_forward * mass) >= -1e-9 * abs(mass) ** 2 / length
        assert aft - 1e-9 <= load.aft
        assert load.forward <= aft + length + 1e-9


def test_totals_are_first_moments():
    loads = [spread(100.0, 10.0, None), spread(300.0, 51.5, (40.0, 60.0)), linear(0.0, 10.0, 5.0, 15.0)]
    # the last: 100 t, its centre at 10 (5 + 2 x 15) / (3 (5 + 15)) = 5.8333 m
    assert totals(loads) == pytest.approx((500.0, 1000.0 + 15450.0 + 100.0 * 35.0 / 6.0), rel=1e-12)


def test_a_segment_is_its_mass_spread_evenly_or_what_its_ends_say():
    assert Segment.of_mass(10.0, 30.0, 200.0).load == Load(10.0, 30.0, 10.0, 10.0, 200.0)
    assert Segment(10.0, 30.0, 8.0, 12.0).load == Load(10.0, 30.0, 8.0, 12.0, 200.0)
