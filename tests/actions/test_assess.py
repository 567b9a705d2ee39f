"""The assessor: requests, batches that mix everything, and answers of exactly the published shape."""

import copy
import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ConfigDict, TypeAdapter, ValidationError

from service.actions.assess import Assessor, PreparedVessel, as_json, prepare_vessel
from service.core.rules.catalogue import CATALOGUE, NAMES
from service.translation import assess_documents
from service.wire.assessment import CAUTION, Assessment, AssessmentSummary
from service.wire.parse import UnreadableJson
from service.wire.refusal import Refusal
from tests.actions.documents import Json, changed, condition, in_us, line_of, on_axes, request, vessel

STRICT = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
FULL = TypeAdapter(list[Assessment], config=STRICT)
SUMMARY = TypeAdapter(list[AssessmentSummary], config=STRICT)
ASSESSOR = Assessor()


def assessed(
    ship: Json | None = None, aboard: Json | None = None, units: str | None = None
) -> dict[str, Any]:
    return ASSESSOR.assessment(request(ship, aboard), units)


# --- the published shape ---------------------------------------------------------------------------------------

GAPS = [
    ("cross_curves", ...),
    ("openings", ...),
    ("openings", []),
    ("wind_profile", ...),
    ("wind_profile", []),
    ("deck_edge", ...),
    ("gm_limits", ...),
    ("gm_limits", []),
    ("load_lines", ...),
    ("draft_marks", []),
    ("particulars", {"length_bp": 100.0, "breadth": 16.0}),
]


def without_marks(aboard: Json) -> Json:
    return changed(aboard, "observed/drafts", ...)


@pytest.mark.parametrize("basis", ["as_filled", "maximum_when_slack", "by_rule"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_an_answer_has_exactly_the_published_shape(basis, units):
    answer = assessed(aboard=changed(condition(), "free_surface/basis", basis), units=units)
    FULL.validate_python([answer])
    FULL.validate_json(b"[" + as_json(ASSESSOR.assessment(request(), units)) + b"]")


@pytest.mark.parametrize(("path", "value"), GAPS)
def test_a_booklet_with_gaps_still_gets_the_published_shape(path, value):
    answer = assessed(changed(vessel(), path, value), without_marks(condition()))
    FULL.validate_python([answer])
    assert answer["verdict"] != "pass" or path in ("openings", "draft_marks")


def bare_vessel() -> Json:
    """Only what the schema requires; one trim, two rows, no tanks, no rule sets."""
    ship = vessel()
    kept = {name: ship[name] for name in ("name", "source", "units", "lightship", "hydrostatics")}
    rows = [row for row in ship["hydrostatics"]["rows"] if row["trim"] == 0.0]
    rows = [{k: v for k, v in row.items() if k not in ("trim", "vcb")} for row in rows]
    particulars = {"length_bp": 100.0, "breadth": 16.0}
    return {
        **kept,
        "particulars": particulars,
        "hydrostatics": {"density": 1.025, "rows": rows},
        "tanks": [],
        "rule_sets": [],
    }


def test_the_barest_booklet_and_condition():
    aboard = {
        "units": "metric",
        "title": "Light",
        "water_density": 1.0,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [],
    }
    answer = assessed(bare_vessel(), aboard)
    FULL.validate_python([answer])
    assert answer["verdict"] == "incomplete"
    assert answer["righting_lever"] is None
    assert (answer["displacement"], answer["deadweight"]) == (3600.0, 0.0)


@pytest.mark.parametrize("arm", [0.0, 2.0])
def test_loll_and_large_list_without_cross_curves_keep_the_shape(arm):
    ship = changed(vessel(), "cross_curves", ...)
    for vcg in (5.0, 20.0):
        aboard = changed(changed(condition(), "weights/0/vcg", vcg), "weights/0/tcg", arm)
        answer = assessed(ship, aboard)
        FULL.validate_python([answer])
        listed = answer["flotation"]["list"]
        if vcg > 10.0:
            assert listed == {"angle": None, "side": "either"}
        elif arm:
            assert listed == {"angle": None, "side": "port"}


@pytest.mark.parametrize(
    ("tcg", "tcb", "side"),
    [(0.0, 0.0, "either"), (0.01, 0.0, "port"), (0.0, 0.01, "starboard"), (0.01, 0.01, "either")],
)
def test_she_lolls_to_either_side_only_where_nothing_leans_her(tcg, tcb, side):
    """What leans her is her weight off the line of her buoyancy, which need not be the centreline."""
    hull = vessel()
    angles = np.radians(hull["cross_curves"]["heels"])
    hull["cross_curves"]["levers"] = [
        [float(v) for v in row["km"] * angles + 4.0 * angles**3] for row in hull["hydrostatics"]["rows"][:4]
    ]
    for row in hull["hydrostatics"]["rows"]:
        row["tcb"] = tcb
    hull["lightship"] |= {"vcg": 10.0, "tcg": tcg}
    cargo = {"name": "Cargo", "category": "cargo", "mass": 4000.0, "lcg": 53.0, "vcg": 5.6, "tcg": tcg}
    aboard = {**condition(), "tanks": [], "weights": [cargo], "observed": None}
    answer = assessed(hull, aboard)
    assert answer["stability"]["gm_corrected"] < 0.0
    assert answer["stability"]["angle_of_loll"] > 1.0
    assert answer["flotation"]["list"]["side"] == side


def test_the_check_of_the_shape_can_fail():
    good = assessed()
    for path in ("verdict", "flotation/list/side", "criteria/0/as_written", "righting_lever/areas/0/end"):
        with pytest.raises(ValidationError):
            FULL.validate_python([changed(good, path, ...)])
    for path in ("extra", "tanks/0/extra", "stability/extra"):
        with pytest.raises(ValidationError):
            FULL.validate_python([changed(good, path, 1.0)])
    with pytest.raises(ValidationError):
        FULL.validate_python([changed(good, "displacement", float("nan"))])
    FULL.validate_python([changed(good, "flotation/trim", None)])
    with pytest.raises(ValidationError):
        FULL.validate_python([changed(good, "flotation/drafts_at_marks", None)])


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_written_as_one(number, monkeypatch):
    """JSON has no NaN (RFC 8259 section 6): were one to slip through, it is null, nothing else changes."""
    answer = {"gm": number, "levers": [0.5, number], "criteria": [{"margin": number, "reason": "NaN"}]}

    def refuse(constant: str) -> None:
        raise AssertionError(constant)

    written = json.loads(as_json(answer), parse_constant=refuse)
    assert written == {"gm": None, "levers": [0.5, None], "criteria": [{"margin": None, "reason": "NaN"}]}
    monkeypatch.setattr(assess_documents, "full_answer", lambda *_: answer)
    (sent,) = ASSESSOR.answer_lines([json.dumps(request()).encode()])
    assert isinstance(sent, bytes)
    assert json.loads(sent, parse_constant=refuse) == written


def test_every_answer_carries_the_caution_and_its_provenance():
    answer = assessed()
    assert answer["caution"] == CAUTION
    provenance = answer["provenance"]
    assert provenance["vessel"]["name"] == "Closed form"
    assert len(provenance["vessel"]["digest"]) == 64
    assert provenance["free_surface_basis"] == "as_filled"
    names = [edition["name"] for edition in provenance["rule_sets"]]
    assert set(names) == {"afloat", *(NAMES[name] for name in vessel()["rule_sets"])}
    assert names == [name for name in CATALOGUE if name in names]


def test_the_digest_does_not_depend_on_the_order_of_members():
    ship = vessel()
    turned = dict(reversed(ship.items()))
    one, other = prepare_vessel(ship).reference, prepare_vessel(turned).reference
    assert one["digest"] == other["digest"]
    assert prepare_vessel(changed(ship, "name", "Other")).reference["digest"] != one["digest"]


def test_tank_lines_add_up_to_the_totals():
    for basis in ("as_filled", "maximum_when_slack", "by_rule"):
        answer = assessed(aboard=changed(condition(), "free_surface/basis", basis))
        lines = answer["tanks"] + answer["assumed_free_surfaces"]
        total = sum(line["free_surface_moment"] for line in lines)
        assert total == pytest.approx(answer["free_surface_moment"], rel=1e-12)
        loss = sum(line["gm_loss"] for line in lines)
        assert loss == pytest.approx(answer["free_surface_correction"], rel=1e-12)
        stability = answer["stability"]
        assert stability["gm_solid"] - loss == pytest.approx(stability["gm_corrected"], rel=1e-12)
        assert sum(row["mass"] for row in answer["weights"]) == pytest.approx(
            answer["displacement"], rel=1e-12
        )
        for axis, name in (("lcg", "longitudinal"), ("vcg", "vertical"), ("tcg", "transverse")):
            moment = sum(row["mass"] * row["centre"][axis] for row in answer["weights"] if row["centre"])
            assert moment == pytest.approx(answer["moments"][name], rel=1e-12, abs=1e-9)


def test_a_criterion_shows_the_margin_of_its_numbers():
    for row in assessed()["criteria"]:
        if row["margin"] is not None:
            sign = 1.0 if row["comparison"] == ">=" else -1.0
            assert row["margin"] == pytest.approx(
                sign * (row["attained"] - row["limit"]), rel=1e-9, abs=1e-12
            )


def test_findings_point_into_the_request():
    aboard = changed(condition(), "tanks/1", {"tank": "BS", "fill": 101.0})
    posted = request(condition_document=aboard)
    for finding in ASSESSOR.assessment(posted)["findings"]:
        place: Any = posted
        for step in finding["path"].split("/")[1:]:
            place = place[int(step)] if isinstance(place, list) else place[step]
    assert "/condition/tanks/1" in {f["path"] for f in ASSESSOR.assessment(posted)["findings"]}


# --- requests --------------------------------------------------------------------------------------------------


def refused(posted: Any, assessor: Assessor = ASSESSOR) -> Refusal:
    with pytest.raises(Refusal) as caught:
        assessor.assessment(posted)
    return caught.value


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("vessel", ..., "", "one_vessel"),
        ("vessel_id", "halvenmoor", "", "one_vessel"),
        ("vessel_revision", 1, "/vessel_revision", "not_here"),
        ("condition", ..., "/condition", "missing"),
        ("condition", None, "/condition", "model_type"),
        ("condition", [], "/condition", "model_type"),
        ("vessel", "halvenmoor", "/vessel", "model_type"),
        ("conditon", {}, "/conditon", "extra_forbidden"),
    ],
)
def test_requests_that_are_not_understood(path, value, pointer, code):
    error = refused(changed(request(), path, value))
    assert error.code == "invalid_request"
    assert {(e["pointer"], e["code"]) for e in error.errors} == {(pointer, code)}


@pytest.mark.parametrize("named", [{"vessel_id": "none"}, {"vessel_id": "none", "vessel_revision": 3}])
def test_an_assessor_without_vessels_knows_none(named):
    error = refused({**named, "condition": condition()})
    assert error.code == "unknown_vessel"


@pytest.mark.parametrize(
    ("named", "pointer"),
    [
        ({"vessel_id": 5}, "/vessel_id"),
        ({"vessel_id": ["a"]}, "/vessel_id"),
        ({"vessel_id": "a", "vessel_revision": "1"}, "/vessel_revision"),
        ({"vessel_id": "a", "vessel_revision": True}, "/vessel_revision"),
        ({"vessel_id": "a", "vessel_revision": 1.0}, "/vessel_revision"),
    ],
)
def test_a_vessel_named_wrongly(named, pointer):
    error = refused({**named, "condition": condition()})
    assert [e["pointer"] for e in error.errors] == [pointer]


def with_one_stored() -> tuple[Assessor, list[tuple[str, int | None]]]:
    """An assessor with one stored vessel, and the list of look-ups made."""
    calls: list[tuple[str, int | None]] = []
    stored = prepare_vessel(vessel(), id="own", revision=4)

    def find(id: str, revision: int | None) -> PreparedVessel:
        calls.append((id, revision))
        if id != "own":
            raise Refusal("unknown_vessel", "none")
        return stored

    return Assessor(find), calls


def test_a_stored_vessel_gives_the_same_answer_as_its_document():
    assessor, _ = with_one_stored()
    named = assessor.assessment({"vessel_id": "own", "condition": condition()})
    inline = assessed()
    stored = {"id": "own", "revision": 4, "proof": {"state": "none", "conditions": 0}}
    assert inline["provenance"]["vessel"]["proof"] is None
    assert named["provenance"]["vessel"] == {**inline["provenance"]["vessel"], **stored}
    named["provenance"] = inline["provenance"]
    assert named == inline


def test_a_caller_who_may_see_other_vessels_only_is_told_no_more_than_that():
    assessor, calls = with_one_stored()
    inside = assessor.within({"own"}).assessment({"vessel_id": "own", "condition": condition()})
    assert inside["title"] == "Departure"
    seen = len(calls)
    for scope in (set(), {"other"}):
        error = refused({"vessel_id": "own", "condition": condition()}, assessor.within(scope))
        missing = refused({"vessel_id": "none", "condition": condition()}, assessor.within(scope))
        assert (error.code, error.detail, error.errors) == (missing.code, missing.detail, missing.errors)
    assert len(calls) == seen, "nothing was looked up for them"


def test_prepared_vessels_are_kept_up_to_a_number():
    assessor = Assessor(keep=2)
    ships = [changed(vessel(), "name", f"Ship {i}") for i in range(3)]
    first = [assessor.prepare(ship) for ship in ships]
    again = [assessor.prepare(copy.deepcopy(ship)) for ship in ships[1:]]
    assert all(a is b for a, b in zip(first[1:], again)), "equal documents are recognised"
    assert assessor.prepare(ships[0]) is not first[0], "the oldest gave way"


def test_the_same_request_gives_the_same_bytes():
    assert as_json(ASSESSOR.assessment(request())) == as_json(Assessor().assessment(request()))
    twice = [line_of(request())] * 2
    first, second = ASSESSOR.answer_lines(twice)
    assert first == second


# --- batches ---------------------------------------------------------------------------------------------------


def parsed(answer: bytes | Exception) -> dict[str, Any]:
    assert isinstance(answer, bytes), answer
    return json.loads(answer)  # type: ignore[no-any-return]


def close(one: Any, other: Any, rel: float = 1e-12) -> None:
    if isinstance(one, dict):
        assert one.keys() == other.keys()
        for name in one:
            close(one[name], other[name], rel)
    elif isinstance(one, list):
        assert len(one) == len(other)
        for a, b in zip(one, other):
            close(a, b, rel)
    elif isinstance(one, float) and isinstance(other, float):
        assert other == pytest.approx(one, rel=rel, abs=1e-12)
    else:
        assert one == other


def mixed() -> list[tuple[bytes, type | None]]:
    """Lines of two vessels, two systems of units, other axes, and everything that can be wrong with one."""
    other = changed(vessel(), "name", "Another")
    fuller = changed(condition(), "tanks/0/fill", 97.0)
    return [
        (line_of(request()), None),
        (b"{", UnreadableJson),
        (line_of(request(other, fuller)), None),
        (line_of(request(in_us(vessel()), in_us(condition()))), None),
        (b'{"condition": NaN}', UnreadableJson),
        (line_of(request(condition_document=changed(condition(), "tanks/0/tank", "NONE"))), Refusal),
        (line_of(request(condition_document=in_us(fuller))), None),
        (b'"text"', UnreadableJson),
        (line_of(request(condition_document=changed(condition(), "weights/0/vcg", 20.0))), None),
        (line_of(request(condition_document=changed(condition(), "weights/0/mass", 90000.0))), None),
        (line_of(request(condition_document=changed(condition(), "tanks/4/sounding", 9.0))), Refusal),
        (line_of(request(condition_document=fuller)), None),
        (b"", UnreadableJson),
        (line_of({"vessel_id": "unknown", "condition": condition()}), Refusal),
        (line_of(request(changed(vessel(), "tanks/0/id", "BS"))), Refusal),
        (
            line_of(
                request(
                    on_axes(vessel(), "midship", "aft", "starboard"),
                    on_axes(fuller, "midship", "aft", "starboard"),
                )
            ),
            None,
        ),
        (b"[" * 100 + b"]" * 100, UnreadableJson),
        (line_of(request(condition_document=changed(condition(), "rule_sets", ["load-lines"]))), None),
        (b'{"condition": 1e400}', UnreadableJson),
        (b'{"a": 1, "a": 2}', UnreadableJson),
        (line_of(request(other)), None),
    ]


def test_a_batch_answers_every_line_in_order_and_a_bad_one_stops_nothing():
    lines = mixed()
    answers = ASSESSOR.answer_lines([line for line, _ in lines])
    assert len(answers) == len(lines)
    for (line, wrong), answer in zip(lines, answers):
        if wrong is not None:
            assert isinstance(answer, wrong), line[:80]
        else:
            FULL.validate_json(b"[" + answer + b"]")  # type: ignore[operator]
            close(ASSESSOR.assessment(json.loads(line)), parsed(answer))


def test_refusals_in_a_batch_are_those_of_single_requests():
    lines = mixed()
    answers = ASSESSOR.answer_lines([line for line, _ in lines])
    for (line, wrong), answer in zip(lines, answers):
        if wrong is Refusal:
            single = refused(json.loads(line))
            assert isinstance(answer, Refusal)
            assert (answer.code, answer.detail, answer.errors) == (single.code, single.detail, single.errors)


def test_summaries_agree_with_full_answers():
    good = [line for line, wrong in mixed() if wrong is None]
    for full, summary in zip(
        map(parsed, ASSESSOR.answer_lines(good)), map(parsed, ASSESSOR.answer_lines(good, "summary"))
    ):
        SUMMARY.validate_python([summary])
        for name in (
            "title",
            "verdict",
            "smallest_margin",
            "displacement",
            "free_surface_correction",
            "caution",
        ):
            close(full[name], summary[name])
        assert summary["units"] == full["units"]["system"]
        close(full["stability"]["gm_corrected"], summary["gm_corrected"])
        close(full["flotation"]["list"]["angle"], summary["list"])
        for name in ("draft_forward", "draft_midship", "draft_aft", "trim"):
            close(full["flotation"][name], summary[name])
        failed = [row["id"] for row in full["criteria"] if row["verdict"] == "fail"]
        assert summary["failed"] == failed
        assert summary["findings"] == len(full["findings"])


def test_a_batch_in_units_asked_for():
    for answer in ASSESSOR.answer_lines([line for line, wrong in mixed() if wrong is None], units="us"):
        assert parsed(answer)["units"]["system"] == "us"


def test_a_stored_vessel_is_looked_up_once_a_batch():
    assessor, calls = with_one_stored()
    line = line_of({"vessel_id": "own", "condition": condition()})
    answers = assessor.answer_lines([line] * 5)
    assert all(isinstance(answer, bytes) for answer in answers)
    assert calls == [("own", None)]


def test_an_empty_batch():
    assert ASSESSOR.answer_lines([]) == []


# --- whatever is posted ----------------------------------------------------------------------------------------

JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(2**53), 2**53), st.floats(), st.text(max_size=5)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=5,
)


def places(document: Any, path: str = "") -> list[str]:
    if isinstance(document, dict):
        return [
            p for name, value in document.items() for p in [f"{path}{name}", *places(value, f"{path}{name}/")]
        ]
    if isinstance(document, list):
        return [p for i, value in enumerate(document) for p in [f"{path}{i}", *places(value, f"{path}{i}/")]]
    return []


VESSEL_PLACES, CONDITION_PLACES = places(vessel()), places(condition())


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(VESSEL_PLACES), st.one_of(st.just(...), JSON))
def test_any_member_of_a_vessel_replaced_is_answered_or_refused(path, value):
    answered_or_refused(request(changed(vessel(), path, value)))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(CONDITION_PLACES), st.one_of(st.just(...), JSON))
def test_any_member_of_a_condition_replaced_is_answered_or_refused(path, value):
    answered_or_refused(request(condition_document=changed(condition(), path, value)))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.sampled_from([p for p in VESSEL_PLACES if p.split("/")[-1] not in ("units", "name")]),
    st.floats(-3.0, 3.0),
)
def test_any_number_of_a_vessel_scaled_is_answered_or_refused(path, factor):
    place: Any = vessel()
    for step in path.split("/"):
        place = place[int(step)] if isinstance(place, list) else place[step]
    if isinstance(place, float):
        answered_or_refused(request(changed(vessel(), path, place * factor)))


def answered_or_refused(posted: Json) -> None:
    try:
        answer = ASSESSOR.assessment(posted)
    except Refusal as refusal:
        pointers = [entry["pointer"] for entry in refusal.errors]
    else:
        FULL.validate_python([answer])
        return
    assert pointers
    assert all(pointer == "" or pointer.startswith("/") for pointer in pointers)
