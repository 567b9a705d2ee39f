"""Angles of down-flooding and of deck edge immersion.

Truth: the turned waterline, tan(angle) = height above the waterline / distance from the centreline (the wording of
46 CFR 170.055, value from memory), and the definition of the first opening (2008 IS Code Part A 2.3.1).
"""

import numpy as np
import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition
from service.core.opening import DeckEdge, ImmersionTable, Opening
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import CARGO_WEIGHT, afloat, condition, opening, vessel

PORT, STARBOARD = np.ones(1), -np.ones(1)


@pytest.mark.parametrize(("side", "angle"), [(PORT, np.degrees(np.arctan(4.0 / 5.0))), (STARBOARD, np.inf)])
def test_an_opening_immerses_to_its_own_side(side, angle):
    """4 m above the waterline at 6 m draft, 5 m to port."""
    assert opening("V", 5.0).angle(afloat(1), side)[0] == pytest.approx(angle, rel=1e-12)


@pytest.mark.parametrize("side", [PORT, STARBOARD])
def test_an_opening_on_the_centreline_immerses_at_90_degrees(side):
    assert opening("V", 0.0).angle(afloat(1), side)[0] == pytest.approx(90.0)


@pytest.mark.parametrize("y", [-5.0, 0.0, 5.0])
def test_an_opening_under_water_floods_at_once(y):
    assert opening("V", y, 5.9).angle(afloat(1), PORT)[0] == 0.0


def test_trim_counts_at_the_openings_own_section():
    """2 m by the stern: at the aft perpendicular the water stands a metre higher than amidships."""
    trimmed = afloat(1, draft_aft=np.full(1, 7.0), draft_forward=np.full(1, 5.0), trim=np.full(1, 2.0))
    aft, forward = opening("A", 5.0, x=0.0), opening("F", 5.0, x=100.0)
    assert aft.angle(trimmed, PORT)[0] == pytest.approx(np.degrees(np.arctan(3.0 / 5.0)))
    assert forward.angle(trimmed, PORT)[0] == pytest.approx(np.degrees(np.arctan(5.0 / 5.0)))


PRINTED = ImmersionTable(np.array([4.0, 8.0]), np.array([50.0, 30.0]))


@pytest.mark.parametrize(
    ("draft", "angle"), [(3.99, np.nan), (4.0, 50.0), (6.0, 40.0), (8.0, 30.0), (8.01, np.nan)]
)
def test_printed_angles_go_before_geometry_and_are_not_led_on(draft, angle):
    given = opening("V", 5.0, immersion=PRINTED)
    assert given.angle(afloat(1, draft), PORT)[0] == pytest.approx(angle, nan_ok=True)
    assert given.angle(afloat(1, draft), STARBOARD)[0] == np.inf


# --- which opening, which side ---------------------------------------------------------------------------------


def listing(arm: float, *openings: Opening, **changes) -> Assessment:
    ship = vessel(openings=openings, **changes)
    return assess(ship, [condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)])])


def named(result: Assessment, ship: Vessel) -> str | None:
    index = int(result.situation.flooding.opening[0])
    return None if index < 0 or ship.openings is None else ship.openings[index].id


def test_the_first_unprotected_opening_is_named():
    result = listing(
        2.0,
        opening("HIGH", 5.0, 12.0),
        opening("LOW", 5.0, 11.0),
        opening("WEATHERTIGHT", 5.0, 10.0, "weathertight"),
        opening("WATERTIGHT", 5.0, 9.0, "watertight"),
        opening("OTHER SIDE", -5.0, 10.0),
    )
    assert named(result, result.situation.vessel) == "LOW"
    draft = float(result.flotation.draft_at(50.0)[0])
    expected = np.degrees(np.arctan((11.0 - draft) / 5.0))
    assert result.situation.flooding.angle[0] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("protection", "automatic", "imo", "us"),
    [
        ("unprotected", False, True, True),
        ("weathertight", False, False, True),
        ("weathertight", True, False, True),
        ("watertight", False, False, True),
        ("watertight", True, False, False),
    ],
)
def test_which_openings_flood_by_which_rule(protection, automatic, imo, us):
    """IS Code: those that cannot be closed weathertight. 46 CFR: those that do not close watertight automatically."""
    result = listing(2.0, opening("V", 5.0, 11.0, protection, closes_automatically=automatic))
    assert np.isfinite(result.situation.flooding.angle[0]) == imo
    assert np.isfinite(result.situation.flooding_automatic.angle[0]) == us


def test_no_openings_and_unknown_openings_are_not_the_same():
    assert listing(2.0).situation.flooding.angle[0] == np.inf
    ship = vessel(openings=None)
    assert np.isnan(assess(ship, [condition()]).situation.flooding.angle[0])


def test_one_opening_off_its_own_table_makes_the_angle_unknown():
    beyond = ImmersionTable(np.array([7.0, 8.0]), np.array([40.0, 35.0]))
    result = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", 5.0, immersion=beyond))
    assert np.isnan(result.situation.flooding.angle[0])
    other_side = listing(2.0, opening("KNOWN", 5.0, 11.0), opening("UNKNOWN", -5.0, immersion=beyond))
    assert named(other_side, other_side.situation.vessel) == "KNOWN"


RULES = ("is-code-2008-a-2.2",)


def side_of(result: Assessment, id: str) -> tuple[str, float]:
    (criterion,) = [c for _, c in result.criteria_of(0) if c.row.id == id]
    details = {detail.name: detail.values[0] for detail in criterion.details}
    return details["side"], details["angle of down-flooding"]


@pytest.mark.parametrize("low", [-1.0, 1.0])
@pytest.mark.parametrize("arm", [-0.01, 0.01])
def test_openings_on_one_side_are_judged_on_both_and_the_worse_counts(low, arm):
    """A vent that floods at about 29 degrees on one side; she leans a hair to either: the verdict is the same."""
    vents = (opening("LOW", 7.0 * low, 9.0), opening("HIGH", -7.0 * low, 14.0))
    ship = vessel(openings=vents)
    assert ship.two_sided
    weights = [CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]
    result = assess(ship, [condition(weights=weights, rule_sets=RULES)])
    side, angle = side_of(result, "is-code-2008-a-2.2.1-area-to-40")
    assert side == ("port" if low > 0.0 else "starboard")
    assert angle == pytest.approx(np.degrees(np.arctan((9.0 - result.flotation.draft_at(50.0)[0]) / 7.0)))
    assert result.verdict(0) == "fail"


def test_mirrored_openings_need_one_side_only():
    twins = (opening("P", 5.0), opening("S", -5.0), opening("C", 0.0))
    assert not vessel(openings=twins).two_sided
    assert vessel(openings=(*twins, opening("ODD", 5.0, 12.0))).two_sided
    assert vessel(openings=(opening("P", 5.0), opening("S", -5.0, 10.5))).two_sided


def test_two_sides_and_one_give_the_same_numbers_where_they_are_the_same():
    """An opening high above everything on one side changes no figure, save that the lever to the lighter side has its
    maximum earlier: with her weight off the centreline the angle of maximum is the smaller of the two."""
    rules = ("is-code-2008-a-2.2", "46-cfr-170.173-b", "load-lines")
    conditions = [
        condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)], rule_sets=rules)
        for arm in (-3.0, 0.0, 3.0)
    ]
    plain = assess(vessel(openings=()), conditions)
    both = assess(vessel(openings=(opening("TOP", 0.1, 4000.0),)), conditions)
    assert both.situation.vessel.two_sided
    for n in range(3):
        for (_, one), (_, two) in zip(plain.criteria_of(n), both.criteria_of(n)):
            assert one.verdict[n] == two.verdict[n]
            if one.row.unit == "degree" and n != 1:
                assert two.attained[n] < one.attained[n]
            else:
                assert two.attained[n] == pytest.approx(one.attained[n], rel=1e-12)


# --- deck edge -------------------------------------------------------------------------------------------------


def test_the_deck_edge_immerses_where_its_angle_is_least():
    edge = DeckEdge(np.array([[0.0, 4.0, 9.0], [50.0, 8.0, 9.0], [100.0, 2.0, 11.0]]))
    assert edge.angle(afloat(1))[0] == pytest.approx(np.degrees(np.arctan(3.0 / 8.0)))
    assert edge.angle(afloat(1), 0.5)[0] == pytest.approx(np.degrees(np.arctan(1.5 / 8.0)))


def test_a_deck_edge_under_water_is_immersed_upright():
    edge = DeckEdge(np.array([[0.0, 4.0, 5.0], [50.0, 8.0, 9.0]]))
    assert edge.angle(afloat(1))[0] == 0.0
    assert edge.angle(afloat(1), 0.5)[0] == 0.0


@pytest.mark.parametrize(("draft", "angle"), [(3.9, np.nan), (4.0, 50.0), (6.0, 40.0), (8.1, np.nan)])
def test_printed_deck_edge_angles(draft, angle):
    edge = DeckEdge(np.zeros((0, 3)), PRINTED)
    assert edge.angle(afloat(1, draft))[0] == pytest.approx(angle, nan_ok=True)
    half = np.degrees(np.arctan(0.5 * np.tan(np.radians(angle))))
    assert edge.angle(afloat(1, draft), 0.5)[0] == pytest.approx(half, nan_ok=True)


@pytest.mark.parametrize(("printed", "half"), [(-5.0, 0.0), (0.0, 0.0), (90.0, 90.0), (120.0, 90.0)])
def test_printed_angles_beyond_upright_or_beam_ends(printed, half):
    """Half the freeboard is never immersed at a negative angle, whose tangent would ask for no GM at all."""
    table = ImmersionTable(np.array([4.0, 8.0]), np.full(2, printed))
    assert DeckEdge(np.zeros((0, 3)), table).angle(afloat(1), 0.5)[0] == pytest.approx(half)
    assert opening("V", 5.0, immersion=table).angle(afloat(1), PORT)[0] == max(printed, 0.0)


def test_conditions_of_a_batch_may_lean_to_different_sides():
    ship = vessel(openings=(opening("P", 5.0, 11.0), opening("S", -5.0, 10.5)))
    conditions: list[Condition] = [
        condition(weights=[CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, arm)]) for arm in (3.0, -3.0)
    ]
    result = assess(ship, conditions)
    assert [ship.openings[int(i)].id for i in result.situation.flooding.opening] == ["P", "S"]
    assert result.situation.side.tolist() == [1.0, -1.0]
