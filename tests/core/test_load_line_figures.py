"""Figures of the load line beside the verdict, on a box of 20.5 t a centimetre (closed forms).

Sources: International Convention on Load Lines 1966, article 12, regulations 6 and 40; timber marks: 46 CFR 42.25-20;
fresh water allowance displacement / (40 TPC) cm, which is d / 40 for a box.
"""

from dataclasses import replace
from math import atan, degrees, radians, tan

import pytest

from service.core.assessment import Assessment, assess
from service.core.hydrostatics import Hydrostatics
from service.core.load_line import EXACT, LoadLine, draft_carrying
from service.core.load_line_figures import LoadLineFigures, load_line_figures
from service.core.rules.limit import FAIL, NOT_APPLICABLE, PASS
from service.core.weight import Weight
from tests.core.barge import LIGHT, PER_METRE, barge, km, loaded
from tests.core.ship import DRAFTS, SALT, hydrostatics, row

MARKS = {"S": 6.0, "W": 5.875, "T": 6.125}


def box(mass: float, mark: str | None = "S", tcg: float = 0.0, **changes) -> Assessment:
    ship = barge(load_line_drafts=MARKS, strength=None, **changes.pop("ship", {}))
    given = loaded(Weight(mass, 50.0, 5.0, tcg, "cargo"), load_line_mark=mark, **changes)
    return assess(ship, given)


def figures(assessed: Assessment) -> LoadLineFigures:
    found = load_line_figures(assessed.situation)
    assert found is not None
    return found


def verdict(assessed: Assessment, row_id: str = "load-lines-draft") -> str:
    return next(c.verdict for _, c in assessed.criteria if c.row.id == row_id)


def codes(assessed: Assessment) -> set[str]:
    return {finding.code for finding in assessed.findings}


def test_31_mm_to_spare_is_63_55_tonnes():
    found = figures(box(10186.45))
    assert found.draft_midship == pytest.approx(5.969, abs=1e-12)
    assert (found.margin, found.mass_to_line) == pytest.approx((0.031, 63.55), abs=1e-9)
    assert (found.permitted, found.permitted_exactly) == pytest.approx((6.0, 6.0), rel=1e-12)
    assert (found.mark, found.method, found.side) == ("S", "linear", 0)


def test_dock_water_over_by_one_method_and_under_by_the_other():
    """In water of 1.010: 6 + 0.15 x 0.6 = 6.09 m in proportion, 6 x 1.025 / 1.010 = 6.0891089 m exactly."""
    assessed = box(10250.9, water_density=1.010)
    found = figures(assessed)
    assert found.permitted == pytest.approx(6.09, abs=1e-12)
    assert found.permitted_exactly == pytest.approx(6.089108911, abs=1e-9)
    assert found.allowance == pytest.approx(0.15, abs=1e-12)
    assert found.margin == pytest.approx(0.000445545, abs=1e-9)
    assert found.margin_exactly == pytest.approx(-0.000445545, abs=1e-9)
    assert found.mass_to_line == pytest.approx(0.9, abs=1e-6)
    assert verdict(assessed) == PASS
    assert "exact_and_linear_disagree" in codes(assessed)


def test_exactly_where_the_condition_asks_for_it():
    assessed = box(10250.9, water_density=1.010, dock_water=EXACT)
    assert verdict(assessed) == FAIL
    found = figures(assessed)
    assert found.method == "exact"
    assert found.permitted == found.permitted_exactly == pytest.approx(6.089108911, abs=1e-9)
    assert found.mass_to_line == pytest.approx(-0.9, abs=1e-6)


def test_where_both_methods_agree_nothing_is_said():
    assert "exact_and_linear_disagree" not in codes(box(10240.0, water_density=1.010))
    assert "exact_and_linear_disagree" not in codes(box(10300.0, water_density=1.010))


@pytest.mark.parametrize("water", [1.030, 1.0251])
def test_heavier_water_permits_no_less_and_is_said(water):
    assessed = box(10186.45, water_density=water)
    assert figures(assessed).permitted == figures(assessed).permitted_exactly == pytest.approx(6.0)
    assert "water_heavier_than_salt" in codes(assessed)
    assert "water_heavier_than_salt" not in codes(box(10186.45))


def test_the_allowance_of_the_certificate_goes_before_the_formula():
    found = figures(box(10000.0, water_density=1.0, ship={"fresh_water_allowance": 0.12}))
    assert (found.allowance, found.permitted) == pytest.approx((0.12, 6.12))


@pytest.mark.parametrize(("tcg", "side"), [(0.05, 1), (-0.05, -1)])
def test_the_lower_side_is_named(tcg, side):
    found = figures(box(9000.0, tcg=tcg))
    lean = tan(radians(degrees(atan(9000.0 * 0.05 / 11050.0 / gm(11050.0)))))
    assert found.side == side
    assert found.draft_low_side == pytest.approx(found.draft_midship + 10.0 * lean, rel=1e-6)


def gm(mass: float) -> float:
    """KM of the box less the height of 2050 t at 6 m and the rest at 5 m."""
    return km(mass / PER_METRE) - (LIGHT * 6.0 + (mass - LIGHT) * 5.0) / mass


def test_sagging_deepens_her_amidships():
    found = figures(box(10186.45, deflection=0.04))
    assert (found.deflection, found.margin) == pytest.approx((0.04, -0.009), abs=1e-9)
    assert found.mass_to_line == pytest.approx(-0.009 * PER_METRE, abs=1e-6)


# T 6.125 m, W 5.875 m, WNA 5.825 m (L = 100 m)
@pytest.mark.parametrize(
    ("draft", "permitted", "expected"),
    [(5.8, 5.825, PASS), (6.2, 6.125, FAIL), (5.9, None, "not_computable")],
)
def test_no_mark_named(draft, permitted, expected):
    assessed = box(draft * PER_METRE - LIGHT, mark=None)
    found = figures(assessed)
    assert verdict(assessed) == expected
    assert (found.mark, found.permitted_exactly) == (None, None)
    assert found.permitted == (None if permitted is None else pytest.approx(permitted))
    left = None if permitted is None else pytest.approx((permitted - draft) * PER_METRE, abs=1e-6)
    assert found.mass_to_line == left


def test_every_mark_is_listed_with_what_it_permits_here():
    found = figures(box(9000.0, water_density=1.0))
    marks = {mark.mark: mark for mark in found.marks}
    assert set(marks) == {"S", "W", "T", "WNA", "F", "TF"}
    summer = marks["S"]
    assert (summer.draft, summer.permitted, summer.worked_out) == (6.0, pytest.approx(6.15), False)
    assert summer.displacement == pytest.approx(6.15 * 2000.0, rel=1e-9)
    assert summer.deadweight == pytest.approx(6.15 * 2000.0 - LIGHT, rel=1e-9)
    assert [marks[m].worked_out for m in ("WNA", "F", "TF")] == [True] * 3
    assert marks["WNA"].from_memory is not None
    assert marks["W"].from_memory is marks["F"].from_memory is None, "printed, or read"


def test_a_mark_that_is_worked_out_is_said_where_it_is_in_force():
    assert "mark_draft_worked_out" in codes(box(9000.0, mark="WNA"))
    assert "mark_draft_worked_out" not in codes(box(9000.0, mark="W"))


@pytest.mark.parametrize(
    ("length", "given", "inland", "said"),
    [
        (100.1, False, False, True),
        (100.0, False, False, False),
        (100.1, True, False, False),
        (100.1, False, True, False),
    ],
)
def test_a_long_ship_whose_deflection_nobody_gave_is_told_so(length, given, inland, said):
    """Beyond 100 m (common practice, no source); a deflection of 0 that is typed in is an answer."""
    ship = {"particulars": replace(barge().particulars, length_load_line=length)}
    assessed = box(9000.0, deflection_given=given, inland=inland, ship=ship)
    assert ("deflection_not_given" in codes(assessed)) is said


def test_in_inland_water_no_mark_binds():
    """Article 12(3), value from memory."""
    assessed = box(11000.0, inland=True)
    assert verdict(assessed) == verdict(assessed, "load-lines-low-side") == NOT_APPLICABLE
    assert next(c.because for _, c in assessed.criteria if c.row.id == "load-lines-draft") == "condition"
    assert "draft_over_load_line" not in codes(assessed)
    assert "draft_over_load_line" in codes(box(11000.0))
    assert not [rule_set for rule_set, _ in assessed.unjudged if rule_set is not None]


def test_without_marks_or_without_drafts_there_are_no_figures():
    assert load_line_figures(assess(barge(), loaded()).situation) is None
    assert load_line_figures(box(20000.0).situation) is None


# --- timber marks ------------------------------------------------------------------------------------------------

TIMBER = {"S": 6.0, "LS": 6.3}


def timber(**marks: float) -> LoadLine:
    line = LoadLine.of({**TIMBER, **marks}, 99.0, hydrostatics())
    assert line is not None
    return line


def test_timber_marks_are_worked_out_from_the_summer_timber_draft():
    """LW a 36th less, LT a 48th more, LWNA that of WNA, LF by the allowance at the timber draft (46 CFR 42.25-20)."""
    line = timber()
    allowance = 1500.0 * 6.3 / (40.0 * 15.0) / 100.0
    assert line.drafts["LW"] == pytest.approx(6.3 * 35.0 / 36.0)
    assert line.drafts["LT"] == pytest.approx(6.3 * 49.0 / 48.0)
    assert line.drafts["LWNA"] == line.drafts["WNA"] == pytest.approx(6.0 * 47.0 / 48.0 - 0.05)
    assert line.drafts["LF"] == pytest.approx(6.3 + allowance)
    assert line.drafts["LTF"] == pytest.approx(6.3 * 49.0 / 48.0 + allowance)
    assert {"LW", "LT", "LWNA", "LF", "LTF"} <= line.worked_out
    assert not line.worked_out & {"S", "LS"}


def test_timber_marks_of_the_certificate_stay():
    line = timber(LW=6.1, LF=6.5, LT=6.4)
    assert (line.drafts["LW"], line.drafts["LF"], line.drafts["LT"]) == (6.1, 6.5, 6.4)
    assert line.drafts["LTF"] == pytest.approx(6.6)


def test_off_her_tables_there_is_no_timber_fresh_mark():
    line = LoadLine.of({"S": 6.0, "LS": 9.0}, 99.0, hydrostatics())
    assert line is not None
    assert "LF" not in line.drafts
    assert "LTF" not in line.drafts
    assert "LW" in line.drafts


# --- drafts of a displacement ------------------------------------------------------------------------------------


@pytest.mark.parametrize("trims", [(0.0,), (-2.0, 0.0, 2.5)])
@pytest.mark.parametrize("trim", [-1.3, 0.0, 1.7])
@pytest.mark.parametrize("displacement", [3500.0, 9000.0, 11000.0])
def test_the_draft_of_a_displacement_undoes_the_displacement_of_a_draft(trims, trim, displacement):
    tables = Hydrostatics.from_rows(
        SALT, True, [{**row(d, t), "lcf": 49.0 - 0.2 * d} for t in trims for d in DRAFTS]
    )
    draft = draft_carrying(tables, displacement, trim, 100.0)
    assert draft is not None
    assert tables.displacement_at(draft, trim, 100.0) == pytest.approx(displacement, rel=1e-12)


def test_a_displacement_off_the_tables_has_no_draft():
    assert draft_carrying(hydrostatics(), 12001.0, 0.0, 100.0) is None
    line = LoadLine.of({"S": 8.0}, 99.0, hydrostatics())
    assert line is not None
    assert line.permitted_exactly("S", SALT, hydrostatics(), 0.0, 100.0) == pytest.approx(8.0)
    assert line.permitted_exactly("S", 1.0, hydrostatics(), 0.0, 100.0) is None
    assert line.permitted_exactly("LS", 1.0, hydrostatics(), 0.0, 100.0) is None
    beyond = replace(line, drafts={"S": 8.5})
    assert beyond.permitted_exactly("S", SALT, hydrostatics(), 0.0, 100.0) == 8.5, (
        "no table is needed in salt water"
    )
    assert beyond.permitted_exactly("S", 1.02, hydrostatics(), 0.0, 100.0) is None
