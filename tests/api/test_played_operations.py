"""Every operation is called by the client, answered as its example says, and the examples fit what is published."""

import inspect
import json
import re
from collections.abc import Iterator
from typing import Any, get_args

import jsonschema_rs
import pytest

from service.client import AsyncServiceClient, ServiceClient
from service.wire.webhook import MessageType
from tests.api.played_operations import FILE, Exchange, examples_of, played
from tests.api.test_examples import differences

Played = tuple[list[Exchange], dict[str, Any]]


@pytest.fixture(scope="module")
def day() -> Iterator[Played]:
    with played() as (exchanges, description):
        yield exchanges, description


def _operations(description: dict[str, Any]) -> list[dict[str, Any]]:
    return [operation for methods in description["paths"].values() for operation in methods.values()]


def test_the_examples_are_what_is_sent_and_answered(day: Played) -> None:
    """`python -m tests.api.played_operations` writes them anew."""
    assert differences(examples_of(*day), json.loads(FILE.read_text("utf-8"))) == []


def test_every_operation_is_played(day: Played) -> None:
    exchanges, description = day
    names = {operation["operationId"] for operation in _operations(description)}
    assert set(examples_of(exchanges, description)) == names


def test_every_operation_is_a_call_of_both_clients(day: Played) -> None:
    for operation in _operations(day[1]):
        name = re.sub(r"(?=[A-Z])", "_", operation["operationId"]).lower()
        for client in (ServiceClient, AsyncServiceClient):
            call = getattr(client, name, None)
            assert call is not None, f"{client.__name__} has no {name}; see the recipe of an endpoint"
            assert inspect.getdoc(call), name


def test_every_operation_says_what_it_does_and_shows_it(day: Played) -> None:
    for operation in _operations(day[1]):
        name = operation["operationId"]
        assert operation["summary"], name
        assert operation["description"], name
        assert len(operation["tags"]) == 1, name
        shown = [operation["requestBody"]] if "requestBody" in operation else []
        shown += [answer for status, answer in operation["responses"].items() if status < "300"]
        for part in shown:
            for media_type, content in part.get("content", {}).items():
                assert content.get("examples"), (name, media_type)
        for parameter in operation.get("parameters", ()):
            assert parameter.get("description"), (name, parameter["name"])
            if parameter["required"]:
                assert "example" in parameter, (name, parameter["name"])


def test_every_message_of_webhooks_is_described(day: Played) -> None:
    described = day[1]["webhooks"]
    assert set(described) == set(get_args(MessageType))
    for message in described.values():
        content = message["post"]["requestBody"]["content"]["application/json"]
        schema = {"components": day[1]["components"], **content["schema"]}
        jsonschema_rs.Draft202012Validator(schema).validate(content["examples"]["example"]["value"])


def test_examples_fit_their_schemas(day: Played) -> None:
    components = {"components": day[1]["components"]}
    checked = 0
    for operation in _operations(day[1]):
        parts = [operation.get("requestBody", {}), *operation["responses"].values()]
        for content in [content for part in parts for content in part.get("content", {}).values()]:
            for example in content.get("examples", {}).values():
                for schema, value in _to_be_checked(content, example):
                    validator = jsonschema_rs.Draft202012Validator({**components, **schema})
                    for error in validator.iter_errors(value):
                        raise AssertionError(
                            f"{operation['operationId']}: {error.message[:200]} {error.instance_path}"
                        )
                    checked += 1
    assert checked >= len(_operations(day[1]))


def _to_be_checked(content: dict[str, Any], example: dict[str, Any]) -> list[tuple[dict[str, Any], Any]]:
    """Schemas, and what has to fit them: the whole, or every line of a stream."""
    if "value" not in example:
        return []
    if "x-line-schema" in content:
        return [(content["x-line-schema"], json.loads(line)) for line in example["value"].splitlines()]
    return [(content.get("schema", {}), example["value"])]
