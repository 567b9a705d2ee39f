"""Sentences of the pages."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from service.cli.answer_text import answer_text
from service.pages import margin_in_words, wording
from service.pages.plan_in_words import plan_leads
from service.pages.what_moves import WholeMove, then_in_words
from service.translation.calculation_version import CALCULATION_VERSION
from service.wire import verdict_words
from tests.pages.conftest import assessment


def test_what_fails_comes_in_order_of_concern() -> None:
    failing = assessment("timber-loll")
    shown = wording.fails(failing)
    assert {c["id"] for c in shown} == {c["id"] for c in failing["criteria"] if c["verdict"] == "fail"}
    shares = [wording.share_of_limit(c) for c in shown]
    assert shares == sorted(shares)


def test_the_nearest_criterion_is_that_of_the_least_stability_margin(answer: dict[str, Any]) -> None:
    found = wording.nearest(answer)
    assert found is not None
    assert found["id"] == answer["least_stability_margin"]["criterion"]
    assert found["margin"] == answer["least_stability_margin"]["margin"]
    assert wording.nearest({**answer, "least_stability_margin": None, "smallest_margin": None}) is None


LINE = {
    "verdict": "pass",
    "dangers": 0,
    "least_stability_margin": {
        "criterion": "x", "margin": 0.0702, "unit": "m", "gm_equivalent": 0.0702, "side": None
    },
    "load_line_margin": {"draft": 0.0283, "mass": 36.95},
    "calculation_version": CALCULATION_VERSION,
}  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "Passes; least stability margin 0.070 m; to the load line 28 mm, 37 t"),
        ({"dangers": 2}, "Passes, 2 dangers; least stability margin 0.070 m; to the load line 28 mm, 37 t"),
        ({"verdict": "fail", "load_line_margin": None}, "Fails; least stability margin 0.070 m"),
        (
            {"verdict": "incomplete", "dangers": 1, "load_line_margin": None},
            "Incomplete, 1 danger; least stability margin of what was judged 0.070 m",
        ),
        (
            {"dangers": None, "least_stability_margin": None, "load_line_margin": None}
            | {"calculation_version": "1.0.0"},
            "Passes, dangers not counted; calculation 1.0.0",
        ),
    ],
)
def test_a_line_of_a_list(changes: dict[str, Any], words: str) -> None:
    assert wording.listed_verdict({**LINE, **changes}, "metric") == words
    assert "%" not in words


def test_a_requirement_in_words() -> None:
    row: Any = {"limit": 0.15, "comparison": ">=", "unit": "m"}
    assert wording.required(row) == "at least 0.150 m"
    assert wording.required({**row, "comparison": "<="}) == "at most 0.150 m"
    assert wording.required({**row, "limit": None}) == "—"


def test_findings_come_with_their_tank_the_gravest_first() -> None:
    found = wording.findings_with_tank(assessment("over-full-tank"))
    severities = [finding["severity"] for _, finding in found]
    assert severities == sorted(severities, key=["danger", "caution", "info"].index)
    assert found[0][0] == "No. 5 fuel oil tank port"
    assert found[0][1]["code"] in ("tank_overfull", "overfull", "over_full")


def test_a_finding_is_said_once_with_the_names_of_all_it_concerns() -> None:
    answer = assessment("departure-homogeneous")
    weights = [{"name": w} for w in ("Crew and effects", "Provisions and stores", "Constant", "A", "B")]
    said = wording.findings_said_once(answer, ("info",), weights)
    assert [names for names, f in said if f["code"] == "weight_without_extent"] == [
        "Crew and effects, Provisions and stores, Constant"
    ]
    assert len(said) == len({f["message"] for f in answer["findings"] if f["severity"] == "info"})


def test_a_voyage_that_fails_says_where_and_not_what_may_still_be_loaded_at_its_start() -> None:
    answer = assessment("winter-voyage")
    worst, ashore = plan_leads(answer)
    assert worst.startswith("Worst at Northern seas")
    assert worst.endswith("59 mm too much.")
    assert "must stay ashore" in ashore
    line = margin_in_words.load_line_lead(answer)
    assert line is not None
    assert "still to load" not in line.after
    assert plan_leads(assessment("departure-homogeneous")) == []


@pytest.mark.parametrize(
    ("then", "shown"),
    [
        ("2026-03-12T10:19:30Z", "just now"),
        ("2026-03-12T10:18:00Z", "2 minutes"),
        ("2026-03-12T09:10:00Z", "1 hour"),
        ("2026-02-28T10:20:00Z", "12 days"),
        ("2026-03-13T00:00:00Z", "just now"),
    ],
)
def test_age(then: str, shown: str) -> None:
    assert wording.age(then, datetime(2026, 3, 12, 10, 20, tzinfo=UTC)) == shown


def test_times_are_written_as_people_write_them() -> None:
    assert wording.moment("2026-03-12T10:20:31.000000Z") == "12 March 2026, 10:20 UTC"
    assert wording.moment(None) == "—"


def test_a_long_list_in_a_message_is_set_apart() -> None:
    names = ", ".join(f"tank-{i}" for i in range(20))
    assert wording.in_two(f"not mentioned and taken as empty: {names}") == (
        "not mentioned and taken as empty",
        names,
    )
    assert wording.in_two("density: unusual") == ("density: unusual", "")


def test_what_fails_after_a_move_is_named(answer: dict[str, Any]) -> None:
    """The criteria by their names here, what is short in their own units; three at most, each once."""

    def row(criterion: str, margin: float | None, unit: str) -> dict[str, Any]:
        return {"criterion": criterion, "title": "Its title", "margin": margin, "unit": unit}

    rows = [
        row("is-code-2008-a-2.2.4-initial-gm", -0.0123, "m"),
        row("load-lines-draft", -0.312, "m"),
        row("is-code-2008-a-2.2.3-angle-of-maximum", -1.4, "degree"),
        row("not-asked-before", None, ""),
    ]
    move = WholeMove("fp", "Fore peak", "press_up", 300.0, -0.1, "fail", tuple(rows))
    words = then_in_words(move, answer, {"verdict": "pass"}, "metric")
    assert words == (
        "then she fails: GM 0.012 m short, A\u00a02.2.4; draft amidships 31 cm too much, article\u00a012; "
        "angle of the greatest lever 1.4° short, A\u00a02.2.3; and 1 more"
    )
    few = replace(move, failing=tuple(rows[3:]))
    assert then_in_words(few, answer, {"verdict": "fail"}, "metric") == "then she still fails: its title"
    passes = replace(move, verdict="pass", failing=())
    assert then_in_words(passes, answer, {"verdict": "fail"}, "metric") == "then she passes"


def test_a_limit_of_the_draft_is_called_what_it_is() -> None:
    """The mark where one is named; what all her marks permit where none is."""
    named: Any = assessment("ballast-arrival", load_line_mark="W")
    none: Any = assessment("ballast-arrival", load_line_mark=None)
    assert none["load_line"]["mark"] is None
    for answer, words in ((named, "winter mark"), (none, "greatest permitted draft")):
        lead = margin_in_words.load_line_lead(answer)
        assert lead is not None
        assert words in lead.after
        assert margin_in_words.draft_limit(answer) == words
    start = verdict_words.load_line_start(none["load_line_margin"], margin_in_words.draft_limit(none))
    assert start in ("to the greatest permitted draft", "over the greatest permitted draft by")
    assert "to the load line" not in answer_text(none)
    assert verdict_words.draft_limit_name(named) == "load line"
