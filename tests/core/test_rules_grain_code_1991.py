"""International Grain Code (MSC.23(59)) A 7.1: each clause around its limit, each end of the area, each missing datum.

Limits: 12 degrees or the deck edge, 0.075 m.rad, 0.30 m; lambda_40 = 0.8 lambda_0; factors 1.06, 1.00 and 1.12. Truth:
cubics GZ = s (a - a^3 / 3 m^2) against a straight line, written out again with scipy (brentq, quad), and closed forms.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from service.core.assessment import assess
from service.core.condition import Batch
from service.core.grain import (
    FILLED_TRIMMED,
    FILLED_UNTRIMMED,
    PARTLY_FILLED,
    VCG_OF_CARGO,
    VCG_OF_HOLD,
    GrainLine,
    Hold,
)
from service.core.rules.grain_code_1991 import AREA, GM, HEEL, LIMITS, NAME, HeelingLever, evaluate
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Situation
from service.core.weight import Weight
from tests.core.ship import (
    RULE_SETS,
    SALT,
    condition,
    cubic_lever,
    full_vessel,
    just_around,
    opening,
    situation,
    vessel,
)
from tests.core.test_any_condition import GAPS, afloat, check

DISPLACEMENT = 9000.0  # 6 m draft
HOLDS = (
    Hold("1", 2000.0, 300.0, 700.0, np.array([200.0, 1000.0, 1800.0]), np.array([400.0, 1200.0, 900.0])),
    Hold("2", 3000.0),
)
SHIP = vessel(holds=HOLDS)
LINE = GrainLine(0, FILLED_TRIMMED, math.nan, 1.3, math.nan, VCG_OF_CARGO)


def with_lever(lambda_0: float) -> GrainLine:
    """A line whose heeling lever upright is this, in m."""
    return LINE._replace(heeling_moment=lambda_0 * DISPLACEMENT * 1.3 / 1.06)


def laden(
    *lines: tuple[GrainLine, ...],
    slope: float = 1.0,
    maximum: float = 45.0,
    last: float = 80.0,
    **changes: Any,
) -> Situation:
    """One condition for each tuple of grain lines, all on the same cubic."""
    count = len(lines)
    curve = cubic_lever(np.full(count, slope), np.full(count, maximum), last)
    batch = Batch.of([condition(grain=each) for each in lines])
    fields: dict[str, Any] = {"ship": SHIP, "batch": batch, "gm": np.full(count, slope), "curve": curve}
    return situation(**{**fields, **changes})


def judged(given_situation: Situation) -> tuple[Criterion, Criterion, Criterion]:
    heel, area, gm = evaluate(given_situation)
    assert (heel.row, area.row, gm.row) == LIMITS == (HEEL, AREA, GM)
    return heel, area, gm


def details(criterion: Criterion, n: int = 0) -> dict[str, Any]:
    return {detail.name: detail.values[n] for detail in criterion.details}


def again(lambda_0: float, slope: float, maximum: float, flooding: float = math.inf) -> dict[str, float]:
    """Heel, angle of maximum difference, end (degrees) and area (m.rad), written out again."""
    m, end_of_line = math.radians(maximum), math.radians(40.0)

    def difference(a: float) -> float:
        return slope * (a - a**3 / (3.0 * m**2)) - lambda_0 * (1.0 - 0.2 * a / end_of_line)

    def growth(a: float) -> float:
        return slope * (1.0 - a**2 / m**2) + lambda_0 * 0.2 / end_of_line

    greatest = brentq(growth, 0.0, 2.0 * m, xtol=1e-15)
    heel = brentq(difference, 0.0, greatest, xtol=1e-15)
    end = min(greatest, end_of_line, math.radians(flooding))
    area = quad(difference, heel, end, epsabs=1e-14)[0] if end > heel else 0.0
    named = {"heel": heel, "difference": greatest, "end": end}
    return {name: math.degrees(angle) for name, angle in named.items()} | {"area": area}


def test_limits_are_those_of_the_code():
    assert [(row.clause, row.comparison, row.limit, row.unit) for row in LIMITS] == [
        ("A 7.1.1", "<=", 12.0, "degree"),
        ("A 7.1.2", ">=", 0.075, "m·rad"),
        ("A 7.1.3", ">=", 0.30, "m"),
    ]


# --- each clause around its limit ------------------------------------------------------------------------------


@pytest.mark.parametrize(("deck", "limit"), [(30.0, 12.0), (12.0, 12.0), (8.0, 8.0)])
def test_the_heel_around_12_degrees_or_the_deck_edge(deck, limit):
    a, m = math.radians(limit), math.radians(45.0)
    levers = just_around((a - a**3 / (3.0 * m**2)) / (1.0 - 0.2 * limit / 40.0))
    given_situation = laden(*((with_lever(x),) for x in levers), deck_edge=np.full(3, deck))
    heel = judged(given_situation)[0]
    np.testing.assert_allclose(heel.required, limit)
    assert heel.attained[1] == pytest.approx(limit, abs=1e-11)
    assert heel.attained[0] < limit < heel.attained[2]
    assert heel.verdict.tolist() == [PASS, PASS, FAIL]


@pytest.mark.parametrize(
    ("slope", "maximum", "flooding"), [(3.0, 20.0, math.inf), (1.0, 45.0, math.inf), (1.0, 45.0, 25.0)]
)
def test_the_residual_area_around_its_limit_for_each_end_of_it(slope, maximum, flooding):
    """Up to the angle of maximum difference, up to 40 degrees, up to the angle of flooding."""
    most = slope * math.radians(maximum) * 0.5
    at_limit = brentq(lambda x: again(x, slope, maximum, flooding)["area"] - 0.075, 1e-6, most, xtol=1e-15)
    levers = at_limit * np.array([1.0 - 1e-6, 1.0 - 1e-10, 1.0 + 1e-6])
    lines = ((with_lever(x),) for x in levers)
    area = judged(laden(*lines, slope=slope, maximum=maximum, flooding=flooding))[1]
    np.testing.assert_allclose(area.attained, 0.075, atol=1e-6)
    assert area.verdict.tolist() == [PASS, PASS, FAIL]


def test_the_initial_gm_around_its_limit():
    gm = judged(laden(*[(with_lever(0.01),)] * 3, gm=just_around(0.30)))[2]
    assert gm.verdict.tolist() == [FAIL, PASS, PASS]


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.02, 0.8),
    st.floats(0.5, 2.0),
    st.floats(18.0, 60.0),
    st.one_of(st.just(math.inf), st.floats(5.0, 60.0)),
)
def test_the_whole_rule_again(part, slope, maximum, flooding):
    """lambda_0 a part of the greatest righting lever, 2 / 3 s m."""
    lambda_0 = part * slope * math.radians(maximum) * 2.0 / 3.0
    expected = again(lambda_0, slope, maximum, flooding)
    heel, area, _ = judged(
        laden((with_lever(lambda_0),), slope=slope, maximum=maximum, flooding=flooding, last=80.0)
    )
    assert heel.attained[0] == pytest.approx(expected["heel"], abs=1e-9)
    shown = details(area)
    assert shown["heeling lever lambda_0"] == pytest.approx(lambda_0, rel=1e-12)
    assert shown["heeling lever lambda_40"] == pytest.approx(0.8 * lambda_0, rel=1e-12)
    assert shown["angle of maximum difference"] == pytest.approx(expected["difference"], abs=1e-9)
    assert shown["end of the area"] == pytest.approx(expected["end"], abs=1e-9)
    assert area.attained[0] == pytest.approx(expected["area"], abs=1e-9)
    if flooding <= expected["heel"]:
        assert (heel.verdict[0], area.verdict[0]) == (FAIL, FAIL)
        assert "floods" in area.reason(0)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 0.5), st.floats(0.0, 79.0), st.floats(0.1, 79.0))
def test_levers_less_a_straight_line(lambda_0, angle, other):
    """The residual curve is the curve less the line, its areas and its values alike."""
    curve = cubic_lever(np.ones(1), np.array([35.0]))
    residual = HeelingLever.of(curve, np.array([lambda_0])).residual

    def line(degrees: float) -> float:
        return lambda_0 * (1.0 - 0.2 * degrees / 40.0)

    at = np.array([angle])
    assert residual.lever(at)[0] == pytest.approx(curve.lever(at)[0] - line(angle), abs=1e-12)
    taken = quad(lambda a: line(math.degrees(a)), math.radians(angle), math.radians(other))[0]
    area = residual.area(at, np.array([other]))[0]
    assert area == pytest.approx(curve.area(at, np.array([other]))[0] - taken, abs=1e-12)


def test_without_a_shift_she_stays_upright():
    heel, area, _ = judged(laden((with_lever(0.0),)))
    assert heel.attained[0] == 0.0
    assert area.attained[0] == pytest.approx(again(1e-12, 1.0, 45.0)["area"], abs=1e-9)


def test_a_heeling_lever_above_every_righting_lever_fails():
    heel, area, _ = judged(laden((with_lever(5.0),)))
    assert (heel.verdict[0], area.verdict[0]) == (FAIL, FAIL)
    assert "no equilibrium" in heel.reason(0)
    assert np.isnan(heel.attained[0])


def test_a_rest_beyond_40_degrees_leaves_no_area():
    """Rises to 70 degrees; the line is met after 40."""
    m = math.radians(70.0)
    a = math.radians(45.0)
    lambda_0 = (a - a**3 / (3.0 * m**2)) / (1.0 - 0.2 * 45.0 / 40.0)
    heel, area, _ = judged(laden((with_lever(lambda_0),), maximum=70.0))
    assert heel.attained[0] == pytest.approx(45.0, abs=1e-9)
    assert (heel.verdict[0], area.verdict[0], area.attained[0]) == (FAIL, FAIL, 0.0)


# --- the heeling moment ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "moment"),
    [
        (LINE, 300.0 * 1.06 / 1.3),
        (LINE._replace(vcg_basis=VCG_OF_HOLD), 300.0 / 1.3),
        (LINE._replace(filling=FILLED_UNTRIMMED), 700.0 * 1.06 / 1.3),
        (LINE._replace(filling=FILLED_UNTRIMMED, vcg_basis=VCG_OF_HOLD), 700.0 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=1000.0), 1200.0 * 1.12 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=1000.0, vcg_basis=VCG_OF_HOLD), 1200.0 * 1.12 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=600.0), 800.0 * 1.12 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=200.0), 400.0 * 1.12 / 1.3),
        (LINE._replace(filling=PARTLY_FILLED, volume=1800.0 * (1 + 1e-15)), 900.0 * 1.12 / 1.3),
        (LINE._replace(stowage_factor=1.5), 300.0 * 1.06 / 1.5),
        (LINE._replace(heeling_moment=250.0), 250.0 * 1.06 / 1.3),
        (LINE._replace(hold=1, heeling_moment=250.0), 250.0 * 1.06 / 1.3),
        (LINE._replace(hold=1, filling=PARTLY_FILLED, heeling_moment=250.0), 250.0 * 1.12 / 1.3),
    ],
)
def test_the_heeling_moment_of_a_line(line, moment):
    heel = judged(laden((line,)))[0]
    shown = details(heel)
    id = HOLDS[line.hold].id
    assert shown[f"hold {id}: heeling moment"] == pytest.approx(moment, rel=1e-12)
    assert shown["heeling moment of all holds"] == pytest.approx(moment, rel=1e-12)
    assert shown["heeling lever lambda_0"] == pytest.approx(moment / DISPLACEMENT, rel=1e-12)
    assert shown[f"hold {id}: stowage factor"] == line.stowage_factor


def test_a_printed_heeling_lever():
    """5000 m4 at 1.35 m3/t on 35 000 t: lambda_0 0.1058 m, lambda_40 0.0847 m (arithmetic)."""
    given_situation = laden(
        (LINE._replace(heeling_moment=5000.0, stowage_factor=1.35, vcg_basis=VCG_OF_HOLD),)
    )
    heavy = replace(given_situation.displacement, mass=np.array([35000.0]))
    shown = details(judged(replace(given_situation, displacement=heavy))[1])
    assert shown["heeling lever lambda_0"] == pytest.approx(0.1058, abs=5e-5)
    assert shown["heeling lever lambda_40"] == pytest.approx(0.0847, abs=5e-5)


def test_moments_of_several_holds_add_up_in_any_order():
    second = LINE._replace(hold=1, heeling_moment=400.0, stowage_factor=1.5)
    heel = judged(laden((LINE, second), (second, LINE)))[0]
    np.testing.assert_allclose(heel.attained[0], heel.attained[1], rtol=1e-15)
    assert details(heel)["heeling moment of all holds"] == pytest.approx(
        300.0 * 1.06 / 1.3 + 400.0 * 1.06 / 1.5, rel=1e-12
    )


# --- what cannot be judged, and what need not ------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        LINE._replace(hold=1),
        LINE._replace(hold=1, filling=FILLED_UNTRIMMED),
        LINE._replace(hold=1, filling=PARTLY_FILLED, volume=500.0),
        LINE._replace(filling=PARTLY_FILLED),
        LINE._replace(filling=PARTLY_FILLED, volume=199.0),
        LINE._replace(filling=PARTLY_FILLED, volume=1801.0),
    ],
)
def test_a_moment_the_booklet_lacks_is_not_computable(line):
    other = with_lever(0.01)._replace(hold=1 - line.hold)
    heel, area, gm = judged(laden((line, other), (with_lever(0.01),)))
    assert heel.verdict.tolist() == area.verdict.tolist() == [NOT_COMPUTABLE, PASS]
    assert gm.verdict.tolist() == [PASS, PASS]
    assert f"hold {HOLDS[line.hold].id}" in heel.reason(0)
    assert np.isnan(heel.attained[0])


def test_without_cross_curves():
    heel, area, gm = judged(laden((LINE,), (), curve=None))
    assert heel.verdict.tolist() == area.verdict.tolist() == [NOT_COMPUTABLE, NOT_APPLICABLE]
    assert gm.verdict.tolist() == [PASS, NOT_APPLICABLE]
    assert "cross curves" in heel.reason(0)


def test_without_openings():
    heel, area, gm = judged(laden((LINE,), flooding=np.nan))
    assert (heel.verdict[0], area.verdict[0], gm.verdict[0]) == (NOT_COMPUTABLE, NOT_COMPUTABLE, PASS)
    assert "down-flooding" in area.reason(0)


@pytest.mark.parametrize(("lambda_0", "verdict"), [(0.05, NOT_COMPUTABLE), (0.30, FAIL)])
def test_without_a_deck_edge_only_a_failure_is_certain(lambda_0, verdict):
    heel, area, _ = judged(laden((with_lever(lambda_0),), deck_edge=np.array([np.nan])))
    assert heel.verdict[0] == verdict
    assert area.verdict[0] in (PASS, FAIL)
    if verdict == NOT_COMPUTABLE:
        assert "deck edge" in heel.reason(0)


@pytest.mark.parametrize(
    ("last", "maximum", "lambda_0", "flooding", "heel_verdict", "area_verdict"),
    [
        (10.0, 45.0, 0.05, math.inf, PASS, NOT_COMPUTABLE),
        (10.0, 45.0, 0.40, math.inf, NOT_COMPUTABLE, NOT_COMPUTABLE),
        (39.0, 45.0, 0.05, math.inf, PASS, NOT_COMPUTABLE),
        (40.0, 45.0, 0.05, math.inf, PASS, PASS),
        (39.0, 45.0, 0.05, 38.0, PASS, PASS),
        (39.0, 30.0, 0.05, math.inf, PASS, PASS),  # the levers draw apart to 30 degrees only
    ],
)
def test_cross_curves_that_end_early(last, maximum, lambda_0, flooding, heel_verdict, area_verdict):
    heel, area, _ = judged(laden((with_lever(lambda_0),), last=last, maximum=maximum, flooding=flooding))
    assert (heel.verdict[0], area.verdict[0]) == (heel_verdict, area_verdict)


@pytest.mark.parametrize(("part", "verdict"), [(1.0 - 1e-6, FAIL), (1.0 - 1e-12, FAIL), (1.0 + 1e-6, PASS)])
def test_an_opening_that_floods_before_she_rests_fails(part, verdict):
    rest = again(0.1, 1.0, 45.0)["heel"]
    heel, area, _ = judged(laden((with_lever(0.1),), flooding=rest * part))
    assert heel.verdict[0] == verdict
    assert area.verdict[0] == FAIL


def test_without_grain_nothing_applies():
    for criterion in judged(laden((), (LINE,))):
        assert criterion.verdict[0] == NOT_APPLICABLE
        assert "no grain" in criterion.reason(0)
        assert criterion.verdict[1] == PASS


# --- whole assessments -----------------------------------------------------------------------------------------

GRAIN_SHIP = full_vessel(holds=HOLDS)
GRAIN = (
    GrainLine(0, PARTLY_FILLED, 900.0, 1.4, math.nan, VCG_OF_CARGO),
    GrainLine(1, FILLED_TRIMMED, math.nan, 1.3, 600.0, VCG_OF_HOLD),
)


def test_single_conditions_and_batches_agree():
    given_conditions = [
        condition(rule_sets=(NAME,), grain=grain, weights=[Weight(mass, 53.0, 5.6, tcg, "cargo")])
        for grain, mass, tcg in ((GRAIN, 4000.0, 0.0), ((), 3500.0, 0.1), (GRAIN[:1], 5000.0, -0.1))
    ]
    batch = assess(GRAIN_SHIP, given_conditions)
    for n, alone in enumerate(given_conditions):
        single = assess(GRAIN_SHIP, [alone])
        assert single.verdict(0) == batch.verdict(n)
        for (_, one), (_, many) in zip(single.criteria_of(0), batch.criteria_of(n), strict=True):
            assert one.verdict[0] == many.verdict[n]
            assert [d.name for d in one.details] == [d.name for d in many.details]
            if not np.isnan(one.attained[0]):
                assert many.attained[n] == pytest.approx(one.attained[0], rel=1e-12)
    assert batch.verdict(1) == "incomplete"  # nothing was checked


GRAIN_LINES = st.builds(
    GrainLine,
    st.integers(0, 1),
    st.integers(0, 2),
    st.one_of(st.just(math.nan), st.floats(0.0, 3000.0)),
    st.floats(0.003, 1000.0),
    st.one_of(st.just(math.nan), st.floats(0.0, 1e5), st.floats(0.0, 1e12)),
    st.integers(0, 1),
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
    result = assess(replace(GRAIN_SHIP, **gap), [laden_so])
    check(result, 0)
    if lines and result.refused[0] is None and result.verdict(0) == "pass":
        verdicts = {c.row.id: int(c.verdict[0]) for name, c in result.criteria_of(0) if name == NAME}
        assert verdicts == {row.id: PASS for row in LIMITS}


def test_port_and_starboard_mirrored():
    ship = full_vessel(holds=HOLDS, openings=(opening("P", 6.0, 11.0), opening("S", -6.0, 11.0)))
    leaning = [
        condition(rule_sets=(NAME,), grain=GRAIN, weights=[Weight(4000.0, 53.0, 5.6, tcg, "cargo")])
        for tcg in (0.15, -0.15, 0.0)
    ]
    result = assess(ship, leaning)
    heel, area, _ = (criterion for _, criterion in result.criteria_of(0))
    assert heel.attained[0] == pytest.approx(heel.attained[1], rel=1e-12)
    assert area.attained[0] == pytest.approx(area.attained[1], rel=1e-12)
    assert heel.attained[0] > heel.attained[2]  # her own list adds to that of the grain
    assert area.attained[0] < area.attained[2]


def test_openings_that_differ_are_judged_on_the_worse_side():
    """Starboard floods first, 9 m up against 10 m: its smaller area counts."""
    ship = full_vessel(holds=HOLDS, openings=(opening("P", 6.0, 10.0), opening("S", -6.0, 9.0)))
    result = assess(ship, [condition(rule_sets=(NAME,), grain=GRAIN)])
    area = result.criteria_of(0)[1][1]
    flooding = math.degrees(math.atan2(9.0 - float(result.flotation.draft_at(50.0)[0]), 6.0))
    shown = details(area)
    assert shown["side"] == "starboard"
    assert shown["angle of flooding"] == pytest.approx(flooding, abs=1e-9)


def test_grain_lines_alone_change_no_other_figure():
    result = assess(GRAIN_SHIP, [condition(), condition(grain=GRAIN, rule_sets=(NAME,))])
    assert result.gm_corrected[0] == result.gm_corrected[1]
    assert result.displacement.mass[0] == result.displacement.mass[1]
    assert result.flotation.draft_midship[0] == result.flotation.draft_midship[1]


@pytest.mark.parametrize(("factor", "said"), [(0.99, True), (1.0, False), (3.0, False), (45.0, True)])
def test_a_stowage_factor_in_the_wrong_unit_is_pointed_out(factor, said):
    given_condition = condition(grain=(LINE._replace(stowage_factor=factor),), rule_sets=(NAME,))
    found = {f.code: f for f in assess(GRAIN_SHIP, [given_condition]).findings[0]}
    assert ("stowage_factor_unusual" in found) == said
    if said:
        assert found["stowage_factor_unusual"].place == ("grain", 0, "stowage_factor")


@pytest.mark.parametrize(("mass", "said"), [(1200.0, True), (1300.0, False), (1600.0, False)])
def test_grain_without_its_mass_is_pointed_out(mass, said):
    """2000 m3 at 1.25 m3/t would weigh 1600 t; under four fifths of it is said."""
    given_condition = condition(
        grain=(LINE._replace(stowage_factor=1.25),),
        rule_sets=(NAME,),
        weights=[Weight(mass, 53.0, 5.6, 0.0, "cargo"), Weight(2500.0, 53.0, 5.6, 0.0, "other")],
        water_density=SALT,
    )
    codes = {f.code for f in assess(GRAIN_SHIP, [given_condition]).findings[0]}
    assert ("grain_mass_missing" in codes) == said
