"""At sea and in port: what counts for the verdict, and what is said about the rest.

Common practice, no source: criteria for the sea are computed in port as well, and do not decide there.
"""

import pytest

from service.core.assessment import assess
from service.core.rules.catalogue import CATALOGUE
from service.core.rules.limit import ALWAYS, AT_SEA, FAIL, IN_PORT, PHASES
from service.core.weight import Weight
from tests.core.ship import condition, opening, vessel

SEA = ("is-code-2008-a-2.2",)
HIGH = Weight(4000.0, 53.0, 7.6, 0.0, "cargo")
"""Cargo so high that GM is positive and the criteria for the sea are not met."""


def judged(*, in_port: bool, cargo: Weight = HIGH, sets: tuple[str, ...] = SEA, **changes):
    ship = vessel(rule_sets=sets, **changes)
    return assess(ship, condition(weights=[cargo], in_port=in_port))


def test_every_set_says_when_it_counts():
    assert all(rule_set.applies in PHASES for rule_set in CATALOGUE.values())
    assert CATALOGUE["afloat"].applies == ALWAYS
    assert CATALOGUE["is-code-2008-a-2.2"].applies == AT_SEA
    # a mark is not to be submerged in port either; limits of strength and her own limits have those of the harbour
    assert all(CATALOGUE[name].applies == ALWAYS for name in ("load-lines", "vessel-strength", "own-limits"))


@pytest.mark.parametrize("applies", PHASES)
@pytest.mark.parametrize("in_port", [False, True])
def test_a_row_counts_in_its_phase(applies, in_port):
    rule_set = CATALOGUE["is-code-2008-a-2.2"]
    row = rule_set.limits[0]
    given = row.__class__(**{**row.__dict__, "applies": applies})
    assert rule_set.counts(given, in_port) is (applies == ALWAYS or (applies == IN_PORT) is in_port)
    assert rule_set.counts(row, in_port) is not in_port  # the set's own


def test_in_port_the_criteria_for_the_sea_are_computed_and_do_not_count():
    at_sea, in_port = judged(in_port=False), judged(in_port=True)
    assert 0.0 < at_sea.situation.gm_corrected < 0.15
    assert at_sea.verdict == "fail"
    assert in_port.verdict == "pass"
    assert [(c.row.id, c.verdict, c.attained) for _, c in in_port.criteria] == [
        (c.row.id, c.verdict, c.attained) for _, c in at_sea.criteria
    ]
    counting = {c.row.id for rule_set, c in in_port.criteria if in_port.counts(rule_set, c)}
    assert counting == {"afloat-equilibrium", "afloat-gm", "afloat-openings"}


def test_in_port_it_is_said_what_she_could_not_sail_with():
    at_sea, in_port = judged(in_port=False), judged(in_port=True)
    assert "sea_criteria_not_met" not in [finding.code for finding in at_sea.findings]
    (found,) = [finding for finding in in_port.findings if finding.code == "sea_criteria_not_met"]
    failed = [c.row.id for _, c in in_port.criteria if c.verdict == FAIL]
    assert failed
    assert all(id in found.message for id in failed)
    assert found.severity == "caution"
    low = judged(in_port=True, cargo=Weight(4000.0, 53.0, 5.0, 0.0, "cargo"))
    assert "sea_criteria_not_met" not in [finding.code for finding in low.findings]


def test_in_port_she_must_float_with_positive_gm_and_dry_openings():
    capsized = judged(in_port=True, cargo=Weight(4000.0, 53.0, 12.0, 0.0, "cargo"))
    assert capsized.verdict == "fail"
    wet = judged(in_port=True, openings=(opening("low", 7.0, 3.0),))
    assert wet.verdict == "fail"


def test_in_port_a_listed_set_must_still_judge_something():
    """Without a set for stability she never passes, in port no more than at sea."""
    assert judged(in_port=True, sets=()).verdict == "incomplete"
