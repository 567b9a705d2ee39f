"""Tanks that count as slack whatever their filling, with the greatest surface between two fillings.

Sources: 2008 IS Code Part B 3.1.5; tables of closed form, so that each expected value is arithmetic.
"""

import pytest

from service.core.condition import TankLine
from service.core.free_surface import AS_FILLED, BY_RULE, IMO, MAXIMUM_WHEN_SLACK, free_surfaces
from service.core.tank import EMPTY, PRESSED_UP, SLACK, PrintedColumn, Tank, TankTable

# a surface that broadens to the middle of the tank and narrows again: 100, 400, 900, 400, 100 m4
TABLE = TankTable(
    volume=[0.0, 25.0, 50.0, 75.0, 100.0],
    lcg=[10.0] * 5,
    vcg=[0.0, 0.5, 1.0, 1.5, 2.0],
    tcg=[0.0] * 5,
    sounding=None,
    ullage=None,
    inertia=[100.0, 400.0, 900.0, 400.0, 100.0],
)
TANK = Tank("T", "T", "centre", "ballast", None, 100.0, 10.0, 2.0, 0.0, table=TABLE)
COLUMN = PrintedColumn("ballast", 1.025, 100.0, 205.0, 41.0, 0.05)
PRINTED = Tank("P", "P", "centre", "ballast", None, 100.0, 10.0, 2.0, 0.0, printed=(COLUMN,))


def counted(tank, line, basis=AS_FILLED, rules=frozenset()):
    return free_surfaces([tank], [[0]], [line], [tank.liquid(line)], basis, rules, None)


@pytest.mark.parametrize(
    ("volume", "between", "inertia"),
    [
        (0.0, (0.0, 0.0), 100.0),  # its last drop
        (100.0, (100.0, 100.0), 100.0),  # full, and begun
        (12.5, (0.0, 25.0), 400.0),  # at the upper end
        (50.0, (25.0, 75.0), 900.0),  # in the middle
        (50.0, (75.0, 25.0), 900.0),  # emptied as filled
        (20.0, (12.5, 37.5), 650.0),  # the ends are interpolated
    ],
)
@pytest.mark.parametrize("rules", [frozenset(), frozenset((IMO,))])
def test_the_greatest_surface_between_two_fillings(volume, between, inertia, rules):
    line = TankLine(0, "volume", volume, 1.0, "ballast", between)
    found = counted(TANK, line, rules=rules)
    assert found.as_filled == pytest.approx(inertia)
    assert found.surfaces[0].counted_as == SLACK
    assert "3.1.5" in found.surfaces[0].reason
    # the greatest it may have at all, where that is what the condition counts
    assert counted(TANK, line, MAXIMUM_WHEN_SLACK, rules).judged.total == pytest.approx(900.0)


def test_its_state_is_still_that_of_its_filling():
    lines = [TankLine(0, "volume", volume, 1.0, "ballast", (0.0, 0.0)) for volume in (0.0, 99.0)]
    states = {line.value: TANK.liquid(line).state for line in lines}
    assert states == {0.0: EMPTY, 99.0: PRESSED_UP}


@pytest.mark.parametrize("fill", [0.0, 40.0, 100.0])
def test_a_printed_tank_counts_its_slack_column_at_the_density_aboard(fill):
    line = TankLine(0, "fill", fill, 1.0, "ballast", (0.0, 0.0))
    found = counted(PRINTED, line)
    assert found.as_filled == found.maximum_when_slack == pytest.approx(200.0)


def test_by_rule_a_consumable_that_changes_is_not_assumed_slack_again():
    tank = Tank("F", "F", "centre", "fuel_oil", None, 100.0, 10.0, 2.0, 0.0, table=TABLE)
    full = TankLine(0, "volume", 99.0, 1.0, "fuel_oil")
    begun = full._replace(slack_between=(99.0, 99.0))
    assert [len(counted(tank, line, BY_RULE).judged.assumed) for line in (full, begun)] == [1, 0]
    assert counted(tank, begun, BY_RULE).judged.total == pytest.approx(900.0)
