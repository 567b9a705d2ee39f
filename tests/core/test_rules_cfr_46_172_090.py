"""Tank barges: 46 CFR 172.090. Areas of 1.52, 3.05 and 4.57 m.degree, GM = K B / fe with K 0.3, 0.4 and 0.5 and fa
were read; that fe = f + fa, and that b is the trunk's breadth, are values from memory."""

from dataclasses import replace
from math import degrees, inf

import pytest

from service.core.opening import DeckEdge
from service.core.rules.cfr_46_172_090 import AREA, GM, RULE_SET, least_gm, trunk_freeboard
from service.core.rules.limit import CONDITION, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS
from service.core.tank import Liquid
from service.core.trunk import BargeTrunk
from service.core.weight import Weight
from tests.core.ship import (
    box_tank,
    condition,
    details,
    just_around,
    line,
    particulars,
    situation,
    vessel,
)
from tests.core.type_rules import area, judged, verdicts_of, without_a_curve

AROUND = [FAIL, PASS, PASS]
TRUNK = BargeTrunk(50.0, 12.0, 1.5)
EDGE = DeckEdge(((50.0, 8.0, 8.0),))
SERVICES = [
    ("protected", 1.52, 0.3),
    ("partially_protected", 3.05, 0.4),
    ("exposed", 4.57, 0.5),
    (None, 4.57, 0.5),
]
LOW, HIGH = Weight(4000.0, 53.0, 5.0, 0.0, "cargo"), Weight(4000.0, 53.0, 8.0, 0.0, "cargo")


def barge(
    service: str | None = "exposed", trunk: BargeTrunk | None = TRUNK, edge: DeckEdge | None = EDGE, **more
):
    return vessel(particulars=particulars(service=service, **more), barge_trunk=trunk, deck_edge=edge)


def rows_of(slope: float = 5.0, *curve, gm: float = 9.0, ship=None, cargo: Weight | None = LOW, **changes):
    given = condition(weights=[] if cargo is None else [cargo])
    where = situation(gm, ship or barge(), given=given)
    return judged(RULE_SET, slope, *curve, ship=where, **changes)


def test_what_is_recalled():
    assert AREA.from_memory is None
    assert "recalled" in GM.from_memory


def test_gm_by_hand():
    """K 0.5, B 16 m, f 1.6 m, a trunk of 30 x 11 x 1.0 m on 70 m: fa 0.2009 m, GM 4.442 m."""
    fa = trunk_freeboard(BargeTrunk(30.0, 11.0, 1.0), 70.0, 16.0)
    assert fa == pytest.approx(1.25 * (30.0 / 70.0) * (22.0 / 16.0 - 1.0))
    assert least_gm(0.5, 16.0, 1.6 + fa) == pytest.approx(8.0 / (1.6 + fa))
    assert trunk_freeboard(None, 70.0, 16.0) == 0.0
    assert least_gm(0.5, 16.0, 0.0) == inf


def test_the_trunk_counts_with_its_height_at_most():
    assert trunk_freeboard(BargeTrunk(70.0, 16.0, 1.0), 70.0, 16.0) == 1.0
    assert trunk_freeboard(BargeTrunk(56.0, 16.0, 1.0), 70.0, 16.0) == pytest.approx(1.0)
    assert trunk_freeboard(BargeTrunk(55.0, 16.0, 1.0), 70.0, 16.0) < 1.0


@pytest.mark.parametrize(("service", "limit", "_factor"), SERVICES)
@pytest.mark.parametrize(
    ("maximum", "flooding", "to"), [(35.0, inf, 35.0), (55.0, inf, 55.0), (55.0, 33.0, 33.0)]
)
def test_the_area_around_its_limit(service, limit, _factor, maximum, flooding, to):
    per_slope = degrees(area(to, maximum))
    ship = barge(service)
    given = [rows_of(v / per_slope, maximum, flooding, ship=ship, cargo=None) for v in just_around(limit)]
    assert [rows["area"].attained for rows in given] == pytest.approx(just_around(limit), rel=1e-8)
    assert verdicts_of("area", given) == AROUND


@pytest.mark.parametrize(("service", "_limit", "factor"), SERVICES)
def test_gm_around_its_limit_where_the_area_is_not_met(service, _limit, factor):
    """f 2 m; fa = 1.25 x 0.5 x 0.5 x 1.5 m."""
    limit = factor * 16.0 / (2.0 + 1.25 * 0.5 * 0.5 * 1.5)
    given = [rows_of(1e-3, gm=gm, ship=barge(service)) for gm in just_around(limit)]
    assert [rows["gm"].verdict for rows in given[1:]] == [PASS, PASS]
    assert given[1]["gm"].required == pytest.approx(limit)
    assert {rows["area"].verdict for rows in given[1:]} == {NOT_APPLICABLE}
    assert "paragraph (b) chosen: it is met" in given[1]["area"].reason
    # just below neither paragraph is met: (a) is judged
    assert (given[0]["area"].verdict, given[0]["gm"].verdict) == (FAIL, NOT_APPLICABLE)


def test_the_area_is_chosen_where_it_is_met():
    rows = rows_of(50.0, gm=0.01)
    assert (rows["area"].verdict, rows["gm"].verdict) == (PASS, NOT_APPLICABLE)
    assert "paragraph (a) chosen" in rows["gm"].reason


@pytest.mark.parametrize(("vcg", "below"), [(7.99, True), (8.0, False), (8.5, False)])
def test_gm_is_open_to_cargo_below_the_deck_at_side_alone(vcg, below):
    rows = rows_of(1e-3, cargo=LOW._replace(vcg=vcg))
    assert rows["gm"].verdict == (PASS if below else NOT_APPLICABLE)
    assert rows["area"].verdict == (NOT_APPLICABLE if below else FAIL)


def test_liquid_cargo_counts_with_the_rest():
    """1,000 t of liquid at 2 m and 4,000 t at 8 m: their centre is at 6.8 m, below the deck at 8."""
    tank = box_tank("CO", "cargo_liquid")
    ship = replace(barge(), tanks=(tank,))
    given = condition(line(ship, "CO", fill=50.0), weights=[HIGH])
    liquid = Liquid(*[None] * len(Liquid._fields))._replace(mass=1000.0, vcg=2.0)
    where = situation(9.0, ship, given=given, liquids=(liquid,))
    assert judged(RULE_SET, 1e-3, ship=where)["gm"].verdict == PASS
    dry = situation(9.0, ship, given=condition(weights=[HIGH]))
    assert judged(RULE_SET, 1e-3, ship=dry)["gm"].verdict == NOT_APPLICABLE


def test_without_cargo_the_area_is_judged():
    row = rows_of(cargo=None)["gm"]
    assert (row.verdict, row.because) == (NOT_APPLICABLE, CONDITION)


def test_the_most_severe_waters_are_taken_where_none_are_stated():
    assert "most severe" in details(rows_of(ship=barge(None), cargo=None)["area"])["waters"]


def test_what_is_unknown_is_never_a_pass():
    assert rows_of(flooding=None, cargo=None)["area"].verdict == NOT_COMPUTABLE
    assert {
        row.verdict for row in without_a_curve(RULE_SET, ship=barge(), given=condition(weights=[])).values()
    } == {
        NOT_COMPUTABLE,
        NOT_APPLICABLE,
    }
    no_edge = rows_of(1e-3, ship=barge(edge=None))
    assert no_edge["gm"].verdict == NOT_COMPUTABLE
