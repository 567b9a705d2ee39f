"""The demonstration conditions are what their titles say.

Each is worked through by `booklet_sum`, independently of the service: textbook formulas on the printed tables
(moments about the keel, interpolation between rows, spline of KN; 2008 IS Code Part A, 2.2 and 2.3).
"""

import json
from functools import cache
from typing import Any

import numpy as np
import pytest

from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from tests.demo.booklet_sum import Result, general_criteria, weather, work

ALL = [(ship, name) for ship in demo_vessel_ids() for name in condition_names(ship)]
USUAL = [
    ("halvenmoor", "departure-homogeneous"),
    ("halvenmoor", "arrival-homogeneous"),
    ("halvenmoor", "ballast-departure"),
    ("halvenmoor", "ballast-arrival"),
    ("ostrel", "departure-terminal"),
    ("ostrel", "arrival-terminal"),
    ("ostrel", "ballast-transit"),
]
METRE = {"metric": 1.0, "us": 0.3048}


@cache
def worked(ship: str, name: str) -> Result:
    return work(ship, name)


def document(ship: str, name: str) -> dict[str, Any]:
    return json.loads(read_condition(ship, name))


def vessel(ship: str) -> dict[str, Any]:
    return json.loads(read_vessel(ship))


@pytest.mark.parametrize(("ship", "name"), ALL)
def test_floats_within_her_tables(ship: str, name: str) -> None:
    """Displacement, trim and draft lie inside the hydrostatic table, every tank within its pipe."""
    result = worked(ship, name)
    trims = [row["trim"] for row in vessel(ship)["hydrostatics"]["rows"]]
    assert min(trims) <= result.trim <= max(trims)
    assert 0.0 <= result.list_angle < 15.0
    overfull = [tank for tank, fill in result.fills.items() if fill > 100.0]
    assert overfull == (["fo-db-5-p"] if name == "over-full-tank" else [])


@pytest.mark.parametrize(("ship", "name"), ALL)
def test_names_known_tanks_once(ship: str, name: str) -> None:
    tanks = {tank["id"] for tank in vessel(ship)["tanks"]}
    named = [line["tank"] for line in document(ship, name)["tanks"]]
    assert set(named) <= tanks
    assert len(named) == len(set(named))


@pytest.mark.parametrize(("ship", "name"), USUAL)
def test_usual_conditions_lie_well(ship: str, name: str) -> None:
    """Nearly upright, trimmed a little by the stern, not deeper than the summer mark, with GM to spare."""
    result, metre = worked(ship, name), METRE[vessel(ship)["units"]]
    assert result.list_angle < 0.5
    assert 0.0 <= result.trim * metre <= 1.2
    assert result.draft <= vessel(ship)["load_lines"]["summer_draft"]
    assert result.gm * metre >= 0.3


@pytest.mark.parametrize("name", [name for ship, name in USUAL if ship == "halvenmoor"])
def test_usual_conditions_meet_the_criteria(name: str) -> None:
    result = worked("halvenmoor", name)
    assert all(general_criteria(result).values())
    wind = weather(vessel("halvenmoor"), result)
    assert wind["equilibrium"] < wind["limit"]
    assert wind["b"] > wind["a"]
    assert wind["b/d"] < 3.5
    assert wind["period"] < 20.0


def test_homogeneous_departure_is_down_to_her_marks() -> None:
    result = worked("halvenmoor", "departure-homogeneous")
    assert result.draft == pytest.approx(5.8, abs=0.05)
    light = worked("halvenmoor", "ballast-departure")
    assert light.draft < result.draft - 1.0


def test_timber_fails_on_gm_alone() -> None:
    result = worked("halvenmoor", "timber-gm-fails")
    met = general_criteria(result)
    assert met.pop("gm") is False
    assert all(met.values())
    assert 0.0 < result.gm < 0.15


def test_silos_fail_the_weather_criterion_alone() -> None:
    """The steady wind heels her beyond 16 degrees; everything else is met and inside the limits of validity."""
    result = worked("halvenmoor", "silos-weather-fails")
    assert all(general_criteria(result).values())
    wind = weather(vessel("halvenmoor"), result)
    assert wind["equilibrium"] > wind["limit"] == 16.0
    assert wind["b"] > wind["a"]
    assert wind["b/d"] < 3.5
    assert wind["period"] < 20.0
    without = document("halvenmoor", "silos-weather-fails")["wind_additions"]
    assert sum(row["area"] for row in without) > 0.4 * result.wind_area


def test_loll() -> None:
    """Negative upright, at rest a few degrees over: wall-sided, tan^2 = 2 (-GM) / BM puts her near 11 degrees."""
    result = worked("halvenmoor", "timber-loll")
    assert -0.15 < result.gm < 0.0
    assert 5.0 < result.list_angle < 12.0


def test_everything_slack() -> None:
    """Every tank of the ship is named, and every one is slack."""
    result = worked("halvenmoor", "everything-slack")
    tanks = {tank["id"]: tank for tank in vessel("halvenmoor")["tanks"]}
    assert set(result.fills) == set(tanks)
    assert all(10.0 < fill < tanks[id]["normal_limit"] - 5.0 for id, fill in result.fills.items())
    assert result.free_surface / result.displacement > 0.5


def test_over_full_tank_is_dangerous_only_for_the_spill() -> None:
    result = worked("halvenmoor", "over-full-tank")
    assert 100.5 < result.fills["fo-db-5-p"] < 102.0
    assert 98.0 < result.fills["fo-db-5-s"] < 100.0
    assert all(general_criteria(result).values())


def test_dock_water_lists_to_starboard() -> None:
    result = worked("halvenmoor", "dock-water-list")
    assert result.tcg < 0.0
    assert 0.5 < result.list_angle < 3.0
    assert document("halvenmoor", "dock-water-list")["water_density"] < 1.025


def test_high_deck_load_is_above_the_vcg_curve() -> None:
    """Her own curve of greatest VCG, interpolated at the draft."""
    result = worked("ostrel", "deck-load-too-high")
    rows = vessel("ostrel")["gm_limits"][0]["rows"]
    below = max(
        row["value"] for row in rows if row["draft"] <= result.draft and row["draft"] > result.draft - 1.0
    )
    assert result.km - result.gm > below
    usual = worked("ostrel", "departure-terminal")
    assert usual.km - usual.gm < min(row["value"] for row in rows if row["draft"] <= 12.5)


@pytest.mark.parametrize(
    ("name", "beyond_30"),
    [
        ("arrival-terminal", True),
        ("ballast-transit", True),
        ("departure-terminal", False),
        ("on-location-slack", False),
        ("deck-load-too-high", False),
    ],
)
def test_righting_arm_is_greatest_on_either_side_of_30_degrees(name: str, beyond_30: bool) -> None:
    """46 CFR 170.173: paragraph (c) may be used up to 30 degrees, paragraph (b) counts beyond.  Up to down-flooding,
    and never within half a degree of 30, so that the way of interpolation does not choose the paragraph."""
    result = worked("ostrel", name)
    heels = np.linspace(0.0, result.flooding, 8001)
    maximum = float(heels[np.argmax(result.gz(np.radians(heels)))])
    assert abs(maximum - 30.0) > 0.5
    assert (maximum > 30.0) is beyond_30


def test_quantities_are_given_in_every_way() -> None:
    """Mass, volume, fill, sounding and ullage all occur for both ships, and every basis of free surface."""
    for ship in demo_vessel_ids():
        lines = [line for name in condition_names(ship) for line in document(ship, name)["tanks"]]
        used = set().union(*(line.keys() for line in lines))
        assert used >= {"mass", "volume", "fill", "sounding", "ullage"}
    bases = {document(ship, name)["free_surface"]["basis"] for ship, name in ALL}
    assert bases == {"as_filled", "maximum_when_slack", "by_rule"}
    assert len(condition_names("halvenmoor")) >= 8
    assert len(ALL) >= 10
