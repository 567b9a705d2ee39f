"""Greatest VCG and least GM: fed back as conditions, typed back as the ship's own curve, refused with the place."""

import copy
import json
from typing import Any

import pytest
from pydantic import ConfigDict, TypeAdapter

from service.actions.assess import Assessor
from service.translation.vcg_limits import vcg_limits
from service.wire.refusal import Refusal
from service.wire.vcg_limit import VcgLimits
from tests.actions.documents import LENGTH_BP, Json, in_us, vessel

SHAPE = TypeAdapter(list[VcgLimits], config=ConfigDict(extra="forbid", strict=True, allow_inf_nan=False))
ASSESSOR = Assessor()
SETS = ["is-code-2008-a-2.2", "is-code-2008-a-2.3", "46-cfr-170.170", "46-cfr-170.173", "vessel-gm-limits"]


def asked(ship: Json | None = None, **more: Any) -> Json:
    body = {"vessel": ship or vessel(), "units": "metric", "drafts": [6.0], "water_density": 1.025, **more}
    answer: Json = json.loads(ASSESSOR.answer_about_vessel(json.dumps(body).encode(), vcg_limits))
    return answer


def aboard(row: Json, vcg: float, sets: list[str]) -> Json:
    """A condition of that displacement and VCG, its centre where the tables balance the trim: LCG = LCB + trim / LBP
    (VCG - VCB), with the closed forms of the vessel's tables."""
    draft, trim, mass = row["displacement"] / 1500.0, row["trim"], row["displacement"]
    lcg = 51.0 - 0.1 * draft - 1.5 * trim + trim / LENGTH_BP * (vcg - 0.5 * draft)
    own = vessel()["lightship"]
    cargo = mass - own["mass"]
    weight = {
        "name": "All else",
        "category": "cargo",
        "mass": cargo,
        "lcg": (mass * lcg - own["mass"] * own["lcg"]) / cargo,
        "vcg": (mass * vcg - own["mass"] * own["vcg"]) / cargo,
    }
    return {
        "units": "metric",
        "title": "Fed back",
        "water_density": 1.025,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [weight],
        "rule_sets": sets,
    }


def judged(ship: Json, row: Json, vcg: float, sets: list[str]) -> dict[str, Json]:
    answer = ASSESSOR.assessment({"vessel": ship, "condition": aboard(row, vcg, sets)})
    return {criterion["id"]: criterion for criterion in answer["criteria"]}


@pytest.mark.parametrize("sets", [[name] for name in SETS] + [["is-code-2008-a-2.2", "46-cfr-170.173"]])
@pytest.mark.parametrize(("draft", "trim"), [(4.0, 0.0), (5.3, 0.7), (7.5, -1.5)])
def test_fed_back_the_governing_margin_is_nothing(sets: list[str], draft: float, trim: float) -> None:
    ship = {**vessel(), "rule_sets": []}
    (row,) = asked(ship, drafts=[draft], trims=[trim], rule_sets=sets)["rows"]
    if row["max_vcg"] is None:
        # no VCG will do: a criterion never holds, or only above where another has ceased to
        never = any(c["status"] == "fails_throughout" for c in row["criteria"])
        least = min(c["max_vcg"] for c in row["criteria"] if c["max_vcg"] is not None)
        assert never or max(c["lowest_vcg"] for c in row["criteria"]) > least
        return
    at = judged(ship, row, row["max_vcg"], sets)
    governing = at[row["governing"]]
    if governing["verdict"] == "pass" and governing["margin"] > 1e-6:
        # not its margin decides, but the end of the range of its tables (A 2.3.5)
        above = judged(ship, row, row["max_vcg"] + 1e-6, sets)[row["governing"]]
        assert above["verdict"] == "outside_validity"
    else:
        assert governing["margin"] == pytest.approx(0.0, abs=1e-6)
    ids = [criterion["id"] for criterion in row["criteria"]]
    lower = judged(ship, row, row["max_vcg"] - 0.001, sets)
    assert {lower[id]["verdict"] for id in ids} <= {"pass", "not_applicable"}
    higher = judged(ship, row, row["max_vcg"] + 0.001, sets)
    assert higher[row["governing"]]["verdict"] not in ("pass", "not_applicable")


def test_typed_back_as_her_own_curve_the_verdicts_are_the_same() -> None:
    sets, drafts = ["is-code-2008-a-2.2"], [4.0, 5.0, 6.0, 7.0]
    ship = {**vessel(), "rule_sets": []}
    rows = asked(ship, drafts=drafts, rule_sets=sets)["rows"]
    for basis, figure in (("max_vcg", "max_vcg"), ("min_gm", "min_gm")):
        curve = [{"draft": row["draft"], "value": row[figure]} for row in rows]
        own = {**ship, "gm_limits": [{"name": "Made", "basis": basis, "rows": curve}]}
        for row in rows:
            for step, verdict in ((-0.001, "pass"), (0.001, "fail")):
                found = judged(own, row, row["max_vcg"] + step, [*sets, "vessel-gm-limits"])
                (made,) = (c for id, c in found.items() if id.endswith("-made"))
                assert made["verdict"] == verdict
                assert {found[c["id"]]["verdict"] == "pass" for c in row["criteria"]} >= {verdict == "pass"}


def test_the_answer_has_exactly_the_published_shape() -> None:
    for ship in (vessel(), {k: v for k, v in vessel().items() if k != "cross_curves"}):
        SHAPE.validate_python([asked(ship, drafts=[4.0, 6.0], trims=[-1.0, 0.0])])


def test_what_cannot_be_judged_leaves_no_greatest_vcg() -> None:
    ship = {k: v for k, v in vessel().items() if k != "cross_curves"}
    answer = asked(ship, rule_sets=["is-code-2008-a-2.2"])
    (row,), (envelope,) = answer["rows"], answer["envelope"]
    assert (row["max_vcg"], row["governing"], envelope["max_vcg"]) == (None, None, None)
    statuses = {c["id"]: (c["status"], bool(c["reason"])) for c in row["criteria"]}
    assert statuses["is-code-2008-a-2.2.1-area-to-30"] == ("not_computable", True)
    assert statuses["is-code-2008-a-2.2.4-initial-gm"] == ("found", False)


def test_the_envelope_is_the_least_over_the_trims() -> None:
    answer = asked(drafts=[5.0, 6.0], trims=[-1.0, 0.0, 1.0], rule_sets=["is-code-2008-a-2.2"])
    assert [(row["draft"], row["trim"]) for row in answer["rows"]] == [
        (draft, trim) for draft in (5.0, 6.0) for trim in (-1.0, 0.0, 1.0)
    ]
    for envelope in answer["envelope"]:
        least = min(
            (row for row in answer["rows"] if row["draft"] == envelope["draft"]),
            key=lambda row: row["max_vcg"],
        )
        assert (envelope["max_vcg"], envelope["trim"]) == (least["max_vcg"], least["trim"])


def test_feet_give_the_same_limits() -> None:
    foot = 0.3048
    metric = asked(rule_sets=["is-code-2008-a-2.2"])["rows"][0]
    us = asked(in_us(vessel()), units="us", drafts=[6.0 / foot], rule_sets=["is-code-2008-a-2.2"])["rows"][0]
    assert us["max_vcg"] * foot == pytest.approx(metric["max_vcg"], rel=1e-9)
    assert us["min_gm"] * foot == pytest.approx(metric["min_gm"], rel=1e-8)
    assert us["displacement"] * 1.0160469088 == pytest.approx(metric["displacement"], rel=1e-9)


def test_a_range_that_begins_above_nothing_gives_its_lowest_vcg() -> None:
    """The weather criterion of this ship fails at a small VCG: KG/d - 1 below -0.3 is outside its tables (A 2.3.5)."""
    (row,) = asked(rule_sets=["is-code-2008-a-2.3"])["rows"]
    (areas,) = (c for c in row["criteria"] if c["id"].endswith("areas"))
    assert areas["lowest_vcg"] == pytest.approx(0.7 * 6.0, abs=1e-6)
    assert areas["max_vcg"] > areas["lowest_vcg"]


REFUSED = [
    ({"drafts": [6.0, 9.0]}, "outside_table", "/drafts/1", "2 to 8"),
    ({"trims": [0.0, 3.5]}, "outside_table", "/trims/1", "-3 to 3"),
    ({"rule_sets": ["nothing"]}, "unknown_rule_set", "/rule_sets/0", ""),
    ({"rule_sets": ["load-lines"]}, "not_here", "/rule_sets/0", ""),
    ({"drafts": []}, "too_short", "/drafts", ""),
    ({"drafts": [5.0] * 61}, "too_long", "/drafts", "60"),
    ({"trims": [0.1] * 11}, "too_long", "/trims", "10"),
    ({"condition": {}}, "extra_forbidden", "/condition", ""),
]


@pytest.mark.parametrize(("more", "code", "pointer", "words"), REFUSED)
def test_what_is_refused(more: Json, code: str, pointer: str, words: str) -> None:
    with pytest.raises(Refusal) as refused:
        asked(**copy.deepcopy(more))
    (found,) = refused.value.errors
    assert (found["code"], found["pointer"]) == (code, pointer)
    assert words in found["detail"]


def test_a_vessel_that_lists_no_such_rule_set() -> None:
    with pytest.raises(Refusal, match="No rule set"):
        asked({**vessel(), "rule_sets": ["load-lines"]})
