"""Passenger ships: 2008 IS Code Part A 3.1 (10 degrees, 75 kg, 1.0 m above the deck: read in A.749(18) 3.1.2 and
3.5.2; four on a square metre secondary; 0.200 of the turning moment from memory). Curves are cubics: the lever that
holds her at a heel is a closed form."""

from math import cos, inf, radians

import pytest

from service.core.assessment import assess
from service.core.passenger import (
    PassengerLine,
    PassengerSpace,
    crowd_of,
    crowded_at,
    crowding_moment,
    is_overcrowded,
    on_board,
)
from service.core.rules.catalogue import binding_sets
from service.core.rules.is_code_2008_a_3_1 import LIMITS, RULE_SET, turning_moment
from service.core.rules.limit import CONDITION, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP
from service.core.weight import Weight
from tests.core.ship import (
    condition,
    cubic_lever,
    details,
    heeled,
    just_around,
    particulars,
    situation,
    vessel,
)
from tests.core.type_rules import judged, lever, verdicts_of, without_a_curve

AROUND = [PASS, PASS, FAIL]
DECK = PassengerSpace("A", 40.0, 8.0, 20.0, 6.0)
NAMES = [RULE_SET.name]


def ferry(**changes):
    given = particulars(**{"service_speed": 18.0, **changes})
    return vessel(particulars=given, passenger_spaces=(DECK,), rule_sets=(RULE_SET.name,))


def rows_of(slope: float, *curve, number: int = 240, ship=None, draft: float = 6.0, **changes):
    given = condition(passengers=(PassengerLine(0, number),))
    return judged(
        RULE_SET, slope, *curve, ship=situation(1.0, ship or ferry(), draft, given=given), **changes
    )


def test_limits_and_what_is_recalled():
    assert [row.limit for row in LIMITS] == [10.0, 10.0]
    assert all(row.from_memory for row in LIMITS)


def test_a_crowd_stands_in_a_strip_at_the_side():
    """240 on 20 m at four on a square metre take 3 m of the breadth: 4.5 m off the centreline, 18 t, 81 t.m."""
    line = PassengerLine(0, 240)
    assert line.mass == pytest.approx(18.0)
    assert crowded_at(line, DECK) == pytest.approx(4.5)
    assert crowding_moment([line], [DECK]) == pytest.approx(81.0)


@pytest.mark.parametrize("number", [480, 481, 960, 2000])
def test_more_than_reach_the_centreline_never_lessen_the_moment(number):
    """480 on 20 m at four on a square metre reach the centreline, 3 m from it in the mean: 36 t, 108 t.m, the greatest
    that this deck can have. A.749(18) 3.1.2.5: the most unfavourable combination that may be obtained in practice."""
    line = PassengerLine(0, number)
    assert crowd_of(line, DECK) == pytest.approx(480.0)
    assert crowded_at(line, DECK) == pytest.approx(3.0)
    assert crowding_moment([line], [DECK]) == pytest.approx(108.0)


def test_more_passengers_never_heel_her_less():
    moments = [crowding_moment([PassengerLine(0, number)], [DECK]) for number in range(0, 1200, 7)]
    assert moments == sorted(moments)


@pytest.mark.parametrize(("number", "over"), [(960, False), (961, True)])
def test_a_space_is_full_at_four_on_a_square_metre(number, over):
    assert is_overcrowded(PassengerLine(0, number), DECK) is over
    narrow = DECK._replace(area=100.0)
    assert is_overcrowded(PassengerLine(0, 401), narrow)
    found = assess(ferry(), condition(passengers=(PassengerLine(0, number),)))
    assert ("space_overcrowded" in [finding.code for finding in found.findings]) is over


def test_passengers_are_added_a_metre_above_their_deck():
    (added,) = on_board([PassengerLine(0, 240, 0.08)], [DECK])
    assert added.weight == Weight(pytest.approx(19.2), 40.0, 9.0, 0.0, "other")
    assert on_board([PassengerLine(0, 0)], [DECK]) == []
    empty, full = (
        assess(ferry(), condition()),
        assess(ferry(), condition(passengers=(PassengerLine(0, 240),))),
    )
    assert full.displacement.mass - empty.displacement.mass == pytest.approx(18.0)
    assert [each.name for each in full.added] == ["Passengers, A"]


def test_passengers_among_the_weights_as_well_are_pointed_out():
    crew = Weight(18.0, 40.0, 9.0, 0.0, "passengers")
    twice = assess(ferry(), condition(weights=[crew], passengers=(PassengerLine(0, 240),)))
    assert "passengers_twice" in [finding.code for finding in twice.findings]
    once = assess(ferry(), condition(weights=[crew]))
    assert "passengers_twice" not in [finding.code for finding in once.findings]


def test_crowding_just_below_at_and_just_above_10_degrees():
    """81 t.m on 9,000 t: the lever 0.009 m falls with the cosine of the heel."""
    given = [rows_of(0.009 * cos(radians(a)) / lever(a)) for a in just_around(10.0)]
    assert [rows["crowding"].attained for rows in given] == pytest.approx(just_around(10.0), rel=1e-8)
    assert verdicts_of("crowding", given) == AROUND
    shown = details(given[0]["crowding"])
    assert (shown["passengers"], shown["heeling_moment"]) == (240.0, pytest.approx(81.0))


def test_the_turning_moment_by_hand():
    """v 8 m/s, L 90 m, 9,000 t, KG 7.1 m, d 5 m: 0.2 x 64 / 90 x 9000 x 4.6 kN.m."""
    assert turning_moment(8.0, 90.0, 9000.0, 7.1, 5.0) == pytest.approx(5888.0)


def test_turning_just_below_at_and_just_above_10_degrees():
    """Constant lever: 0.2 (18 kn)^2 / 102 m x (6.4 - 3) m / 9.81."""
    arm = 0.2 * (18.0 * 1852.0 / 3600.0) ** 2 / 102.0 * (6.4 - 3.0) / 9.81
    given = [rows_of(arm / lever(a)) for a in just_around(10.0)]
    assert details(given[0]["turning"])["heeling_lever"] == pytest.approx(arm, rel=1e-12)
    assert [rows["turning"].attained for rows in given] == pytest.approx(just_around(10.0), rel=1e-8)
    assert verdicts_of("turning", given) == AROUND


def test_a_list_of_her_own_adds_to_the_heel_on_its_side():
    curve = cubic_lever(1.0, 35.0)
    given = condition(passengers=(PassengerLine(0, 240),))
    where = situation(1.0, ferry(), given=given)
    port, starboard = (RULE_SET.judged(where, heeled(curve.leaning(tcg)))[0] for tcg in (0.03, -0.03))
    even = RULE_SET.judged(where, heeled(curve))[0]
    assert port.attained > even.attained > starboard.attained


def test_nobody_aboard_is_no_such_cargo():
    row = rows_of(1.0, number=0)["crowding"]
    assert (row.verdict, row.because) == (NOT_APPLICABLE, CONDITION)
    assert row.reason == "no such cargo or operation in this condition"


def test_passengers_given_as_weights_cannot_crowd():
    given = condition(weights=[Weight(18.0, 40.0, 9.0, 0.0, "passengers")])
    row = judged(RULE_SET, 1.0, ship=situation(1.0, ferry(), given=given))["crowding"]
    assert row.verdict == NOT_COMPUTABLE
    gone = condition(weights=[given.weights[0]._replace(mass=0.0)])
    row = judged(RULE_SET, 1.0, ship=situation(1.0, ferry(), given=gone))["crowding"]
    assert row.verdict == NOT_APPLICABLE


@pytest.mark.parametrize("name", ["service_speed", "length_waterline"])
def test_without_speed_or_length_a_turn_is_not_judged(name):
    row = rows_of(1.0, ship=ferry(**{name: None}))["turning"]
    assert row.verdict == NOT_COMPUTABLE
    assert name in row.reason


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True)])
def test_it_is_for_ships_of_24_m_and_above(length, applies):
    rows = rows_of(1.0, ship=ferry(length_load_line=length)).values()
    assert {row.verdict for row in rows} == ({PASS} if applies else {NOT_APPLICABLE})
    assert {row.because for row in rows} == ({None} if applies else {SHIP})


def test_a_heeling_lever_above_every_lever_or_an_early_opening_fails():
    assert {row.verdict for row in rows_of(1e-4).values()} == {FAIL}
    assert {row.verdict for row in rows_of(0.05, flooding=0.2).values()} == {FAIL}
    assert {row.verdict for row in rows_of(1.0, flooding=None).values()} == {NOT_COMPUTABLE}
    given = condition(passengers=(PassengerLine(0, 240),))
    assert {row.verdict for row in without_a_curve(RULE_SET, ship=ferry(), given=given).values()} == {
        NOT_COMPUTABLE
    }
    assert rows_of(1.0, flooding=inf)["crowding"].verdict == PASS


def test_the_general_and_the_weather_criteria_bind_beside_it():
    beside = ["is-code-2008-a-2.2", "is-code-2008-a-2.3"]
    assert [s.name for s in binding_sets(ferry(), condition())] == [*beside, *NAMES, "afloat"]


def test_the_alternative_to_the_general_criteria_stands_instead_of_them():
    listed = condition(rule_sets=("is-code-2008-a-2.2.3-alternative",))
    beside = ["is-code-2008-a-2.2.3-alternative", "is-code-2008-a-2.3"]
    assert [s.name for s in binding_sets(ferry(), listed)] == [*beside, *NAMES, "afloat"]
