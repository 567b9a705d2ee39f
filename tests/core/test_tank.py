"""Quantities into volumes, centres and states.

Truth: closed forms of a box and of a wedge-shaped tank (see ship.py); states as 2008 IS Code Part B 3.1.2 and the
normal full limit of the booklet draw them.
"""

from dataclasses import replace

import numpy as np
import pytest

from service.core.condition import Batch, TankLine
from service.core.errors import OutsideTable, Refusals, UnusableBooklet
from service.core.tank import AT_LIMIT, EMPTY, OVERFULL, PRESSED_UP, QUANTITIES, SLACK, Liquids, TankBook
from service.core.vessel import Vessel
from tests.core.ship import box_tank, condition, line, printed_tank, rectangular_tank, vessel, wedge_tank


def liquids_of(ship: Vessel, *lines: TankLine) -> tuple[Liquids, Refusals]:
    batch = Batch.of([condition(*lines)])
    refusals = Refusals(1)
    return ship.book.liquids(batch.fillings, refusals), refusals


def refused(ship: Vessel, *lines: TankLine) -> OutsideTable:
    error = liquids_of(ship, *lines)[1].first[0]
    assert isinstance(error, OutsideTable)
    return error


BOX = vessel(box_tank("B"))


@pytest.mark.parametrize(
    ("name", "value"),
    [("mass", 123.0), ("volume", 120.0), ("fill", 30.0), ("sounding", 1.5), ("ullage", 3.5)],
)
def test_every_quantity_of_a_box_says_the_same(name, value):
    """120 m3 in a tank of 80 m2: 1.5 m deep, 30 % of 400 m3, 123 t of sea water, centre 0.75 m above its bottom."""
    liquid, refusals = liquids_of(BOX, line(BOX, "B", density=1.025, **{name: value}))
    assert refusals.first == [None]
    assert liquid.volume[0] == pytest.approx(120.0, rel=1e-12)
    assert liquid.mass[0] == pytest.approx(123.0, rel=1e-12)
    assert liquid.fill[0] == pytest.approx(30.0, rel=1e-12)
    assert liquid.sounding[0] == pytest.approx(1.5, rel=1e-12)
    assert liquid.ullage[0] == pytest.approx(3.5, rel=1e-12)
    assert liquid.vcg[0] == pytest.approx(1.75, rel=1e-12)
    assert liquid.inertia[0] == pytest.approx(10.0 * 8.0**3 / 12.0, rel=1e-12)
    assert liquid.state[0] == SLACK


def test_a_sounding_between_rows_is_interpolated_linearly():
    """Rows of the wedge at 1.0 m (6 m3, 4 m4) and 1.5 m (13.5 m3, 13.5 m4): half way, half way."""
    ship = vessel(wedge_tank("W"))
    liquid, _ = liquids_of(ship, line(ship, "W", sounding=1.25))
    assert liquid.volume[0] == pytest.approx(9.75, rel=1e-12)
    assert liquid.inertia[0] == pytest.approx(8.75, rel=1e-12)
    assert liquid.vcg[0] == pytest.approx(1.0 + 2.0 * 1.25 / 3.0, rel=1e-12)


@pytest.mark.parametrize(
    ("fill", "state"),
    [
        (0.0, EMPTY),
        (1e-9, SLACK),
        (50.0, SLACK),
        (97.949, SLACK),
        (97.951, AT_LIMIT),
        (98.0, AT_LIMIT),
        (98.049, AT_LIMIT),
        (98.051, PRESSED_UP),
        (100.0, PRESSED_UP),
        (100.001, OVERFULL),
        (110.0, OVERFULL),
    ],
)
def test_state_by_filling(fill, state):
    """At the limit means within 0.05 % of capacity (common practice, no source)."""
    liquid, refusals = liquids_of(BOX, line(BOX, "B", fill=fill))
    assert refusals.first == [None]
    assert liquid.state[0] == state


@pytest.mark.parametrize(
    ("limit", "fill", "state"),
    [
        (95.0, 94.9, SLACK),
        (95.0, 95.0, AT_LIMIT),
        (95.0, 96.0, PRESSED_UP),
        (100.0, 99.9, SLACK),
        (100.0, 100.0, AT_LIMIT),
    ],
)
def test_a_booklet_with_another_normal_limit(limit, fill, state):
    ship = vessel(box_tank("B", normal_limit=limit))
    liquid, _ = liquids_of(ship, line(ship, "B", fill=fill))
    assert liquid.state[0] == state


@pytest.mark.parametrize(("volume", "state"), [(0.0, EMPTY), (2.0, EMPTY), (2.001, SLACK)])
def test_the_unpumpable_remainder_counts_as_empty_but_keeps_its_mass(volume, state):
    ship = vessel(box_tank("B", unpumpable=2.0))
    liquid, _ = liquids_of(ship, line(ship, "B", density=1.0, volume=volume))
    assert liquid.state[0] == state
    assert liquid.mass[0] == pytest.approx(volume, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "inside", "at", "outside", "low", "high"),
    [
        ("sounding", 4.99, 5.0, 5.01, 0.0, 5.0),
        ("ullage", 0.01, 5.0, 5.01, 0.0, 5.0),
        ("volume", 439.0, 440.0, 440.1, 0.0, 440.0),
        ("fill", 109.9, 110.0, 110.1, 0.0, 440.0),
    ],
)
def test_the_end_of_a_tank_table(name, inside, at, outside, low, high):
    """Inside and at the end: served. One step beyond: refused, naming tank, quantity, value and range."""
    for value in (inside, at):
        assert liquids_of(BOX, line(BOX, "B", **{name: value}))[1].first == [None]
    error = refused(BOX, line(BOX, "B", **{name: outside}))
    assert error.tank == 0
    if name in ("sounding", "ullage"):
        assert (error.quantity, error.dimension) == (name, "length")
        assert error.value == outside
    else:
        assert (error.quantity, error.dimension) == ("volume", "volume")
        assert error.value == pytest.approx(outside * (4.0 if name == "fill" else 1.0))
    assert (error.low, error.high) == (pytest.approx(low), pytest.approx(high))


def without_bottom(first_row: int) -> Vessel:
    tank = box_tank("B")
    table = tank.table
    assert table is not None
    cut = {name: getattr(table, name)[first_row:] for name in table.__dataclass_fields__}
    return vessel(replace(tank, table=replace(table, **cut)))


@pytest.mark.parametrize(("volume", "served"), [(0.0, True), (39.9, False), (40.0, True), (40.1, True)])
def test_below_the_first_row_only_empty_is_served(volume, served):
    """A table that begins at 0.5 m (40 m3) cannot say where less than that lies."""
    ship = without_bottom(1)
    error = liquids_of(ship, line(ship, "B", volume=volume))[1].first[0]
    assert (error is None) is served
    if not served:
        assert isinstance(error, OutsideTable)
        assert (error.quantity, error.low, error.high) == (
            "volume",
            pytest.approx(40.0),
            pytest.approx(440.0),
        )


@pytest.mark.parametrize(("value", "served"), [(0.49, False), (0.5, True), (0.51, True)])
def test_a_sounding_below_the_first_row(value, served):
    ship = without_bottom(1)
    error = liquids_of(ship, line(ship, "B", sounding=value))[1].first[0]
    assert (error is None) is served
    assert served or (isinstance(error, OutsideTable) and (error.low, error.high) == (0.5, 5.0))


@pytest.mark.parametrize("name", ["sounding", "ullage"])
def test_a_level_in_a_tank_without_a_column_for_it(name):
    ship = vessel(rectangular_tank("R"))
    error = refused(ship, line(ship, "R", **{name: 1.0}))
    assert name in error.quantity
    assert error.tank == 0


def test_a_table_that_ends_below_capacity_is_led_to_the_centre_of_the_full_tank():
    """Last row at 4.5 m (360 m3, centre 3.25 m); capacity 400 m3 with its centre at 3.5 m: half way, 3.375 m."""
    tank = box_tank("B")
    table = tank.table
    assert table is not None
    cut = replace(table, **{name: getattr(table, name)[:-1] for name in table.__dataclass_fields__})
    ship = vessel(replace(tank, table=cut))
    liquid, refusals = liquids_of(ship, line(ship, "B", volume=380.0))
    assert refusals.first == [None]
    assert liquid.vcg[0] == pytest.approx(3.375, rel=1e-12)
    assert np.isnan(liquid.sounding[0])


def test_the_last_printed_row_keeps_its_sounding_where_the_table_ends_below_capacity():
    tank = box_tank("B")
    table = tank.table
    assert table is not None
    cut = replace(table, **{name: getattr(table, name)[:-1] for name in table.__dataclass_fields__})
    ship = vessel(replace(tank, table=cut))
    liquid, _ = liquids_of(ship, line(ship, "B", volume=360.0))
    assert liquid.sounding[0] == pytest.approx(4.5, rel=1e-12)
    assert liquid.ullage[0] == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize("name", ["mass", "volume", "fill"])
def test_a_tank_without_a_table_keeps_the_centre_of_the_full_tank(name):
    ship = vessel(rectangular_tank("R"))
    liquid, _ = liquids_of(ship, line(ship, "R", density=1.0, **{name: 50.0}))
    assert (liquid.volume[0], liquid.lcg[0], liquid.vcg[0]) == (pytest.approx(50.0), 40.0, 2.0)
    assert np.isnan(liquid.sounding[0])


def test_density_comes_from_the_condition_then_the_booklet_then_the_group():
    """Group densities: common practice, no source."""
    own = vessel(box_tank("B", contents="fuel_oil", density=0.991))
    book, other = own.book, vessel(box_tank("B", contents="fuel_oil")).book
    group = book.contents[0]
    assert book.default_density(0, int(group)) == 0.991
    assert other.default_density(0, int(group)) == 0.95
    assert book.default_density(0, 3) == 1.0, "the booklet's density is for its own liquid only"


def spoilt(name: str, index: int, value: float) -> Vessel:
    tank = box_tank("B")
    assert tank.table is not None
    column = getattr(tank.table, name).copy()
    column[index] = value
    return vessel(replace(tank, table=replace(tank.table, **{name: column})))


@pytest.mark.parametrize(
    ("name", "index", "value"),
    [
        ("volume", 4, 120.0),
        ("volume", 4, 10.0),
        ("sounding", 3, 1.0),
        ("sounding", 3, 0.7),
        ("ullage", 3, 4.0),
        ("ullage", 3, 4.5),
    ],
)
def test_rows_that_do_not_go_one_way_are_refused_by_place(name, index, value):
    with pytest.raises(UnusableBooklet) as caught:
        spoilt(name, index, value)
    assert caught.value.place == ("tanks", 0, "table", "rows", index, name)


def test_a_table_above_the_capacity_is_refused():
    with pytest.raises(UnusableBooklet) as caught:
        vessel(box_tank("B", capacity=399.0))
    assert caught.value.place == ("tanks", 0, "table", "rows", 10, "volume")


@pytest.mark.parametrize("broken", ["none", "two"])
def test_a_tank_needs_exactly_one_source_of_its_free_surface(broken):
    tank = rectangular_tank("R")
    if broken == "none":
        tank = replace(tank, rectangular=None)
    else:
        tank = replace(tank, table=box_tank("B").table, capacity=400.0)
    with pytest.raises(UnusableBooklet) as caught:
        vessel(tank)
    assert caught.value.place == ("tanks", 0)


def test_partners_are_those_the_booklet_names_or_the_mirror_image():
    tanks = [
        box_tank("P", y=4.0),
        box_tank("C", y=0.0),
        box_tank("S", y=-4.0),
        box_tank("ODD", y=4.0, x=80.0),
        box_tank("FAR", y=4.0, x=20.0, pair="OFF"),
        box_tank("OFF", y=-4.0, x=25.0, pair="FAR"),
    ]
    assert TankBook(tanks).halves() == [(0, 2), (1,), (3,), (4, 5)]


def test_quantities_are_the_five_of_the_interface():
    assert QUANTITIES == ("mass", "volume", "fill", "sounding", "ullage")


def test_printed_and_rectangular_tanks_have_no_level():
    ship = vessel(rectangular_tank("R"))
    liquid, _ = liquids_of(ship, line(ship, "R", fill=10.0))
    assert np.isnan(liquid.ullage[0])
    with pytest.raises(UnusableBooklet):
        vessel(printed_tank("P"))
