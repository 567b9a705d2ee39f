"""Doubts about tables: closed forms for what must not be doubted, planted errors for what must."""

import math

import numpy as np
import pytest

from service.core.booklet_check import (
    departures,
    falls,
    immersion_from_displacements,
    km_from_cross_curve,
    rows_out_of_line,
)

DRAFTS = np.arange(2.0, 8.01, 0.25)


def test_a_cubic_departs_from_itself_nowhere() -> None:
    """Lagrange's cubic through four points of a cubic is that cubic, evenly spaced or not."""
    x = np.array([0.0, 0.7, 1.1, 2.0, 3.5, 4.0, 4.4, 6.0])
    off = departures(x, 2 * x**3 - x**2 + 5)
    assert np.isnan(off[[0, 1, -2, -1]]).all()
    assert np.abs(off[2:-2]).max() < 1e-9


def test_a_single_error_echoes_by_two_thirds_in_its_neighbours() -> None:
    """Even spacing: weights -1/6, 4/6, 4/6, -1/6 (Lagrange)."""
    values = np.zeros(11)
    values[5] = 1.0
    off = departures(np.arange(11.0), values)
    assert off[3:8] == pytest.approx([1 / 6, -2 / 3, 1.0, -2 / 3, 1 / 6])


@pytest.mark.parametrize("row", [2, 5, 12, 20, len(DRAFTS) - 3])
@pytest.mark.parametrize("slip", [0.3, -0.3])
def test_a_mistyped_row_is_found_with_what_it_should_be(row: int, slip: float) -> None:
    km = 2.0 / DRAFTS * 4.0 + DRAFTS / 2
    typed = km.copy()
    typed[row] += slip
    ((found, expected),) = rows_out_of_line(DRAFTS.tolist(), typed.tolist())
    assert found == row
    assert expected == pytest.approx(km[row], abs=0.02)


@pytest.mark.parametrize(
    "values",
    [
        8.0 / DRAFTS + DRAFTS / 2,  # KM of a box
        np.round(100.0 * DRAFTS**1.1, 1),
        np.maximum(DRAFTS, 5.0),  # a knuckle of the hull
        np.full(len(DRAFTS), 3.0),
    ],
    ids=["curve", "rounded", "knuckle", "constant"],
)
def test_curves_rounding_and_knuckles_are_not_doubted(values: np.ndarray) -> None:
    assert rows_out_of_line(DRAFTS.tolist(), values.tolist()) == []


def test_a_departure_up_to_the_least_is_not_doubted() -> None:
    typed = DRAFTS.copy()
    typed[8] += 0.2
    assert rows_out_of_line(DRAFTS.tolist(), typed.tolist())
    assert rows_out_of_line(DRAFTS.tolist(), typed.tolist(), least=0.21) == []


@pytest.mark.parametrize("rows", [0, 3, 6])
def test_short_tables_are_not_judged(rows: int) -> None:
    assert rows_out_of_line(list(range(rows)), [9.0] * rows) == []


def test_immersion_of_a_box_is_its_waterplane() -> None:
    """Displacement L B d ρ: slope L B ρ."""
    draft = np.array([1.0, 1.5, 3.0])
    slopes = immersion_from_displacements(draft.tolist(), (80 * 12 * 1.025 * draft).tolist())
    assert slopes == pytest.approx([80 * 12 * 1.025] * 2)


@pytest.mark.parametrize("heels", [(5, 10, 20), (10, 20, 30), (12, 20, 30)])
def test_a_wall_sided_ships_km_comes_back_from_her_cross_curve(heels: tuple[int, ...]) -> None:
    """KN = sin φ (KM + BM tan²φ / 2), wall-sided formula, KM 6, BM 3: within 1 % of KM."""
    levers = [math.sin(math.radians(h)) * (6.0 + 1.5 * math.tan(math.radians(h)) ** 2) for h in heels]
    assert km_from_cross_curve(heels, levers) == pytest.approx(6.0, rel=0.01)


def test_without_a_small_heel_there_is_no_slope() -> None:
    assert km_from_cross_curve([20.0, 30.0], [2.0, 3.0]) is None


def test_falls() -> None:
    assert falls([1.0, 2.0, 1.5, 1.5, 3.0, 2.9]) == [2, 5]
