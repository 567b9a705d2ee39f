"""What an attentive colleague points out: each finding with its code, severity and place, and its absence.

Source of the finding about consumables: 2008 IS Code Part B 3.1.4; view from the bridge: SOLAS V/22.1.1; trim beyond
1 % of length: MSC/Circ.920 3.4. Other thresholds are common practice, no source.
"""

from dataclasses import replace

import pytest

from service.core.assessment import assess
from service.core.condition import Condition
from service.core.finding_kinds import CAUTION, DANGER, INFO, Finding
from service.core.free_surface import AS_FILLED, BY_RULE
from service.core.vessel import Bridge, DraftMark, Propeller, Vessel
from service.core.weight import Weight
from tests.core.ship import (
    BREADTH,
    CARGO_WEIGHT,
    box_tank,
    condition,
    full_vessel,
    line,
    said,
    vessel,
)

BOUND = ("vessel-gm-limits",)
"""A set that judges stability and counts no free surface of its own, so that its absence is not among the findings."""


def found(ship: Vessel, given: Condition) -> dict[str, Finding]:
    findings = assess(ship, replace(given, rule_sets=(*BOUND, *given.rule_sets))).findings
    assert all(finding.message for finding in findings)
    return {finding.code: finding for finding in findings}


PAIR = vessel(box_tank("P", "fuel_oil", y=4.0, breadth=4.0), box_tank("S", "fuel_oil", y=-4.0, breadth=4.0))


def fills(ship: Vessel, **given: float) -> Condition:
    return condition(*(line(ship, name, fill=fill) for name, fill in given.items()))


def test_a_sound_condition_has_none():
    ship = vessel(box_tank("B"))
    assert found(ship, fills(ship, B=50.0)) == {}


@pytest.mark.parametrize(
    ("sets", "said"),
    [
        ((), True),
        (("load-lines",), True),
        (("afloat", "load-lines"), True),
        (("vessel-gm-limits",), False),
        (("46-cfr-170.170", "load-lines"), False),
        (("grain-code",), False),
    ],
)
@pytest.mark.parametrize("by_ship", [True, False])
def test_a_ship_whose_stability_no_document_judges(sets, said, by_ship):
    """Load line marks and what holds for every ship cannot stand for one."""
    ship = vessel(rule_sets=sets if by_ship else ())
    findings = {f.code: f for f in assess(ship, condition(rule_sets=() if by_ship else sets)).findings}
    assert ("no_stability_criteria" in findings) is said
    if said:
        assert (findings["no_stability_criteria"].severity, findings["no_stability_criteria"].place) == (
            CAUTION,
            ("rule_sets",),
        )


@pytest.mark.parametrize(
    ("contents", "severity"),
    [
        ("ballast", INFO),
        ("fresh_water", INFO),
        ("fuel_oil", CAUTION),
        ("diesel_oil", CAUTION),
        ("lubricating_oil", CAUTION),
        ("cargo_liquid", CAUTION),
        ("waste", CAUTION),
        ("other", CAUTION),
    ],
)
def test_water_is_pressed_up_as_a_matter_of_course(contents, severity):
    """Common practice, no source. Over-full is a danger whatever spills."""
    ship = vessel(box_tank("B", contents))
    assert found(ship, fills(ship, B=99.0))["tank_pressed_up"].severity == severity
    assert found(ship, fills(ship, B=100.5))["tank_overfull"].severity == DANGER


def test_it_is_the_liquid_aboard_that_may_spill():
    ship = vessel(box_tank("B", "ballast"))
    findings = found(ship, condition(line(ship, "B", "fuel_oil", 0.95, fill=99.0)))
    assert findings["tank_pressed_up"].severity == CAUTION


@pytest.mark.parametrize(
    ("fill", "code", "severity"),
    [
        (97.9, None, None),
        (98.0, None, None),
        (98.5, "tank_pressed_up", CAUTION),
        (100.04, "tank_pressed_up", CAUTION),  # within 0.05 % of capacity
        (100.06, "tank_overfull", DANGER),
    ],
)
def test_tanks_above_their_limit(fill, code, severity):
    ship = vessel(box_tank("A", "other"), box_tank("B", "other"))
    findings = found(ship, fills(ship, A=50.0, B=fill))
    findings.pop("consumable_without_slack_tank", None)
    assert set(findings) == ({code} if code else set())
    if code:
        assert findings[code].severity == severity
        assert findings[code].place == ("tanks", 1)


@pytest.mark.parametrize(
    ("contents", "limit", "fill", "basis", "counted"),
    [
        ("ballast", 98.0, 98.5, AS_FILLED, False),
        ("ballast", 98.0, 100.5, AS_FILLED, False),
        ("cargo_liquid", 98.0, 98.5, AS_FILLED, True),
        ("cargo_liquid", 98.0, 100.5, BY_RULE, True),
        ("ballast", 95.0, 96.0, AS_FILLED, False),
        ("ballast", 95.0, 96.0, BY_RULE, True),
        ("cargo_liquid", 95.0, 96.0, AS_FILLED, True),
    ],
)
def test_what_is_said_of_a_full_tank_is_what_was_counted(contents, limit, fill, basis, counted):
    """Full cargo tanks count at 98 %, others by the Code below 98 % (2008 IS Code B/3.1.2): of what judged."""
    ship = vessel(box_tank("B", contents, normal_limit=limit))
    result = assess(ship, replace(fills(ship, B=fill), basis=basis))
    assert (result.displacement.free_surface_moment > 0.0) is counted
    said = next(f.message for f in result.findings if f.code in ("tank_pressed_up", "tank_overfull"))
    assert ("its free surface is counted" in said, "no free surface" in said) == (counted, not counted)


@pytest.mark.parametrize(("density", "unusual"), [(1.025, False), (0.98, True), (1.2, True)])
def test_unusual_density(density, unusual):
    ship = vessel(box_tank("B"))
    findings = found(ship, condition(line(ship, "B", density=density, fill=50.0)))
    assert ("density_unusual" in findings) is unusual
    if unusual:
        assert findings["density_unusual"].place == ("tanks", 0, "density")


def test_another_liquid_than_the_booklets():
    findings = found(
        PAIR, condition(line(PAIR, "P", "ballast", 1.025, fill=50.0), line(PAIR, "S", fill=50.0))
    )
    assert findings["contents_unusual"].place == ("tanks", 0, "contents")
    assert findings["contents_unusual"].severity == INFO


def test_a_forgotten_partner_and_forgotten_tanks():
    findings = found(PAIR, fills(PAIR, S=50.0))
    assert findings["partner_tank_not_mentioned"].place == ("tanks", 0)
    assert "P" in findings["partner_tank_not_mentioned"].message
    assert findings["tanks_not_mentioned"].severity == INFO
    assert "partner_tank_not_mentioned" not in found(PAIR, condition())
    assert not set(found(PAIR, fills(PAIR, P=50.0, S=0.0))) & {
        "partner_tank_not_mentioned",
        "tanks_not_mentioned",
    }


@pytest.mark.parametrize(
    ("fill", "basis", "said"),
    [(99.0, AS_FILLED, True), (50.0, AS_FILLED, False), (0.0, AS_FILLED, False), (99.0, BY_RULE, False)],
)
def test_consumables_all_full_with_no_slack_pair(fill, basis, said):
    findings = found(PAIR, replace(fills(PAIR, P=fill, S=fill), basis=basis))
    assert ("consumable_without_slack_tank" in findings) is said


@pytest.mark.parametrize("rule", ["is-code-2008-a-2.2", "46-cfr-170.170"])
@pytest.mark.parametrize("by_ship", [True, False])
def test_where_a_document_with_a_rule_for_free_surfaces_binds_it_sees_to_consumables(rule, by_ship):
    """Nothing is said: the rule assumes the slack pair by itself, whatever the basis of the condition."""
    ship = replace(PAIR, rule_sets=(rule,)) if by_ship else PAIR
    given = replace(fills(ship, P=99.0, S=99.0), rule_sets=() if by_ship else (rule,))
    assert "consumable_without_slack_tank" not in found(ship, given)
    assert assess(ship, given).surfaces.judged.assumed


def test_ballast_all_full_is_no_matter():
    ship = vessel(box_tank("B"))
    assert "consumable_without_slack_tank" not in found(ship, fills(ship, B=98.0))


@pytest.mark.parametrize(
    ("weight", "outside"),
    [
        (Weight(1.0, 50.0, 5.0), False),
        (Weight(1.0, 111.0, 5.0), True),
        (Weight(1.0, -11.0, 5.0), True),
        (Weight(1.0, 50.0, -0.1), True),
        (Weight(1.0, 50.0, 5.0, BREADTH + 0.1), True),
    ],
)
def test_a_weight_beside_the_ship(weight, outside):
    findings = found(vessel(), condition(weights=[CARGO_WEIGHT, weight]))
    assert ("weight_outside_ship" in findings) is outside
    if outside:
        assert findings["weight_outside_ship"].place == ("weights", 1)


def test_a_removed_weight():
    findings = found(vessel(), condition(weights=[CARGO_WEIGHT, Weight(-1.0, 50.0, 5.0, 0.0, "removal")]))
    assert findings["weight_removed"].severity == INFO


@pytest.mark.parametrize(("water", "unusual"), [(0.99, True), (1.0, False), (1.025, False), (1.04, True)])
def test_unusual_water(water, unusual):
    assert ("water_density_unusual" in found(vessel(), condition(water_density=water))) is unusual


@pytest.mark.parametrize(("top", "dry"), [(4.0, False), (6.0, True)])
def test_propeller(top, dry):
    ship = vessel(propeller=Propeller(0.0, top - 1.5, 3.0))
    assert ("propeller_not_immersed" in found(ship, condition())) is dry


@pytest.mark.parametrize("top", [5.06, 5.07])
def test_the_propeller_at_her_draft(top):
    """7,600 t: 5.0667 m, on even keel at the LCF of 49 m."""
    ship = vessel(propeller=Propeller(49.0, top - 1.5, 3.0))
    assert ("propeller_not_immersed" in found(ship, condition())) is (top > 7600.0 / 1500.0)


@pytest.mark.parametrize(("height", "hidden"), [(10.0, False), (17.0, True), (20.0, True)])
def test_view_from_the_bridge(height, hidden):
    """Eye 20 m up at 10 m, obstruction at 80 m: the line of sight meets the sea too far ahead of the bow."""
    ship = vessel(bridge=Bridge(10.0, 20.0, 80.0, height, 100.0, 104.0))
    assert ("view_from_bridge_obscured" in found(ship, condition())) is hidden


MARKED = vessel(draft_marks=(DraftMark("aft", 2.0, 0.05),))


@pytest.mark.parametrize(("off", "said"), [(0.0, False), (0.049, False), (0.051, True), (-0.051, True)])
def test_observed_drafts(off, said):
    computed = assess(MARKED, condition()).situation.flotation.draft_at(2.0) + 0.05
    findings = found(MARKED, condition(observed_drafts={"aft": computed + off}))
    assert ("observed_draft_differs" in findings) is said
    if said:
        assert findings["observed_draft_differs"].place == ("observed", "drafts", "aft")


@pytest.mark.parametrize(
    ("off", "said"), [(0.0, False), (0.49, False), (-0.49, False), (0.51, True), (-0.51, True)]
)
def test_observed_list(off, said):
    weights = [CARGO_WEIGHT, Weight(20.0, 50.0, 6.0, -6.0)]
    computed = assess(vessel(), condition(weights=weights)).situation.rest.list_angle
    findings = found(vessel(), condition(weights=weights, observed_list=computed + off))
    assert ("observed_list_differs" in findings) is said


@pytest.mark.parametrize(("factor", "said"), [(1.0, False), (1.08, False), (1.13, True), (0.85, True)])
def test_observed_roll_period(factor, said):
    """GM goes with 1 / T^2: a fifth of GM is a tenth of the period."""
    computed = assess(vessel(), condition()).roll_period
    findings = found(vessel(), condition(observed_roll_period=computed * factor))
    assert ("observed_roll_period_differs" in findings) is said


@pytest.mark.parametrize("seconds", [1e-300, 1e-200, 1e-3, 0.1])
def test_an_absurd_roll_period_is_said_to_differ(seconds):
    assert "observed_roll_period_differs" in found(vessel(), condition(observed_roll_period=seconds))


def test_findings_belong_to_their_condition_and_change_no_number():
    """A pressed-up tank, then a sound one, then the first again."""
    ship = full_vessel()
    bad = condition(line(ship, "BP", fill=101.0), weights=[CARGO_WEIGHT, Weight(60.0, 50.0, 6.0, 6.0)])
    good = condition(line(ship, "BP", fill=50.0))
    results = [assess(ship, each) for each in (bad, good, bad)]
    first, second, third = ([finding.code for finding in result.findings] for result in results)
    assert first == third != second
    assert "tank_overfull" in first
    observed = replace(bad, observed_list=-9.0, observed_drafts={"aft": 1.0}, observed_roll_period=1.0)
    told = assess(ship, observed)
    assert len(told.findings) > len(first)
    assert told.displacement == results[0].displacement
    assert told.situation.flotation == results[0].situation.flotation
    assert told.situation.rest == results[0].situation.rest
    assert said(told.criteria) == said(results[0].criteria)


# --- deck cargo ------------------------------------------------------------------------------------------------


def test_deck_cargo_without_lateral_area_is_pointed_out_line_by_line():
    given = condition(deck_cargo_without_area=(0, 2), deck_cargo_of_no_area=(1,))
    said = [f for f in assess(vessel(), given).findings if f.code.startswith("deck_cargo")]
    assert [(f.code, f.severity, f.place) for f in said] == [
        ("deck_cargo_without_wind_area", CAUTION, ("weights", 0)),
        ("deck_cargo_without_wind_area", CAUTION, ("weights", 2)),
        ("deck_cargo_area_zero", INFO, ("weights", 1)),
    ]


# --- what is left of them where she has no drafts ----------------------------------------------------------------


def test_without_drafts_what_needs_no_drafts_is_still_said():
    """The densities, the tanks, the weights; nothing of propeller, view, observed drafts or trim."""
    ship = full_vessel()
    heavy = Weight(60_000.0, 50.0, 6.0, BREADTH + 1.0, "cargo")
    given = condition(
        line(ship, "BP", density=1.2, fill=101.0),
        weights=[heavy],
        water_density=0.9,
        observed_list=-9.0,
        observed_drafts={"aft": 1.0},
        observed_roll_period=1.0,
    )
    result = assess(ship, given)
    assert result.situation.flotation is None
    assert {f.code for f in result.findings} == {
        "no_stability_criteria",
        "tank_overfull",
        "density_unusual",
        "partner_tank_not_mentioned",
        "tanks_not_mentioned",
        "weight_outside_ship",
        "water_density_unusual",
    }
