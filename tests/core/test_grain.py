"""Whole assessments with grain aboard: what it binds, what it changes, and what is pointed out about it.

International Grain Code (MSC.23(59)) A 7.1, clause by clause: test_rules_grain_code_1991.py. Findings: common practice,
no source.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.assessment import Assessment, assess
from service.core.grain import (
    FILLED_TRIMMED,
    FILLED_UNTRIMMED,
    FILLINGS,
    PARTLY_FILLED,
    VCG_BASES,
    VCG_OF_CARGO,
    VCG_OF_HOLD,
    GrainLine,
    grain_mass,
)
from service.core.rules.grain_code_1991 import AREA, LIMITS, NAME
from service.core.rules.limit import NOT_APPLICABLE, PASS
from service.core.weight import Weight
from tests.core.ship import RULE_SETS, SALT, condition, details, full_vessel, opening, said
from tests.core.test_any_condition import GAPS, afloat, check
from tests.core.test_rules_grain_code_1991 import HOLDS, LINE

GRAIN_SHIP = full_vessel(holds=HOLDS)
GRAIN = (
    GrainLine(0, PARTLY_FILLED, 900.0, 1.4, None, VCG_OF_CARGO),
    GrainLine(1, FILLED_TRIMMED, None, 1.3, 600.0, VCG_OF_HOLD),
)


def carrying(
    *grain: GrainLine, tcg: float = 0.0, ship: object = GRAIN_SHIP, mass: float = 4000.0
) -> Assessment:
    cargo = Weight(mass, 53.0, 5.6, tcg, "cargo")
    return assess(ship, condition(rule_sets=(NAME,), grain=grain, weights=[cargo]))


def test_without_grain_nothing_was_checked():
    assert carrying().verdict == "incomplete"
    assert carrying(*GRAIN).verdict == "pass"


def test_grain_aboard_binds_the_code_though_nobody_listed_it():
    """Bound by it alone she is still incomplete: no set that anybody listed judges her."""
    cargo = Weight(4000.0, 53.0, 5.6, 0.0, "cargo")
    result = assess(GRAIN_SHIP, condition(grain=GRAIN, weights=[cargo]))
    assert {c.verdict for s, c in result.criteria if s.name == NAME} == {PASS}
    assert result.verdict == "incomplete"
    listed = assess(GRAIN_SHIP, condition(grain=GRAIN, weights=[cargo], rule_sets=("is-code-2008-a-2.2",)))
    assert {s.name for s, _ in listed.criteria} >= {NAME, "is-code-2008-a-2.2"}
    assert listed.verdict == "pass"


def test_grain_of_one_condition_does_not_stay_for_the_next():
    """Laden, empty, laden again."""
    first, empty, again = (carrying(*lines).criteria for lines in (GRAIN, (), GRAIN))
    assert said(first) == said(again)
    assert {criterion.verdict for s, criterion in empty if s.name == NAME} == {NOT_APPLICABLE}


GRAIN_LINES = st.builds(
    GrainLine,
    st.integers(0, 1),
    st.sampled_from(FILLINGS),
    st.one_of(st.none(), st.floats(0.0, 3000.0)),
    st.floats(0.003, 1000.0),
    st.one_of(st.none(), st.floats(0.0, 1e5), st.floats(0.0, 1e12)),
    st.sampled_from(VCG_BASES),
)


@settings(max_examples=100, deadline=None)
@given(
    st.sampled_from([{}, *GAPS]),
    afloat(),
    st.lists(GRAIN_LINES, max_size=2, unique_by=lambda line: line.hold),
)
def test_any_grain_is_answered_without_holes(gap, given_condition, lines):
    """Whatever the booklet lacks; a pass of the whole means that every clause of grain was checked."""
    laden_so = replace(given_condition, grain=lines, rule_sets=(*RULE_SETS, NAME))
    result = check(replace(GRAIN_SHIP, **gap), laden_so)
    if lines and result is not None and result.verdict == "pass":
        verdicts = {c.row.id: c.verdict for s, c in result.criteria if s.name == NAME}
        assert verdicts == {row.id: PASS for row in LIMITS}


def test_port_and_starboard_mirrored():
    ship = full_vessel(holds=HOLDS, openings=(opening("P", 6.0, 11.0), opening("S", -6.0, 11.0)))
    port, starboard, upright = (
        [criterion for s, criterion in carrying(*GRAIN, tcg=tcg, ship=ship).criteria if s.name == NAME]
        for tcg in (0.15, -0.15, 0.0)
    )
    for one, other in zip(port, starboard):
        assert one.attained == pytest.approx(other.attained, rel=1e-12)
    assert port[0].attained > upright[0].attained, "her own list adds to that of the grain"
    assert port[1].attained < upright[1].attained


def test_openings_that_differ_are_judged_on_the_worse_side():
    """Starboard floods first, 9 m up against 10 m: its smaller area counts."""
    ship = full_vessel(holds=HOLDS, openings=(opening("P", 6.0, 10.0), opening("S", -6.0, 9.0)))
    result = carrying(*GRAIN, ship=ship)
    flooding = result.situation.waterplane.immersion_angle(50.0, 6.0, 9.0)
    shown = details(next(c for _, c in result.criteria if c.row is AREA))
    assert shown["side"] == "starboard"
    assert shown["flooding_angle"] == pytest.approx(flooding, abs=1e-9)


def test_grain_lines_alone_change_no_other_figure():
    bare, with_grain = assess(GRAIN_SHIP, condition()), assess(GRAIN_SHIP, condition(grain=GRAIN))
    assert bare.situation.gm_corrected == with_grain.situation.gm_corrected
    assert bare.displacement == with_grain.displacement
    assert bare.situation.flotation == with_grain.situation.flotation


@pytest.mark.parametrize(
    ("factor", "said"), [(0.99, True), (1.0, False), (3.0, False), (3.01, True), (45.0, True)]
)
def test_a_stowage_factor_in_the_wrong_unit_is_pointed_out(factor, said):
    result = carrying(GRAIN[1], LINE._replace(stowage_factor=factor))
    found = {finding.code: finding for finding in result.findings}
    assert ("stowage_factor_unusual" in found) == said
    if said:
        assert found["stowage_factor_unusual"].place == ("grain", 1, "stowage_factor")


@pytest.mark.parametrize(
    ("line", "mass"),
    [
        (LINE._replace(stowage_factor=1.25), 1600.0),
        (LINE._replace(filling=FILLED_UNTRIMMED, volume=10.0), 2000.0 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=900.0), 900.0 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED), 0.0),
        (LINE._replace(hold=1), 3000.0 / 1.3),
    ],
)
def test_the_mass_of_grain_that_fills_a_hold(line, mass):
    assert grain_mass(line, HOLDS) == pytest.approx(mass, rel=1e-12)


@pytest.mark.parametrize(("mass", "said"), [(1200.0, True), (1279.0, True), (1281.0, False), (1600.0, False)])
def test_grain_without_its_mass_is_pointed_out(mass, said):
    """2000 m3 at 1.25 m3/t would weigh 1600 t; under four fifths of it is said."""
    given_condition = condition(
        grain=(LINE._replace(stowage_factor=1.25),),
        rule_sets=(NAME,),
        weights=[Weight(mass, 53.0, 5.6, 0.0, "cargo"), Weight(2500.0, 53.0, 5.6, 0.0, "other")],
        water_density=SALT,
    )
    codes = {finding.code for finding in assess(GRAIN_SHIP, given_condition).findings}
    assert ("grain_mass_missing" in codes) == said
