"""46 CFR 170.173 around its limits, in the regulation's own units, and which of its paragraphs binds.

Source: Title 46 CFR 170.173: (a) paragraph (b), or (c) for a righting arm greatest at 30 degrees or less; (b) 0.15 m,
0.20 m, 25 degrees, 3.15 / 5.15 / 1.72 m.degree; (c) 15 degrees, 3.15 + 0.057 (30 - Y) m.degree (value from memory).
"""

from math import cos, degrees, inf, radians, sin

import pytest

from service.core.errors import OutsideTable
from service.core.rules.cfr_46_170 import (
    PARAGRAPH_B,
    PARAGRAPH_C,
    choose_paragraph,
    evaluate_unusual,
)
from service.core.rules.limit import (
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    PASS,
    SHIP,
    Criterion,
)
from service.core.situation import Heeled
from service.core.vessel import Vessel
from tests.core.ship import (
    cubic,
    cubic_area,
    cubic_lever,
    details,
    heeled,
    just_around,
    lever_through,
    particulars,
    situation,
    verdicts,
    vessel,
)

AROUND = [FAIL, PASS, PASS]
OFF = OutsideTable("displacement", 9.0, 1.0, 2.0, "mass")


def area(to: float, maximum: float) -> float:
    return degrees(cubic_area(radians(to), radians(maximum)))


def lever(at: float, maximum: float) -> float:
    return cubic(radians(at), radians(maximum))


def on(slope: float, maximum: float, flooding: float | None = inf, last: float = 80.0) -> Heeled:
    """On the cubic of this slope and angle of maximum; openings of the Code would flood at once."""
    return heeled(cubic_lever(slope, maximum, last), 0.5, automatic=flooding)


def paragraph(letter: str, judged: list[Criterion]) -> dict[str, Criterion]:
    """The rows of one paragraph by the end of their ids."""
    found = {criterion.row.id.removeprefix("46-cfr-170.173-"): criterion for criterion in judged}
    return {clause: criterion for clause, criterion in found.items() if clause.startswith(letter)}


def b(side: Heeled, gm: float = 5.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    return paragraph("b", evaluate_unusual(situation(gm, ship), side))


def c(side: Heeled, gm: float = 5.0, ship: Vessel | None = None) -> dict[str, Criterion]:
    return paragraph("c", evaluate_unusual(situation(gm, ship), side))


def test_limits_are_those_of_the_regulation():
    assert [row.limit for row in PARAGRAPH_B] == [0.15, 0.20, 25.0, 3.15, 5.15, 1.72]
    assert [row.limit for row in PARAGRAPH_C] == [0.15, 15.0, 5.15, 1.72, None]
    assert {row.unit for row in PARAGRAPH_B} == {"m", "degree", "m·degree"}
    assert {row.comparison for row in (*PARAGRAPH_B, *PARAGRAPH_C)} == {">="}


@pytest.mark.parametrize(("evaluate", "clause"), [(b, "b-gm"), (c, "c-gm")])
def test_gm_around_its_limit(evaluate, clause):
    criteria = [evaluate(on(5.0, 28.0), gm)[clause] for gm in just_around(0.15)]
    assert [criterion.attained for criterion in criteria] == list(just_around(0.15))
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("b-lever", 0.20, lever(35.0, 35.0)),
        ("b-area-to-30", 3.15, area(30.0, 35.0)),
        ("b-area-to-40", 5.15, area(40.0, 35.0)),
        ("b-area-30-to-40", 1.72, area(40.0, 35.0) - area(30.0, 35.0)),
    ],
)
def test_paragraph_b_around_each_limit(clause, limit, per_slope):
    criteria = [b(on(slope, 35.0))[clause] for slope in just_around(limit / per_slope)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("clause", "limit", "per_slope"),
    [
        ("c-area-to-40", 5.15, area(40.0, 28.0)),
        ("c-area-30-to-40", 1.72, area(40.0, 28.0) - area(30.0, 28.0)),
    ],
)
def test_paragraph_c_around_each_limit(clause, limit, per_slope):
    criteria = [c(on(slope, 28.0))[clause] for slope in just_around(limit / per_slope)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(
    ("maximum", "limit"), [(12.0, 4.005), (15.0, 4.005), (20.0, 3.72), (25.0, 3.435), (29.5, 3.1785)]
)
def test_paragraph_c_area_to_the_maximum(maximum, limit):
    slopes = just_around(limit / area(maximum, maximum))
    criteria = [c(on(slope, maximum))["c-area-to-maximum"] for slope in slopes]
    assert [criterion.required for criterion in criteria] == pytest.approx([limit] * 3, rel=1e-7)
    assert verdicts(criteria) == AROUND
    assert details(criteria[0]) == {
        "flooding_angle": None,
        "angle_of_maximum": pytest.approx(maximum, rel=1e-9),
    }


@pytest.mark.parametrize(("evaluate", "clause", "limit"), [(b, "b-angle", 25.0), (c, "c-angle", 15.0)])
def test_angles_of_maximum(evaluate, clause, limit):
    criteria = [evaluate(on(1.0, maximum))[clause] for maximum in just_around(limit)]
    assert [criterion.attained for criterion in criteria] == pytest.approx(just_around(limit), rel=1e-9)
    assert verdicts(criteria) == AROUND


@pytest.mark.parametrize(("length", "applies"), [(99.9, True), (100.0, False), (120.0, False)])
@pytest.mark.parametrize(("evaluate", "maximum"), [(b, 35.0), (c, 28.0)])
def test_the_section_is_for_vessels_under_100_m(length, applies, evaluate, maximum):
    ship = vessel(particulars=particulars(length_load_line=length))
    found = evaluate(on(5.0, maximum), ship=ship)
    assert set(verdicts(found.values())) == {PASS if applies else NOT_APPLICABLE}
    assert applies or all("under 100 m" in criterion.reason for criterion in found.values())
    assert applies or {criterion.because for criterion in found.values()} == {SHIP}
    bare = evaluate_unusual(situation(5.0, ship), heeled(None))
    assert set(verdicts(bare)) == {NOT_COMPUTABLE if applies else NOT_APPLICABLE}


@pytest.mark.parametrize(("evaluate", "maximum"), [(b, 35.0), (c, 28.0)])
def test_unknown_down_flooding_is_never_a_pass(evaluate, maximum):
    criteria = evaluate(on(50.0, maximum, None))
    for clause, criterion in criteria.items():
        assert criterion.verdict == (PASS if clause.endswith("gm") else NOT_COMPUTABLE), clause


def test_no_cross_curves_is_never_a_pass():
    criteria = evaluate_unusual(situation(5.0), heeled(None))
    assert [criterion.row for criterion in criteria] == [*PARAGRAPH_B, *PARAGRAPH_C]
    assert set(verdicts(criteria)) == {NOT_COMPUTABLE}
    assert {"no cross curves" in criterion.reason for criterion in criteria} == {True}
    off = evaluate_unusual(situation(5.0, gaps={"righting_lever": OFF}), heeled(None))
    assert {criterion.reason for criterion in off} == {OFF.cause}


def test_a_gm_that_is_not_known_is_not_computable_in_either_paragraph():
    given = situation(gm_corrected=None, gaps={"stability": OFF})
    rows = {c.row.id: c for c in evaluate_unusual(given, on(5.0, 28.0))}
    for letter in "bc":
        row = rows[f"46-cfr-170.173-{letter}-gm"]
        assert (row.verdict, row.reason) == (NOT_COMPUTABLE, OFF.cause)


def test_what_the_rise_of_the_centre_costs_each_clause():
    """An area loses cos(first) - cos(last) in m.rad a metre, a lever the sine of its angle, GM a metre: closed forms.
    Angles, and the area up to the maximum that moves, have no plain number."""
    found = {**b(on(1.0, 35.0)), **c(on(1.0, 28.0))}
    to_30, to_40 = degrees(1.0 - cos(radians(30.0))), degrees(1.0 - cos(radians(40.0)))
    expected = {
        "b-gm": 1.0,
        "b-lever": sin(radians(35.0)),
        "b-angle": None,
        "b-area-to-30": to_30,
        "b-area-to-40": to_40,
        "b-area-30-to-40": to_40 - to_30,
        "c-gm": 1.0,
        "c-angle": None,
        "c-area-to-40": to_40,
        "c-area-30-to-40": to_40 - to_30,
        "c-area-to-maximum": None,
    }
    for clause, effect in expected.items():
        assert found[clause].vcg_effect == (None if effect is None else pytest.approx(effect, rel=1e-7)), (
            clause
        )


@pytest.mark.parametrize("flooding", [20.0, 29.9, 30.0])
def test_flooding_before_30_degrees(flooding):
    criteria = b(on(50.0, 35.0, flooding))
    for clause in ("b-lever", "b-area-30-to-40"):
        assert criteria[clause].verdict == FAIL
        assert "floods" in criteria[clause].reason
    assert criteria["b-area-to-30"].attained == pytest.approx(50.0 * area(flooding, 35.0), rel=1e-12)
    assert criteria["b-area-to-40"].attained == pytest.approx(50.0 * area(flooding, 35.0), rel=1e-12)
    of_c = c(on(50.0, 28.0, flooding))
    assert of_c["c-area-30-to-40"].verdict == FAIL
    assert of_c["c-area-to-40"].attained == pytest.approx(50.0 * area(flooding, 28.0), rel=1e-12)


def test_flooding_between_30_and_40_degrees():
    criteria = b(on(1.0, 35.0, 36.0))
    assert criteria["b-area-to-40"].attained == pytest.approx(area(36.0, 35.0), rel=1e-12)
    expected = area(36.0, 35.0) - area(30.0, 35.0)
    assert criteria["b-area-30-to-40"].attained == pytest.approx(expected, rel=1e-10)
    for clause, criterion in criteria.items():
        assert clause == "b-gm" or details(criterion) == {"flooding_angle": 36.0}


def test_flooding_before_the_maximum_ends_paragraph_c_there():
    """Rising to 28 degrees, flooding at 20: 3.72 m.degree up to 20 degrees."""
    criterion = c(on(1.0, 28.0, 20.0))["c-area-to-maximum"]
    assert criterion.required == pytest.approx(3.72, rel=1e-12)
    assert criterion.attained == pytest.approx(area(20.0, 28.0), rel=1e-12)
    assert c(on(1.0, 28.0, 20.0))["c-angle"].attained == 20.0


@pytest.mark.parametrize(
    ("last", "missing"),
    [
        (29.0, {"b-lever", "b-area-to-30", "b-area-to-40", "b-area-30-to-40"}),
        (30.0, {"b-area-to-40", "b-area-30-to-40"}),
        (39.0, {"b-area-to-40", "b-area-30-to-40"}),
        (40.0, set()),
    ],
)
def test_cross_curves_that_end_early(last, missing):
    """What lies beyond their last heel is not guessed; what they reach is judged."""
    for clause, criterion in b(on(5.0, 35.0, last=last)).items():
        assert criterion.verdict == (NOT_COMPUTABLE if clause in missing else PASS), clause
    short = {"c-area-to-40", "c-area-30-to-40"} if last < 40.0 else set()
    for clause, criterion in c(on(5.0, 28.0, last=last)).items():
        assert criterion.verdict == (NOT_COMPUTABLE if clause in short else PASS), clause


@pytest.mark.parametrize(
    ("last", "open_rows"),
    [
        (14.0, {"b-angle", "c-angle", "c-area-to-maximum"}),
        (15.0, {"b-angle", "c-area-to-maximum"}),
        (24.9, {"b-angle", "c-area-to-maximum"}),
        (25.0, {"c-area-to-maximum"}),
        (29.9, {"c-area-to-maximum"}),
        (30.0, set()),
    ],
)
def test_cross_curves_that_end_while_the_arm_still_rises(last, open_rows):
    """Where it is greatest is unknown: an angle is judged only if the part that is known meets its limit, the area to
    it only where (c) can be chosen no more."""
    found = {**b(on(5.0, 60.0, last=last)), **c(on(5.0, 60.0, last=last))}
    for clause in ("b-angle", "c-angle", "c-area-to-maximum"):
        assert (found[clause].verdict == NOT_COMPUTABLE) is (clause in open_rows), clause
        if clause in open_rows:
            assert "still rises" in found[clause].reason


# --- which paragraph -------------------------------------------------------------------------------------------


def chosen(*sides: Heeled, gm: float = 5.0, ship: Vessel | None = None) -> str:
    """The paragraph that is judged, the rows of the other being not applicable because of the condition."""
    given = situation(gm, ship)
    judged = choose_paragraph(sides, evaluate_unusual(given, sides[0]))
    assert [criterion.row for criterion in judged] == [*PARAGRAPH_B, *PARAGRAPH_C]
    of_b, of_c = judged[: len(PARAGRAPH_B)], judged[len(PARAGRAPH_B) :]
    left_out = [rows for rows in (of_b, of_c) if {row.verdict for row in rows} == {NOT_APPLICABLE}]
    assert len(left_out) == 1
    (rows,) = left_out
    assert {row.because for row in rows} == {CONDITION}
    (reason,) = {row.reason for row in rows}
    letter = "c" if rows is of_b else "b"
    assert reason.startswith(f"paragraph ({letter}) chosen")
    before = evaluate_unusual(given, sides[0])
    kept = slice(len(PARAGRAPH_B)) if letter == "b" else slice(len(PARAGRAPH_B), None)
    assert judged[kept] == before[kept], "the rows of the paragraph chosen stay as judged"
    return letter + reason.removeprefix(f"paragraph ({letter}) chosen")


BEYOND = "b: the righting arm is greatest beyond 30 degrees"


@pytest.mark.parametrize(
    ("maximum", "expected"),
    [
        (29.0, "c: it is met whole"),
        (29.999, "c: it is met whole"),
        (30.0, "c: it is met whole"),
        (30.0 + 5e-10, "c: it is met whole"),
        (30.0 + 1e-6, BEYOND),
        (31.0, BEYOND),
        (50.0, BEYOND),
    ],
)
def test_the_arm_greatest_at_30_degrees_or_less_opens_paragraph_c(maximum, expected):
    assert chosen(on(5.0, maximum)) == expected


@pytest.mark.parametrize(("slope", "gm"), [(0.01, 5.0), (5.0, 0.1)])
def test_beyond_30_degrees_paragraph_b_binds_though_it_fails_and_c_is_met(slope, gm):
    """Arms too small for (b)."""
    assert chosen(on(slope, 35.0), gm=gm) == BEYOND


def test_one_side_beyond_30_degrees_is_enough():
    assert chosen(on(5.0, 28.0), on(5.0, 31.0)) == BEYOND
    assert chosen(on(5.0, 31.0), on(5.0, 28.0)) == BEYOND
    assert chosen(on(5.0, 28.0), on(5.0, 29.0)) == "c: it is met whole"


def test_the_whole_curve_tells_where_the_arm_is_greatest():
    """Greatest at 35 degrees though an opening floods at 20: paragraph (b) is for her, and fails."""
    assert chosen(on(5.0, 35.0, 20.0)) == BEYOND


def test_below_30_degrees_whichever_is_met_whole_counts():
    """At 24 degrees (b) wants 25: only (c) is met."""
    assert verdicts([b(on(5.0, 24.0))["b-angle"]]) == [FAIL]
    assert chosen(on(5.0, 24.0)) == "c: it is met whole"


def test_below_30_degrees_paragraph_b_may_be_the_one_that_is_met():
    """An arm that grows slowly and stays: (c)(5) asks 3.3 m.degree up to its greatest near 27 degrees, (b) 3.15 up to
    30 and more beyond."""
    heels = (10.0, 20.0, 27.0, 30.0, 40.0, 50.0, 60.0)
    side = heeled(lever_through(heels, (0.08, 0.19, 0.235, 0.23, 0.21, 0.10, -0.1), 0.4), 0.5, automatic=inf)
    of_c = c(side)
    assert 25.0 < of_c["c-angle"].attained < 30.0
    assert [clause for clause, row in of_c.items() if row.verdict != PASS] == ["c-area-to-maximum"]
    assert set(verdicts(b(side).values())) == {PASS}
    assert chosen(side) == "b: it is met whole"


def test_where_both_fail_paragraph_c_is_shown():
    assert chosen(on(0.01, 28.0)) == "c"
    assert chosen(on(5.0, 28.0), gm=0.1) == "c"


def test_where_neither_can_be_judged_paragraph_c_is_shown_as_not_computable():
    assert chosen(on(5.0, 28.0, None)) == "c"
    assert chosen(heeled(None), heeled(None)) == "c"


def test_a_paragraph_that_could_not_be_judged_is_not_called_met():
    """Cross curves to 28 degrees, the arm greatest at 26: (c)(5) fails, (b) wants levers at 30 and is open."""
    side = on(0.9 * 3.378 / area(26.0, 26.0), 26.0, last=28.0)
    assert c(side)["c-area-to-maximum"].verdict == FAIL
    assert NOT_COMPUTABLE in set(verdicts(b(side).values()))
    assert FAIL not in set(verdicts(b(side).values()))
    assert chosen(side) == "b"


@pytest.mark.parametrize("curve", [on(5.0, 28.0), on(5.0, 35.0), heeled(None)])
def test_where_the_section_is_not_for_her_neither_is_chosen(curve):
    long = vessel(particulars=particulars(length_load_line=100.0))
    judged = evaluate_unusual(situation(5.0, long), curve)
    assert choose_paragraph([curve], judged) == judged
    assert {criterion.because for criterion in judged} == {SHIP}
