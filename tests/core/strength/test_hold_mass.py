"""Masses in holds against limits by draft at mid-hold. Source of the shape: IACS UR S1A; contents of the double
bottom in way count: value from memory."""

import pytest

from service.core.strength.hold_mass import HoldStrength, MassLimit, hold_mass, least_room

CURVE = (MassLimit(4.0, 1000.0, 0.0), MassLimit(8.0, 2000.0, 400.0))
HOLD = HoldStrength((0,), (20.0, 40.0), (3,), CURVE)
PAIR = HoldStrength(
    (0, 1), (20.0, 60.0), (3, 4), (MassLimit(4.0, 1500.0, None), MassLimit(8.0, 3000.0, None))
)
LINES = [(0, 900.0), (1, 700.0), (None, 5000.0), (0, 100.0)]
LIQUIDS = {3: 50.0, 4: 60.0, 9: 800.0}


def test_the_mass_is_of_the_lines_of_the_hold_and_the_tanks_in_way():
    found = hold_mass(HOLD, LINES, LIQUIDS, 6.0, harbour=False)
    assert found.mass == 1050.0
    assert (found.most, found.least, found.off) == (1500.0, 200.0, False)
    assert HOLD.middle == 30.0


def test_two_adjacent_holds_are_judged_together_at_their_middle():
    found = hold_mass(PAIR, LINES, LIQUIDS, 5.0, harbour=False)
    assert (found.mass, found.most, found.least) == (1810.0, 1875.0, None)
    assert PAIR.middle == 40.0


@pytest.mark.parametrize("draft", [3.9, 8.1])
def test_a_draft_beyond_the_curve_is_off(draft):
    found = hold_mass(HOLD, LINES, LIQUIDS, draft, harbour=False)
    assert (found.most, found.least, found.off) == (None, None, True)


def test_a_set_of_its_own_for_the_harbour():
    limits = (
        *(row._replace(set="sea") for row in CURVE),
        MassLimit(4.0, 1300.0, None, "harbour"),
        MassLimit(8.0, 2300.0, None, "harbour"),
    )
    hold = HOLD._replace(limits=limits)
    assert hold_mass(hold, LINES, {}, 6.0, harbour=False).most == 1500.0
    harbour = hold_mass(hold, LINES, {}, 6.0, harbour=True)
    assert (harbour.most, harbour.least, harbour.off) == (1800.0, None, False)


def test_one_row_alone_holds_at_its_own_draft():
    hold = HOLD._replace(limits=(MassLimit(6.0, 1000.0, None),))
    assert hold_mass(hold, LINES, {}, 6.0, harbour=False).most == 1000.0
    assert hold_mass(hold, LINES, {}, 6.1, harbour=False).off


def test_the_hold_with_the_least_room_is_the_one_shown():
    full = hold_mass(HOLD, [(0, 1490.0)], {}, 6.0, harbour=False)
    empty = hold_mass(HOLD, [(0, 210.0)], {}, 6.0, harbour=False)
    assert least_room([empty, full], "most") is full
    assert least_room([empty, full], "least") is empty
    assert least_room([hold_mass(PAIR, [], {}, 6.0, harbour=False)], "least") is None
