"""What was recalled and not read is marked, and what could not be read at all decides nothing."""

from dataclasses import replace

import pytest

from service.core.rules.catalogue import CATALOGUE
from service.core.rules.general_curve import INITIAL_GM
from service.core.rules.limit import (
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    PASS,
    Limit,
    Ruling,
    judge,
)

ROWS = [row for rule_set in CATALOGUE.values() for row in rule_set.limits]


NOT_READ = {
    "is-code-2008-b-2.8-tow-tripping",
    "is-code-2008-b-2.9-heel",
    "is-code-2008-b-2.9-freeboard",
    "is-code-2008-b-2.9-loss-of-load",
    "46-cfr-173.095-residual-area",
}
"""Clauses whose figures are recalled with little confidence."""


WORDS = ("memory", "not read")


def silent(rows: list[Limit]) -> list[str]:
    """Rows whose source says memory, or not read, and which do not say what was recalled."""
    return [row.id for row in rows if any(word in row.source for word in WORDS) and row.from_memory is None]


def test_a_row_whose_source_says_memory_says_what_was_recalled():
    assert silent(ROWS) == []


def test_the_walk_meets_every_row_and_would_see_one_that_is_silent():
    """Not passed by an empty catalogue: every set that prints limits is met, and a row made silent is named."""
    assert {row.id for row in ROWS} >= NOT_READ
    assert len(ROWS) == sum(len(rule_set.limits) for rule_set in CATALOGUE.values()) > 100
    recalled = [row for row in ROWS if row.from_memory is not None]
    assert len(recalled) > 30
    for row in recalled:
        made = replace(row, source=f"{row.source} (value from memory)", from_memory=None)
        assert silent([*ROWS, made]) == [row.id]


def test_clauses_that_were_hardly_recalled_never_judge():
    assert {row.id for row in ROWS if not row.judges} == NOT_READ


def test_a_row_that_says_what_was_recalled_is_a_sentence_of_its_own():
    for row in ROWS:
        assert row.from_memory is None or len(row.from_memory) > 20, row.id


def test_a_row_that_does_not_judge_says_what_was_recalled():
    assert [row.id for row in ROWS if not row.judges and row.from_memory is None] == []


SHOWN = replace(INITIAL_GM, from_memory="the whole clause", judges=False)


@pytest.mark.parametrize("gm", [0.14, 0.15, 0.16, None])
def test_a_row_that_was_not_read_shows_its_figure_and_decides_nothing(gm):
    criterion = judge(SHOWN, gm)
    assert (criterion.verdict, criterion.attained) == (NOT_COMPUTABLE, gm)
    assert criterion.reason == "the clause could not be read; figure for information"
    assert judge(SHOWN, gm, unless=Ruling(FAIL, "anything")).verdict == NOT_COMPUTABLE
    assert judge(SHOWN, gm, unless=Ruling(PASS, "anything")).verdict == NOT_COMPUTABLE


def test_where_it_does_not_apply_it_says_so_all_the_same():
    away = judge(SHOWN, None, unless=Ruling(NOT_APPLICABLE, "no such operation", CONDITION))
    assert (away.verdict, away.reason) == (NOT_APPLICABLE, "no such operation")
