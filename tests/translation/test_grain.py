"""Holds and grain lines: what contradicts itself or the booklet, by place; units; the rule set that goes with grain.

Factors: 1 ft = 0.3048 m, 1 long ton = 1.0160469088 t, exact.
"""

from typing import Any

import pytest

from service.actions.assess import Assessor, as_json
from service.actions.compare_conditions import _rest
from service.actions.comparison.documents import document_changes
from service.translation.units import METRIC
from service.wire.refusal import Refusal
from tests.actions.documents import Json, changed, condition, in_us, line_of, request, vessel

ASSESSOR = Assessor()
HEEL, AREA, GM = (
    "grain-code-a-7.1.1-heel",
    "grain-code-a-7.1.2-residual-area",
    "grain-code-a-7.1.3-initial-gm",
)


def grain_ship() -> Json:
    """The ship of the other tests with one hold that has every grain datum and one that has none."""
    holds = [
        {
            "id": "H1",
            "name": "Hold 1",
            "capacity": 2500.0,
            "lcg": 60.0,
            "vcg": 5.0,
            "grain": {
                "filled_trimmed": 400.0,
                "filled_untrimmed": 900.0,
                "partly_filled": [
                    {"volume": 500.0, "heeling_moment": 900.0, "vcg": 2.4},
                    {"volume": 1500.0, "heeling_moment": 1400.0, "vcg": 3.5},
                    {"volume": 2300.0, "heeling_moment": 1000.0},
                ],
            },
        },
        {"id": "H2", "name": "Hold 2", "capacity": 2000.0, "lcg": 40.0, "vcg": 5.0},
    ]
    return {**vessel(), "holds": holds}


def grain_condition() -> Json:
    lines = [
        {"hold": "H1", "filling": "partly_filled", "volume": 1000.0, "stowage_factor": 1.3},
        {
            "hold": "H2",
            "filling": "filled_trimmed",
            "stowage_factor": 1.4,
            "heeling_moment": 500.0,
            "vcg_basis": "hold",
        },
    ]
    return {**condition(), "grain": lines}


def answer(document: Json | None = None, ship: Json | None = None, units: str | None = None) -> Json:
    return ASSESSOR.assessment(request(ship or grain_ship(), document or grain_condition()), units)


def pointers(document: Json, ship: Json | None = None) -> tuple[str, dict[str, str]]:
    with pytest.raises(Refusal) as caught:
        answer(document, ship)
    return caught.value.code, {error["pointer"]: error["code"] for error in caught.value.errors}


def criteria(found: Json) -> dict[str, Json]:
    return {row["id"]: row for row in found["criteria"]}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("grain/0/hold", "H9", "/grain/0/hold", "unknown_hold"),
        ("grain/1/hold", "H1", "/grain/1/hold", "duplicate"),
        ("grain/0/volume", ..., "/grain/0/volume", "missing"),
        ("grain/0/volume", None, "/grain/0/volume", "missing"),
        ("grain/0/volume", 499.0, "/grain/0/volume", "outside_table"),
        ("grain/0/volume", 2301.0, "/grain/0/volume", "outside_table"),
        ("grain/1/volume", 2000.0, "/grain/1/volume", "contradiction"),
        (
            "grain/1",
            {"hold": "H2", "filling": "partly_filled", "volume": 2001.0, "stowage_factor": 1.4},
            "/grain/1/volume",
            "outside_table",
        ),
    ],
)
def test_grain_that_does_not_fit_the_holds_is_refused_by_place(path, value, pointer, code):
    found = pointers(changed(grain_condition(), path, value))
    assert found == ("invalid_condition", {"/condition" + pointer: code})


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("grain/0/filling", "full", "/grain/0/filling", "literal_error"),
        ("grain/0/filling", ..., "/grain/0/filling", "missing"),
        ("grain/0/stowage_factor", ..., "/grain/0/stowage_factor", "missing"),
        ("grain/0/stowage_factor", 0.0, "/grain/0/stowage_factor", "greater_than_equal"),
        ("grain/0/vcg_basis", "keel", "/grain/0/vcg_basis", "literal_error"),
        ("grain/1/heeling_moment", -1.0, "/grain/1/heeling_moment", "greater_than_equal"),
        ("grain/1/mass", 900.0, "/grain/1/mass", "extra_forbidden"),
    ],
)
def test_grain_that_breaks_the_schema_is_refused_by_place(path, value, pointer, code):
    kind, found = pointers(changed(grain_condition(), path, value))
    assert kind == "invalid_request"
    assert found == {"/condition" + pointer: code}


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("holds/1/id", "H1", "/holds/1/id", "duplicate"),
        (
            "holds/0/grain/partly_filled/1/volume",
            500.0,
            "/holds/0/grain/partly_filled/1/volume",
            "not_increasing",
        ),
        (
            "holds/0/grain/partly_filled/2/volume",
            2501.0,
            "/holds/0/grain/partly_filled/2/volume",
            "contradiction",
        ),
    ],
)
def test_holds_that_contradict_themselves_are_refused_by_place(path, value, pointer, code):
    found = pointers(condition(), changed(grain_ship(), path, value))
    assert found == ("invalid_vessel", {"/vessel" + pointer: code})


def test_ranges_are_told_in_the_units_of_the_condition():
    document = in_us(changed(grain_condition(), "grain/0/volume", 2400.0))
    with pytest.raises(Refusal) as caught:
        answer(document)
    told = caught.value.errors[0]["detail"]
    assert f"{500.0 / 0.3048**3:.6g} to {2300.0 / 0.3048**3:.6g} (cubic foot)" in told


# --- the rule set that goes with grain -------------------------------------------------------------------------


@pytest.mark.parametrize("named", [None, [], ["load-lines"], ["grain-code"], ["grain-code", "load-lines"]])
def test_grain_aboard_is_judged_whether_its_rule_set_is_named_or_not(named):
    found = answer({**grain_condition(), "rule_sets": named})
    assert [row["id"] for row in found["criteria"] if row["rule_set"] == "grain-code"] == [HEEL, AREA, GM]
    assert "grain-code" in [row["name"] for row in found["provenance"]["rule_sets"]]
    assert {row["verdict"] for row in found["criteria"] if row["rule_set"] == "grain-code"} == {"pass"}


def test_grain_that_cannot_be_judged_is_no_pass():
    """Hold 2 has no heeling moment of its own: whatever else passes, the whole is incomplete."""
    document = changed(grain_condition(), "grain/1/heeling_moment", None)
    found = answer({**document, "rule_sets": ["load-lines"]})
    assert found["verdict"] == "incomplete"
    assert criteria(found)["load-lines-draft"]["verdict"] == "pass"
    assert criteria(found)[HEEL]["verdict"] == "not_computable"
    assert "hold H2" in criteria(found)[HEEL]["reason"]


@pytest.mark.parametrize("lines", [None, [], ...])
def test_the_rule_set_without_grain_does_not_apply(lines):
    document = changed({**grain_condition(), "rule_sets": ["grain-code"]}, "grain", lines)
    found = answer(document)
    grain = [row for row in found["criteria"] if row["rule_set"] == "grain-code"]
    assert {(row["verdict"], row["because"]) for row in grain} == {("not_applicable", "condition")}
    assert {row["reason"] for row in grain} == {"no grain aboard: the condition has no grain lines"}
    assert found["verdict"] == "pass"


def test_grain_does_not_join_in_without_lines():
    assert "grain-code" not in {row["rule_set"] for row in answer(condition())["criteria"]}


# --- units, batches, order -------------------------------------------------------------------------------------


def figures(found: Json) -> dict[str, Any]:
    """Every number of the grain criteria, as its document writes it."""
    rows = [row for row in found["criteria"] if row["rule_set"] == "grain-code"]
    numbers = {f"{r['id']} {name}": r["as_written"][name] for r in rows for name in ("attained", "margin")}
    shown = {f"{r['id']} {d['name']}": d["value"] for r in rows for d in r["details"]}
    return numbers | {name: value for name, value in shown.items() if isinstance(value, float)}


@pytest.mark.parametrize(
    ("document", "ship"),
    [
        (in_us(grain_condition()), grain_ship()),
        (grain_condition(), in_us(grain_ship())),
        (in_us(grain_condition()), in_us(grain_ship())),
    ],
)
def test_metric_and_us_documents_agree(document, ship):
    metric, other = figures(answer()), figures(answer(document, ship))
    assert len(metric) > 15
    assert other == {name: pytest.approx(value, rel=1e-9, abs=1e-12) for name, value in metric.items()}


def test_the_answer_in_us_units():
    metric, us = criteria(answer(units="metric")), criteria(answer(units="us"))
    assert us[HEEL]["attained"] == metric[HEEL]["attained"]
    assert us[AREA]["unit"] == "ft·rad"
    assert us[AREA]["attained"] == pytest.approx(metric[AREA]["attained"] / 0.3048, rel=1e-12)
    assert us[AREA]["limit"] == pytest.approx(0.075 / 0.3048, rel=1e-12)


def test_single_requests_and_a_batch_give_the_same_bytes():
    documents = [grain_condition(), condition(), changed(grain_condition(), "grain/0/volume", 700.0)]
    lines = [line_of(request(grain_ship(), document)) for document in documents]
    assert ASSESSOR.answer_lines(lines) == [
        as_json(ASSESSOR.assessment(request(grain_ship(), document))) for document in documents
    ]


def test_the_order_of_the_lines_does_not_matter():
    document = grain_condition()
    turned = {**document, "grain": document["grain"][::-1]}
    assert figures(answer(turned)) == pytest.approx(figures(answer(document)), rel=1e-12)


def test_changes_of_grain_are_told_by_hold_and_in_the_units_of_the_reader():
    before = grain_condition()
    after = in_us(changed(before, "grain/0/volume", 1100.0))
    (change,) = [
        c
        for c in document_changes(_rest(before, METRIC), _rest(after, METRIC))
        if c["path"][0] == "grain" and differs(c)
    ]
    assert change["path"] == ["grain", "H1", "volume"]
    assert change["after"] == pytest.approx(1100.0, rel=1e-12)


def differs(change: Any) -> bool:
    """More than the rounding of another system of units."""
    return abs(change["after"] - change["before"]) > 1e-9 * abs(change["before"])


def test_lightship_segments_are_kept_and_change_nothing():
    segments = [
        {"x_from": 0.0, "x_to": 40.0, "mass": 1600.0},
        {"x_from": 40.0, "x_to": 100.0, "mass_from": 40.0, "mass_to": 26.0},
    ]
    ship = changed(grain_ship(), "lightship/segments", segments)
    with_segments, without = answer(ship=ship), answer()
    for found in (with_segments, without):
        found["provenance"].pop("vessel")
    assert with_segments == without
    assert pointers(condition(), changed(ship, "lightship/segments/0/mass", -1.0)) == (
        "invalid_request",
        {"/vessel/lightship/segments/0/mass": "greater_than_equal"},
    )
