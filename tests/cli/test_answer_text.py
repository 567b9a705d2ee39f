"""What `demo` prints says what the answer says, in words and rounded figures."""

import json
from typing import Any

import pytest

from service.actions.assess import Assessor, as_json
from service.actions.demo_vessel import find_demo_vessel
from service.cli.answer_text import answer_text, verdict_in_words
from service.demo import condition_names, demo_vessel_ids, read_condition
from service.wire.figures import figure, list_in_words, trim_in_words, words

DEMO = [(vessel, name) for vessel in demo_vessel_ids() for name in condition_names(vessel)]


def _answer(vessel_id: str, name: str) -> Any:
    request = {"vessel_id": vessel_id, "condition": json.loads(read_condition(vessel_id, name))}
    return json.loads(as_json(Assessor(find_demo_vessel).assessment(request)))


@pytest.mark.parametrize(("vessel_id", "name"), DEMO)
def test_the_text_holds_what_a_mate_asks(vessel_id: str, name: str) -> None:
    answer = _answer(vessel_id, name)
    system = answer["units"]["system"]
    text = answer_text(answer)
    flat = " ".join(text.split())
    assert " ".join(answer["caution"].split()) in flat
    for tank in answer["tanks"]:
        row = next(line for line in text.splitlines() if line.strip().startswith(tank["tank"] + " "))
        assert words(tank["state"]) in row
        assert " ".join(tank["free_surface_reason"].split()) in flat
    for finding in answer["findings"]:
        assert " ".join(finding["message"].split()) in flat
    flotation, stability = answer["flotation"], answer["stability"]
    assert figure(flotation["draft_forward"], "draft", system) in text
    assert trim_in_words(flotation["trim"], system) in text
    if flotation["list"]["side"] != "either":
        assert list_in_words(flotation["list"]["angle"]) in text
    for gm in (stability["gm_solid"], stability["gm_corrected"]):
        assert figure(gm, "lever", system).split()[0] in text
    for criterion in answer["criteria"]:
        if criterion["verdict"] not in ("pass", "fail"):
            assert " ".join(criterion["reason"].split()[:3]) in flat


def _in_units(vessel_id: str, name: str, units: str) -> Any:
    request = {"vessel_id": vessel_id, "condition": json.loads(read_condition(vessel_id, name))}
    return json.loads(Assessor(find_demo_vessel).answer(json.dumps(request).encode(), "full", units))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_blocks_of_a_voyage_are_told(units: str) -> None:
    """Where and when she first fails, what must stay ashore, each point in a row, the worst by criterion."""
    answer = _in_units("halvenmoor", "winter-voyage", units)
    text, plan = answer_text(answer), answer["plan"]
    flat = " ".join(text.split())
    assert text.splitlines()[1].startswith(
        "FAILS DURING THE VOYAGE: first fails at stage 3, Northern seas, season"
    )
    ashore = figure(-plan["load_line"]["more_to_load"], "mass", units)
    assert f"load line: {ashore} must be left ashore" in flat
    assert "(2026-11-01 00:00 UTC)" in flat
    points = [line for line in text.splitlines() if line.startswith("  3 Northern seas")]
    assert len(points) == sum(point["stage"] == 3 for point in plan["points"])
    assert all(figure(each["used"], "mass", units) in flat for each in plan["consumption"])
    worst = next(row for row in plan["worst"] if row["verdict"] == "fail")
    assert f"fail: {worst['title'][:20]}" in flat


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", ["draft-survey", "timber-iced"])
def test_the_other_blocks_are_told(name: str, units: str) -> None:
    """Figures by hand from the answer, rounded as everywhere else."""
    answer = _in_units("halvenmoor", name, units)
    flat = " ".join(answer_text(answer).split())
    assert answer["load_line"]["statement"] in flat
    assert figure(answer["load_line"]["permitted_draft"], "lever", units) in flat
    assert f"propeller immersion {answer['drafts']['propeller_immersion']:.0f} %" in flat
    assert figure(answer["drafts"]["air_draft"], "draft", units) in flat
    hogging = answer["strength"]["extremes"]["bending_greatest"]
    assert figure(hogging["value"], "mass_moment", units) in flat
    assert f"{hogging['percent']:.0f} % of its limit" in flat
    for station in answer["strength"]["stations"]:
        assert station["name"] in flat
    if name == "draft-survey":
        survey = answer["draft_survey"]
        assert figure(survey["difference"], "mass", units) in flat
        assert f"aboard and not listed: {figure(survey['unknown_weight']['mass'], 'mass', units)}" in flat
    else:
        assert f"ice, 1 of the full allowance: {figure(answer['icing']['mass'], 'mass', units)}" in flat
        assert flat.count(" ice ") >= len(answer["added_weights"]) - 2


@pytest.mark.parametrize(("vessel_id", "name"), DEMO)
def test_the_verdict_is_a_word(vessel_id: str, name: str) -> None:
    answer = _answer(vessel_id, name)
    start = {"pass": "PASSES", "fail": "FAILS", "incomplete": "INCOMPLETE"}[answer["verdict"]]
    assert verdict_in_words(answer).startswith(start)


def test_incomplete_is_never_told_as_a_pass() -> None:
    answer = _answer("halvenmoor", "departure-homogeneous")
    answer["verdict"] = "incomplete"
    answer["criteria"][0]["verdict"] = "not_computable"
    told = verdict_in_words(answer)
    count = sum(row["verdict"] != "not_applicable" for row in answer["criteria"])
    assert told == f"INCOMPLETE: 1 of {count} criteria could not be checked, which is no pass"


def _heading(answer: Any) -> list[str]:
    return answer_text(answer).split("\n\n")[0].splitlines()


def test_the_heading_says_verdict_dangers_and_both_margins() -> None:
    """Never a percentage; each margin in its own unit, by hand from the answer."""
    answer = _answer("halvenmoor", "over-full-tank")
    least, line = answer["least_stability_margin"], answer["load_line_margin"]
    lines = _heading(answer)
    counted = [row for row in answer["criteria"] if row["counts"] and row["verdict"] != "not_applicable"]
    assert 0 < len(counted) < len(answer["criteria"])
    assert lines[1] == f"PASSES IN PORT {len(counted)} criteria, 1 danger"
    assert lines[2].startswith(f"  least stability margin {least['margin']:.3f} m: {least['title'][:40]}")
    assert f"  to the load line {line['draft'] * 100:.0f} cm, {line['mass']:.0f} t" in lines
    assert "%" not in "".join(lines)


def test_the_heading_of_a_failure_names_each_clause() -> None:
    answer = _answer("halvenmoor", "timber-loll")
    failed = [row for row in answer["criteria"] if row["verdict"] == "fail"]
    lines = _heading(answer)
    count = sum(row["verdict"] != "not_applicable" for row in answer["criteria"])
    assert lines[1] == f"FAILS {len(failed)} of {count} criteria, 2 dangers"
    assert sum(line.startswith("  - fail: ") for line in lines) == len(failed)
    # required figures that could not be computed give way to the reason
    assert any("GM is not positive" in line for line in lines)


def _with(weight: dict[str, Any]) -> Any:
    condition = json.loads(read_condition("halvenmoor", "departure-homogeneous"))
    condition["weights"].append({"name": "Trial", "category": "cargo", **weight})
    request = {"vessel_id": "halvenmoor", "condition": condition}
    return json.loads(as_json(Assessor(find_demo_vessel).assessment(request)))


@pytest.mark.parametrize(
    ("weight", "start", "missing"),
    [
        ({"mass": 9000.0, "lcg": 45.0, "vcg": 5.0}, "INCOMPLETE: 18 of 18", ("Drafts and trim are", "GM is")),
        ({"mass": 400.0, "lcg": 98.0, "vcg": 5.0}, "INCOMPLETE: 15 of 18", ("Drafts and trim are",)),
        ({"mass": 900.0, "lcg": 45.0, "vcg": 5.0, "tcg": 9.0}, "FAILS 11 of 18", ("The list is",)),
    ],
)
def test_what_is_not_computed_is_said_where_it_would_stand(
    weight: dict[str, Any], start: str, missing: tuple[str, ...]
) -> None:
    answer = _with(weight)
    text = " ".join(answer_text(answer).split())
    assert verdict_in_words(answer).startswith(start)
    for words_of_it in missing:
        assert f"{words_of_it} not computed: " in text
    assert "None" not in text
    assert "upright" not in text.partition("Findings")[0] or answer["flotation"]["list"]["angle"] is not None


def test_reasons_that_several_clauses_share_are_said_once() -> None:
    lines = _heading(_with({"mass": 400.0, "lcg": 98.0, "vcg": 5.0}))
    assert sum("lies outside the table" in line for line in lines) == 1
    assert any(line.startswith("  - not computable: A 2.2.1, A 2.2.2, ") for line in lines)
    assert "  least stability margin of what was judged 0.470 m" in lines[2]


def test_free_surface_by_basis_with_what_judges_and_what_is_left_out() -> None:
    answer = _answer("halvenmoor", "departure-homogeneous")
    surface = answer["free_surface"]
    part = answer_text(answer).split("Initial stability")[1].split("How she floats")[0]
    rows = [line.split() for line in part.splitlines()]
    for basis in ("as_filled", "maximum_when_slack", "by_rule"):
        total = surface[basis]
        figures = [f"{total['moment']:.1f}", "t·m", f"{total['gm_corrected']:.3f}", "m"]
        judged = ["judged"] if basis == surface["judged_by"] else []
        assert [*basis.split("_"), *figures, *judged] in rows
    assert f"left out for small tanks: {surface['exempt_moment']:.1f} t·m" in part
    tank = next(tank for tank in answer["tanks"] if tank["exempt_moment"])
    row = next(
        line for line in answer_text(answer).splitlines() if line.strip().startswith(tank["tank"] + " ")
    )
    assert f"({tank['exempt_moment']:.1f} left out)" in row


def test_a_tank_that_a_rule_counts_otherwise_says_so() -> None:
    """Pressed up by her own limit, slack by the Code's 98 % (2008 IS Code Part B 3.1.2)."""
    answer = _answer("halvenmoor", "departure-homogeneous")
    answer["tanks"][0] |= {"state": "pressed_up", "counted_as": "slack"}
    row = next(line for line in answer_text(answer).splitlines() if answer["tanks"][0]["tank"] in line)
    assert "pressed up, counted as slack" in row


def test_what_lies_beyond_the_range_stands_apart() -> None:
    answer = _answer("halvenmoor", "departure-homogeneous")
    curve = answer["righting_lever"]
    text = answer_text(answer)
    end = curve["range_end"]["angle"]
    assert f"greatest that counts {curve['maximum']:.3f} m at {curve['angle_of_maximum']:.1f}°" in text
    assert f"levers count to {end:.1f}°, where she floods" in text
    assert (
        f"beyond that, which does not count: it vanishes at {curve['beyond']['vanishing_angle']:.1f}°" in text
    )
