"""Propeller immersion, air draft, least freeboard and the view ahead, on a trimmed box; every figure by hand.

Sources: MARPOL Annex I regulation 18.3; SOLAS V/22.1.1; definitions of trim and heel. No published example with printed
answers is known.
"""

from math import inf, radians, sin, tan

import pytest

from service.core.assessment import assess
from service.core.flotation import Flotation
from service.core.vessel import Bridge, Propeller
from service.core.view import (
    AirDraftPoint,
    Obstruction,
    air_draft,
    freeboard_least,
    hidden_sea,
    is_ahead,
    propeller_immersion,
)
from service.core.weight import Weight
from tests.core.barge import barge, loaded
from tests.core.ship import afloat

PROPELLER = Propeller(2.0, 2.0, 3.2)
BRIDGE = Bridge(12.0, 20.0, 95.0, 11.0, 100.0, 100.0)
OWN = (Obstruction("Forecastle", 95.0, 11.0),)
TRIM = 2000.0 * 10.0 * 12.0 / (1.025 * 20.0 * 100.0**2)  # by her moment to change trim


def trimmed() -> Flotation:
    """2050 t of lightship and 2000 t at 40 m: 4050 t, 1.97561 m, 1.170732 m by the stern."""
    found = assess(barge(strength=None), loaded(Weight(2000.0, 40.0, 5.0))).situation.flotation
    assert found is not None
    assert (found.draft_midship, found.trim) == pytest.approx((4050.0 / 2050.0, TRIM), rel=1e-12)
    return found


def level(draft: float = 4.0, trim: float = 0.0) -> Flotation:
    return afloat(draft, draft_aft=draft + trim / 2.0, draft_forward=draft - trim / 2.0, trim=trim)


def test_the_propeller_of_a_trimmed_ship():
    at = 4050.0 / 2050.0 + TRIM * (0.5 - 2.0 / 100.0)
    assert propeller_immersion(PROPELLER, trimmed()) == pytest.approx(100.0 * (at - 0.4) / 3.2, rel=1e-12)
    assert propeller_immersion(PROPELLER, trimmed()) == pytest.approx(66.798780488, abs=1e-6)
    assert trimmed().draft_forward == pytest.approx(1.390243902, abs=1e-6)


@pytest.mark.parametrize(("draft", "percent"), [(3.6, 100.0), (2.0, 50.0), (0.4, 0.0), (5.2, 150.0)])
def test_at_100_percent_the_tip_is_awash(draft, percent):
    assert propeller_immersion(PROPELLER, level(draft)) == pytest.approx(percent)


POINTS = (AirDraftPoint("Mast", 10.0, 28.0), AirDraftPoint("Foremast", 96.0, 27.0))


def test_by_the_stern_the_foremast_is_the_higher_point():
    height, point = air_draft(POINTS, trimmed(), 0.0)
    assert point.name == "Foremast"
    assert height == pytest.approx(27.0 - (4050.0 / 2050.0 + TRIM * (0.5 - 0.96)), rel=1e-12)
    assert height == pytest.approx(25.562926829, abs=1e-6)
    assert air_draft(POINTS, level(), 0.0) == (24.0, POINTS[0])


@pytest.mark.parametrize("angle", [5.0, -5.0])
def test_a_list_to_either_side_lifts_what_stands_off_the_centreline(angle):
    points = (AirDraftPoint("Crane", 50.0, 27.0, -8.0), AirDraftPoint("Mast", 50.0, 27.5))
    height, point = air_draft(points, level(), angle)
    assert (point.name, height) == ("Crane", pytest.approx(23.0 + 8.0 * sin(radians(5.0))))


@pytest.mark.parametrize("angle", [4.0, -4.0])
def test_the_least_freeboard_is_where_trim_and_list_sink_the_deck_edge(angle):
    edge = ((0.0, 8.0, 9.0), (50.0, 10.0, 9.0), (100.0, 3.0, 10.0))
    assert freeboard_least(edge, level(4.0), 0.0) == 5.0
    assert freeboard_least(edge, level(4.0, 2.0), 0.0) == 4.0
    expected = min(4.0 - 8.0 * tan(radians(4.0)), 5.0 - 10.0 * tan(radians(4.0)))
    assert freeboard_least(edge, level(4.0, 2.0), angle) == pytest.approx(expected)


# --- the view ahead ----------------------------------------------------------------------------------------------


def test_the_sea_hidden_ahead_of_the_bow_of_a_trimmed_ship():
    """Eye 20 m, forecastle 11 m above the baseline, 83 m ahead; the bow 88 m ahead."""
    found = hidden_sea(BRIDGE, OWN, trimmed(), 100.0)
    at = trimmed()
    eye, top = 20.0 - at.draft_at(12.0), 11.0 - at.draft_at(95.0)
    assert found.distance == pytest.approx(eye * 83.0 / (eye - top) - 88.0, rel=1e-12)
    assert found.distance == pytest.approx(93.744683437, abs=1e-6)
    assert (found.limit, found.obstruction) == (200.0, "Forecastle")
    assert found.eye_height == pytest.approx(eye)


@pytest.mark.parametrize(("length", "limit"), [(100.0, 200.0), (250.0, 500.0), (400.0, 500.0), (None, None)])
def test_two_lengths_or_500_m(length, limit):
    assert hidden_sea(BRIDGE, OWN, level(), length).limit == limit


def test_the_worst_obstruction_counts():
    stack = Obstruction("Stack", 60.0, 15.0, -12.0, 12.0)
    found = hidden_sea(BRIDGE, (*OWN, stack), level(), 100.0)
    assert (found.obstruction, found.distance) == ("Stack", pytest.approx(16.0 * 48.0 / 5.0 - 88.0))


def test_what_stands_as_high_as_the_eye_hides_the_sea_to_the_horizon():
    assert hidden_sea(BRIDGE, (Obstruction("Stack", 60.0, 20.0),), level(), 100.0).distance == inf


def test_nothing_ahead_hides_nothing():
    assert hidden_sea(BRIDGE, (), level(), 100.0)[:3] == (0.0, 200.0, None)
    assert hidden_sea(BRIDGE, (Obstruction("Funnel", 5.0, 30.0),), level(), 100.0).distance == 0.0


def test_what_hides_only_her_own_deck_hides_no_sea():
    found = hidden_sea(BRIDGE, (Obstruction("Winch", 20.0, 5.0),), level(), 100.0)
    assert (found.distance, found.obstruction) == (0.0, "Winch")


HALF = 83.0 * tan(radians(10.0))


@pytest.mark.parametrize(
    ("y_from", "y_to", "ahead"),
    [
        (None, None, True),
        (HALF - 0.01, 30.0, True),
        (HALF + 0.01, 30.0, False),
        (-30.0, -HALF - 0.01, False),
        (-HALF + 0.01, -30.0, True),
        (-30.0, 30.0, True),
        (HALF + 1.0, None, False),
    ],
)
def test_any_part_within_ten_degrees_of_ahead_counts(y_from, y_to, ahead):
    assert is_ahead(Obstruction("Crane", 95.0, 30.0, y_from, y_to), 83.0) is ahead


def test_what_stands_abaft_the_eye_is_not_ahead():
    assert not is_ahead(Obstruction("Funnel", 12.0, 30.0), 0.0)
