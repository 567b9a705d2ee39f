"""Every main figure of an answer has one row, and every row stands for a figure whose type says its dimension."""

from typing import Any

import pytest

from service.actions.assess import Assessor
from service.actions.demo_vessel import find_demo_vessel
from service.demo import condition_names, read_condition
from service.translation.conversion import converted
from service.translation.units import METRIC, US
from service.wire.answer_figures import ANSWER_FIGURES, AnswerFigure
from service.wire.assessment import Assessment, Flotation, Stability
from service.wire.dimensions import dimension_at, figure_types
from service.wire.parse import parse_json
from service.wire.righting_lever import RightingLever

# how a figure of a dimension may be rounded
ROUNDED = {
    "length": {"length", "draft", "trim", "position", "lever"},
    "mass": {"mass"},
    "moment": {"mass_moment"},
    "angle": {"angle"},
    "time": {"period"},
    "density": {"density"},
    "tpc": {"immersion"},
    "mctc": {"trim_moment"},
}
# International yard and pound agreement of 1959: exact
FOOT, POUND = 0.3048, 0.45359237
LONG_TON = 2240 * POUND / 1000
FACTOR = {
    "length": 1 / FOOT,
    "mass": 1 / LONG_TON,
    "moment": 1 / (FOOT * LONG_TON),
    "angle": 1.0,
    "time": 1.0,
    "density": 1.0,
    "tpc": 2.54 / LONG_TON,
    "mctc": 2.54 / (FOOT * LONG_TON),
}


@pytest.fixture(scope="module")
def answer() -> Any:
    name = condition_names("halvenmoor")[0]
    request = {"vessel_id": "halvenmoor", "condition": parse_json(read_condition("halvenmoor", name))}
    return Assessor(find_demo_vessel).assessment(request, "metric")


@pytest.mark.parametrize("row", ANSWER_FIGURES.values(), ids=str)
def test_a_row_is_rounded_as_its_dimension_allows(row: AnswerFigure) -> None:
    assert row.quantity in ROUNDED[row.dimension]
    assert row.label[0].isupper()


def test_every_figure_of_the_main_parts_has_a_row() -> None:
    parts = {(): Assessment, ("flotation",): Flotation, ("stability",): Stability}
    parts[("righting_lever",)] = RightingLever
    figures = {
        (*path, name)
        for path, kind in parts.items()
        for name, found in figure_types(kind).items()
        if found.dimension is not None and name not in ("heels", "levers")
    }
    assert figures <= {row.path for row in ANSWER_FIGURES.values()}


@pytest.mark.parametrize("row", ANSWER_FIGURES.values(), ids=str)
def test_a_figure_is_converted_as_its_dimension_says(row: AnswerFigure, answer: Any) -> None:
    metric, us = row.value(answer), row.value(converted(answer, US))
    if metric is None:
        assert us is None
    else:
        assert us == pytest.approx(metric * FACTOR[row.dimension], rel=1e-12)


def test_there_and_back_is_the_same_answer(answer: Any) -> None:
    back = converted(converted(answer, US), METRIC)
    known = [row for row in ANSWER_FIGURES.values() if row.value(answer) is not None]
    assert [row.value(back) for row in known] == pytest.approx(
        [row.value(answer) for row in known], rel=1e-12
    )


def test_a_place_without_a_figure_has_no_dimension() -> None:
    with pytest.raises(LookupError):
        dimension_at(Assessment, ("title",))
    with pytest.raises(LookupError):
        dimension_at(Assessment, ("title", "angle"))
