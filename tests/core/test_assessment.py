"""The chain as a whole: sums, verdicts, and one condition after another.

Truth: first moments by hand and definitions; no figure of our own. What does not change the answer: test_invariants.py;
the less favourable side: test_less_favourable_side.py; what could not be computed: test_gaps.py.
"""

from dataclasses import replace
from math import sqrt
from typing import Any

import pytest

from service.core.assessment import Assessment, assess
from service.core.condition import Condition, TankLine
from service.core.errors import CoreError, SeveralErrors
from service.core.free_surface import BASES
from service.core.rules.limit import CONDITION, NOT_APPLICABLE, PASS
from service.core.vessel import Vessel
from service.core.weight import Weight
from tests.core.figures import aboard, figures
from tests.core.ship import (
    CARGO_WEIGHT,
    LCF,
    LENGTH,
    RULE_SETS,
    box_tank,
    condition,
    full_vessel,
    line,
    opening,
    particulars,
    vessel,
    wet_at,
)

SHIP = full_vessel()


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
    assert result.situation.gm_solid == pytest.approx(
        result.situation.flotation.km - load.vcg_solid, rel=1e-14
    )


def test_the_answer_belongs_to_the_condition_and_the_ship():
    given = aboard()
    result = assess(SHIP, given)
    assert result.condition is result.situation.condition is given
    assert result.situation.vessel is SHIP
    assert len(result.liquids) == len(result.surfaces.surfaces) == len(given.tanks)


def test_the_roll_period_needs_a_length_on_the_waterline():
    known = assess(vessel(), condition())
    c = 0.373 + 0.023 * 16.0 / known.situation.flotation.draft_midship - 0.043 * 1.02
    assert known.roll_period == pytest.approx(2.0 * c * 16.0 / sqrt(known.situation.gm_corrected), rel=1e-14)
    assert assess(vessel(particulars=particulars(length_waterline=None)), condition()).roll_period is None


def test_wind_and_deck_edge_are_those_at_her_draft_amidships():
    """Area 900 m2 at 2 m, 500 at 8 m; 10 m2 and 120 m3 of deck cargo added."""
    situation = assess(SHIP, condition(wind_area=10.0, wind_moment=120.0)).situation
    afloat_so = situation.flotation
    draft = afloat_so.draft_midship
    area, height = 900.0 - 400.0 * (draft - 2.0) / 6.0, 7.0 + 3.0 * (draft - 2.0) / 6.0
    assert situation.wind is not None
    assert situation.wind.area == pytest.approx(area + 10.0, rel=1e-12)
    assert situation.wind.height == pytest.approx((area * height + 120.0) / (area + 10.0), rel=1e-12)
    at_lcf, rise = afloat_so.draft_at_lcf, afloat_so.trim * (LCF - 50.0) / LENGTH
    # full_vessel's KN grows by half a centimetre for each metre by the head, at every tabulated heel: not a cubic
    assert situation.deck_edge == pytest.approx(wet_at(8.0, 9.0, at_lcf, rise), abs=0.03)
    half_way = 0.5 * (9.0 + afloat_so.draft_at(50.0))
    assert situation.half_freeboard == pytest.approx(wet_at(8.0, half_way, at_lcf, rise), abs=0.03)
    plain = assess(vessel(), condition()).situation
    at_lcf, rise = plain.flotation.draft_at_lcf, plain.flotation.trim * (LCF - 50.0) / LENGTH
    assert plain.deck_edge == pytest.approx(wet_at(8.0, 9.0, at_lcf, rise), abs=1e-8)


def test_without_profile_and_deck_edge_they_are_unknown():
    bare = assess(vessel(deck_edge=None), condition()).situation
    assert (bare.wind, bare.deck_edge, bare.half_freeboard) == (None, None, None)


# --- verdicts --------------------------------------------------------------------------------------------------


def verdict(ship: Vessel, *rules: str, **changes: Any) -> str:
    return assess(ship, condition(rule_sets=rules, **changes)).verdict


def unjudged(result: Assessment) -> list[str | None]:
    """Names of the sets that judged nothing; every one has a reason."""
    assert all(reason for _, reason in result.unjudged)
    return [None if rule_set is None else rule_set.name for rule_set, _ in result.unjudged]


def test_no_rule_set_is_incomplete():
    """What holds for every ship passes, and alone it passes nobody."""
    result = assess(vessel(), condition())
    assert [(rule_set.name, row.verdict) for rule_set, row in result.criteria] == [("afloat", PASS)] * 3
    assert (result.verdict, unjudged(result)) == ("incomplete", [None])


def test_marks_that_bind_by_themselves_are_no_set_that_was_asked_for():
    """Her booklet prints them, nobody listed a document: incomplete although they are met. Listed, they are judged."""
    marked = vessel(load_line_drafts={"S": 6.5})
    result = assess(marked, condition())
    assert {row.verdict for _, row in result.criteria} == {PASS}
    assert (result.verdict, unjudged(result)) == ("incomplete", [None])
    assert verdict(marked, "load-lines") == "pass"
    assert verdict(vessel(load_line_drafts={"S": 4.0})) == "fail"


@pytest.mark.parametrize("name", ["46-cfr-170.173", "46-cfr-170.173-b", "46-cfr-170.173-c"])
def test_a_set_asked_for_by_an_earlier_name_is_judged(name):
    """It is a set that was listed, whichever name a kept document uses."""
    assert (verdict(vessel(), name), unjudged(assess(vessel(), condition(rule_sets=(name,))))) == ("pass", [])


@pytest.mark.parametrize("by_ship", [True, False])
def test_everything_met_is_a_pass(by_ship):
    rules = ("is-code-2008-a-2.2",)
    ship = vessel(rule_sets=rules if by_ship else ())
    assert verdict(ship, *(() if by_ship else rules)) == "pass"


def test_one_that_could_not_be_checked_makes_it_incomplete():
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170") == "incomplete"
    assert verdict(vessel(openings=None), "is-code-2008-a-2.2") == "incomplete"


def test_a_fail_counts_although_another_could_not_be_checked():
    heavy = [CARGO_WEIGHT._replace(vcg=7.8)]
    assert verdict(vessel(), "is-code-2008-a-2.2", "46-cfr-170.170", weights=heavy) == "fail"


def test_what_holds_for_every_ship_fails_whatever_document_binds_or_none():
    """GM not positive; an opening under water upright."""
    sunk = vessel(openings=(opening("V", 0.0, 4.0),))
    short = particulars(length_load_line=20.0)
    for rules in ((), ("vessel-gm-limits",), ("is-code-2008-a-2.2",)):
        assert verdict(sunk, *rules) == "fail"
        assert verdict(vessel(particulars=short), *rules, weights=[CARGO_WEIGHT._replace(vcg=9.0)]) == "fail"


def test_a_set_that_does_not_apply_because_of_the_ship_makes_the_whole_incomplete():
    """She is too long for it: that another document passes does not make up for it."""
    long = vessel(particulars=particulars(length_load_line=120.0))
    for rules in (("46-cfr-170.173",), ("46-cfr-170.173", "is-code-2008-a-2.2")):
        result = assess(long, condition(rule_sets=rules))
        assert result.verdict == "incomplete"
        assert "46-cfr-170.173" in unjudged(result)
        reason = next(r for s, r in result.unjudged if s is not None)
        assert "under 100 m" in reason
    assert (None in unjudged(assess(long, condition(rule_sets=("46-cfr-170.173",))))) is True
    both = assess(long, condition(rule_sets=("46-cfr-170.173", "is-code-2008-a-2.2")))
    assert unjudged(both) == ["46-cfr-170.173"]


def test_a_set_that_does_not_apply_because_of_the_condition_is_silent():
    """No grain aboard: the grain code has nothing to say, and the rest passes."""
    result = assess(vessel(), condition(rule_sets=("is-code-2008-a-2.2", "grain-code")))
    assert (result.verdict, unjudged(result)) == ("pass", [])
    alone = assess(vessel(), condition(rule_sets=("grain-code",)))
    assert (alone.verdict, unjudged(alone)) == ("incomplete", [None])


def test_outside_validity_is_incomplete():
    shallow = vessel(wind_profile=SHIP.wind_profile, particulars=particulars(breadth=25.0))
    assert verdict(shallow, "is-code-2008-a-2.3") == "incomplete"


def test_deck_cargo_without_lateral_area_is_incomplete_where_a_document_reads_wind():
    windy = vessel(wind_profile=SHIP.wind_profile)
    assert verdict(windy, "is-code-2008-a-2.3") == "pass"
    assert verdict(windy, "is-code-2008-a-2.3", deck_cargo_without_area=(0,)) == "incomplete"
    assert verdict(windy, "is-code-2008-a-2.3", deck_cargo_of_no_area=(0,)) == "pass"
    assert verdict(windy, "is-code-2008-a-2.2", deck_cargo_without_area=(0,)) == "pass"


@pytest.mark.parametrize(
    ("missing", "row"),
    [
        ({"cross_curves": None}, "is-code-2008-a-2.2.1-area-to-30"),
        ({"openings": None}, "is-code-2008-a-2.2.1-area-to-30"),
        ({"wind_profile": None}, "is-code-2008-a-2.3.1-areas"),
        ({"deck_edge": None}, "46-cfr-170.170-gm"),
        ({"gm_limits": ()}, "vessel-gm-limits-min-gm"),
        ({"load_line_drafts": None}, "load-lines-draft"),
        ({"particulars": particulars(length_waterline=None)}, "is-code-2008-a-2.3.1-areas"),
        ({"particulars": particulars(bilge=None, bilge_keel_area=None)}, "is-code-2008-a-2.3.1-areas"),
    ],
)
def test_a_booklet_without_a_table_never_passes_every_rule(missing, row):
    """The ship that has everything passes all but what does not apply; each gap leaves a check undone."""
    whole = full_vessel(openings=())
    sound = condition(rule_sets=RULE_SETS)
    complete = assess(whole, sound)
    assert complete.verdict == "pass"
    assert {row.because for _, row in complete.criteria if row.verdict == NOT_APPLICABLE} == {CONDITION}
    result = assess(replace(whole, **missing), sound)
    assert result.verdict == "incomplete"
    undone = {c.row.id: c for _, c in result.criteria if c.verdict not in (PASS, NOT_APPLICABLE)}
    assert row in undone
    assert all(criterion.reason for criterion in undone.values())


def test_clauses_come_in_the_order_of_the_catalogue_and_of_their_document():
    result = assess(SHIP, replace(aboard(), rule_sets=tuple(reversed(RULE_SETS))))
    names = list(dict.fromkeys(rule_set.name for rule_set, _ in result.criteria))
    assert names == [rule_set.name for rule_set in result.sets] == [*RULE_SETS, "afloat"]
    for rule_set in result.sets:
        rows = [criterion.row for found, criterion in result.criteria if found is rule_set]
        ids = [row.id for row in rows]
        if rule_set.name == "vessel-gm-limits":
            ids = [id.removesuffix("-own") for id in ids]
            assert ids == ["vessel-gm-limits-min-gm"]
        else:
            assert ids == [row.id for row in rule_set.limits]


# --- one condition after another -------------------------------------------------------------------------------

OFF_TABLE = replace(aboard(), weights=[Weight(50000.0, 50.0, 5.0)])
GONE = replace(aboard(), weights=[Weight(-50000.0, 50.0, 5.0)])
SPILT = replace(aboard(), tanks=[TankLine(0, "volume", 4000.0, 1.0, "fuel_oil")])
CAPSIZED = replace(aboard(), weights=[CARGO_WEIGHT._replace(vcg=12.0)])
TRIMMED = replace(aboard(), weights=[CARGO_WEIGHT._replace(lcg=80.0)])
REFUSED = (GONE, SPILT)
INCOMPLETE = (OFF_TABLE, CAPSIZED, TRIMMED)
"""Answered as far as they go."""


def good() -> list[Condition]:
    """Conditions on every basis, one in fresh water, one without tanks under other rules."""
    loaded = [aboard(basis=basis, BP=fill) for basis in BASES for fill in (0.0, 35.0, 97.96, 103.0)]
    return [
        *loaded,
        replace(aboard(), water_density=1.0),
        replace(aboard(), rule_sets=("load-lines",), tanks=[]),
    ]


@pytest.mark.parametrize(
    ("given", "error", "words"), [(GONE, CoreError, "masses removed"), (SPILT, SeveralErrors, "volume")]
)
def test_a_condition_that_contradicts_her_booklet_raises_one_error(given, error, words):
    with pytest.raises(CoreError, match=words) as caught:
        assess(SHIP, given)
    assert type(caught.value) is error


def test_every_tank_line_off_its_table_is_named_in_order():
    lines = [
        TankLine(1, "sounding", 9.0, 1.0, "ballast"),
        TankLine(0, "fill", 50.0, 1.0, "ballast"),
        TankLine(3, "ullage", 7.0, 1.0, "ballast"),
        TankLine(2, "mass", 9e6, 1.0, "ballast"),
    ]
    with pytest.raises(SeveralErrors) as caught:
        assess(SHIP, condition(*lines))
    assert [(error.tank, error.quantity) for error in caught.value.errors] == [
        (1, "sounding"),
        (3, "ullage"),
        (2, "volume"),
    ]
    with pytest.raises(SeveralErrors) as alone:
        assess(SHIP, condition(lines[0]))
    assert len(alone.value.errors) == 1


def test_assessing_one_condition_does_not_change_the_next():
    """The same ship, in any order, refused and incomplete ones between: every figure is the same bit for bit."""
    conditions = good()
    first = [figures(assess(SHIP, given)) for given in conditions]
    for given in REFUSED:
        with pytest.raises(CoreError):
            assess(SHIP, given)
    assert [assess(SHIP, given).verdict for given in INCOMPLETE] == ["incomplete", "fail", "incomplete"]
    again = [figures(assess(SHIP, given)) for given in reversed(conditions)]
    assert list(reversed(again)) == first
    fresh = full_vessel()
    assert figures(assess(fresh, conditions[-1])) == first[-1]
    assert first[0] != first[1]


def test_a_tank_that_cannot_hold_so_much_is_refused_before_anything_is_answered():
    """Though her displacement is off the tables too, which is answered."""
    bad = condition(TankLine(0, "volume", 4000.0, 1.0, "fuel_oil"), weights=[Weight(50000.0, 50.0, 5.0)])
    with pytest.raises(SeveralErrors) as caught:
        assess(SHIP, bad)
    assert [error.quantity for error in caught.value.errors] == ["volume"]


def test_a_condition_without_tanks():
    bare = assess(SHIP, replace(aboard(), tanks=[]))
    assert (bare.liquids, bare.surfaces.surfaces, bare.surfaces.judged.assumed) == ([], [], [])
    assert bare.displacement.free_surface_moment == 0.0
    assert assess(SHIP, aboard()).displacement.mass > bare.displacement.mass
