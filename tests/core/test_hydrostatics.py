"""The hydrostatic tables: rows in order, look-ups between rows and trims, KM by its product with the displacement.

Truth: definition of linear interpolation; KM = KB + I / V, so that displacement x KM = displacement x KB + density x I:
a straight line where KB is constant, a parabola for a box (KM = d / 2 + B^2 / 12 d).
"""

import numpy as np
import pytest

from service.core.errors import OutsideTable, SeveralErrors, UnusableBooklet
from service.core.flotation import float_on
from service.core.hydrostatics import Floating, Hydrostatics
from tests.core.ship import (
    BREADTH,
    DRAFTS,
    KM,
    LCF,
    LENGTH,
    PER_METRE,
    SALT,
    hydrostatics,
    lcb,
    row,
)

TRIMS = (-2.0, 0.0, 2.0)
SPREAD = (4000.0, 5500.0, 7500.0, 9000.0, 10000.0)
"""t, between the rows of the ship and at one of them."""


def table(columns, trims=(0.0,), midship: bool = True, vcb: bool = True) -> Hydrostatics:
    """The ship's rows with some columns given as functions of draft (at the LCF) and trim."""
    rows = [{**row(d, t, vcb), **{n: of(d, t) for n, of in columns.items()}} for t in trims for d in DRAFTS]
    return Hydrostatics.from_rows(SALT, midship, rows)


# --- rows in order ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["draft", "displacement"])
def test_rows_that_do_not_increase_are_refused_by_place(name):
    rows = [row(d) for d in DRAFTS]
    rows[2] = {**rows[2], name: rows[1][name]}
    with pytest.raises(UnusableBooklet) as caught:
        Hydrostatics.from_rows(SALT, True, rows)
    assert caught.value.place == ("hydrostatics", "rows", 2, name)


def test_one_row_at_a_trim_is_no_table():
    with pytest.raises(UnusableBooklet) as caught:
        Hydrostatics.from_rows(SALT, True, [row(2.0), row(4.0), row(4.0, 1.0)])
    assert caught.value.place == ("hydrostatics", "rows", 2, "trim")


def test_every_row_out_of_order_is_named():
    """Two of one trim, one of another in its own numbering, a trim with one row: the place in the document counts."""
    rows = [row(d, t) for t in (0.0, 1.0) for d in DRAFTS] + [row(5.0, 2.0)]
    rows[1] = {**rows[1], "draft": 1.0}
    rows[3] = {**rows[3], "displacement": 1.0}
    rows[6] = {**rows[6], "draft": 1.0}
    with pytest.raises(SeveralErrors) as caught:
        Hydrostatics.from_rows(SALT, True, rows)
    assert [error.place[1:] for error in caught.value.errors] == [
        ("rows", 1, "draft"),
        ("rows", 3, "displacement"),
        ("rows", 6, "draft"),
        ("rows", 8, "trim"),
    ]


def test_rows_of_one_trim_stand_apart_from_those_of_another():
    """Drafts that fall from one row of the document to the next are in order where the trim is another."""
    mixed = Hydrostatics.from_rows(SALT, True, [row(d, t) for d in DRAFTS for t in reversed(TRIMS)])
    assert mixed.trims == list(TRIMS)
    assert mixed == hydrostatics(TRIMS)


def test_the_table_nearest_to_even_keel():
    assert hydrostatics((-2.0, 0.5, 3.0)).nearest_to_even_keel.trim == 0.5
    assert hydrostatics((-0.4, 0.5, 3.0)).nearest_to_even_keel.trim == -0.4


# --- KM by its product with the displacement -------------------------------------------------------------------


@pytest.mark.parametrize("mass", SPREAD)
def test_a_km_of_constant_kb_and_inertia_comes_back_exactly(mass):
    """KM = 3 m + 31,500 t.m / displacement: KB and the inertia of the waterplane the same at every draft."""
    made = table({"km": lambda d, t: 3.0 + 31_500.0 / (PER_METRE * d)})
    assert made.at(mass, 0.0).km == pytest.approx(3.0 + 31_500.0 / mass, rel=1e-14)
    assert made.km_at(mass, 0.0) == made.at(mass, 0.0).km
    afloat = float_on(made, LENGTH, mass, 50.0, 6.0, SALT)
    assert afloat.km == pytest.approx(3.0 + 31_500.0 / mass, rel=1e-14)


def test_straight_lines_between_the_same_rows_would_overstate_it():
    """Half way between 2 and 4 m KM itself by straight lines is 1.75 / 1.5 of the inertia's part too great."""
    made = table({"km": lambda d, t: 3.0 + 31_500.0 / (PER_METRE * d)})
    straight = 0.5 * (made.tables[0].rows[0].km + made.tables[0].rows[1].km)
    assert straight - made.at(4500.0, 0.0).km == pytest.approx(10.5 * (0.5 + 0.25) - 7.0, rel=1e-12)


def test_a_constant_km_is_constant_between_rows_too():
    for mass in SPREAD:
        assert hydrostatics().at(mass, 0.0).km == pytest.approx(KM, rel=1e-15)


@pytest.mark.parametrize("draft", [2.0, 2.2, 3.0, 4.0, 4.7, 5.0, 6.9, 8.0])
def test_a_box_by_coarse_rows_against_the_closed_form(draft):
    """The product with d is a parabola: between rows at d0 and d1 its chord is (d - d0)(d1 - d) / 2 above it, and KM
    that over d; at the rows nothing."""
    made = table({"km": lambda d, t: 0.5 * d + BREADTH**2 / (12.0 * d)})
    low = max((d for d in DRAFTS if d <= draft), default=DRAFTS[0])
    high = min((d for d in DRAFTS if d >= draft), default=DRAFTS[-1])
    closed = 0.5 * draft + BREADTH**2 / (12.0 * draft)
    chord = (draft - low) * (high - draft) / (2.0 * draft)
    assert made.at(PER_METRE * draft, 0.0).km == pytest.approx(closed + chord, rel=1e-14)
    # a straight line of KM itself loses B^2 / 12 d by its chord: more than that up to B / sqrt(6) = 6.5 m
    straight = np.interp(draft, DRAFTS, [0.5 * d + BREADTH**2 / (12.0 * d) for d in DRAFTS])
    lost = BREADTH**2 / 12.0 * (draft - low) * (high - draft) / (draft * low * high)
    assert straight - closed == pytest.approx(lost, abs=1e-13)


@pytest.mark.parametrize(("step", "within"), [(0.1, 0.001), (0.5, 0.016)])
def test_a_box_by_rows_that_are_close_is_the_closed_form(step, within):
    """step^2 / 8 d at 2 m of draft at most."""
    drafts = np.arange(2.0, 8.0 + step / 2.0, step)
    rows = [{**row(float(d)), "km": float(0.5 * d + BREADTH**2 / (12.0 * d))} for d in drafts]
    made = Hydrostatics.from_rows(SALT, True, rows)
    for draft in np.arange(2.0, 8.0, 0.037):
        closed = 0.5 * draft + BREADTH**2 / (12.0 * draft)
        assert made.at(PER_METRE * draft, 0.0).km == pytest.approx(closed, abs=within)


@pytest.mark.parametrize("trim", [-2.0, -1.3, 0.0, 0.5, 2.0])
@pytest.mark.parametrize("mass", [4000.0, 7500.0])
def test_between_trims_km_is_linear(trim, mass):
    """The product along the displacement first, a straight line between trims then."""
    made = table({"km": lambda d, t: 3.0 + 0.2 * t + (31_500.0 + 900.0 * t) / (PER_METRE * d)}, TRIMS)
    expected = 3.0 + 0.2 * trim + (31_500.0 + 900.0 * trim) / mass
    assert made.km_at(mass, trim) == pytest.approx(expected, rel=1e-13)
    assert made.at(mass, trim).km == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize(("trim", "stands"), [(-9.0, -2.0), (9.0, 2.0)])
def test_beyond_the_tabulated_trims_the_nearest_stands(trim, stands):
    made = table({"km": lambda d, t: 7.0 + 0.2 * t}, TRIMS)
    assert made.km_at(7500.0, trim) == pytest.approx(7.0 + 0.2 * stands, rel=1e-13)
    assert made.at(7500.0, trim).lcb == pytest.approx(lcb(5.0, stands), rel=1e-13)


@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
@pytest.mark.parametrize(
    ("mass", "known"), [(2999.9, False), (3000.0, True), (12000.0, True), (12000.1, False), (1e9, False)]
)
def test_off_the_displacements_km_is_unknown(trims, mass, known):
    found = hydrostatics(trims).km_at(mass, 0.5)
    assert found == (pytest.approx(KM) if known else None)


def test_a_trim_that_is_tabulated_needs_its_own_table_only():
    """Rows for 2 m by the stern end at 9000 t."""
    rows = [row(d, t) for t in TRIMS for d in DRAFTS if not (t == 2.0 and d > 6.0)]
    made = Hydrostatics.from_rows(SALT, True, rows)
    assert made.km_at(10000.0, 0.0) == pytest.approx(KM)
    assert made.km_at(10000.0, -1.0) == pytest.approx(KM)
    assert made.km_at(10000.0, 0.1) is None
    assert made.km_at(9000.0, 0.1) == pytest.approx(KM)


# --- the other columns -----------------------------------------------------------------------------------------


def test_a_row_is_blended_column_by_column_and_none_stays_none():
    one = Floating(4.0, 50.0, 49.0, 7.0, 15.0, 90.0, 2.0, None, 0.6)
    other = Floating(6.0, 52.0, 48.0, 8.0, 17.0, 94.0, None, 0.1, 0.7)
    found = one.blended(other, 0.25)
    assert found == (
        *(pytest.approx(v) for v in (4.5, 50.5, 48.75, 7.25, 15.5, 91.0)),
        None,
        None,
        0.625,
        None,
    )
    wide = one._replace(waterplane_area=900.0).blended(other._replace(waterplane_area=1000.0), 0.25)
    assert wide.waterplane_area == pytest.approx(925.0)
    assert one.blended(other, 0.0)[:6] == one[:6]
    assert one.blended(other, 1.0)[:6] == other[:6]


@pytest.mark.parametrize(("mass", "draft"), [(2000.0, 2.0), (3000.0, 2.0), (7500.0, 5.0), (15000.0, 8.0)])
def test_a_row_is_held_at_both_ends(mass, draft):
    found = hydrostatics().at(mass, 0.0)
    assert found.draft == pytest.approx(draft, rel=1e-14)
    assert found.km == pytest.approx(KM, rel=1e-14)
    assert found.lcb == pytest.approx(lcb(draft), rel=1e-14)
    assert found.vcb == pytest.approx(0.5 * draft, rel=1e-14)


@pytest.mark.parametrize("vcb", [True, False])
@pytest.mark.parametrize("mass", [3000.0, 7500.0, 12000.0])
def test_the_centre_of_buoyancy_with_and_without_its_height(mass, vcb):
    found = hydrostatics(vcb=vcb).tables[0].centre_of_buoyancy(mass)
    draft = mass / PER_METRE
    assert found == (pytest.approx(lcb(draft)), pytest.approx(0.5 * draft) if vcb else None)


def test_a_height_printed_at_one_end_only_is_none_between():
    rows = [{**row(d), "vcb": None if d == 4.0 else 0.5 * d} for d in DRAFTS]
    made = Hydrostatics.from_rows(SALT, True, rows).tables[0]
    assert [made.centre_of_buoyancy(PER_METRE * d)[1] for d in (3.0, 5.0)] == [None, None]
    assert made.centre_of_buoyancy(PER_METRE * 7.0)[1] == pytest.approx(3.5)


@pytest.mark.parametrize(("part", "off"), [(0.0, False), (0.9e-9, False), (1.1e-9, True)])
def test_the_ends_have_room_for_rounding(part, off):
    made = hydrostatics().tables[0]
    assert made.is_off(12000.0 * (1.0 + part)) is off
    assert made.is_off(3000.0 - 12000.0 * part) is off
    assert made.is_off(float("nan"))
    if off:
        with pytest.raises(OutsideTable) as caught:
            made.require(12000.0 * (1.0 + part))
        assert (caught.value.low, caught.value.high, caught.value.dimension) == (3000.0, 12000.0, "mass")
    else:
        made.require(12000.0 * (1.0 + part))


# --- drafts and displacements ----------------------------------------------------------------------------------


@pytest.mark.parametrize("midship", [True, False])
@pytest.mark.parametrize("trim", [-1.3, 0.0, 0.8])
def test_the_draft_at_the_centre_of_flotation(midship, trim):
    """Printed amidships it is deeper by the trim over the distance between them; printed at the LCF it is that."""
    made = table({"draft": lambda d, t: d - t * (0.5 - LCF / LENGTH) if midship else d}, TRIMS, midship)
    found = made.at(7500.0, trim)
    assert made.draft_at_lcf(found, trim, LENGTH) == pytest.approx(5.0, rel=1e-13)


def test_one_table_alone_is_entered_with_its_own_trim():
    made = table({}, (1.0,))
    assert made.draft_at_lcf(made.at(7500.0, 3.0), 3.0, LENGTH) == pytest.approx(5.0, rel=1e-13)


@pytest.mark.parametrize("midship", [True, False])
@pytest.mark.parametrize("trims", [(0.0,), (1.0,), TRIMS])
@pytest.mark.parametrize("trim", [-1.3, 0.0, 0.8])
@pytest.mark.parametrize("mass", [3100.0, 7700.0, 11900.0])
def test_the_displacement_at_a_draft_is_the_way_back(midship, trims, trim, mass):
    """The draft amidships is the one at the LCF less the trim over the distance between them."""
    made = table({"draft": lambda d, t: d - t * (0.5 - LCF / LENGTH) if midship else d}, trims, midship)
    draft = mass / PER_METRE - trim * (0.5 - LCF / LENGTH)
    assert made.displacement_at(draft, trim, LENGTH) == pytest.approx(mass, rel=1e-9)
    afloat = float_on(made, LENGTH, mass, lcb(mass / PER_METRE, trim), 0.5 * mass / PER_METRE, SALT)
    assert (afloat.trim, afloat.draft_midship) == pytest.approx((trim, draft), abs=1e-9)


@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
@pytest.mark.parametrize(("draft", "known"), [(1.99, False), (2.01, True), (7.99, True), (8.01, False)])
def test_off_the_drafts_the_displacement_is_unknown(trims, draft, known):
    found = hydrostatics(trims).displacement_at(draft, 0.0, LENGTH)
    assert found == (pytest.approx(PER_METRE * draft) if known else None)


def test_between_trims_both_tables_must_reach_the_draft():
    """Rows for 2 m by the stern end at 6 m."""
    rows = [row(d, t) for t in TRIMS for d in DRAFTS if not (t == 2.0 and d > 6.0)]
    made = Hydrostatics.from_rows(SALT, True, rows)
    assert made.displacement_at(7.0, 1.0, LENGTH) is None
    assert made.displacement_at(7.0, -1.0, LENGTH) == pytest.approx(PER_METRE * 6.99, rel=1e-12)
