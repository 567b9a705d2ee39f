"""Weights one by one: shown only where they add up to the answer's own subtotals."""

from typing import Any

import pytest

from service.pages.entered_weights import MOST, weights_one_by_one
from service.pages.report.tables import weights
from tests.api.office import condition_document


def record(answer: dict[str, Any], **changes: Any) -> dict[str, Any]:
    return {"document": condition_document(**changes), "assessment": answer}


def test_entered_weights_that_add_up_are_shown(answer: dict[str, Any]) -> None:
    assert weights_one_by_one(record(answer)) == condition_document()["weights"]


@pytest.mark.parametrize("member", ["lcg", "vcg", "tcg", "mass"])
def test_weights_from_other_axes_are_not_taken_for_the_answers(answer: dict[str, Any], member: str) -> None:
    weights = [{"tcg": 0.0, **weight} for weight in condition_document()["weights"]]
    weights[1] = {**weights[1], member: weights[1][member] + 0.5}
    assert weights_one_by_one(record(answer, weights=weights)) is None


def test_other_units_none_and_very_many_are_left_to_the_subtotals(answer: dict[str, Any]) -> None:
    assert weights_one_by_one(record(answer, units="us")) is None
    assert weights_one_by_one(record(answer, weights=[])) is None
    assert weights_one_by_one(record(answer, weights=condition_document()["weights"] * MOST)) is None


def test_the_report_lists_them_or_the_subtotals(answer: dict[str, Any]) -> None:
    """Either way masses add up to the displacement."""
    named = weights(record(answer), "metric")
    grouped = weights(record(answer, units="us"), "metric")
    assert "Bulk cargo, No. 1 hold" in {row["cells"][0] for row in named["rows"]}
    assert "Cargo" in {row["cells"][0] for row in grouped["rows"]}
    for table in (named, grouped):
        *parts, total = (float(row["cells"][1]) for row in table["rows"])
        assert sum(parts) == pytest.approx(total, abs=0.05 * len(parts))
