"""Drafts and trim, by moment and by iteration over trimmed tables, and what is left of the answer off those tables.

Truth: closed forms of the ship in ship.py (linear tables) and of equilibrium; moment method: Derrett and Barrass,
Ship Stability for Masters and Mates, chapter on trim.
"""

from math import atan, degrees

import numpy as np
import pytest

from service.core.assessment import Assessment, assess
from service.core.errors import CoreError, OutsideTable
from service.core.flotation import ITERATION_METHOD, MOMENT_METHOD, float_on, require_within_hull
from service.core.hydrostatics import Hydrostatics
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    DRAFTS,
    KM,
    LCB_PER_TRIM,
    LCF,
    LENGTH,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    condition,
    cross_curves,
    hydrostatics,
    lcb,
    row,
    vessel,
)

TRIMS = (-2.0, 0.0, 2.0)


def load(mass: float, lcg: float, vcg: float = 6.0) -> list[Weight]:
    """What brings her to this displacement and these centres."""
    added = mass - LIGHTSHIP.mass
    return [
        Weight(
            added,
            (mass * lcg - LIGHTSHIP.mass * LIGHTSHIP.lcg) / added,
            (mass * vcg - LIGHTSHIP.mass * LIGHTSHIP.vcg) / added,
        )
    ]


def afloat(table: Hydrostatics, mass: float, lcg: float, vcg: float = 6.0, water: float = SALT) -> Assessment:
    ship = vessel(hydrostatics=table, cross_curves=cross_curves())
    return assess(ship, condition(weights=load(mass, lcg, vcg), water_density=water))


def off(table: Hydrostatics, mass: float, lcg: float) -> OutsideTable:
    """Why she has no drafts: the condition is answered, and this is the gap it names."""
    found = afloat(table, mass, lcg).situation
    assert found.flotation is None
    gap = found.gaps["flotation"]
    assert isinstance(gap, OutsideTable)
    assert found.gaps["righting_lever"] is found.gaps["list"] is gap
    with pytest.raises(OutsideTable, match=gap.quantity.split(" ")[0]):
        float_on(table, LENGTH, mass, lcg, 6.0, SALT)
    return gap


@pytest.mark.parametrize(("mass", "lcg"), [(7500.0, 50.0), (9000.0, 51.0), (6000.0, 48.0)])
def test_trim_by_moment(mass, lcg):
    """Trim = displacement x (LCB - LCG) / (100 MCTC) = (LCB - LCG) / 1.5; drafts turn about the LCF."""
    result = afloat(hydrostatics(), mass, lcg).situation.flotation
    draft = mass / PER_METRE
    trim = (lcb(draft) - lcg) / LCB_PER_TRIM
    assert result.method == MOMENT_METHOD
    assert result.trim == pytest.approx(trim, rel=1e-12)
    assert result.draft_at_lcf == pytest.approx(draft, rel=1e-12)
    assert result.draft_aft == pytest.approx(draft + trim * LCF / LENGTH, rel=1e-12)
    assert result.draft_forward == pytest.approx(draft - trim * (1.0 - LCF / LENGTH), rel=1e-12)
    assert result.draft_midship == pytest.approx(draft + trim * (LCF / LENGTH - 0.5), rel=1e-12)
    assert result.draft_at(LCF) == pytest.approx(draft, rel=1e-12)
    assert result.km == pytest.approx(KM, rel=1e-12)
    assert result.residual is None


@pytest.mark.parametrize(("mass", "lcg"), [(7500.0, 50.0), (9000.0, 51.0), (6000.0, 48.5)])
def test_iteration_and_moment_agree_on_the_same_linear_tables(mass, lcg):
    """Without VCB the normal's inclination is neglected by both, and both solve LCB0 - 1.5 t = LCG."""
    one = afloat(hydrostatics(), mass, lcg).situation.flotation
    other = afloat(hydrostatics(TRIMS, vcb=False), mass, lcg).situation.flotation
    assert other.method == ITERATION_METHOD
    for name in ("trim", "draft_at_lcf", "draft_forward", "draft_midship", "draft_aft", "km", "tpc", "mctc"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-12), name
    assert abs(other.residual) < 1e-12


@pytest.mark.parametrize("vcg", [4.0, 6.0, 7.0])
@pytest.mark.parametrize("lcg", [48.0, 49.9, 50.5, 52.5])
def test_iteration_finds_the_equilibrium_of_g_and_b(lcg, vcg):
    """LCG - LCB0 + 1.5 t = (t / LBP)(VCG - VCB), solved for t by hand; nothing is left over."""
    mass, draft = 7500.0, 5.0
    result = afloat(hydrostatics(TRIMS), mass, lcg, vcg)
    trim = (lcb(draft) - lcg) / (LCB_PER_TRIM - (vcg - 0.5 * draft) / LENGTH)
    assert result.situation.flotation.trim == pytest.approx(trim, rel=1e-9, abs=1e-12)
    assert abs(result.situation.flotation.residual) < 1e-12
    assert result.situation.flotation.lcb == pytest.approx(lcb(draft, trim), rel=1e-12)


@pytest.mark.parametrize("trim", [-0.5, 0.99, 1.01, 2.5])
def test_between_tabulated_trims_that_are_no_straight_line(trim):
    """LCB 52, 50 and 46 m at trims -1, 1 and 3 m: the trim found lies in the interval it was solved in."""
    by_trim = {-1.0: 52.0, 1.0: 50.0, 3.0: 46.0}
    rows = [{**row(d, t), "lcb": at} for t, at in by_trim.items() for d in DRAFTS]
    mass, vcg, vcb = 7500.0, 6.0, 2.5
    lcg = float(np.interp(trim, list(by_trim), list(by_trim.values()))) + trim / LENGTH * (vcg - vcb)
    result = afloat(Hydrostatics.from_rows(SALT, True, rows), mass, lcg, vcg)
    assert result.situation.flotation.trim == pytest.approx(trim, rel=1e-9)
    assert abs(result.situation.flotation.residual) < 1e-12


@pytest.mark.parametrize("midship", [True, False])
def test_the_draft_that_trimmed_rows_are_entered_with(midship):
    """The same ship printed by the draft amidships or by the draft at the LCF floats at the same drafts."""
    trim, mass, draft = 1.2, 7500.0, 5.0
    lcg = lcb(draft, trim)
    rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS]
    if not midship:
        rows = [{**r, "draft": float(r["displacement"] or 0.0) / PER_METRE} for r in rows]
    result = afloat(Hydrostatics.from_rows(SALT, midship, rows), mass, lcg).situation.flotation
    assert result.trim == pytest.approx(trim, rel=1e-12)
    assert result.draft_at_lcf == pytest.approx(draft, rel=1e-12)
    assert result.draft_aft == pytest.approx(draft + trim * LCF / LENGTH, rel=1e-12)


@pytest.mark.parametrize("water", [1.0, 1.0125, 1.03])
@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
def test_lighter_water_deepens_her_in_proportion_and_scales_tpc_and_mctc(water, trims):
    mass, lcg = 7500.0, 50.0
    result = afloat(hydrostatics(trims, vcb=False), mass, lcg, water=water).situation.flotation
    equivalent = mass * SALT / water
    draft = equivalent / PER_METRE
    assert result.draft_at_lcf == pytest.approx(draft, rel=1e-12)
    assert result.tpc == pytest.approx(PER_METRE / 100.0 * water / SALT, rel=1e-12)
    assert result.mctc == pytest.approx(equivalent * LCB_PER_TRIM / 100.0 * water / SALT, rel=1e-12)
    assert result.trim == pytest.approx((lcb(draft) - lcg) / LCB_PER_TRIM, rel=1e-9)


@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
@pytest.mark.parametrize(
    ("mass", "served"),
    [(3600.0, True), (12000.0, True), (11999.9, True), (12000.1, False), (13000.0, False)],
)
def test_the_deep_end_of_the_hydrostatic_table(trims, mass, served):
    table, mass = hydrostatics(trims, vcb=False), mass + (1e-9 if mass == 3600.0 else 0.0)
    if served:
        assert afloat(table, mass, 49.0).situation.flotation.draft_at_lcf == pytest.approx(mass / PER_METRE)
        return
    error = off(table, mass, 49.0)
    assert "displacement" in error.quantity
    assert (error.low, error.high, error.dimension) == (3000.0, 12000.0, "mass")
    assert error.value == pytest.approx(mass)


@pytest.mark.parametrize(("mass", "served"), [(2999.9, False), (3000.0, True), (3000.1, True)])
def test_the_light_end_of_the_hydrostatic_table(mass, served):
    ship = vessel(lightship=Weight(mass, 50.0, 6.0))
    if served:
        assert assess(ship, condition(weights=[])).displacement.mass == mass
        return
    found = assess(ship, condition(weights=[])).situation
    error = found.gaps["stability"]
    assert isinstance(error, OutsideTable)
    assert (error.value, error.low) == (mass, 3000.0)
    assert (found.flotation, found.km, found.gm_solid, found.gm_corrected) == (None, None, None, None)


@pytest.mark.parametrize(("trim", "served"), [(1.999, True), (2.0, True), (2.001, False), (-2.001, False)])
def test_the_ends_of_the_trimmed_tables(trim, served):
    table, lcg = hydrostatics(TRIMS, vcb=False), lcb(5.0, trim)
    if served:
        assert afloat(table, 7500.0, lcg).situation.flotation.trim == pytest.approx(trim, rel=1e-9)
        return
    error = off(table, 7500.0, lcg)
    assert (error.quantity, error.low, error.high, error.dimension) == ("trim", -2.0, 2.0, "length")
    assert error.value == pytest.approx(trim, rel=1e-6)


@pytest.mark.parametrize("short", [2.0, -2.0])
def test_a_trimmed_table_that_does_not_reach_her_displacement_is_not_led_on(short):
    """Rows for 2 m to one end stop at 9000 t; 10000 t at 1 m to that end needs them, to the other it does not."""
    rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS if not (t == short and d > 6.0)]
    table = Hydrostatics.from_rows(SALT, True, rows)
    error = off(table, 10000.0, lcb(10000.0 / PER_METRE, 0.5 * short))
    assert (error.low, error.high) == (3000.0, 9000.0)
    other = afloat(table, 10000.0, lcb(10000.0 / PER_METRE, -0.5 * short))
    assert other.situation.flotation.trim == pytest.approx(-0.5 * short, rel=1e-9)


@pytest.mark.parametrize("removed", [7600.0, 7600.1, 50000.0])
def test_as_much_or_more_removed_than_there_was_is_refused(removed):
    gone = condition(weights=[CARGO_WEIGHT, Weight(-removed, 50.0, 5.0)])
    with pytest.raises(CoreError, match="masses removed") as caught:
        assess(vessel(), gone)
    assert not isinstance(caught.value, OutsideTable)


def test_rows_of_several_trims_may_be_printed_in_any_grouping():
    sorted_rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS]
    mixed = [row(d, t, vcb=False) for d in DRAFTS for t in reversed(TRIMS)]
    a = afloat(Hydrostatics.from_rows(SALT, True, sorted_rows), 7500.0, 49.0).situation.flotation
    b = afloat(Hydrostatics.from_rows(SALT, True, mixed), 7500.0, 49.0).situation.flotation
    assert a.trim == b.trim
    assert a.draft_aft == b.draft_aft


def test_two_trims_agree_with_three():
    wide = afloat(hydrostatics((-2.0, 2.0), vcb=False), 7500.0, 49.0).situation.flotation
    fine = afloat(hydrostatics(TRIMS, vcb=False), 7500.0, 49.0).situation.flotation
    assert wide.trim == pytest.approx(fine.trim, rel=1e-12)


def test_a_removed_weight_is_its_negative():
    again = [CARGO_WEIGHT, Weight(100.0, 60.0, 4.0), Weight(-100.0, 60.0, 4.0)]
    with_it, without = assess(vessel(), condition(weights=again)), assess(vessel(), condition())
    assert with_it.situation.flotation.trim == pytest.approx(without.situation.flotation.trim, rel=1e-12)
    assert with_it.situation.gm_corrected == pytest.approx(without.situation.gm_corrected, rel=1e-12)


def test_her_own_transverse_centre_of_buoyancy_counts_against_the_list():
    """TCB 0.02 m to port: with her weight on the centreline she lists to starboard, tan = 0.02 / GM."""
    rows = [{**row(d), "tcb": 0.02} for d in DRAFTS]
    ship = vessel(hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    result = assess(ship, condition())
    expected = -degrees(atan(0.02 / result.situation.gm_corrected))
    assert result.situation.rest.list_angle == pytest.approx(expected, rel=1e-12)
    assert result.situation.heeling_arm == pytest.approx(-0.02)


def test_a_ship_without_tanks_floats_on_her_weights():
    heavier = vessel(lightship=LIGHTSHIP._replace(mass=4000.0))
    assert assess(heavier, condition()).displacement.mass == 8000.0


# --- columns that a booklet may leave out ----------------------------------------------------------------------


def test_what_is_printed_is_interpolated_and_what_is_not_is_none():
    """Block coefficient 0.6 and 0.7 at 4 and 6 m: 0.65 at 5 m; TCB of one row only: none."""
    rows = [{**row(d), "block_coefficient": 0.4 + 0.05 * d} for d in DRAFTS]
    flotation = float_on(Hydrostatics.from_rows(SALT, True, rows), LENGTH, 7500.0, 50.0, 6.0, SALT)
    assert flotation.block_coefficient == pytest.approx(0.65, rel=1e-12)
    assert flotation.vcb == pytest.approx(2.5, rel=1e-12)
    bare = float_on(hydrostatics(vcb=False), LENGTH, 7500.0, 50.0, 6.0, SALT)
    assert (bare.vcb, bare.block_coefficient, bare.tcb) == (None, None, 0.0)


def test_every_column_is_taken_between_trims_and_drafts():
    """Columns linear in draft and in trim come back at a draft and a trim between the rows, and a KM of which the
    product with the displacement is."""
    columns = {
        "lcf": lambda d, t: 48.0 + 0.3 * d - 0.4 * t,
        "km": lambda d, t: 7.0 + 5.0 / d + 0.05 * t,
        "tpc": lambda d, t: 14.0 + 0.2 * d + 0.1 * t,
        "mctc": lambda d, t: 90.0 + 3.0 * d - 2.0 * t,
        "tcb": lambda d, t: 0.01 * d + 0.02 * t,
        "block_coefficient": lambda d, t: 0.6 + 0.01 * d + 0.002 * t,
    }
    rows = [
        {**row(d, t, vcb=False), **{name: of(d, t) for name, of in columns.items()}}
        for t in TRIMS
        for d in DRAFTS
    ]
    draft, trim = 5.5, 0.75
    found = float_on(
        Hydrostatics.from_rows(SALT, True, rows), LENGTH, PER_METRE * draft, lcb(draft, trim), 6.0, SALT
    )
    assert found.trim == pytest.approx(trim, rel=1e-12)
    for name, of in columns.items():
        assert getattr(found, name) == pytest.approx(of(draft, trim), rel=1e-12), name
    # the draft printed is amidships: at the LCF it is deeper by the trim over the distance between them
    printed = draft - trim * (0.5 - LCF / LENGTH)
    assert found.draft_midship == pytest.approx(printed, rel=1e-12)
    assert found.draft_at_lcf == pytest.approx(printed + trim * (0.5 - found.lcf / LENGTH), rel=1e-12)
    assert found.draft_aft - found.draft_forward == pytest.approx(trim, rel=1e-12)


def test_the_moment_method_starts_from_the_trim_of_its_only_table():
    """One table, printed at 1 m by the stern: the moment turns her from there."""
    rows = [row(d, 1.0) for d in DRAFTS]
    found = float_on(Hydrostatics.from_rows(SALT, True, rows), LENGTH, 7500.0, lcb(5.0, 1.0) - 0.3, 6.0, SALT)
    assert found.method == MOMENT_METHOD
    assert found.trim == pytest.approx(1.0 + 0.3 / LCB_PER_TRIM, rel=1e-12)
    assert found.draft_at_lcf == pytest.approx(5.0, rel=1e-12)


# --- off the tables --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trims", [(-2.0, 0.0, 2.0), (-2.0, 2.0)])
@pytest.mark.parametrize("lcg", [42.0, 58.0])
def test_with_only_the_trim_off_her_tables_gm_is_that_of_even_keel(trims, lcg):
    """KM = 7 + 0.2 x trim: at the trim she wants it would be half a metre away."""
    rows = [{**row(d, t, vcb=False), "km": 7.0 + 0.2 * t} for t in trims for d in DRAFTS]
    found = afloat(Hydrostatics.from_rows(SALT, True, rows), 7500.0, lcg, 6.0).situation
    assert found.flotation is None
    assert set(found.gaps) == {"flotation", "righting_lever", "list"}
    assert found.km == pytest.approx(7.0, rel=1e-13)
    assert found.gm_solid == pytest.approx(1.0, rel=1e-12)
    assert found.gm_corrected == pytest.approx(1.0, rel=1e-12)
    gap = found.gaps["flotation"]
    assert (gap.low, gap.high) == (-2.0, 2.0)
    assert gap.value == pytest.approx((lcb(5.0) - lcg) / LCB_PER_TRIM, rel=1e-9)
    assert gap.cause == "her trim lies outside the table"


def test_even_keel_is_entered_with_the_displacement_in_the_water_of_the_tables():
    """7,600 t in fresh water displace what 7,790 t do in salt: KM = 4 m + 24,000 / 7,790."""
    rows = [
        {**row(d, t, vcb=False), "km": 4.0 + 24_000.0 / (PER_METRE * d)} for t in (-2.0, 2.0) for d in DRAFTS
    ]
    found = afloat(Hydrostatics.from_rows(SALT, True, rows), 7600.0, 42.0, 6.0, 1.0).situation
    assert found.flotation is None
    assert found.km == pytest.approx(4.0 + 24_000.0 / 7790.0, rel=1e-12)


def test_a_centre_of_buoyancy_that_does_not_move_with_trim_balances_no_trim():
    """No VCB and the same LCB at every trim: the condition is answered without drafts, GM at even keel."""
    rows = [{**row(d, t, vcb=False), "lcb": 50.0} for t in TRIMS for d in DRAFTS]
    table = Hydrostatics.from_rows(SALT, True, rows)
    found = afloat(table, 7500.0, 49.0).situation
    assert found.flotation is None
    assert "no equilibrium trim" in str(found.gaps["flotation"])
    assert found.gm_corrected == pytest.approx(KM - 6.0, rel=1e-12)
    with pytest.raises(CoreError, match="does not move with trim"):
        float_on(table, LENGTH, 7500.0, 49.0, 6.0, SALT)


def test_the_moment_method_has_no_end_in_trim():
    """One table: whatever the moment, the trim is worked out."""
    found = float_on(hydrostatics(), LENGTH, 7500.0, 20.0, 6.0, SALT)
    assert found.trim == pytest.approx((lcb(5.0) - 20.0) / LCB_PER_TRIM, rel=1e-12)
    assert found.draft_forward < 0.0


@pytest.mark.parametrize(
    ("edge", "within"),
    [
        ("bow dry", 5.0 / 0.51),  # draft forward 5.0 - 0.51 t
        ("stern dry", -5.0 / 0.49),  # draft aft 5.0 + 0.49 t
        ("stern under", 4.0 / 0.49),  # 9.0 m at the stern
        ("bow under", -4.0 / 0.51),
    ],
)
def test_an_even_keel_table_does_not_stand_for_a_trim_that_takes_an_end_off_the_water(edge, within):
    """Floating at 5 m at her centre of flotation, 49 m of 100: definition of trim."""
    top = 9.0 if "under" in edge else None
    for part, off in ((1.0 - 1e-6, False), (1.0, False), (1.0 + 1e-6, True)):
        trim = within * part
        found = float_on(hydrostatics(), LENGTH, 7500.0, lcb(5.0) - LCB_PER_TRIM * trim, 6.0, SALT)
        assert found.trim == pytest.approx(trim, rel=1e-9)
        if off:
            with pytest.raises(OutsideTable) as caught:
                require_within_hull(found, top)
            assert within == pytest.approx(caught.value.low if within < 0.0 else caught.value.high, rel=1e-9)
        else:
            require_within_hull(found, top)


def test_with_an_end_out_of_the_water_she_is_answered_without_drafts_and_never_passes():
    found = afloat(hydrostatics(), 7500.0, 20.0)
    assert found.situation.flotation is None
    assert isinstance(found.situation.gaps["flotation"], OutsideTable)
    assert found.situation.gm_corrected == pytest.approx(KM - 6.0, rel=1e-12)
    assert found.verdict == "incomplete"
