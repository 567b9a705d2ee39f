"""One operation of the description as HTML."""

import re
from html import escape
from typing import Any

from service.api.reference.html import example_in_words, marked, row, slug, table, type_in_words

Operation = tuple[str, str, dict[str, Any]]
"""Path, method in capitals, and what the description says of it."""


def operations_of(document: dict[str, Any]) -> list[Operation]:
    """Every operation, in the order of the description."""
    return [
        (path, method.upper(), operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def resources_of(document: dict[str, Any]) -> dict[str, list[Operation]]:
    """The operations by resource, resources in alphabetical order."""
    found: dict[str, list[Operation]] = {}
    for each in operations_of(document):
        found.setdefault(each[2]["tags"][0], []).append(each)
    return dict(sorted(found.items()))


def address_of(operation: dict[str, Any]) -> str:
    """Where in the reference an operation stands."""
    return f"/docs/{slug(operation['tags'][0])}#{operation['operationId']}"


def call_of(operation: dict[str, Any]) -> str:
    """The name of its call in the client."""
    return re.sub(r"(?=[A-Z])", "_", operation["operationId"]).lower()


def line_of(each: Operation) -> str:
    """An operation as an entry of a list."""
    path, method, operation = each
    return (
        f'<li><a href="{address_of(operation)}"><code>{method} {escape(path)}</code></a> '
        f"{marked(operation['summary'])}</li>"
    )


def operation_html(each: Operation) -> str:
    """An operation with its parameters, answers and examples."""
    path, method, operation = each
    parameters = [
        row(
            f"<code>{escape(parameter['name'])}</code>{' (required)' if parameter['required'] else ''}",
            parameter["in"],
            type_in_words(parameter["schema"]),
            marked(parameter.get("description", "")),
        )
        for parameter in operation.get("parameters", ())
    ]
    answers = [
        row(escape(status), marked(answer["description"]), _contents(answer))
        for status, answer in operation["responses"].items()
    ]
    body = operation.get("requestBody")
    return "\n".join(
        [
            f'<h2 id="{operation["operationId"]}"><code>{method} {escape(path)}</code></h2>',
            "<p><strong>Deprecated.</strong></p>" if operation.get("deprecated") else "",
            f"<p>{marked(operation['summary'])}. {marked(operation.get('description', ''))}</p>",
            f'<p class="quiet">operationId <code>{operation["operationId"]}</code>; in the client '
            f"<code>{call_of(operation)}</code></p>",
            table(("Parameter", "In", "Value", "Meaning"), parameters),
            f"<h3>Body</h3><p>{marked(body.get('description', ''))} {_contents(body)}</p>{_examples(body)}"
            if body
            else "",
            f"<h3>Answers</h3>{table(('Status', 'Meaning', 'Content'), answers)}",
            *(_examples(answer) for answer in operation["responses"].values()),
        ]
    )


def _contents(holder: dict[str, Any]) -> str:
    return "<br>".join(
        f"<code>{escape(media)}</code> {_content_type(content)}"
        for media, content in holder.get("content", {}).items()
    )


def _content_type(content: dict[str, Any]) -> str:
    if "x-line-schema" in content:
        return f"lines, each {type_in_words(content['x-line-schema'])}"
    return type_in_words(content.get("schema", {}))


def _examples(holder: dict[str, Any]) -> str:
    """Each example once, also where several media types have it."""
    shown: dict[str, str] = {}
    for content in holder.get("content", {}).values():
        for name, example in content.get("examples", {}).items():
            shown.setdefault(name, example_in_words(example))
    return "".join(
        f"<details><summary>{'Example' if name == 'example' else f'Example: {escape(name)}'}</summary>{html}</details>"
        for name, html in shown.items()
    )
