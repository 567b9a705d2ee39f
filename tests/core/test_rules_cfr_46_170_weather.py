"""46 CFR 170.170, the weather criterion, around its limit, in feet and long tons.

Source: Title 46 CFR 170.170(a): GM >= P A H / (W tan T), P = 0.005 / 0.0033 / 0.0025 + (L / 14200)^2 LT/ft2. The worked
figure 0.7388 ft is arithmetic: L 50 m, A 400 m2, H 4.5 m, W 1800 t, T 14 degrees.
"""

from dataclasses import replace
from math import inf, radians, tan

import pytest

from service.core.conventions import FOOT, LONG_TON
from service.core.errors import OutsideTable
from service.core.heeling_lever import Wind
from service.core.rules.cfr_46_170 import (
    evaluate_weather,
)
from service.core.rules.limit import (
    FAIL,
    NOT_COMPUTABLE,
    PASS,
)
from tests.core.ship import (
    condition,
    details,
    half_freeboard_at,
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
    ship = vessel(particulars=particulars(service=service), deck_edge=half_freeboard_at(half))
    criteria = [
        criterion for gm in just_around(needed * FOOT) for criterion in evaluate_weather(situation(gm, ship))
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
        "half_freeboard_angle": pytest.approx(half, rel=1e-13),
        "angle": pytest.approx(angle, rel=1e-13),
    }


def test_the_gm_judged_is_the_corrected_one():
    (criterion,) = evaluate_weather(situation(0.2, gm_solid=3.0))
    assert criterion.attained == pytest.approx(0.2 / FOOT, rel=1e-14)


def test_the_rise_of_the_centre_costs_as_much_gm():
    """In the feet of the clause: 1 / 0.3048 ft for each metre."""
    (criterion,) = evaluate_weather(situation(0.2))
    assert criterion.vcg_effect == pytest.approx(1.0 / FOOT, rel=1e-15)


OFF = OutsideTable("displacement", 9.0, 1.0, 2.0, "mass")


@pytest.mark.parametrize(
    ("missing", "word"),
    [
        ({"wind": None}, "wind profile"),
        ({"ship": vessel(deck_edge=None)}, "deck edge"),
        ({"wind": None, "gaps": {"flotation": OFF}}, "displacement lies outside"),
        ({"gm_corrected": None, "gaps": {"stability": OFF}}, "displacement lies outside"),
        ({"given": condition(deck_cargo_without_area=(0,))}, "deck cargo without lateral area"),
    ],
)
def test_gm_against_wind_without_what_it_needs(missing, word):
    (criterion,) = evaluate_weather(situation(5.0, **missing))
    assert criterion.verdict == NOT_COMPUTABLE
    assert word in criterion.reason


def test_without_drafts_no_wind_arm_is_shown():
    given = replace(situation(5.0, wind=None, gaps={"flotation": OFF}), flotation=None)
    (criterion,) = evaluate_weather(given)
    shown = details(criterion)
    assert (shown["lateral_area"], shown["wind_arm"], criterion.required) == (None, None, None)
    assert criterion.attained == pytest.approx(5.0 / FOOT)


SUNK = vessel(deck_edge=half_freeboard_at(0.0))


def test_a_deck_edge_under_water_fails():
    """No angle is left to immerse half the freeboard: tan T is zero and no GM is enough."""
    (criterion,) = evaluate_weather(situation(50.0, SUNK))
    assert (criterion.required, criterion.verdict) == (inf, FAIL)


def test_a_deck_edge_under_water_without_wind_to_heel_her_is_not_computable():
    """Nothing over nothing: no GM can be asked."""
    (criterion,) = evaluate_weather(situation(50.0, SUNK, wind=Wind(0.0, 9.0)))
    assert (criterion.required, criterion.verdict) == (None, NOT_COMPUTABLE)


@pytest.mark.parametrize(("part", "verdict"), [(0.99, FAIL), (1.0, NOT_COMPUTABLE), (1.01, NOT_COMPUTABLE)])
def test_with_the_deck_edge_unknown_only_a_gm_below_that_of_14_degrees_is_judged(part, verdict):
    """No angle of immersion could ask for less than 14 degrees do."""
    least = required(100.0, 600.0, 6.0, 9000.0, 14.0)
    [criterion] = evaluate_weather(situation(part * least * FOOT, vessel(deck_edge=None)))
    assert criterion.verdict == verdict
    assert criterion.required == (pytest.approx(least, rel=1e-9) if verdict == FAIL else None)
