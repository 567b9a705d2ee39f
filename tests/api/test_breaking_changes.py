"""Version 1 only grows: what was published and relied on is still there.

    .venv/bin/python -m tests.api.test_breaking_changes

takes what was added since into what is relied on. It refuses where something is broken: nothing goes without having
been announced in the changelog, and then as version 2.
"""

import copy
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.api.description_contract import breaks, contract_of
from tests.api.test_openapi_snapshot import described

FILE = Path(__file__).with_name("published_contract.json")
Description = dict[str, Any]
ASSESS = ("paths", "/v1/assessments", "post")


@pytest.fixture(scope="module")
def description() -> Description:
    return described()


def test_nothing_that_was_published_is_broken(description: Description) -> None:
    assert breaks(json.loads(FILE.read_text("utf-8")), contract_of(description)) == []


def _schema(description: Description, name: str) -> dict[str, Any]:
    schema: dict[str, Any] = description["components"]["schemas"][name]
    return schema


def _operation(description: Description, path: str, method: str) -> dict[str, Any]:
    operation: dict[str, Any] = description["paths"][path][method]
    return operation


def _without_operation(d: Description) -> None:
    del d["paths"]["/v1/fleet"]["get"]


def _without_parameter(d: Description) -> None:
    parameters = _operation(d, "/v1/fleet", "get")["parameters"]
    parameters[:] = [each for each in parameters if each["name"] != "verdict"]


def _required_parameter(d: Description) -> None:
    _operation(d, "/v1/fleet", "get")["parameters"][0]["required"] = True


def _new_required_parameter(d: Description) -> None:
    new = {"name": "x", "in": "query", "required": True, "schema": {"type": "string"}}
    _operation(d, "/v1/fleet", "get")["parameters"].append(new)


def _fewer_values_of_a_parameter(d: Description) -> None:
    parameters = {each["name"]: each for each in _operation(d, "/v1/fleet", "get")["parameters"]}
    parameters["units"]["schema"]["enum"].remove("us")


def _list_of_other_values_in_a_query(d: Description) -> None:
    parameters = {each["name"]: each for each in _operation(d, "/v1/fleet", "get")["parameters"]}
    several = copy.deepcopy(parameters["units"]["schema"])
    several["enum"].remove("us")
    parameters["units"]["schema"] = {"type": "array", "items": several, "minItems": 1}


def _two_values_at_least_in_a_query(d: Description) -> None:
    parameters = {each["name"]: each for each in _operation(d, "/v1/fleet", "get")["parameters"]}
    one = parameters["units"]["schema"]
    parameters["units"]["schema"] = {"type": "array", "items": one, "minItems": 2}


def _without_media_type(d: Description) -> None:
    del _operation(d, "/v1/assessments/batch", "post")["requestBody"]["content"]["application/jsonl"]


def _another_status(d: Description) -> None:
    answers = _operation(d, "/v1/vessels", "post")["responses"]
    answers["200"] = answers.pop("201")


def _without_member_of_a_request(d: Description) -> None:
    del _schema(d, "Weight")["properties"]["tcg"]


def _new_required_member_of_a_request(d: Description) -> None:
    _schema(d, "Weight")["required"].append("tcg")


def _fewer_values_of_a_member(d: Description) -> None:
    _schema(d, "Weight")["properties"]["category"]["enum"].remove("ice")


def _narrower_bounds(d: Description) -> None:
    _schema(d, "ReviewRequest")["properties"]["note"]["maxLength"] = 100


def _another_pattern(d: Description) -> None:
    _schema(d, "ReviewRequest")["properties"]["note"]["pattern"] = "^[a-z]*$"


def _another_type_of_a_member(d: Description) -> None:
    _schema(d, "KeyRequest")["properties"]["days"]["type"] = "string"


def _without_member_of_an_answer(d: Description) -> None:
    schema = _schema(d, "Assessment")
    del schema["properties"]["gm_loss" if "gm_loss" in schema["properties"] else "displacement"]


def _member_of_an_answer_that_may_be_missing(d: Description) -> None:
    _schema(d, "Assessment")["required"].remove("verdict")


def _member_of_an_answer_that_may_be_null(d: Description) -> None:
    member = _schema(d, "Review")["properties"]
    member["number"] = {"anyOf": [member["number"], {"type": "null"}]}


def _without_value_of_an_answer(d: Description) -> None:
    _schema(d, "AssessmentSummary")["properties"]["verdict"]["enum"].remove("incomplete")


def _another_document_in_an_answer(d: Description) -> None:
    answer = _operation(d, "/v1/fleet", "get")["responses"]["200"]["content"]["application/json"]
    answer["schema"] = {"$ref": "#/components/schemas/Review"}


def _another_name(d: Description) -> None:
    _operation(d, "/v1/fleet", "get")["operationId"] = "readFleet"


BROKEN: list[Callable[[Description], None]] = [
    _without_operation,
    _without_parameter,
    _required_parameter,
    _new_required_parameter,
    _fewer_values_of_a_parameter,
    _list_of_other_values_in_a_query,
    _two_values_at_least_in_a_query,
    _without_media_type,
    _another_status,
    _without_member_of_a_request,
    _new_required_member_of_a_request,
    _fewer_values_of_a_member,
    _narrower_bounds,
    _another_pattern,
    _another_type_of_a_member,
    _without_member_of_an_answer,
    _member_of_an_answer_that_may_be_missing,
    _member_of_an_answer_that_may_be_null,
    _without_value_of_an_answer,
    _another_document_in_an_answer,
    _another_name,
]


@pytest.mark.parametrize("change", BROKEN, ids=lambda change: change.__name__.strip("_"))
def test_a_break_is_noticed(description: Description, change: Callable[[Description], None]) -> None:
    other = copy.deepcopy(description)
    change(other)
    assert breaks(contract_of(description), contract_of(other))


def test_what_is_added_breaks_nothing(description: Description) -> None:
    other = copy.deepcopy(description)
    other["paths"]["/v1/new"] = {"get": copy.deepcopy(_operation(other, "/v1/fleet", "get"))}
    new = {"name": "x", "in": "query", "required": False, "schema": {"type": "string"}}
    _operation(other, "/v1/fleet", "get")["parameters"].append(new)
    units = {each["name"]: each for each in _operation(other, "/v1/fleet", "get")["parameters"]}["units"]
    units["schema"] = {"type": "array", "items": units["schema"], "minItems": 1, "maxItems": 9}
    _schema(other, "Weight")["properties"]["colour"] = {"type": "string"}
    _schema(other, "Weight")["properties"]["category"]["enum"].append("other_cargo")
    _schema(other, "Assessment")["properties"]["colour"] = {"type": "string"}
    _schema(other, "Assessment")["required"].append("colour")
    _schema(other, "AssessmentSummary")["properties"]["verdict"]["enum"].append("unknown")
    _schema(other, "ReviewRequest")["properties"]["note"]["maxLength"] = 10_000
    for schema in other["components"]["schemas"].values():
        schema["description"] = "Other words."
    assert breaks(contract_of(description), contract_of(other)) == []


def main() -> int:
    """Take what was added into the file; 1 where something is broken."""
    contract = contract_of(described())
    found = breaks(json.loads(FILE.read_text("utf-8")), contract) if FILE.exists() else []
    if found:
        print(*found, sep="\n", file=sys.stderr)
        return 1
    FILE.write_text(json.dumps(contract, separators=(",", ":"), sort_keys=True) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
