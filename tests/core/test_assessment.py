"""The chain as a whole: sums, verdicts, what does not change the answer, and the less favourable side.

Truth: first moments by hand, definitions, and invariants; no figure of our own.
"""

from dataclasses import asdict, replace
from math import atan2, copysign, degrees, sqrt
from typing import Any

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.errors import CoreError, NoEquilibrium, OutsideTable
from service.core.free_surface import AS_FILLED, BASES
from service.core.heeling_lever import WindProfile
from service.core.opening import Opening
from service.core.rules.catalogue import CATALOGUE
from service.core.rules.limit import PASS
from service.core.situation import Heeled, lever_curve
from service.core.tank import Tank
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    RULE_SETS,
    box_tank,
    condition,
    details,
    full_vessel,
    line,
    opening,
    particulars,
    vessel,
)

SHIP = full_vessel()


def aboard(ship: Vessel = SHIP, basis: str = AS_FILLED, **fills: float) -> Condition:
    given = {
        "BP": 40.0,
        "BS": 60.0,
        "WIDE": 30.0,
        "PEAK": 50.0,
        "F1": 70.0,
        "FW": 98.0,
        "FP": 99.0,
        "FS": 20.0,
    }
    lines = [line(ship, name, fill=fill) for name, fill in {**given, **fills}.items()]
    weights = [CARGO_WEIGHT, Weight(12.5, 80.0, 9.0, -3.0, "stores"), Weight(7.25, 10.0, 12.0, 1.0, "crew")]
    return condition(*lines, basis=basis, weights=weights, rule_sets=RULE_SETS)


# --- sums ------------------------------------------------------------------------------------------------------


def test_displacement_and_centres_are_first_moments():
    ship = vessel(box_tank("A", y=3.0, x=40.0))
    result = assess(ship, condition(line(ship, "A", density=1.0, volume=200.0)))
    load = result.displacement
    mass = 3600.0 + 4000.0 + 200.0
    assert load.mass == pytest.approx(mass, rel=1e-14)
    assert load.lcg == pytest.approx((3600.0 * 47.0 + 4000.0 * 53.0 + 200.0 * 40.0) / mass, rel=1e-14)
    assert load.vcg_solid == pytest.approx((3600.0 * 7.0 + 4000.0 * 5.6 + 200.0 * 2.25) / mass, rel=1e-14)
    assert load.tcg == pytest.approx(600.0 / mass, rel=1e-14)
    assert result.situation.gm_solid == pytest.approx(result.flotation.km - load.vcg_solid, rel=1e-14)


def test_the_answer_belongs_to_the_condition_and_the_ship():
    given = aboard()
    result = assess(SHIP, given)
    assert result.condition is result.situation.condition is given
    assert result.situation.vessel is SHIP
    assert len(result.liquids) == len(result.surfaces) == len(given.tanks)


def test_the_roll_period_needs_a_length_on_the_waterline():
    known = assess(vessel(), condition())
    c = 0.373 + 0.023 * 16.0 / known.flotation.draft_midship - 0.043 * 1.02
    assert known.roll_period == pytest.approx(2.0 * c * 16.0 / sqrt(known.situation.gm_corrected), rel=1e-14)
    assert assess(vessel(particulars=particulars(length_waterline=None)), condition()).roll_period is None


def test_wind_and_deck_edge_are_those_at_her_draft_amidships():
    """Area 900 m2 at 2 m, 500 at 8 m; 10 m2 and 120 m3 of deck cargo added."""
    result = assess(SHIP, condition(wind_area=10.0, wind_moment=120.0))
    draft, situation = result.flotation.draft_midship, result.situation
    area, height = 900.0 - 400.0 * (draft - 2.0) / 6.0, 7.0 + 3.0 * (draft - 2.0) / 6.0
    assert situation.wind is not None
    assert situation.wind.area == pytest.approx(area + 10.0, rel=1e-12)
    assert situation.wind.height == pytest.approx((area * height + 120.0) / (area + 10.0), rel=1e-12)
    freeboard = 9.0 - result.flotation.draft_at(50.0)
    assert situation.deck_edge == pytest.approx(degrees(atan2(freeboard, 8.0)), rel=1e-12)
    assert situation.half_freeboard == pytest.approx(degrees(atan2(0.5 * freeboard, 8.0)), rel=1e-12)


def test_without_profile_and_deck_edge_they_are_unknown():
    bare = assess(vessel(deck_edge=None), condition()).situation
    assert (bare.wind, bare.deck_edge, bare.half_freeboard) == (None, None, None)


# --- verdicts --------------------------------------------------------------------------------------------------


def verdict(ship: Vessel, *rules: str, **changes: Any) -> str:
    return assess(ship, condition(rule_sets=rules, **changes)).verdict


def test_no_rule_set_is_incomplete():
    assert verdict(vessel()) == "incomplete"


def test_everything_met_is_a_pass():
    assert verdict(vessel(), "is-code-2008-a-2.2") == "pass"


def test_one_that_could_not_be_checked_makes_it_incomplete():
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170") == "incomplete"
    assert verdict(vessel(openings=None), "is-code-2008-a-2.2") == "incomplete"


def test_a_fail_counts_although_another_could_not_be_checked():
    heavy = [CARGO_WEIGHT._replace(vcg=7.8)]
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170", weights=heavy) == "fail"


def test_nothing_applicable_is_incomplete():
    long = vessel(particulars=particulars(length_load_line=120.0))
    assert verdict(long, "46-cfr-170.173-b") == "incomplete"
    assert verdict(long, "46-cfr-170.173-b", "is-code-2008-a-2.2") == "pass"


def test_outside_validity_is_incomplete():
    shallow = vessel(wind_profile=SHIP.wind_profile, particulars=particulars(breadth=25.0))
    assert verdict(shallow, "is-code-2008-a-2.3") == "incomplete"


@pytest.mark.parametrize(
    "missing",
    [
        {"cross_curves": None},
        {"openings": None},
        {"wind_profile": None},
        {"deck_edge": None},
        {"gm_limits": ()},
        {"load_line_drafts": None},
        {"particulars": particulars(length_waterline=None)},
        {"particulars": particulars(bilge=None, bilge_keel_area=None)},
    ],
)
def test_a_booklet_without_a_table_never_passes_every_rule(missing):
    """The ship that has everything passes all but what does not apply; each gap leaves a check undone."""
    whole = full_vessel(openings=())
    rules = tuple(name for name in RULE_SETS if name != "46-cfr-170.173-c")
    sound = condition(rule_sets=rules)
    assert assess(whole, sound).verdict == "pass"
    result = assess(replace(whole, **missing), sound)
    assert result.verdict == "incomplete"
    undone = [criterion for _, criterion in result.criteria if criterion.verdict != PASS]
    assert undone
    assert all(criterion.reason for criterion in undone)


@pytest.mark.parametrize("rules", [("load-lines",), ("is-code-2008-a-2.2", "load-lines"), ()])
def test_only_the_rule_sets_of_a_condition_bind_it(rules):
    result = assess(SHIP, replace(aboard(), rule_sets=rules))
    assert {name for name, _ in result.criteria} == set(rules)


def test_clauses_come_in_the_order_of_the_catalogue_and_of_their_document():
    result = assess(SHIP, replace(aboard(), rule_sets=tuple(reversed(RULE_SETS))))
    names = list(dict.fromkeys(name for name, _ in result.criteria))
    assert names == list(RULE_SETS)
    for name in ("is-code-2008-a-2.2", "is-code-2008-a-2.3", "46-cfr-170.173-b"):
        ids = [criterion.row.id for found, criterion in result.criteria if found == name]
        assert ids == [row.id for row in CATALOGUE[name].limits]


# --- what does not change the answer ---------------------------------------------------------------------------


def figures(result: Assessment) -> dict[str, Any]:
    """Everything a reader would compare, by name."""
    load, heeled = result.displacement, result.heeled
    found: dict[str, Any] = {
        "gm_solid": result.situation.gm_solid,
        "gm_corrected": result.situation.gm_corrected,
        "roll_period": result.roll_period,
        "list": result.rest.list_angle,
        "loll": result.rest.loll,
        "vanishing": result.vanishing_angle,
        **load._asdict(),
        **asdict(result.flotation),
        "flooding": heeled.flooding.angle,
        "deck_edge": result.situation.deck_edge,
        "wind": result.situation.wind,
        "actual_moments": result.actual_moments,
        "side": heeled.side,
        "verdict": result.verdict,
        "findings": sorted(finding.code for finding in result.findings),
    }
    if heeled.curve is not None:
        found |= {"maximum": heeled.curve.maximum, "angle_of_maximum": heeled.curve.angle_of_maximum}
        found |= {f"gz{h:g}": lever for h, lever in zip(heeled.curve.heels, heeled.curve.levers)}
    for name, criterion in result.criteria:
        key = f"{name} {criterion.row.id}"
        found |= {f"{key} {detail.key}": detail.value for detail in criterion.details}
        found |= {
            f"{key} attained": criterion.attained,
            f"{key} required": criterion.required,
            f"{key} verdict": criterion.verdict,
            f"{key} reason": criterion.reason,
        }
    return found


def same(a: dict[str, Any], b: dict[str, Any], rel: float, abs: float = 1e-12) -> None:
    assert a.keys() == b.keys()
    for name, value in a.items():
        if isinstance(value, float | tuple):
            assert b[name] == pytest.approx(value, rel=rel, abs=abs), name
        else:
            assert b[name] == value, name


@pytest.mark.parametrize("basis", BASES)
def test_the_order_of_weights_and_tanks(basis):
    """Sums are exactly rounded: not a digit moves, and what is said of each line stays with it."""
    there = aboard(basis=basis)
    back = replace(there, tanks=list(reversed(there.tanks)), weights=list(reversed(there.weights)))
    a, b = assess(SHIP, there), assess(SHIP, back)
    same(figures(a), figures(b), 1e-12)
    assert a.displacement == b.displacement
    assert a.liquids == list(reversed(b.liquids))
    assert a.surfaces == list(reversed(b.surfaces))
    assert a.assumed == b.assumed


def test_splitting_a_weight():
    whole = aboard()
    first, *rest = whole.weights
    parts = [first._replace(mass=first.mass * part) for part in (0.5, 0.25, 0.25)]
    split = replace(whole, weights=[*parts, *rest])
    same(figures(assess(SHIP, whole)), figures(assess(SHIP, split)), 1e-12)


@pytest.mark.parametrize("basis", BASES)
def test_a_tank_emptied_is_a_tank_absent(basis):
    """In every figure; that they are not mentioned is said."""
    emptied = aboard(basis=basis, BP=0.0, F1=0.0, FW=0.0, FS=0.0)
    absent = replace(emptied, tanks=[t for t in emptied.tanks if t.value > 0.0])
    assert len(absent.tanks) == 4
    one, two = figures(assess(SHIP, emptied)), figures(assess(SHIP, absent))
    assert set(two.pop("findings")) - set(one.pop("findings")) == {"partner_tank_not_mentioned"}
    same(one, two, 1e-14)


def mirrored_tank(tank: Tank) -> Tank:
    side = {"port": "starboard", "starboard": "port", "centre": "centre"}[tank.side]
    table = None if tank.table is None else replace(tank.table, tcg=[-y for y in tank.table.tcg])
    return replace(tank, side=side, tcg=-tank.tcg, table=table)


def mirrored_opening(given: Opening) -> Opening:
    return replace(given, y=-given.y)


OTHER_SIDE = {"port": "starboard", "starboard": "port"}


@pytest.mark.parametrize("basis", BASES)
@pytest.mark.parametrize("heights", [(11.0, 10.5), (9.0, 9.0), (8.6, 11.0)])
def test_port_and_starboard_exchanged(basis, heights):
    """Every figure is the same, but that list, TCG and side change their sign."""
    openings = (opening("P", 6.0, heights[0]), opening("S", -6.0, heights[1]))
    ship = full_vessel(openings=openings)
    mirror = replace(
        ship, tanks=tuple(map(mirrored_tank, ship.tanks)), openings=tuple(map(mirrored_opening, openings))
    )
    given = aboard(ship, basis)
    other = replace(given, weights=[w._replace(tcg=-w.tcg) for w in given.weights])
    a, b = assess(ship, given), assess(mirror, other)
    assert a.rest.list_angle != 0.0
    one, two = figures(a), figures(b)
    for name in ("list", "tcg", "tcb", "side"):
        two[name] = -two[name]
    for name, value in two.items():
        if name.endswith(" side"):
            two[name] = OTHER_SIDE[value]
    same(one, two, 1e-12)


@pytest.mark.parametrize("factor", [0.9, 1.1])
def test_everything_heavier_in_proportion_floats_the_same(factor):
    """All masses, moments of mass and the density of the water scaled: drafts, GM and levers stay."""
    ship = vessel(box_tank("A"), wind_profile=SHIP.wind_profile)
    heavier = replace(ship, lightship=ship.lightship._replace(mass=ship.lightship.mass * factor))
    given = condition(line(ship, "A", density=1.0, volume=150.0), rule_sets=("is-code-2008-a-2.2",))
    scaled = replace(
        given,
        tanks=[t._replace(density=t.density * factor) for t in given.tanks],
        weights=[w._replace(mass=w.mass * factor) for w in given.weights],
        water_density=given.water_density * factor,
    )
    one, two = figures(assess(ship, given)), figures(assess(heavier, scaled))
    for name in ("mass", "free_surface_moment", "tpc", "mctc"):
        two[name] /= factor
    del one["findings"], two["findings"]  # the scaled densities are unusual, and that is said
    same(one, two, 1e-12)


# --- one condition after another -------------------------------------------------------------------------------

OFF_TABLE = replace(aboard(), weights=[Weight(50000.0, 50.0, 5.0)])
GONE = replace(aboard(), weights=[Weight(-50000.0, 50.0, 5.0)])
SPILT = replace(aboard(), tanks=[TankLine(0, "volume", 4000.0, 1.0, "fuel_oil")])
CAPSIZED = replace(aboard(), weights=[CARGO_WEIGHT._replace(vcg=12.0)])
TRIMMED = replace(aboard(), weights=[CARGO_WEIGHT._replace(lcg=80.0)])
REFUSED = (GONE, OFF_TABLE, SPILT, CAPSIZED, TRIMMED)


def good() -> list[Condition]:
    """Conditions on every basis, one in fresh water, one without tanks under other rules."""
    loaded = [aboard(basis=basis, BP=fill) for basis in BASES for fill in (0.0, 35.0, 97.96, 103.0)]
    return [
        *loaded,
        replace(aboard(), water_density=1.0),
        replace(aboard(), rule_sets=("load-lines",), tanks=[]),
    ]


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        (GONE, CoreError, "taken off"),
        (OFF_TABLE, OutsideTable, "displacement"),
        (SPILT, OutsideTable, "volume"),
        (CAPSIZED, NoEquilibrium, "capsize"),
        (TRIMMED, OutsideTable, "trim"),
    ],
)
def test_a_condition_that_cannot_be_computed_raises_one_error(given, error, words):
    with pytest.raises(CoreError, match=words) as caught:
        assess(SHIP, given)
    assert type(caught.value) is error


def test_assessing_one_condition_does_not_change_the_next():
    """The same ship, in any order, errors between: every figure is the same bit for bit."""
    conditions = good()
    first = [figures(assess(SHIP, given)) for given in conditions]
    for given in REFUSED:
        with pytest.raises(CoreError):
            assess(SHIP, given)
    again = [figures(assess(SHIP, given)) for given in reversed(conditions)]
    assert list(reversed(again)) == first
    fresh = full_vessel()
    assert figures(assess(fresh, conditions[-1])) == first[-1]
    assert first[0] != first[1]


def test_the_first_error_in_the_order_of_the_booklet_counts():
    """A tank that cannot hold so much comes before a displacement off the tables."""
    bad = condition(TankLine(0, "volume", 4000.0, 1.0, "fuel_oil"), weights=[Weight(50000.0, 50.0, 5.0)])
    with pytest.raises(OutsideTable) as caught:
        assess(SHIP, bad)
    assert caught.value.quantity == "volume"


def test_a_condition_without_tanks():
    bare = assess(SHIP, replace(aboard(), tanks=[]))
    assert (bare.liquids, bare.surfaces, bare.assumed) == ([], [], [])
    assert bare.displacement.free_surface_moment == 0.0
    assert assess(SHIP, aboard()).displacement.mass > bare.displacement.mass


# --- the less favourable side ----------------------------------------------------------------------------------


def two_sided(port: float, starboard: float, y: float = 6.0) -> Vessel:
    """The full ship with one opening on each side, at these heights above the baseline (m)."""
    return full_vessel(openings=(opening("P", y, port), opening("S", -y, starboard)))


def leaning_to(side: float, *rules: str) -> Condition:
    """A tenth of a degree to one side."""
    off = Weight(30.0, 50.0, 6.0, 0.5 * side)
    return condition(weights=[CARGO_WEIGHT, off], rule_sets=rules)


LOW, HIGH = 8.2, 11.0
GENERAL = "is-code-2008-a-2.2"


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("low_side", [1.0, -1.0])
def test_the_levers_shown_are_those_of_the_side_that_floods_first(side, low_side):
    """Whichever way she leans by a tenth of a degree, the low opening at 27 degrees decides (2008 IS Code B/3.5)."""
    ship = two_sided(LOW, HIGH) if low_side > 0.0 else two_sided(HIGH, LOW)
    result = assess(ship, leaning_to(side, GENERAL))
    curve, flooding = result.heeled.curve, result.heeled.flooding.angle
    assert curve is not None
    assert result.heeled.side == low_side
    draft = result.flotation.draft_at(50.0)
    assert flooding == pytest.approx(degrees(atan2(LOW - draft, 6.0)), rel=1e-12)
    # GZ upright is less than nothing on the side she leans to, more on the other
    assert copysign(1.0, curve.levers[0]) == (-1.0 if side == low_side else 1.0)
    assert copysign(1.0, result.rest.list_angle) == side
    angle = next(c for _, c in result.criteria if c.row.id.endswith("angle-of-maximum"))
    assert angle.attained == pytest.approx(flooding)
    assert details(angle)["side"] == ("port" if low_side > 0.0 else "starboard")


@pytest.mark.parametrize("arm", [6.0, -6.0, 0.0])
@pytest.mark.parametrize("heights", [(8.6, 9.4), (9.4, 8.6), (8.3, 11.0), (11.0, 10.9)])
def test_every_clause_that_reads_her_heeled_is_the_worse_of_its_two_sides(arm, heights):
    """Each side judged by itself, its clauses compared here: the worse verdict, then the smaller margin, clause by
    clause; the levers shown are those of the side that is worse in more clauses, else of the one she leans to."""
    rules = (GENERAL, "is-code-2008-a-2.3", "46-cfr-170.173-b")
    profile = WindProfile((2.0, 8.0), (600.0, 600.0), (9.0, 9.0))
    ship = replace(two_sided(*heights), wind_profile=profile)
    given = condition(weights=[CARGO_WEIGHT, Weight(60.0, 50.0, 6.0, arm)], rule_sets=rules)
    result = assess(ship, given)
    load, flotation, toward = result.displacement, result.flotation, result.situation.heeling_arm
    curve, _ = lever_curve(ship, given, load, flotation, [], [], 0.0)
    assert curve is not None
    leaning = -1.0 if toward < 0.0 else 1.0
    sides = [leaning, -leaning]
    heeled = [Heeled.to(side, ship, flotation, curve.leaning(side * toward)) for side in sides]
    judged = [
        [c for name in CATALOGUE if name in rules for c in CATALOGUE[name].judged(result.situation, each)]
        for each in heeled
    ]
    order = ["not_applicable", "pass", "outside_validity", "not_computable", "fail"]
    worse_beyond = 0
    for (_, criterion), here, there in zip(result.criteria, *judged, strict=True):
        rank = [(order.index(c.verdict), -(c.margin or 0.0)) for c in (here, there)]
        worst = 1 if rank[1] > rank[0] else 0
        worse_beyond += (rank[1] > rank[0]) - (rank[0] > rank[1])
        expected = (here, there)[worst]
        assert criterion.verdict == expected.verdict, criterion.row.id
        assert criterion.attained == pytest.approx(expected.attained, rel=1e-11), criterion.row.id
        assert details(criterion)["side"] == ("port" if sides[worst] > 0.0 else "starboard"), criterion.row.id
    assert result.heeled.side == sides[worse_beyond > 0]
    assert worse_beyond != 0 or arm == 0.0


def test_clauses_that_do_not_read_her_heeled_name_no_side():
    result = assess(two_sided(HIGH, LOW), leaning_to(1.0, *RULE_SETS))
    named = {name for name, criterion in result.criteria if "side" in details(criterion)}
    assert named == {name for name in RULE_SETS if CATALOGUE[name].reads == "heeled"}
    assert named == set(RULE_SETS) - {"46-cfr-170.170", "vessel-gm-limits", "load-lines"}
    mirrored = assess(two_sided(HIGH, HIGH), leaning_to(1.0, *RULE_SETS))
    assert not any("side" in details(criterion) for _, criterion in mirrored.criteria)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("rules", [(), ("load-lines",), ("load-lines", "vessel-gm-limits", "46-cfr-170.170")])
def test_without_criteria_the_levers_shown_are_those_of_the_side_she_leans_to(side, rules):
    ship = two_sided(HIGH, LOW)
    assert assess(ship, leaning_to(side, *rules)).heeled.side == side


def test_upright_she_is_shown_to_port():
    assert assess(vessel(), condition(rule_sets=(GENERAL,))).heeled.side == 1.0
    assert assess(two_sided(HIGH, HIGH), condition(rule_sets=(GENERAL,))).heeled.side == 1.0


def test_findings_keep_to_the_side_she_leans_to():
    """An opening under water at the angle she floats at is one on the side she leans to. To starboard the other
    is low enough to flood at an angle less than her list, but lies on the high side."""
    draft = 7750.0 / 1500.0
    heavy = condition(
        weights=[CARGO_WEIGHT, Weight(150.0, 50.0, 6.0, 5.0)], rule_sets=(GENERAL, "is-code-2008-a-2.3")
    )
    for port, starboard, wet in ((draft + 0.3, 11.0, True), (11.0, draft + 0.3, False)):
        result = assess(two_sided(port, starboard), heavy)
        assert result.rest.list_angle > 4.0
        assert result.heeled.side == (1.0 if wet else -1.0), "the low opening decides"
        assert result.heeled.flooding.angle < result.rest.list_angle
        codes = {finding.code for finding in result.findings}
        assert ("opening_under_water" in codes) is wet


def test_the_side_shown_is_that_of_the_condition_alone():
    """Conditions judged by other rule sets, leaning the other way, or refused come before and between."""
    ship = two_sided(HIGH, LOW)
    conditions = [
        (leaning_to(1.0), 1.0),
        (leaning_to(1.0, GENERAL), -1.0),
        (leaning_to(-1.0, "load-lines"), -1.0),
        (condition(weights=[Weight(50000.0, 50.0, 5.0)]), None),
        (leaning_to(-1.0, GENERAL, "is-code-2008-a-2.3"), -1.0),
        (leaning_to(1.0, "load-lines"), 1.0),
    ]
    for given, side in conditions:
        if side is None:
            with pytest.raises(CoreError):
                assess(ship, given)
        else:
            assert assess(ship, given).heeled.side == side
