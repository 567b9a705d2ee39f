"""Adding a rule document takes one module and one row of the catalogue: done here with a rule of our own."""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.rule_sets import list_rule_sets
from service.core.rules.catalogue import CATALOGUE
from service.core.rules.limit import AT_MOST, Criterion, Detail, Limit, RuleSet, judge
from service.core.situation import Situation
from service.demo import read_condition, read_vessel

TRIM = Limit(
    "test-trim", "clause 1", "Trim by the stern", "trim", AT_MOST, 1.5, "m", "a rule made for this test"
)


def evaluate(situation: Situation) -> list[Criterion]:
    details = [Detail("draft aft", "m", situation.flotation.draft_aft)]
    return [judge(TRIM, situation.flotation.trim, details=details)]


RULE_SET = RuleSet("test-document-2026", "Trim", "a document made for this test", "2026", (TRIM,), evaluate)


@pytest.fixture
def catalogued(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(CATALOGUE, RULE_SET.name, RULE_SET)


@pytest.mark.usefixtures("catalogued")
@pytest.mark.parametrize(("units", "factor", "unit"), [("metric", 1.0, "m"), ("us", 1 / 0.3048, "ft")])
def test_a_new_rule_set_is_listed_and_judged(units: str, factor: float, unit: str) -> None:
    condition: dict[str, Any] = json.loads(read_condition("halvenmoor", "departure-homogeneous"))
    condition["rule_sets"] = [RULE_SET.name]
    request = {"vessel": json.loads(read_vessel("halvenmoor")), "condition": condition}
    answer = Assessor().assessment(request, units)
    (row,) = answer["criteria"]
    assert (row["id"], row["clause"], row["unit"], row["verdict"]) == ("test-trim", "clause 1", unit, "pass")
    assert row["attained"] == pytest.approx(answer["flotation"]["trim"], rel=1e-12)
    assert row["limit"] == pytest.approx(1.5 * factor, rel=1e-12)
    assert row["as_written"]["limit"] == 1.5
    assert answer["verdict"] == "pass"
    assert RULE_SET.name in [item["name"] for item in list_rule_sets()["items"]]


def test_without_its_row_the_rule_set_is_unknown() -> None:
    assert RULE_SET.name not in [item["name"] for item in list_rule_sets()["items"]]
