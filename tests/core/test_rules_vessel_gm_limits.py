"""The ship's own curves of minimum GM and maximum VCG; linear between their points (SOLAS II-1/5-1.4)."""

import numpy as np
import pytest

from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.vessel_gm_limits import evaluate
from service.core.situation import Situation
from service.core.vessel import GmLimit
from tests.core.ship import afloat, just_around, km, situation, vessel

DRAFTS = np.array([4.0, 6.0, 8.0])
MIN_GM = GmLimit("Intact", "min_gm", DRAFTS, np.array([0.5, 0.3, 0.4]))
MAX_VCG = GmLimit("Damage", "max_vcg", DRAFTS, np.array([7.0, 7.2, 6.9]))


def made(gm: np.ndarray, *curves: GmLimit, draft: float = 5.0, trim: float = 0.0) -> Situation:
    flotation = afloat(len(gm), draft, trim=np.full(len(gm), trim))
    return situation(None, gm, ship=vessel(gm_limits=curves), draft=draft, flotation=flotation)


def only(given: Situation) -> Criterion:
    (criterion,) = evaluate(given)
    return criterion


@pytest.mark.parametrize(("draft", "limit"), [(4.0, 0.5), (5.0, 0.4), (6.0, 0.3), (7.0, 0.35), (8.0, 0.4)])
def test_minimum_gm_just_below_at_and_just_above(draft, limit):
    criterion = only(made(just_around(limit), MIN_GM, draft=draft))
    np.testing.assert_allclose(criterion.required, limit, rtol=1e-12)
    assert criterion.verdict.tolist() == [FAIL, PASS, PASS]
    assert "Intact" in criterion.row.title


@pytest.mark.parametrize(("draft", "limit"), [(4.0, 7.0), (5.0, 7.1), (8.0, 6.9)])
def test_maximum_vcg_just_below_at_and_just_above(draft, limit):
    criterion = only(made(km(draft) - just_around(limit), MAX_VCG, draft=draft))
    assert criterion.verdict.tolist() == [PASS, PASS, FAIL]
    np.testing.assert_allclose(criterion.attained, just_around(limit), rtol=1e-12)


@pytest.mark.parametrize(("draft", "known"), [(3.99, False), (4.0, True), (8.0, True), (8.01, False)])
def test_the_ends_of_the_drafts(draft, known):
    criterion = only(made(np.full(1, 5.0), MIN_GM, draft=draft))
    assert criterion.verdict[0] == (PASS if known else NOT_COMPUTABLE)
    assert known or "cover" in criterion.reason(0)


@pytest.mark.parametrize(
    ("trim", "required"),
    [(-1.01, None), (-1.0, 0.2), (0.0, 0.6), (0.5, 0.6), (1.0, 0.6), (2.0, 0.6), (2.01, None)],
)
def test_trim_ranges_and_the_most_severe_where_they_meet(trim, required):
    aft = GmLimit("Intact", "min_gm", DRAFTS, np.full(3, 0.6), 0.0, 2.0)
    head = GmLimit("Intact", "min_gm", DRAFTS, np.full(3, 0.2), -1.0, 1.0)
    criterion = only(made(np.full(1, 0.6), aft, head, trim=trim))
    if required is None:
        assert criterion.verdict[0] == NOT_COMPUTABLE
    else:
        assert criterion.required[0] == pytest.approx(required)
        assert criterion.verdict[0] == PASS


def test_of_two_vcg_curves_the_lower_counts():
    low = GmLimit("Damage", "max_vcg", DRAFTS, np.full(3, 6.0), -1.0, 1.0)
    assert only(made(np.full(1, 1.0), MAX_VCG, low)).required[0] == pytest.approx(6.0)


def test_each_named_curve_is_a_criterion_of_its_own():
    ids = [criterion.row.id for criterion in evaluate(made(np.full(1, 1.0), MIN_GM, MAX_VCG))]
    assert ids == ["vessel-gm-limits-min-gm-intact", "vessel-gm-limits-max-vcg-damage"]


def test_without_curves_it_is_not_computable():
    criterion = only(made(np.full(1, 9.0)))
    assert criterion.verdict[0] == NOT_COMPUTABLE
    assert "no curve" in criterion.reason(0)
