"""The ship's own curves of minimum GM and maximum VCG; linear between their points (SOLAS II-1/5-1.4)."""

import pytest

from service.core.rules.limit import FAIL, NOT_COMPUTABLE, PASS, Criterion
from service.core.rules.vessel_gm_limits import evaluate, slug
from service.core.situation import Situation
from service.core.vessel import GmLimit
from tests.core.ship import KM, afloat, details, just_around, situation, verdicts, vessel

DRAFTS = (4.0, 6.0, 8.0)
MIN_GM = GmLimit("Intact", "min_gm", DRAFTS, (0.5, 0.3, 0.4))
MAX_VCG = GmLimit("Damage", "max_vcg", DRAFTS, (7.0, 7.2, 6.9))


def made(gm: float, *curves: GmLimit, draft: float = 5.0, trim: float = 0.0) -> Situation:
    return situation(gm, vessel(gm_limits=curves), draft, flotation=afloat(draft, trim=trim))


def only(given: Situation) -> Criterion:
    (criterion,) = evaluate(given)
    return criterion


@pytest.mark.parametrize(("draft", "limit"), [(4.0, 0.5), (5.0, 0.4), (6.0, 0.3), (7.0, 0.35), (8.0, 0.4)])
def test_minimum_gm_just_below_at_and_just_above(draft, limit):
    criteria = [only(made(gm, MIN_GM, draft=draft)) for gm in just_around(limit)]
    assert [criterion.required for criterion in criteria] == pytest.approx([limit] * 3, rel=1e-12)
    assert verdicts(criteria) == [FAIL, PASS, PASS]
    assert "Intact" in criteria[0].row.title
    assert details(criteria[0]) == {"draft_midship": draft, "trim": 0.0}


@pytest.mark.parametrize(("draft", "limit"), [(4.0, 7.0), (5.0, 7.1), (8.0, 6.9)])
def test_maximum_vcg_just_below_at_and_just_above(draft, limit):
    criteria = [only(made(KM - vcg, MAX_VCG, draft=draft)) for vcg in just_around(limit)]
    assert verdicts(criteria) == [PASS, PASS, FAIL]
    assert [c.attained for c in criteria] == pytest.approx(just_around(limit), rel=1e-12)


def test_maximum_vcg_is_for_the_fluid_centre():
    given = made(1.0, MAX_VCG)
    moved = given.displacement._replace(vcg_solid=6.0, vcg_corrected=6.7)
    assert only(situation(ship=given.vessel, draft=5.0, displacement=moved)).attained == 6.7


def test_minimum_gm_is_for_the_corrected_gm():
    given = made(1.0, MIN_GM)
    assert only(situation(0.8, given.vessel, 5.0, gm_solid=1.1)).attained == 0.8


@pytest.mark.parametrize(("draft", "known"), [(3.99, False), (4.0, True), (8.0, True), (8.01, False)])
def test_the_ends_of_the_drafts(draft, known):
    criterion = only(made(5.0, MIN_GM, draft=draft))
    assert criterion.verdict == (PASS if known else NOT_COMPUTABLE)
    assert known or "cover" in criterion.reason


@pytest.mark.parametrize(
    ("trim", "required"),
    [
        (-1.01, None),
        (-1.0 - 1e-12, 0.2),
        (-1.0, 0.2),
        (-0.1, 0.2),
        (0.0, 0.6),
        (0.5, 0.6),
        (1.0, 0.6),
        (2.0, 0.6),
        (2.0 + 1e-12, 0.6),
        (2.01, None),
    ],
)
def test_trim_ranges_and_the_most_severe_where_they_meet(trim, required):
    aft = GmLimit("Intact", "min_gm", DRAFTS, (0.6, 0.6, 0.6), 0.0, 2.0)
    head = GmLimit("Intact", "min_gm", DRAFTS, (0.2, 0.2, 0.2), -1.0, 1.0)
    criterion = only(made(0.6, aft, head, trim=trim))
    if required is None:
        assert criterion.verdict == NOT_COMPUTABLE
        assert criterion.required is None
    else:
        assert criterion.required == pytest.approx(required)
        assert criterion.verdict == PASS


def test_where_one_range_ends_in_draft_the_other_counts():
    short = GmLimit("Intact", "min_gm", (4.0, 5.0), (0.6, 0.6), 0.0, 2.0)
    long = GmLimit("Intact", "min_gm", DRAFTS, (0.2, 0.2, 0.2), -1.0, 1.0)
    assert only(made(1.0, short, long, draft=5.0, trim=0.5)).required == pytest.approx(0.6)
    assert only(made(1.0, short, long, draft=6.0, trim=0.5)).required == pytest.approx(0.2)


def test_of_two_vcg_curves_the_lower_counts():
    low = GmLimit("Damage", "max_vcg", DRAFTS, (6.0, 6.0, 6.0), -1.0, 1.0)
    assert only(made(1.0, MAX_VCG, low)).required == pytest.approx(6.0)


def test_each_named_curve_is_a_criterion_of_its_own():
    """The same name on the other basis too."""
    both = GmLimit("Intact", "max_vcg", DRAFTS, (7.0, 7.0, 7.0))
    criteria = evaluate(made(1.0, MIN_GM, MAX_VCG, both))
    assert [(criterion.row.id, criterion.row.key) for criterion in criteria] == [
        ("vessel-gm-limits-min-gm-intact", "gm"),
        ("vessel-gm-limits-max-vcg-damage", "vcg"),
        ("vessel-gm-limits-max-vcg-intact", "vcg"),
    ]
    assert [criterion.required for criterion in criteria] == pytest.approx([0.4, 7.1, 7.0])


@pytest.mark.parametrize(
    ("name", "expected"), [("Damage, part 2", "damage-part-2"), ("  ", "curve"), ("Änderung", "änderung")]
)
def test_a_name_as_part_of_an_id(name, expected):
    assert slug(name) == expected


def test_without_curves_it_is_not_computable():
    criterion = only(made(9.0))
    assert criterion.verdict == NOT_COMPUTABLE
    assert "no curve" in criterion.reason
