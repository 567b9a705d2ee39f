"""Answers that calculation 1.0.0 made, kept by that release: read in the present shape, nothing invented."""

import json
from typing import Any

import pytest
from pydantic_core import to_json

from service.actions.assess import Assessor
from service.actions.comparison.assessments import criterion_changes, figure_changes
from service.actions.reassess import moved_numbers
from service.translation.conversion import converted
from service.translation.older_answer import DETAILS_1_0_0, KEYS_1_0_0, in_present_shape, is_of_today
from service.translation.rule_sets import list_rule_sets
from service.translation.units import METRIC, US
from service.wire.assessment import Assessment
from service.wire.verdict_words import free_surface_lines, headline, stability_margin
from tests.storage.records import kept_by_1_0_0

Row = dict[str, Any]
FILE = json.loads(kept_by_1_0_0())
REVISIONS = FILE["condition"]["revisions"]
VESSEL = json.loads(FILE["vessel"]["revisions"][0]["document"])
NUMBERS = [revision["number"] for revision in REVISIONS]


def kept(number: int) -> Row:
    answer: Row = json.loads(REVISIONS[number - 1]["assessment"])
    return answer


def today(number: int) -> Row:
    """Today's answer to the same condition, through its text as a kept one."""
    condition = json.loads(REVISIONS[number - 1]["document"])
    answer = Assessor().assessment({"vessel": VESSEL, "condition": condition})
    found: Row = json.loads(to_json(answer))
    return found


def members(value: Any, path: str = "") -> set[str]:
    """Every member of an answer by its path, list places apart; what is null has none inside."""
    if isinstance(value, dict):
        inner = (members(item, f"{path}/{name}") for name, item in value.items())
        return {f"{path}/{name}" for name in value}.union(*inner)
    if isinstance(value, list):
        return set().union(*(members(item, path) for item in value))
    return set()


NULL = ("/least_stability_margin/", "/load_line_margin/", "/free_surface/", "/righting_lever/range_end/")
NULL += ("/righting_lever/beyond/", "/not_computed/", "/unjudged/", "/assumed_free_surfaces/")
NULL += ("/provenance/vessel/proof",)  # an answer of before knows of no proof
NULL += ("/phase",)  # an answer of before counted every clause, in port as well


@pytest.mark.parametrize("number", NUMBERS)
def test_every_member_of_today_is_there(number: int) -> None:
    shaped = members(in_present_shape(kept(number)))
    absent = tuple(f"/{name}" for name in Assessment.__optional_keys__)
    wanted = {path for path in members(today(number)) if not path.startswith((*NULL, *absent))}
    assert wanted <= shaped
    assert members(kept(number)) <= shaped


@pytest.mark.parametrize("number", NUMBERS)
def test_what_the_answer_said_stays(number: int) -> None:
    """Every member that the kept answer has is the same; only new members are added."""
    shaped = in_present_shape(kept(number))

    def same(old: Any, new: Any) -> None:
        if isinstance(old, dict):
            for name, value in old.items():
                same(value, new[name])
        elif isinstance(old, list):
            assert len(old) == len(new)
            for one, other in zip(old, new, strict=True):
                same(one, other)
        else:
            assert old == new

    same(kept(number), shaped)


@pytest.mark.parametrize(("number", "dangers"), [(1, 0), (2, 1), (3, 2), (4, 0)])
def test_dangers_are_counted_from_the_findings_and_nothing_is_invented(number: int, dangers: int) -> None:
    shaped: Any = in_present_shape(kept(number))
    assert shaped["dangers"] == dangers
    assert shaped["least_stability_margin"] is shaped["load_line_margin"] is None
    assert shaped["unjudged"] == shaped["not_computed"] == []
    assert shaped["righting_lever"]["range_end"] is shaped["righting_lever"]["beyond"] is None
    assert {tank["exempt_moment"] for tank in shaped["tanks"]} == {None}
    assert shaped["free_surface"]["judged"] == {
        "moment": shaped["free_surface_moment"],
        "gm_corrected": shaped["stability"]["gm_corrected"],
    }
    assert len(free_surface_lines(shaped)) == 1
    assert stability_margin(shaped["least_stability_margin"], "metric") == ""
    assert headline(shaped).endswith({0: "", 1: ", 1 danger", 2: ", 2 dangers"}[dangers])
    assert not is_of_today(shaped)


@pytest.mark.parametrize("number", NUMBERS)
def test_keys_are_those_of_today(number: int) -> None:
    """Where a clause and an intermediate value are there today under the same id and name, so is the key."""
    now = {row["id"]: row for row in today(number)["criteria"]}
    for row in in_present_shape(kept(number))["criteria"]:
        assert row["key"]
        assert row["key"] == now[row["id"]]["key"]
        names = {detail["name"]: detail["key"] for detail in now[row["id"]]["details"]}
        for detail in row["details"]:
            assert detail["key"]
            assert detail["key"] == names.get(detail["name"], detail["key"])


def test_the_frozen_keys_of_clauses_are_those_of_the_catalogue() -> None:
    """Ids that a later release gave another name are the two of the alternative to 2.2.3 and none else."""
    now = {row["id"]: row["key"] for rules in list_rule_sets()["items"] for row in rules["criteria"]}
    assert {id: key for id, key in KEYS_1_0_0.items() if id in now} == {
        id: now[id] for id in KEYS_1_0_0 if id in now
    }
    assert set(KEYS_1_0_0) <= set(now)
    assert len(DETAILS_1_0_0) == 48


def test_holds_of_grain_have_their_keys() -> None:
    details = [d for row in in_present_shape(kept(4))["criteria"] for d in row["details"]]
    found = {d["key"] for d in details if d["key"].startswith("hold/")}
    assert found == {
        f"hold/{hold}/{name}"
        for hold in ("hold-1", "hold-2")
        for name in ("volumetric_moment", "vertical_factor", "stowage_factor", "heeling_moment")
    }


def test_an_answer_of_today_is_given_back_as_it_is() -> None:
    answer = today(1)
    assert in_present_shape(answer) is answer
    assert is_of_today(in_present_shape(answer))


@pytest.mark.parametrize("number", NUMBERS)
def test_a_kept_answer_is_converted_before_or_after_alike(number: int) -> None:
    target = METRIC if kept(number)["units"]["system"] == "us" else US
    one = in_present_shape(converted(kept(number), target))
    other = converted({**in_present_shape(kept(number))}, target)
    assert one == other


@pytest.mark.parametrize("number", NUMBERS)
def test_it_is_compared_with_todays_clause_by_clause(number: int) -> None:
    before, after = in_present_shape(kept(number)), today(number)
    rows = {row["id"]: row for row in criterion_changes(before, after)}
    assert all(rows[row["id"]]["before"] and rows[row["id"]]["after"] for row in before["criteria"])
    added = {id for id, row in rows.items() if row["before"] is None}
    assert {"afloat-equilibrium", "afloat-gm", "afloat-openings"} <= added
    figures = {row["name"]: row for row in figure_changes(before, after)}
    assert figures["displacement"]["change"] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("number", NUMBERS)
def test_what_moved_is_what_the_kept_answer_says_otherwise(number: int) -> None:
    """New members are no numbers that moved, and clauses are held against the same clause."""
    paths = {moved["path"] for moved in moved_numbers(kept(number), today(number))}
    assert not {path for path in paths if path.startswith(("/dangers", "/free_surface/", "/load_line"))}
    assert "/criteria" not in paths
    assert not {path for path in paths if path.endswith(("/key", "/because", "/counted_as"))}
    assert list(moved_numbers(kept(number), kept(number))) == []


def test_a_clause_that_is_not_asked_for_today_and_one_under_another_name() -> None:
    before = {
        "criteria": [_clause("46-cfr-170.173-b", "46-cfr-170.173-b-gm", 0.2), _clause("gone", "x", 1.0)]
    }
    now = {"criteria": [_clause("46-cfr-170.173", "46-cfr-170.173-b-gm", 0.3)]}
    assert list(moved_numbers(before, now)) == [
        {"path": "/criteria/0/details/0/value", "kept": 0.2, "now": 0.3},
        {"path": "/criteria/0/attained", "kept": 0.2, "now": 0.3},
        {"path": "/criteria/1", "kept": "x", "now": None},
    ]


def _clause(rule_set: str, id: str, value: float) -> Row:
    details = [{"name": "GM", "value": value, "unit": "m"}]
    return {"id": id, "rule_set": rule_set, "attained": value, "details": details}
