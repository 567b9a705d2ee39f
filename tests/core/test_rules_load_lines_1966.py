"""The load line mark in force and dock water.

Sources: International Convention on Load Lines 1966, article 12, regulations 6 and 40 (T and W at 1/48 of the summer
draft, WNA 50 mm for ships up to 100 m, fresh water allowance displacement / (40 TPC) cm: values from memory); dock
water allowance in proportion to density: Derrett and Barrass, Ship Stability, chapter on densities.
"""

from dataclasses import replace

import numpy as np
import pytest

from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.load_lines_1966 import evaluate, permitted_draft
from service.core.situation import Situation
from tests.core.ship import SALT, afloat, condition, just_around, particulars, situation, vessel

SUMMER = 6.0
FWA = 9000.0 / (40.0 * 15.0) / 100.0  # 9000 t at 6 m, 15 t/cm: 0.15 m


def made(
    drafts: np.ndarray,
    mark: str | None = None,
    water: float = SALT,
    length: float = 99.0,
    marks: dict[str, float] | None = None,
) -> Situation:
    count = len(drafts)
    ship = vessel(
        load_line_drafts={"S": SUMMER} if marks is None else marks,
        particulars=particulars(length_load_line=length),
    )
    given = situation(None, np.ones(count), ship=ship, water_density=water)
    flotation = afloat(count, SUMMER, draft_midship=drafts)
    batch = replace(given.batch, conditions=[condition(water_density=water, load_line_mark=mark)] * count)
    return replace(given, flotation=flotation, batch=batch)


def only(given: Situation) -> Criterion:
    (criterion,) = evaluate(given)
    return criterion


@pytest.mark.parametrize(
    ("mark", "water", "permitted"),
    [
        (None, 1.025, SUMMER),
        ("S", 1.030, SUMMER),
        ("S", 1.000, SUMMER + FWA),
        ("S", 1.010, SUMMER + 0.6 * FWA),
        ("F", 1.000, SUMMER + FWA),
        ("F", 1.025, SUMMER),
        ("T", 1.025, SUMMER * 49.0 / 48.0),
        ("TF", 1.000, SUMMER * 49.0 / 48.0 + FWA),
        ("W", 1.025, SUMMER * 47.0 / 48.0),
        ("W", 1.000, SUMMER * 47.0 / 48.0 + FWA),
        ("WNA", 1.025, SUMMER * 47.0 / 48.0 - 0.05),
    ],
)
def test_the_draft_just_below_at_and_just_above_what_is_permitted(mark, water, permitted):
    criterion = only(made(just_around(permitted), mark, water))
    np.testing.assert_allclose(criterion.required, permitted, rtol=1e-12)
    assert criterion.verdict.tolist() == [PASS, PASS, FAIL]


@pytest.mark.parametrize(("length", "less"), [(99.9, 0.05), (100.0, 0.05), (100.1, 0.0)])
def test_winter_north_atlantic_for_ships_up_to_100_m(length, less):
    permitted, _ = permitted_draft(made(np.array([5.0]), "WNA", length=length))
    assert permitted[0] == pytest.approx(SUMMER * 47.0 / 48.0 - less, rel=1e-12)


def test_marks_of_the_certificate_go_before_worked_out_ones():
    marks = {"S": 6.0, "T": 6.2, "W": 5.8, "F": 6.16, "TF": 6.37}
    for mark, expected in (("T", 6.2), ("W", 5.8), ("WNA", 5.75)):
        assert permitted_draft(made(np.array([5.0]), mark, marks=marks))[0][0] == pytest.approx(expected)
    for mark, water, expected in (
        ("F", 1.0, 6.16),
        ("F", 1.0125, 6.08),
        ("TF", 1.0, 6.37),
        ("TF", 1.0125, 6.285),
    ):
        permitted = permitted_draft(made(np.array([5.0]), mark, water, marks=marks))[0][0]
        assert permitted == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("mark", ["LS", "LT", "LW", "LWNA", "LF", "LTF"])
def test_timber_marks_are_only_those_of_the_certificate(mark):
    criterion = only(made(np.array([1.0]), mark))
    assert criterion.verdict[0] == NOT_COMPUTABLE
    given_mark = {"S": 6.0, "LS": 6.3, mark: 6.3}
    if mark in ("LS", "LW", "LWNA"):
        assert only(made(np.array([6.3]), mark, marks=given_mark)).verdict[0] == PASS


def test_without_load_lines_it_is_not_computable():
    criterion = only(made(np.array([1.0]), marks={}))
    assert criterion.verdict[0] == NOT_COMPUTABLE
    assert "no draft" in criterion.reason(0)


def test_the_mark_in_force_is_shown():
    shown = {d.name: d.values for d in only(made(np.array([1.0]), "W")).details}
    assert list(shown["mark in force"]) == ["W"]
