"""Pieces of the published description of routes that read their body and write their answer themselves."""

from typing import Any, get_args

from pydantic import BaseModel

from service.wire.problem import MEDIA_TYPE

MAX_ID = 64
PROBLEM_REF = {"$ref": "#/components/schemas/Problem"}
DESCRIBED: dict[str, Any] = {}
"""Types of answers by name."""
_REASONS = {
    400: "The text or the query could not be read.",
    401: "There is no valid key in the request.",
    403: "The key's role may not do this.",
    404: "There is no such thing, or none that the key may see.",
    406: "The media type asked for is not offered.",
    409: "The request contradicts what is stored, or is being answered just now.",
    412: "Somebody else changed it: `ETag` holds the tag of the present state.",
    413: "The body is longer than this installation takes.",
    414: "Path and query together are longer than 8,192 bytes.",
    415: "The body has another media type.",
    422: "The documents were read and refused; `errors` names the places.",
    428: "`If-Match` is missing.",
    429: "The key asks too often; `Retry-After` says when to try again.",
    500: "The service failed; `request_id` is the reference.",
    501: "This installation has no solver for it.",
    503: "All calculation slots are taken or the records cannot be reached; nothing was stored. `Retry-After` says "
    "when to try again.",
}


def problems_of(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The documented refusals of a route."""
    return {status: {"description": _REASONS[status], "content": problem_content()} for status in statuses}


def answer_of(kind: Any, *others: dict[str, Any], description: str = "") -> dict[str, Any]:
    """The documented answer of a route as JSON, with what else stands beside it. kind: a published type, or a union.

    Types are described when somebody asks for the description: FastAPI's own way makes every start a second longer."""
    kinds = get_args(kind) or (kind,)
    DESCRIBED.update({each.__name__: each for each in kinds})
    references = [{"$ref": f"#/components/schemas/{each.__name__}"} for each in kinds]
    schema = references[0] if len(references) == 1 else {"anyOf": references}
    found: dict[str, Any] = {"description": description}
    content: dict[str, Any] = {}
    for other in others:
        found |= other
        content |= other.get("content", {})
    return {**found, "content": {**content, "application/json": {"schema": schema}}}


def problem_content() -> dict[str, Any]:
    """A problem document as the content of an answer."""
    return {MEDIA_TYPE: {"schema": PROBLEM_REF}}


def lines_of(schema: dict[str, Any]) -> dict[str, Any]:
    """The content of a stream whose every line is one document. OpenAPI 3.1 has no word for that."""
    text = {"type": "string", "format": "binary", "description": "One document per line."}
    return {"schema": text, "x-line-schema": schema}


def parameters(
    query: type[BaseModel], *others: dict[str, Any], in_path: dict[str, str] | None = None
) -> dict[str, Any]:
    """The parameters of a route that reads them by itself; in_path: names and descriptions of ids in its address."""
    ids = {
        name: {"type": "string", "maxLength": MAX_ID, "description": words, "title": name.capitalize()}
        for name, words in (in_path or {}).items()
    }
    asked = query.model_json_schema()
    described = [
        *(_parameter(name, "path", schema, required=True) for name, schema in ids.items()),
        *(
            _parameter(name, "query", schema, required=name in asked.get("required", ()))
            for name, schema in asked["properties"].items()
        ),
        *others,
    ]
    return {"parameters": described}


def _parameter(name: str, where: str, schema: dict[str, Any], *, required: bool) -> dict[str, Any]:
    words = {"description": schema["description"]}
    return {"name": name, "in": where, "required": required, "schema": schema} | words


def request_body(
    media_types: tuple[str, ...], schema: type[BaseModel] | tuple[type[BaseModel], ...], description: str
) -> dict[str, Any]:
    """A required body of one document, or of one document per line where `media_types` stream; any of several schemas
    does."""
    schemas = schema if isinstance(schema, tuple) else (schema,)
    references: list[dict[str, Any]] = [{"$ref": f"#/components/schemas/{each.__name__}"} for each in schemas]
    reference = references[0] if len(references) == 1 else {"anyOf": references}
    content = {
        media_type: {"schema": reference} if media_type == "application/json" else lines_of(reference)
        for media_type in media_types
    }
    return {"requestBody": {"required": True, "description": description, "content": content}}
