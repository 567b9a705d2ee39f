"""The free surface moments of one tank line on every basis, and their reasons.

Sources: 2008 IS Code Part B 3.1.2 (98 %: where it binds, a tank below is slack on every basis), 3.1.3 (fixed and
variable fillings); 46 CFR 170.285; rectangular surface l b^3 / 12 / n^2, moment = density x inertia: Derrett and
Barrass, Ship Stability, chapter on free surface; printed columns: common practice, no source. Expected values are
closed forms. Totals, assumed and exempt moments: test_free_surface_totals.py.
"""

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import TankLine
from service.core.free_surface import (
    ABOVE_FULL,
    ABOVE_LIMIT,
    AS_FILLED,
    BELOW_98,
    BELOW_98_COLUMN,
    BY_RULE,
    CARGO_AT_98,
    LIMIT_COLUMN,
    MAXIMUM_WHEN_SLACK,
    NO_LIQUID,
    RECTANGLE,
    SLACK_COLUMN,
    TABLE_AT_FILLING,
    TABLE_AT_LIMIT,
    TABLE_GREATEST,
    FreeSurfaces,
    Surface,
)
from service.core.tank import AT_LIMIT, OVERFULL, PRESSED_UP, SLACK, PrintedColumn, Tank, TankTable
from service.core.vessel import Vessel
from tests.core.ship import (
    box_tank,
    condition,
    line,
    printed_tank,
    rectangular_tank,
    vessel,
    wedge_tank,
)

BY_CODE = ("is-code-2008-a-2.2",)
BY_REGULATION = ("46-cfr-170.170",)
BOX_INERTIA = 10.0 * 8.0**3 / 12.0
FUEL = PrintedColumn("fuel_oil", 0.95, 92.5, 150.0, 40.0, 0.05)
SEA = PrintedColumn("ballast", 1.025, 99.8, 162.0, 43.0, 0.05)


def answer(ship: Vessel, *lines: TankLine, basis: str = AS_FILLED, rules: tuple[str, ...] = ()) -> Assessment:
    return assess(ship, condition(*lines, basis=basis, rule_sets=rules))


def surface(tank: Tank, rules: tuple[str, ...] = (), **filling: float) -> tuple[Surface, FreeSurfaces]:
    """Both moments of one tank, and the totals they make."""
    ship = vessel(tank)
    found = answer(ship, line(ship, tank.id, **filling), rules=rules).surfaces
    (only,) = found.surfaces
    assert (found.as_filled, found.maximum_when_slack) == (only.as_filled, only.greatest)
    return only, found


def moment_and_reason(
    tank: Tank, basis: str = AS_FILLED, rules: tuple[str, ...] = (), **filling: float
) -> tuple[float, str]:
    """Free surface moment of one tank as one basis counts it, and the reason in words."""
    ship = vessel(tank)
    found = answer(ship, line(ship, tank.id, **filling), basis=basis, rules=rules).surfaces
    (only,) = found.surfaces
    if basis == AS_FILLED:
        return only.as_filled, only.reason
    if basis == MAXIMUM_WHEN_SLACK:
        return only.greatest, only.reason_greatest
    assert found.by_rule is not None
    assert found.judged is found.by_rule
    return found.by_rule.moments[0], found.by_rule.reasons[0]


# --- a tank table ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fill", "moment", "reason"),
    [
        (0.0, 0.0, NO_LIQUID),
        (1.0, 1.025 * BOX_INERTIA, TABLE_AT_FILLING),
        (97.9, 1.025 * BOX_INERTIA, TABLE_AT_FILLING),
        (98.0, 0.0, TABLE_AT_LIMIT),
        (99.0, 0.0, ABOVE_LIMIT),
        (101.0, 0.0, ABOVE_FULL),
    ],
)
def test_each_state_of_a_tabled_tank(fill, moment, reason):
    assert moment_and_reason(box_tank("B"), density=1.025, fill=fill) == (pytest.approx(moment), reason)


@pytest.mark.parametrize(("sounding", "inertia"), [(1.0, 4.0), (1.25, 8.75), (4.5, 364.5)])
def test_as_filled_takes_the_inertia_at_the_filling(sounding, inertia):
    """The wedge has 4 s^3 at its rows; between them the mean of the two rows half way."""
    got = moment_and_reason(wedge_tank("W"), density=0.9, sounding=sounding)
    assert got == (pytest.approx(0.9 * inertia, rel=1e-12), TABLE_AT_FILLING)


def test_maximum_when_slack_takes_the_greatest_below_the_limit():
    """The wedge's surface grows all the way; at its limit of 98 % (147 m3, between the rows 121.5 and 150 m3)
    its inertia is 364.5 + (147 - 121.5) / 28.5 x (500 - 364.5)."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    got = moment_and_reason(wedge_tank("W"), MAXIMUM_WHEN_SLACK, density=0.9, sounding=1.0)
    assert got == (pytest.approx(0.9 * at_limit, rel=1e-12), TABLE_GREATEST)


@pytest.mark.parametrize(
    ("fill", "reason"), [(0.0, NO_LIQUID), (98.0, TABLE_AT_LIMIT), (99.5, ABOVE_LIMIT), (102.0, ABOVE_FULL)]
)
def test_maximum_when_slack_concerns_slack_tanks_only(fill, reason):
    assert moment_and_reason(box_tank("B"), MAXIMUM_WHEN_SLACK, fill=fill) == (0.0, reason)


# --- a rectangular surface -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("compartments", "inertia"), [(1, 162.0), (2, 40.5), (3, 18.0)])
def test_a_rectangular_surface_with_compartments(compartments, inertia):
    """9 m x 6 m: 9 x 216 / 12 = 162 m4, divided by the square of the number of compartments."""
    tank = rectangular_tank("R", compartments)
    assert moment_and_reason(tank, density=1.025, fill=50.0) == (pytest.approx(1.025 * inertia), RECTANGLE)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_a_rectangular_surface_is_the_same_at_every_filling(basis):
    for fill in (1.0, 50.0, 97.0):
        got = moment_and_reason(rectangular_tank("R"), basis, BY_CODE, density=1.0, fill=fill)
        assert got == (pytest.approx(162.0), RECTANGLE)


@pytest.mark.parametrize(("fill", "reason"), [(98.0, TABLE_AT_LIMIT), (98.5, ABOVE_LIMIT)])
def test_a_rectangular_surface_at_or_above_the_limit(fill, reason):
    assert moment_and_reason(rectangular_tank("R"), fill=fill) == (0.0, reason)


# --- printed columns -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mass", "moment", "reason", "state"),
    [
        (10.0, 150.0, SLACK_COLUMN, SLACK),
        (92.449, 150.0, SLACK_COLUMN, SLACK),
        (92.451, 40.0, LIMIT_COLUMN, AT_LIMIT),
        (92.5, 40.0, LIMIT_COLUMN, AT_LIMIT),
        (92.549, 40.0, LIMIT_COLUMN, AT_LIMIT),
        (92.551, 0.0, ABOVE_LIMIT, PRESSED_UP),
        (95.0, 0.0, ABOVE_LIMIT, PRESSED_UP),
        (95.5, 0.0, ABOVE_FULL, OVERFULL),
    ],
)
@pytest.mark.parametrize("rules", [(), BY_REGULATION])
@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK])
def test_printed_columns_around_the_limit(mass, moment, reason, state, basis, rules):
    """Limit mass 92.5 t, printed to a tenth: within 0.05 t she is at the limit. 95 t fill the tank (100 m3). So where
    the Code does not bind."""
    got = moment_and_reason(printed_tank("P", FUEL), basis, rules, mass=mass, density=0.95)
    assert got == (pytest.approx(moment), reason if moment == 0.0 else reason + "fuel oil")
    assert surface(printed_tank("P", FUEL), rules, mass=mass, density=0.95)[0].counted_as == state


@pytest.mark.parametrize(
    ("mass", "moment", "reason", "state", "counted_as"),
    [
        (92.449, 150.0, SLACK_COLUMN, SLACK, SLACK),
        (92.451, 150.0, BELOW_98_COLUMN, AT_LIMIT, SLACK),
        (92.551, 150.0, BELOW_98_COLUMN, PRESSED_UP, SLACK),
        (93.051, 150.0, BELOW_98_COLUMN, PRESSED_UP, SLACK),  # 97.95 % of 100 m3 at 0.95 t/m3 are 93.0525 t
        (93.054, 0.0, ABOVE_LIMIT, PRESSED_UP, PRESSED_UP),
        (95.0, 0.0, ABOVE_LIMIT, PRESSED_UP, PRESSED_UP),
        (95.5, 0.0, ABOVE_FULL, OVERFULL, OVERFULL),
    ],
)
@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_where_the_code_binds_a_printed_tank_below_98_percent_counts_its_slack_column(
    mass, moment, reason, state, counted_as, basis
):
    """B/3.1.2, on every basis; the state stays what her booklet says."""
    tank = printed_tank("P", FUEL)
    got = moment_and_reason(tank, basis, BY_CODE, mass=mass, density=0.95)
    assert got == (pytest.approx(moment), reason if moment == 0.0 else reason + "fuel oil")
    assert surface(tank, BY_CODE, mass=mass, density=0.95)[0].counted_as == counted_as
    ship = vessel(tank)
    assert answer(ship, line(ship, "P", mass=mass, density=0.95), rules=BY_CODE).liquids[0].state == state


def test_an_empty_printed_tank_has_no_moment():
    assert moment_and_reason(printed_tank("P", FUEL), mass=0.0) == (0.0, NO_LIQUID)


@pytest.mark.parametrize(("mass", "moment"), [(50.0, 150.0), (90.552, 40.0)])
def test_another_density_scales_moment_and_limit_and_says_so(mass, moment):
    """Oil of 0.93 in a column for 0.95: everything times 0.93 / 0.95; the limit is a volume (92.5 / 0.95 m3)."""
    found, reason = moment_and_reason(printed_tank("P", FUEL), mass=mass, density=0.93)
    assert found == pytest.approx(moment * 0.93 / 0.95, rel=1e-12)
    assert "fuel oil at 0.95 t/m3, scaled to the density aboard" in reason


def test_another_density_scales_the_slack_column_below_98_percent_too():
    found, reason = moment_and_reason(
        printed_tank("P", FUEL), AS_FILLED, BY_CODE, mass=92.5 * 0.93 / 0.95, density=0.93
    )
    assert found == pytest.approx(150.0 * 0.93 / 0.95, rel=1e-12)
    assert reason.startswith(BELOW_98_COLUMN)
    assert "scaled to the density aboard" in reason


def printed(*columns: PrintedColumn, contents: str, density: float) -> Surface:
    """50 t of a liquid in a tank with these columns."""
    ship = vessel(printed_tank("P", *columns))
    (only,) = answer(ship, line(ship, "P", contents, density, mass=50.0)).surfaces.surfaces
    assert only.as_filled == only.greatest
    return only


@pytest.mark.parametrize("order", [(FUEL, SEA), (SEA, FUEL)])
@pytest.mark.parametrize(
    ("contents", "density", "slack", "words"),
    [("fuel_oil", 0.95, 150.0, "fuel oil"), ("ballast", 1.025, 162.0, "ballast")],
)
def test_the_column_follows_the_liquid_aboard(order, contents, density, slack, words):
    found = printed(*order, contents=contents, density=density)
    assert (found.as_filled, found.reason) == (pytest.approx(slack, rel=1e-12), SLACK_COLUMN + words)


def test_the_column_of_the_liquid_goes_before_one_of_nearer_density():
    """Heavy oil of 1.0 lies nearer to sea water than to the column for oil, which is its own all the same."""
    found = printed(FUEL, SEA, contents="fuel_oil", density=1.0)
    assert found.as_filled == pytest.approx(150.0 / 0.95, rel=1e-12)


def test_of_two_columns_for_one_liquid_the_nearer_density_counts():
    light = PrintedColumn("fuel_oil", 0.86, 84.0, 136.0, 36.0, 0.5)
    assert printed(FUEL, light, contents="fuel_oil", density=0.87).as_filled == pytest.approx(
        136.0 * 0.87 / 0.86, rel=1e-12
    )
    assert printed(FUEL, light, contents="fuel_oil", density=0.94).as_filled == pytest.approx(
        150.0 * 0.94 / 0.95, rel=1e-12
    )


def test_a_liquid_without_a_column_takes_the_nearest_density_scaled_and_says_whose():
    found = printed(FUEL, SEA, contents="fresh_water", density=1.0)
    assert found.as_filled == pytest.approx(162.0 / 1.025, rel=1e-12)
    assert "ballast at 1.025 t/m3, scaled" in found.reason


# --- nominally full cargo --------------------------------------------------------------------------------------


@pytest.mark.parametrize("fill", [98.0, 98.5, 100.0])
def test_nominally_full_cargo_counts_at_98_percent_and_says_which_inertia(fill):
    """B/3.1.2; the wedge at 147 m3, see above."""
    at_98 = 364.5 + 25.5 / 28.5 * 135.5
    tank = wedge_tank("W", "cargo_liquid")
    for basis, rules in ((AS_FILLED, ()), (BY_RULE, BY_CODE)):
        got = moment_and_reason(tank, basis, rules, density=0.8, fill=fill)
        assert got == (pytest.approx(0.8 * at_98, rel=1e-12), CARGO_AT_98)
    assert "5 degrees" in CARGO_AT_98


@pytest.mark.parametrize(("fill", "reason"), [(98.0, TABLE_AT_LIMIT), (99.0, ABOVE_LIMIT)])
def test_other_liquids_nominally_full_do_not_count(fill, reason):
    assert moment_and_reason(wedge_tank("W"), BY_RULE, BY_CODE, fill=fill) == (0.0, reason)


CARGO = PrintedColumn("cargo_liquid", 0.8, 78.4, 120.0, 30.0, 0.05)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
@pytest.mark.parametrize("density", [0.8, 0.9])
@pytest.mark.parametrize("fill", [99.0, 101.0])
def test_cargo_above_the_limit_of_printed_columns_counts_its_limit_moment_at_the_density_aboard(
    basis, density, fill
):
    tank = printed_tank("P", CARGO, contents="cargo_liquid")
    got = moment_and_reason(tank, basis, BY_CODE, density=density, fill=fill)
    assert got == (pytest.approx(30.0 * density / 0.8, rel=1e-12), CARGO_AT_98)


@pytest.mark.parametrize(("fill", "reason"), [(99.0, ABOVE_LIMIT), (101.0, ABOVE_FULL)])
@pytest.mark.parametrize("rules", [(), BY_REGULATION])
def test_where_the_code_does_not_bind_a_printed_column_is_all_there_is(fill, reason, rules):
    tank = printed_tank("P", CARGO, contents="cargo_liquid")
    assert moment_and_reason(tank, AS_FILLED, rules, density=0.8, fill=fill) == (0.0, reason)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_over_full_cargo_still_counts_at_98_percent(basis):
    at_98 = 364.5 + 25.5 / 28.5 * 135.5
    got = moment_and_reason(wedge_tank("W", "cargo_liquid"), basis, BY_CODE, density=0.8, fill=101.0)
    assert got == (pytest.approx(0.8 * at_98, rel=1e-12), CARGO_AT_98)


# --- a booklet that calls a tank full before the Code does -----------------------------------------------------


@pytest.mark.parametrize(
    ("fill", "counts"),
    [(94.9, True), (95.0, True), (96.0, True), (97.94, True), (97.96, False), (98.0, False), (99.0, False)],
)
@pytest.mark.parametrize("tank", [box_tank("B", normal_limit=95.0), rectangular_tank("B", normal_limit=95.0)])
@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_where_the_code_binds_a_tank_is_slack_up_to_98_percent_on_every_basis(tank, fill, counts, basis):
    """B/3.1.2 leaves out tanks filled to 98 % or more, whatever limit the booklet sets."""
    inertia = BOX_INERTIA if tank.rectangular is None else 162.0
    moment, reason = moment_and_reason(tank, basis, BY_CODE, density=1.0, fill=fill)
    assert moment == pytest.approx(inertia if counts else 0.0)
    table = TABLE_GREATEST if basis == MAXIMUM_WHEN_SLACK else TABLE_AT_FILLING
    below = table if tank.rectangular is None else RECTANGLE
    assert reason == (below if fill < 95.0 - 0.05 else BELOW_98 if counts else ABOVE_LIMIT)
    state = SLACK if counts else PRESSED_UP
    assert surface(tank, BY_CODE, density=1.0, fill=fill)[0].counted_as == state


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK])
@pytest.mark.parametrize("rules", [(), BY_REGULATION, ("load-lines",)])
@pytest.mark.parametrize(("fill", "reason"), [(95.0, TABLE_AT_LIMIT), (96.0, ABOVE_LIMIT)])
def test_where_it_does_not_bind_a_tank_is_full_where_her_booklet_says(basis, rules, fill, reason):
    assert moment_and_reason(box_tank("B", normal_limit=95.0), basis, rules, fill=fill) == (0.0, reason)


def test_by_the_regulation_a_tank_is_full_where_her_booklet_says():
    got = moment_and_reason(box_tank("B", normal_limit=95.0), BY_RULE, BY_REGULATION, fill=96.0)
    assert got == (0.0, ABOVE_LIMIT)


@pytest.mark.parametrize("rules", [(), BY_CODE, ("load-lines",), BY_CODE + BY_REGULATION])
def test_the_basis_by_rule_is_the_codes_where_no_document_brings_one(rules):
    moment, reason = moment_and_reason(
        box_tank("B", normal_limit=95.0), BY_RULE, rules, density=1.0, fill=96.0
    )
    assert (moment, reason) == (pytest.approx(BOX_INERTIA), BELOW_98)


@pytest.mark.parametrize(("fill", "counts"), [(97.4, True), (97.6, True), (97.94, True), (97.96, False)])
def test_a_wide_tolerance_of_her_limit_does_not_widen_the_codes(fill, counts):
    """At her limit of 98 % from 97.5 % on, by the Code slack up to 97.95 % all the same."""
    tank = box_tank("B", limit_tolerance=0.5)
    assert moment_and_reason(tank, AS_FILLED, BY_CODE, density=1.0, fill=fill)[0] == pytest.approx(
        BOX_INERTIA if counts else 0.0
    )
    expected = pytest.approx(BOX_INERTIA) if fill < 97.5 else 0.0
    assert moment_and_reason(tank, AS_FILLED, density=1.0, fill=fill)[0] == expected


def test_the_tanks_state_stays_that_of_her_booklet():
    ship = vessel(box_tank("B", normal_limit=95.0))
    found = answer(ship, line(ship, "B", fill=96.0), rules=BY_CODE)
    assert found.liquids[0].state == PRESSED_UP
    assert found.surfaces.surfaces[0].counted_as == SLACK


@pytest.mark.parametrize(("fill", "reason"), [(95.0, BELOW_98), (97.0, BELOW_98), (98.0, CARGO_AT_98)])
def test_cargo_below_98_percent_is_slack_by_the_code_not_nominally_full(fill, reason):
    tank = wedge_tank("W", "cargo_liquid", normal_limit=95.0)
    volume = 1.5 * fill
    inertia = 364.5 + (min(volume, 147.0) - 121.5) / 28.5 * 135.5
    got = moment_and_reason(tank, BY_RULE, BY_CODE, density=0.8, fill=fill)
    assert got == (pytest.approx(0.8 * inertia, rel=1e-12), reason)


def test_without_the_code_cargo_is_nominally_full_at_her_own_limit():
    """And counts at 98 %: the wedge has 485.7 m4 there."""
    tank = wedge_tank("W", "cargo_liquid", normal_limit=95.0)
    got = moment_and_reason(tank, density=0.8, fill=96.0)
    assert got == (pytest.approx(0.8 * (364.5 + 25.5 / 28.5 * 135.5), rel=1e-12), CARGO_AT_98)


@pytest.mark.parametrize("contents", ["fuel_oil", "ballast"])
@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_above_her_limit_a_tank_counts_no_less_than_it_is(contents, basis):
    """The wedge at 97 % is broader than at its limit of 95 %: 145.5 m3, 364.5 + 24 / 28.5 x 135.5 m4."""
    tank = wedge_tank("W", contents, normal_limit=95.0)
    got = moment_and_reason(tank, basis, BY_CODE, density=0.9, fill=97.0)
    assert got == (pytest.approx(0.9 * (364.5 + 24.0 / 28.5 * 135.5), rel=1e-12), BELOW_98)


def test_a_surface_that_narrows_above_her_limit_still_had_its_greatest_below():
    """10, 40 and 5 m4 at 20, 50 and 100 m3, limit 60 %: at 80 % it is 19 m4, its greatest 40."""
    same = (30.0, 30.0, 30.0)
    table = TankTable((20.0, 50.0, 100.0), same, (2.0, 3.0, 4.0), same, None, None, (10.0, 40.0, 5.0))
    tank = box_tank("N", capacity=100.0, table=table, normal_limit=60.0)
    found, _ = surface(tank, BY_CODE, density=1.0, volume=80.0)
    assert found[:4] == (pytest.approx(19.0), pytest.approx(40.0), BELOW_98, BELOW_98)


# --- by rule: fixed and variable fillings ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("contents", "rules", "greatest"),
    [
        ("fuel_oil", BY_CODE, True),
        ("diesel_oil", BY_CODE, True),
        ("lubricating_oil", BY_CODE, True),
        ("fresh_water", BY_CODE, True),
        ("ballast", BY_CODE, False),
        ("cargo_liquid", BY_CODE, False),
        ("waste", BY_CODE, False),
        ("ballast", BY_REGULATION, True),
        ("cargo_liquid", BY_REGULATION, True),
        ("waste", BY_REGULATION, True),
        ("fuel_oil", BY_REGULATION, True),
        ("ballast", BY_CODE + BY_REGULATION, True),
        ("ballast", (), False),
        ("fuel_oil", (), True),
    ],
)
def test_which_slack_tanks_count_at_their_greatest(contents, rules, greatest):
    """B/3.1.3: consumables vary, so their greatest; cargo and ballast stay as filled. 46 CFR 170.285 asks for the
    maximum effect of every slack tank; where both bind, the rule with the greater total."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    inertia, reason = (at_limit, TABLE_GREATEST) if greatest else (4.0, TABLE_AT_FILLING)
    got = moment_and_reason(wedge_tank("W", contents), BY_RULE, rules, density=1.0, sounding=1.0)
    assert got == (pytest.approx(inertia, rel=1e-12), reason)


def test_the_greatest_inertia_of_a_surface_that_narrows_towards_the_top():
    """Rows of 10, 40 and 5 m4 at 20, 50 and 100 m3: the greatest is that of the row between, and at 98 % it is
    40 + 48 / 50 x (5 - 40) = 6.4."""
    same = (30.0, 30.0, 30.0)
    table = TankTable((20.0, 50.0, 100.0), same, (2.0, 3.0, 4.0), same, None, None, (10.0, 40.0, 5.0))
    tank = box_tank("N", capacity=100.0, table=table)
    assert tank.greatest_inertia == 40.0
    assert tank.inertia_at_98 == pytest.approx(6.4)
    got = moment_and_reason(tank, MAXIMUM_WHEN_SLACK, density=1.0, volume=90.0)
    assert got == (pytest.approx(40.0), TABLE_GREATEST)
