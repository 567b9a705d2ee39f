"""Derrett and Barrass, Ship Stability for Masters and Mates: trim, and the density of the water.

Citation: D. R. Derrett, revised by C. B. Barrass, Ship Stability for Masters and Mates, 5th and 6th edition,
chapters on trim and on the effect of density. How obtained: values from memory, but for the exercise at
sailorsknowit.com, which was read there.
"""

import pytest

from service.core.hull.hydrostatics import upright
from tests.published.booklet import loaded, shifted, ship, weight
from tests.published.hulls import box


def drafts(answer):
    return answer["flotation"]["draft_aft"], answer["flotation"]["draft_forward"]


def test_discharge_then_shift_to_a_given_aft_draft(assess):
    """Web page "trim or longitudinal stability" at sailorsknowit.com, an exercise of the book: drafts 6.7 F, 7.3
    A, MCTC 250, TPC 10, 120 m, LCF amidships; 220 t discharged 24 m forward of it, then cargo shifted from 5 m
    abaft to 20 m forward of it until the aft draft is 7.0 m.

    Right as printed: rise 22 cm, change of trim 21.12 cm, 7.19 A and 6.37 F. Wrong as printed: the shift of 380 t
    (from an excess rounded to 19 cm; exact 371.2 t) and the final forward draft of 6.75 m, to which the whole
    change of trim was added instead of half of it: it is 6.56 m.
    """
    vessel = ship(7000, 7, 8, length=120, draft=7.0, trim=0.6, tpc=10, mctc=250)
    gone = weight(-220, 7.0, lcg=60 + 24)
    before, first = assess(loaded(vessel)), assess(loaded(vessel, [gone]))
    assert drafts(before) == pytest.approx((7.3, 6.7), abs=1e-9)
    assert first["flotation"]["draft_at_lcf"] == pytest.approx(7.0 - 0.22, abs=1e-9)
    assert first["flotation"]["trim"] - 0.6 == pytest.approx(0.2112, abs=0.00005)
    assert drafts(first) == pytest.approx((7.19, 6.37), abs=0.005)
    last = assess(loaded(vessel, [gone, *shifted(371.2, along=25)]))
    assert drafts(last) == pytest.approx((7.0, 6.56), abs=1e-6)
    as_printed = assess(loaded(vessel, [gone, *shifted(380, along=25)]))
    assert drafts(as_printed) == pytest.approx((6.995, 6.565), abs=0.001)  # and not 6.75 forward


def test_centre_of_flotation_abaft_amidships(assess):
    """Trim chapter, example 1: 126 m, drafts 5.5 F, 6.5 A, LCF 3 m abaft amidships, MCTC 240, 6000 t; 120 t
    shifted 45 m forward: change of trim 22.5 cm, 6.393 A, 5.618 F (values from memory). 60/126 of the change goes
    aft."""
    lcf = 63 - 3
    at_lcf = 6.5 - 1.0 * lcf / 126
    vessel = ship(6000, 7, 8, length=126, draft=at_lcf, trim=1.0, mctc=240, lcf=lcf)
    answer = assess(loaded(vessel, shifted(120, along=45)))
    assert 1.0 - answer["flotation"]["trim"] == pytest.approx(0.225, abs=0.0005)
    assert drafts(answer) == pytest.approx((6.393, 5.618), abs=0.0005)


def test_box_with_a_weight_shifted_aft(assess):
    """Trim chapter: box 90 x 10 x 6 m at 3 m in salt water; 64 t shifted 40 m aft. BML 225 m, MCTC 69.19, 37 cm,
    drafts 3.185 A, 2.815 F (values from memory). The book takes BML for GML in the MCTC."""
    row = upright(box(90, 10, 6), 3.0)
    mass = row.volume * 1.025
    mctc = mass * row.bml / (100 * 90)
    assert row.bml == pytest.approx(225, abs=1e-9)
    assert mctc == pytest.approx(69.19, abs=0.005)
    vessel = ship(mass, 2.5, row.km, length=90, breadth=10, draft=3.0, mctc=mctc)
    answer = assess(loaded(vessel, shifted(64, along=-40)))
    assert answer["flotation"]["trim"] == pytest.approx(0.37, abs=0.005)
    assert drafts(answer) == pytest.approx((3.185, 2.815), abs=0.0005)


def test_cargo_still_to_load_in_dock_water(assess):
    """Density chapter: 8.0 m in water of 1.010, TPC 15, fresh water allowance 150 mm, at sea no more than 8.1 m:
    285 t (value from memory). The allowance for the dock is 90 mm, so that she has 7.91 m at sea and 19 cm to go. The
    summer mark is named: none is assumed."""
    summer = 150 * 4 * 15  # displacement that makes FWA = displacement / (4 TPC) 150 mm
    vessel = ship(
        summer, 6, 7, draft=8.1, tpc=15, load_lines={"summer_draft": 8.1}, rule_sets=["load-lines"]
    )  # fmt: skip
    rise = weight(-1500 * 0.19, 6)
    dock = assess(loaded(vessel, [rise], density=1.010, load_line_mark="S"))["criteria"][0]
    assert dock["limit"] - 8.1 == pytest.approx(0.090, abs=1e-9)
    sea = assess(loaded(vessel, [rise, weight(285, 6)], load_line_mark="S"))["criteria"][0]
    assert sea["attained"] == pytest.approx(8.1, abs=1e-9)
    assert sea["verdict"] == "pass"
    over = assess(loaded(vessel, [rise, weight(286, 6)], load_line_mark="S"))["criteria"][0]
    assert over["verdict"] == "fail"


def test_box_from_one_density_to_another(assess):
    """Density chapter: a box at 2.1 m in water of 1.020 floats at 2.09 m in 1.025 (value from memory)."""
    vessel = ship(1000, 2, 3, draft=2.1, density=1.020)
    assert assess(loaded(vessel, density=1.025))["flotation"]["draft_midship"] == pytest.approx(
        2.09, abs=0.005
    )


@pytest.mark.parametrize("mass", [20, 100, 400])
def test_where_to_load_so_that_the_aft_draft_stays(assess, mass):
    """Trim chapter, the formula with numbers of our own: d = MCTC L / (TPC l) forward of the LCF, l from the LCF
    to the aft perpendicular, whatever the weight: 150 x 120 / (20 x 57) = 15.789 m."""
    vessel = ship(9000, 7, 8, length=120, draft=6.0, tpc=20, mctc=150, lcf=57)
    before = assess(loaded(vessel))
    after = assess(loaded(vessel, [weight(mass, 7, lcg=57 + 150 * 120 / (20 * 57))]))
    assert drafts(after)[0] == pytest.approx(drafts(before)[0], abs=1e-9)
    assert drafts(after)[1] > drafts(before)[1]
