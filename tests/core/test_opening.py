"""Angles of down-flooding and of deck edge immersion.

Truth: the turned waterline, tan(angle) = height above the waterline / distance from the centreline (the wording of
46 CFR 170.055, value from memory), and the definition of the first opening (2008 IS Code Part A 2.3.1).
"""

from math import atan, degrees, inf, isfinite, radians, tan

import pytest

from service.core.assessment import Assessment, assess
from service.core.opening import DeckEdge, FirstImmersion, ImmersionTable, Opening, first_immersion
from service.core.weight import Weight
from tests.core.ship import CARGO_WEIGHT, afloat, condition, details, opening, vessel

PORT, STARBOARD = 1.0, -1.0


@pytest.mark.parametrize(("y", "side"), [(5.0, PORT), (-5.0, STARBOARD)])
def test_an_opening_immerses_to_its_own_side(y, side):
    """4 m above the waterline at 6 m draft, 5 m from the centreline."""
    assert opening("V", y).angle(afloat(), side) == pytest.approx(degrees(atan(4.0 / 5.0)), rel=1e-12)
    assert opening("V", y).angle(afloat(), -side) == inf


@pytest.mark.parametrize("side", [PORT, STARBOARD])
def test_an_opening_on_the_centreline_immerses_at_90_degrees(side):
    assert opening("V", 0.0).angle(afloat(), side) == pytest.approx(90.0)


@pytest.mark.parametrize("y", [-5.0, 0.0, 5.0])
@pytest.mark.parametrize("z", [5.9, 6.0])
def test_an_opening_under_water_floods_at_once(y, z):
    assert opening("V", y, z).angle(afloat(), PORT) == 0.0


def test_trim_counts_at_the_openings_own_section():
    """2 m by the stern: at the aft perpendicular the water stands a metre higher than amidships."""
    trimmed = afloat(draft_aft=7.0, draft_forward=5.0, trim=2.0)
    aft, forward = opening("A", 5.0, x=0.0), opening("F", 5.0, x=100.0)
    assert aft.angle(trimmed, PORT) == pytest.approx(degrees(atan(3.0 / 5.0)))
    assert forward.angle(trimmed, PORT) == pytest.approx(degrees(atan(5.0 / 5.0)))


PRINTED = ImmersionTable((4.0, 8.0), (50.0, 30.0))


@pytest.mark.parametrize(
    ("draft", "angle"), [(3.99, None), (4.0, 50.0), (6.0, 40.0), (8.0, 30.0), (8.01, None)]
)
def test_printed_angles_go_before_geometry_and_are_not_led_on(draft, angle):
    for y, side in ((5.0, PORT), (-5.0, STARBOARD), (0.0, PORT), (0.0, STARBOARD)):
        given = opening("V", y, immersion=PRINTED)
        assert given.angle(afloat(draft), side) == (None if angle is None else pytest.approx(angle))
    assert opening("V", 5.0, immersion=PRINTED).angle(afloat(draft), STARBOARD) == inf
    assert opening("V", -5.0, immersion=PRINTED).angle(afloat(draft), PORT) == inf


# --- which opening, which side ---------------------------------------------------------------------------------


def listing(arm: float, *openings: Opening) -> Assessment:
    ship = vessel(openings=openings)
    return assess(ship, condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]))


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
    expected = degrees(atan((11.0 - result.flotation.draft_at(50.0)) / 5.0))
    assert result.heeled.flooding.angle == pytest.approx(expected, rel=1e-12)


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
    result = listing(2.0, opening("V", 5.0, 11.0, protection, closes_automatically=automatic))
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
    angles = [30.0, 20.0, None, inf]
    assert first_immersion(vents, angles, [0, 1, 3]) == (20.0, vents[1])
    assert first_immersion(vents, angles, [0, 3]) == (30.0, vents[0])
    assert first_immersion(vents, angles, [3]) == (inf, None)
    assert first_immersion(vents, angles, []) == (inf, None)
    assert first_immersion(vents, angles, [2, 0, 1]) == (None, vents[1])
    assert first_immersion(vents, [25.0, 25.0, 25.0, 25.0], [1, 2]) == (25.0, vents[1])


def test_one_opening_off_its_own_table_makes_the_angle_unknown():
    beyond = ImmersionTable((7.0, 8.0), (40.0, 35.0))
    result = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", 5.0, immersion=beyond))
    assert result.heeled.flooding.angle is None
    other_side = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", -5.0, immersion=beyond))
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
    """A vent that floods at about 29 degrees on one side; she leans a hair to either: the verdict is the same."""
    vents = (opening("LOW", 7.0 * low, 9.0), opening("HIGH", -7.0 * low, 14.0))
    ship = vessel(openings=vents)
    assert ship.two_sided
    weights = [CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]
    result = assess(ship, condition(weights=weights, rule_sets=RULES))
    (area,) = [c for _, c in result.criteria if c.row.id == "is-code-2008-a-2.2.1-area-to-40"]
    shown = details(area)
    assert shown["side"] == ("port" if low > 0.0 else "starboard")
    expected = degrees(atan((9.0 - result.flotation.draft_at(50.0)) / 7.0))
    assert shown["flooding_angle"] == pytest.approx(expected)
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
        {"immersion": PRINTED},
    ],
)
def test_openings_that_differ_in_anything_are_no_twins(changes):
    assert vessel(openings=(opening("P", 5.0), opening("S", **{"y": -5.0, **changes}))).two_sided


def test_two_sides_and_one_give_the_same_numbers_where_they_are_the_same():
    """An opening high above everything on one side changes no figure, save that the lever to the lighter side has its
    maximum earlier: with her weight off the centreline the angle of maximum is the smaller of the two."""
    rules = ("is-code-2008-a-2.2", "46-cfr-170.173-b", "load-lines")
    both = vessel(openings=(opening("TOP", 0.1, 4000.0),))
    assert both.two_sided
    for arm in (-3.0, 0.0, 3.0):
        given = condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)], rule_sets=rules)
        pairs = zip(assess(vessel(openings=()), given).criteria, assess(both, given).criteria, strict=True)
        for (_, one), (_, two) in pairs:
            assert one.verdict == two.verdict
            if one.row.unit == "degree" and arm != 0.0:
                assert two.attained < one.attained
            else:
                assert two.attained == pytest.approx(one.attained, rel=1e-12)


# --- deck edge -------------------------------------------------------------------------------------------------


def test_the_deck_edge_immerses_where_its_angle_is_least():
    edge = DeckEdge(((0.0, 4.0, 9.0), (50.0, 8.0, 9.0), (100.0, 2.0, 11.0)))
    assert edge.angle(afloat()) == pytest.approx(degrees(atan(3.0 / 8.0)))
    assert edge.angle(afloat(), 0.5) == pytest.approx(degrees(atan(1.5 / 8.0)))


def test_the_deck_edge_of_a_trimmed_ship_immerses_at_the_deep_end():
    """2 m by the stern at 6 m amidships: 2 m of freeboard aft, 4 m forward, the same half-breadth."""
    trimmed = afloat(draft_aft=7.0, draft_forward=5.0, trim=2.0)
    assert DeckEdge(((0.0, 6.0, 9.0), (100.0, 6.0, 9.0))).angle(trimmed) == pytest.approx(
        degrees(atan(2.0 / 6.0))
    )


def test_a_deck_edge_under_water_is_immersed_upright():
    edge = DeckEdge(((0.0, 4.0, 5.0), (50.0, 8.0, 9.0)))
    assert edge.angle(afloat()) == 0.0
    assert edge.angle(afloat(), 0.5) == 0.0


@pytest.mark.parametrize(("draft", "angle"), [(3.9, None), (4.0, 50.0), (6.0, 40.0), (8.1, None)])
def test_printed_deck_edge_angles(draft, angle):
    edge = DeckEdge((), PRINTED)
    if angle is None:
        assert edge.angle(afloat(draft)) is None
        assert edge.angle(afloat(draft), 0.5) is None
        return
    assert edge.angle(afloat(draft)) == pytest.approx(angle)
    half = degrees(atan(0.5 * tan(radians(angle))))
    assert edge.angle(afloat(draft), 0.5) == pytest.approx(half)


@pytest.mark.parametrize(("printed", "half"), [(-5.0, 0.0), (0.0, 0.0), (90.0, 90.0), (120.0, 90.0)])
def test_printed_angles_beyond_upright_or_beam_ends(printed, half):
    """Half the freeboard is never immersed at a negative angle, whose tangent would ask for no GM at all."""
    table = ImmersionTable((4.0, 8.0), (printed, printed))
    assert DeckEdge((), table).angle(afloat(), 0.5) == pytest.approx(half)
    assert opening("V", 5.0, immersion=table).angle(afloat(), PORT) == max(printed, 0.0)
