"""Examples in the published description: requests and answers that the tests send and get."""

import json
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

from service.api.description.webhook_messages import webhook_messages

MAX_EXAMPLE_BYTES = 20_000
OPERATIONS = "operations.json"
QUESTIONS = {
    "vcg-limits": "/v1/vcg-limits",
    "sensitivities": "/v1/sensitivities",
    "remedies": "/v1/remedies",
    "uncertainty": "/v1/uncertainty",
    "inclining-test": "/v1/inclining-tests",
}
"""Last word of the name of an example that is not an assessment, and where it is posted."""
FILES = {
    "vessels": "/v1/vessels/halvenmoor/workbook",
    "conditions": "/v1/vessels/halvenmoor/condition-sheet",
}
"""Where a service with the demonstration ships has files like those that are posted."""
SAME_LINES = ("application/x-ndjson", "application/jsonl")
"""Two names of one media type."""


def add_examples(document: dict[str, Any], folder: Path) -> None:
    """Give every operation the example requests and answers that are found in `folder`."""
    kept = folder / OPERATIONS
    if kept.is_file():
        examples = json.loads(kept.read_text("utf-8"))
        for path, operations in document["paths"].items():
            for operation in operations.values():
                if operation["operationId"] in examples:
                    _add(operation, path, examples[operation["operationId"]])
    _add_questions(document, folder)
    feed = document["paths"].get("/v1/changes", {}).get("get", {})
    if feed:
        shown = feed["responses"]["200"]["content"]["application/json"].get("examples", {})
        lines = [
            line for example in shown.values() for line in example["value"]["items"] if line["condition"]
        ]
        document["webhooks"] = webhook_messages(lines[0] if lines else None)


def _add(operation: dict[str, Any], path: str, example: dict[str, Any]) -> None:
    request = example["request"]
    _add_parameters(operation, path, request)
    for content in operation.get("requestBody", {}).get("content", {}).values():
        content["examples"] = _example_of(request["body"], FILES[_subject(path)])
    for status, answers in example["answers"].items():
        offered = operation["responses"][status].get("content", {})
        lines = [answers[name] for name in SAME_LINES if name in answers]
        for media_type in offered:
            given = lines[0] if lines and media_type in SAME_LINES else answers.get(media_type)
            offered[media_type]["examples"] = _example_of(given, request["address"])


def _example_of(value: Any, address: str) -> dict[str, Any]:
    """An example under a name. A file is not written out: the address says where there is one. It is no
    `externalValue`, as generators of clients read those from their own disk."""
    if value is None:
        words = f"The bytes of a file, as GET {address} answers it."
        return {"file": {"summary": "A file", "value": words, "x-file": address}}
    if isinstance(value, dict) and set(value) == {"lines"}:
        text = "\n".join(json.dumps(line, ensure_ascii=False) for line in value["lines"])
        return {"lines": {"summary": "One document a line", "value": f"{text}\n"}}
    return {"example": {"summary": "As sent and answered", "value": value}}


def _subject(path: str) -> str:
    return "conditions" if "condition" in path else "vessels"


def _add_parameters(operation: dict[str, Any], path: str, request: dict[str, Any]) -> None:
    """Values of the request for the parameters it has."""
    address, _, query = request["address"].partition("?")
    steps = dict(zip(path.split("/"), address.split("/")))
    asked = dict(parse_qsl(query))
    for parameter in operation.get("parameters", ()):
        name = parameter["name"]
        value = {
            "path": steps.get(f"{{{name}}}"),
            "query": asked.get(name),
            "header": request["headers"].get(name.lower()),
        }[parameter["in"]]
        if value is not None:
            parameter["example"] = _typed(value, parameter["schema"])


def _typed(value: str, schema: dict[str, Any]) -> Any:
    if schema.get("type") in ("integer", "boolean"):
        return json.loads(value)
    return [value] if schema.get("type") == "array" else value


def example_path(name: str) -> str:
    """Where the example of this name is posted: its last word tells."""
    return next((path for word, path in QUESTIONS.items() if name.endswith(f"-{word}")), "/v1/assessments")


def _add_questions(document: dict[str, Any], folder: Path) -> None:
    """Further requests, answers and refusals of what keeps nothing, those that are short enough to read in a
    description."""
    for kind in ("answer", "problem"):
        for path in sorted(folder.glob(f"*.{kind}.json")):
            name = path.name.removesuffix(f".{kind}.json")
            posted = path.with_name(f"{name}.request.json")
            if max(path.stat().st_size, posted.stat().st_size) > MAX_EXAMPLE_BYTES:
                continue
            operation = document["paths"][example_path(name)]["post"]
            (answer,) = operation["responses"]["200" if kind == "answer" else "422"]["content"].values()
            answer.setdefault("examples", {})[name] = _read(path)
            if kind == "answer":
                request = operation["requestBody"]["content"]["application/json"]
                request.setdefault("examples", {})[name] = _read(posted)


def _read(path: Path) -> dict[str, Any]:
    return {"value": json.loads(path.read_text("utf-8"))}
