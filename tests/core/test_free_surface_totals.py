"""Free surface totals by basis: what the rules assume, what they leave out, and the greater that judges.

Sources: 2008 IS Code Part B 3.1.3 (fixed and variable fillings), 3.1.4 (consumables), 3.1.7 (correction of GM), 3.1.12
(small tanks); 46 CFR 170.285. Expected values are closed forms. Single tanks: test_free_surface.py.
"""

from math import fsum

import pytest

from service.core.assessment import Assessment
from service.core.free_surface import (
    ABOVE_LIMIT,
    AS_FILLED,
    BASES,
    BY_RULE,
    MAXIMUM_WHEN_SLACK,
    MOMENT_AT_30_DEGREES,
    NO_LIQUID,
    SLACK_COLUMN,
    SMALL_TANK,
    TABLE_AT_FILLING,
    Counted,
    FreeSurfaces,
)
from service.core.vessel import Vessel
from tests.core.ship import box_tank, line, particulars, printed_tank, rectangular_tank, vessel, wedge_tank
from tests.core.test_free_surface import BOX_INERTIA, BY_CODE, BY_REGULATION, FUEL, answer


def by_rule(result: Assessment) -> Counted:
    """What a rule counts; it judges here, because the condition asks for it."""
    found = result.surfaces
    assert found.by_rule is not None
    assert found.judged is found.by_rule
    assert result.displacement.free_surface_moment == found.by_rule.total
    return found.by_rule


# --- by rule: assumed consumables ------------------------------------------------------------------------------

PAIR = (box_tank("FP", "fuel_oil", y=4.0, breadth=4.0), box_tank("FS", "fuel_oil", y=-4.0, breadth=4.0))
PAIR_INERTIA = 10.0 * 4.0**3 / 12.0


def filled(ship: Vessel, fills: dict[str, float], rules: tuple[str, ...] = BY_CODE) -> Assessment:
    lines = [line(ship, name, density=1.0, fill=fill) for name, fill in fills.items()]
    return answer(ship, *lines, basis=BY_RULE, rules=rules)


def assumed(result: Assessment, ship: Vessel) -> dict[str, float]:
    return {ship.tanks[a.tank].id: pytest.approx(a.moment) for a in by_rule(result).assumed}


def test_pressed_up_consumables_count_as_the_pair_of_greatest_effect():
    ship = vessel(*PAIR, box_tank("FC", "fuel_oil", breadth=4.5))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "FC": 99.0})
    assert 2 * PAIR_INERTIA > 10.0 * 4.5**3 / 12.0 > PAIR_INERTIA, (
        "the pair beats the centre tank, one alone not"
    )
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA}
    assert result.displacement.free_surface_moment == pytest.approx(2 * PAIR_INERTIA)
    assert all("B/3.1.4" in a.reason and "fuel oil" in a.reason for a in by_rule(result).assumed)


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
    assert [a.contents for a in by_rule(result).assumed] == [
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
    assert by_rule(filled(ship, {"FP": 50.0, "FS": 50.0})).assumed == []


def test_the_greatest_is_assumed_although_a_lesser_one_is_slack():
    ship = vessel(*PAIR, box_tank("DAY", "fuel_oil", breadth=2.0))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "DAY": 50.0})
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA}
    assert result.displacement.free_surface_moment == pytest.approx(2 * PAIR_INERTIA + 10.0 * 8.0 / 12.0)


def test_a_tank_between_her_limit_and_98_percent_is_not_counted_twice():
    ship = vessel(box_tank("FC", "fuel_oil", normal_limit=95.0))
    result = filled(ship, {"FC": 96.0})
    assert by_rule(result).moments[0] == pytest.approx(BOX_INERTIA)
    assert by_rule(result).assumed == []
    assert result.displacement.free_surface_moment == pytest.approx(BOX_INERTIA)


def test_empty_tanks_and_liquids_that_are_no_consumables_are_not_assumed():
    ship = vessel(*PAIR, box_tank("WB", "ballast"), box_tank("CO", "cargo_liquid"), box_tank("SL", "waste"))
    result = filled(ship, {"FP": 0.0, "WB": 99.0, "SL": 99.0})
    assert by_rule(result).assumed == []
    assert result.displacement.free_surface_moment == 0.0


def test_an_empty_tank_of_greater_effect_leaves_the_greatest_of_those_that_hold_something():
    ship = vessel(*PAIR, box_tank("FC", "fuel_oil", breadth=6.0))
    result = filled(ship, {"FP": 99.0, "FS": 99.0, "FC": 0.0})
    assert assumed(result, ship) == {"FP": PAIR_INERTIA, "FS": PAIR_INERTIA}


def test_what_is_aboard_decides_not_what_the_booklet_expects():
    ship = vessel(*PAIR)
    lines = [line(ship, name, "ballast", 1.025, fill=99.0) for name in ("FP", "FS")]
    assert by_rule(answer(ship, *lines, basis=BY_RULE, rules=BY_CODE)).assumed == []


def test_the_assumed_moment_is_at_the_density_aboard():
    ship = vessel(box_tank("FC", "fuel_oil"))
    result = answer(ship, line(ship, "FC", density=0.88, fill=99.0), basis=BY_RULE, rules=BY_CODE)
    assert by_rule(result).assumed[0].moment == pytest.approx(0.88 * BOX_INERTIA, rel=1e-12)


def test_the_assumed_moment_of_a_printed_tank_is_its_slack_column_scaled():
    ship = vessel(printed_tank("P", FUEL))
    result = answer(ship, line(ship, "P", density=0.93, fill=99.0), basis=BY_RULE, rules=BY_CODE)
    assert by_rule(result).assumed[0].moment == pytest.approx(150.0 * 0.93 / 0.95, rel=1e-12)


def test_us_vessels_cite_their_own_rule():
    ship = vessel(*PAIR)
    result = filled(ship, {"FP": 99.0, "FS": 99.0}, BY_REGULATION)
    assert all("46 CFR 170.285" in a.reason for a in by_rule(result).assumed)


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK])
def test_nothing_is_assumed_where_no_rule_asks(basis):
    ship = vessel(*PAIR)
    lines = [line(ship, name, fill=99.0) for name in ("FP", "FS")]
    result = answer(ship, *lines, basis=basis)
    assert result.surfaces.by_rule is None
    assert (result.surfaces.judged.basis, result.surfaces.judged.assumed) == (basis, [])
    assert result.displacement.free_surface_moment == 0.0


# --- by rule: small tanks --------------------------------------------------------------------------------------


def small_tank(part: float, rules: tuple[str, ...] = BY_CODE, basis: str = BY_RULE) -> FreeSurfaces:
    """A slack box tank whose moment at 30 degrees is `part` of 0.01 m times the minimum displacement."""
    displacement = BOX_INERTIA * MOMENT_AT_30_DEGREES / 0.01 / part
    ship = vessel(box_tank("B"), particulars=particulars(minimum_service_displacement=displacement))
    return answer(ship, line(ship, "B", density=1.0, fill=50.0), basis=basis, rules=rules).surfaces


def test_the_moment_at_30_degrees_is_that_of_a_wall_sided_surface():
    """The liquid of a wall-sided tank shifts by i (sin a + sin a tan^2 a / 2) / v: closed form at 30 degrees 7/12."""
    assert pytest.approx(7.0 / 12.0, rel=1e-15) == MOMENT_AT_30_DEGREES


@pytest.mark.parametrize(("part", "exempt"), [(0.999999, True), (1.000001, False)])
def test_small_tanks_need_not_be_counted(part, exempt):
    """B/3.1.12: only where the moment is less than 0.01 m times the minimum displacement. What is left out stands on
    its line."""
    found = small_tank(part).by_rule
    assert found.total == found.moments[0] == (0.0 if exempt else pytest.approx(BOX_INERTIA))
    assert found.exempt == [pytest.approx(BOX_INERTIA) if exempt else 0.0]
    assert found.reasons == [SMALL_TANK if exempt else TABLE_AT_FILLING]


@pytest.mark.parametrize("basis", [AS_FILLED, MAXIMUM_WHEN_SLACK])
def test_on_another_basis_a_small_tank_counts_and_nothing_is_exempt(basis):
    """The basis of the condition is the greater one then, and judges."""
    found = small_tank(0.5, BY_CODE, basis)
    assert found.by_rule.exempt == [pytest.approx(BOX_INERTIA)]
    assert found.by_rule.total == 0.0
    assert (found.judged.basis, found.judged.exempt) == (basis, [0.0])
    assert found.judged.total == pytest.approx(BOX_INERTIA)


@pytest.mark.parametrize("rules", [BY_REGULATION, BY_CODE + BY_REGULATION])
def test_the_exemption_is_that_of_the_code_alone(rules):
    found = small_tank(0.5, rules).judged
    assert (found.total, found.exempt) == (pytest.approx(BOX_INERTIA), [0.0])


def test_no_exemption_without_the_minimum_displacement():
    ship = vessel(box_tank("B", breadth=0.1))
    found = by_rule(answer(ship, line(ship, "B", fill=50.0), basis=BY_RULE, rules=BY_CODE))
    assert (found.reasons, found.exempt) == ([TABLE_AT_FILLING], [0.0])


def test_many_small_tanks_stand_in_a_total_of_what_is_left_out():
    """Thirteen of 20.8 t.m each beside one that counts: 271 t.m are left out, and each line says so."""
    small = [box_tank(f"S{i}", breadth=(20.8 * 1.2) ** (1.0 / 3.0), x=20.0 + 5.0 * i) for i in range(13)]
    least = 20.9 * MOMENT_AT_30_DEGREES / 0.01
    ship = vessel(*small, box_tank("B"), particulars=particulars(minimum_service_displacement=least))
    lines = [line(ship, tank.id, density=1.0, fill=50.0) for tank in ship.tanks]
    found = by_rule(answer(ship, *lines, basis=BY_RULE, rules=BY_CODE))
    assert found.exempt == [*[pytest.approx(20.8)] * 13, 0.0]
    assert found.reasons == [*[SMALL_TANK] * 13, TABLE_AT_FILLING]
    assert found.total == pytest.approx(BOX_INERTIA)
    assert fsum(found.exempt) == pytest.approx(270.4)


def test_a_tank_between_her_limit_and_98_percent_may_be_small_too():
    small = box_tank("B", breadth=0.5, normal_limit=95.0)
    ship = vessel(small, particulars=particulars(minimum_service_displacement=4000.0))
    found = by_rule(answer(ship, line(ship, "B", density=1.0, fill=96.0), basis=BY_RULE, rules=BY_CODE))
    assert (found.moments, found.reasons) == ([0.0], [SMALL_TANK])
    assert found.exempt == [pytest.approx(10.0 * 0.5**3 / 12.0)]


def test_a_small_consumable_is_left_out_with_its_greatest_and_not_assumed():
    """The wedge holds 4 m4 at 1 m and 485.7 at its limit: what is left out is what it would count."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    least = 1.01 * at_limit * MOMENT_AT_30_DEGREES / 0.01
    ship = vessel(wedge_tank("W", "fuel_oil"), particulars=particulars(minimum_service_displacement=least))
    given = line(ship, "W", density=1.0, sounding=1.0)
    found = by_rule(answer(ship, given, basis=BY_RULE, rules=BY_CODE))
    assert (found.exempt, found.assumed, found.total) == ([pytest.approx(at_limit)], [], 0.0)


def test_full_tanks_and_empty_ones_are_never_exempt():
    """Nothing of theirs is left out: they count nothing."""
    ship = vessel(box_tank("B"), box_tank("C"), particulars=particulars(minimum_service_displacement=1e9))
    lines = [line(ship, "B", fill=99.0), line(ship, "C", fill=0.0)]
    found = by_rule(answer(ship, *lines, basis=BY_RULE, rules=BY_CODE))
    assert (found.exempt, found.reasons) == ([0.0, 0.0], [ABOVE_LIMIT, NO_LIQUID])


@pytest.mark.parametrize(("part", "exempt"), [(0.999999, True), (1.000001, False)])
def test_small_printed_tanks_need_not_be_counted(part, exempt):
    """B/3.1.12 for the slack column of a booklet."""
    displacement = 150.0 * MOMENT_AT_30_DEGREES / 0.01 / part
    ship = vessel(printed_tank("P", FUEL), particulars=particulars(minimum_service_displacement=displacement))
    found = by_rule(answer(ship, line(ship, "P", mass=50.0, density=0.95), basis=BY_RULE, rules=BY_CODE))
    assert found.moments == [0.0 if exempt else pytest.approx(150.0)]
    assert found.reasons == [SMALL_TANK if exempt else SLACK_COLUMN + "fuel oil"]


def test_a_tank_whose_surface_is_narrow_now_is_small_by_its_greatest():
    """The wedge at 1 m has 4 m4, but 485.7 m4 at its limit: the latter decides whether it is small."""
    at_limit = 364.5 + 25.5 / 28.5 * 135.5
    displacement = at_limit * MOMENT_AT_30_DEGREES / 0.01 / 1.01
    ship = vessel(wedge_tank("W"), particulars=particulars(minimum_service_displacement=displacement))
    found = by_rule(answer(ship, line(ship, "W", density=1.0, sounding=1.0), basis=BY_RULE, rules=BY_CODE))
    assert (found.moments, found.reasons, found.exempt) == ([pytest.approx(4.0)], [TABLE_AT_FILLING], [0.0])


# --- what the moments do ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("rules", [(), BY_CODE, BY_REGULATION, BY_CODE + BY_REGULATION])
@pytest.mark.parametrize("basis", BASES)
def test_the_total_is_the_sum_of_the_lines_and_corrects_vcg_and_gm(basis, rules):
    tanks = [box_tank("B"), wedge_tank("W", "fresh_water"), rectangular_tank("R"), printed_tank("P", FUEL)]
    ship = vessel(*tanks)
    result = answer(ship, *(line(ship, t.id, fill=40.0) for t in tanks), basis=basis, rules=rules)
    judged, load = result.surfaces.judged, result.displacement
    total = fsum([*judged.moments, *(a.moment for a in judged.assumed)])
    assert judged.total == load.free_surface_moment == pytest.approx(total, rel=1e-14)
    correction = total / load.mass
    assert load.free_surface_correction == pytest.approx(correction, rel=1e-14)
    assert load.vcg_corrected == pytest.approx(load.vcg_solid + correction, rel=1e-14)
    assert result.situation.gm_corrected == pytest.approx(result.situation.gm_solid - correction, rel=1e-14)


@pytest.mark.parametrize("basis", BASES)
@pytest.mark.parametrize("fill", [0.0, 10.0, 98.0, 99.0, 101.0])
def test_every_reason_is_a_sentence_without_gaps(basis, fill):
    ship = vessel(
        box_tank("B"), printed_tank("P", FUEL), rectangular_tank("R"), box_tank("C", "cargo_liquid")
    )
    result = answer(ship, *(line(ship, t.id, fill=fill) for t in ship.tanks), basis=basis, rules=BY_CODE)
    ruled = result.surfaces.by_rule
    said = [*ruled.reasons, *(a.reason for a in ruled.assumed)]
    said += [reason for s in result.surfaces.surfaces for reason in (s.reason, s.reason_greatest)]
    for reason in said:
        assert len(reason) > 20
        assert "{" not in reason


# --- the greater judges ----------------------------------------------------------------------------------------

AT_LIMIT_OF_WEDGE = 364.5 + 25.5 / 28.5 * 135.5


def wedges(fuel: float, ballast: float, basis: str, rules: tuple[str, ...]) -> FreeSurfaces:
    """Two wedges of a soundings in m: fuel oil and ballast, both of 1 t/m3."""
    ship = vessel(wedge_tank("F", "fuel_oil"), wedge_tank("W", "ballast"))
    lines = [line(ship, n, density=1.0, sounding=s) for n, s in (("F", fuel), ("W", ballast))]
    return answer(ship, *lines, basis=basis, rules=rules).surfaces


@pytest.mark.parametrize(
    ("basis", "rules", "judged_by", "total"),
    [
        (AS_FILLED, (), AS_FILLED, 4.0 + 32.0),
        (MAXIMUM_WHEN_SLACK, (), MAXIMUM_WHEN_SLACK, 2.0 * AT_LIMIT_OF_WEDGE),
        (BY_RULE, (), BY_RULE, AT_LIMIT_OF_WEDGE + 32.0),
        (AS_FILLED, BY_CODE, BY_RULE, AT_LIMIT_OF_WEDGE + 32.0),
        (MAXIMUM_WHEN_SLACK, BY_CODE, MAXIMUM_WHEN_SLACK, 2.0 * AT_LIMIT_OF_WEDGE),
        (BY_RULE, BY_CODE, BY_RULE, AT_LIMIT_OF_WEDGE + 32.0),
        (AS_FILLED, BY_REGULATION, BY_RULE, 2.0 * AT_LIMIT_OF_WEDGE),
        (MAXIMUM_WHEN_SLACK, BY_REGULATION, MAXIMUM_WHEN_SLACK, 2.0 * AT_LIMIT_OF_WEDGE),
        (AS_FILLED, BY_CODE + BY_REGULATION, BY_RULE, 2.0 * AT_LIMIT_OF_WEDGE),
        (AS_FILLED, ("load-lines",), AS_FILLED, 4.0 + 32.0),
    ],
)
def test_the_greater_of_the_basis_and_the_rules_that_bind_judges(basis, rules, judged_by, total):
    """Common practice, no source: a document that counts more is not met by counting less. All totals are answered;
    where both are the same the condition's own basis stands."""
    found = wedges(1.0, 2.0, basis, rules)
    assert found.as_filled == pytest.approx(36.0, rel=1e-12)
    assert found.maximum_when_slack == pytest.approx(2.0 * AT_LIMIT_OF_WEDGE, rel=1e-12)
    assert (found.by_rule is None) is (basis != BY_RULE and not set(rules) & {*BY_CODE, *BY_REGULATION})
    assert found.judged.basis == judged_by
    assert found.judged.total == pytest.approx(total, rel=1e-12)
    if found.by_rule is not None:
        assert found.judged.total >= found.by_rule.total


def test_a_rule_that_counts_less_than_the_basis_does_not_judge():
    """Ballast wide when slack, oil pressed up: maximum_when_slack beats what the Code assumes."""
    ship = vessel(wedge_tank("W", "ballast"), box_tank("FC", "fuel_oil", breadth=2.0))
    lines = [line(ship, "W", density=1.0, sounding=1.0), line(ship, "FC", density=1.0, fill=99.0)]
    found = answer(ship, *lines, basis=MAXIMUM_WHEN_SLACK, rules=BY_CODE).surfaces
    assert found.by_rule.total == pytest.approx(4.0 + 10.0 * 8.0 / 12.0, rel=1e-12)
    assert found.judged.total == pytest.approx(AT_LIMIT_OF_WEDGE, rel=1e-12)
    assert (found.judged.basis, found.judged.assumed) == (MAXIMUM_WHEN_SLACK, [])


def test_what_the_rule_assumes_may_make_it_the_greater():
    """Everything is full: as filled nothing counts, by the Code the pair of greatest effect does."""
    ship = vessel(*PAIR)
    lines = [line(ship, name, density=1.0, fill=99.0) for name in ("FP", "FS")]
    found = answer(ship, *lines, rules=BY_CODE).surfaces
    assert (found.as_filled, found.maximum_when_slack) == (0.0, 0.0)
    assert found.judged is found.by_rule
    assert found.judged.total == pytest.approx(2.0 * PAIR_INERTIA)


def test_of_two_rules_that_bind_the_greater_total_judges():
    """The Code leaves a small tank out, the regulation does not; without an exemption the Code's own 98 % counts a
    tank that the regulation calls full."""
    ship = vessel(box_tank("B"), particulars=particulars(minimum_service_displacement=1e9))
    given = line(ship, "B", density=1.0, fill=50.0)
    both = answer(ship, given, rules=BY_CODE + BY_REGULATION).surfaces
    assert both.by_rule.total == pytest.approx(BOX_INERTIA)
    early = vessel(box_tank("B", normal_limit=95.0))
    given = line(early, "B", density=1.0, fill=96.0)
    assert answer(early, given, rules=BY_REGULATION).surfaces.by_rule.total == 0.0
    assert answer(early, given, rules=BY_CODE + BY_REGULATION).surfaces.by_rule.total == pytest.approx(
        BOX_INERTIA
    )


@pytest.mark.parametrize("rules", [BY_CODE, BY_REGULATION])
@pytest.mark.parametrize("basis", BASES)
def test_gm_and_levers_are_those_of_what_judges(basis, rules):
    ship = vessel(wedge_tank("F", "fuel_oil"))
    result = answer(ship, line(ship, "F", density=1.0, sounding=1.0), basis=basis, rules=rules)
    load = result.displacement
    assert load.free_surface_moment == pytest.approx(AT_LIMIT_OF_WEDGE, rel=1e-12)
    assert result.heeled.curve.vcg == load.vcg_corrected


def test_the_rule_of_a_set_that_the_condition_adds_counts_as_the_ships_own():
    ship = vessel(*PAIR, rule_sets=BY_CODE)
    lines = [line(ship, name, density=1.0, fill=99.0) for name in ("FP", "FS")]
    assert answer(ship, *lines).surfaces.judged.total == pytest.approx(2.0 * PAIR_INERTIA)
    assert answer(vessel(*PAIR), *lines).surfaces.judged.total == 0.0


# --- more of what is assumed -----------------------------------------------------------------------------------------


def test_of_assumed_moments_a_tank_at_its_printed_limit_brings_what_is_missing():
    """At its limit mass the tank counts 40 t.m already; the regulation asks for the 150 of its slack column. By the
    Code the tank is slack there, at 97.4 %."""
    ship = vessel(printed_tank("P", FUEL))
    result = answer(ship, line(ship, "P", mass=92.5, density=0.95), basis=BY_RULE, rules=BY_REGULATION)
    assert by_rule(result).moments[0] == pytest.approx(40.0)
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
