"""Doubts about tables: closed forms for what must not be doubted, planted errors for what must."""

from dataclasses import replace

import numpy as np
import pytest

from service.core.booklet_check import (
    LARGEST_BEND,
    LARGEST_DEPARTURE,
    Departure,
    bends,
    departures,
    falls,
    immersion_departures,
    immersion_from_displacements,
    rows_out_of_line,
)
from service.core.cross_curves import CrossCurves
from service.core.opening import ImmersionTable
from tests.core.ship import (
    BREADTH,
    HEELS,
    LCF,
    LENGTH,
    SALT,
    cross_curve_table,
    hydrostatics,
    opening,
    vessel,
    wet_at,
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


def test_falls() -> None:
    assert falls([1.0, 2.0, 1.5, 1.5, 3.0, 2.9]) == [2, 5]


# --- rows too far apart ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("step", [0.1, 0.5, 2.0])
def test_the_bend_of_a_box_is_that_of_half_her_draft(step: float) -> None:
    """KM = d / 2 + B^2 / 12 d: the product with d is a parabola, which chords overstate by step^2 / 8, KM by that over
    d; the inertia's part is a straight line."""
    drafts = np.arange(2.0, 8.0 + step / 2.0, step)
    km = 0.5 * drafts + BREADTH**2 / (12.0 * drafts)
    found = bends((1500.0 * drafts).tolist(), km.tolist())
    assert len(found) == len(drafts) - 2
    assert found == pytest.approx((step**2 / (8.0 * drafts[1:-1])).tolist(), rel=1e-6)


def test_of_uneven_rows_the_wider_gap_counts() -> None:
    """Rows at 2, 3 and 6 m: 3^2 / (8 x 3)."""
    drafts = np.array([2.0, 3.0, 6.0])
    assert bends(drafts.tolist(), (0.5 * drafts).tolist()) == pytest.approx([9.0 / 24.0])


def test_constant_kb_and_inertia_and_a_constant_km_do_not_bend() -> None:
    mass = [3000.0, 4000.0, 7000.0, 12000.0]
    assert bends(mass, [3.0 + 31_500.0 / m for m in mass]) == pytest.approx([0.0, 0.0], abs=1e-12)
    assert bends(mass, [7.4] * 4) == pytest.approx([0.0, 0.0], abs=1e-12)


def test_two_rows_have_no_bend() -> None:
    assert bends([3000.0, 4000.0], [7.0, 8.0]) == []


def test_what_the_bend_foretells_is_what_the_table_is_wrong_by() -> None:
    """Half way between rows 0.5 m apart at 4.25 m the box's KM is 0.5^2 / (8 x 4.25) too great: beyond a centimetre at
    3 m, not at 4."""
    assert LARGEST_BEND == 0.01
    drafts = np.arange(2.0, 8.01, 0.5)
    found = bends((1500.0 * drafts).tolist(), (0.5 * drafts + 20.0 / drafts).tolist())
    doubted = [float(d) for d, bend in zip(drafts[1:-1], found) if bend > LARGEST_BEND]
    assert doubted == [2.5, 3.0]


# --- printed angles beside computed ones -----------------------------------------------------------------------


def printed(*tables: ImmersionTable, y: float = 5.0, z: float = 9.0, x: float = LCF) -> list[Departure]:
    """What is doubted of an opening at the LCF: her level of the waterplane is a closed form (ship.py)."""
    given = opening("V", y, z, x=x, immersion=tables)
    return immersion_departures(SHIP, given)


SHIP = vessel(hydrostatics=hydrostatics((-2.0, 0.0, 2.0)))


def exact(draft: float, off: float = 0.0, toward: float = 5.0, rise: float = 0.0) -> float:
    return wet_at(toward, 9.0, draft, rise) + off


@pytest.mark.parametrize(
    ("off", "doubted"), [(0.0, False), (0.999, False), (1.001, True), (-0.999, False), (-1.001, True)]
)
@pytest.mark.parametrize("y", [5.0, -5.0])
def test_a_printed_angle_more_than_a_degree_off_is_doubted(off: float, doubted: bool, y: float) -> None:
    assert LARGEST_DEPARTURE == 1.0
    table = ImmersionTable((4.0, 6.0, 8.0), (exact(4.0), exact(6.0, off), exact(8.0)))
    found = printed(table, y=y)
    if not doubted:
        assert found == []
        return
    (only,) = found
    assert (only.table, only.row, only.printed) == (0, 1, exact(6.0, off))
    assert only.computed == pytest.approx(exact(6.0), abs=1e-8)


def test_the_draft_of_a_row_is_amidships_at_the_tables_own_trim() -> None:
    """1.5 m by the stern: 6 m amidships are 6.015 m at the LCF; the opening forward stands higher out."""
    rise = (LCF - 90.0) * 1.5 / LENGTH
    right = ImmersionTable((6.0,), (exact(6.015, rise=rise),), 1.5)
    assert printed(right, x=90.0) == []
    as_even = ImmersionTable((6.0,), (exact(6.015, rise=rise),))
    ((table, row, _, computed),) = printed(right, as_even, x=90.0)
    assert (table, row) == (1, 0)
    assert computed == pytest.approx(exact(6.0), abs=1e-8)


def test_rows_beyond_her_tables_are_not_judged() -> None:
    """Hydrostatics end at 8 m; cross curves of another ship at 6 m."""
    wrong = ImmersionTable((1.0, 5.0, 7.0, 9.0), (1.0, 1.0, 1.0, 1.0))
    assert [found.row for found in printed(wrong)] == [1, 2]
    short = CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(4.0, 6.0)),))
    given = opening("V", 5.0, 9.0, x=LCF, immersion=(wrong,))
    assert [f.row for f in immersion_departures(replace(SHIP, cross_curves=short), given)] == [1]


def test_without_cross_curves_or_where_she_stays_dry_nothing_is_doubted() -> None:
    wrong = ImmersionTable((6.0,), (1.0,))
    given = opening("V", 5.0, 9.0, immersion=(wrong,))
    assert immersion_departures(replace(SHIP, cross_curves=None), given) == []
    assert printed(wrong, z=60.0) == []
    assert printed() == []


def test_cross_curves_in_fresh_water_are_entered_with_what_she_weighs_there() -> None:
    """The same volumes: nothing is doubted of the right angles."""
    fresh = cross_curve_table()
    curves = CrossCurves(1.0, HEELS, (replace(fresh, displacements=[m / SALT for m in fresh.displacements]),))
    table = ImmersionTable((4.0, 7.9), (exact(4.0), exact(7.9)))
    given = opening("V", 5.0, 9.0, x=LCF, immersion=(table,))
    assert immersion_departures(replace(SHIP, cross_curves=curves), given) == []
