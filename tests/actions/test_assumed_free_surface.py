"""A tank at its printed limit that is also assumed slack counts its slack moment once, not beside its limit moment."""

import json

import pytest

from service.actions.assess import Assessor
from service.demo import read_condition, read_vessel


def test_limit_and_assumed_moment_come_to_the_slack_moment() -> None:
    vessel = json.loads(read_vessel("ostrel"))
    condition = json.loads(read_condition("ostrel", "departure-terminal"))
    assert condition["free_surface"]["basis"] == "by_rule"
    answer = Assessor().assessment({"vessel": vessel, "condition": condition})
    lines = {row["tank"]: row for row in answer["tanks"]}
    printed = {tank["id"]: tank.get("printed_free_surface") for tank in vessel["tanks"]}
    at_limit = [
        row
        for row in answer["assumed_free_surfaces"]
        if lines[row["tank"]]["state"] == "at_limit" and printed[row["tank"]]
    ]
    assert at_limit, "the condition has such a tank"
    for row in at_limit:
        line = lines[row["tank"]]
        column = next(c for c in printed[row["tank"]]["columns"] if c["contents"] == line["contents"])
        slack = column["slack_moment"] * line["density"] / column["density"]
        assert line["free_surface_moment"] > 0.0
        assert line["free_surface_moment"] + row["free_surface_moment"] == pytest.approx(slack, rel=1e-9)
    total = sum(row["free_surface_moment"] for row in answer["tanks"] + answer["assumed_free_surfaces"])
    assert answer["free_surface_moment"] == pytest.approx(total, rel=1e-12)
