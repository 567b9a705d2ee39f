"""Quantities into volumes, centres and states.

Truth: closed forms of a box and of a wedge-shaped tank (see ship.py); states as 2008 IS Code Part B 3.1.2 and the
normal full limit of the booklet draw them.
"""

from dataclasses import fields, replace

import pytest

from service.core.errors import NotTabulated, OutsideTable, UnusableBooklet
from service.core.tank import (
    AT_LIMIT,
    CONTENTS,
    EMPTY,
    GROUP_DENSITY,
    OVERFULL,
    PRESSED_UP,
    QUANTITIES,
    SLACK,
    Liquid,
    PrintedColumn,
    Tank,
    TankTable,
    pairs_of,
)
from tests.core.ship import box_tank, line, printed_tank, rectangular_tank, vessel, wedge_tank


def liquid_in(tank: Tank, density: float | None = None, **quantity: float) -> Liquid:
    """What a quantity in this tank amounts to, the tank being the ship's second."""
    ship = vessel(box_tank("FIRST"), tank)
    return ship.tanks[1].liquid(line(ship, tank.id, density=density, **quantity))


def refused(tank: Tank, **quantity: float) -> OutsideTable:
    with pytest.raises(OutsideTable) as caught:
        liquid_in(tank, **quantity)
    assert caught.value.tank == 1
    return caught.value


BOX = box_tank("B")


@pytest.mark.parametrize(
    ("name", "value"),
    [("mass", 123.0), ("volume", 120.0), ("fill", 30.0), ("sounding", 1.5), ("ullage", 3.5)],
)
def test_every_quantity_of_a_box_says_the_same(name, value):
    """120 m3 in a tank of 80 m2: 1.5 m deep, 30 % of 400 m3, 123 t of sea water, centre 0.75 m above its bottom."""
    liquid = liquid_in(BOX, 1.025, **{name: value})
    expected = (120.0, 123.0, 30.0, 50.0, 1.75, 0.0, 10.0 * 8.0**3 / 12.0)
    assert liquid[:-1] == pytest.approx(expected, rel=1e-12)
    assert liquid.state == SLACK
    assert BOX.level("sounding", liquid.volume) == pytest.approx(1.5, rel=1e-12)
    assert BOX.level("ullage", liquid.volume) == pytest.approx(3.5, rel=1e-12)


def test_a_tank_off_the_centreline_and_forward():
    liquid = liquid_in(box_tank("B", y=-3.0, x=80.0), volume=100.0)
    assert (liquid.lcg, liquid.tcg) == (80.0, -3.0)


@pytest.mark.parametrize(
    ("sounding", "volume", "inertia"),
    [(1.0, 6.0, 4.0), (1.25, 9.75, 8.75), (4.5, 121.5, 364.5), (5.0, 150.0, 500.0)],
)
def test_a_sounding_at_and_between_rows(sounding, volume, inertia):
    """Rows of the wedge at 1.0 m (6 m3, 4 m4) and 1.5 m (13.5 m3, 13.5 m4): half way, half way."""
    tank = wedge_tank("W")
    liquid = liquid_in(tank, sounding=sounding)
    assert liquid.volume == pytest.approx(volume, rel=1e-12)
    assert liquid.inertia == pytest.approx(inertia, rel=1e-12)
    assert liquid.vcg == pytest.approx(1.0 + 2.0 * sounding / 3.0, rel=1e-12)
    assert liquid_in(tank, ullage=5.0 - sounding) == pytest.approx(liquid)
    assert tank.level("sounding", liquid.volume) == pytest.approx(sounding, rel=1e-12)
    assert tank.level("ullage", liquid.volume) == pytest.approx(5.0 - sounding, abs=1e-12)


def test_every_centre_moves_between_the_rows():
    """A tank that lies askew: at 30 m3, half way from 20 to 40 m3, half way in all three directions."""
    table = TankTable(
        (0.0, 20.0, 40.0), (9.0, 10.0, 12.0), (1.0, 2.0, 5.0), (3.0, -2.0, -1.0), None, None, (0.0, 6.0, 2.0)
    )
    tank = box_tank("B", capacity=40.0, table=table)
    assert liquid_in(tank, volume=30.0)[3:7] == pytest.approx((11.0, 3.5, -1.5, 4.0), rel=1e-12)
    assert liquid_in(tank, volume=5.0)[3:7] == pytest.approx((9.25, 1.25, 1.75, 1.5), rel=1e-12)
    assert liquid_in(tank, volume=20.0)[3:7] == (10.0, 2.0, -2.0, 6.0)


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
        (100.001, PRESSED_UP),
        (100.049, PRESSED_UP),
        (100.051, OVERFULL),
        (110.0, OVERFULL),
    ],
)
def test_state_by_filling(fill, state):
    """At the limit means within 0.05 % of capacity, over-full beyond it (common practice, no source)."""
    assert liquid_in(BOX, fill=fill).state == state


@pytest.mark.parametrize(
    ("tolerance", "fill", "state"),
    [
        (0.5, 97.49, SLACK),
        (0.5, 97.51, AT_LIMIT),
        (0.5, 98.49, AT_LIMIT),
        (0.5, 98.51, PRESSED_UP),
        (0.0, 97.999, SLACK),
        (0.0, 98.0, AT_LIMIT),
        (0.0, 98.001, PRESSED_UP),
        (3.0, 100.06, OVERFULL),  # over-full goes before the limit
        (3.0, 100.04, AT_LIMIT),
    ],
)
def test_the_booklet_says_how_near_its_limit_counts_as_at_it(tolerance, fill, state):
    """`limit_tolerance`, percent: half the last digit the limit is printed with (common practice, no source)."""
    assert liquid_in(box_tank("B", limit_tolerance=tolerance), fill=fill).state == state


@pytest.mark.parametrize(
    ("tolerance", "volume", "state"),
    [
        (0.0, 400.19, PRESSED_UP),  # 0.05 % of 400 m3 is 0.2
        (0.0, 400.21, OVERFULL),
        (0.1, 400.21, OVERFULL),  # the greater of the two counts
        (0.5, 400.21, PRESSED_UP),
        (0.5, 400.49, PRESSED_UP),
        (0.5, 400.51, OVERFULL),
    ],
)
def test_over_full_is_beyond_the_rounding_of_the_printed_capacity(tolerance, volume, state):
    """`capacity_tolerance`, m3: half the last digit the capacity is printed with (common practice, no source)."""
    assert liquid_in(box_tank("B", capacity_tolerance=tolerance), 1.0, volume=volume).state == state


def test_a_limit_of_100_percent_is_still_no_reason_to_spill():
    """At its limit up to 100.05 %, over-full beyond; never merely pressed up."""
    tank = box_tank("B", normal_limit=100.0)
    found = [liquid_in(tank, fill=fill).state for fill in (99.9, 99.96, 100.04, 100.06)]
    assert found == [SLACK, AT_LIMIT, AT_LIMIT, OVERFULL]


COLUMN = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)


@pytest.mark.parametrize(
    ("tolerance", "mass", "state"),
    [
        (0.05, 92.449, SLACK),
        (0.05, 92.45, AT_LIMIT),
        (0.05, 92.55, AT_LIMIT),
        (0.05, 92.551, PRESSED_UP),
        (0.5, 92.01, AT_LIMIT),
        (0.5, 91.99, SLACK),
        (0.0005, 92.5, AT_LIMIT),
        (0.0005, 92.499, SLACK),
        (0.0005, 92.501, PRESSED_UP),
    ],
)
@pytest.mark.parametrize("density", [0.95, 0.93])
def test_a_printed_limit_mass_has_a_tolerance_of_its_own(tolerance, mass, state, density):
    """Half the last printed digit of the limit mass; both scale with the density aboard."""
    tank = printed_tank("P", replace(COLUMN, limit_tolerance=tolerance))
    assert liquid_in(tank, density, mass=mass * density / 0.95).state == state


@pytest.mark.parametrize(
    ("changes", "volume", "state"),
    [
        ({}, 0.0, EMPTY),
        ({"unpumpable": 2.0}, 2.0, EMPTY),  # before any column is asked
        ({}, 100.04, PRESSED_UP),
        ({}, 100.06, OVERFULL),
        ({"capacity_tolerance": 0.5}, 100.4, PRESSED_UP),
        ({"capacity_tolerance": 0.5}, 100.6, OVERFULL),
    ],
)
def test_the_filling_still_says_empty_or_over_full_of_a_tank_with_printed_columns(changes, volume, state):
    assert liquid_in(printed_tank("P", COLUMN, **changes), 0.95, volume=volume).state == state


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
    assert liquid_in(box_tank("B", normal_limit=limit), fill=fill).state == state


@pytest.mark.parametrize(("volume", "state"), [(0.0, EMPTY), (2.0, EMPTY), (2.001, SLACK)])
def test_the_unpumpable_remainder_counts_as_empty_but_keeps_its_mass(volume, state):
    liquid = liquid_in(box_tank("B", unpumpable=2.0), 1.0, volume=volume)
    assert liquid.state == state
    assert liquid.mass == pytest.approx(volume, abs=1e-12)


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
        liquid_in(BOX, **{name: value})
    error = refused(BOX, **{name: outside})
    if name in ("sounding", "ullage"):
        assert (error.quantity, error.dimension, error.value) == (name, "length", outside)
    else:
        assert (error.quantity, error.dimension) == ("volume", "volume")
        assert error.value == pytest.approx(outside * (4.0 if name == "fill" else 1.0))
    assert (error.low, error.high) == (pytest.approx(low), pytest.approx(high))


def test_a_tenth_more_than_the_capacity_is_the_most_that_is_believed():
    tank = rectangular_tank("R", capacity=10.0)
    assert liquid_in(tank, volume=11.0).state == OVERFULL
    assert refused(tank, volume=11.0 + 1e-9).high == 11.0


def cut(tank: Tank, first: int = 0, last: int | None = None) -> Tank:
    """The tank with the rows of its table from `first` to before `last` only."""
    assert tank.table is not None
    columns = {field.name: getattr(tank.table, field.name)[first:last] for field in fields(TankTable)}
    return replace(tank, table=TankTable(**columns))


@pytest.mark.parametrize("volume", [0.0, 40.0, 40.1])
def test_a_table_that_begins_above_the_bottom_serves_empty_and_what_it_covers(volume):
    liquid = liquid_in(cut(BOX, 1), volume=volume)
    assert liquid.volume == volume
    assert liquid.state == (SLACK if volume else EMPTY)


@pytest.mark.parametrize("volume", [0.1, 39.9])
def test_below_the_first_row_nothing_but_empty_is_served(volume):
    """A table that begins at 0.5 m (40 m3) cannot say where less than that lies."""
    error = refused(cut(BOX, 1), volume=volume)
    assert (error.quantity, error.low, error.high) == ("volume", pytest.approx(40.0), pytest.approx(440.0))


def test_below_the_first_row_the_unpumpable_remainder_is_served():
    tank = replace(cut(BOX, 1), unpumpable=2.0)
    assert liquid_in(tank, volume=2.0).state == EMPTY
    assert refused(tank, volume=2.1).low == pytest.approx(40.0)


@pytest.mark.parametrize(("value", "served"), [(0.49, False), (0.5, True), (0.51, True)])
def test_a_sounding_below_the_first_row(value, served):
    tank = cut(BOX, 1)
    if served:
        assert liquid_in(tank, sounding=value).volume == pytest.approx(80.0 * value)
    else:
        error = refused(tank, sounding=value)
        assert (error.low, error.high) == (0.5, 5.0)


@pytest.mark.parametrize("name", ["sounding", "ullage"])
def test_a_level_in_a_tank_without_a_column_for_it(name):
    with pytest.raises(NotTabulated, match=f"gives no {name}s") as caught:
        liquid_in(rectangular_tank("R"), **{name: 1.0})
    assert (caught.value.quantity, caught.value.tank) == (name, 1)
    assert rectangular_tank("R").level(name, 10.0) is None


def test_a_table_that_ends_below_capacity_is_led_to_the_centre_of_the_full_tank():
    """Last row at 4.5 m (360 m3, centre 3.25 m); capacity 400 m3 with its centre at 3.5 m: half way, 3.375 m."""
    tank = cut(BOX, 0, -1)
    liquid = liquid_in(tank, volume=380.0)
    assert liquid.vcg == pytest.approx(3.375, rel=1e-12)
    assert tank.level("sounding", 380.0) is None
    assert tank.level("ullage", 380.0) is None


def test_the_surface_above_a_table_that_ends_below_capacity_is_its_last():
    tank = cut(wedge_tank("W"), 0, -1)
    assert liquid_in(tank, volume=140.0).inertia == pytest.approx(364.5, rel=1e-12)


def test_the_last_printed_row_keeps_its_sounding_where_the_table_ends_below_capacity():
    tank = cut(BOX, 0, -1)
    assert tank.level("sounding", 360.0) == pytest.approx(4.5, rel=1e-12)
    assert tank.level("ullage", 360.0) == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize("name", ["mass", "volume", "fill"])
def test_a_tank_without_a_table_keeps_the_centre_of_the_full_tank(name):
    liquid = liquid_in(rectangular_tank("R"), 1.0, **{name: 50.0})
    assert (liquid.volume, liquid.lcg, liquid.vcg) == (pytest.approx(50.0), 40.0, 2.0)


def test_density_comes_from_the_condition_then_the_booklet_then_the_group():
    """Group densities: common practice, no source."""
    own, other = box_tank("B", contents="fuel_oil", density=0.991), box_tank("B", contents="fuel_oil")
    assert own.default_density("fuel_oil") == 0.991
    assert other.default_density("fuel_oil") == 0.95
    assert own.default_density("fresh_water") == 1.0, "the booklet's density is for its own liquid only"
    assert set(GROUP_DENSITY) == set(CONTENTS)
    assert liquid_in(own, volume=100.0).mass == pytest.approx(99.1)
    assert liquid_in(own, 0.9, volume=100.0).mass == pytest.approx(90.0)


def spoilt(name: str, index: int, value: float) -> Tank:
    assert BOX.table is not None
    column = list(getattr(BOX.table, name))
    column[index] = value
    return replace(BOX, table=replace(BOX.table, **{name: column}))


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
    assert caught.value.place == ("table", "rows", index, name)


def test_one_row_is_no_table():
    with pytest.raises(UnusableBooklet) as caught:
        cut(BOX, 0, 1)
    assert caught.value.place == ("table", "rows")


@pytest.mark.parametrize(("capacity", "served"), [(399.0, False), (399.7, True)])
def test_a_table_above_the_capacity_is_refused(capacity, served):
    """A thousandth is rounding of the booklet (common practice, no source)."""
    if served:
        assert box_tank("B", capacity=capacity).volumes[-1] == 400.0
        return
    with pytest.raises(UnusableBooklet) as caught:
        box_tank("B", capacity=capacity)
    assert caught.value.place == ("table", "rows", 10, "volume")


@pytest.mark.parametrize(
    "changes",
    [
        {"rectangular": None},
        {"table": BOX.table, "capacity": 400.0},
        {"printed": (PrintedColumn("ballast", 1.0, 92.5, 150.0, 40.0, 0.05),)},
    ],
)
def test_a_tank_needs_exactly_one_source_of_its_free_surface(changes):
    with pytest.raises(UnusableBooklet) as caught:
        replace(rectangular_tank("R"), **changes)
    assert caught.value.place == ()


def test_a_printed_tank_without_columns_has_no_source_either():
    with pytest.raises(UnusableBooklet):
        printed_tank("P")


def test_a_table_without_inertia_goes_with_a_rectangular_surface():
    assert BOX.table is not None
    tank = replace(rectangular_tank("R"), table=replace(BOX.table, inertia=None), capacity=400.0)
    liquid = liquid_in(tank, sounding=2.0)
    assert (liquid.volume, liquid.vcg, liquid.inertia) == pytest.approx((160.0, 2.0, 162.0))


def test_partners_are_those_the_booklet_names_or_the_mirror_image():
    tanks = [
        box_tank("P", y=4.0),
        box_tank("C", y=0.0),
        box_tank("S", y=-4.0),
        box_tank("ODD", y=4.0, x=80.0),
        box_tank("FAR", y=4.0, x=20.0, pair="OFF"),
        box_tank("OFF", y=-4.0, x=25.0, pair="FAR"),
    ]
    assert pairs_of(tanks) == [(0, 2), (1,), (3,), (4, 5)]
    assert vessel(*tanks).units_of == [[0], [1], [0], [2], [3], [3]]


def test_a_tank_has_one_partner_only():
    """Two port tanks mirror the one to starboard: the first of them takes it."""
    tanks = [box_tank("P", y=4.0), box_tank("S", y=-4.0), box_tank("P2", y=4.2)]
    assert pairs_of(tanks) == [(0, 1), (2,)]


@pytest.mark.parametrize(
    ("changes", "paired"),
    [
        ({"tcg": -4.4}, True),
        ({"tcg": -4.6}, False),
        ({"lcg": 50.4}, True),
        ({"lcg": 50.6}, False),
        ({"vcg": 3.9}, True),
        ({"vcg": 4.1}, False),
        ({"side": "port"}, False),
    ],
)
def test_a_mirror_image_is_one_to_half_a_metre(changes, paired):
    tanks = [box_tank("P", y=4.0), box_tank("S", y=-4.0, **changes)]
    assert pairs_of(tanks) == ([(0, 1)] if paired else [(0,), (1,)])


def test_quantities_are_the_five_of_the_interface():
    assert QUANTITIES == ("mass", "volume", "fill", "sounding", "ullage")


def test_tanks_are_found_by_their_id():
    assert vessel(BOX, box_tank("C")).index == {"B": 0, "C": 1}
