"""The listed kinds of findings are those that answers name: codes, severities and words of every example."""

import json
import re
from pathlib import Path
from typing import Any

from service.translation.finding_kinds import list_finding_kinds

EXAMPLES = Path(__file__).parents[2] / "openapi_examples"
KINDS = {kind["code"]: kind for kind in list_finding_kinds()["items"]}


def named() -> list[dict[str, Any]]:
    answers = (json.loads(path.read_text("utf-8")) for path in sorted(EXAMPLES.glob("*.answer.json")))
    return [finding for answer in answers for finding in answer.get("findings", ())]


def test_every_finding_of_the_examples_is_of_a_listed_kind() -> None:
    found = named()
    assert len({finding["code"] for finding in found}) > 5
    for finding in found:
        kind = KINDS[finding["code"]]
        assert finding["severity"] in kind["severities"]
        pattern = re.sub(r"\\\{\w+\\\}", ".+", re.escape(kind["words"]))
        assert re.fullmatch(pattern, finding["message"]), finding


def test_codes_are_listed_once_and_severities_are_known() -> None:
    items = list_finding_kinds()["items"]
    assert len(items) == len(KINDS)
    for kind in items:
        assert kind["severities"]
        assert set(kind["severities"]) <= {"info", "caution", "danger"}
        assert kind["words"].strip()
