"""Adding a rule document takes one module and one row of the catalogue: done here with a rule of our own."""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor
from service.core.rules.catalogue import CATALOGUE, NAMES
from service.core.rules.limit import AT_LEAST, AT_MOST, Criterion, Intermediate, Limit, RuleSet, judge
from service.core.situation import Heeled, Situation
from service.demo import read_condition, read_vessel
from service.translation.rule_sets import list_rule_sets

SOURCE = "a rule made for this test"
TRIM = Limit("test-trim", "clause 1", "Trim by the stern", "trim", AT_MOST, 1.5, "m", SOURCE, "trim")
RANGE = Limit(
    "test-range", "clause 2", "End of her curve", "angle", AT_LEAST, 60.0, "degree", SOURCE, "range"
)


def evaluate(situation: Situation) -> list[Criterion]:
    details = [Intermediate("draft_aft", "draft aft", "m", situation.flotation.draft_aft)]
    return [judge(TRIM, situation.flotation.trim, details=details)]


def evaluate_heeled(_: Situation, heeled: Heeled) -> list[Criterion]:
    return [judge(RANGE, None if heeled.curve is None else heeled.curve.last_heel)]


DOCUMENT = ("a document made for this test", "2026")
RULE_SET = RuleSet("test-document-2026", "Trim", *DOCUMENT, (TRIM,), evaluate_upright=evaluate)
HEELED_SET = RuleSet("test-document-2026-heeled", "Range", *DOCUMENT, (RANGE,), evaluate_heeled)


@pytest.fixture
def catalogued(monkeypatch: pytest.MonkeyPatch) -> None:
    for rule_set in (RULE_SET, HEELED_SET):
        monkeypatch.setitem(CATALOGUE, rule_set.name, rule_set)
        monkeypatch.setitem(NAMES, rule_set.name, rule_set.name)


@pytest.mark.usefixtures("catalogued")
@pytest.mark.parametrize(("units", "factor", "unit"), [("metric", 1.0, "m"), ("us", 1 / 0.3048, "ft")])
def test_a_new_rule_set_is_listed_and_judged(units: str, factor: float, unit: str) -> None:
    condition: dict[str, Any] = json.loads(read_condition("halvenmoor", "departure-homogeneous"))
    condition["rule_sets"] = [RULE_SET.name, HEELED_SET.name]
    request = {"vessel": json.loads(read_vessel("halvenmoor")), "condition": condition}
    answer = Assessor().assessment(request, units)
    assert {criterion["rule_set"] for criterion in answer["criteria"]} >= {
        RULE_SET.name,
        "is-code-2008-a-2.2",
    }
    row, heeled = (next(c for c in answer["criteria"] if c["id"] == i) for i in (TRIM.id, RANGE.id))
    assert (row["id"], row["clause"], row["unit"], row["verdict"]) == ("test-trim", "clause 1", unit, "pass")
    assert row["attained"] == pytest.approx(answer["flotation"]["trim"], rel=1e-12)
    assert row["limit"] == pytest.approx(1.5 * factor, rel=1e-12)
    assert row["as_written"]["limit"] == 1.5
    assert row["key"] == "trim"
    (detail,) = row["details"]
    assert detail == {"key": "draft_aft", "name": "draft aft", "value": detail["value"], "unit": "m"}
    assert detail["value"] == pytest.approx(answer["flotation"]["draft_aft"] / factor, rel=1e-12)
    assert (heeled["key"], heeled["verdict"]) == ("range", "pass")
    assert heeled["attained"] == answer["righting_lever"]["heels"][-1]
    assert answer["verdict"] == "pass"
    assert {RULE_SET.name, HEELED_SET.name} <= {item["name"] for item in list_rule_sets()["items"]}


def test_without_its_row_the_rule_set_is_unknown() -> None:
    assert RULE_SET.name not in [item["name"] for item in list_rule_sets()["items"]]
