"""Lifting: 46 CFR 173.005(b) and 173.020 (moment and areas read, the angles that end the area from memory), and
2008 IS Code Part B 2.9, whose application was read and whose criteria were not: figures only."""

from math import degrees, inf

import pytest

from service.core.assessment import assess
from service.core.lift import Lift, threshold
from service.core.opening import DeckEdge
from service.core.rules import cfr_46_173_020, is_code_2008_b_2_9
from service.core.rules.limit import CONDITION, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS
from tests.core.ship import condition, details, just_around, particulars, situation, vessel
from tests.core.type_rules import area, judged, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]
CFR, IMO = cfr_46_173_020.RULE_SET, is_code_2008_b_2_9.RULE_SET
EDGE = DeckEdge(((0.0, 8.0, 9.5), (40.0, 8.0, 8.0), (60.0, 8.0, 8.4)))
HEAVY = Lift("Pile", 300.0, 50.0, 20.0, 30.0)


def crane_ship(service: str | None = "exposed", edge: DeckEdge | None = EDGE, **changes):
    return vessel(particulars=particulars(service=service, **changes), deck_edge=edge)


def rows_of(
    rule_set, slope: float = 5.0, *curve, lift: Lift | None = HEAVY, ship=None, gm: float = 1.0, **changes
):
    where = situation(gm, ship or crane_ship(), given=condition(lift=lift))
    return judged(rule_set, slope, *curve, ship=where, **changes)


def test_the_moment_from_which_it_applies_by_hand():
    """2,400 t, GM 0.9 m, freeboard 1.8 m, breadth 15 m."""
    assert threshold(2400.0, 0.9, 1.8, 15.0) == pytest.approx(0.67 * 2400.0 * 0.9 * 0.12)
    assert Lift(None, 22.0, 0.0, -14.0, 9.0).heeling_moment == pytest.approx(308.0)


def test_the_freeboard_amidships_is_between_the_points_on_either_side():
    shown = details(rows_of(CFR)["area"])
    assert shown["midship_freeboard"] == pytest.approx(8.2 - 6.0)
    assert shown["applies_from"] == pytest.approx(0.67 * 9000.0 * 1.0 * 2.2 / 16.0)


@pytest.mark.parametrize(("part", "verdict"), [(0.999, NOT_APPLICABLE), (1.0001, PASS)])
def test_the_us_rule_applies_from_that_moment(part, verdict):
    moment = threshold(9000.0, 1.0, 2.2, 16.0)
    row = rows_of(CFR, lift=HEAVY._replace(mass=part * moment / 20.0))["area"]
    assert row.verdict == verdict
    assert row.because == (CONDITION if verdict == NOT_APPLICABLE else None)
    assert ("less than 0.67 W GM F / B" in (row.reason or "")) is (verdict == NOT_APPLICABLE)


@pytest.mark.parametrize(
    ("service", "limit"),
    [("exposed", 4.57), (None, 4.57), ("partially_protected", 3.05), ("protected", 3.05)],
)
@pytest.mark.parametrize(
    ("maximum", "flooding", "to"), [(35.0, inf, 35.0), (44.0, inf, 40.0), (44.0, 33.0, 33.0)]
)
def test_the_area_around_its_limit(service, limit, maximum, flooding, to):
    per_slope = degrees(area(to, maximum))
    ship = crane_ship(service)
    given = [rows_of(CFR, v / per_slope, maximum, flooding, ship=ship) for v in just_around(limit)]
    assert [rows["area"].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-8)
    assert verdicts_of("area", given) == AROUND


def test_the_load_hangs_at_the_head_of_the_crane():
    ship = crane_ship()
    free, lifting = assess(ship, condition()), assess(ship, condition(lift=HEAVY._replace(mass=50.0)))
    mass = free.displacement.mass
    assert lifting.displacement.mass == pytest.approx(mass + 50.0)
    expected = (mass * free.displacement.vcg_solid + 50.0 * 30.0) / (mass + 50.0)
    assert lifting.displacement.vcg_solid == pytest.approx(expected, rel=1e-12)
    assert lifting.displacement.tcg == pytest.approx(50.0 * 20.0 / (mass + 50.0), rel=1e-12)
    assert [(each.name, each.reason) for each in lifting.added] == [("Pile", "hook_load")]
    assert lifting.situation.rest.list_angle > 0.0


def test_a_lift_over_starboard_is_the_mirror_of_one_over_port():
    ship = vessel(particulars=crane_ship().particulars, deck_edge=EDGE, rule_sets=(CFR.name, IMO.name))
    lifts = [HEAVY._replace(mass=60.0, y=y) for y in (20.0, -20.0)]
    sides = [assess(ship, condition(lift=lift)) for lift in lifts]
    rows = [{c.row.id: (c.verdict, c.attained, c.required) for _, c in found.criteria} for found in sides]
    assert rows[0][f"{CFR.name}-area"][1] is not None
    assert rows[0] == {id: (v, a and pytest.approx(a, rel=1e-9), r) for id, (v, a, r) in rows[1].items()}
    assert sides[0].situation.rest.list_angle == pytest.approx(-sides[1].situation.rest.list_angle)


@pytest.mark.parametrize("rule_set", [CFR, IMO])
def test_without_a_lift_there_is_no_such_operation(rule_set):
    for rows in (rows_of(rule_set, lift=None), without_a_curve(rule_set)):
        assert {(row.verdict, row.because) for row in rows.values()} == {(NOT_APPLICABLE, CONDITION)}
        assert {row.reason for row in rows.values()} == {"no such cargo or operation in this condition"}


@pytest.mark.parametrize("rule_set", [CFR, IMO])
def test_without_a_freeboard_it_is_open_whether_it_applies(rule_set):
    light = HEAVY._replace(z=6.0)  # no rise of the VCG
    rows = rows_of(rule_set, ship=crane_ship(edge=None, depth=None), lift=light)
    assert {row.verdict for row in rows.values()} == {NOT_COMPUTABLE}


def test_unknown_flooding_is_never_a_pass():
    assert rows_of(CFR, flooding=None)["area"].verdict == NOT_COMPUTABLE


@pytest.mark.parametrize(("part", "applies"), [(0.999, False), (1.0, False), (1.0001, True)])
def test_the_code_applies_above_that_moment_to_the_least_freeboard(part, applies):
    """Least freeboard 2.0 m; a load at the height of her own centre raises nothing."""
    moment = threshold(9000.0, 1.0, 2.0, 16.0)
    lift = HEAVY._replace(mass=part * moment / 20.0, z=6.0)
    verdicts = {row.verdict for row in rows_of(IMO, lift=lift).values()}
    assert verdicts == ({NOT_COMPUTABLE} if applies else {NOT_APPLICABLE})


@pytest.mark.parametrize(("rise", "applies"), [(0.0099, False), (0.0101, True)])
def test_the_code_applies_where_a_lift_raises_the_vcg_by_more_than_1_percent(rise, applies):
    """Over the centreline: 9,000 t with KG 6.4 m, of which 100 t at the height that raises it so."""
    without = 6.4 / (1.0 + rise)
    z = (9000.0 * 6.4 - 8900.0 * without) / 100.0
    verdicts = {row.verdict for row in rows_of(IMO, lift=Lift(None, 100.0, 50.0, 0.0, z)).values()}
    assert verdicts == ({NOT_COMPUTABLE} if applies else {NOT_APPLICABLE})


def test_the_code_shows_figures_and_judges_nothing():
    assert all(not row.judges and row.from_memory for row in IMO.limits)
    ship = vessel(particulars=crane_ship().particulars, deck_edge=EDGE, rule_sets=(IMO.name,))
    found = assess(ship, condition(lift=HEAVY._replace(mass=60.0)))
    rows = {c.row.id.removeprefix(f"{IMO.name}-"): c for rule_set, c in found.criteria if rule_set is IMO}
    assert {row.verdict for row in rows.values()} == {NOT_COMPUTABLE}
    assert rows["heel"].attained == pytest.approx(abs(found.situation.rest.list_angle), rel=1e-6)
    assert 0.0 < rows["freeboard"].attained < 2.2
    assert {row.reason for row in rows.values()} == {"the clause could not be read; figure for information"}
    assert found.verdict == "incomplete"
