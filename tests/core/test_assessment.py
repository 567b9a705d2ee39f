"""The chain as a whole: sums, verdicts, what does not change the answer, and batches against singles.

Truth: first moments by hand, definitions, and invariants; no figure of our own.
"""

from dataclasses import fields, replace

import numpy as np
import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.errors import OutsideTable
from service.core.opening import Opening
from service.core.rules.limit import PASS
from service.core.tank import Tank
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    RULE_SETS,
    box_tank,
    condition,
    full_vessel,
    line,
    opening,
    particulars,
    vessel,
)

SHIP = full_vessel()


def aboard(ship: Vessel = SHIP, basis: int = 0, **fills: float) -> Condition:
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
    result = assess(ship, [condition(line(ship, "A", density=1.0, volume=200.0))])
    load = result.displacement
    mass = 3600.0 + 4000.0 + 200.0
    assert load.mass[0] == pytest.approx(mass, rel=1e-14)
    assert load.lcg[0] == pytest.approx((3600.0 * 47.0 + 4000.0 * 53.0 + 200.0 * 40.0) / mass, rel=1e-14)
    assert load.vcg_solid[0] == pytest.approx((3600.0 * 7.0 + 4000.0 * 5.6 + 200.0 * 2.25) / mass, rel=1e-14)
    assert load.tcg[0] == pytest.approx(600.0 / mass, rel=1e-14)
    assert result.gm_solid[0] == pytest.approx(result.flotation.km[0] - load.vcg_solid[0], rel=1e-14)


def test_the_roll_period_needs_a_length_on_the_waterline():
    known = assess(vessel(), [condition()])
    c = 0.373 + 0.023 * 16.0 / known.flotation.draft_midship[0] - 0.043 * 1.02
    assert known.roll_period[0] == pytest.approx(2.0 * c * 16.0 / np.sqrt(known.gm_corrected[0]), rel=1e-14)
    without = assess(vessel(particulars=particulars(length_waterline=None)), [condition()])
    assert np.isnan(without.roll_period[0])


# --- verdicts --------------------------------------------------------------------------------------------------


def verdict(ship: Vessel, *rules: str, **changes) -> str:
    return assess(ship, [condition(rule_sets=rules, **changes)]).verdict(0)


def test_no_rule_set_is_incomplete():
    assert verdict(vessel()) == "incomplete"


def test_everything_met_is_a_pass():
    assert verdict(vessel(), "is-code-2008-a-2.2") == "pass"


def test_one_that_could_not_be_checked_makes_it_incomplete():
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170") == "incomplete"
    assert verdict(vessel(openings=None), "is-code-2008-a-2.2") == "incomplete"


def test_a_fail_counts_although_another_could_not_be_checked():
    heavy = [CARGO_WEIGHT._replace(vcg=8.3)]
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170", weights=heavy) == "fail"


def test_nothing_applicable_is_incomplete():
    long = vessel(particulars=particulars(length_load_line=120.0))
    assert verdict(long, "46-cfr-170.173-b") == "incomplete"
    assert verdict(long, "46-cfr-170.173-b", "is-code-2008-a-2.2") == "pass"


def test_outside_validity_is_incomplete():
    profile = SHIP.wind_profile
    shallow = vessel(wind_profile=profile, particulars=particulars(breadth=25.0))
    result = assess(shallow, [condition(rule_sets=("is-code-2008-a-2.3",))])
    assert result.verdict(0) == "incomplete"


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
    assert assess(whole, [sound]).verdict(0) == "pass"
    result = assess(replace(whole, **missing), [sound])
    assert result.refused == [None]
    assert result.verdict(0) == "incomplete"
    undone = [c for _, c in result.criteria_of(0) if c.verdict[0] != PASS]
    assert undone
    assert all(c.reason(0) for c in undone)


def test_only_the_rule_sets_of_each_condition_bind_it():
    rules: list[tuple[str, ...]] = [("load-lines",), ("is-code-2008-a-2.2", "load-lines"), ()]
    result = assess(SHIP, [replace(aboard(), rule_sets=names) for names in rules])
    for n, names in enumerate(rules):
        assert {name for name, _ in result.criteria_of(n)} == set(names)


# --- what does not change the answer ---------------------------------------------------------------------------


def figures(result: Assessment, n: int = 0) -> dict[str, float]:
    """Everything a reader would compare, by name."""
    load, f, s = result.displacement, result.flotation, result.situation
    values = {
        "gm_solid": result.gm_solid,
        "gm_corrected": result.gm_corrected,
        "roll_period": result.roll_period,
        "list": result.stability.list_angle,
        "vanishing": result.vanishing_angle,
        **{field.name: getattr(load, field.name) for field in fields(load)},
        **{
            field.name: getattr(f, field.name)
            for field in fields(f)
            if field.name not in ("length_bp", "method")
        },
        "flooding": s.flooding.angle,
        "deck_edge": s.deck_edge,
        "wind_area": s.wind_area,
    }
    if s.curve is not None:
        values |= {"maximum": s.curve.maximum, "angle_of_maximum": s.curve.angle_of_maximum}
        values |= {f"gz{h:g}": s.curve.levers[:, i] for i, h in enumerate(s.curve.heels)}
    found = {name: float(value[n]) for name, value in values.items()}
    for name, criterion in result.criteria_of(n):
        key = f"{name} {criterion.row.id}"
        found |= {f"{key} attained": criterion.attained[n], f"{key} required": criterion.required[n]}
        found[f"{key} verdict"] = criterion.verdict[n]
    return found


def same(a: dict[str, float], b: dict[str, float], rel: float, abs: float = 1e-12) -> None:
    assert a.keys() == b.keys()
    for name, value in a.items():
        assert b[name] == pytest.approx(value, rel=rel, abs=abs, nan_ok=True), name


@pytest.mark.parametrize("basis", [0, 1, 2])
def test_the_order_of_weights_and_tanks(basis):
    there = aboard(basis=basis)
    back = replace(there, tanks=list(reversed(there.tanks)), weights=list(reversed(there.weights)))
    a, b = assess(SHIP, [there]), assess(SHIP, [back])
    assert a.refused == b.refused == [None]
    same(figures(a), figures(b), 1e-12)


def test_splitting_a_weight():
    whole = aboard()
    first, *rest = whole.weights
    parts = [first._replace(mass=first.mass * part) for part in (0.5, 0.25, 0.25)]
    same(
        figures(assess(SHIP, [whole])),
        figures(assess(SHIP, [replace(whole, weights=[*parts, *rest])])),
        1e-12,
    )


@pytest.mark.parametrize("basis", [0, 1, 2])
def test_a_tank_emptied_is_a_tank_absent(basis):
    emptied = aboard(basis=basis, BP=0.0, F1=0.0, FW=0.0, FS=0.0)
    absent = replace(emptied, tanks=[t for t in emptied.tanks if t.value > 0.0])
    assert len(absent.tanks) == 4
    same(figures(assess(SHIP, [emptied])), figures(assess(SHIP, [absent])), 1e-14)


def mirrored_tank(tank: Tank) -> Tank:
    side = {"port": "starboard", "starboard": "port", "centre": "centre"}[tank.side]
    table = None if tank.table is None else replace(tank.table, tcg=-tank.table.tcg)
    return replace(tank, side=side, tcg=-tank.tcg, table=table)


def mirrored_opening(given: Opening) -> Opening:
    return replace(given, y=-given.y)


@pytest.mark.parametrize("basis", [0, 1, 2])
def test_port_and_starboard_exchanged(basis):
    """Every figure is the same, but that list, TCG and side change their sign."""
    openings = (opening("P", 6.0, 11.0), opening("S", -6.0, 10.5))
    ship = full_vessel(openings=openings)
    mirror = replace(
        ship, tanks=tuple(map(mirrored_tank, ship.tanks)), openings=tuple(map(mirrored_opening, openings))
    )
    given = aboard(ship, basis)
    other = replace(given, weights=[w._replace(tcg=-w.tcg) for w in given.weights])
    a, b = assess(ship, [given]), assess(mirror, [other])
    assert a.stability.list_angle[0] != 0.0
    one, two = figures(a), figures(b)
    for name in ("list", "tcg", "tcb"):
        two[name] = -two[name]
    same(one, two, 1e-12)
    assert a.situation.side[0] == -b.situation.side[0]


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
    one, two = figures(assess(ship, [given])), figures(assess(heavier, [scaled]))
    for name in ("mass", "free_surface_moment", "tpc", "mctc"):
        two[name] /= factor
    same(one, two, 1e-12)


# --- batches ---------------------------------------------------------------------------------------------------


def mixed() -> list[Condition]:
    """Good ones on every basis, several that are refused, one at loll's edge, light and heavy water."""
    good = [aboard(basis=basis, BP=fill) for basis in (0, 1, 2) for fill in (0.0, 35.0, 97.96, 103.0)]
    off_table = replace(aboard(), weights=[Weight(50000.0, 50.0, 5.0)])
    gone = replace(aboard(), weights=[Weight(-50000.0, 50.0, 5.0)])
    spilt = replace(aboard(), tanks=[TankLine(0, 1, 4000.0, 1.0, 4)])
    capsized = replace(aboard(), weights=[CARGO_WEIGHT._replace(vcg=12.0)])
    trimmed = replace(aboard(), weights=[CARGO_WEIGHT._replace(lcg=80.0)])
    fresh = replace(aboard(), water_density=1.0)
    other_rules = replace(aboard(), rule_sets=("load-lines",), tanks=[])
    return [gone, *good[:5], off_table, spilt, *good[5:], capsized, fresh, trimmed, other_rules]


def test_a_condition_of_a_batch_has_the_numbers_it_has_alone():
    """To 1e-12 relative, refused neighbours or not; refusals and findings are the same too."""
    conditions = mixed()
    batch = assess(SHIP, conditions)
    assert sum(error is not None for error in batch.refused) == 5
    for n, alone in enumerate(conditions):
        single = assess(SHIP, [alone])
        assert repr(single.refused[0]) == repr(batch.refused[n])
        if single.refused[0] is not None:
            continue
        same(figures(single), figures(batch, n), 1e-12, 1e-13)
        assert single.verdict(0) == batch.verdict(n)
        reasons = [(c.row.id, c.reason(0)) for _, c in single.criteria_of(0)]
        assert reasons == [(c.row.id, c.reason(n)) for _, c in batch.criteria_of(n)]
        assert [f.code for f in single.findings[0]] == [f.code for f in batch.findings[n]]
        here = slice(int(batch.batch.first_line[n]), int(batch.batch.first_line[n + 1]))
        for name in ("mass", "volume", "vcg", "state"):
            np.testing.assert_allclose(
                getattr(batch.liquids, name)[here], getattr(single.liquids, name), rtol=1e-12
            )
        np.testing.assert_allclose(batch.surfaces.moment[here], single.surfaces.moment, rtol=1e-12)


def test_details_of_criteria_in_a_batch():
    conditions = mixed()
    batch = assess(SHIP, conditions)
    for n, alone in enumerate(conditions):
        if batch.refused[n] is not None:
            continue
        single = assess(SHIP, [alone])
        for (_, one), (_, many) in zip(single.criteria_of(0), batch.criteria_of(n)):
            for a, b in zip(one.details, many.details):
                assert a.name == b.name
                if isinstance(a.values, np.ndarray) and isinstance(b.values, np.ndarray):
                    assert b.values[n] == pytest.approx(a.values[0], rel=1e-11, abs=1e-12, nan_ok=True), (
                        a.name
                    )
                else:
                    assert a.values[0] == b.values[n]


def test_the_first_error_is_kept():
    bad = condition(TankLine(0, 1, 4000.0, 1.0, 4), weights=[Weight(50000.0, 50.0, 5.0)])
    error = assess(SHIP, [bad]).refused[0]
    assert isinstance(error, OutsideTable)
    assert error.quantity == "volume"


def test_a_condition_without_tanks_beside_one_with_many():
    result = assess(SHIP, [replace(aboard(), tanks=[]), aboard()])
    assert result.refused == [None, None]
    assert result.displacement.mass[1] > result.displacement.mass[0]


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
    result = assess(ship, [leaning_to(side, GENERAL)])
    curve = result.situation.curve
    assert curve is not None
    assert result.situation.side[0] == low_side
    draft = result.flotation.draft_at(50.0)[0]
    assert result.situation.flooding.angle[0] == pytest.approx(
        np.degrees(np.arctan2(LOW - draft, 6.0)), rel=1e-12
    )
    # GZ upright is less than nothing on the side she leans to, more on the other
    assert np.sign(curve.levers[0, 0]) == (-1.0 if side == low_side else 1.0)
    assert np.sign(result.stability.list_angle[0]) == side
    angle = next(c for _, c in result.criteria_of(0) if c.row.id.endswith("angle-of-maximum"))
    assert angle.attained[0] == pytest.approx(result.situation.flooding.angle[0])
    assert [d.values[0] for d in angle.details if d.name == "side"] == [
        "port" if low_side > 0.0 else "starboard"
    ]


def test_without_criteria_the_levers_shown_are_those_of_the_side_she_leans_to():
    ship = two_sided(HIGH, LOW)
    assert assess(ship, [leaning_to(1.0)]).situation.side[0] == 1.0
    assert assess(ship, [leaning_to(1.0, "load-lines")]).situation.side[0] == 1.0


def test_findings_keep_to_the_side_she_leans_to():
    """An opening under water at the angle she floats at is one on the side she leans to. To starboard the other
    is low enough to flood at an angle less than her list, but lies on the high side."""
    draft = 7750.0 / 1500.0
    heavy = condition(
        weights=[CARGO_WEIGHT, Weight(150.0, 50.0, 6.0, 5.0)], rule_sets=(GENERAL, "is-code-2008-a-2.3")
    )
    for port, starboard, wet in ((draft + 0.3, 11.0, True), (11.0, draft + 0.3, False)):
        result = assess(two_sided(port, starboard), [heavy])
        assert result.refused == [None]
        assert result.stability.list_angle[0] > 4.0
        assert result.situation.side[0] == (1.0 if wet else -1.0), "the low opening decides"
        assert result.situation.flooding.angle[0] < result.stability.list_angle[0]
        codes = {finding.code for finding in result.findings[0]}
        assert ("opening_under_water" in codes) is wet


def test_the_side_shown_does_not_depend_on_the_neighbours_in_a_batch():
    """Neighbours are judged by more rule sets, lean the other way, or are refused."""
    ship = two_sided(HIGH, LOW)
    conditions = [
        leaning_to(1.0),
        leaning_to(1.0, GENERAL),
        leaning_to(-1.0, "load-lines"),
        condition(weights=[Weight(50000.0, 50.0, 5.0)]),
        leaning_to(-1.0, GENERAL, "is-code-2008-a-2.3"),
        leaning_to(1.0, "load-lines"),
    ]
    batch = assess(ship, conditions)
    assert batch.situation.side[[0, 1, 2, 4, 5]].tolist() == [1.0, -1.0, -1.0, -1.0, 1.0]
    for n, alone in enumerate(conditions):
        single = assess(ship, [alone])
        assert (single.refused[0] is None) is (batch.refused[n] is None)
        if single.refused[0] is None:
            assert single.situation.side[0] == batch.situation.side[n]
            same(figures(single), figures(batch, n), 1e-12, 1e-13)
