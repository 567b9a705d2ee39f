"""What holds before any document: an angle of rest, positive GM, unprotected openings dry as she rests.

Common practice, no source. Truth: definitions; the level of the waterplane of the ship in ship.py, a closed form.
"""

from dataclasses import replace
from math import cos, radians, sin
from typing import Any

import pytest

from service.core.errors import NoEquilibrium, OutsideTable
from service.core.opening import Opening
from service.core.rules.afloat import EQUILIBRIUM, GM, OPENINGS, evaluate, lowest_opening
from service.core.rules.limit import CONDITION, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Situation
from service.core.stability import Rest
from tests.core.ship import afloat, details, level, opening, situation, vessel, waterplane

OFF = OutsideTable("trim", 9.0, -2.0, 2.0, "length")


def rows(given: Situation) -> tuple[Criterion, Criterion, Criterion]:
    equilibrium, gm, openings = evaluate(given)
    assert (equilibrium.row, gm.row, openings.row) == (EQUILIBRIUM, GM, OPENINGS)
    return equilibrium, gm, openings


def resting(angle: float | None = 0.0, gm: float = 1.0, **changes: Any) -> Situation:
    rest = Rest(angle, None if gm > 0.0 or angle is None else abs(angle), sought=True)
    return situation(gm, **{"rest": rest, **changes})


# --- equilibrium -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [0.0, 3.0, -7.5, 40.0, -40.0])
@pytest.mark.parametrize("gm", [1.0, -0.2])
def test_an_angle_of_rest_is_an_equilibrium_however_large(angle, gm):
    """Its size is a finding, not a clause."""
    found = rows(resting(angle, gm))[0]
    assert (found.verdict, found.attained, found.required) == (PASS, abs(angle), None)


def test_no_angle_of_rest_on_her_curve_fails():
    found = rows(resting(None, gaps={"list": NoEquilibrium("she would capsize")}))[0]
    assert (found.verdict, found.attained) == (FAIL, None)
    assert "capsize" in found.reason


@pytest.mark.parametrize(("gm", "verdict"), [(1e-9, PASS), (0.0, FAIL), (-0.1, FAIL)])
def test_without_a_curve_the_sign_of_gm_tells(gm, verdict):
    """Loll has no angle without cross curves; nobody knows whether she has one."""
    found = rows(situation(gm, rest=Rest(None, None)))[0]
    assert (found.verdict, found.attained) == (verdict, None)
    assert ("angle of loll is unknown" in found.reason) is (verdict == FAIL)


def test_without_a_gm_and_a_curve_nothing_is_known():
    gaps = {"stability": OFF}
    found = rows(situation(gm_corrected=None, rest=Rest(None, None), gaps=gaps))[0]
    assert (found.verdict, found.reason) == (NOT_COMPUTABLE, OFF.cause)
    bare = rows(situation(gm_corrected=None, rest=Rest(None, None)))[0]
    assert (bare.verdict, bare.reason) == (NOT_COMPUTABLE, "GM is not known")


# --- GM --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gm", "verdict"), [(1e-12, PASS), (0.15, PASS), (0.0, FAIL), (-1e-12, FAIL), (-0.5, FAIL)]
)
def test_gm_is_positive_without_room_for_rounding(gm, verdict):
    """GM of exactly nothing is not positive: the usual billionth does not help it over."""
    found = rows(resting(gm=gm))[1]
    assert (found.verdict, found.attained, found.required) == (verdict, gm, 0.0)
    assert found.margin == gm
    assert found.vcg_effect == 1.0


def test_gm_is_the_corrected_one():
    assert rows(resting(gm=-0.1, gm_solid=0.5))[1].verdict == FAIL


def test_a_gm_at_even_keel_is_judged_an_unknown_one_is_not():
    trim_only = replace(situation(0.5, rest=Rest(None, None), gaps={"flotation": OFF}), flotation=None)
    assert rows(trim_only)[1].verdict == PASS
    unknown = rows(situation(gm_corrected=None, gaps={"stability": OFF}))[1]
    assert (unknown.verdict, unknown.reason) == (NOT_COMPUTABLE, OFF.cause)


# --- openings --------------------------------------------------------------------------------------------------


def with_openings(
    *openings: Opening, angle: float | None = 0.0, gm: float = 1.0, curves: bool = True, **changes: Any
) -> Situation:
    """6 m of draft on even keel."""
    plane = waterplane(afloat()) if curves else None
    return resting(angle, gm, ship=vessel(openings=openings), waterplane=plane, **changes)


@pytest.mark.parametrize(
    ("z", "verdict"), [(5.9, FAIL), (6.0 - 1e-9, FAIL), (6.0, FAIL), (6.0 + 1e-9, PASS), (9.0, PASS)]
)
@pytest.mark.parametrize("curves", [True, False])
def test_upright_an_opening_must_stand_above_the_water(z, verdict, curves):
    """Just at the water it is not dry."""
    found = rows(with_openings(opening("V", 3.0, z), curves=curves))[2]
    assert (found.verdict, found.attained) == (verdict, pytest.approx(z - 6.0, abs=1e-12))
    assert details(found) == {"opening": "V"}
    assert ("under water" in found.reason) is (verdict == FAIL)


@pytest.mark.parametrize("angle", [12.0, -12.0])
def test_with_a_list_the_height_is_that_along_the_normal_on_the_side_she_lies_to(angle):
    """7 m to port of the centreline: low when she lists to port, high to starboard."""
    a, toward = radians(12.0), 7.0 if angle > 0.0 else -7.0
    expected = 8.0 * cos(a) - toward * sin(a) - level(6.0, 12.0)
    found = rows(with_openings(opening("V", 7.0, 8.0), angle=angle))[2]
    assert found.attained == pytest.approx(expected, abs=1e-10)
    assert found.verdict == (PASS if expected > 0.0 else FAIL)


def test_without_cross_curves_the_upright_waterplane_is_taken():
    a = radians(12.0)
    found = rows(with_openings(opening("V", 7.0, 8.0), angle=12.0, curves=False))[2]
    assert found.attained == pytest.approx(8.0 * cos(a) - 7.0 * sin(a) - 6.0, abs=1e-12)


def test_the_lowest_of_several_is_named_and_closed_ones_do_not_count():
    openings = (
        opening("HIGH", 3.0, 9.0),
        opening("LOW", 3.0, 7.0),
        opening("WEATHERTIGHT", 3.0, 5.0, "weathertight"),
        opening("WATERTIGHT", 3.0, 4.0, "watertight"),
        opening("MIDDLE", -3.0, 8.0),
    )
    found = rows(with_openings(*openings))[2]
    assert (details(found)["opening"], found.attained) == ("LOW", pytest.approx(1.0))
    listing = rows(with_openings(*openings, angle=-30.0))[2]
    assert details(listing)["opening"] == "MIDDLE", "she lies to starboard"


@pytest.mark.parametrize("y", [7.0, -7.0])
@pytest.mark.parametrize("angle", [12.0, -12.0])
@pytest.mark.parametrize(("gm", "both"), [(-0.1, True), (0.0, True), (0.1, False)])
def test_at_loll_both_sides_are_looked_at(y, angle, gm, both):
    """She may lie to either, whichever the sum of her weights says; with positive GM to one only."""
    a, toward = radians(12.0), 7.0 if both or y * angle > 0.0 else -7.0
    found = rows(with_openings(opening("V", y, 8.0), angle=angle, gm=gm))[2]
    assert found.attained == pytest.approx(8.0 * cos(a) - toward * sin(a) - level(6.0, 12.0), abs=1e-10)


def test_trim_counts_at_the_openings_own_place():
    """3 m by the stern about x = 50 m: 1.2 m more water 10 m from the aft perpendicular."""
    trimmed = afloat(trim=3.0, draft_aft=7.5, draft_forward=4.5)
    for plane in (waterplane(trimmed), None):
        given = resting(
            ship=vessel(openings=(opening("A", 0.0, 7.0, x=10.0),)), flotation=trimmed, waterplane=plane
        )
        found = rows(given)[2]
        assert (found.verdict, found.attained) == (FAIL, pytest.approx(-0.2, abs=1e-12))


def test_openings_nobody_listed_are_not_applicable_because_of_the_condition():
    found = rows(resting(ship=vessel(openings=None)))[2]
    assert (found.verdict, found.because, found.attained) == (NOT_APPLICABLE, CONDITION, None)


@pytest.mark.parametrize("openings", [(), (opening("W", 3.0, 5.0, "weathertight"),)])
def test_no_unprotected_opening_is_a_pass(openings):
    found = rows(with_openings(*openings, angle=None))[2]
    assert (found.verdict, found.attained) == (PASS, None)
    assert "no unprotected opening" in found.reason


@pytest.mark.parametrize(
    ("gaps", "reason"),
    [
        ({"flotation": OFF, "list": NoEquilibrium("she would capsize")}, OFF.cause),
        ({"list": NoEquilibrium("she would capsize")}, "she would capsize"),
        ({}, "the angle at which she rests is not known"),
    ],
)
def test_where_nobody_knows_how_she_rests_it_is_not_computable(gaps, reason):
    given = with_openings(opening("V", 3.0, 9.0), angle=None, gaps=gaps)
    assert (rows(given)[2].verdict, rows(given)[2].reason) == (NOT_COMPUTABLE, reason)
    assert lowest_opening(given) is None


def test_without_drafts_or_gm_the_lowest_opening_is_unknown():
    given = with_openings(opening("V", 3.0, 9.0))
    assert lowest_opening(given) is not None
    assert lowest_opening(replace(given, flotation=None)) is None
    assert lowest_opening(replace(given, gm_corrected=None)) is None
    assert lowest_opening(with_openings()) is None
