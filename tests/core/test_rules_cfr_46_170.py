"""46 CFR 170.170 and 170.173 around their limits, in the regulation's own units.

Source: Title 46 CFR part 170: 170.170(a) GM >= P A H / (W tan T), P = 0.005 / 0.0033 / 0.0025 + (L / 14200)^2 LT/ft2;
170.173(b): 0.15 m, 0.20 m, 25 degrees, 3.15 / 5.15 / 1.72 m.degree; (c): 15 degrees, 3.15 + 0.057 (30 - Y) m.degree
(value from memory). The worked figure 0.7388 ft is arithmetic: L 50 m, A 400 m2, H 4.5 m, W 1800 t, T 14 degrees.
"""

import numpy as np
import pytest

from service.core.frame import FOOT, LONG_TON
from service.core.rules.cfr_46_170 import PARAGRAPH_B, PARAGRAPH_C, evaluate_b, evaluate_c, evaluate_weather
from service.core.rules.limit import FAIL, NOT_APPLICABLE, NOT_COMPUTABLE, PASS, Criterion
from service.core.situation import Situation
from tests.core.ship import cubic_lever, just_around, particulars, situation, vessel

AROUND = [FAIL, PASS, PASS]
DEGREES = 180.0 / np.pi


def required(
    length: float, area: float, arm: float, mass: float, angle: float, first: float = 0.005
) -> float:
    """ft, from m, m2, m, t, degrees."""
    pressure = first + (length / FOOT / 14200.0) ** 2
    return pressure * area / FOOT**2 * arm / FOOT / (mass / LONG_TON * np.tan(np.radians(angle)))


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
    gm = just_around(needed * FOOT)
    (criterion,) = evaluate_weather(situation(None, gm, ship=ship, half_freeboard=np.full(3, half)))
    np.testing.assert_allclose(criterion.required, needed, rtol=1e-12)
    assert criterion.row.unit == "ft"
    assert criterion.verdict.tolist() == AROUND
    shown = {detail.name: detail.values for detail in criterion.details}
    assert shown["angle T"][0] == angle
    if service is None:
        assert "not stated" in shown["service"][0]


@pytest.mark.parametrize(
    ("missing", "word"),
    [
        ({"wind_area": np.full(1, np.nan)}, "wind profile"),
        ({"half_freeboard": np.full(1, np.nan)}, "deck edge"),
    ],
)
def test_gm_against_wind_without_its_tables(missing, word):
    (criterion,) = evaluate_weather(situation(None, np.full(1, 5.0), **missing))
    assert criterion.verdict[0] == NOT_COMPUTABLE
    assert word in criterion.reason(0)


def test_a_deck_edge_under_water_fails():
    """No angle is left to immerse half the freeboard: tan T is zero and no GM is enough."""
    (criterion,) = evaluate_weather(situation(None, np.full(1, 50.0), half_freeboard=np.zeros(1)))
    assert criterion.verdict[0] == FAIL


# --- 170.173 ---------------------------------------------------------------------------------------------------


def area(to: float, maximum: float) -> float:
    a, m = np.radians(to), np.radians(maximum)
    return float(a**2 / 2.0 - a**4 / (12.0 * m**2)) * DEGREES


def lever(at: float, maximum: float) -> float:
    a, m = np.radians(at), np.radians(maximum)
    return float(a - a**3 / (3.0 * m**2))


def b(given: Situation) -> dict[str, Criterion]:
    return {criterion.row.id.removeprefix("46-cfr-170.173-"): criterion for criterion in evaluate_b(given)}


def c(given: Situation) -> dict[str, Criterion]:
    return {criterion.row.id.removeprefix("46-cfr-170.173-"): criterion for criterion in evaluate_c(given)}


def with_slopes(slopes: np.ndarray, maximum: float, flooding: float = np.inf, **changes) -> Situation:
    return situation(cubic_lever(slopes, np.full(len(slopes), maximum)), slopes, flooding, **changes)


def test_limits_are_those_of_the_regulation():
    assert [row.limit for row in PARAGRAPH_B] == [0.15, 0.20, 25.0, 3.15, 5.15, 1.72]
    assert [row.limit for row in PARAGRAPH_C] == [0.15, 15.0, 5.15, 1.72, None]
    assert {row.unit for row in PARAGRAPH_B} == {"m", "degree", "m·degree"}


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("b-gm", 0.15, 1.0),
        ("b-lever", 0.20, lever(35.0, 35.0)),
        ("b-area-to-30", 3.15, area(30.0, 35.0)),
        ("b-area-to-40", 5.15, area(40.0, 35.0)),
        ("b-area-30-to-40", 1.72, area(40.0, 35.0) - area(30.0, 35.0)),
    ],
)
def test_paragraph_b_around_each_limit(clause, limit, per_slope):
    criterion = b(with_slopes(just_around(limit / per_slope), 35.0))[clause]
    np.testing.assert_allclose(criterion.attained, just_around(limit), rtol=1e-9)
    assert criterion.verdict.tolist() == AROUND


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("c-gm", 0.15, 1.0),
        ("c-area-to-40", 5.15, area(40.0, 28.0)),
        ("c-area-30-to-40", 1.72, area(40.0, 28.0) - area(30.0, 28.0)),
    ],
)
def test_paragraph_c_around_each_limit(clause, limit, per_slope):
    criterion = c(with_slopes(just_around(limit / per_slope), 28.0))[clause]
    np.testing.assert_allclose(criterion.attained, just_around(limit), rtol=1e-9)
    assert criterion.verdict.tolist() == AROUND


@pytest.mark.parametrize(("maximum", "limit"), [(15.0, 4.005), (20.0, 3.72), (25.0, 3.435), (29.5, 3.1785)])
def test_paragraph_c_area_to_the_maximum(maximum, limit):
    criterion = c(with_slopes(just_around(limit / area(maximum, maximum)), maximum))["c-area-to-maximum"]
    np.testing.assert_allclose(criterion.required, limit, rtol=1e-7)
    assert criterion.verdict.tolist() == AROUND


@pytest.mark.parametrize(("evaluate", "clause", "limit"), [(b, "b-angle", 25.0), (c, "c-angle", 15.0)])
def test_angles_of_maximum(evaluate, clause, limit):
    given = situation(cubic_lever(np.ones(3), just_around(limit)), np.ones(3))
    assert evaluate(given)[clause].verdict.tolist() == AROUND


@pytest.mark.parametrize(("maximum", "applies"), [(29.0, True), (31.0, False)])
def test_paragraph_c_is_for_levers_greatest_at_30_degrees_or_less(maximum, applies):
    for criterion in c(with_slopes(np.full(1, 5.0), maximum)).values():
        assert criterion.verdict[0] == (PASS if applies else NOT_APPLICABLE)


@pytest.mark.parametrize(("length", "applies"), [(99.9, True), (100.0, False), (120.0, False)])
def test_the_section_is_for_vessels_under_100_m(length, applies):
    ship = vessel(particulars=particulars(length_load_line=length))
    for criterion in b(with_slopes(np.full(1, 5.0), 35.0, ship=ship)).values():
        assert criterion.verdict[0] == (PASS if applies else NOT_APPLICABLE)


@pytest.mark.parametrize("evaluate", [b, c])
def test_unknown_down_flooding_is_never_a_pass(evaluate):
    criteria = evaluate(with_slopes(np.full(1, 50.0), 28.0, np.nan))
    verdicts = {id: int(criterion.verdict[0]) for id, criterion in criteria.items()}
    assert verdicts.pop(f"{evaluate.__name__}-gm") == PASS
    assert set(verdicts.values()) == {NOT_COMPUTABLE}


@pytest.mark.parametrize("evaluate", [evaluate_b, evaluate_c])
def test_no_cross_curves_is_never_a_pass(evaluate):
    for criterion in evaluate(situation(None, np.full(1, 5.0))):
        assert criterion.verdict[0] == NOT_COMPUTABLE


@pytest.mark.parametrize("flooding", [20.0, 29.9])
def test_flooding_before_30_degrees(flooding):
    criteria = b(with_slopes(np.full(1, 50.0), 35.0, flooding))
    for clause in ("b-lever", "b-area-30-to-40"):
        assert criteria[clause].verdict[0] == FAIL
    assert criteria["b-area-to-40"].attained[0] == pytest.approx(50.0 * area(flooding, 35.0), rel=1e-12)


def test_flooding_between_30_and_40_degrees():
    criteria = b(with_slopes(np.ones(1), 35.0, 36.0))
    assert criteria["b-area-to-40"].attained[0] == pytest.approx(area(36.0, 35.0), rel=1e-12)
    expected = area(36.0, 35.0) - area(30.0, 35.0)
    assert criteria["b-area-30-to-40"].attained[0] == pytest.approx(expected, rel=1e-10)
