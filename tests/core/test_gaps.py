"""What could not be computed: which figures are missing and why, which rows that leaves open, and the verdict.

A condition that her booklet cannot answer in full is answered as far as it goes. Truth: the closed forms of the ship in
ship.py for what is answered, definitions for what is not. Common practice, no source.
"""

from typing import Any

import pytest

from service.core.assessment import Assessment, assess
from service.core.cross_curves import CrossCurves
from service.core.errors import CoreError, NoEquilibrium, OutsideTable
from service.core.heeling_lever import WindProfile
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS
from service.core.vessel import GmLimit, Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    HEELS,
    KM,
    LIGHTSHIP,
    PER_METRE,
    RULE_SETS,
    SALT,
    box_tank,
    condition,
    cross_curve_table,
    hydrostatics,
    lcb,
    line,
    opening,
    particulars,
    vessel,
)

FLOTATION, STABILITY, LEVERS, LIST = "flotation", "stability", "righting_lever", "list"
SETS = tuple(name for name in RULE_SETS if name != "is-code-2008-a-2.2.3-alternative")


def ship(**changes: Any) -> Vessel:
    """Every table that a rule set may ask for, and an opening."""
    fields: dict[str, Any] = {
        "hydrostatics": hydrostatics((-2.0, 0.0, 2.0)),
        "openings": (opening("P", 5.0, 11.0), opening("S", -5.0, 11.0)),
        "wind_profile": WindProfile((0.0, 10.0), (600.0, 600.0), (9.0, 9.0)),
        "gm_limits": (
            GmLimit("Own", "min_gm", (0.0, 10.0), (0.2, 0.2)),
            GmLimit("Top", "max_vcg", (0.0, 10.0), (7.0, 7.0)),
        ),
        "load_line_drafts": {"S": 6.5},
    }
    return vessel(box_tank("B"), **{**fields, **changes})


def answered(given: Vessel, *weights: Weight, **changes: Any) -> Assessment:
    tank = line(given, "B", density=1.0, fill=40.0)
    return assess(given, condition(tank, weights=list(weights) or [CARGO_WEIGHT], rule_sets=SETS, **changes))


def verdicts(result: Assessment) -> dict[str, str]:
    """By id; every row that is open says why in the words of a gap or of a missing table."""
    found = {c.row.id: c.verdict for _, c in result.criteria}
    causes = {gap.cause for gap in result.situation.gaps.values()}
    for _, c in result.criteria:
        if c.verdict == NOT_COMPUTABLE and causes:
            assert c.reason in causes or c.reason in KNOWN_WORDS, (c.row.id, c.reason)
    return found


KNOWN_WORDS = (
    "the booklet has no cross curves",
    "no wind profile at this draft",
    "no deck edge at this draft and trim, or no cross curves to find its angle",
    "the angle of down-flooding is unknown: the booklet gives no openings, or none at this draft",
    "the angle at which she rests is not known",
)


def open_rows(result: Assessment) -> set[str]:
    return {id for id, verdict in verdicts(result).items() if verdict == NOT_COMPUTABLE}


A_2_2 = {
    "is-code-2008-a-2.2.1-area-to-30",
    "is-code-2008-a-2.2.1-area-to-40",
    "is-code-2008-a-2.2.1-area-30-to-40",
    "is-code-2008-a-2.2.2-lever",
    "is-code-2008-a-2.2.3-angle-of-maximum",
}
A_2_3 = {"is-code-2008-a-2.3.1-steady-wind", "is-code-2008-a-2.3.1-areas"}
CFR_C = {
    "46-cfr-170.173-c-gm",
    "46-cfr-170.173-c-angle",
    "46-cfr-170.173-c-area-to-40",
    "46-cfr-170.173-c-area-30-to-40",
    "46-cfr-170.173-c-area-to-maximum",
}
OF_LEVERS = A_2_2 | A_2_3 | CFR_C
OF_DRAFTS = {
    "46-cfr-170.170-gm",
    "vessel-gm-limits-min-gm-own",
    "vessel-gm-limits-max-vcg-top",
    "load-lines-draft",
    "load-lines-low-side",
}
GM_ROWS = {"is-code-2008-a-2.2.4-initial-gm", "afloat-gm"}


def test_a_condition_within_her_tables_has_no_gap():
    result = answered(ship())
    assert result.situation.gaps == {}
    assert open_rows(result) == set()
    assert result.verdict == "pass"


# --- off the displacement --------------------------------------------------------------------------------------


@pytest.mark.parametrize("trims", [(0.0,), (-2.0, 0.0, 2.0)])
@pytest.mark.parametrize(("mass", "deep"), [(12_500.0, True), (2_000.0, False)])
def test_off_the_displacements_of_her_hydrostatic_tables(mass, deep, trims):
    """Displacement, centres, free surface and states are answered; drafts, KM, GM, levers and list are not."""
    light = ship(hydrostatics=hydrostatics(trims), lightship=LIGHTSHIP._replace(mass=1000.0))
    result = answered(light, Weight(mass - 1000.0 - 160.0, 50.0, 5.6))
    found, load = result.situation, result.displacement
    assert load.mass == pytest.approx(mass, rel=1e-14)
    assert load.free_surface_moment == pytest.approx(10.0 * 8.0**3 / 12.0)
    assert load.vcg_corrected == load.vcg_solid + load.free_surface_moment / load.mass
    assert result.liquids[0].state == "slack"
    assert set(found.gaps) == {FLOTATION, STABILITY, LEVERS, LIST}
    off = found.gaps[FLOTATION]
    assert isinstance(off, OutsideTable)
    assert (off.value, off.low, off.high) == (pytest.approx(mass), 3000.0, 12000.0)
    assert off.value > off.high if deep else off.value < off.low
    assert all(gap is off for gap in found.gaps.values())
    assert (found.flotation, found.km, found.gm_solid, found.gm_corrected) == (None, None, None, None)
    assert (found.waterplane, found.wind, found.deck_edge, found.half_freeboard) == (None, None, None, None)
    assert (found.rest.list_angle, found.rest.sought) == (None, False)
    assert (result.heeled.curve, result.heeled.flooding.angle, result.roll_period) == (None, None, None)
    rows = OF_LEVERS | OF_DRAFTS | GM_ROWS | {"afloat-equilibrium", "afloat-openings"}
    assert open_rows(result) == rows
    assert result.verdict == "incomplete"


def test_heavier_water_may_bring_her_back_onto_them():
    """12,100 t float in 1.035 as 11,983 t do in salt water."""
    cargo = Weight(12_100.0 - 3600.0 - 160.0, 50.0, 5.6)
    assert FLOTATION in answered(ship(), cargo).situation.gaps
    assert FLOTATION not in answered(ship(), cargo, water_density=1.035).situation.gaps


# --- off the trims -----------------------------------------------------------------------------------------------


def at_trim(trim: float, vcg: float = 5.6) -> Weight:
    """Cargo that floats 7,760 t of her at this trim, without regard to the normal's inclination."""
    mass, lcg = 7760.0, lcb(7760.0 / PER_METRE, trim)
    return Weight(4000.0, (mass * lcg - 3600.0 * 47.0 - 160.0 * 50.0) / 4000.0, vcg)


@pytest.mark.parametrize("trim", [2.5, -2.5])
def test_off_the_trims_of_her_hydrostatic_tables_gm_is_known(trim):
    result = answered(ship(), at_trim(trim))
    found = result.situation
    assert set(found.gaps) == {FLOTATION, LEVERS, LIST}
    assert (found.flotation, found.rest.list_angle, result.heeled.curve) == (None, None, None)
    assert found.km == pytest.approx(KM)
    assert found.gm_corrected == pytest.approx(KM - result.displacement.vcg_corrected)
    assert open_rows(result) == OF_LEVERS | OF_DRAFTS | {"afloat-openings"}
    assert {verdicts(result)[id] for id in GM_ROWS} == {PASS}
    assert verdicts(result)["afloat-equilibrium"] == PASS, "GM is positive"
    assert result.verdict == "incomplete"


def test_off_the_trims_a_gm_that_fails_still_fails():
    result = answered(ship(), at_trim(2.5, 8.4))
    assert {verdicts(result)[id] for id in GM_ROWS} == {FAIL}
    assert verdicts(result)["afloat-equilibrium"] == FAIL, "nobody knows her loll"
    assert result.verdict == "fail"


# --- off the cross curves ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "curves",
    [
        CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(2.0, 4.0)),)),
        CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(6.0, 8.0)),)),
        CrossCurves(SALT, HEELS, (cross_curve_table(1.0), cross_curve_table(2.0))),
        CrossCurves(SALT, HEELS, (cross_curve_table(-2.0), cross_curve_table(-1.0))),
    ],
)
def test_off_her_cross_curves_drafts_gm_and_a_small_list_are_known(curves):
    """In displacement or in trim, on either end."""
    result = answered(ship(cross_curves=curves), at_trim(0.0))
    found = result.situation
    assert set(found.gaps) == {LEVERS}
    assert "cross curves" in str(found.gaps[LEVERS])
    assert found.flotation is not None
    assert (found.rest.list_angle, found.rest.sought) == (0.0, False)
    assert (found.waterplane, found.deck_edge, result.heeled.curve) == (None, None, None)
    assert result.heeled.flooding.angle is None, "openings without printed angles need the waterplane"
    # half the freeboard needs the waterplane too; the height of an opening at rest does not
    assert open_rows(result) == OF_LEVERS | {"46-cfr-170.170-gm"}
    assert result.verdict == "incomplete"


def test_off_her_cross_curves_a_large_list_is_unknown_for_the_same_reason():
    short = CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(2.0, 4.0)),))
    result = answered(ship(cross_curves=short), CARGO_WEIGHT, Weight(300.0, 50.0, 6.0, 6.0))
    found = result.situation
    assert set(found.gaps) == {LEVERS, LIST}
    assert found.gaps[LIST] is found.gaps[LEVERS]
    assert open_rows(result) >= {"load-lines-low-side", "afloat-openings"}
    assert verdicts(result)["load-lines-draft"] == PASS
    assert verdicts(result)["afloat-equilibrium"] == PASS, "by the sign of GM"


@pytest.mark.parametrize(("tonnes", "gaps"), [(20.0, set()), (300.0, {LIST})])
def test_without_cross_curves_the_levers_are_no_gap_of_this_condition(tonnes, gaps):
    """The booklet has none: the rows say so. A list too large for the formula is one."""
    result = answered(ship(cross_curves=None), CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, 6.0))
    assert set(result.situation.gaps) == gaps
    reasons = {c.reason for _, c in result.criteria if c.row.id in OF_LEVERS}
    assert reasons == {"the booklet has no cross curves"}
    assert ("load-lines-low-side" in open_rows(result)) is (LIST in gaps)
    assert result.verdict == "incomplete"


# --- no equilibrium ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "weights", [(CARGO_WEIGHT._replace(vcg=14.0),), (CARGO_WEIGHT, Weight(3000.0, 50.0, 6.0, 8.0))]
)
def test_without_an_angle_of_rest_everything_else_is_answered_and_she_fails(weights):
    result = answered(ship(), *weights)
    found = result.situation
    assert set(found.gaps) == {LIST}
    assert isinstance(found.gaps[LIST], NoEquilibrium)
    assert found.flotation is not None
    assert result.heeled.curve is not None
    assert (found.rest.list_angle, found.rest.loll, found.rest.sought) == (None, None, True)
    assert open_rows(result) == {"load-lines-low-side", "afloat-openings"}
    assert verdicts(result)["afloat-equilibrium"] == FAIL
    assert result.verdict == "fail"


def test_a_failed_equilibrium_stands_though_no_document_binds():
    result = assess(vessel(), condition(weights=[CARGO_WEIGHT._replace(vcg=14.0)]))
    assert result.verdict == "fail"


# --- what a gap is called ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("error", "cause"),
    [
        (OutsideTable("trim", 9.0, -2.0, 2.0, "length"), "her trim lies outside the table"),
        (CoreError("no trim balances her"), "no trim balances her"),
        (NoEquilibrium("she would capsize"), "she would capsize"),
    ],
)
def test_the_cause_of_a_gap_has_no_numbers(error, cause):
    assert error.cause == cause
    assert not any(digit in error.cause for digit in "0123456789")


def test_a_gap_keeps_its_numbers_for_those_who_ask():
    off = answered(ship(), Weight(60_000.0, 50.0, 5.6)).situation.gaps[FLOTATION]
    assert str(off) == ("displacement (in the water of her hydrostatic table) 63760 is outside 3000 to 12000")
    assert (off.dimension, off.tank) == ("mass", None)


def test_rows_that_do_not_apply_to_the_ship_say_so_before_any_gap():
    short = ship(particulars=particulars(length_load_line=20.0))
    result = answered(short, Weight(60_000.0, 50.0, 5.6))
    assert {verdicts(result)[id] for id in A_2_2 | A_2_3} == {NOT_APPLICABLE}
    long = answered(ship(particulars=particulars(length_load_line=120.0)), Weight(60_000.0, 50.0, 5.6))
    assert {verdicts(long)[id] for id in CFR_C} == {NOT_APPLICABLE}
