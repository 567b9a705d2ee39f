"""Tolerances by which a computed figure may differ from a printed one.

MSC.1/Circ.1229 table 1 as amended by MSC.1/Circ.1461 (5.1: the percentage counts as long as it does not exceed the
linear value), IACS UR L5 Rev.4."""

import pytest

from service.core.booklet_tolerance import LEAST_CONDITIONS, OURS, TOLERANCES


@pytest.mark.parametrize(
    ("figure", "printed", "allowed"),
    [
        ("displacement", 5000.0, 100.0),  # 2 %
        ("lcb", 30.0, 0.30),  # 1 % from AP
        ("lcb", 80.0, 0.50),  # 50 cm max
        ("lcf", -2.0, 0.02),
        ("vcg", 3.0, 0.03),  # 1 %
        ("vcg", 9.0, 0.05),  # 5 cm max
        ("km", 6.0, 0.05),
        ("tcg", 0.0, 0.05),  # 0.5 % of 14.4 m is 7.2 cm: 5 cm max
        ("free_surface_moment", 200.0, 4.0),
        ("draft", 4.0, 0.04),
        ("gm", 0.15, 0.0015),
        ("lever", 0.4, 0.02),
        ("lever", 1.5, 0.05),
        ("list", 3.0, 1.0),
        ("down_flooding_angle", 50.0, 2.0),
        ("mctc", 75.0, 1.5),
        ("area", 0.055, 0.00275),  # 5 %
        ("area", 0.010, 0.0012),  # or 0.0012 m.rad
        ("free_surface_correction", 0.06, 0.0012),
    ],
)
def test_what_a_figure_may_differ_by(figure: str, printed: float, allowed: float) -> None:
    assert TOLERANCES[figure].allowed(printed, 14.4) == pytest.approx(allowed)


def test_a_narrow_ship_may_differ_less_athwartships() -> None:
    assert TOLERANCES["tcg"].allowed(0.0, 6.0) == pytest.approx(0.03)


def test_near_zero_the_base_of_a_lever_is_the_greatest_one() -> None:
    assert TOLERANCES["lever_near_zero"].allowed(0.001, 14.4, 0.4) == pytest.approx(0.02)


def test_rows_of_ours_say_so() -> None:
    ours = {row.figure for row in TOLERANCES.values() if row.source == OURS}
    assert ours == {"tpc", "trim", "angle_of_maximum", "vanishing_angle"}


def test_a_proof_needs_four_conditions() -> None:
    """IACS Rec.48 2.1.2: a minimum of four loading conditions."""
    assert LEAST_CONDITIONS == 4
