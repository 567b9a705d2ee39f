"""Every criterion of every rule document has its picture and its name, by its key."""

from typing import Any

import pytest

from service.core.rules.catalogue import CATALOGUE
from service.pages.margin_in_words import attained_and_needs, leads, margin_phrase
from service.pages.pictures import MEASURED, PICTURES, picture_of, short_name, unbroken, under
from service.wire.figures import figures_apart
from tests.pages.conftest import assessment

RULE_SETS = list(CATALOGUE.values() if isinstance(CATALOGUE, dict) else CATALOGUE)


def test_every_key_of_the_catalogue_has_a_picture_and_a_name() -> None:
    keys = {row.key for rule_set in RULE_SETS for row in rule_set.limits}
    assert keys == set(MEASURED)
    assert {m.picture for m in MEASURED.values()} <= set(PICTURES)


@pytest.mark.parametrize("name", ["departure-homogeneous", "timber-loll", "grain-slack-hold-fails"])
def test_every_criterion_stands_under_one_picture(name: str) -> None:
    answer: Any = assessment(name)
    shown = [c["id"] for picture in PICTURES for c in under(answer, picture)]
    assert sorted(shown) == sorted(c["id"] for c in answer["criteria"])


def test_no_words_decide_where_a_criterion_stands() -> None:
    answer: Any = assessment("departure-homogeneous")
    for row in answer["criteria"]:
        other = {**row, "title": "x", "quantity": "x", "reason": "x", "clause": "x"}
        assert (picture_of(other), short_name(other)) == (picture_of(row), short_name(row))


@pytest.mark.parametrize(
    ("value", "limit", "unit", "shown"),
    [
        (0.0848, 0.055, "m·rad", ("0.085", "0.055")),
        (0.05496, 0.055, "m·rad", ("0.05496", "0.05500")),
        (0.055, 0.055, "m·rad", ("0.055", "0.055")),
        (14.04, 14.0, "degree", ("14.04", "14.00")),
        (None, 0.15, "m", ("—", "0.150")),
    ],
)
def test_what_falls_short_never_reads_as_if_it_were_met(
    value: float | None, limit: float, unit: str, shown: tuple[str, str]
) -> None:
    assert figures_apart(value, limit, unit) == shown


def test_margins_stand_in_their_own_unit_without_signs() -> None:
    passing, lolling = assessment("departure-homogeneous"), assessment("timber-loll")
    said = ["".join((l.before, l.strong, l.after)) for l in leads(passing)]  # type: ignore[arg-type]  # noqa: E741
    assert said[0] == "Least stability margin: GM 0.070 m above her booklet’s curve."
    assert said[1].startswith("28 mm to the summer mark")
    wrong = ["".join((l.before, l.strong, l.after)) for l in leads(lolling)]  # type: ignore[arg-type]  # noqa: E741
    assert wrong[0] == "GM 0.225 m short: −0.075, needs 0.150 m, A\u00a02.2.4."
    assert "heel under steady wind 4.8° too much" in wrong[1]
    row = next(c for c in passing["criteria"] if c["key"] == "steady_wind_angle")
    assert attained_and_needs(row) == ("2.9°", "at most 12.2°")
    assert margin_phrase(row, "metric").endswith("° to spare")


def test_no_clause_of_any_document_parts_from_its_number() -> None:
    """The space before a number is one that does not break (Unicode Standard Annex 14, class GL)."""
    for clause in {row.clause for rule_set in RULE_SETS for row in rule_set.limits}:
        shown = unbroken(clause)
        assert shown.replace("\u00a0", " ") == clause
        assert not any(word[:1].isdigit() for word in shown.split(" ")[1:]), clause
    assert unbroken("A 2.2.4") == "A\u00a02.2.4"
    assert unbroken("A 2.2.3, alternative") == "A\u00a02.2.3, alternative"
    assert unbroken("regulation 27.1.1") == "regulation\u00a027.1.1"
