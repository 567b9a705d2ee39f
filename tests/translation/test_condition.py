"""Condition documents: everything under "bad input" has a refusal that names its place; ranges in the document's own
units."""

import pytest

from service.actions.assess import Assessor
from service.core.rules.catalogue import NAMES
from service.wire.refusal import Refusal
from tests.actions.documents import FOOT, LONG_TON, Json, changed, condition, in_us, request, vessel

ASSESSOR = Assessor()


def refusal(document: Json, ship: Json | None = None) -> Refusal:
    with pytest.raises(Refusal) as caught:
        ASSESSOR.assessment(request(ship, document))
    return caught.value


def pointers(refused: Refusal) -> dict[str, str]:
    return {error["pointer"]: error["code"] for error in refused.errors}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("tanks/0/tank", "NONE", "/tanks/0/tank", "unknown_tank"),
        ("tanks/1/tank", "BP", "/tanks/1/tank", "duplicate"),
        ("tanks/0/mass", 10.0, "/tanks/0", "one_quantity"),
        ("tanks/0/fill", ..., "/tanks/0", "one_quantity"),
        ("tanks/0/fill", None, "/tanks/0", "one_quantity"),
        ("weights/0/mass", -1.0, "/weights/0/mass", "sign"),
        ("weights/2/mass", 3.5, "/weights/2/mass", "sign"),
        ("rule_sets", ["is-code-2008-a-2.2", "none"], "/rule_sets/1", "unknown_rule_set"),
        ("observed/drafts", {"midship": 5.0}, "/observed/drafts/midship", "unknown_mark"),
    ],
)
def test_what_does_not_fit_the_vessel_is_refused_by_place(path, value, pointer, code):
    refused = refusal(changed(condition(), path, value))
    assert refused.code == "invalid_condition"
    assert pointers(refused) == {"/condition" + pointer: code}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("units", ..., "/units", "missing"),
        ("units", "us-customary", "/units", "literal_error"),
        ("water_density", ..., "/water_density", "missing"),
        ("water_density", 0.49, "/water_density", "greater_than_equal"),
        ("water_density", 2.01, "/water_density", "less_than_equal"),
        ("water_density", "1.025", "/water_density", "float_type"),
        ("water_density", True, "/water_density", "float_type"),
        ("water_density", float("nan"), "/water_density", "finite_number"),
        ("water_density", float("-inf"), "/water_density", "finite_number"),
        ("tanks/0/fill", -1.0, "/tanks/0/fill", "greater_than_equal"),
        ("tanks/0/fill", 1001.0, "/tanks/0/fill", "less_than_equal"),
        ("tanks/0/fill", "40", "/tanks/0/fill", "float_type"),
        ("tanks/2/mass", -5.0, "/tanks/2/mass", "greater_than_equal"),
        ("tanks/2/mass", 1e308, "/tanks/2/mass", "less_than_equal"),
        ("tanks/2/density", 0.2, "/tanks/2/density", "greater_than_equal"),
        ("tanks/2/contents", "rum", "/tanks/2/contents", "literal_error"),
        ("tanks/2/colour", "red", "/tanks/2/colour", "extra_forbidden"),
        ("tanks/2/tank", ..., "/tanks/2/tank", "missing"),
        ("tanks", {}, "/tanks", "list_type"),
        ("weights/0/lcg", None, "/weights/0/lcg", "float_type"),
        ("weights/0/category", "gold", "/weights/0/category", "literal_error"),
        ("weights/0/mass", float("nan"), "/weights/0/mass", "finite_number"),
        ("weights/0/name", "bad\u0000name", "/weights/0/name", "string_pattern_mismatch"),
        ("free_surface/basis", "none", "/free_surface/basis", "literal_error"),
        ("free_surface", ..., "/free_surface", "missing"),
        ("load_line_mark", "X", "/load_line_mark", "literal_error"),
        ("observed/roll_period", 0.0, "/observed/roll_period", "greater_than"),
        ("voyage/phase", "asleep", "/voyage/phase", "literal_error"),
        ("extra", 1, "/extra", "extra_forbidden"),
    ],
)
def test_what_breaks_the_schema_is_refused_by_place(path, value, pointer, code):
    refused = refusal(changed(condition(), path, value))
    assert refused.code == "invalid_request"
    assert pointers(refused).get("/condition" + pointer) == code


def test_too_many_lines_are_refused():
    lines = [{"tank": f"T{i}", "fill": 1.0} for i in range(501)]
    assert pointers(refusal(changed(condition(), "tanks", lines))) == {"/condition/tanks": "too_long"}


def test_every_place_is_told_at_once():
    document = changed(changed(condition(), "tanks/0/tank", "NONE"), "weights/0/mass", -1.0)
    assert set(pointers(refusal(document)).values()) == {"unknown_tank", "sign"}


# --- off the tables --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "value", "line", "words"),
    [
        ("tanks/4/sounding", 5.01, 4, ("tank MOM", "sounding", "5.01", "0 to 5", "metre")),
        ("tanks/3/ullage", 5.5, 3, ("tank FS", "ullage", "5.5", "0 to 5", "metre")),
        ("tanks/1/volume", 331.0, 1, ("tank BS", "volume", "331", "0 to 330", "cubic metre")),
        ("tanks/0/fill", 111.0, 0, ("tank BP", "volume", "333", "0 to 330", "cubic metre")),
    ],
)
def test_a_quantity_off_its_table_names_tank_quantity_value_and_range(path, value, line, words):
    refused = refusal(changed(condition(), path, value))
    assert refused.code == "outside_table"
    assert pointers(refused) == {f"/condition/tanks/{line}": "outside_table"}
    for word in words:
        assert word in refused.detail


def test_a_level_in_a_tank_without_a_table():
    refused = refusal(changed(condition(), "tanks/7", {"tank": "REC", "sounding": 1.0}))
    assert pointers(refused) == {"/condition/tanks/7": "not_computable"}
    assert "gives no soundings" in refused.detail


@pytest.mark.parametrize("units", ["metric", "us"])
def test_ranges_are_told_in_the_units_of_the_condition(units):
    document = changed(condition(), "tanks/4/sounding", 6.0)
    refused = refusal(in_us(document) if units == "us" else document)
    shown = (
        f"{6.0 / FOOT:.6g} is outside 0 to {5.0 / FOOT:.6g} (foot)"
        if units == "us"
        else "6 is outside 0 to 5 (metre)"
    )
    assert shown in refused.detail


@pytest.mark.parametrize(
    ("mass", "value", "table"),
    [(30000.0, 34065.9, (3000.0, 12000.0)), (0.0, None, None)],
)
def test_displacement_off_the_hydrostatic_table(mass, value, table):
    document = changed(condition(), "weights/0/mass", mass)
    answer = ASSESSOR.assessment(request(condition_document=document))
    if table is None:
        assert answer["not_computed"] == []
        return
    assert (answer["verdict"], answer["righting_lever"]) == ("incomplete", None)
    assert (answer["stability"]["gm_corrected"], answer["flotation"]["trim"]) == (None, None)
    assert answer["displacement"] > mass
    reasons = {gap["figure"]: gap["reason"] for gap in answer["not_computed"]}
    assert set(reasons) == {"flotation", "stability", "righting_lever", "list"}
    assert f"{table[0]:g} to {table[1]:g} (tonne)" in reasons["flotation"]
    in_tons = ASSESSOR.assessment(request(condition_document=in_us(document)))["not_computed"][0]["reason"]
    assert f"{table[0] / LONG_TON:.6g} to {table[1] / LONG_TON:.6g} (long ton)" in in_tons


def test_trim_off_the_tables():
    """Drafts and list are unknown; GM stands on KM at even keel, and the answer says so."""
    answer = ASSESSOR.assessment(request(condition_document=changed(condition(), "weights/0/lcg", 10.0)))
    reasons = {gap["figure"]: gap["reason"] for gap in answer["not_computed"]}
    assert set(reasons) == {"flotation", "righting_lever", "list"}
    assert "trim" in reasons["flotation"]
    assert "-3 to 3 (metre)" in reasons["flotation"]
    assert (answer["verdict"], answer["flotation"]["draft_aft"]) == ("incomplete", None)
    assert answer["stability"]["gm_corrected"] > 0.0
    assert "even keel" in answer["flotation"]["method"]


def test_a_capsizing_ship_fails_and_what_is_known_is_told():
    answer = ASSESSOR.assessment(request(condition_document=changed(condition(), "weights/0/vcg", 20.0)))
    assert answer["verdict"] == "fail"
    assert [gap["figure"] for gap in answer["not_computed"]] == ["list"]
    assert "capsize" in answer["not_computed"][0]["reason"]
    verdicts = {row["id"]: row["verdict"] for row in answer["criteria"]}
    assert (verdicts["afloat-equilibrium"], verdicts["afloat-gm"]) == ("fail", "fail")
    assert answer["stability"]["gm_corrected"] < 0.0
    assert answer["flotation"]["draft_aft"] > 0.0


def test_everything_removed():
    document = changed(condition(), "weights/2/mass", -9000.0)
    refused = refusal(document)
    assert refused.code == "not_computable"
    assert "masses removed" in refused.detail


# --- what the document leaves open -----------------------------------------------------------------------------


def test_defaults_of_contents_and_density_are_shown():
    answer = ASSESSOR.assessment(request())
    tanks = {tank["tank"]: tank for tank in answer["tanks"]}
    assert (tanks["BP"]["contents"], tanks["BP"]["density"]) == ("ballast", 1.025)
    assert (tanks["FP"]["contents"], tanks["FP"]["density"]) == ("fuel_oil", 0.95)
    assert (tanks["REC"]["contents"], tanks["REC"]["density"]) == ("fresh_water", 1.0)
    ship = changed(vessel(), "tanks/7/density", 1.005)
    assert ASSESSOR.assessment(request(ship))["tanks"][7]["density"] == 1.005
    own = changed(condition(), "tanks/7/density", 0.999)
    assert ASSESSOR.assessment(request(ship, own))["tanks"][7]["density"] == 0.999


def test_the_conditions_rule_sets_are_added_to_the_vessels():
    def sets(ship: Json, names: list[str]) -> set[str]:
        document = changed(condition(), "rule_sets", names)
        answer = ASSESSOR.assessment(request(ship, document))
        judged = {criterion["rule_set"] for criterion in answer["criteria"]}
        assert judged == {edition["name"] for edition in answer["provenance"]["rule_sets"]}
        return judged

    own = {"afloat", "load-lines", *(NAMES[name] for name in vessel()["rule_sets"])}
    assert sets(vessel(), []) == sets(vessel(), ["load-lines"]) == own
    few = changed(vessel(), "rule_sets", ["vessel-gm-limits"])
    assert sets(few, ["is-code-2008-a-2.2"]) == {
        "afloat",
        "load-lines",
        "vessel-gm-limits",
        "is-code-2008-a-2.2",
    }


def test_wind_additions_count_in_the_weather_criterion():
    def area(document: Json) -> float:
        rows = ASSESSOR.assessment(request(condition_document=document))["criteria"]
        weather = next(row for row in rows if row["id"] == "is-code-2008-a-2.3.1-areas")
        return next(d["value"] for d in weather["details"] if d["name"] == "projected lateral area A")

    with_them, without = area(condition()), area(changed(condition(), "wind_additions", ...))
    assert with_them == pytest.approx(without + 60.0, rel=1e-12)


def test_a_removed_weight_is_taken_off():
    without = changed(condition(), "weights/2", ...)
    a, b = ASSESSOR.assessment(request()), ASSESSOR.assessment(request(condition_document=without))
    assert a["displacement"] == pytest.approx(b["displacement"] - 3.5, rel=1e-12)


def test_a_removal_of_nothing_is_allowed():
    ASSESSOR.assessment(request(condition_document=changed(condition(), "weights/2/mass", 0.0)))
