"""What documents measure on the curve up to the angle of down-flooding.

Truth: the cubic GZ = s (a - a^3 / 3 m^2), whose areas, levers and maximum are closed forms. That the curve ends where
the first opening floods: 2008 IS Code Part A 2.2, 2.3.1.
"""

from math import inf, radians

import pytest

from service.core.lever_measures import LeverMeasures
from tests.core.ship import cubic, cubic_area, cubic_lever, lever_through

MAXIMUM = 35.0


def measured(flooding: float | None, maximum: float = MAXIMUM, last: float = 80.0) -> LeverMeasures:
    return LeverMeasures(cubic_lever(1.0, maximum, last), flooding)


def area(to: float, maximum: float = MAXIMUM) -> float:
    return cubic_area(radians(to), radians(maximum))


def lever(at: float, maximum: float = MAXIMUM) -> float:
    return cubic(radians(at), radians(maximum))


@pytest.mark.parametrize(
    ("flooding", "last", "usable"),
    [(inf, 80.0, 80.0), (25.0, 80.0, 25.0), (50.0, 45.0, 45.0), (None, 80.0, None)],
)
def test_the_usable_part_ends_at_flooding_or_with_the_cross_curves(flooding, last, usable):
    assert measured(flooding, last=last).usable == usable


@pytest.mark.parametrize("flooding", [inf, 80.0, 40.0, 39.0, 31.0, 30.0, 20.0, 0.0])
def test_areas_end_at_flooding(flooding):
    levers = measured(flooding)
    assert levers.area_to(12.0) == pytest.approx(area(min(flooding, 12.0)), rel=1e-12)
    assert levers.area_to_30 == pytest.approx(area(min(flooding, 30.0)), rel=1e-12)
    assert levers.area_to_40 == pytest.approx(area(min(flooding, 40.0)), rel=1e-12)
    between = area(min(flooding, 40.0)) - area(30.0) if flooding > 30.0 else 0.0
    assert levers.area_30_to_40 == pytest.approx(between, rel=1e-10)


@pytest.mark.parametrize(
    ("flooding", "maximum", "angle"),
    [(inf, 35.0, 35.0), (35.0, 35.0, 35.0), (34.0, 35.0, 34.0), (20.0, 45.0, 20.0), (60.0, 25.0, 25.0)],
)
def test_the_angle_of_the_greatest_usable_lever(flooding, maximum, angle):
    levers = measured(flooding, maximum)
    assert levers.angle_of_greatest == pytest.approx(angle, rel=1e-9)
    assert levers.area_to_greatest() == pytest.approx(area(angle, maximum), rel=1e-9)


@pytest.mark.parametrize(
    ("flooding", "maximum", "expected"),
    [
        (inf, 35.0, 35.0),  # at the maximum itself
        (inf, 34.5, 34.5),  # which lies between two printed points
        (inf, 25.0, 30.0),  # falling from 30 on
        (inf, 30.0, 30.0),
        (33.3, 45.0, 33.3),  # still rising where an opening floods
        (33.3, 33.3, 33.3),
        (30.0 + 1e-9, 45.0, 30.0),
    ],
)
def test_the_greatest_lever_from_30_degrees(flooding, maximum, expected):
    assert measured(flooding, maximum).greatest_from(30.0) == pytest.approx(
        lever(expected, maximum), rel=1e-9
    )


@pytest.mark.parametrize("flooding", [30.0, 29.0, 0.0])
def test_where_an_opening_floods_before_no_lever_is_left(flooding):
    assert measured(flooding).greatest_from(30.0) == 0.0


def test_of_two_humps_the_greatest_usable_lever_counts():
    """0.40 m at 20 degrees, 0.30 at 40 and 0.60 at 60; an opening floods at 45: at 30 or more it is the one there."""
    heels = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0]
    curve = lever_through(heels, (0.25, 0.40, 0.33, 0.30, 0.45, 0.60, 0.50, 0.20), 1.2)
    levers = LeverMeasures(curve, 45.0)
    assert curve.angle_of_maximum > 50.0
    assert levers.greatest_from(30.0) == pytest.approx(max(curve.lever(45.0), 0.33), rel=1e-12)
    assert LeverMeasures(curve, inf).greatest_from(30.0) == curve.maximum
    assert LeverMeasures(curve, 39.0).greatest_from(30.0) == pytest.approx(0.33, rel=1e-12)


def test_unknown_flooding_leaves_everything_unknown():
    levers = measured(None)
    for value in (
        levers.area_to(30.0),
        levers.area_to_30,
        levers.area_to_40,
        levers.area_30_to_40,
        levers.angle_of_greatest,
        levers.greatest_from(30.0),
        levers.area_to_greatest(),
    ):
        assert value is None


@pytest.mark.parametrize(
    ("last", "flooding", "angle", "shorter"),
    [
        (29.0, inf, 30.0, True),
        (30.0, inf, 30.0, False),
        (31.0, inf, 30.0, False),
        (29.0, 28.0, 30.0, False),  # it floods before: the rest is not needed
        (29.0, 29.0, 30.0, False),
        (29.0, 29.1, 30.0, True),
        (29.0, None, 30.0, False),  # that it is unknown is said elsewhere
        (39.0, inf, 30.0, False),
        (39.0, inf, 40.0, True),
    ],
)
def test_cross_curves_that_end_before_an_angle(last, flooding, angle, shorter):
    assert measured(flooding, last=last).is_shorter_than(angle) is shorter
