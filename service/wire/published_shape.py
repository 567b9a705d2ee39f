"""The published shape of a document, read from the schema of its model: what may stand at a place of it."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Literal

from pydantic import BaseModel

Schema = Mapping[str, Any]
Form = Literal["object", "array", "value"]


class PublishedShape:
    """The schemas of a model. `root` is that of a whole document."""

    def __init__(self, model: type[BaseModel]) -> None:
        self.root: Schema = model.model_json_schema()
        self._choices: dict[int, list[Schema]] = {}
        self._forms: dict[int, dict[Form, Schema]] = {}

    def choices(self, schema: Schema) -> list[Schema]:
        """What a value may be, one schema each. schema: one of this shape."""
        found = self._choices.get(id(schema))
        if found is None:
            found = self._choices[id(schema)] = list(self._choices_of(schema))
        return found

    def forms(self, schema: Schema) -> dict[Form, Schema]:
        """The schema of each form that a value may have; null is none. schema: one of this shape."""
        found = self._forms.get(id(schema))
        if found is None:
            found = {form_of(one): one for one in self.choices(schema) if one.get("type") != "null"}
            self._forms[id(schema)] = found
        return found

    def _choices_of(self, schema: Schema) -> Iterator[Schema]:
        if "$ref" in schema:
            schema = self.root["$defs"][schema["$ref"].rpartition("/")[2]]
        for one in schema.get("anyOf", schema.get("oneOf", ())):
            yield from self.choices(one)
        if "type" in schema or "enum" in schema or "const" in schema:
            yield schema

    def may_be_null(self, schema: Schema) -> bool:
        """Whether null may stand there."""
        return any(one.get("type") == "null" for one in self.choices(schema))

    @staticmethod
    def members(schema: Schema, value: Mapping[str, Any]) -> Iterator[tuple[str, Any, Schema | None]]:
        """Each member of an object with its value and schema; None for a member that is not published."""
        known = schema.get("properties", {})
        others = next(iter(schema.get("patternProperties", {}).values()), schema.get("additionalProperties"))
        for name, below in value.items():
            found = known.get(name, others)
            yield name, below, found if isinstance(found, Mapping) else None


@cache
def published_shape(model: type[BaseModel]) -> PublishedShape:
    """That of a model, read once."""
    return PublishedShape(model)


def form_of(schema: Schema) -> Form:
    """The form that a schema of one type takes."""
    kind = schema.get("type")
    return "object" if kind == "object" else "array" if kind == "array" else "value"


def form_of_value(value: object) -> Form:
    """The form that a value has."""
    return "object" if isinstance(value, Mapping) else "array" if isinstance(value, list) else "value"
