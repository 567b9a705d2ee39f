"""Numbers no ship has: each is answered without "not a number", or refused with words, and never by another error.

The bounds are those of the published requests (5,000 m, 10 million t). The properties are the promises of the
assessment (see test_any_condition.py), not figures; what is asserted besides follows from definitions.
"""

from dataclasses import replace
from math import inf

import pytest

from service.core.condition import Condition
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.hydrostatics import Hydrostatics
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, OUTSIDE_VALIDITY, PASS
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    DRAFTS,
    HEELS,
    KM,
    LIGHTSHIP,
    RULE_SETS,
    SALT,
    condition,
    cross_curves,
    full_vessel,
    hydrostatics,
    line,
    particulars,
    row,
    vessel,
)
from tests.core.test_any_condition import check

EVERYTHING = full_vessel()
ONE_TRIM = replace(EVERYTHING, hydrostatics=hydrostatics(), cross_curves=cross_curves())
"""One table of each: a trim holds until an end is out of the water."""
WITHOUT_CURVES = replace(ONE_TRIM, cross_curves=None)
SHIPS = [EVERYTHING, ONE_TRIM, WITHOUT_CURVES]


def laden(*weights: Weight, **changes: object) -> Condition:
    return condition(weights=[CARGO_WEIGHT, *weights], rule_sets=RULE_SETS, **changes)


def verdict_of(result, id: str) -> str:
    return next(c.verdict for _, c in result.criteria if c.row.id == id)


# --- drafts that are none --------------------------------------------------------------------------------------


@pytest.mark.parametrize("ship", [ONE_TRIM, WITHOUT_CURVES])
@pytest.mark.parametrize("lcg", [5000.0, -5000.0])
def test_a_trim_that_lifts_her_amidships_out_of_the_water(ship, lcg):
    """The moment method has no end: some km of trim. Long before, an end is out of the water: she has no drafts."""
    result = check(ship, laden(Weight(2000.0, lcg, 5.0)))
    assert result is not None
    assert result.situation.flotation is None
    assert result.verdict != "pass"
    assert result.situation.wind is None
    assert result.roll_period is None, "there is no breadth to draft without a draft"
    assert verdict_of(result, "is-code-2008-a-2.3.1-areas") in (NOT_COMPUTABLE, FAIL)


@pytest.mark.parametrize("ship", [ONE_TRIM, WITHOUT_CURVES])
def test_a_draft_of_exactly_nothing_amidships(ship):
    """Draft at the LCF 7600 / 1500 m, 1 m forward of it: trim = 100 d / (1 m) turned the other way."""
    mass, lcb = 7600.0, 51.0 - 0.1 * 7600.0 / 1500.0
    trim = 100.0 * mass / 1500.0
    lcg = lcb - 1.5 * trim
    cargo = Weight(4000.0, (mass * lcg - 3600.0 * 47.0) / 4000.0, 5.6)
    for nudge in (0.0, 1e-9, -1e-9):
        given = condition(weights=[cargo._replace(lcg=cargo.lcg + nudge)], rule_sets=RULE_SETS)
        result = check(ship, given)
        assert result is not None
        assert result.situation.flotation is None
        assert result.situation.gm_corrected is not None
        assert result.verdict != "pass"


def test_a_table_that_begins_below_the_keel():
    """Drafts from -2 m: she floats at nothing, or less."""
    rows = [{**row(d + 4.0), "draft": d, "km": KM} for d in (-2.0, 0.0, 2.0)]
    ship = replace(ONE_TRIM, hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    for mass in (3000.0, 6000.0, 6000.001, 9000.0):
        even = ((51.0 - 0.1 * mass / 1500.0) * mass - LIGHTSHIP.mass * LIGHTSHIP.lcg) / (
            mass - LIGHTSHIP.mass
        )
        weights = [Weight(mass - LIGHTSHIP.mass, even, 5.6)]
        result = check(ship, condition(weights=weights, rule_sets=RULE_SETS))
        assert result is not None
        shallow = result.situation.flotation.draft_midship <= 0.0
        assert (result.roll_period is None) is shallow


# --- weights -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ship", SHIPS)
@pytest.mark.parametrize("tcg", [5000.0, -5000.0, 300.0, -300.0])
def test_a_weight_kilometres_off_the_centreline(ship, tcg):
    """No lever holds her: she fails, or nobody knows where she would lie."""
    result = check(ship, laden(Weight(1000.0, 50.0, 5.0, tcg)))
    assert result is not None
    assert result.situation.rest.list_angle is None
    assert "list" in result.situation.gaps
    with_curves = ship is not WITHOUT_CURVES
    assert result.verdict == "fail" or not with_curves
    assert verdict_of(result, "afloat-equilibrium") == (FAIL if with_curves else PASS)


@pytest.mark.parametrize("ship", SHIPS)
@pytest.mark.parametrize("vcg", [5000.0, -5000.0, 400.0])
def test_a_weight_kilometres_above_or_below_her(ship, vcg):
    result = check(ship, laden(Weight(1000.0, 50.0, vcg)))
    assert result is not None
    assert (result.situation.gm_corrected > 0.0) is (vcg < 0.0)
    assert result.verdict != "pass"


@pytest.mark.parametrize("ship", SHIPS)
@pytest.mark.parametrize("mass", [1e7, -1e7, 4399.999999, -7599.999999999, 1e-300])
def test_masses_at_the_ends(ship, mass):
    """More than floats, less than nothing, just what the tables hold, a hair of ship left, nothing."""
    result = check(ship, laden(Weight(mass, 50.0, 5.6)))
    assert (result is None) is (mass == -1e7)
    if result is not None:
        assert ("flotation" in result.situation.gaps) is (abs(mass) > 4400.0)


@pytest.mark.parametrize("ship", SHIPS)
def test_weights_that_cancel_leave_no_digit(ship):
    """Ten million tonnes on and off again, kilometres away: the sums are exactly rounded."""
    far = Weight(1e7, 5000.0, 5000.0, 5000.0)
    there, back = check(ship, laden()), check(ship, laden(far, far._replace(mass=-1e7)))
    assert back.displacement == there.displacement


# --- GM ------------------------------------------------------------------------------------------------------------


def at_gm(gm: float, tcg: float = 0.0, ship: Vessel = ONE_TRIM) -> tuple[Vessel, Condition]:
    """Lightship and cargo both at KM less GM."""
    lightship = LIGHTSHIP._replace(vcg=KM - gm)
    given = condition(weights=[Weight(4000.0, 53.0, KM - gm, tcg)], rule_sets=RULE_SETS)
    return replace(ship, lightship=lightship), given


@pytest.mark.parametrize("ship", [ONE_TRIM, WITHOUT_CURVES])
@pytest.mark.parametrize("tcg", [0.0, 1e-300, -1e-300, 0.01, -2.0])
@pytest.mark.parametrize("gm", [0.0, 5e-324, -5e-324, 1e-300, -1e-16, 1e-16])
def test_a_gm_of_nothing_or_next_to_it(ship, tcg, gm):
    """tan(list) = TCG / GM has no meaning there; the rolling period has none either."""
    result = check(*at_gm(gm, tcg, ship))
    assert result is not None
    found = result.situation.gm_corrected
    assert found == pytest.approx(0.0, abs=1e-14)
    assert (result.roll_period is None) is (found <= 0.0)
    assert verdict_of(result, "afloat-gm") == (PASS if found > 0.0 else FAIL)
    assert verdict_of(result, "is-code-2008-a-2.2.4-initial-gm") == FAIL
    assert result.verdict == "fail"


@pytest.mark.parametrize("period", [5e-324, 1e-3, 1000.0])
def test_a_roll_period_that_nobody_times(period):
    assert check(ONE_TRIM, laden(observed_roll_period=period)) is not None
    assert check(*at_gm(0.0)) is not None


# --- water, wind, deflection ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ship", SHIPS)
@pytest.mark.parametrize("water", [0.5, 0.999, 2.0])
def test_water_as_light_or_heavy_as_none(ship, water):
    assert check(ship, laden(water_density=water)) is not None


@pytest.mark.parametrize("ship", SHIPS)
@pytest.mark.parametrize("deflection", [5000.0, -5000.0])
def test_a_deflection_beyond_belief(ship, deflection):
    result = check(ship, laden(deflection=deflection, load_line_mark="S"))
    assert verdict_of(result, "load-lines-draft") == (FAIL if deflection > 0.0 else PASS)


@pytest.mark.parametrize(("area", "moment"), [(0.0, 0.0), (1e7, 1e12), (1e7, -1e12), (1e-300, 1e12)])
def test_wind_on_any_area_at_any_height(area, moment):
    assert check(ONE_TRIM, laden(wind_area=area, wind_moment=moment)) is not None


@pytest.mark.parametrize(
    "changes",
    [
        {"breadth": 5e-324},
        {"breadth": 5000.0},
        {"length_waterline": 1e-300, "block_coefficient": None},
        {"length_waterline": 5000.0, "block_coefficient": None},
        {"bilge_keel_area": 1e7, "length_waterline": 1e-3},
        {"length_load_line": 5e-324},
        {"minimum_service_displacement": 5e-324},
        {"minimum_service_displacement": 1e7},
    ],
)
def test_particulars_of_no_ship(changes):
    ship = replace(ONE_TRIM, particulars=particulars(**changes))
    result = check(ship, condition(line(ship, "BP", fill=40.0), rule_sets=RULE_SETS))
    assert result is not None
    applied = {NOT_COMPUTABLE, OUTSIDE_VALIDITY, FAIL, PASS, NOT_APPLICABLE}
    assert {c.verdict for _, c in result.criteria} <= applied


# --- tables ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mctc", "known"),
    [(5e-324, False), (1e-308, False), (1e-9, False), (1e-4, False), (10.0, True), (1e8, True)],
)
def test_a_moment_to_change_trim_next_to_nothing(mctc, known):
    """A trim with an end out of the water is none: she has no drafts then, and says so; GM is that of even keel."""
    rows = [{**row(d), "mctc": mctc} for d in DRAFTS]
    ship = replace(ONE_TRIM, hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    result = check(ship, laden())
    assert result is not None
    assert ("flotation" not in result.situation.gaps) is known
    reason = "trim" if mctc > 1e-9 else "no equilibrium trim"
    assert known or reason in str(result.situation.gaps["flotation"])
    assert result.situation.km == pytest.approx(KM)


@pytest.mark.parametrize("levers", [0.0, 5000.0, -5000.0])
def test_cross_curves_of_no_ship(levers):
    """All of one value, with the KM of the ship upright."""
    table = CrossCurveTable(
        0.0, cross_curves().tables[0].displacements, 0.0 * cross_curves().tables[0].levers + levers
    )
    ship = replace(ONE_TRIM, cross_curves=CrossCurves(SALT, HEELS, (table,)))
    assert check(ship, laden()) is not None


@pytest.mark.parametrize("km", [5000.0, -5000.0, 0.0])
def test_a_metacentre_of_no_ship(km):
    rows = [{**row(d), "km": km} for d in DRAFTS]
    ship = replace(ONE_TRIM, hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    result = check(ship, laden())
    assert (result.situation.gm_corrected > 0.0) is (km > 0.0)


def test_openings_and_deck_edge_kilometres_away():
    far = EVERYTHING.openings[0]
    openings = tuple(replace(far, id=f"{i}", x=x, y=y, z=z) for i, (x, y, z) in enumerate(PLACES))
    for ship in (EVERYTHING, ONE_TRIM, WITHOUT_CURVES):
        result = check(replace(ship, openings=openings), laden())
        assert result is not None
        flooding = result.heeled.flooding.angle
        assert flooding is None or 0.0 <= flooding <= inf


PLACES = [
    (x, y, z) for x in (-5000.0, 5000.0) for y in (-5000.0, 0.0, 5000.0) for z in (-5000.0, 0.0, 5000.0)
]


def test_an_empty_ship_without_a_table_but_hydrostatics():
    bare = vessel(cross_curves=None, openings=None, deck_edge=None, lightship=Weight(3600.0, 47.0, 7.0))
    result = check(bare, condition(weights=[]))
    assert result is not None
    assert result.verdict == "incomplete"
