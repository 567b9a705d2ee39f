"""The demonstration conditions with a voyage, a loading sequence, ice, a survey, a lift, a tow and passengers are what
their titles say: figures by hand from the documents, and the verdicts of the service."""

import json
from functools import cache
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.demo import read_condition, read_vessel

Answer = dict[str, Any]


def document(ship: str, name: str) -> Answer:
    return json.loads(read_condition(ship, name))


@cache
def answer(ship: str, name: str) -> Answer:
    return Assessor(find_demo_vessel).assessment({"vessel_id": ship, "condition": document(ship, name)})


def criterion(found: Answer, name: str) -> Answer:
    return next(row for row in found["criteria"] if row["id"] == name)


def test_the_winter_voyage_is_over_her_mark_from_the_day_of_the_season() -> None:
    """ICLL reg 40: W lies a forty-eighth of the summer draft under S (value from memory). Her draft falls by what she
    burns, 12.7 t a day over a TPC of 11.8: about 1.1 cm a day, so that on 1 November she lies 6 cm over, and under
    the mark again some five days later. Until the season begins every point passes."""
    plan = answer("halvenmoor", "winter-voyage")["plan"]
    first = next(point for point in plan["points"] if point["verdict"] == "fail")
    assert (first["date"], first["load_line_mark"]) == ("2026-11-01T00:00:00Z", "W")
    assert first["failed"] == ["load-lines-draft", "load-lines-low-side"]
    assert all(point["verdict"] == "pass" for point in plan["points"][: first["index"]])
    summer = json.loads(read_vessel("halvenmoor"))["load_lines"]["summer_draft"]
    over = first["draft_midship"] - (summer - summer / 48.0)
    assert -first["load_line"]["margin"] == pytest.approx(over, abs=0.004)  # the low side, at a list of 0.02°
    burnt = sum(
        line["mass_per_day"] for line in document("halvenmoor", "winter-voyage")["plan"]["consumption"]
    )
    assert plan["load_line"]["days_to_line"] == pytest.approx(over / (burnt / 1180.0), rel=0.05)
    assert plan["load_line"]["limiting"]["point"] == first["index"]
    assert (plan["verdict"], plan["points"][-1]["verdict"]) == ("fail", "pass")


def test_no_mark_binds_on_the_river() -> None:
    """ICLL article 12(3) (value from memory)."""
    river = [p for p in answer("halvenmoor", "winter-voyage")["plan"]["points"] if p["stage"] == 1]
    assert river
    assert all(point["load_line"] is None for point in river)


def test_the_loading_sequence_stays_inside_the_limits_of_the_harbour() -> None:
    """Masses by hand: what she holds at the end less what she held is cargo, bunkers and water less ballast."""
    found = answer("halvenmoor", "loading-sequence")
    plan, points = found["plan"], found["plan"]["points"]
    assert plan["verdict"] == "pass"
    assert {point["phase"] for point in points[:-5]} == {"in_port"}
    assert {point["strength"]["set"] for point in points if point["phase"] == "in_port"} == {"harbour"}
    worst = {row["criterion"]: row for row in plan["worst"]}
    assert 30.0 < worst["vessel-strength-bending"]["attained"] < 100.0
    poured = [p["displacement"] for p in points if p["stage"] == 1]
    assert max(poured) - points[0]["displacement"] == pytest.approx(0.5 * 1897.0, abs=0.1)
    assert max(abs(point["trim"]) for point in points) < 2.6


def test_wet_timber_and_ice_by_hand() -> None:
    """Absorbed: 10 percent of 130 t. Ice on decks: 30 kg on each printed square metre; on both sides 7.5 kg, with 5
    percent more area (2008 IS Code Part B 6.3, values from memory), area of the wind profile and the timber's."""
    found, given = answer("halvenmoor", "timber-iced"), document("halvenmoor", "timber-iced")
    added = found["added_weights"]
    assert sum(row["mass"] for row in added if row["reason"] == "absorption") == pytest.approx(13.0)
    ship = json.loads(read_vessel("halvenmoor"))
    decks = sum(row["area"] for row in [*ship["icing_surfaces"], *given["icing"]["surfaces"]])
    sides = found["icing"]["mass"] - 0.030 * decks
    area = sides / (2.0 * 0.0075 * 1.05)
    profile = [row["area"] for row in ship["wind_profile"] if 4.25 <= row["draft"] <= 4.75]
    assert min(profile) + 60.0 < area < max(profile) + 60.0
    assert found["icing"]["gm_loss"] > 0.0
    assert found["verdict"] == "pass"


def test_the_draft_survey_finds_what_the_drafts_say() -> None:
    """Quarter mean (F + A + 6 M)/8 of the moulded drafts at the perpendiculars, by hand from the six readings: the
    marks stand 86.2, 44.5 and 1.9 m from the aft perpendicular, 12 mm of keel under the baseline."""
    survey = answer("halvenmoor", "draft-survey")["draft_survey"]
    forward, midship, aft = 5.415 - 0.012, 5.85 - 0.012, 6.28 - 0.012
    slope = (aft - forward) / (86.2 - 1.9)
    at_fp, at_ap = forward - slope * (89.0 - 86.2), aft + slope * 1.9
    assert survey["mean_draft"] == pytest.approx((at_fp + at_ap + 6.0 * midship) / 8.0, abs=1e-6)
    assert survey["difference"] == pytest.approx(survey["unknown_weight"]["mass"])
    assert 5.0 < survey["difference"] < 60.0


@pytest.mark.parametrize(
    ("name", "rules", "quantity"),
    [
        ("lifting-frame", "46-cfr-173.020", "area"),
        ("towing-barge", "46-cfr-173.095", "gm"),
        ("crew-change", "is-code-2008-a-3.1", "crowding"),
    ],
)
def test_what_ostrel_does_is_judged_by_its_own_rules(name: str, rules: str, quantity: str) -> None:
    found = answer("ostrel", name)
    judged = [row for row in found["criteria"] if row["id"].startswith(f"{rules}-")]
    assert any(quantity in row["id"] and row["verdict"] == "pass" for row in judged)
    assert found["verdict"] == "pass"


def test_the_lift_and_the_passengers_are_added_once() -> None:
    """57 LT at the crane's head; 30 passengers of 75 kg and 18 of 198 lb, a foot being 0.3048 m: 1 m above the deck."""
    lift = [row for row in answer("ostrel", "lifting-frame")["added_weights"] if row["reason"] == "hook_load"]
    assert [(row["mass"], row["vcg"]) for row in lift] == [pytest.approx((57.0, 38.0))]
    people = [
        row for row in answer("ostrel", "crew-change")["added_weights"] if row["reason"] == "passengers"
    ]
    masses = (30 * 0.075 / 1.0160469088, 18 * 198.0 / 2240.0)
    assert [row["mass"] for row in people] == pytest.approx(masses)
    assert [row["vcg"] for row in people] == pytest.approx([27.0 + 1.0 / 0.3048, 35.0 + 1.0 / 0.3048])


def test_ostrels_own_limits_bind_with_those_of_the_bar() -> None:
    """Two of her booklet, one of the condition; draft over the bar: the greater one at her perpendiculars."""
    found = answer("ostrel", "supply-run")
    own = {row["id"]: row for row in found["criteria"] if row["id"].startswith("own-limits-")}
    assert len(own) == 3
    bar = next(row for name, row in own.items() if "draft_greatest" in name)
    drafts = (found["flotation"]["draft_forward"], found["flotation"]["draft_aft"])
    assert bar["attained"] == pytest.approx(max(drafts))
    assert bar["limit"] == pytest.approx(12.6)
    assert found["plan"]["verdict"] == "pass"
