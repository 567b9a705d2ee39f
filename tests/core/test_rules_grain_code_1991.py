"""International Grain Code (MSC.23(59)) A 7.1: each clause around its limit, each end of the area, each missing datum.

Limits: 12 degrees or the deck edge, 0.075 m.rad, 0.30 m; lambda_40 = 0.8 lambda_0; factors 1.06, 1.00 and 1.12. Truth:
cubics GZ = s (a - a^3 / 3 m^2) against a straight line, written out again with scipy (brentq, quad), and closed forms.
"""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

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
    Hold,
    grain_mass,
)
from service.core.rules.grain_code_1991 import AREA, GM, HEEL, LIMITS, NAME, HeelingLever, evaluate
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Heeled, Situation
from service.core.weight import Weight
from tests.core.ship import (
    RULE_SETS,
    SALT,
    condition,
    cubic,
    cubic_lever,
    details,
    full_vessel,
    heeled,
    just_around,
    opening,
    situation,
    vessel,
)
from tests.core.test_any_condition import GAPS, afloat, check

DISPLACEMENT = 9000.0  # 6 m draft
HOLDS = (
    Hold("1", 2000.0, 300.0, 700.0, (200.0, 1000.0, 1800.0), (400.0, 1200.0, 900.0)),
    Hold("2", 3000.0),
)
SHIP = vessel(holds=HOLDS)
LINE = GrainLine(0, FILLED_TRIMMED, None, 1.3, None, VCG_OF_CARGO)


def with_lever(lambda_0: float) -> GrainLine:
    """A line whose heeling lever upright is this, in m."""
    return LINE._replace(heeling_moment=lambda_0 * DISPLACEMENT * 1.3 / 1.06)


def laden(*lines: GrainLine, gm: float = 1.0, **changes: Any) -> Situation:
    """The ship of two holds with these grain lines."""
    return situation(gm, SHIP, given=condition(grain=lines), **changes)


def on(
    slope: float = 1.0, maximum: float = 45.0, flooding: float | None = math.inf, last: float = 80.0
) -> Heeled:
    """On the cubic of this slope and angle of maximum; openings of the other rule would flood at once."""
    return heeled(cubic_lever(slope, maximum, last), flooding, automatic=0.5)


def judged(ship: Situation, side: Heeled | None = None) -> tuple[Criterion, Criterion, Criterion]:
    heel, area, gm = evaluate(ship, side or on())
    assert (heel.row, area.row, gm.row) == LIMITS == (HEEL, AREA, GM)
    return heel, area, gm


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
    at_limit = cubic(math.radians(limit), math.radians(45.0)) / (1.0 - 0.2 * limit / 40.0)
    criteria = [judged(laden(with_lever(x), deck_edge=deck))[0] for x in just_around(at_limit)]
    assert [criterion.required for criterion in criteria] == [limit] * 3
    below, at, above = (criterion.attained for criterion in criteria)
    assert below < limit < above
    assert at == pytest.approx(limit, abs=1e-11)
    assert [criterion.verdict for criterion in criteria] == [PASS, PASS, FAIL]


@pytest.mark.parametrize(
    ("slope", "maximum", "flooding"), [(3.0, 20.0, math.inf), (1.0, 45.0, math.inf), (1.0, 45.0, 25.0)]
)
def test_the_residual_area_around_its_limit_for_each_end_of_it(slope, maximum, flooding):
    """Up to the angle of maximum difference, up to 40 degrees, up to the angle of flooding."""
    most = slope * math.radians(maximum) * 0.5
    at_limit = brentq(lambda x: again(x, slope, maximum, flooding)["area"] - 0.075, 1e-6, most, xtol=1e-15)
    criteria = [
        judged(laden(with_lever(at_limit * part)), on(slope, maximum, flooding))[1]
        for part in (1.0 - 1e-6, 1.0 - 1e-10, 1.0 + 1e-6)
    ]
    assert [criterion.attained for criterion in criteria] == pytest.approx([0.075] * 3, abs=1e-6)
    assert [criterion.verdict for criterion in criteria] == [PASS, PASS, FAIL]


def test_the_initial_gm_around_its_limit():
    criteria = [judged(laden(with_lever(0.01), gm=gm))[2] for gm in just_around(0.30)]
    assert [criterion.attained for criterion in criteria] == list(just_around(0.30))
    assert [criterion.verdict for criterion in criteria] == [FAIL, PASS, PASS]
    assert judged(laden(with_lever(0.01), gm=0.2, gm_solid=0.5))[2].attained == 0.2


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
    heel, area, _ = judged(laden(with_lever(lambda_0)), on(slope, maximum, flooding))
    assert heel.attained == pytest.approx(expected["heel"], abs=1e-9)
    shown = details(area)
    assert shown["heeling_lever_0"] == pytest.approx(lambda_0, rel=1e-12)
    assert shown["heeling_lever_40"] == pytest.approx(0.8 * lambda_0, rel=1e-12)
    assert shown["angle_of_heel"] == heel.attained
    assert shown["angle_of_greatest_difference"] == pytest.approx(expected["difference"], abs=1e-9)
    assert shown["end_of_area"] == pytest.approx(expected["end"], abs=1e-9)
    assert shown["flooding_angle"] == (None if math.isinf(flooding) else flooding)
    assert area.attained == pytest.approx(expected["area"], abs=1e-9)
    if flooding <= expected["heel"]:
        assert (heel.verdict, area.verdict) == (FAIL, FAIL)
        assert "floods" in area.reason


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 0.5), st.floats(0.0, 79.0), st.floats(0.1, 79.0))
def test_levers_less_a_straight_line(lambda_0, angle, other):
    """The residual curve is the curve less the line, its areas and its values alike."""
    curve = cubic_lever(1.0, 35.0)
    residual = HeelingLever.of(curve, lambda_0).residual

    def line(degrees: float) -> float:
        return lambda_0 * (1.0 - 0.2 * degrees / 40.0)

    assert residual.lever(angle) == pytest.approx(curve.lever(angle) - line(angle), abs=1e-12)
    taken = quad(lambda a: line(math.degrees(a)), math.radians(angle), math.radians(other))[0]
    assert residual.area(angle, other) == pytest.approx(curve.area(angle, other) - taken, abs=1e-12)


def test_without_a_shift_she_stays_upright():
    heel, area, _ = judged(laden(with_lever(0.0)))
    assert heel.attained == 0.0
    assert area.attained == pytest.approx(again(1e-12, 1.0, 45.0)["area"], abs=1e-9)


def test_a_heeling_lever_above_every_righting_lever_fails():
    heel, area, _ = judged(laden(with_lever(5.0)))
    assert (heel.verdict, area.verdict) == (FAIL, FAIL)
    assert "no equilibrium" in heel.reason
    assert (heel.attained, area.attained) == (None, None)


def test_a_rest_beyond_40_degrees_leaves_no_area():
    """Rises to 70 degrees; the line is met after 40."""
    lambda_0 = cubic(math.radians(45.0), math.radians(70.0)) / (1.0 - 0.2 * 45.0 / 40.0)
    heel, area, _ = judged(laden(with_lever(lambda_0)), on(1.0, 70.0))
    assert heel.attained == pytest.approx(45.0, abs=1e-9)
    assert (heel.verdict, area.verdict, area.attained) == (FAIL, FAIL, 0.0)


# --- the heeling moment ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "volumetric", "factor"),
    [
        (LINE, 300.0, 1.06),
        (LINE._replace(vcg_basis=VCG_OF_HOLD), 300.0, 1.0),
        (LINE._replace(filling=FILLED_UNTRIMMED), 700.0, 1.06),
        (LINE._replace(filling=FILLED_UNTRIMMED, vcg_basis=VCG_OF_HOLD), 700.0, 1.0),
        (LINE._replace(filling=PARTLY_FILLED, volume=1000.0), 1200.0, 1.12),
        (LINE._replace(filling=PARTLY_FILLED, volume=1000.0, vcg_basis=VCG_OF_HOLD), 1200.0, 1.12),
        (LINE._replace(filling=PARTLY_FILLED, volume=600.0), 800.0, 1.12),
        (LINE._replace(filling=PARTLY_FILLED, volume=200.0), 400.0, 1.12),
        (LINE._replace(filling=PARTLY_FILLED, volume=1800.0 * (1 + 1e-15)), 900.0, 1.12),
        (LINE._replace(stowage_factor=1.5), 300.0, 1.06),
        (LINE._replace(heeling_moment=250.0), 250.0, 1.06),
        (LINE._replace(heeling_moment=0.0), 0.0, 1.06),
        (LINE._replace(hold=1, heeling_moment=250.0), 250.0, 1.06),
        (LINE._replace(hold=1, filling=PARTLY_FILLED, heeling_moment=250.0), 250.0, 1.12),
    ],
)
def test_the_heeling_moment_of_a_line(line, volumetric, factor):
    shown = details(judged(laden(line))[0])
    id, moment = HOLDS[line.hold].id, volumetric * factor / line.stowage_factor
    assert shown[f"hold/{id}/volumetric_moment"] == pytest.approx(volumetric, rel=1e-12)
    assert shown[f"hold/{id}/vertical_factor"] == factor
    assert shown[f"hold/{id}/stowage_factor"] == line.stowage_factor
    assert shown[f"hold/{id}/heeling_moment"] == pytest.approx(moment, rel=1e-12)
    other = "2" if id == "1" else "1"
    assert shown[f"hold/{other}/heeling_moment"] is None, "a hold without grain"
    assert shown["heeling_moment"] == pytest.approx(moment, rel=1e-12)
    assert shown["displacement"] == DISPLACEMENT
    assert shown["heeling_lever_0"] == pytest.approx(moment / DISPLACEMENT, rel=1e-12)


def test_a_printed_heeling_lever():
    """5000 m4 at 1.35 m3/t on 35 000 t: lambda_0 0.1058 m, lambda_40 0.0847 m (arithmetic)."""
    line = LINE._replace(heeling_moment=5000.0, stowage_factor=1.35, vcg_basis=VCG_OF_HOLD)
    shown = details(judged(laden(line, mass=35000.0))[1])
    assert shown["heeling_lever_0"] == pytest.approx(0.1058, abs=5e-5)
    assert shown["heeling_lever_40"] == pytest.approx(0.0847, abs=5e-5)


def test_moments_of_several_holds_add_up_in_any_order():
    second = LINE._replace(hold=1, heeling_moment=400.0, stowage_factor=1.5)
    one, other = judged(laden(LINE, second))[0], judged(laden(second, LINE))[0]
    assert one == other
    assert details(one)["heeling_moment"] == pytest.approx(300.0 * 1.06 / 1.3 + 400.0 * 1.06 / 1.5, rel=1e-12)


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
    heel, area, gm = judged(laden(line, other))
    assert (heel.verdict, area.verdict, gm.verdict) == (NOT_COMPUTABLE, NOT_COMPUTABLE, PASS)
    assert f"hold {HOLDS[line.hold].id}" in heel.reason
    assert (heel.attained, area.attained, details(heel)["heeling_moment"]) == (None, None, None)


def test_without_cross_curves():
    heel, area, gm = judged(laden(LINE), heeled(None))
    assert (heel.verdict, area.verdict, gm.verdict) == (NOT_COMPUTABLE, NOT_COMPUTABLE, PASS)
    assert "cross curves" in heel.reason
    assert {c.verdict for c in judged(laden(), heeled(None))} == {NOT_APPLICABLE}


def test_without_openings():
    heel, area, gm = judged(laden(LINE), on(flooding=None))
    assert (heel.verdict, area.verdict, gm.verdict) == (NOT_COMPUTABLE, NOT_COMPUTABLE, PASS)
    assert "down-flooding" in area.reason


@pytest.mark.parametrize(("lambda_0", "verdict"), [(0.05, NOT_COMPUTABLE), (0.30, FAIL)])
def test_without_a_deck_edge_only_a_failure_is_certain(lambda_0, verdict):
    heel, area, _ = judged(laden(with_lever(lambda_0), deck_edge=None))
    assert (heel.verdict, heel.required) == (verdict, 12.0)
    assert area.verdict in (PASS, FAIL)
    if verdict == NOT_COMPUTABLE:
        assert "deck edge" in heel.reason


@pytest.mark.parametrize(
    ("last", "maximum", "lambda_0", "flooding", "heel_verdict", "area_verdict"),
    [
        (10.0, 45.0, 0.05, math.inf, PASS, NOT_COMPUTABLE),
        (10.0, 45.0, 0.40, math.inf, NOT_COMPUTABLE, NOT_COMPUTABLE),
        (12.0, 45.0, 0.40, math.inf, FAIL, NOT_COMPUTABLE),
        (39.0, 45.0, 0.05, math.inf, PASS, NOT_COMPUTABLE),
        (40.0, 45.0, 0.05, math.inf, PASS, PASS),
        (39.0, 45.0, 0.05, 38.0, PASS, PASS),
        (39.0, 30.0, 0.05, math.inf, PASS, PASS),  # the levers draw apart to 30 degrees only
    ],
)
def test_cross_curves_that_end_early(last, maximum, lambda_0, flooding, heel_verdict, area_verdict):
    heel, area, _ = judged(laden(with_lever(lambda_0)), on(1.0, maximum, flooding, last))
    assert (heel.verdict, area.verdict) == (heel_verdict, area_verdict)


@pytest.mark.parametrize(
    ("part", "verdict"), [(1.0 - 1e-6, FAIL), (1.0 - 1e-12, FAIL), (1.0, FAIL), (1.0 + 1e-6, PASS)]
)
def test_an_opening_that_floods_before_she_rests_fails(part, verdict):
    rest = judged(laden(with_lever(0.1)))[0].attained
    assert rest == pytest.approx(again(0.1, 1.0, 45.0)["heel"], abs=1e-9)
    heel, area, _ = judged(laden(with_lever(0.1)), on(flooding=rest * part))
    assert heel.verdict == verdict
    assert area.verdict == FAIL
    assert ("floods" in area.reason) is (verdict == FAIL)


def test_without_grain_nothing_applies():
    for criterion in judged(laden()):
        assert criterion.verdict == NOT_APPLICABLE
        assert "no grain" in criterion.reason
    assert {criterion.verdict for criterion in judged(laden(LINE))} == {PASS}


# --- whole assessments -----------------------------------------------------------------------------------------

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


def test_grain_of_one_condition_does_not_stay_for_the_next():
    """Laden, empty, laden again."""
    first, empty, again = (carrying(*lines).criteria for lines in (GRAIN, (), GRAIN))
    assert first == again
    assert {criterion.verdict for _, criterion in empty} == {NOT_APPLICABLE}


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
        verdicts = {c.row.id: c.verdict for name, c in result.criteria if name == NAME}
        assert verdicts == {row.id: PASS for row in LIMITS}


def test_port_and_starboard_mirrored():
    ship = full_vessel(holds=HOLDS, openings=(opening("P", 6.0, 11.0), opening("S", -6.0, 11.0)))
    port, starboard, upright = (
        [criterion for _, criterion in carrying(*GRAIN, tcg=tcg, ship=ship).criteria]
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
    flooding = math.degrees(math.atan2(9.0 - result.flotation.draft_at(50.0), 6.0))
    shown = details(result.criteria[1][1])
    assert shown["side"] == "starboard"
    assert shown["flooding_angle"] == pytest.approx(flooding, abs=1e-9)


def test_grain_lines_alone_change_no_other_figure():
    bare, with_grain = assess(GRAIN_SHIP, condition()), assess(GRAIN_SHIP, condition(grain=GRAIN))
    assert bare.situation.gm_corrected == with_grain.situation.gm_corrected
    assert bare.displacement == with_grain.displacement
    assert bare.flotation == with_grain.flotation


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
