"""Look-ups in a column: linear between rows, exact at them, and what happens beyond the ends.

Truth: the definition of linear interpolation, and `numpy.interp` for arbitrary tables.
"""

from itertools import accumulate

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.interpolation import held, interpolated, interval, is_outside

ARGUMENTS, VALUES = (1.0, 2.0, 4.0, 5.0), (10.0, 30.0, 20.0, 20.5)


@pytest.mark.parametrize(
    ("at", "index", "part"),
    [
        (1.0, 0, 0.0),
        (1.5, 0, 0.5),
        (2.0, 1, 0.0),
        (3.5, 1, 0.75),
        (4.0, 2, 0.0),
        (5.0, 2, 1.0),
        (0.0, 0, 0.0),  # held at both ends
        (9.0, 2, 1.0),
    ],
)
def test_the_interval_that_holds_a_value(at, index, part):
    assert interval(ARGUMENTS, at) == (index, part)


@pytest.mark.parametrize(
    ("at", "value"), [(1.0, 10.0), (1.25, 15.0), (2.0, 30.0), (3.0, 25.0), (4.0, 20.0), (5.0, 20.5)]
)
def test_between_and_at_the_rows(at, value):
    assert held(ARGUMENTS, VALUES, at) == pytest.approx(value, rel=1e-15)
    assert interpolated(ARGUMENTS, VALUES, at) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(("at", "value"), [(0.999, 10.0), (-1e9, 10.0), (5.001, 20.5), (1e9, 20.5)])
def test_beyond_the_ends_a_value_is_held_or_none(at, value):
    assert held(ARGUMENTS, VALUES, at) == value
    assert interpolated(ARGUMENTS, VALUES, at) is None


def test_one_row_is_the_same_everywhere():
    assert [held((3.0,), (7.0,), at) for at in (0.0, 3.0, 9.0)] == [7.0, 7.0, 7.0]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.floats(0.01, 10.0), st.floats(-50.0, 50.0)), min_size=2, max_size=9),
    st.floats(-0.2, 1.2),
)
def test_any_table_against_numpy(rows, part):
    arguments = list(accumulate(step for step, _ in rows))
    values = [value for _, value in rows]
    at = arguments[0] + part * (arguments[-1] - arguments[0])
    assert held(arguments, values, at) == pytest.approx(float(np.interp(at, arguments, values)), abs=1e-11)


@pytest.mark.parametrize(
    ("value", "outside"),
    [
        (-2.0, False),
        (3.0, False),
        (3.0 * (1.0 + 0.5e-9), False),
        (3.0 * (1.0 + 2.0e-9), True),
        (-2.0 - 0.5 * 3.0e-9, False),
        (-2.0 - 2.0 * 3.0e-9, True),
        (float("nan"), True),
    ],
)
def test_the_ends_have_room_for_rounding_and_no_more(value, outside):
    """A billionth of the larger end: a change of units and back."""
    assert is_outside(value, -2.0, 3.0) is outside
