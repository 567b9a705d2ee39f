"""Free surface moments, their reasons, and what the rules assume for consumables.

Sources: 2008 IS Code Part B 3.1.2 (98 %), 3.1.3 (fixed and variable fillings), 3.1.4 (consumables), 3.1.12 (small
tanks); 46 CFR 170.285; rectangular surface l b^3 / 12 / n^2 and moment = density x inertia: Derrett and Barrass,
Ship Stability, chapter on free surface; printed columns: common practice, no source. Expected values are closed forms.
"""

from math import fsum

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import TankLine
from service.core.free_surface import (
    ABOVE_FULL,
    ABOVE_LIMIT,
    AS_FILLED,
    BELOW_98,
    BY_RULE,
    CARGO_AT_98,
    LIMIT_COLUMN,
    MAXIMUM_WHEN_SLACK,
    MOMENT_AT_30_DEGREES,
    NO_LIQUID,
    RECTANGLE,
    SLACK_COLUMN,
    SMALL_TANK,
    TABLE_AT_FILLING,
    TABLE_AT_LIMIT,
    TABLE_GREATEST,
    Counting,
    Surface,
)
from service.core.tank import AT_LIMIT, OVERFULL, PRESSED_UP, SLACK, PrintedColumn, Tank, TankTable
from service.core.vessel import Vessel
from tests.core.ship import (
    box_tank,
    condition,
    line,
    particulars,
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


def moment_and_reason(
    tank: Tank, basis: str = AS_FILLED, rules: tuple[str, ...] = (), **filling: float
) -> Surface:
    """Free surface moment of one tank, and the reason in words."""
    ship = vessel(tank)
    (surface,) = answer(ship, line(ship, tank.id, **filling), basis=basis, rules=rules).surfaces
    return surface


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
@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_printed_columns_around_the_limit(mass, moment, reason, state, basis):
    """Limit mass 92.5 t, printed to a tenth: within 0.05 t she is at the limit. 95 t fill the tank (100 m3)."""
    ship = vessel(printed_tank("P", FUEL))
    result = answer(ship, line(ship, "P", mass=mass, density=0.95), basis=basis, rules=BY_CODE)
    (surface,), (liquid,) = result.surfaces, result.liquids
    assert surface.moment == pytest.approx(moment)
    assert surface.reason == (reason if moment == 0.0 else reason + "fuel oil")
    assert liquid.state == state


def test_an_empty_printed_tank_has_no_moment():
    assert moment_and_reason(printed_tank("P", FUEL), mass=0.0) == (0.0, NO_LIQUID)


@pytest.mark.parametrize(("mass", "moment"), [(50.0, 150.0), (90.552, 40.0)])
def test_another_density_scales_moment_and_limit_and_says_so(mass, moment):
    """Oil of 0.93 in a column for 0.95: everything times 0.93 / 0.95; the limit is a volume (92.5 / 0.95 m3)."""
    surface = moment_and_reason(printed_tank("P", FUEL), mass=mass, density=0.93)
    assert surface.moment == pytest.approx(moment * 0.93 / 0.95, rel=1e-12)
    assert "fuel oil at 0.95 t/m3, scaled to the density aboard" in surface.reason


def printed(*columns: PrintedColumn, contents: str, density: float) -> Surface:
    """50 t of a liquid in a tank with these columns."""
    ship = vessel(printed_tank("P", *columns))
    (surface,) = answer(ship, line(ship, "P", contents, density, mass=50.0)).surfaces
    return surface


@pytest.mark.parametrize("order", [(FUEL, SEA), (SEA, FUEL)])
@pytest.mark.parametrize(
    ("contents", "density", "slack", "words"),
    [("fuel_oil", 0.95, 150.0, "fuel oil"), ("ballast", 1.025, 162.0, "ballast")],
)
def test_the_column_follows_the_liquid_aboard(order, contents, density, slack, words):
    surface = printed(*order, contents=contents, density=density)
    assert surface == (pytest.approx(slack, rel=1e-12), SLACK_COLUMN + words)


def test_the_column_of_the_liquid_goes_before_one_of_nearer_density():
    """Heavy oil of 1.0 lies nearer to sea water than to the column for oil, which is its own all the same."""
    surface = printed(FUEL, SEA, contents="fuel_oil", density=1.0)
    assert surface.moment == pytest.approx(150.0 / 0.95, rel=1e-12)


def test_of_two_columns_for_one_liquid_the_nearer_density_counts():
    light = PrintedColumn("fuel_oil", 0.86, 84.0, 136.0, 36.0, 0.5)
    assert printed(FUEL, light, contents="fuel_oil", density=0.87).moment == pytest.approx(
        136.0 * 0.87 / 0.86, rel=1e-12
    )
    assert printed(FUEL, light, contents="fuel_oil", density=0.94).moment == pytest.approx(
        150.0 * 0.94 / 0.95, rel=1e-12
    )


def test_a_liquid_without_a_column_takes_the_nearest_density_scaled_and_says_whose():
    surface = printed(FUEL, SEA, contents="fresh_water", density=1.0)
    assert surface.moment == pytest.approx(162.0 / 1.025, rel=1e-12)
    assert "ballast at 1.025 t/m3, scaled" in surface.reason


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


def test_pressed_up_cargo_with_printed_columns_counts_its_limit_moment_at_the_density_aboard():
    column = PrintedColumn("cargo_liquid", 0.8, 78.4, 120.0, 30.0, 0.05)
    tank = printed_tank("P", column, contents="cargo_liquid")
    for density in (0.8, 0.9):
        got = moment_and_reason(tank, BY_RULE, BY_CODE, density=density, fill=99.0)
        assert got == (pytest.approx(30.0 * density / 0.8, rel=1e-12), CARGO_AT_98)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_over_full_cargo_still_counts_at_98_percent(basis):
    at_98 = 364.5 + 25.5 / 28.5 * 135.5
    got = moment_and_reason(wedge_tank("W", "cargo_liquid"), basis, BY_CODE, density=0.8, fill=101.0)
    assert got == (pytest.approx(0.8 * at_98, rel=1e-12), CARGO_AT_98)


# --- by rule: a booklet that calls a tank full before the Code does -----------------------------------------------


@pytest.mark.parametrize(
    ("fill", "counts"),
    [(94.9, True), (95.0, True), (96.0, True), (97.94, True), (97.96, False), (98.0, False), (99.0, False)],
)
@pytest.mark.parametrize("tank", [box_tank("B", normal_limit=95.0), rectangular_tank("B", normal_limit=95.0)])
def test_by_the_code_a_tank_is_slack_up_to_98_percent(tank, fill, counts):
    """B/3.1.2 leaves out tanks filled to 98 % or more, whatever limit the booklet sets."""
    inertia = BOX_INERTIA if tank.rectangular is None else 162.0
    moment, reason = moment_and_reason(tank, BY_RULE, BY_CODE, density=1.0, fill=fill)
    assert moment == pytest.approx(inertia if counts else 0.0)
    below = TABLE_AT_FILLING if tank.rectangular is None else RECTANGLE
    assert reason == (below if fill < 95.0 else BELOW_98 if counts else ABOVE_LIMIT)


@pytest.mark.parametrize(
    ("basis", "rules"), [(AS_FILLED, BY_CODE), (MAXIMUM_WHEN_SLACK, BY_CODE), (BY_RULE, BY_REGULATION)]
)
@pytest.mark.parametrize(("fill", "reason"), [(95.0, TABLE_AT_LIMIT), (96.0, ABOVE_LIMIT)])
def test_otherwise_a_tank_is_full_where_her_booklet_says(basis, rules, fill, reason):
    assert moment_and_reason(box_tank("B", normal_limit=95.0), basis, rules, fill=fill) == (0.0, reason)


def test_small_tanks_need_not_be_counted_there_either():
    small = box_tank("B", breadth=0.5, normal_limit=95.0)
    ship = vessel(small, particulars=particulars(minimum_service_displacement=4000.0))
    result = answer(ship, line(ship, "B", fill=96.0), basis=BY_RULE, rules=BY_CODE)
    assert result.surfaces == [(0.0, SMALL_TANK)]


def test_a_printed_limit_mass_stays_what_it_is_under_the_code():
    """Columns of the booklet are for masses below and at its own limit: 94 t is above it, though below 98 %."""
    column = PrintedColumn("ballast", 1.0, 92.5, 150.0, 40.0, 0.05)
    tank = printed_tank("P", column, contents="ballast")
    assert moment_and_reason(tank, BY_RULE, BY_CODE, density=1.0, mass=94.0) == (0.0, ABOVE_LIMIT)


@pytest.mark.parametrize(("fill", "reason"), [(95.0, BELOW_98), (97.0, BELOW_98), (98.0, CARGO_AT_98)])
def test_cargo_below_98_percent_is_slack_by_the_code_not_nominally_full(fill, reason):
    tank = wedge_tank("W", "cargo_liquid", normal_limit=95.0)
    volume = 1.5 * fill
    inertia = 364.5 + (min(volume, 147.0) - 121.5) / 28.5 * 135.5
    got = moment_and_reason(tank, BY_RULE, BY_CODE, density=0.8, fill=fill)
    assert got == (pytest.approx(0.8 * inertia, rel=1e-12), reason)


def test_above_her_limit_a_consumable_counts_no_less_than_it_is():
    """The wedge at 97 % is broader than at its limit of 95 %: 145.5 m3, 364.5 + 24 / 28.5 x 135.5 m4."""
    tank = wedge_tank("W", "fuel_oil", normal_limit=95.0)
    got = moment_and_reason(tank, BY_RULE, BY_CODE, density=0.9, fill=97.0)
    assert got == (pytest.approx(0.9 * (364.5 + 24.0 / 28.5 * 135.5), rel=1e-12), BELOW_98)


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
    maximum effect of every slack tank; where both bind, the more severe."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    inertia, reason = (at_limit, TABLE_GREATEST) if greatest else (4.0, TABLE_AT_FILLING)
    got = moment_and_reason(wedge_tank("W", contents), BY_RULE, rules, density=1.0, sounding=1.0)
    assert got == (pytest.approx(inertia, rel=1e-12), reason)


# --- by rule: assumed consumables ------------------------------------------------------------------------------

PAIR = (box_tank("FP", "fuel_oil", y=4.0, breadth=4.0), box_tank("FS", "fuel_oil", y=-4.0, breadth=4.0))
PAIR_INERTIA = 10.0 * 4.0**3 / 12.0


def filled(ship: Vessel, fills: dict[str, float], rules: tuple[str, ...] = BY_CODE) -> Assessment:
    lines = [line(ship, name, density=1.0, fill=fill) for name, fill in fills.items()]
    return answer(ship, *lines, basis=BY_RULE, rules=rules)


def assumed(result: Assessment, ship: Vessel) -> dict[str, float]:
    return {ship.tanks[a.tank].id: pytest.approx(a.moment) for a in result.assumed}


def test_pressed_up_consumables_count_as_the_pair_of_greatest_effect():
    ship = vessel(*PAIR, box_tank("FC", "fuel_oil", breadth=4.5))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "FC": 99.0})
    assert 2 * PAIR_INERTIA > 10.0 * 4.5**3 / 12.0 > PAIR_INERTIA, (
        "the pair beats the centre tank, one alone not"
    )
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA}
    assert result.displacement.free_surface_moment == pytest.approx(2 * PAIR_INERTIA)
    assert all("B/3.1.4" in a.reason and "fuel oil" in a.reason for a in result.assumed)


def test_a_centreline_tank_of_greater_effect_is_the_one_assumed():
    ship = vessel(*PAIR, box_tank("FC", "fuel_oil", breadth=6.0))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "FC": 99.0})
    assert assumed(result, ship) == {"FC": 180.0}


def test_each_liquid_has_its_own_assumed_tank():
    ship = vessel(
        *PAIR, box_tank("FW", "fresh_water", breadth=3.0), box_tank("DO", "diesel_oil", breadth=3.0)
    )
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "FW": 98.0, "DO": 99.0})
    small = 10.0 * 27.0 / 12.0
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA, "FW": small, "DO": small}
    assert [a.contents for a in result.assumed] == [
        "fuel_oil",
        "fuel_oil",
        "diesel_oil",
        "fresh_water",
    ]


def test_slack_tanks_of_the_pair_are_not_counted_twice():
    ship = vessel(*PAIR)
    result = filled(ship, {"FP": 50.0, "FS": 99.0})
    assert assumed(result, ship) == {"FS": PAIR_INERTIA}
    assert result.displacement.free_surface_moment == pytest.approx(2 * PAIR_INERTIA)
    assert filled(ship, {"FP": 50.0, "FS": 50.0}).assumed == []


def test_the_greatest_is_assumed_although_a_lesser_one_is_slack():
    ship = vessel(*PAIR, box_tank("DAY", "fuel_oil", breadth=2.0))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "DAY": 50.0})
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA}
    assert result.displacement.free_surface_moment == pytest.approx(2 * PAIR_INERTIA + 10.0 * 8.0 / 12.0)


def test_a_tank_between_her_limit_and_98_percent_is_not_counted_twice():
    ship = vessel(box_tank("FC", "fuel_oil", normal_limit=95.0))
    result = filled(ship, {"FC": 96.0})
    assert result.surfaces[0].moment == pytest.approx(BOX_INERTIA)
    assert result.assumed == []
    assert result.displacement.free_surface_moment == pytest.approx(BOX_INERTIA)


def test_empty_tanks_and_liquids_that_are_no_consumables_are_not_assumed():
    ship = vessel(*PAIR, box_tank("WB", "ballast"), box_tank("CO", "cargo_liquid"), box_tank("SL", "waste"))
    result = filled(ship, {"FP": 0.0, "WB": 99.0, "SL": 99.0})
    assert result.assumed == []
    assert result.displacement.free_surface_moment == 0.0


def test_what_is_aboard_decides_not_what_the_booklet_expects():
    ship = vessel(*PAIR)
    lines = [line(ship, name, "ballast", 1.025, fill=99.0) for name in ("FP", "FS")]
    assert answer(ship, *lines, basis=BY_RULE, rules=BY_CODE).assumed == []


def test_the_assumed_moment_is_at_the_density_aboard():
    ship = vessel(box_tank("FC", "fuel_oil"))
    result = answer(ship, line(ship, "FC", density=0.88, fill=99.0), basis=BY_RULE, rules=BY_CODE)
    assert result.assumed[0].moment == pytest.approx(0.88 * BOX_INERTIA, rel=1e-12)


def test_the_assumed_moment_of_a_printed_tank_is_its_slack_column_scaled():
    ship = vessel(printed_tank("P", FUEL))
    result = answer(ship, line(ship, "P", density=0.93, fill=99.0), basis=BY_RULE, rules=BY_CODE)
    assert result.assumed[0].moment == pytest.approx(150.0 * 0.93 / 0.95, rel=1e-12)


def test_us_vessels_cite_their_own_rule():
    ship = vessel(*PAIR)
    result = filled(ship, {"FP": 99.0, "FS": 99.0}, BY_REGULATION)
    assert all("46 CFR 170.285" in a.reason for a in result.assumed)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK])
def test_nothing_is_assumed_on_another_basis(basis):
    ship = vessel(*PAIR)
    lines = [line(ship, name, fill=99.0) for name in ("FP", "FS")]
    assert answer(ship, *lines, basis=basis, rules=BY_CODE).assumed == []


# --- by rule: small tanks --------------------------------------------------------------------------------------


def small_tank(part: float, rules: tuple[str, ...] = BY_CODE, basis: str = BY_RULE) -> Surface:
    """A slack box tank whose moment at 30 degrees is `part` of 0.01 m times the minimum displacement."""
    displacement = BOX_INERTIA * MOMENT_AT_30_DEGREES / 0.01 / part
    ship = vessel(box_tank("B"), particulars=particulars(minimum_service_displacement=displacement))
    (surface,) = answer(ship, line(ship, "B", density=1.0, fill=50.0), basis=basis, rules=rules).surfaces
    return surface


def test_the_moment_at_30_degrees_is_that_of_a_wall_sided_surface():
    """The liquid of a wall-sided tank shifts by i (sin a + sin a tan^2 a / 2) / v: closed form at 30 degrees 7/12."""
    assert pytest.approx(7.0 / 12.0, rel=1e-15) == MOMENT_AT_30_DEGREES


@pytest.mark.parametrize(("part", "exempt"), [(0.999999, True), (1.000001, False)])
def test_small_tanks_need_not_be_counted(part, exempt):
    """B/3.1.12: only where the moment is less than 0.01 m times the minimum displacement."""
    expected = (0.0, SMALL_TANK) if exempt else (pytest.approx(BOX_INERTIA), TABLE_AT_FILLING)
    assert small_tank(part) == expected


@pytest.mark.parametrize(
    ("rules", "basis"),
    [
        (BY_REGULATION, BY_RULE),
        (BY_CODE + BY_REGULATION, BY_RULE),
        (BY_CODE, AS_FILLED),
        (BY_CODE, MAXIMUM_WHEN_SLACK),
    ],
)
def test_the_exemption_is_that_of_the_code_alone(rules, basis):
    assert small_tank(0.5, rules, basis).moment == pytest.approx(BOX_INERTIA)


def test_no_exemption_without_the_minimum_displacement():
    assert (
        moment_and_reason(box_tank("B", breadth=0.1), BY_RULE, BY_CODE, fill=50.0).reason == TABLE_AT_FILLING
    )


# --- what the moments do ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
def test_the_total_is_the_sum_of_the_lines_and_corrects_vcg_and_gm(basis):
    tanks = [box_tank("B"), wedge_tank("W", "fresh_water"), rectangular_tank("R"), printed_tank("P", FUEL)]
    ship = vessel(*tanks)
    result = answer(ship, *(line(ship, t.id, fill=40.0) for t in tanks), basis=basis, rules=BY_CODE)
    total = fsum(s.moment for s in result.surfaces) + fsum(a.moment for a in result.assumed)
    assert result.displacement.free_surface_moment == pytest.approx(total, rel=1e-14)
    load = result.displacement
    correction = total / load.mass
    assert load.free_surface_correction == pytest.approx(correction, rel=1e-14)
    assert load.vcg_corrected == pytest.approx(load.vcg_solid + correction, rel=1e-14)
    assert result.situation.gm_corrected == pytest.approx(result.situation.gm_solid - correction, rel=1e-14)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE])
@pytest.mark.parametrize("fill", [0.0, 10.0, 98.0, 99.0, 101.0])
def test_every_reason_is_a_sentence_without_gaps(basis, fill):
    ship = vessel(
        box_tank("B"), printed_tank("P", FUEL), rectangular_tank("R"), box_tank("C", "cargo_liquid")
    )
    result = answer(ship, *(line(ship, t.id, fill=fill) for t in ship.tanks), basis=basis, rules=BY_CODE)
    for said in (*result.surfaces, *result.assumed):
        assert len(said.reason) > 20
        assert "{" not in said.reason


# --- what is left out of the moments --------------------------------------------------------------------------


@pytest.mark.parametrize(("part", "exempt"), [(0.999999, True), (1.000001, False)])
@pytest.mark.parametrize(("mass", "moment"), [(50.0, 150.0), (92.5, 40.0)])
def test_small_printed_tanks_need_not_be_counted(part, exempt, mass, moment):
    """B/3.1.12 for columns: the moment counted is the one compared, at the limit too."""
    displacement = moment * MOMENT_AT_30_DEGREES / 0.01 / part
    ship = vessel(printed_tank("P", FUEL), particulars=particulars(minimum_service_displacement=displacement))
    (surface,) = answer(ship, line(ship, "P", mass=mass, density=0.95), basis=BY_RULE, rules=BY_CODE).surfaces
    assert surface.moment == (0.0 if exempt else pytest.approx(moment))
    slack = SMALL_TANK if exempt else SLACK_COLUMN + "fuel oil"
    assert surface.reason == (slack if mass == 50.0 else LIMIT_COLUMN + "fuel oil")


def test_a_tank_whose_surface_narrows_is_small_by_its_greatest():
    """The wedge at 1 m has 4 m4, but 485.7 m4 at its limit: the latter decides whether it is small."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    displacement = at_limit * MOMENT_AT_30_DEGREES / 0.01 / 1.01
    ship = vessel(wedge_tank("W"), particulars=particulars(minimum_service_displacement=displacement))
    (surface,) = answer(
        ship, line(ship, "W", density=1.0, sounding=1.0), basis=BY_RULE, rules=BY_CODE
    ).surfaces
    assert surface == (pytest.approx(4.0), TABLE_AT_FILLING)


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


# --- which rule counts -----------------------------------------------------------------------------------------


def test_of_assumed_moments_a_tank_at_its_printed_limit_brings_what_is_missing():
    """At its limit mass the tank counts 40 t.m already; the rule asks for the 150 of its slack column."""
    ship = vessel(printed_tank("P", FUEL))
    result = answer(ship, line(ship, "P", mass=92.5, density=0.95), basis=BY_RULE, rules=BY_CODE)
    assert result.surfaces[0].moment == pytest.approx(40.0)
    assert assumed(result, ship) == {"P": 110.0}
    assert result.displacement.free_surface_moment == pytest.approx(150.0)


def test_of_two_tanks_of_equal_effect_the_first_is_assumed():
    ship = vessel(box_tank("A", "fuel_oil"), box_tank("B", "fuel_oil", x=70.0))
    assert assumed(filled(ship, {"B": 99.0, "A": 99.0}), ship) == {"A": BOX_INERTIA}


def test_each_tank_of_a_pair_may_hold_another_liquid():
    """The pair is counted for the liquid that is in it: oil to port, water to starboard."""
    ship = vessel(*PAIR, box_tank("FC", "fuel_oil", breadth=4.5))
    lines = [
        line(ship, "FP", density=1.0, fill=99.0),
        line(ship, "FS", "fresh_water", 1.0, fill=99.0),
        line(ship, "FC", density=1.0, fill=99.0),
    ]
    result = answer(ship, *lines, basis=BY_RULE, rules=BY_CODE)
    assert assumed(result, ship) == {"FC": 10.0 * 4.5**3 / 12.0, "FS": PAIR_INERTIA}


@pytest.mark.parametrize(
    ("rules", "by_code"), [((), True), (BY_CODE, True), (("load-lines",), True), (BY_REGULATION, False)]
)
def test_without_a_rule_for_free_surfaces_among_her_sets_the_codes_counts(rules, by_code):
    """A booklet that calls a tank full at 95 %: the Code counts it up to 98 %, the regulation does not."""
    moment, _ = moment_and_reason(box_tank("B", normal_limit=95.0), BY_RULE, rules, density=1.0, fill=96.0)
    assert moment == pytest.approx(BOX_INERTIA if by_code else 0.0)


@pytest.mark.parametrize("contents", ["ballast", "fuel_oil"])
@pytest.mark.parametrize(
    ("basis", "rules", "greatest"),
    [
        (AS_FILLED, frozenset({"cfr"}), (False, False)),
        (MAXIMUM_WHEN_SLACK, frozenset({"imo"}), (True, True)),
        (BY_RULE, frozenset({"imo"}), (False, True)),
        (BY_RULE, frozenset({"cfr"}), (True, True)),
    ],
)
def test_the_basis_and_the_rules_decide_whether_the_greatest_counts(contents, basis, rules, greatest):
    assert Counting(basis, rules).takes_greatest(contents) is greatest[contents == "fuel_oil"]
