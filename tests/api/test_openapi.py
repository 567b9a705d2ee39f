"""The published description: complete, in step with the routes, units and signs in every schema."""

import re
from typing import Any

import httpx
import jsonschema_rs
import pytest

from service.api.description.member_words import MEMBERS, MEMBERS_OF, SCHEMAS


@pytest.fixture(scope="module")
def description(http: httpx.Client) -> dict[str, Any]:
    document: dict[str, Any] = http.get("/openapi.json").json()
    return document


def _operations(description: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in description["paths"].items()
        for method, operation in methods.items()
    ]


def _references(part: Any) -> set[str]:
    if isinstance(part, dict):
        own = {part["$ref"]} if isinstance(part.get("$ref"), str) else set()
        return own.union(*(_references(value) for value in part.values()))
    if isinstance(part, list):
        return set().union(*(_references(value) for value in part))
    return set()


def test_every_reference_leads_somewhere(description: dict[str, Any]) -> None:
    schemas = description["components"]["schemas"]
    for reference in _references(description):
        assert reference.removeprefix("#/components/schemas/") in schemas


def test_refusals_are_problem_documents(description: dict[str, Any]) -> None:
    for path, method, operation in _operations(description):
        assert operation["summary"], (path, method)
        for status, answer in operation["responses"].items():
            if int(status) >= 400:
                assert list(answer["content"]) == ["application/problem+json"], (path, method, status)


def test_figures_of_requests_name_their_units(description: dict[str, Any]) -> None:
    schemas = description["components"]["schemas"]
    for name in ("Condition", "TankFilling", "Weight", "Vessel", "HydrostaticRow", "Tank", "TankRow"):
        for member, part in schemas[name]["properties"].items():
            assert part.get("description"), (name, member)
            numbers = [kind for kind in (part, *part.get("anyOf", ())) if kind.get("type") == "number"]
            if "coefficient" not in member:
                assert all("x-units" in kind for kind in numbers), (name, member)


def test_every_schema_and_member_is_described(description: dict[str, Any]) -> None:
    """And no words are kept for members that are gone."""
    schemas = description["components"]["schemas"]
    told = set()
    for name, schema in schemas.items():
        assert schema.get("description"), name
        for member, part in schema.get("properties", {}).items():
            assert part.get("description") or "$ref" in part, (name, member)
            told.add(part.get("description"))
    assert {*MEMBERS.values(), *MEMBERS_OF.values()} <= told
    assert set(SCHEMAS) <= set(schemas)


def test_answers_fit_their_schema(
    http: httpx.Client, description: dict[str, Any], request_document: dict[str, Any]
) -> None:
    components = {"components": description["components"]}

    def validator(name: str) -> jsonschema_rs.Draft202012Validator:
        return jsonschema_rs.Draft202012Validator({**components, "$ref": f"#/components/schemas/{name}"})

    validator("AssessmentRequest").validate(request_document)
    validator("Assessment").validate(http.post("/v1/assessments", json=request_document).json())
    validator("Problem").validate(http.post("/v1/assessments", json={}).json())
    validator("RuleSetList").validate(http.get("/v1/rule-sets").json())
    validator("FindingKinds").validate(http.get("/v1/findings").json())


def test_a_wrong_request_does_not_fit_the_published_schema(
    description: dict[str, Any], request_document: dict[str, Any]
) -> None:
    schema = {"components": description["components"], "$ref": "#/components/schemas/AssessmentRequest"}
    validator = jsonschema_rs.Draft202012Validator(schema)
    assert validator.is_valid(request_document)
    tank = request_document["condition"]["tanks"][0]
    for wrong in ({"mass": "1"}, {"colour": 1}, {"density": 13.6}, {"mass": 1, "volume": 1}):
        request_document["condition"]["tanks"][0] = {**tank, **wrong}
        assert not validator.is_valid(request_document)
    request_document["condition"]["tanks"][0] = {"tank": tank["tank"]}
    assert not validator.is_valid(request_document)
    request_document["condition"]["tanks"][0] = tank
    assert validator.is_valid(request_document)
    del request_document["vessel_id"]
    assert not validator.is_valid(request_document)


def test_operations_are_named_by_a_short_verb(description: dict[str, Any]) -> None:
    names = [operation["operationId"] for _, _, operation in _operations(description)]
    assert len(names) == len(set(names))
    verbs = "assess|reassess|get|list|add|revise|patch|compare|check|set|remove|revoke|delete|redeliver|test"
    for name in names:
        assert re.fullmatch(rf"({verbs})([A-Z][a-z]+)*", name), name
        assert len(name) <= 24, name


def _request_schemas(description: dict[str, Any]) -> set[str]:
    """Names of the schemas that bodies of requests are made of."""
    bodies = [operation.get("requestBody", {}) for _, _, operation in _operations(description)]
    found: set[str] = set()
    new = _references(bodies)
    while new:
        found |= new
        parts = [description["components"]["schemas"][name.rpartition("/")[2]] for name in new]
        new = _references(parts) - found
    return {name.rpartition("/")[2] for name in found}


def _with_null(part: Any, path: str) -> list[str]:
    """Places of a schema that may be null, or are null when absent."""
    if isinstance(part, list):
        return [place for n, each in enumerate(part) for place in _with_null(each, f"{path}/{n}")]
    if not isinstance(part, dict):
        return []
    own = [path] if part.get("type") == "null" or ("default" in part and part["default"] is None) else []
    return own + [place for name, each in part.items() for place in _with_null(each, f"{path}/{name}")]


def test_requests_leave_out_what_is_not_known(description: dict[str, Any]) -> None:
    schemas = description["components"]["schemas"]
    names = _request_schemas(description)
    assert {"Vessel", "Condition", "TankFilling", "ReviewRequest", "KeyRequest"} <= names
    found = [place for name in names for place in _with_null(schemas[name], name)]
    # the one null that says something: the key sees all vessels
    assert [place.rpartition("/anyOf")[0] for place in found] == ["KeyScopeRequest/properties/vessels"]
    for path, method, operation in _operations(description):
        assert _with_null(operation.get("parameters", []), f"{method} {path}") == []


def test_records_and_entries_of_lists_carry_id_and_noun(description: dict[str, Any]) -> None:
    schemas = description["components"]["schemas"]
    for noun, names in {
        "vessel": ("VesselLine", "VesselRevision", "VesselRevisionLine", "FleetLine"),
        "condition": ("ConditionLine", "ConditionRecord", "ConditionRevision", "ConditionHistoryLine"),
    }.items():
        for name in names:
            assert {"id", noun} <= set(schemas[name]["required"]), name
