"""Sentences of the pages."""

from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

import pytest

from service.pages import wording
from tests.pages.conftest import assessment


def test_a_pass_names_its_smallest_margin(answer: dict[str, Any]) -> None:
    shown = f"{answer['smallest_margin']['percent']:.1f}"
    assert wording.headline(answer) == f"Passes, smallest margin {shown} %"


def test_a_fail_counts_what_fails_among_what_binds() -> None:
    failing = assessment("timber-loll")
    failed = [c for c in failing["criteria"] if c["verdict"] == "fail"]
    assert wording.headline(failing) == f"Fails {len(failed)} of {len(failing['criteria'])}"


def test_what_does_not_apply_is_not_counted() -> None:
    failing = deepcopy(assessment("timber-loll"))
    passing = next(c for c in failing["criteria"] if c["verdict"] == "pass")
    passing["verdict"] = "not_applicable"
    assert wording.headline(failing).endswith(f"of {len(failing['criteria']) - 1}")


def test_an_incomplete_answer_never_reads_as_a_pass() -> None:
    incomplete = assessment("everything-slack")
    assert wording.headline(incomplete) == f"Incomplete: 1 of {len(incomplete['criteria'])} not decided"
    assert wording.headline({**incomplete, "criteria": []}) == "Incomplete: nothing was checked"
    assert wording.short_verdict("incomplete", 12.0) == "Incomplete"


def test_why_tells_the_fails_first_then_what_was_not_decided() -> None:
    reasons = wording.why(assessment("timber-loll"))
    assert all(c["verdict"] == "fail" for c in reasons[:6])
    undecided = wording.why(assessment("everything-slack"))
    assert [c["verdict"] for c in undecided] == ["outside_validity"]


def test_why_of_a_pass_is_the_criterion_nearest_to_its_limit(answer: dict[str, Any]) -> None:
    (nearest,) = wording.why(answer)
    assert nearest["id"] == answer["smallest_margin"]["criterion"]


def test_findings_come_with_their_tank_the_gravest_first() -> None:
    found = wording.findings_with_tank(assessment("over-full-tank"))
    severities = [finding["severity"] for _, finding in found]
    assert severities == sorted(severities, key=["danger", "caution", "info"].index)
    assert found[0][0] == "No. 5 fuel oil tank port"
    assert found[0][1]["code"] in ("tank_overfull", "overfull", "over_full")


@pytest.mark.parametrize(
    ("value", "shown"), [(0.49, "0.5 %"), (9.94, "9.9 %"), (9.96, "10 %"), (-8.7, "−8.7 %"), (-0.01, "0.0 %")]
)
def test_margins_in_percent(value: float, shown: str) -> None:
    assert wording.percent(value) == shown


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
