"""The catalogue as the wire shows it."""

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.core.rules.catalogue import CATALOGUE
from service.translation.rule_sets import editions, get_rule_set, list_rule_sets
from service.wire.assessment import RuleSetEdition
from service.wire.refusal import Refusal
from service.wire.rule_set import RuleSetList

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


def test_every_rule_set_is_listed_with_its_clauses_and_limits():
    listed = list_rule_sets()
    TypeAdapter(list[RuleSetList], config=STRICT).validate_python([listed])
    assert [item["name"] for item in listed["items"]] == list(CATALOGUE)
    rows = {row["id"]: row for item in listed["items"] for row in item["criteria"]}
    assert rows["is-code-2008-a-2.2.1-area-to-30"]["limit"] == 0.055
    assert rows["is-code-2008-a-2.3.1-areas"]["limit"] is None
    assert rows["is-code-2008-a-2.3.1-steady-wind"]["comparison"] == "<="


def test_what_was_recalled_and_when_a_row_counts_are_listed():
    rows = {row["id"]: row for item in list_rule_sets()["items"] for row in item["criteria"]}
    assert rows["is-code-2008-a-2.2.1-area-to-30"]["from_memory"] is None
    assert "recalled" in rows["is-code-2008-a-2.3.1-areas"]["from_memory"]
    assert rows["afloat-gm"]["applies"] == "always"
    assert rows["load-lines-draft"]["applies"] == "always"
    assert rows["is-code-2008-a-2.2.1-area-to-30"]["applies"] == "at_sea"
    assert all(row["judges"] for name, row in rows.items() if name.startswith("is-code-2008-a-2"))


@pytest.mark.parametrize("name", list(CATALOGUE))
def test_one_rule_set_by_name(name):
    assert get_rule_set(name) in list_rule_sets()["items"]


@pytest.mark.parametrize("name", ["", "none", "IS-CODE-2008-A-2.2", "x" * 5000])
def test_an_unknown_name_is_refused_shortly(name):
    with pytest.raises(Refusal) as caught:
        get_rule_set(name)
    assert caught.value.code == "no_such_rule_set"
    assert len(caught.value.detail) < 120


def test_editions_in_the_order_of_the_sets():
    rows = editions([CATALOGUE["is-code-2008-a-2.2"], CATALOGUE["load-lines"]])
    TypeAdapter(list[RuleSetEdition], config=STRICT).validate_python(rows)
    assert [row["name"] for row in rows] == ["is-code-2008-a-2.2", "load-lines"]
    assert "MSC.267(85)" in rows[0]["edition"]
