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
    assert (
        told == f"INCOMPLETE: 1 of {len(answer['criteria'])} criteria could not be checked, which is no pass"
    )
