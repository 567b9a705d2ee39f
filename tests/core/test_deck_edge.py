"""The deck edge and half the freeboard to it: computed, printed, and printed for another trim.

Truth: the level of the waterplane of the ship in ship.py, a closed form (see test_waterplane.py); half the freeboard:
46 CFR 170.170(a). Printed angles hold for the trim they state, within 0.1 m of it where nothing can correct them
(common practice, no source).
"""

from math import atan, degrees, inf, radians, tan

import pytest

from service.core.opening import DeckEdge, ImmersionTable
from service.core.waterplane import Points
from tests.core.ship import LCF, LENGTH, afloat, cross_curves, opening, vessel, wet_at
from tests.core.test_opening import PORT, PRINTED, trimmed, water


def immersed(edge: DeckEdge, flotation=None, curves: bool = True) -> float | None:
    flotation = flotation or afloat()
    points = edge.laid_out(cross_curves()) if curves else None
    return edge.angle(flotation, water(flotation) if curves else None, points)


def half(edge: DeckEdge, flotation=None, curves: bool = True) -> float | None:
    flotation = flotation or afloat()
    own = cross_curves() if curves else None
    points = edge.laid_out(own) if own is not None else None
    return edge.half_freeboard_angle(flotation, water(flotation) if curves else None, points, own)


# --- computed --------------------------------------------------------------------------------------------------


def test_the_deck_edge_immerses_where_its_angle_is_least():
    edge = DeckEdge(((0.0, 4.0, 9.0), (50.0, 8.0, 9.0), (100.0, 2.0, 11.0)))
    assert immersed(edge) == pytest.approx(wet_at(8.0, 9.0), abs=1e-9)
    assert half(edge) == pytest.approx(wet_at(8.0, 7.5), abs=1e-9)
    assert immersed(edge) != pytest.approx(degrees(atan(3.0 / 8.0)), abs=0.5), "nor where turning it has it"


def test_the_deck_edge_of_a_trimmed_ship_immerses_at_the_deep_end():
    """2 m by the stern: 0.98 m more water at the aft perpendicular; half of the freeboard is that at each point."""
    edge = DeckEdge(((0.0, 6.0, 9.0), (100.0, 6.0, 9.0)))
    assert immersed(edge, trimmed(2.0)) == pytest.approx(wet_at(6.0, 9.0, rise=0.98), abs=1e-9)
    half_way = 0.5 * (9.0 + 6.98)
    assert half(edge, trimmed(2.0)) == pytest.approx(wet_at(6.0, half_way, rise=0.98), abs=1e-9)
    assert immersed(edge, trimmed(-2.0)) == pytest.approx(wet_at(6.0, 9.0, rise=1.02), abs=1e-9)


def test_half_the_freeboard_is_that_of_the_point_where_it_immerses_first():
    """Aft 1 m of freeboard 2 m out, amidships 3 m 8 m out: half of it goes under amidships first."""
    edge = DeckEdge(((0.0, 2.0, 7.0), (50.0, 8.0, 9.0)))
    assert half(edge) == pytest.approx(min(wet_at(2.0, 6.5), wet_at(8.0, 7.5)), abs=1e-9)


def test_a_deck_edge_under_water_is_immersed_upright():
    edge = DeckEdge(((0.0, 4.0, 5.0), (50.0, 8.0, 9.0)))
    assert immersed(edge) == 0.0
    assert half(edge) == 0.0


def test_a_deck_edge_that_stays_dry_up_to_the_last_heel():
    edge = DeckEdge(((50.0, 2.0, 40.0),))
    assert (immersed(edge), half(edge)) == (inf, inf)


def test_without_cross_curves_nothing_is_computed():
    edge = DeckEdge(((50.0, 8.0, 9.0),))
    assert (immersed(edge, curves=False), half(edge, curves=False)) == (None, None)
    flotation, points = afloat(), edge.laid_out(cross_curves())
    assert edge.angle(flotation, None, points) is None, "off her cross curves"
    assert edge.half_freeboard_angle(flotation, None, points, cross_curves()) is None


def test_a_deck_edge_without_points_or_angles_tells_nothing():
    assert DeckEdge(()).laid_out(cross_curves()) is None
    assert (immersed(DeckEdge(())), half(DeckEdge(()))) == (None, None)


# --- printed ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("curves", [True, False])
@pytest.mark.parametrize(("draft", "angle"), [(3.9, None), (4.0, 50.0), (6.0, 40.0), (8.1, None)])
def test_printed_deck_edge_angles(draft, angle, curves):
    """Without points, tan of the angle of half the freeboard is half that of the printed one."""
    edge = DeckEdge((), (PRINTED,))
    if angle is None:
        assert immersed(edge, afloat(draft), curves) is None
        assert half(edge, afloat(draft), curves) is None
        return
    assert immersed(edge, afloat(draft), curves) == pytest.approx(angle)
    assert half(edge, afloat(draft), curves) == pytest.approx(degrees(atan(0.5 * tan(radians(angle)))))


@pytest.mark.parametrize(("printed", "halved"), [(-5.0, 0.0), (0.0, 0.0), (90.0, 90.0), (120.0, 90.0)])
def test_printed_angles_beyond_upright_or_beam_ends(printed, halved):
    """Half the freeboard is never immersed at a negative angle, whose tangent would ask for no GM at all."""
    table = ImmersionTable((4.0, 8.0), (printed, printed))
    assert half(DeckEdge((), (table,))) == pytest.approx(halved)
    assert opening("V", 5.0, immersion=(table,)).angle(afloat(), None, PORT) == max(printed, 0.0)


def test_with_points_half_the_freeboard_is_computed_although_angles_are_printed():
    edge = DeckEdge(((50.0, 8.0, 9.0),), (PRINTED,))
    assert immersed(edge) == pytest.approx(40.0)
    assert half(edge) == pytest.approx(wet_at(8.0, 7.5), abs=1e-9)


@pytest.mark.parametrize("curves", [True, False])
@pytest.mark.parametrize(
    ("trim", "known"), [(0.0, True), (0.0999, True), (-0.0999, True), (0.1001, False), (-0.1001, False)]
)
def test_without_points_a_printed_angle_holds_within_a_decimetre_of_its_trim(trim, known, curves):
    """Nothing can correct it; at her own draft amidships."""
    edge, flotation = DeckEdge((), (PRINTED,)), trimmed(trim)
    expected = pytest.approx(50.0 - 5.0 * (flotation.draft_midship - 4.0)) if known else None
    assert immersed(edge, flotation, curves) == expected
    assert (half(edge, flotation, curves) is not None) is known


@pytest.mark.parametrize(("trim", "known"), [(0.09, True), (0.11, False)])
def test_with_points_but_without_cross_curves_a_decimetre_holds_too(trim, known):
    edge = DeckEdge(((50.0, 8.0, 9.0),), (PRINTED,))
    assert (edge.angle(trimmed(trim), None, None) is not None) is known
    assert (edge.angle(trimmed(trim), None, edge.laid_out(cross_curves())) is not None) is known


@pytest.mark.parametrize("trim", [-1.5, 0.05, 2.0])
def test_with_points_a_printed_angle_is_brought_to_her_trim_by_two_computed_ones(trim):
    """The aft point of the edge goes under first by the stern, the forward one by the head."""
    edge = DeckEdge(((0.0, 6.0, 9.0), (100.0, 6.0, 9.0)), (PRINTED,))
    deepest = max((LCF - x) * trim / LENGTH for x in (0.0, 100.0))
    expected = 40.0 + wet_at(6.0, 9.0, rise=deepest) - wet_at(6.0, 9.0)
    assert immersed(edge, trimmed(trim)) == pytest.approx(expected, abs=1e-8)


def test_the_nearest_of_several_printed_trims_is_entered():
    tables = (PRINTED, ImmersionTable((4.0, 8.0), (44.0, 24.0), trim=2.0))
    edge = DeckEdge((), tables)
    assert immersed(edge, trimmed(2.0)) == pytest.approx(44.0 - 5.0 * (trimmed(2.0).draft_midship - 4.0))
    assert immersed(edge, trimmed(1.05)) is None


def test_a_printed_table_that_does_not_reach_the_draft_at_its_trim_tells_nothing():
    """At 6 m on even keel; the table ends between that and her own draft amidships, 5.96 m."""
    edge = DeckEdge(((50.0, 8.0, 9.0),), (ImmersionTable((4.0, 5.98), (50.0, 30.0)),))
    assert immersed(edge, trimmed(4.0)) is None


# --- of a ship -------------------------------------------------------------------------------------------------


def test_a_ship_lays_her_points_out_once():
    ship = vessel(deck_edge=DeckEdge(((50.0, 8.0, 9.0),)))
    assert isinstance(ship.deck_points, Points)
    assert vessel(deck_edge=None).deck_points is None
    assert vessel(cross_curves=None).deck_points is None
    assert vessel(deck_edge=DeckEdge((), (PRINTED,))).deck_points is None
