"""Towing and escort: 46 CFR 173.095 (symbols, K = 38 and 13.93 and 0.61 m.degree read; equation of (b) from memory;
arm of (c) not read) and 2008 IS Code Part B 2.8 as amended by MSC.415(97) (self-tripping lever and CT read; A >= B
and escort from memory; tow-tripping not read)."""

from dataclasses import replace
from math import cos, degrees, inf, radians, sin

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from service.core.assessment import assess
from service.core.conventions import FOOT, LONG_TON
from service.core.opening import DeckEdge
from service.core.rules import cfr_46_173_095, is_code_2008_b_2_8
from service.core.rules.cfr_46_173_095 import K, least_gm, pull
from service.core.rules.is_code_2008_b_2_8 import pull_of
from service.core.rules.limit import CONDITION, FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, SHIP
from service.core.towing import AZIMUTH_STERN, CONVENTIONAL, TRACTOR, Towing, transverse_part
from tests.core.ship import (
    condition,
    cubic,
    cubic_lever,
    details,
    heeled,
    just_around,
    particulars,
    situation,
    vessel,
)
from tests.core.type_rules import area, judged, lever, verdicts_of, without_a_curve

CFR, IMO = cfr_46_173_095.RULE_SET, is_code_2008_b_2_8.RULE_SET
EDGE = DeckEdge(((0.0, 8.0, 7.5), (50.0, 8.0, 8.0)))
GEAR = Towing(2, 1500.0, 2.4, 0.5, 4.0, 700.0, (30.0, 0.0, 7.0), (5.0, 1.5), AZIMUTH_STERN)
HP = 0.745699872
"""kW; 550 ft.lbf/s."""


def tug(towing: Towing | None = GEAR, edge: DeckEdge | None = EDGE, **changes):
    return vessel(particulars=particulars(**changes), towing=towing, deck_edge=edge)


def rows_of(
    rule_set, slope: float = 5.0, *curve, gm: float = 1.0, ship=None, escort: float | None = None, **changes
):
    where = situation(gm, ship or tug(), given=condition(escort_moment=escort))
    return judged(rule_set, slope, *curve, ship=where, **changes)


# --- 46 CFR 173.095 ----------------------------------------------------------------------------------------------


def test_the_pull_and_the_gm_by_hand():
    pulled = pull(GEAR)
    assert pulled == pytest.approx(2.0 * 3600.0 ** (2.0 / 3.0) * 0.5 * 4.0)
    assert least_gm(pulled, 9000.0, 1.5, 16.0) == pytest.approx(pulled / (13.93 * 9000.0 * 1.5 / 16.0))
    assert least_gm(pulled, 9000.0, 0.0, 16.0) == inf


def test_the_metric_constant_is_that_of_feet_long_tons_and_horsepower():
    """K = 38 with hp, ft and LT gives a GM in feet; the same tug in kW, m and t one in metres: 13.93 to four digits."""
    metric = (HP * FOOT) ** (2.0 / 3.0) * FOOT / LONG_TON / FOOT
    assert 38.0 * metric == pytest.approx(K, rel=1e-4)


def test_gm_around_its_limit():
    limit = least_gm(pull(GEAR), 9000.0, 1.5, 16.0)
    given = [rows_of(CFR, gm=gm) for gm in just_around(limit)]
    assert [rows["gm"].verdict for rows in given] == [NOT_APPLICABLE, PASS, PASS]
    assert given[1]["gm"].required == pytest.approx(limit, rel=1e-12)
    assert "paragraph (b) chosen: it is met" in given[1]["residual-area"].reason


def test_where_gm_is_not_met_the_other_paragraph_is_open():
    """Its heeling arm was not read: she is not failed by (b) alone, and never passed by (c)."""
    rows = rows_of(CFR, gm=0.001)
    assert rows["residual-area"].verdict == NOT_COMPUTABLE
    assert rows["residual-area"].attained > 0.61
    assert "paragraph (c) chosen" in rows["gm"].reason


def test_the_residual_area_shown_is_that_of_the_arm_with_the_cosine():
    slope, m = 2.0, radians(35.0)
    arm = 2.0 * pull(GEAR) / (13.93 * 9000.0)

    def net(a: float) -> float:
        return slope * cubic(a, m) - arm * cos(a)

    rest = brentq(net, 0.0, 0.3)
    row = rows_of(CFR, slope, gm=0.001)["residual-area"]
    assert details(row)["angle_of_heel"] == pytest.approx(degrees(rest), rel=1e-9)
    assert row.attained == pytest.approx(degrees(quad(net, rest, m)[0]), rel=1e-9)


@pytest.mark.parametrize(
    "towing",
    [None, *(replace(GEAR, **{name: None}) for name in ("propellers", "shaft_power", "bitts_height"))],
)
def test_without_her_gear_towline_pull_is_open(towing):
    rows = rows_of(CFR, ship=tug(towing))
    assert NOT_COMPUTABLE in {row.verdict for row in rows.values()}
    assert PASS not in {row.verdict for row in rows.values()}
    assert "towing" in rows["gm"].reason


def test_without_a_freeboard_gm_is_open():
    assert rows_of(CFR, ship=tug(edge=None))["gm"].verdict == NOT_COMPUTABLE


# --- 2008 IS Code Part B 2.8 -------------------------------------------------------------------------------------


def test_the_part_of_the_pull_athwartships():
    """CT as read: 0.5 conventional; 0.90 / (1 + l / L), at least 0.7 or 0.5."""
    assert transverse_part(CONVENTIONAL, 10.0, 40.0, True) == 0.5
    assert transverse_part(AZIMUTH_STERN, 4.0, 40.0, True) == pytest.approx(0.9 / 1.1)
    assert transverse_part(AZIMUTH_STERN, 20.0, 40.0, True) == 0.7
    assert transverse_part(AZIMUTH_STERN, 24.0, 40.0, False) == pytest.approx(0.9 / 1.6)
    assert transverse_part(AZIMUTH_STERN, 40.0, 40.0, False) == 0.5
    assert transverse_part(TRACTOR, 20.0, 40.0, False) == 0.7
    assert transverse_part(TRACTOR, 40.0, 40.0, True) == 0.5


def test_the_lever_upright_by_hand():
    """500 kN x 0.5 x 3.2 m on 1,000 t: 0.0815 m."""
    gear = replace(GEAR, bollard_pull=500.0, drive=CONVENTIONAL, tow_point=(30.0, 0.0, 4.7))
    found = pull_of(situation(1.0, tug(gear), mass=1000.0), gear, 1.0)
    assert found.per_metre * found.height == pytest.approx(500.0 * 0.5 * 3.2 / (9.81 * 1000.0), rel=1e-12)


def self_tripping(slope: float, flooding: float = inf, gear: Towing = GEAR, side: float = 1.0):
    curve = cubic_lever(slope, 35.0)
    where = situation(1.0, tug(gear), mass=1000.0)
    return IMO.judged(where, heeled(curve, flooding, 0.5, side))[0]


def by_quadrature(slope: float, k: float, h: float, r: float, flooding: float = inf):
    """Areas A and B of the cubic against k (h cos - r sin)."""

    def net(a: float) -> float:
        return slope * cubic(a, radians(35.0)) - k * (h * cos(a) - r * sin(a))

    rest = brentq(net, 0.0, radians(34.0))
    end = min(brentq(net, radians(36.0), radians(75.0)), radians(flooding))
    return quad(net, rest, end)[0], -quad(net, 0.0, rest)[0]


@pytest.mark.parametrize(("y", "side"), [(0.0, 1.0), (1.5, 1.0), (1.5, -1.0)])
@pytest.mark.parametrize("flooding", [inf, 45.0])
def test_areas_a_and_b_are_those_of_quadrature(y, side, flooding):
    gear = replace(GEAR, tow_point=(30.0, y, 7.0))
    part = 0.9 / (1.0 + 25.0 / particulars().length_load_line)
    a, b = by_quadrature(2.0, 700.0 * max(part, 0.7) / 9810.0, 5.5, y * side, flooding)
    row = self_tripping(2.0, flooding, gear, side)
    assert row.attained == pytest.approx(a, rel=1e-6)
    assert row.required == pytest.approx(b, rel=1e-6)
    assert row.verdict == PASS


def test_self_tripping_around_its_limit():
    """The slope at which both areas are the same, found by quadrature."""
    k = 700.0 * max(0.9 / (1.0 + 25.0 / particulars().length_load_line), 0.7) / 9810.0

    def over(slope: float) -> float:
        a, b = by_quadrature(slope, k, 5.5, 0.0)
        return a - b

    balance = brentq(over, 0.75, 3.0)
    rows = [self_tripping(slope) for slope in just_around(balance, 1e-5)]
    assert [rows[0].verdict, rows[2].verdict] == [FAIL, PASS]
    assert rows[1].margin == pytest.approx(0.0, abs=1e-7)


def test_no_equilibrium_or_an_early_opening_fails():
    assert self_tripping(0.1).verdict == FAIL
    assert self_tripping(2.0, flooding=3.0).verdict == FAIL


def test_a_point_of_tow_off_the_centreline_makes_her_sides_differ():
    assert tug(replace(GEAR, tow_point=(30.0, 1.0, 7.0))).two_sided
    assert not tug().two_sided
    sides = []
    for y in (1.0, -1.0):
        gear = replace(GEAR, tow_point=(30.0, y, 7.0))
        ship = vessel(particulars=particulars(), towing=gear, deck_edge=EDGE, rule_sets=(IMO.name,))
        found = next(c for _, c in assess(ship, condition()).criteria if c.row.id.endswith("self-tripping"))
        sides.append((found.verdict, found.attained, found.required, details(found)["side"]))
    assert sides[0][0] == sides[1][0]
    assert sides[0][1] == pytest.approx(sides[1][1], rel=1e-12)
    assert sides[0][2] == pytest.approx(sides[1][2], rel=1e-12)
    assert {side[3] for side in sides} == {"port", "starboard"}


@pytest.mark.parametrize("towing", [None, replace(GEAR, bollard_pull=None), replace(GEAR, drive=None)])
def test_without_her_gear_self_tripping_is_open(towing):
    row = rows_of(IMO, ship=tug(towing))["self-tripping"]
    assert row.verdict == NOT_COMPUTABLE
    assert "towing" in row.reason


def test_tow_tripping_is_named_and_never_judged():
    row = rows_of(IMO)["tow-tripping"]
    assert (row.verdict, row.attained) == (NOT_COMPUTABLE, None)
    assert row.reason == "the clause could not be read; figure for information"


ESCORT = ("escort", "escort-whole", "escort-heel")


def test_without_an_escorted_ship_there_is_no_such_operation():
    rows = rows_of(IMO)
    assert {(rows[slug].verdict, rows[slug].because) for slug in ESCORT} == {(NOT_APPLICABLE, CONDITION)}


def test_escort_heel_around_15_degrees():
    given = [rows_of(IMO, 1.0, escort=9000.0 * lever(a)) for a in just_around(15.0)]
    assert [rows["escort-heel"].attained for rows in given] == pytest.approx(just_around(15.0), rel=1e-8)
    assert verdicts_of("escort-heel", given) == [PASS, PASS, FAIL]


def escort_ratio(slug: str, rest: float) -> float:
    """Righting area over heeling area of the unit cubic held at `rest` degrees by a constant lever."""
    m = radians(35.0)
    start, end = (rest, 20.0) if slug == "escort" else (0.0, 40.0)
    return (area(end) - area(start)) / (cubic(radians(rest), m) * radians(end - start))


@pytest.mark.parametrize(("slug", "ratio"), [("escort", 1.25), ("escort-whole", 1.40)])
def test_escort_areas_around_their_limits(slug, ratio):
    rest = brentq(lambda a: escort_ratio(slug, a) - ratio, 1.0, 19.0)
    given = [rows_of(IMO, 1.0, escort=9000.0 * lever(a)) for a in just_around(rest, 1e-5)]
    assert [rows[slug].attained / rows[slug].required for rows in given] == pytest.approx(
        [escort_ratio(slug, a) / ratio for a in just_around(rest, 1e-5)], rel=1e-7
    )
    assert [given[0][slug].verdict, given[2][slug].verdict] == [PASS, FAIL]
    assert given[1][slug].margin == pytest.approx(0.0, abs=1e-6)


def test_down_flooding_ends_the_whole_area():
    rows = rows_of(IMO, 1.0, flooding=30.0, escort=9000.0 * lever(8.0))
    assert details(rows["escort-whole"])["end_of_area"] == pytest.approx(30.0)
    assert rows["escort-whole"].attained == pytest.approx(area(30.0), rel=1e-9)


@pytest.mark.parametrize(("length", "applies"), [(23.9, False), (24.0, True)])
def test_the_code_is_for_ships_of_24_m_and_above(length, applies):
    rows = rows_of(IMO, ship=tug(length_load_line=length))
    assert (rows["self-tripping"].because == SHIP) is not applies


def test_what_is_unknown_is_never_a_pass():
    for rule_set in (CFR, IMO):
        assert PASS not in {row.verdict for row in rows_of(rule_set, gm=0.001, flooding=None).values()}
        assert PASS not in {row.verdict for row in without_a_curve(rule_set, ship=tug(), gm=0.001).values()}
