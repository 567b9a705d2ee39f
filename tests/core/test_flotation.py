"""Drafts and trim, by moment and by iteration over trimmed tables.

Truth: closed forms of the ship in ship.py (linear tables) and of equilibrium; moment method: Derrett and Barrass,
Ship Stability for Masters and Mates, chapter on trim.
"""

import numpy as np
import pytest

from service.core.assessment import Assessment, assess
from service.core.errors import OutsideTable, UnusableBooklet
from service.core.flotation import ITERATION_METHOD, MOMENT_METHOD
from service.core.hydrostatics import Hydrostatics
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    DRAFTS,
    LCB_PER_TRIM,
    LCF,
    LENGTH,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    condition,
    cross_curves,
    hydrostatics,
    km,
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
    return assess(ship, [condition(weights=load(mass, lcg, vcg), water_density=water)])


@pytest.mark.parametrize(("mass", "lcg"), [(7500.0, 50.0), (9000.0, 51.0), (6000.0, 48.0)])
def test_trim_by_moment(mass, lcg):
    """Trim = displacement x (LCB - LCG) / (100 MCTC) = (LCB - LCG) / 1.5; drafts turn about the LCF."""
    result = afloat(hydrostatics(), mass, lcg).flotation
    draft = mass / PER_METRE
    trim = (lcb(draft) - lcg) / LCB_PER_TRIM
    assert result.method == MOMENT_METHOD
    assert result.trim[0] == pytest.approx(trim, rel=1e-12)
    assert result.draft_at_lcf[0] == pytest.approx(draft, rel=1e-12)
    assert result.draft_aft[0] == pytest.approx(draft + trim * LCF / LENGTH, rel=1e-12)
    assert result.draft_forward[0] == pytest.approx(draft - trim * (1.0 - LCF / LENGTH), rel=1e-12)
    assert result.draft_midship[0] == pytest.approx(draft + trim * (LCF / LENGTH - 0.5), rel=1e-12)
    assert result.draft_at(LCF)[0] == pytest.approx(draft, rel=1e-12)
    assert result.km[0] == pytest.approx(km(draft), rel=1e-12)
    assert np.isnan(result.residual[0])


@pytest.mark.parametrize(("mass", "lcg"), [(7500.0, 50.0), (9000.0, 51.0), (6000.0, 48.5)])
def test_iteration_and_moment_agree_on_the_same_linear_tables(mass, lcg):
    """Without VCB the normal's inclination is neglected by both, and both solve LCB0 - 1.5 t = LCG."""
    one = afloat(hydrostatics(), mass, lcg).flotation
    other = afloat(hydrostatics(TRIMS, vcb=False), mass, lcg).flotation
    assert other.method == ITERATION_METHOD
    for name in ("trim", "draft_at_lcf", "draft_forward", "draft_midship", "draft_aft", "km", "tpc", "mctc"):
        assert getattr(other, name)[0] == pytest.approx(getattr(one, name)[0], rel=1e-12), name
    assert abs(other.residual[0]) < 1e-12


@pytest.mark.parametrize("vcg", [4.0, 6.0, 7.0])
@pytest.mark.parametrize("lcg", [48.0, 49.9, 50.5, 52.5])
def test_iteration_finds_the_equilibrium_of_g_and_b(lcg, vcg):
    """LCG - LCB0 + 1.5 t = (t / LBP)(VCG - VCB), solved for t by hand; nothing is left over."""
    mass, draft = 7500.0, 5.0
    result = afloat(hydrostatics(TRIMS), mass, lcg, vcg)
    trim = (lcb(draft) - lcg) / (LCB_PER_TRIM - (vcg - 0.5 * draft) / LENGTH)
    assert result.refused == [None]
    assert result.flotation.trim[0] == pytest.approx(trim, rel=1e-9, abs=1e-12)
    assert abs(result.flotation.residual[0]) < 1e-12
    assert result.flotation.lcb[0] == pytest.approx(lcb(draft, trim), rel=1e-12)


@pytest.mark.parametrize("trim", [-0.5, 0.99, 1.01, 2.5])
def test_between_tabulated_trims_that_are_no_straight_line(trim):
    """LCB 52, 50 and 46 m at trims -1, 1 and 3 m: the trim found lies in the interval it was solved in."""
    by_trim = {-1.0: 52.0, 1.0: 50.0, 3.0: 46.0}
    rows = [{**row(d, t), "lcb": at} for t, at in by_trim.items() for d in DRAFTS]
    mass, vcg, vcb = 7500.0, 6.0, 2.5
    lcg = float(np.interp(trim, list(by_trim), list(by_trim.values()))) + trim / LENGTH * (vcg - vcb)
    result = afloat(Hydrostatics.from_rows(SALT, True, rows), mass, lcg, vcg)
    assert result.flotation.trim[0] == pytest.approx(trim, rel=1e-9)
    assert abs(result.flotation.residual[0]) < 1e-12


@pytest.mark.parametrize("midship", [True, False])
def test_the_draft_that_trimmed_rows_are_entered_with(midship):
    """The same ship printed by the draft amidships or by the draft at the LCF floats at the same drafts."""
    trim, mass, draft = 1.2, 7500.0, 5.0
    lcg = lcb(draft, trim)
    rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS]
    if not midship:
        rows = [{**r, "draft": float(r["displacement"] or 0.0) / PER_METRE} for r in rows]
    result = afloat(Hydrostatics.from_rows(SALT, midship, rows), mass, lcg).flotation
    assert result.trim[0] == pytest.approx(trim, rel=1e-12)
    assert result.draft_at_lcf[0] == pytest.approx(draft, rel=1e-12)
    assert result.draft_aft[0] == pytest.approx(draft + trim * LCF / LENGTH, rel=1e-12)


@pytest.mark.parametrize("water", [1.0, 1.0125, 1.03])
@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
def test_lighter_water_deepens_her_in_proportion_and_scales_tpc_and_mctc(water, trims):
    mass, lcg = 7500.0, 50.0
    result = afloat(hydrostatics(trims, vcb=False), mass, lcg, water=water).flotation
    equivalent = mass * SALT / water
    draft = equivalent / PER_METRE
    assert result.draft_at_lcf[0] == pytest.approx(draft, rel=1e-12)
    assert result.tpc[0] == pytest.approx(PER_METRE / 100.0 * water / SALT, rel=1e-12)
    assert result.mctc[0] == pytest.approx(equivalent * LCB_PER_TRIM / 100.0 * water / SALT, rel=1e-12)
    assert result.trim[0] == pytest.approx((lcb(draft) - lcg) / LCB_PER_TRIM, rel=1e-9)


@pytest.mark.parametrize("trims", [(0.0,), TRIMS])
@pytest.mark.parametrize(
    ("mass", "served"),
    [(3600.0, True), (12000.0, True), (11999.9, True), (12000.1, False), (13000.0, False)],
)
def test_the_deep_end_of_the_hydrostatic_table(trims, mass, served):
    result = afloat(hydrostatics(trims, vcb=False), mass + (1e-9 if mass == 3600.0 else 0.0), 49.0)
    error = result.refused[0]
    assert (error is None) is served
    if not served:
        assert isinstance(error, OutsideTable)
        assert "displacement" in error.quantity
        assert (error.low, error.high, error.dimension) == (3000.0, 12000.0, "mass")
        assert error.value == pytest.approx(mass)


@pytest.mark.parametrize(("mass", "served"), [(2999.9, False), (3000.0, True), (3000.1, True)])
def test_the_light_end_of_the_hydrostatic_table(mass, served):
    ship = vessel(lightship=Weight(mass, 50.0, 6.0))
    error = assess(ship, [condition(weights=[])]).refused[0]
    assert (error is None) is served
    if not served:
        assert isinstance(error, OutsideTable)
        assert error.low == 3000.0


@pytest.mark.parametrize(("trim", "served"), [(1.999, True), (2.0, True), (2.001, False), (-2.001, False)])
def test_the_ends_of_the_trimmed_tables(trim, served):
    result = afloat(hydrostatics(TRIMS, vcb=False), 7500.0, lcb(5.0, trim))
    error = result.refused[0]
    assert (error is None) is served
    if served:
        assert result.flotation.trim[0] == pytest.approx(trim, rel=1e-9)
    else:
        assert isinstance(error, OutsideTable)
        assert (error.quantity, error.low, error.high, error.dimension) == ("trim", -2.0, 2.0, "length")
        assert error.value == pytest.approx(trim, rel=1e-6)


def test_a_trimmed_table_that_does_not_reach_her_displacement_is_not_led_on():
    """Rows for 2 m by the stern end at 9000 t; 10000 t at 1 m by the stern needs them."""
    rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS if not (t == 2.0 and d > 6.0)]
    table = Hydrostatics.from_rows(SALT, True, rows)
    error = afloat(table, 10000.0, lcb(10000.0 / PER_METRE, 1.0)).refused[0]
    assert isinstance(error, OutsideTable)
    assert (error.low, error.high) == (3000.0, 9000.0)
    assert afloat(table, 10000.0, lcb(10000.0 / PER_METRE, -1.0)).refused == [None]


def test_more_removed_than_there_was_is_refused():
    ship = vessel()
    result = assess(ship, [condition(weights=[Weight(-5000.0, 50.0, 5.0)]), condition()])
    assert "taken off" in str(result.refused[0])
    assert result.refused[1] is None


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


def test_rows_of_several_trims_may_be_printed_in_any_grouping():
    sorted_rows = [row(d, t, vcb=False) for t in TRIMS for d in DRAFTS]
    mixed = [row(d, t, vcb=False) for d in DRAFTS for t in reversed(TRIMS)]
    a = afloat(Hydrostatics.from_rows(SALT, True, sorted_rows), 7500.0, 49.0).flotation
    b = afloat(Hydrostatics.from_rows(SALT, True, mixed), 7500.0, 49.0).flotation
    assert a.trim[0] == b.trim[0]
    assert a.draft_aft[0] == b.draft_aft[0]


def test_two_trims_agree_with_three():
    wide = afloat(hydrostatics((-2.0, 2.0), vcb=False), 7500.0, 49.0).flotation
    fine = afloat(hydrostatics(TRIMS, vcb=False), 7500.0, 49.0).flotation
    assert wide.trim[0] == pytest.approx(fine.trim[0], rel=1e-12)


def test_a_removed_weight_is_its_negative():
    ship = vessel()
    with_it = assess(
        ship, [condition(weights=[CARGO_WEIGHT, Weight(100.0, 60.0, 4.0), Weight(-100.0, 60.0, 4.0)])]
    )
    without = assess(ship, [condition()])
    assert with_it.flotation.trim[0] == pytest.approx(without.flotation.trim[0], rel=1e-12)
    assert with_it.gm_corrected[0] == pytest.approx(without.gm_corrected[0], rel=1e-12)


def test_her_own_transverse_centre_of_buoyancy_counts_against_the_list():
    """TCB 0.02 m to port: with her weight on the centreline she lists to starboard, tan = 0.02 / GM."""
    rows = [{**row(d), "tcb": 0.02} for d in DRAFTS]
    ship = vessel(hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    result = assess(ship, [condition()])
    expected = -np.degrees(np.arctan(0.02 / result.gm_corrected[0]))
    assert result.stability.list_angle[0] == pytest.approx(expected, rel=1e-12)


def test_a_ship_without_tanks_floats_on_her_weights():
    heavier = vessel(lightship=LIGHTSHIP._replace(mass=4000.0))
    result = assess(heavier, [condition()])
    assert result.displacement.mass[0] == 8000.0
