"""Vessel documents: what contradicts itself is refused with its place; units and axes do not change the answer."""

import numpy as np
import pytest

from service.actions.assess import Assessor, prepare_vessel
from service.translation.tank import half_last_digit
from service.wire.refusal import Refusal
from tests.actions.documents import changed, condition, in_us, on_axes, request, vessel

PREFIX = "/vessel"


def refusal(path: str, value: object) -> Refusal:
    with pytest.raises(Refusal) as caught:
        prepare_vessel(changed(vessel(), path, value))
    return caught.value


def pointers(refused: Refusal) -> dict[str, str]:
    return {error["pointer"]: error["code"] for error in refused.errors}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        # two fields that do not go together
        ("imo_number", "9074728", "/imo_number", "check_digit"),
        ("tanks/1/id", "BP", "/tanks/1/id", "duplicate"),
        ("openings/1/id", "VP", "/openings/1/id", "duplicate"),
        ("draft_marks/1/name", "aft", "/draft_marks/1/name", "duplicate"),
        ("tanks/0/pair", "NONE", "/tanks/0/pair", "unknown_tank"),
        ("tanks/0/pair", "BP", "/tanks/0/pair", "unknown_tank"),
        ("rule_sets/0", "is-code-1800", "/rule_sets/0", "unknown_rule_set"),
        ("load_lines/marks/S", 6.4, "/load_lines/marks/S", "contradiction"),
        ("particulars/length_bp", 1e-310, "/particulars/length_bp", "too_small"),
        ("particulars/breadth", 0.05, "/particulars/breadth", "too_small"),
        ("cross_curves/heels/1", 1e-310, "/cross_curves/heels/1", "not_increasing"),
        ("cross_curves/heels/0", 0.05, "/cross_curves/heels/0", "not_increasing"),
        ("cross_curves/heels/2", 10.09, "/cross_curves/heels/2", "not_increasing"),
        ("tanks/5/heeled_moments/heels/1", 1e-310, "/tanks/5/heeled_moments/heels/1", "not_increasing"),
        ("wind_profile/1/centroid_height", 7.9, "/wind_profile/1/centroid_height", "contradiction"),
        ("deck_edge", {}, "/deck_edge", "missing"),
        ("cross_curves/basis", "gz_at_vcg", "/cross_curves/vcg", "missing"),
        ("tanks/0/table/rows/3/sounding", ..., "/tanks/0/table/rows/3/sounding", "missing"),
        ("tanks/4/table/density", ..., "/tanks/4/table/density", "missing"),
        ("tanks/5/heeled_moments/moments/0/7", ..., "/tanks/5/heeled_moments/moments", "shape"),
        ("cross_curves/levers/1/3", ..., "/cross_curves/levers", "shape"),
        ("cross_curves/levers/4", [0.0] * 8, "/cross_curves/levers", "shape"),
        # rows that do not increase
        ("wind_profile/1/draft", 2.0, "/wind_profile/1/draft", "not_increasing"),
        ("gm_limits/0/rows/1/draft", 1.0, "/gm_limits/0/rows/1/draft", "not_increasing"),
        ("cross_curves/heels/3", 20.0, "/cross_curves/heels/3", "not_increasing"),
        ("cross_curves/displacements/2", 6000.0, "/cross_curves/displacements/2", "not_increasing"),
        (
            "openings/2/immersion_angles/1/draft",
            2.0,
            "/openings/2/immersion_angles/1/draft",
            "not_increasing",
        ),
        ("tanks/5/heeled_moments/heels/2", 10.0, "/tanks/5/heeled_moments/heels/2", "not_increasing"),
        (
            "tanks/5/heeled_moments/fillings/1",
            20.0,
            "/tanks/5/heeled_moments/fillings/1",
            "not_increasing",
        ),
        ("tanks/0/table/rows/4/volume", 90.0, "/tanks/0/table/rows/4/volume", "unusable_table"),
        ("tanks/0/table/rows/4/sounding", 1.5, "/tanks/0/table/rows/4/sounding", "unusable_table"),
        ("tanks/0/table/rows/4/ullage", 3.5, "/tanks/0/table/rows/4/ullage", "unusable_table"),
        ("hydrostatics/rows/2/draft", 4.0, "/hydrostatics/rows/2/draft", "unusable_table"),
        ("hydrostatics/rows/6/displacement", 6000.0, "/hydrostatics/rows/6/displacement", "unusable_table"),
        # tables that cannot be used
        ("tanks/0/capacity", 200.0, "/tanks/0/table/rows/10/volume", "unusable_table"),
        ("tanks/7/rectangular_surface", ..., "/tanks/7", "unusable_table"),
        ("tanks/6/rectangular_surface", {"length": 5.0, "breadth": 5.0}, "/tanks/6", "unusable_table"),
        ("tanks/5/heeled_moments/heels/7", 65.0, "/tanks/5/heeled_moments/heels", "unusable_table"),
    ],
)
def test_what_contradicts_itself_is_refused_by_place(path, value, pointer, code):
    refused = refusal(path, value)
    assert refused.code == "invalid_vessel"
    assert pointers(refused) == {PREFIX + pointer: code}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("units", ..., "/units", "missing"),
        ("units", "imperial", "/units", "literal_error"),
        ("speed", 12.0, "/speed", "extra_forbidden"),
        ("lightship/mass", "3600", "/lightship/mass", "float_type"),
        ("lightship/mass", True, "/lightship/mass", "float_type"),
        ("lightship/mass", 0.0, "/lightship/mass", "greater_than"),
        ("lightship/mass", -3600.0, "/lightship/mass", "greater_than"),
        ("lightship/mass", None, "/lightship/mass", "float_type"),
        ("lightship/mass", 1e300, "/lightship/mass", "less_than_equal"),
        ("lightship/vcg", float("nan"), "/lightship/vcg", "finite_number"),
        ("lightship/vcg", float("inf"), "/lightship/vcg", "finite_number"),
        ("hydrostatics/density", 0.4, "/hydrostatics/density", "greater_than_equal"),
        ("hydrostatics/density", 2.1, "/hydrostatics/density", "less_than_equal"),
        ("hydrostatics/rows", [], "/hydrostatics/rows", "too_short"),
        ("cross_curves/heels", [], "/cross_curves/heels", "too_short"),
        ("cross_curves/heels/7", 91.0, "/cross_curves/heels/7", "less_than_equal"),
        ("tanks/0/table/rows", [], "/tanks/0/table/rows", "too_short"),
        ("tanks/0/capacity", 0.0, "/tanks/0/capacity", "greater_than"),
        ("tanks/0/side", "left", "/tanks/0/side", "literal_error"),
        ("tanks/0/id", "B\u202eP", "/tanks/0/id", "string_pattern_mismatch"),
        ("name", "", "/name", "string_too_short"),
        ("name", "x" * 201, "/name", "string_too_long"),
        ("name", 5, "/name", "string_type"),
        ("imo_number", "907472", "/imo_number", "string_pattern_mismatch"),
        ("axes/y_positive", ..., "/axes/y_positive", "missing"),
        ("tanks/6/printed_free_surface/columns", [], "/tanks/6/printed_free_surface/columns", "too_short"),
        (
            "tanks/7/rectangular_surface/compartments",
            1.5,
            "/tanks/7/rectangular_surface/compartments",
            "int_type",
        ),
        ("load_lines/marks", {"X": 6.0}, "/load_lines/marks/X", "literal_error"),
    ],
)
def test_what_breaks_the_schema_is_refused_by_place(path, value, pointer, code):
    refused = refusal(path, value)
    assert refused.code == "invalid_request"
    assert PREFIX + pointer in pointers(refused)
    if code != "int_type":
        assert pointers(refused)[PREFIX + pointer] == code


@pytest.mark.parametrize("document", [None, 5, "vessel", [], True, 1.5])
def test_something_that_is_no_vessel(document):
    with pytest.raises(Refusal) as caught:
        prepare_vessel(document)
    assert pointers(caught.value).keys() == {PREFIX}


def test_all_contradictions_are_told_at_once():
    document = changed(changed(vessel(), "tanks/1/id", "BP"), "rule_sets/0", "none")
    with pytest.raises(Refusal) as caught:
        prepare_vessel(document)
    assert set(pointers(caught.value).values()) == {"duplicate", "unknown_rule_set"}


@pytest.mark.parametrize("number", ["9074729", "1234567"])
def test_imo_numbers_with_a_right_check_digit(number):
    """9x7 + 0x6 + 7x5 + 4x4 + 7x3 + 2x2 = 139 ends in 9; 7 + 12 + 15 + 16 + 15 + 12 = 77 ends in 7."""
    prepare_vessel(changed(vessel(), "imo_number", number))


@pytest.mark.parametrize("last", [d for d in "0123456789" if d != "9"])
def test_imo_numbers_with_a_wrong_check_digit(last):
    assert pointers(refusal("imo_number", "907472" + last)) == {PREFIX + "/imo_number": "check_digit"}


@pytest.mark.parametrize(
    ("printed", "half"),
    [(98.5, 0.05), (412.0, 0.5), (84.23, 0.005), (84.2, 0.05), (0.125, 0.0005), (1200.0, 0.5), (1e16, 0.5)],
)
def test_half_of_the_last_printed_digit(printed, half):
    assert half_last_digit(printed) == pytest.approx(half, rel=1e-12)


# --- the same ship, written another way ------------------------------------------------------------------------

ASSESSOR = Assessor()
IGNORED = {"digest", "message"}


def flat(value: object, path: str = "") -> dict[str, object]:
    if isinstance(value, dict):
        return {
            k: v
            for name, x in value.items()
            if name not in IGNORED
            for k, v in flat(x, f"{path}/{name}").items()
        }
    if isinstance(value, list):
        return {k: v for i, x in enumerate(value) for k, v in flat(x, f"{path}/{i}").items()}
    return {path: value}


def assert_same(one: object, other: object, rel: float = 1e-9) -> None:
    a, b = flat(one), flat(other)
    assert a.keys() == b.keys()
    for path, value in a.items():
        if isinstance(value, float) and isinstance(b[path], float):
            assert b[path] == pytest.approx(value, rel=rel, abs=1e-9), path
        else:
            assert b[path] == value, path


@pytest.mark.parametrize("basis", ["as_filled", "maximum_when_slack", "by_rule"])
def test_a_us_document_gives_the_same_answer(basis):
    given = changed(condition(), "free_surface/basis", basis)
    metric = ASSESSOR.assessment(request(condition_document=given), "metric")
    for ship, aboard in (
        (in_us(vessel()), in_us(given)),
        (vessel(), in_us(given)),
        (in_us(vessel()), given),
    ):
        assert_same(metric, ASSESSOR.assessment(request(ship, aboard), "metric"))


def test_the_answer_in_us_units_is_the_metric_one_converted():
    metric, us = ASSESSOR.assessment(request()), ASSESSOR.assessment(request(), "us")
    assert us["units"]["system"] == "us"
    for name, factor in (("displacement", 1.0160469088), ("vcg_corrected", 0.3048)):
        assert us[name] * factor == pytest.approx(metric[name], rel=1e-12)
    assert us["free_surface_moment"] * 0.3048 * 1.0160469088 == pytest.approx(
        metric["free_surface_moment"], rel=1e-12
    )
    flotation = us["flotation"]
    assert flotation["tpc"] * 1.0160469088 / 2.54 == pytest.approx(metric["flotation"]["tpc"], rel=1e-12)
    assert flotation["mctc"] * 0.3048 * 1.0160469088 / 2.54 == pytest.approx(
        metric["flotation"]["mctc"], rel=1e-12
    )
    assert flotation["water_density"] == metric["flotation"]["water_density"]
    assert flotation["list"] == metric["flotation"]["list"]
    for a, b in zip(metric["criteria"], us["criteria"]):
        assert a["as_written"] == b["as_written"]
        assert a["verdict"] == b["verdict"]
        if a["as_written"]["unit"] == "ft":
            assert (b["unit"], a["unit"]) == ("ft", "m")
            assert b["attained"] == pytest.approx(b["as_written"]["attained"], rel=1e-12)
            assert a["attained"] == pytest.approx(0.3048 * a["as_written"]["attained"], rel=1e-12)


AXES = [
    (origin, x, y)
    for origin in ("aft_perpendicular", "midship", "forward_perpendicular")
    for x in ("forward", "aft")
    for y in ("port", "starboard")
]


@pytest.mark.parametrize("axes", AXES)
def test_the_booklet_may_be_typed_in_on_any_axes(axes):
    """Vessel and condition on other axes; the answer is always from the aft perpendicular, forward and port."""
    plain = ASSESSOR.assessment(request())
    ship, aboard = on_axes(vessel(), *axes), on_axes(condition(), *axes)
    assert_same(plain, ASSESSOR.assessment(request(ship, aboard)))


@pytest.mark.parametrize("axes", [AXES[3], AXES[7], AXES[10]])
def test_a_condition_follows_the_vessels_axes_unless_it_says_otherwise(axes):
    plain = ASSESSOR.assessment(request())
    following = changed(on_axes(condition(), *axes), "axes", ...)
    assert_same(plain, ASSESSOR.assessment(request(on_axes(vessel(), *axes), following)))
    assert_same(plain, ASSESSOR.assessment(request(vessel(), on_axes(condition(), *axes))))
    own = on_axes(condition(), *AXES[0])
    assert_same(plain, ASSESSOR.assessment(request(on_axes(vessel(), *axes), own)))


def test_axes_and_us_units_together():
    axes = ("midship", "aft", "starboard")
    plain = ASSESSOR.assessment(request(), "metric")
    turned = request(in_us(on_axes(vessel(), *axes)), in_us(on_axes(condition(), *axes)))
    assert_same(plain, ASSESSOR.assessment(turned, "metric"))


def test_axes_are_the_cores_own_when_absent():
    plain = ASSESSOR.assessment(request())
    assert_same(plain, ASSESSOR.assessment(request(changed(vessel(), "axes", ...))))


def test_levers_at_an_assumed_vcg_are_kn_less_its_sine():
    """GZ at VCG 6 m printed instead of KN."""
    curves = vessel()["cross_curves"]
    sine = np.sin(np.radians(curves["heels"]))
    gz = [[float(k - 6.0 * s) for k, s in zip(row, sine)] for row in curves["levers"]]
    printed = changed(vessel(), "cross_curves", {**curves, "basis": "gz_at_vcg", "vcg": 6.0, "levers": gz})
    assert_same(ASSESSOR.assessment(request()), ASSESSOR.assessment(request(printed)))


def test_an_upright_heel_may_be_printed_or_left_out():
    curves = vessel()["cross_curves"]
    without = {**curves, "heels": curves["heels"][1:], "levers": [row[1:] for row in curves["levers"]]}
    assert_same(
        ASSESSOR.assessment(request()),
        ASSESSOR.assessment(request(changed(vessel(), "cross_curves", without))),
    )


def test_a_table_of_moments_is_a_table_of_inertias():
    tank = vessel()["tanks"][4]
    rows = [
        {**row, "free_surface_inertia": row["free_surface_moment"] / 1.025} for row in tank["table"]["rows"]
    ]
    for row in rows:
        del row["free_surface_moment"]
    other = changed(vessel(), "tanks/4/table", {"rows": rows})
    assert_same(ASSESSOR.assessment(request()), ASSESSOR.assessment(request(other)))
