"""Angles of down-flooding and of deck edge immersion: computed, printed, and printed for another trim.

Truth: the level of the waterplane of the ship in ship.py, a closed form (see test_waterplane.py); the definition of the
first opening (2008 IS Code Part A 2.3.1; 46 CFR 170.055); half the freeboard: 46 CFR 170.170(a). A printed angle holds
for the trim it states and is brought to another by the difference of two computed ones: common practice, no source.
"""

from dataclasses import replace
from math import atan, cos, degrees, inf, isfinite, radians, sin

import pytest

from service.core.assessment import Assessment, assess
from service.core.flotation import Flotation
from service.core.opening import (
    FirstImmersion,
    ImmersionTable,
    Opening,
    corrected,
    first_immersion,
    nearest_table,
)
from service.core.waterplane import Waterplane
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    LCF,
    LENGTH,
    afloat,
    condition,
    details,
    hydrostatics,
    level,
    opening,
    vessel,
    waterplane,
    wet_at,
)

PORT, STARBOARD = 1.0, -1.0
TRIMS = (-4.0, 0.0, 4.0)


def trimmed(trim: float, draft: float = 6.0) -> Flotation:
    """Afloat with this draft at the LCF, 49 m from aft, and this trim by the stern."""
    aft = draft + trim * LCF / LENGTH
    drafts = {"draft_aft": aft, "draft_midship": aft - 0.5 * trim, "draft_forward": aft - trim}
    return afloat(draft, trim=trim, lcf=LCF, **drafts)


def water(flotation: Flotation) -> Waterplane:
    """Hers, of tables for three trims: rows print the draft amidships of one draft at the LCF."""
    return waterplane(flotation, tables=hydrostatics(TRIMS))


def angle(given: Opening, side: float, flotation: Flotation | None = None) -> float | None:
    flotation = flotation or afloat()
    return given.angle(flotation, water(flotation), side)


# --- computed --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("y", "side"), [(5.0, PORT), (-5.0, STARBOARD)])
def test_an_opening_immerses_to_its_own_side(y, side):
    """4 m above the water at 6 m draft, 5 m from the centreline; heeling the other way lifts it out."""
    found = angle(opening("V", y), side)
    assert found == pytest.approx(wet_at(5.0, 10.0), abs=1e-9)
    assert found != pytest.approx(degrees(atan(4.0 / 5.0)), abs=1.0), "not where turning the waterline has it"
    assert angle(opening("V", y), -side) == inf


@pytest.mark.parametrize("side", [PORT, STARBOARD])
def test_an_opening_on_the_centreline_immerses_to_either_side_alike(side):
    """7 m up, a metre above the water; one that is high enough stays dry up to the last heel."""
    assert angle(opening("V", 0.0, 7.0), side) == pytest.approx(wet_at(0.0, 7.0), abs=1e-9)
    assert angle(opening("V", 0.0, 30.0), side) == inf


@pytest.mark.parametrize("y", [-5.0, 0.0, 5.0])
@pytest.mark.parametrize("z", [5.9, 6.0])
def test_an_opening_under_water_floods_at_once(y, z):
    assert angle(opening("V", y, z), PORT) == 0.0


@pytest.mark.parametrize(("x", "rise"), [(0.0, 0.98), (49.0, 0.0), (100.0, -1.02)])
def test_trim_counts_at_the_openings_own_section(x, rise):
    """2 m by the stern: at the aft perpendicular the water stands 0.98 m higher than at the LCF."""
    found = angle(opening("A", 5.0, x=x), PORT, trimmed(2.0))
    assert found == pytest.approx(wet_at(5.0, 10.0, rise=rise), abs=1e-9)


def test_without_cross_curves_nothing_is_computed():
    assert opening("V", 5.0).angle(afloat(), None, PORT) is None
    assert opening("V", 5.0, 2.0).angle(afloat(), None, PORT) is None


# --- printed ---------------------------------------------------------------------------------------------------

PRINTED = ImmersionTable((4.0, 8.0), (50.0, 30.0))


@pytest.mark.parametrize(
    ("draft", "printed"), [(3.99, None), (4.0, 50.0), (6.0, 40.0), (8.0, 30.0), (8.01, None)]
)
@pytest.mark.parametrize("with_curves", [True, False])
def test_printed_angles_go_before_computed_ones_and_are_not_led_on(draft, printed, with_curves):
    flotation = afloat(draft)
    afloat_so = water(flotation) if with_curves else None
    for y, side in ((5.0, PORT), (-5.0, STARBOARD), (0.0, PORT), (0.0, STARBOARD)):
        given = opening("V", y, immersion=(PRINTED,))
        assert given.angle(flotation, afloat_so, side) == (
            None if printed is None else pytest.approx(printed)
        )
    assert opening("V", 5.0, immersion=(PRINTED,)).angle(flotation, afloat_so, STARBOARD) == inf
    assert opening("V", -5.0, immersion=(PRINTED,)).angle(flotation, afloat_so, PORT) == inf


def test_a_negative_printed_angle_is_under_water_upright():
    table = ImmersionTable((4.0, 8.0), (10.0, -10.0))
    assert [table.at(draft) for draft in (4.0, 5.0, 6.0, 7.0, 8.0)] == [10.0, 5.0, 0.0, 0.0, 0.0]


@pytest.mark.parametrize(("trim", "at"), [(-3.0, -1.0), (-0.26, -1.0), (-0.24, 0.5), (1.9, 0.5), (2.1, 3.5)])
def test_of_several_trims_the_nearest_is_entered(trim, at):
    tables = [replace(PRINTED, trim=t) for t in (0.5, -1.0, 3.5)]
    assert nearest_table(tables, trim).trim == at


@pytest.mark.parametrize("trim", [-1.5, -0.2, 0.7, 2.0])
@pytest.mark.parametrize(("x", "z"), [(5.0, 9.0), (90.0, 10.0)])
def test_a_printed_angle_is_brought_to_her_trim_by_two_computed_ones(trim, x, z):
    """Printed for even keel. She would be at 6 m there: the table is entered with that, not with her own draft
    amidships; the same displacement, computed at both trims, gives the difference."""
    rise = (LCF - x) * trim / LENGTH
    given = opening("V", 5.0, z, x=x, immersion=(PRINTED,))
    expected = 40.0 + wet_at(5.0, z, rise=rise) - wet_at(5.0, z)
    assert angle(given, PORT, trimmed(trim)) == pytest.approx(expected, abs=1e-8)


def test_angles_printed_for_her_own_trim_need_no_correction():
    given = opening("V", 5.0, x=10.0, immersion=(replace(PRINTED, trim=1.5),))
    at_her_draft = 50.0 - 5.0 * (trimmed(1.5).draft_midship - 4.0)
    assert angle(given, PORT, trimmed(1.5)) == pytest.approx(at_her_draft, rel=1e-12)
    assert angle(given, PORT, trimmed(1.5 + 0.9e-6)) == pytest.approx(at_her_draft, abs=1e-5)


def test_of_angles_printed_for_two_trims_the_nearer_is_corrected():
    """Even keel and 3 m by the stern; she floats at 2 m by the stern, and at 5.97 m amidships if at 3."""
    tables = (PRINTED, ImmersionTable((4.0, 8.0), (44.0, 24.0), trim=3.0))
    given = opening("V", 5.0, 9.5, x=9.0, immersion=tables)
    printed = 44.0 - 5.0 * (6.0 - 3.0 * 0.01 - 4.0)
    expected = printed + wet_at(5.0, 9.5, rise=0.4 * 2.0) - wet_at(5.0, 9.5, rise=0.4 * 3.0)
    assert angle(given, PORT, trimmed(2.0)) == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize("trim", [0.01, -0.01, 2.0])
def test_without_cross_curves_a_printed_angle_holds_for_its_own_trim_only(trim):
    given = opening("V", 5.0, immersion=(PRINTED,))
    assert given.angle(trimmed(trim), None, PORT) is None
    assert given.angle(trimmed(trim), None, STARBOARD) == inf, "heeling that way lifts it out all the same"


def test_a_printed_table_that_does_not_reach_the_draft_at_its_trim_tells_nothing():
    """At 6 m on even keel; the table ends just above or below that, though it covers her own draft amidships."""
    flotation = trimmed(4.0)
    assert flotation.draft_midship == pytest.approx(5.96)
    for drafts in ((4.0, 5.98), (6.01, 8.0)):
        given = opening("V", 5.0, immersion=(ImmersionTable(drafts, (50.0, 30.0)),))
        assert angle(given, PORT, flotation) is None


@pytest.mark.parametrize(
    ("printed", "there", "hers", "expected"),
    [
        (40.0, 35.0, 30.0, 35.0),
        (40.0, 30.0, 35.0, 45.0),
        (40.0, 30.0, 30.0, 40.0),
        (3.0, 10.0, 5.0, 0.0),  # never negative: under water upright
        (40.0, inf, 30.0, 30.0),  # dry at one of the trims: the smaller of printed and computed
        (25.0, inf, 30.0, 25.0),
        (40.0, 30.0, inf, 40.0),
        (40.0, inf, inf, 40.0),
    ],
)
def test_the_correction_of_a_printed_angle(printed, there, hers, expected):
    assert corrected(printed, there, hers) == expected


# --- at rest ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("side", [PORT, STARBOARD])
@pytest.mark.parametrize("heel", [0.0, 8.0, 25.0])
def test_the_height_of_an_opening_above_the_water_as_she_rests(side, heel):
    """Along the normal of the waterplane; by the level of the waterplane, or else by the upright one, which is never
    below it."""
    given, flotation, a = opening("V", 4.0, 9.0, x=20.0), trimmed(1.0), radians(heel)
    own = 9.0 * cos(a) - 4.0 * side * sin(a)
    exact = own - level(6.0, heel) - (LCF - 20.0) * 0.01
    assert given.height_at_rest(flotation, water(flotation), side, heel) == pytest.approx(exact, abs=1e-10)
    plain = given.height_at_rest(flotation, None, side, heel)
    assert plain == pytest.approx(own - flotation.draft_at(20.0), abs=1e-12)
    assert plain <= exact + 1e-12


# --- which opening, which side ---------------------------------------------------------------------------------


def listing(arm: float, *openings: Opening, rules: tuple[str, ...] = ()) -> Assessment:
    ship = vessel(openings=openings)
    weights = [CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]
    return assess(ship, condition(weights=weights, rule_sets=rules))


def wet(result: Assessment, toward: float, z: float) -> float:
    """The closed form at her draft and trim, 50 m from the aft perpendicular, a metre from the LCF."""
    afloat_so = result.situation.flotation
    rise = afloat_so.trim * (LCF - 50.0) / LENGTH
    return wet_at(toward, z, afloat_so.draft_at_lcf, rise)


def named(result: Assessment) -> str | None:
    found = result.heeled.flooding.opening
    return None if found is None else found.id


def test_the_first_unprotected_opening_is_named():
    result = listing(
        2.0,
        opening("HIGH", 5.0, 12.0),
        opening("LOW", 5.0, 11.0),
        opening("WEATHERTIGHT", 5.0, 10.0, "weathertight"),
        opening("WATERTIGHT", 5.0, 9.0, "watertight"),
        opening("OTHER SIDE", -5.0, 10.0),
    )
    assert named(result) == "LOW"
    assert result.heeled.flooding.angle == pytest.approx(wet(result, 5.0, 11.0), abs=1e-9)


@pytest.mark.parametrize(
    ("protection", "automatic", "imo", "us"),
    [
        ("unprotected", False, True, True),
        ("unprotected", True, True, True),
        ("weathertight", False, False, True),
        ("weathertight", True, False, True),
        ("watertight", False, False, True),
        ("watertight", True, False, False),
    ],
)
def test_which_openings_flood_by_which_rule(protection, automatic, imo, us):
    """IS Code: those that cannot be closed weathertight. 46 CFR: those that do not close watertight automatically."""
    given = opening("V", 5.0, 11.0, protection, closes_automatically=automatic)
    result = listing(2.0, given, rules=("46-cfr-170.173",))
    flooding, by_regulation = result.heeled.flooding.angle, result.heeled.flooding_automatic.angle
    assert flooding is not None
    assert by_regulation is not None
    assert (isfinite(flooding), isfinite(by_regulation)) == (imo, us)
    assert result.heeled.levers.flooding == flooding
    assert result.heeled.levers_automatic.flooding == by_regulation


def test_no_openings_and_unknown_openings_are_not_the_same():
    assert listing(2.0).heeled.flooding == FirstImmersion(inf, None)
    unknown = assess(vessel(openings=None), condition()).heeled
    assert unknown.flooding == unknown.flooding_automatic == FirstImmersion(None, None)


def test_the_first_of_those_counted_by_their_angles():
    vents = tuple(opening(name, 5.0) for name in "ABCD")
    angles = {0: 30.0, 1: 20.0, 2: None, 3: inf}
    assert first_immersion(vents, angles, [0, 1, 3]) == (20.0, vents[1])
    assert first_immersion(vents, angles, [0, 3]) == (30.0, vents[0])
    assert first_immersion(vents, angles, [3]) == (inf, None)
    assert first_immersion(vents, angles, []) == (inf, None)
    assert first_immersion(vents, angles, [2, 0, 1]) == (None, vents[1])
    assert first_immersion(vents, dict.fromkeys(range(4), 25.0), [1, 2]) == (25.0, vents[1])


def test_one_opening_off_its_own_table_makes_the_angle_unknown():
    beyond = ImmersionTable((7.0, 8.0), (40.0, 35.0))
    result = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", 5.0, immersion=(beyond,)))
    assert result.heeled.flooding.angle is None
    other_side = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", -5.0, immersion=(beyond,)))
    assert named(other_side) == "KNOWN"


@pytest.mark.parametrize(("arm", "first"), [(3.0, "P"), (-3.0, "S")])
def test_without_criteria_the_opening_is_that_of_the_side_she_leans_to(arm, first):
    result = listing(arm, opening("P", 5.0, 11.0), opening("S", -5.0, 10.5))
    assert named(result) == first
    assert result.heeled.side == (1.0 if arm > 0.0 else -1.0)


RULES = ("is-code-2008-a-2.2",)


@pytest.mark.parametrize("low", [-1.0, 1.0])
@pytest.mark.parametrize("arm", [-0.01, 0.01])
def test_openings_on_one_side_are_judged_on_both_and_the_worse_counts(low, arm):
    """A vent that floods at about 23 degrees on one side; she leans a hair to either: the verdict is the same."""
    vents = (opening("LOW", 7.0 * low, 9.0), opening("HIGH", -7.0 * low, 14.0))
    ship = vessel(openings=vents)
    assert ship.two_sided
    weights = [CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]
    result = assess(ship, condition(weights=weights, rule_sets=RULES))
    (area,) = [c for _, c in result.criteria if c.row.id == "is-code-2008-a-2.2.1-area-to-40"]
    shown = details(area)
    assert shown["side"] == ("port" if low > 0.0 else "starboard")
    assert shown["flooding_angle"] == pytest.approx(wet(result, 7.0, 9.0), abs=1e-9)
    assert result.verdict == "fail"


TWINS = (opening("P", 5.0), opening("S", -5.0), opening("C", 0.0))


def test_mirrored_openings_need_one_side_only():
    assert not vessel(openings=TWINS).two_sided
    assert not vessel(openings=()).two_sided
    assert not vessel(openings=None).two_sided
    assert vessel(openings=(*TWINS, opening("ODD", 5.0, 12.0))).two_sided


@pytest.mark.parametrize(
    "changes",
    [
        {"x": 50.1},
        {"y": -5.1},
        {"z": 10.1},
        {"protection": "weathertight"},
        {"closes_automatically": True},
        {"immersion": (PRINTED,)},
        {"immersion": (replace(PRINTED, trim=1.0),)},
    ],
)
def test_openings_that_differ_in_anything_are_no_twins(changes):
    assert vessel(openings=(opening("P", 5.0), opening("S", **{"y": -5.0, **changes}))).two_sided


def test_printed_angles_of_twins_must_be_the_same_at_every_trim():
    tables = (PRINTED, replace(PRINTED, trim=1.0, angle=(45.0, 25.0)))
    twins = [opening("P", 5.0, immersion=tables), opening("S", -5.0, immersion=tables)]
    assert not vessel(openings=tuple(twins)).two_sided
    assert vessel(openings=(twins[0], replace(twins[1], immersion=(PRINTED,)))).two_sided


def test_two_sides_and_one_give_the_same_numbers_where_they_are_the_same():
    """An opening high above everything on one side changes no figure. With her weight off the centreline both sides are
    judged anyway, whatever her openings."""
    rules = ("is-code-2008-a-2.2", "46-cfr-170.173", "load-lines")
    both = vessel(openings=(opening("TOP", 0.1, 4000.0),))
    assert both.two_sided
    for arm in (-3.0, 0.0, 3.0):
        given = condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)], rule_sets=rules)
        pairs = zip(assess(vessel(openings=()), given).criteria, assess(both, given).criteria, strict=True)
        for (rule_set, one), (_, two) in pairs:
            assert one.verdict == two.verdict
            if one.row.id == "afloat-openings":
                assert (one.attained is None, two.attained > 3900.0) == (True, True)
            else:
                assert two.attained == (
                    None if one.attained is None else pytest.approx(one.attained, rel=1e-12)
                )
            heels = rule_set.reads == "heeled"
            assert ("side" in details(one)) is (heels and arm != 0.0)
            assert ("side" in details(two)) is heels
