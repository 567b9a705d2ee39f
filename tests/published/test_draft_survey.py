"""Draft surveys: means, corrections to the perpendiculars, for trim and list, and the weight nobody has listed.

Sources: six readings, corrections and the quarter mean as worked at sevensurveyor.com (specimen and basic calculation)
and geludug.com; the quadratic law of the second trim correction from a maritime academy's sheet on trim correction;
closed forms of a V-shaped hull (second correction exact), of a box that bends as a parabola (means), of linear flare.
Method: ECE/ENERGY/19. Ships are constructed so that their tables are those closed forms.
"""

import json
from math import radians, tan

import pytest

from service.actions.assess import Assessor
from service.core.draft_survey import list_correction, second_trim_correction
from tests.published.box_vessel import condition as box_condition
from tests.published.box_vessel import vessel as box

ASSESSOR = Assessor()


def survey(
    rows, length, marks, readings, mean=None, breadth=20.0, density=1.025, known=1000.0, trim=0.0, **observed
):
    """The block of a ship with these hydrostatic rows (midship draft: displacement, LCF, TPC, MCTC) at one trim."""
    middle = length / 2.0
    ship = {
        "name": "Surveyed",
        "source": {"booklet": "A published example"},
        "units": "metric",
        "particulars": {"length_bp": length, "breadth": breadth},
        "lightship": {"mass": known, "lcg": middle, "vcg": 5.0},
        "hydrostatics": {
            "density": 1.025,
            "rows": [
                {
                    "trim": trim,
                    "draft": d,
                    "displacement": w,
                    "lcb": middle,
                    "lcf": lcf,
                    "km": 9.0,
                    "tpc": tpc,
                    "mctc": mctc,
                }
                for d, w, lcf, tpc, mctc in rows
            ],
        },
        "tanks": [],
        "draft_marks": [{"name": name, "x": x, "keel_offset": 0.0} for name, x in marks.items()],
        "rule_sets": [],
    }
    aboard = {
        "units": "metric",
        "title": "Survey",
        "water_density": density,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [],
        "observed": {"drafts": readings, **({"mean": mean} if mean else {}), **observed},
    }
    return json.loads(ASSESSOR.answer(json.dumps({"vessel": ship, "condition": aboard}).encode()))


def at_perpendiculars(length):
    return {"forward": length, "midship": length / 2.0, "aft": 0.0}


BOX_ROWS = [(d, 1.025 * 180.0 * 30.0 * d, 90.0, 55.35, 830.0) for d in (1.0, 20.0)]
SIX = {
    "forward": {"port": 10.79, "starboard": 10.81},
    "midship": {"port": 10.90, "starboard": 11.03},
    "aft": {"port": 11.16, "starboard": 11.19},
}


def test_six_readings_of_a_grain_carrier():
    """sevensurveyor.com: Fm 10.800, Mm 10.965; LBP 179 m, marks 1.7 m aft of FP and 9.45 m forward of AP. The page has
    a slip (10.19 for 11.19) in the after mean. Corrections to the perpendiculars follow from the same readings."""
    marks = {"forward": 177.3, "midship": 89.5, "aft": 9.45}
    found = survey(BOX_ROWS, 179.0, marks, SIX, breadth=32.0)["draft_survey"]
    assert found["apparent_trim"] == pytest.approx(11.175 - 10.8, abs=5e-4)
    assert found["draft_midship"] == pytest.approx(10.965, abs=5e-4)
    assert found["draft_forward"] == pytest.approx(10.8 - 0.003798, abs=5e-7)
    assert found["draft_aft"] == pytest.approx(11.175 + 0.021113, abs=5e-7)
    assert found["trim"] == pytest.approx(0.399911, abs=5e-7)
    assert found["mean_draft"] == pytest.approx(10.972789, abs=5e-7)
    assert found["method"] == "quarter"


@pytest.mark.parametrize(
    ("length", "marks", "aft", "forward", "after", "fore"),
    [
        # geludug.com: printed in cm, but metres
        (136.31, (7.1, 1.21), 7.75, 6.0, 0.0971, -0.0165),
        # sevensurveyor.com, basic calculation: the page writes 7.45 - 5.40 = 2.05 for an after draft of 7.25; with its
        # own drafts the trim is 1.85 m and the correction -0.0102 m, not -0.0113
        (145.5, (0.0, 0.8), 7.25, 5.40, 0.0, -0.010228),
    ],
)
def test_corrections_to_the_perpendiculars(length, marks, aft, forward, after, fore):
    places = {"forward": length - marks[1], "midship": length / 2.0, "aft": marks[0]}
    read = {"forward": forward, "midship": 0.5 * (aft + forward), "aft": aft}
    found = survey(BOX_ROWS, length, places, read, mean="quarter")["draft_survey"]
    assert found["draft_aft"] - aft == pytest.approx(after, abs=5e-5)
    assert found["draft_forward"] - forward == pytest.approx(fore, abs=5e-5)


# --- closed forms ---------------------------------------------------------------------------------------------------


def v_hull_rows(length, tangent, drafts):
    """Sections are a V of this half angle: displacement rho L t d^2, TPC and MCTC by the waterplane 2 t d L."""
    return [
        (
            d,
            1.025 * length * tangent * d**2,
            length / 2.0,
            1.025 * 2.0 * tangent * d * length / 100.0,
            1.025 * 2.0 * tangent * d * length**2 / 1200.0,
        )
        for d in drafts
    ]


def test_on_a_v_hull_the_second_correction_is_exact():
    rows = v_hull_rows(150.0, 1.2, (7.0, 7.5, 8.0, 8.5, 9.0))
    read = {"forward": 7.0, "midship": 8.0, "aft": 9.0}
    found = survey(rows, 150.0, at_perpendiculars(150.0), read, mean="quarter")["draft_survey"]
    assert found["table_displacement"] == pytest.approx(11808.0, rel=1e-9)
    assert found["first_trim_correction"] == 0.0
    assert found["second_trim_correction"] == pytest.approx(61.5, rel=1e-9)
    assert found["displacement"] == pytest.approx(11869.5, rel=1e-9)


def test_linear_flare_with_deflection():
    """Displacement 1.025 x 120 (20 d + 0.30 d^2), MCTC rho (20 + 0.6 d) 120^2 / 1200: first moments, by hand."""
    rows = [
        (d, 123.0 * (20.0 * d + 0.3 * d**2), 60.0, 1.23 * (20.0 + 0.6 * d), 12.3 * (20.0 + 0.6 * d))
        for d in (5.515, 6.015, 6.515)
    ]
    read = {"forward": 5.2, "midship": 6.02, "aft": 6.8}
    found = survey(rows, 120.0, at_perpendiculars(120.0), read, mean="quarter")["draft_survey"]
    assert found["mean_draft"] == pytest.approx(6.015, abs=1e-12)
    assert found["table_displacement"] == pytest.approx(16131.9503025, abs=1e-6)
    assert found["second_trim_correction"] == pytest.approx(7.872, abs=1e-6)
    assert found["displacement"] == pytest.approx(16139.8223025, abs=1e-6)


def test_the_second_correction_grows_with_the_square_of_the_trim():
    """A loaded ship: 12 t at 1 m, "approximately 50" at 2 m; the law gives 48."""
    one, two = (second_trim_correction(trim, 200.0, 1048.0, 1000.0) for trim in (1.0, 2.0))
    assert one == pytest.approx(12.0)
    assert two == pytest.approx(50.0, rel=0.05)
    assert two == pytest.approx(4.0 * one)


MEANS = {"mean_of_means": (8.34, 46161.9), "quarter": (8.36, 46272.6), "two_thirds": (8.353333, 46235.7)}


@pytest.mark.parametrize("mean", MEANS)
def test_means_of_a_box_that_sags(mean):
    """F 8.0, A 8.6, M 8.38: sag 80 mm; two thirds of it is exact for a parabola."""
    read = {"forward": 8.0, "midship": 8.38, "aft": 8.6}
    found = survey(BOX_ROWS, 180.0, at_perpendiculars(180.0), read, mean=mean, breadth=30.0)["draft_survey"]
    draft, displacement = MEANS[mean]
    assert found["deflection"] == pytest.approx(0.08, abs=1e-9)
    assert found["mean_draft"] == pytest.approx(draft, abs=5e-7)
    assert found["displacement"] == pytest.approx(displacement, abs=0.05)


def test_the_list_correction_against_a_v_hull():
    """The customary factor 6 gives 48 % of the exact 5.183 t at one degree (cut exactly): named, and kept."""
    low, high = 8.171154, 7.835869
    tpc = [1.025 * 2.0 * 1.2 * d * 150.0 / 100.0 for d in (low, high)]
    assert tpc == pytest.approx([30.151557, 28.914358], abs=1e-5)
    assert list_correction(low, high, *tpc) == pytest.approx(2.488881, abs=1e-5)
    assert list_correction(high, low, *reversed(tpc)) == pytest.approx(2.488881, abs=1e-5)


# --- the whole survey of a box ---------------------------------------------------------------------------------------


def box_survey(**more):
    aboard = box_condition(0.0, 50.0, 6.0)
    aboard |= {"tanks": [], "water_density": 1.016}
    aboard["weights"] = [
        {"name": "Stores and fuel", "category": "stores", "mass": 800.0, "lcg": 40.0, "vcg": 5.0}
    ]
    aboard["observed"] = {
        "drafts": {
            "aft": {"port": 4.5, "starboard": 4.46},
            "midship": {"port": 4.33, "starboard": 4.25},
            "forward": {"port": 4.08, "starboard": 4.04},
        },
        "mean": "quarter",
        **more,
    }
    return json.loads(ASSESSOR.answer(json.dumps({"vessel": box(), "condition": aboard}).encode()))


def test_six_readings_on_a_box_in_dock_water():
    """By hand: marks at 4, 50 and 97 m of 100, the underside of the keel 20 mm below the moulded base."""
    found = box_survey()["draft_survey"]
    assert found["draft_aft"] == pytest.approx(4.478064516, abs=1e-9)
    assert found["draft_forward"] == pytest.approx(4.026451613, abs=1e-9)
    assert found["draft_midship"] == pytest.approx(4.27, abs=1e-9)
    assert found["deflection"] == pytest.approx(0.017741935, abs=1e-9)
    assert found["mean_draft"] == pytest.approx(4.265564516, abs=1e-9)
    assert found["first_trim_correction"] == pytest.approx(0.0, abs=1e-9)
    assert found["second_trim_correction"] == pytest.approx(0.0, abs=1e-6)
    assert found["list_correction"] == pytest.approx(0.0, abs=1e-9)
    assert found["displacement"] == pytest.approx(8667.627096774, abs=1e-5)
    assert found["density_correction"] == pytest.approx(8744.407258065 * (1.016 / 1.025 - 1.0), abs=1e-5)
    assert found["unknown_weight"]["mass"] == pytest.approx(5817.627096774, abs=1e-5)
    assert found["unknown_weight"]["lcg"] == pytest.approx(50.06062406, abs=1e-3)
    assert found["centimetre_is"] == pytest.approx(20.32, abs=1e-9)
    assert found["displacement_direct"] is None
    assert [gap["figure"] for gap in found["not_computed"]] == ["displacement_direct"]


@pytest.mark.parametrize("trim", [1.5, 0.0, -0.8])
def test_a_table_for_one_trim_alone_is_corrected_from_that_trim(trim):
    """Closed form: sides that are walls, waterplane 2400 m2 with its centre 60 m forward of AP on 150 m; the volume is
    2400 (draft amidships + 15/150 trim), whatever the trim of the table it is read from."""
    area, lcf, length, of_table = 2400.0, 60.0, 150.0, 1.5
    rows = [
        (d, 1.025 * area * (d + 0.1 * of_table), lcf, 0.01 * 1.025 * area, 700.0) for d in (3.0, 5.0, 9.0)
    ]
    read = {"forward": 6.0 - 0.5 * trim, "midship": 6.0, "aft": 6.0 + 0.5 * trim}
    found = survey(rows, length, at_perpendiculars(length), read, mean="quarter", trim=of_table)[
        "draft_survey"
    ]
    assert found["displacement"] == pytest.approx(1.025 * area * (6.0 + 0.1 * trim), rel=1e-12)
    assert found["first_trim_correction"] == pytest.approx(1.025 * area * 0.1 * (trim - of_table), abs=1e-9)


def test_a_side_off_the_table_has_no_list_correction():
    """TPC there is not known: her list is left out and said so, not taken from the last row."""
    rows = v_hull_rows(150.0, 1.2, [2.0 + 0.01 * n for n in range(601)])
    read = {"forward": 7.9, "midship": {"port": 8.1, "starboard": 7.7}, "aft": 7.9}
    found = survey(rows, 150.0, at_perpendiculars(150.0), read)["draft_survey"]
    assert found["list_correction"] is None
    assert "list_correction" in [gap["figure"] for gap in found["not_computed"]]
    parts = ("table_displacement", "first_trim_correction", "density_correction")
    left = sum(found[part] for part in parts) + (found["second_trim_correction"] or 0.0)
    assert found["displacement"] == pytest.approx(left, rel=1e-12)


def test_cargo_by_two_surveys():
    """Each unknown weight is the displacement by the drafts less all that is known: their difference is the cargo."""

    def unknown(draft):
        read = dict.fromkeys(("forward", "midship", "aft"), draft)
        found = survey(BOX_ROWS, 180.0, at_perpendiculars(180.0), read, mean="quarter")["draft_survey"]
        return found["unknown_weight"]["mass"]

    per_metre = 1.025 * 180.0 * 30.0
    before, after = unknown(2.0), unknown(6.0)
    assert after - before == pytest.approx(per_metre * 4.0, abs=1e-6)
    # drafts at which 412.6 t and 9830.4 t are not accounted for, beside 10000 t more that both conditions leave out
    known = per_metre * 2.0 - before + 10000.0
    empty, laden = (unknown((known + mass) / per_metre) for mass in (412.6, 9830.4))
    assert laden - empty == pytest.approx(9417.8, abs=1e-6)


def codes(answer):
    return {finding["code"] for finding in answer["findings"]}


def test_what_a_surveyor_points_out():
    calm = box_survey()
    assert {"survey_list", "survey_trim", "reading_sides_differ"}.isdisjoint(codes(calm))
    breadth = 20.0
    half = breadth * tan(radians(0.6)) / 2.0
    sides = {
        name: {"port": mean + half, "starboard": mean - half}
        for name, mean in (("aft", 5.5), ("midship", 5.0), ("forward", 4.4))
    }
    found = box_survey(drafts=sides)
    assert {"survey_list", "survey_trim"} <= codes(found)
    assert "reading_sides_differ" not in codes(found)
    sides["aft"]["port"] += 0.06
    assert "reading_sides_differ" in codes(box_survey(drafts=sides))


def test_marks_at_narrow_ends_may_differ_by_less_than_the_breadth_says():
    """At the stem the two marks are a hand apart: a list shows there as next to nothing. Common practice, no source."""
    half = 20.0 * tan(radians(0.4)) / 2.0
    sides = {
        "aft": {"port": 4.5 + 0.3 * half, "starboard": 4.5 - 0.3 * half},
        "midship": {"port": 4.3 + half, "starboard": 4.3 - half},
        "forward": {"port": 4.1, "starboard": 4.1},
    }
    assert "reading_sides_differ" not in codes(box_survey(drafts=sides))
    sides["forward"] = {"port": 4.0, "starboard": 4.1}
    off = [f["path"] for f in box_survey(drafts=sides)["findings"] if f["code"] == "reading_sides_differ"]
    assert off == ["/condition/observed/drafts/forward"]
    # amidships they are her breadth apart
    sides["forward"] = {"port": 4.1, "starboard": 4.1}
    known = {"list": 0.4}
    assert "reading_sides_differ" not in codes(box_survey(drafts=sides, **known))
    sides["midship"] = {"port": 4.3, "starboard": 4.3}
    assert "reading_sides_differ" in codes(box_survey(drafts=sides, **known))


def test_two_marks_are_no_survey_and_off_the_table_is_said():
    two = box_survey(drafts={"aft": 4.5, "forward": 4.0})["draft_survey"]
    assert two["displacement"] is None
    assert two["unknown_weight"] is None
    assert [gap["figure"] for gap in two["not_computed"]] == ["draft_survey"]
    deep = box_survey(drafts={"aft": 12.0, "midship": 12.0, "forward": 12.0})["draft_survey"]
    assert (deep["mean_draft"], deep["displacement"]) == (pytest.approx(11.98), None)
    assert [gap["figure"] for gap in deep["not_computed"]] == ["displacement"]
    edge = box_survey(drafts={"aft": 9.3, "midship": 9.3, "forward": 9.3})["draft_survey"]
    assert edge["second_trim_correction"] is None
    assert edge["displacement"] == pytest.approx(9.28 * 2050.0 * 1.016 / 1.025)


def test_readings_that_ask_for_no_survey_are_answered_as_before():
    """Numbers by themselves, without a mean: kept beside the computed figures, as ever."""
    aboard = box_condition(5000.0, 50.0, 6.0)
    aboard["observed"] = {"drafts": {"aft": 4.5, "midship": 4.3, "forward": 4.1}}
    answer = ASSESSOR.assessment({"vessel": box(), "condition": aboard})
    assert "draft_survey" not in answer
