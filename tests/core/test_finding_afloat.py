"""Findings about how she floats: GM, list, openings, trim, load line; each with its severity, and its absence.

Trim beyond 1 % of length: MSC/Circ.920 3.4. Other thresholds are common practice, no source. Truth: closed forms of the
ship in ship.py.
"""

from math import radians, tan

import numpy as np
import pytest

from service.core.assessment import assess
from service.core.cross_curves import CrossCurves, CrossCurveTable
from service.core.finding_kinds import CAUTION, DANGER
from service.core.opening import DeckEdge
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    BREADTH,
    CARGO_WEIGHT,
    DRAFTS,
    HEELS,
    KM,
    LIGHTSHIP,
    PER_METRE,
    SALT,
    condition,
    cross_curve_table,
    hydrostatics,
    lcb,
    opening,
    vessel,
)
from tests.core.test_finding import found

MASS, DRAFT = 7600.0, 7600.0 / PER_METRE


def listing(angle: float, **changes: object) -> Vessel:
    """Her lightship so far off the centreline that tan(list) = TCG / GM."""
    gm = assess(vessel(), condition()).situation.gm_corrected
    tcg = gm * tan(radians(angle)) * MASS / LIGHTSHIP.mass
    return vessel(lightship=LIGHTSHIP._replace(tcg=tcg), **changes)


# --- GM and list -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("tonnes", "code"), [(5.0, None), (30.0, "list"), (250.0, "list_large")])
def test_list(tonnes, code):
    findings = found(vessel(), condition(weights=[CARGO_WEIGHT, Weight(tonnes, 50.0, 6.0, 6.0)]))
    assert set(findings) & {"list", "list_large"} == ({code} if code else set())


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(
    ("angle", "code", "severity"),
    [
        (0.99, None, None),
        (1.01, "list", CAUTION),
        (4.95, "list", CAUTION),
        (5.05, "list_large", DANGER),
    ],
)
def test_how_large_a_list_is_large(side, angle, code, severity):
    findings = found(listing(side * angle), condition())
    assert set(findings) & {"list", "list_large"} == ({code} if code else set())
    if code:
        assert findings[code].severity == severity


@pytest.mark.parametrize(("rise", "said"), [(-1e-9, False), (0.0, True), (0.1, True)])
def test_gm_that_is_not_positive(rise, said):
    """VCG at KM: GM nothing. She lolls then, and that is no list unknown."""
    light = vessel(cross_curves=None, lightship=LIGHTSHIP._replace(vcg=KM + rise))
    findings = found(light, condition(weights=[Weight(4000.0, 53.0, KM + rise)]))
    assert ("gm_not_positive" in findings) is said
    assert "list_large" not in findings
    if said:
        assert findings["gm_not_positive"].severity == DANGER


def test_without_an_angle_of_rest_no_list_is_spoken_of():
    findings = found(vessel(lightship=LIGHTSHIP._replace(vcg=10.0)), condition())
    assert {"gm_not_positive", "no_equilibrium"} <= set(findings)
    assert findings["no_equilibrium"].severity == DANGER
    assert not {"list", "list_large"} & set(findings)
    heavy = condition(weights=[CARGO_WEIGHT, Weight(3000.0, 50.0, 6.0, 8.0)])
    one = found(vessel(), heavy)
    assert "no_equilibrium" in one
    assert "gm_not_positive" not in one


@pytest.mark.parametrize(("angle", "said"), [(4.95, False), (5.05, True)])
def test_a_list_beyond_the_formula_without_a_curve_is_large_whatever_it_is(angle, said):
    """Without cross curves, and where they do not reach her displacement."""
    short = CrossCurves(SALT, HEELS, (cross_curve_table(drafts=(2.0, 4.0)),))
    for curves in (None, short):
        findings = found(listing(angle, cross_curves=curves), condition())
        assert ("list_large" in findings) is said
        assert ("list" in findings) is not said


def test_without_drafts_no_list_is_spoken_of():
    findings = found(listing(9.0), condition(weights=[Weight(60_000.0, 50.0, 6.0)]))
    assert not {"list", "list_large", "no_equilibrium", "gm_not_positive"} & set(findings)


# --- openings --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("arm", "wet"), [(6.0, True), (-6.0, False)])
def test_an_opening_under_water_at_her_list(arm, wet):
    """A vent just above the water on the port side; she lists to port, or away from it."""
    ship = vessel(openings=(opening("V", 7.0, 5.6),))
    findings = found(ship, condition(weights=[CARGO_WEIGHT, Weight(200.0, 50.0, 6.0, arm)]))
    assert ("opening_under_water" in findings) is wet
    if wet:
        assert findings["opening_under_water"].severity == DANGER


@pytest.mark.parametrize(("z", "wet"), [(DRAFT - 1e-6, True), (DRAFT + 0.001, False)])
@pytest.mark.parametrize("protection", ["unprotected", "weathertight", "watertight"])
def test_an_opening_at_the_water_upright(z, wet, protection):
    """At her centre of flotation; only one that cannot be closed is a danger."""
    ship = vessel(openings=(opening("V", 0.0, z, protection, x=49.0),))
    expected = wet and protection == "unprotected"
    assert ("opening_under_water" in found(ship, condition())) is expected


def hardening(*openings) -> Vessel:
    """KN = KM a + 4 a^3 - a^5: with her centre above KM she lolls and is held there."""
    levers = np.array([[KM * a + 4.0 * a**3 - a**5 for a in np.radians(HEELS)] for _ in DRAFTS])
    curves = CrossCurves(SALT, HEELS, (CrossCurveTable(0.0, [PER_METRE * d for d in DRAFTS], levers),))
    return vessel(cross_curves=curves, openings=openings)


@pytest.mark.parametrize("y", [7.0, -7.0])
@pytest.mark.parametrize("lean", [1e-9, -1e-9])
def test_at_loll_an_opening_on_either_side_may_be_under_water(y, lean):
    """One hatch, low on one side; a hair of weight leans her to the other. With GM positive and the same small list
    only the side she lies to counts."""
    ship = hardening(opening("V", y, 5.4))
    lolling = assess(ship, condition(weights=[Weight(4000.0, 53.0, 8.1, lean)]))
    assert lolling.situation.rest.loll > 5.0
    assert "opening_under_water" in {f.code for f in lolling.findings}
    upright = assess(ship, condition(weights=[Weight(4000.0, 53.0, 5.6, lean)]))
    assert "opening_under_water" not in {f.code for f in upright.findings}


def test_openings_that_nobody_listed():
    findings = found(vessel(openings=None), condition())
    assert findings["openings_not_given"].severity == CAUTION
    assert "opening_under_water" not in findings
    assert "openings_not_given" not in found(vessel(openings=()), condition())


def test_where_nobody_knows_how_she_rests_no_opening_is_said_to_be_wet():
    ship = vessel(openings=(opening("V", 0.0, 1.0),), lightship=LIGHTSHIP._replace(vcg=10.0))
    assert "opening_under_water" not in found(ship, condition())


@pytest.mark.parametrize(("z", "wet"), [(DRAFT - 1e-6, True), (DRAFT + 0.001, False)])
def test_the_edge_of_her_deck_at_the_water_upright(z, wet):
    """At her centre of flotation, where trim does not tell. Source: definition."""
    ship = vessel(deck_edge=DeckEdge(((49.0, 8.0, z), (90.0, 6.0, 12.0))))
    findings = found(ship, condition())
    assert ("deck_edge_under_water" in findings) is wet
    assert not wet or findings["deck_edge_under_water"].severity == DANGER


@pytest.mark.parametrize(("y", "wet"), [(8.0, True), (2.0, False)])
def test_the_edge_of_her_deck_at_her_list(y, wet):
    """A list takes the edge down by half its breadth times the tangent, to either side."""
    ship = vessel(deck_edge=DeckEdge(((49.0, y, DRAFT + 0.6),)))
    for arm in (6.0, -6.0):
        listing = condition(weights=[CARGO_WEIGHT, Weight(200.0, 50.0, 6.0, arm)])
        angle = abs(assess(ship, listing).situation.rest.list_angle)
        sunk = assess(ship, listing).situation.flotation.draft_at(49.0) - DRAFT
        assert (0.6 - sunk < y * tan(radians(angle))) is wet, "the case is one"
        assert ("deck_edge_under_water" in found(ship, listing)) is wet


def test_a_deck_without_points_is_not_said_to_be_wet():
    assert "deck_edge_under_water" not in found(vessel(deck_edge=None), condition())


# --- trim ------------------------------------------------------------------------------------------------------


def at_trim(trim: float):
    """Cargo where 7,600 t float at this trim: LCG is the LCB there."""
    lcg = lcb(DRAFT, trim)
    return condition(weights=[Weight(4000.0, (MASS * lcg - 3600.0 * 47.0) / 4000.0, 5.6)])


TRIMMED = hydrostatics((-5.0, 0.0, 5.0), vcb=False)


@pytest.mark.parametrize(("trim", "said"), [(-0.0009, False), (-0.0011, True), (-1.0, True), (1.0, False)])
def test_trim_by_the_head_beyond_a_millimetre(trim, said):
    assert ("trim_by_the_head" in found(vessel(), at_trim(trim))) is said
    assert ("trim_by_the_head" in found(vessel(hydrostatics=TRIMMED), at_trim(trim))) is said


@pytest.mark.parametrize(("trim", "said"), [(0.99, False), (1.01, True), (-1.01, True), (-0.99, False)])
def test_one_percent_of_length_is_as_far_as_even_keel_tables_hold(trim, said):
    """MSC/Circ.920 3.4. Tables for several trims have no such end."""
    assert ("trim_beyond_even_keel_tables" in found(vessel(), at_trim(trim))) is said
    assert "trim_beyond_even_keel_tables" not in found(vessel(hydrostatics=TRIMMED), at_trim(trim))


@pytest.mark.parametrize("table", [0.0, 1.0])
@pytest.mark.parametrize(("away", "said"), [(0.499, False), (0.501, True), (-0.501, True), (-0.499, False)])
def test_half_a_percent_of_length_away_from_the_only_trim_of_her_cross_curves(table, away, said):
    """Common practice, no source; half a metre of 100."""
    curves = CrossCurves(SALT, HEELS, (cross_curve_table(table),))
    findings = found(vessel(cross_curves=curves, hydrostatics=TRIMMED), at_trim(table + away))
    assert ("cross_curves_at_one_trim" in findings) is said
    if said:
        assert findings["cross_curves_at_one_trim"].severity == CAUTION


def test_cross_curves_for_several_trims_or_none_say_nothing_of_it():
    several = CrossCurves(SALT, HEELS, (cross_curve_table(-3.0), cross_curve_table(3.0)))
    for curves in (several, None):
        ship = vessel(cross_curves=curves, hydrostatics=TRIMMED)
        assert "cross_curves_at_one_trim" not in found(ship, at_trim(2.0))


# --- load line -------------------------------------------------------------------------------------------------

LINE_FINDINGS = {"draft_over_load_line", "low_side_over", "load_line_mark_missing"}


def of_line(ship: Vessel, **changes: object) -> dict[str, str]:
    """Which of them are said, with their severity; every one stands at the mark."""
    findings = found(ship, condition(**{"weights": at_trim(0.0).weights, **changes}))
    for code in LINE_FINDINGS & set(findings):
        assert findings[code].place == ("load_line_mark",)
    return {code: findings[code].severity for code in LINE_FINDINGS & set(findings)}


@pytest.mark.parametrize(
    ("mark", "over"), [(DRAFT - 1e-6, True), (DRAFT - 5e-10, False), (DRAFT, False), (DRAFT + 1e-6, False)]
)
def test_over_the_mark_in_force(mark, over):
    """The usual billionth counts as met."""
    ship = vessel(load_line_drafts={"S": mark})
    assert of_line(ship, load_line_mark="S") == ({"draft_over_load_line": DANGER} if over else {})


@pytest.mark.parametrize("trim", [-2.0, 0.5, 3.0])
@pytest.mark.parametrize(("room", "over"), [(-1e-6, True), (1e-6, False)])
def test_the_draft_amidships_counts_whatever_her_trim(trim, room, over):
    """On the trimmed tables she turns about the LCF at 49 m: amidships DRAFT - trim / 100. Deeper aft or forward."""
    ship = vessel(hydrostatics=TRIMMED, load_line_drafts={"S": DRAFT - 0.01 * trim + room})
    found_so = of_line(ship, load_line_mark="S", weights=at_trim(trim).weights)
    assert found_so == ({"draft_over_load_line": DANGER} if over else {})


@pytest.mark.parametrize(("mark", "words"), [("S", "load line mark S"), (None, "every mark she has")])
def test_the_finding_names_the_mark_or_all_of_them(mark, words):
    ship = listing(1.0, load_line_drafts={"S": 4.0})
    assert words in found(ship, condition(load_line_mark=mark))["draft_over_load_line"].message
    low = listing(3.0, load_line_drafts={"S": 1.002 * DRAFT, "T": 1.003 * DRAFT})
    given = condition(load_line_mark=mark, weights=at_trim(0.0).weights)
    assert words in found(low, given)["low_side_over"].message


@pytest.mark.parametrize(
    ("summer", "expected"),
    [
        (DRAFT * 48.0 / 47.0 + 0.06, {}),  # below WNA too
        (DRAFT, {"load_line_mark_missing": CAUTION}),
        (DRAFT * 48.0 / 49.0 + 1e-6, {"load_line_mark_missing": CAUTION}),
        (DRAFT * 48.0 / 49.0 - 1e-6, {"draft_over_load_line": DANGER}),
        (4.0, {"draft_over_load_line": DANGER}),
    ],
)
def test_where_no_mark_is_named(summer, expected):
    """Under all of them nothing is said, over all of them a danger, between a caution."""
    assert of_line(vessel(load_line_drafts={"S": summer})) == expected


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_low_side_over_the_mark(side):
    """A list of 1 degree lowers the side of a 16 m ship by 0.1396 m."""
    lower = 0.5 * BREADTH * tan(radians(1.0))
    for mark, expected in (
        (DRAFT + lower + 1e-6, {}),
        (DRAFT + lower - 1e-6, {"low_side_over": DANGER}),
        (DRAFT - 1e-6, {"draft_over_load_line": DANGER}),
    ):
        ship = listing(side, load_line_drafts={"S": mark})
        assert of_line(ship, load_line_mark="S") == expected


def test_the_low_side_among_marks_of_which_none_is_named():
    """Amidships below WNA, the low side above it: name the mark."""
    lower = 0.5 * BREADTH * tan(radians(1.0))
    summer = (DRAFT + 0.5 * lower + 0.05) * 48.0 / 47.0
    assert of_line(listing(1.0, load_line_drafts={"S": summer})) == {"load_line_mark_missing": CAUTION}
    assert of_line(vessel(load_line_drafts={"S": summer})) == {}


def test_deflection_counts():
    ship = vessel(load_line_drafts={"S": DRAFT + 0.02})
    assert of_line(ship, load_line_mark="S", deflection=0.019) == {}
    assert of_line(ship, load_line_mark="S", deflection=0.021) == {"draft_over_load_line": DANGER}
    hogging = vessel(load_line_drafts={"S": DRAFT - 0.02})
    assert of_line(hogging, load_line_mark="S", deflection=-0.021) == {}


def test_without_marks_or_drafts_nothing_is_said_of_them():
    assert of_line(vessel()) == {}
    assert of_line(vessel(load_line_drafts={"S": 4.0}), load_line_mark="LS") == {}
    heavy = [Weight(60_000.0, 50.0, 6.0)]
    assert of_line(vessel(load_line_drafts={"S": 4.0}), weights=heavy) == {}
