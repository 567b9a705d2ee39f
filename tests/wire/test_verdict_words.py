"""Verdicts and margins in words: one place for pages, reports and the command line."""

from typing import Any

import pytest

from service.wire import verdict_words as said


@pytest.mark.parametrize(
    ("verdict", "dangers", "words"),
    [
        ("pass", 0, "Passes"),
        ("pass", 1, "Passes, 1 danger"),
        ("fail", 3, "Fails, 3 dangers"),
        ("incomplete", 2, "Incomplete, 2 dangers"),
        ("pass", None, "Passes, dangers not counted"),
    ],
)
def test_dangers_stand_beside_the_word(verdict: str, dangers: int | None, words: str) -> None:
    assert said.verdict_words(verdict, dangers) == words


def margin(value: float | None, unit: str, gm: float | None) -> Any:
    return {"criterion": "x", "margin": value, "unit": unit, "gm_equivalent": gm, "side": None}


@pytest.mark.parametrize(
    ("given", "system", "words"),
    [
        (None, "metric", ""),
        (margin(0.0702, "m", 0.0702), "metric", "0.070 m"),
        (margin(0.0315, "m·rad", 0.15541), "metric", "0.032 m·rad (0.155 m of GM)"),
        (margin(0.09, "m", 0.18), "metric", "0.090 m (0.180 m of GM)"),
        (margin(-2.97, "degree", None), "metric", "−3.0°"),
        (margin(-1.5175, "ft", -1.5175), "us", "−1.518 ft"),
        (margin(None, "degree", None), "metric", "no figure"),
    ],
)
def test_the_least_stability_margin_in_its_own_unit(given: Any, system: Any, words: str) -> None:
    assert said.stability_margin(given, system) == words


@pytest.mark.parametrize(
    ("draft", "mass", "system", "words"),
    [
        (0.0283, 36.95, "metric", "to the load line 28 mm, 37 t"),
        (0.0994, 4.21, "metric", "to the load line 99 mm, 4.2 t"),
        (0.0996, 130.0, "metric", "to the load line 10 cm, 130 t"),
        (0.9944, None, "metric", "to the load line 99 cm"),
        (0.9956, 1300.4, "metric", "to the load line 1.00 m, 1300 t"),
        (1.3129, 1687.8, "metric", "to the load line 1.31 m, 1688 t"),
        (-0.737, -877.9, "metric", "over the load line by 74 cm, 878 t"),
        (-0.089, 12.0, "metric", "over the load line by 89 mm"),  # the lower side is over, the mean is not
        (0.764, 169.2, "us", "to the load line 9.2 in, 169 LT"),
        (4.551, 882.5, "us", "to the load line 4.55 ft, 882 LT"),
        (0.0, 0.0, "metric", "to the load line 0 mm, 0.0 t"),
    ],
)
def test_what_is_left_to_the_load_line(draft: float, mass: float | None, system: Any, words: str) -> None:
    assert said.load_line_margin({"draft": draft, "mass": mass}, system) == words
    assert said.load_line_margin(None, system) == ""


def row(verdict: str, reason: str = "", clause: str = "A 2.2.1") -> dict[str, Any]:
    common = {"clause": clause, "title": clause, "counts": True, "from_memory": None}
    return {"verdict": verdict, "reason": reason, **common}


def answer(verdict: str, rows: list[dict[str, Any]], **members: Any) -> Any:
    given = {"verdict": verdict, "criteria": rows, "dangers": 0, "unjudged": [], "not_computed": []}
    given["provenance"] = {"rule_sets": []}
    return given | members


OFF = {"reason": "trim: -2.1 is outside -1 to 2 (metre).", "figure": "flotation"}
PASS, FAIL, OPEN, SILENT = (
    row(v) for v in ("pass", "fail", "not_computable", "not_applicable")
)  # fmt: skip


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (answer("pass", [PASS, SILENT], dangers=1), "Passes, 1 danger"),
        (answer("fail", [PASS, FAIL, FAIL, SILENT], dangers=2), "Fails 2 of 3, 2 dangers"),
        (answer("incomplete", [PASS, OPEN, SILENT]), "Incomplete: 1 of 2 not decided"),
        (answer("incomplete", [SILENT]), "Incomplete: nothing was checked"),
        (answer("incomplete", []), "Incomplete: nothing was checked"),
        (
            answer("incomplete", [PASS], unjudged=[{"rule_set": "x", "reason": "y"}] * 2),
            "Incomplete: 2 rule sets judged nothing",
        ),
        (
            answer("incomplete", [PASS], unjudged=[{"rule_set": None, "reason": "y"}]),
            "Incomplete: no rule set for stability judged her",
        ),
    ],
)
def test_the_headline(given: Any, words: str) -> None:
    assert said.headline(given) == words


AT_SEA_ONLY = {**FAIL, "counts": False}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (answer("pass", [PASS, AT_SEA_ONLY], phase="in_port"), "Passes in port"),
        (answer("fail", [PASS, FAIL, AT_SEA_ONLY], phase="in_port"), "Fails in port: 1 of 2"),
        (
            answer("incomplete", [OPEN, AT_SEA_ONLY], phase="in_port"),
            "Incomplete in port: 1 of 1 not decided",
        ),
        (answer("pass", [PASS, AT_SEA_ONLY]), "Passes"),
    ],
)
def test_the_headline_carries_the_phase_and_counts_what_counts(given: Any, words: str) -> None:
    assert said.headline(given) == words
    assert said.undecided(given) == ([] if "Incomplete" not in words else said.undecided(answer("", [OPEN])))


@pytest.mark.parametrize(
    ("phase", "words"), [("in_port", "Passes in port, 1 danger"), (None, "Passes, 1 danger")]
)
def test_a_line_of_a_list_carries_the_phase(phase: str | None, words: str) -> None:
    assert said.verdict_words("pass", 1, phase) == words


def test_what_stands_beside_a_clause() -> None:
    assert said.standing_in_words(row("pass")) == ""  # type: ignore[arg-type]
    recalled = {**row("pass"), "from_memory": "the limit"}
    assert said.standing_in_words(recalled) == "limit from memory"  # type: ignore[arg-type]
    both = {**recalled, "counts": False}
    words = "does not count in this phase of the voyage, limit from memory"
    assert said.standing_in_words(both) == words  # type: ignore[arg-type]


def test_why_it_is_incomplete_each_reason_once() -> None:
    given = answer(
        "incomplete",
        [row("not_computable", "her trim lies outside the table", c) for c in ("A 2.2.1", "A 2.2.2")]
        + [row("outside_validity", "B/d below 3.5", "A 2.3.1"), PASS, SILENT],
        unjudged=[
            {"rule_set": "46-cfr-170.173", "reason": "none of its clauses applies to this ship: too long"},
            {"rule_set": "no-longer-known", "reason": "why"},
        ],
        provenance={"rule_sets": [{"name": "46-cfr-170.173", "title": "Vessels of unusual form"}]},
        not_computed=[OFF, {**OFF, "figure": "righting_lever"}, {**OFF, "figure": "list"}],
    )
    assert said.gaps_in_words(given) == [
        "Drafts and trim, the righting lever and the list not computed: trim: -2.1 is outside -1 to 2 (metre)",
        "Vessels of unusual form: none of its clauses applies to this ship: too long",
        "no-longer-known: why",
    ]
    assert [(g["verdict"], g["reason"], len(g["criteria"])) for g in said.undecided(given)] == [
        ("not_computable", "her trim lies outside the table", 2),
        ("outside_validity", "B/d below 3.5", 1),
    ]
    assert said.not_computed_in_words(given, "flotation") == (
        "Drafts and trim are not computed: trim: -2.1 is outside -1 to 2 (metre)."
    )
    assert said.not_computed_in_words(given, "stability") == ""


def surface(**members: Any) -> Any:
    total = {"moment": 244.435, "gm_corrected": 0.5682}
    totals = {"as_filled": {"moment": 348.2, "gm_corrected": None}, "maximum_when_slack": total}
    found = {"basis": "as_filled", "judged_by": "by_rule", "by_rule": total, "judged": total}
    return {
        "units": {"system": "metric"},
        "free_surface": {**totals, **found, "exempt_moment": 106.25, **members},
    }


def test_free_surface_by_basis_says_which_judges() -> None:
    lines = said.free_surface_lines(surface())
    assert [(line["basis"], line["judged"]) for line in lines] == [
        ("as filled", False), ("maximum when slack", False), ("by rule", True)
    ]  # fmt: skip
    assert (lines[0]["moment"], lines[0]["gm_corrected"]) == ("348.2 t·m", "—")
    assert (lines[2]["moment"], lines[2]["gm_corrected"]) == ("244.4 t·m", "0.568 m")
    assert said.left_out_in_words(surface()) == "Left out for small tanks: 106.2 t·m"
    for nothing in (0.0, None):
        assert said.left_out_in_words(surface(exempt_moment=nothing)) == ""
    silent = said.free_surface_lines(surface(by_rule=None, judged_by="as_filled"))
    assert [line["basis"] for line in silent] == ["as filled", "maximum when slack"]


def test_an_older_answer_has_the_basis_it_was_judged_by_alone() -> None:
    older = surface(as_filled=None, maximum_when_slack=None, by_rule=None, exempt_moment=None)
    [line] = said.free_surface_lines(older)
    assert (line["basis"], line["moment"], line["judged"]) == ("by rule", "244.4 t·m", True)


@pytest.mark.parametrize(
    ("beyond", "words"),
    [
        (None, ""),
        (
            {"maximum": 2.22, "angle_of_maximum": 80.0, "vanishing_angle": None},
            "the curve reaches 2.220 m at 80.0°",
        ),
        (
            {"maximum": 0.29, "angle_of_maximum": 24.0, "vanishing_angle": 59.8},
            "it vanishes at 59.8°",
        ),
        (
            {"maximum": 0.9, "angle_of_maximum": 45.0, "vanishing_angle": 70.0},
            "the curve reaches 0.900 m at 45.0° and it vanishes at 70.0°",
        ),
    ],
)
def test_what_lies_beyond_the_range(beyond: Any, words: str) -> None:
    curve: Any = {"range_end": {"angle": 29.0, "reason": "down_flooding"}, "beyond": beyond}
    assert said.beyond_in_words(curve, "metric") == words


@pytest.mark.parametrize(
    ("verdicts", "verdict", "words"),
    [
        (("pass", "fail", "fail"), "fail", "Fails at 2 of 3 points of her voyage"),
        (("pass", "incomplete"), "incomplete", "Incomplete at 1 of 2 points of her voyage"),
        (("pass", "pass"), "fail", ""),
    ],
)
def test_a_plan_that_fails_where_she_herself_passes(verdicts: Any, verdict: str, words: str) -> None:
    answer: Any = {"plan": {"kind": "voyage", "points": [{"verdict": v} for v in verdicts]}}
    assert said.plan_in_short(answer, verdict) == words
    passing = {"counts": True, "verdict": "pass"}
    whole: Any = {**answer, "criteria": [passing], "verdict": "fail", "dangers": 0, "phase": None}
    if verdict == "fail":
        assert said.headline(whole) == (words or "Fails 0 of 1")
