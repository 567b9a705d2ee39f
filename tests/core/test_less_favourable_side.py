"""Both sides judged, and the less favourable one that counts (2008 IS Code Part B 3.5), clause by clause.

Truth: definitions; each side judged by itself and compared here.
"""

from dataclasses import replace
from math import copysign

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition
from service.core.errors import CoreError
from service.core.heeling_lever import WindProfile
from service.core.hydrostatics import Hydrostatics
from service.core.rules.catalogue import CATALOGUE
from service.core.rules.cfr_46_170 import PARAGRAPH_C
from service.core.situation import Heeled, lever_curve
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.ship import (
    CARGO_WEIGHT,
    DRAFTS,
    RULE_SETS,
    SALT,
    condition,
    details,
    full_vessel,
    opening,
    row,
    vessel,
)


def two_sided(port: float, starboard: float, y: float = 6.0) -> Vessel:
    """The full ship with one opening on each side, at these heights above the baseline (m)."""
    return full_vessel(openings=(opening("P", y, port), opening("S", -y, starboard)))


def wet(result: Assessment, toward: float, z: float) -> float:
    """The level of her waterplane asked directly."""
    return result.situation.waterplane.immersion_angle(50.0, toward, z)


def leaning_to(side: float, *rules: str) -> Condition:
    """A tenth of a degree to one side."""
    off = Weight(30.0, 50.0, 6.0, 0.5 * side)
    return condition(weights=[CARGO_WEIGHT, off], rule_sets=rules)


LOW, HIGH = 8.2, 11.0
GENERAL = "is-code-2008-a-2.2"


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("low_side", [1.0, -1.0])
def test_the_levers_shown_are_those_of_the_side_that_floods_first(side, low_side):
    """Whichever way she leans by a tenth of a degree, the low opening decides (2008 IS Code B/3.5)."""
    ship = two_sided(LOW, HIGH) if low_side > 0.0 else two_sided(HIGH, LOW)
    result = assess(ship, leaning_to(side, GENERAL))
    curve, flooding = result.heeled.curve, result.heeled.flooding.angle
    assert curve is not None
    assert result.heeled.side == low_side
    assert flooding == pytest.approx(wet(result, 6.0, LOW), abs=1e-8)
    # GZ upright is less than nothing on the side she leans to, more on the other
    assert copysign(1.0, curve.levers[0]) == (-1.0 if side == low_side else 1.0)
    assert copysign(1.0, result.situation.rest.list_angle) == side
    angle = next(c for _, c in result.criteria if c.row.id.endswith("angle-of-maximum"))
    assert angle.attained == pytest.approx(flooding)
    assert details(angle)["side"] == ("port" if low_side > 0.0 else "starboard")


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_vanishing_angle_is_that_of_the_levers_shown(side):
    """Further over on the side her weight is not on: shown where that side floods first, and not otherwise."""
    given = replace(
        leaning_to(side, GENERAL),
        weights=[CARGO_WEIGHT._replace(vcg=7.0), Weight(60.0, 50.0, 6.0, 4.0 * side)],
    )
    toward = two_sided(LOW, HIGH) if side > 0.0 else two_sided(HIGH, LOW)
    away = two_sided(HIGH, LOW) if side > 0.0 else two_sided(LOW, HIGH)
    here, there = assess(toward, given), assess(away, given)
    assert (here.heeled.side, there.heeled.side) == (side, -side)
    angles = [result.heeled.curve.vanishing_angle for result in (here, there)]
    for result, angle in zip((here, there), angles, strict=True):
        assert result.heeled.curve.lever(angle) == pytest.approx(0.0, abs=1e-12)
    assert angles[1] > angles[0] + 1.0


@pytest.mark.parametrize("arm", [6.0, -6.0, 0.0])
@pytest.mark.parametrize("heights", [(8.6, 9.4), (9.4, 8.6), (8.3, 11.0), (11.0, 10.9)])
def test_every_clause_that_reads_her_heeled_is_the_worse_of_its_two_sides(arm, heights):
    """Each side judged by itself, its clauses compared here: the worse verdict, then the smaller margin, clause by
    clause; the levers shown are those of the side that is worse in more clauses, else of the one she leans to."""
    rules = (GENERAL, "is-code-2008-a-2.3", "46-cfr-170.173")
    profile = WindProfile((2.0, 8.0), (600.0, 600.0), (9.0, 9.0))
    ship = replace(two_sided(*heights), wind_profile=profile)
    given = condition(weights=[CARGO_WEIGHT, Weight(60.0, 50.0, 6.0, arm)], rule_sets=rules)
    result = assess(ship, given)
    load, afloat_so, toward = result.displacement, result.situation.flotation, result.situation.heeling_arm
    curve, _ = lever_curve(ship, given, load, afloat_so, [], result.surfaces.judged, 0.0)
    assert curve is not None
    plane = result.situation.waterplane
    leaning = -1.0 if toward < 0.0 else 1.0
    sides = [leaning, -leaning]
    heeled = [Heeled.to(side, ship, afloat_so, plane, curve.leaning(side * toward), True) for side in sides]
    judged = [
        [c for name in CATALOGUE if name in rules for c in CATALOGUE[name].judged(result.situation, each)]
        for each in heeled
    ]
    found = [criterion for rule_set, criterion in result.criteria if rule_set.name in rules]
    order = ["not_applicable", "pass", "outside_validity", "not_computable", "fail"]
    worse_beyond = 0
    for criterion, here, there in zip(found, *judged, strict=True):
        rank = [(order.index(c.verdict), -(c.margin or 0.0)) for c in (here, there)]
        worst = 1 if rank[1] > rank[0] else 0
        worse_beyond += (rank[1] > rank[0]) - (rank[0] > rank[1])
        expected = (here, there)[worst]
        if criterion.row in PARAGRAPH_C:
            assert criterion.verdict == "not_applicable", "her arm is greatest beyond 30 degrees"
        else:
            assert criterion.verdict == expected.verdict, criterion.row.id
        assert criterion.attained == pytest.approx(expected.attained, rel=1e-11), criterion.row.id
        assert details(criterion)["side"] == ("port" if sides[worst] > 0.0 else "starboard"), criterion.row.id
    assert result.heeled.side == sides[worse_beyond > 0]
    assert worse_beyond != 0 or arm == 0.0


def test_clauses_that_do_not_read_her_heeled_name_no_side():
    result = assess(two_sided(HIGH, LOW), leaning_to(1.0, *RULE_SETS))
    named = {rule_set.name for rule_set, criterion in result.criteria if "side" in details(criterion)}
    assert named == {name for name in RULE_SETS if CATALOGUE[name].reads == "heeled"}
    assert named == set(RULE_SETS) - {"46-cfr-170.170", "vessel-gm-limits", "load-lines"}


@pytest.mark.parametrize("arm", [0.0, 1e-9, -1e-9, 0.5])
def test_both_sides_are_judged_wherever_her_weight_is_off_the_centreline(arm):
    """With openings that mirror one another too: a heeling arm makes the sides differ. Exactly upright they are one."""
    mirrored = two_sided(HIGH, HIGH)
    given = condition(weights=[CARGO_WEIGHT, Weight(30.0, 50.0, 6.0, arm)], rule_sets=RULE_SETS)
    found = {rule_set.name for rule_set, c in assess(mirrored, given).criteria if "side" in details(c)}
    assert found == ({name for name in RULE_SETS if CATALOGUE[name].reads == "heeled"} if arm else set())


@pytest.mark.parametrize("tcb", [0.02, -0.02])
def test_a_centre_of_buoyancy_off_the_centreline_makes_the_sides_differ_too(tcb):
    rows = [{**row(d), "tcb": tcb} for d in DRAFTS]
    ship = vessel(hydrostatics=Hydrostatics.from_rows(SALT, True, rows))
    result = assess(ship, condition(rule_sets=(GENERAL,)))
    sides = {details(c).get("side") for s, c in result.criteria if s.name == GENERAL}
    assert sides <= {"port", "starboard"}
    worse = "starboard" if tcb > 0.0 else "port"
    area = next(c for _, c in result.criteria if c.row.id.endswith("area-to-30"))
    assert details(area)["side"] == worse, "she leans away from her buoyancy, where levers are smaller"


@pytest.mark.parametrize("arm", [2.0, -2.0])
def test_clauses_of_levers_are_worse_where_she_leans_to_the_angle_of_maximum_where_she_does_not(arm):
    """GZ = KN - KG sin - TCG cos: the arm lowers every lever of the side she leans to, but lowers it more upright than
    heeled, so that the maximum moves out: on the other side it comes earlier."""
    given = condition(weights=[CARGO_WEIGHT, Weight(30.0, 50.0, 6.0, arm)], rule_sets=(GENERAL,))
    found = {c.row.id: c for s, c in assess(vessel(), given).criteria if s.name == GENERAL}
    leaning, other = ("port", "starboard") if arm > 0.0 else ("starboard", "port")
    for id, criterion in found.items():
        expected = other if id.endswith("angle-of-maximum") else leaning
        assert details(criterion)["side"] == expected, id


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("rules", [(), ("load-lines",), ("load-lines", "vessel-gm-limits", "46-cfr-170.170")])
def test_without_criteria_the_levers_shown_are_those_of_the_side_she_leans_to(side, rules):
    ship = two_sided(HIGH, LOW)
    assert assess(ship, leaning_to(side, *rules)).heeled.side == side


def test_without_a_curve_the_side_is_that_of_her_weight():
    bare = vessel(cross_curves=None)
    assert [assess(bare, leaning_to(side, GENERAL)).heeled.side for side in (1.0, -1.0)] == [1.0, -1.0]


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
        assert result.situation.rest.list_angle > 4.0
        assert result.heeled.side == (1.0 if wet else -1.0), "the low opening decides"
        assert result.heeled.flooding.angle < result.situation.rest.list_angle
        codes = {finding.code for finding in result.findings}
        assert ("opening_under_water" in codes) is wet


def test_the_side_shown_is_that_of_the_condition_alone():
    """Conditions judged by other rule sets, leaning the other way, or refused come before and between."""
    ship = two_sided(HIGH, LOW)
    conditions = [
        (leaning_to(1.0), 1.0),
        (leaning_to(1.0, GENERAL), -1.0),
        (leaning_to(-1.0, "load-lines"), -1.0),
        (condition(weights=[Weight(-50000.0, 50.0, 5.0)]), None),
        (condition(weights=[Weight(50000.0, 50.0, 5.0, -0.1)]), -1.0),
        (leaning_to(-1.0, GENERAL, "is-code-2008-a-2.3"), -1.0),
        (leaning_to(1.0, "load-lines"), 1.0),
    ]
    for given, side in conditions:
        if side is None:
            with pytest.raises(CoreError):
                assess(ship, given)
        else:
            assert assess(ship, given).heeled.side == side
