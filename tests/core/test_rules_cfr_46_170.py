"""46 CFR 170.170 and 170.173 around their limits, in the regulation's own units.

Source: Title 46 CFR part 170: 170.170(a) GM >= P A H / (W tan T), P = 0.005 / 0.0033 / 0.0025 + (L / 14200)^2 LT/ft2;
170.173(b): 0.15 m, 0.20 m, 25 degrees, 3.15 / 5.15 / 1.72 m.degree; (c): 15 degrees, 3.15 + 0.057 (30 - Y) m.degree
(value from memory). The worked figure 0.7388 ft is arithmetic: L 50 m, A 400 m2, H 4.5 m, W 1800 t, T 14 degrees.
"""

from math import degrees, inf, radians, tan

import pytest

from service.core.frame import FOOT, LONG_TON
from service.core.heeling_lever import Wind
from service.core.rules.cfr_46_170 import PARAGRAPH_B, PARAGRAPH_C, evaluate_b, evaluate_c, evaluate_weather
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Heeled
from service.core.vessel import Vessel
from tests.core.ship import (
    cubic,
    cubic_area,
    cubic_lever,
    details,
    heeled,
    just_around,
    particulars,
    situation,
    verdicts,
    vessel,
)

AROUND = [FAIL, PASS, PASS]


def required(
    length: float, area: float, arm: float, mass: float, angle: float, first: float = 0.005
) -> float:
    """ft, from m, m2, m, t, degrees."""
    pressure = first + (length / FOOT / 14200.0) ** 2
    return pressure * area / FOOT**2 * arm / FOOT / (mass / LONG_TON * tan(radians(angle)))


def test_the_worked_figure():
    assert required(50.0, 400.0, 4.5, 1800.0, 14.0) == pytest.approx(0.7388, abs=5e-5)


@pytest.mark.parametrize(
    ("service", "first"),
    [("exposed", 0.005), ("partially_protected", 0.0033), ("protected", 0.0025), (None, 0.005)],
)
@pytest.mark.parametrize(("half", "angle"), [(20.0, 14.0), (14.0, 14.0), (9.0, 9.0)])
def test_gm_against_wind_just_below_at_and_just_above(service, first, half, angle):
    """9000 t at 6 m; 600 m2 with its centroid 9 m up, 6 m above half the draft."""
    needed = required(100.0, 600.0, 6.0, 9000.0, angle, first)
    ship = vessel(particulars=particulars(service=service))
    criteria = [
        criterion
        for gm in just_around(needed * FOOT)
        for criterion in evaluate_weather(situation(gm, ship, half_freeboard=half))
    ]
    assert [c.required for c in criteria] == pytest.approx([needed] * 3, rel=1e-12)
    assert [c.attained for c in criteria] == pytest.approx(just_around(needed), rel=1e-14)
    assert criteria[0].row.unit == "ft"
    assert verdicts(criteria) == AROUND
    shown = details(criteria[0])
    words = shown.pop("service")
    assert words == (
        service.replace("_", " ") if service else "exposed (not stated: the most severe is taken)"
    )
    assert shown == {
        "wind_pressure": pytest.approx(first + (100.0 / FOOT / 14200.0) ** 2, rel=1e-14),
        "lateral_area": pytest.approx(600.0 / FOOT**2, rel=1e-14),
        "wind_arm": pytest.approx(6.0 / FOOT, rel=1e-14),
        "displacement": pytest.approx(9000.0 / LONG_TON, rel=1e-14),
        "half_freeboard_angle": half,
        "angle": angle,
    }


def test_the_gm_judged_is_the_corrected_one():
    (criterion,) = evaluate_weather(situation(0.2, gm_solid=3.0))
    assert criterion.attained == pytest.approx(0.2 / FOOT, rel=1e-14)


@pytest.mark.parametrize(
    ("missing", "word"), [({"wind": None}, "wind profile"), ({"half_freeboard": None}, "deck edge")]
)
def test_gm_against_wind_without_its_tables(missing, word):
    (criterion,) = evaluate_weather(situation(5.0, **missing))
    assert criterion.verdict == NOT_COMPUTABLE
    assert criterion.required is None
    assert word in criterion.reason


def test_a_deck_edge_under_water_fails():
    """No angle is left to immerse half the freeboard: tan T is zero and no GM is enough."""
    (criterion,) = evaluate_weather(situation(50.0, half_freeboard=0.0))
    assert (criterion.required, criterion.verdict) == (inf, FAIL)


def test_a_deck_edge_under_water_without_wind_to_heel_her_is_not_computable():
    """Nothing over nothing: no GM can be asked."""
    (criterion,) = evaluate_weather(situation(50.0, half_freeboard=0.0, wind=Wind(0.0, 9.0)))
    assert (criterion.required, criterion.verdict) == (None, NOT_COMPUTABLE)


# --- 170.173 ---------------------------------------------------------------------------------------------------


def area(to: float, maximum: float) -> float:
    return degrees(cubic_area(radians(to), radians(maximum)))


def lever(at: float, maximum: float) -> float:
    return cubic(radians(at), radians(maximum))


def on(slope: float, maximum: float, flooding: float | None = inf, last: float = 80.0) -> Heeled:
    """On the cubic of this slope and angle of maximum; openings of the Code would flood at once."""
    return heeled(cubic_lever(slope, maximum, last), 0.5, automatic=flooding)


def b(side: Heeled, gm: float = 5.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    found = evaluate_b(situation(gm, ship), side)
    return {criterion.row.id.removeprefix("46-cfr-170.173-"): criterion for criterion in found}


def c(side: Heeled, gm: float = 5.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    found = evaluate_c(situation(gm, ship), side)
    return {criterion.row.id.removeprefix("46-cfr-170.173-"): criterion for criterion in found}


def test_limits_are_those_of_the_regulation():
    assert [row.limit for row in PARAGRAPH_B] == [0.15, 0.20, 25.0, 3.15, 5.15, 1.72]
    assert [row.limit for row in PARAGRAPH_C] == [0.15, 15.0, 5.15, 1.72, None]
    assert {row.unit for row in PARAGRAPH_B} == {"m", "degree", "m·degree"}
    assert {row.comparison for row in (*PARAGRAPH_B, *PARAGRAPH_C)} == {">="}


@pytest.mark.parametrize(("evaluate", "clause"), [(b, "b-gm"), (c, "c-gm")])
def test_gm_around_its_limit(evaluate, clause):
    criteria = [evaluate(on(5.0, 28.0), gm)[clause] for gm in just_around(0.15)]
    assert [criterion.attained for criterion in criteria] == list(just_around(0.15))
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("b-lever", 0.20, lever(35.0, 35.0)),
        ("b-area-to-30", 3.15, area(30.0, 35.0)),
        ("b-area-to-40", 5.15, area(40.0, 35.0)),
        ("b-area-30-to-40", 1.72, area(40.0, 35.0) - area(30.0, 35.0)),
    ],
)
def test_paragraph_b_around_each_limit(clause, limit, per_slope):
    criteria = [b(on(slope, 35.0))[clause] for slope in just_around(limit / per_slope)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("c-area-to-40", 5.15, area(40.0, 28.0)),
        ("c-area-30-to-40", 1.72, area(40.0, 28.0) - area(30.0, 28.0)),
    ],
)
def test_paragraph_c_around_each_limit(clause, limit, per_slope):
    criteria = [c(on(slope, 28.0))[clause] for slope in just_around(limit / per_slope)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("maximum", "limit"), [(12.0, 4.005), (15.0, 4.005), (20.0, 3.72), (25.0, 3.435), (29.5, 3.1785)]
)
def test_paragraph_c_area_to_the_maximum(maximum, limit):
    slopes = just_around(limit / area(maximum, maximum))
    criteria = [c(on(slope, maximum))["c-area-to-maximum"] for slope in slopes]
    assert [criterion.required for criterion in criteria] == pytest.approx([limit] * 3, rel=1e-7)
    assert verdicts(criteria) == AROUND
    assert details(criteria[0]) == {
        "flooding_angle": None,
        "angle_of_maximum": pytest.approx(maximum, rel=1e-9),
    }


@pytest.mark.parametrize(("evaluate", "clause", "limit"), [(b, "b-angle", 25.0), (c, "c-angle", 15.0)])
def test_angles_of_maximum(evaluate, clause, limit):
    criteria = [evaluate(on(1.0, maximum))[clause] for maximum in just_around(limit)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("maximum", "applies"), [(29.0, True), (29.999, True), (30.001, False), (31.0, False)]
)
def test_paragraph_c_is_for_levers_greatest_at_30_degrees_or_less(maximum, applies):
    assert set(verdicts(c(on(5.0, maximum)).values())) == {PASS if applies else NOT_APPLICABLE}


def test_paragraph_c_looks_at_the_whole_curve_for_its_maximum():
    """Greatest at 35 degrees though an opening floods at 20: paragraph (b) is for her."""
    assert set(verdicts(c(on(5.0, 35.0, 20.0)).values())) == {NOT_APPLICABLE}


@pytest.mark.parametrize(("length", "applies"), [(99.9, True), (100.0, False), (120.0, False)])
@pytest.mark.parametrize(("evaluate", "maximum"), [(b, 35.0), (c, 28.0)])
def test_the_section_is_for_vessels_under_100_m(length, applies, evaluate, maximum):
    ship = vessel(particulars=particulars(length_load_line=length))
    found = evaluate(on(5.0, maximum), ship=ship)
    assert set(verdicts(found.values())) == {PASS if applies else NOT_APPLICABLE}
    assert applies or all("under 100 m" in criterion.reason for criterion in found.values())


@pytest.mark.parametrize(("evaluate", "maximum"), [(b, 35.0), (c, 28.0)])
def test_unknown_down_flooding_is_never_a_pass(evaluate, maximum):
    criteria = evaluate(on(50.0, maximum, None))
    for clause, criterion in criteria.items():
        assert criterion.verdict == (PASS if clause.endswith("gm") else NOT_COMPUTABLE), clause


@pytest.mark.parametrize("evaluate", [evaluate_b, evaluate_c])
def test_no_cross_curves_is_never_a_pass(evaluate):
    criteria = evaluate(situation(5.0), heeled(None))
    assert len(criteria) == len(PARAGRAPH_B if evaluate is evaluate_b else PARAGRAPH_C)
    assert set(verdicts(criteria)) == {NOT_COMPUTABLE}


@pytest.mark.parametrize("flooding", [20.0, 29.9, 30.0])
def test_flooding_before_30_degrees(flooding):
    criteria = b(on(50.0, 35.0, flooding))
    for clause in ("b-lever", "b-area-30-to-40"):
        assert criteria[clause].verdict == FAIL
        assert "floods" in criteria[clause].reason
    assert criteria["b-area-to-30"].attained == pytest.approx(50.0 * area(flooding, 35.0), rel=1e-12)
    assert criteria["b-area-to-40"].attained == pytest.approx(50.0 * area(flooding, 35.0), rel=1e-12)
    of_c = c(on(50.0, 28.0, flooding))
    assert of_c["c-area-30-to-40"].verdict == FAIL
    assert of_c["c-area-to-40"].attained == pytest.approx(50.0 * area(flooding, 28.0), rel=1e-12)


def test_flooding_between_30_and_40_degrees():
    criteria = b(on(1.0, 35.0, 36.0))
    assert criteria["b-area-to-40"].attained == pytest.approx(area(36.0, 35.0), rel=1e-12)
    expected = area(36.0, 35.0) - area(30.0, 35.0)
    assert criteria["b-area-30-to-40"].attained == pytest.approx(expected, rel=1e-10)
    for clause, criterion in criteria.items():
        assert clause == "b-gm" or details(criterion) == {"flooding_angle": 36.0}


def test_flooding_before_the_maximum_ends_paragraph_c_there():
    """Rising to 28 degrees, flooding at 20: 3.72 m.degree up to 20 degrees."""
    criterion = c(on(1.0, 28.0, 20.0))["c-area-to-maximum"]
    assert criterion.required == pytest.approx(3.72, rel=1e-12)
    assert criterion.attained == pytest.approx(area(20.0, 28.0), rel=1e-12)
    assert c(on(1.0, 28.0, 20.0))["c-angle"].attained == 20.0


@pytest.mark.parametrize(
    ("last", "missing"),
    [
        (29.0, {"b-lever", "b-area-to-30", "b-area-to-40", "b-area-30-to-40"}),
        (30.0, {"b-area-to-40", "b-area-30-to-40"}),
        (39.0, {"b-area-to-40", "b-area-30-to-40"}),
        (40.0, set()),
    ],
)
def test_cross_curves_that_end_early(last, missing):
    """What lies beyond their last heel is not guessed; what they reach is judged."""
    for clause, criterion in b(on(5.0, 35.0, last=last)).items():
        assert criterion.verdict == (NOT_COMPUTABLE if clause in missing else PASS), clause
    short = {"c-area-to-40", "c-area-30-to-40"} if last < 40.0 else set()
    for clause, criterion in c(on(5.0, 28.0, last=last)).items():
        assert criterion.verdict == (NOT_COMPUTABLE if clause in short else PASS), clause
