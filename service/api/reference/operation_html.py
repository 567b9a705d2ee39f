"""One operation of the description as HTML."""

import json
import re
from dataclasses import dataclass, field
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


LONG_EXAMPLE = 4_000
"""Characters from which on an example of the same document is shown once on a page."""
FEW_OPERATIONS = 3
"""Operations of a page below which each has all of its answers beside it."""


@dataclass
class SharedParts:
    """What the operations of one page have in common. `refusals`: rows of answers that each of them has. `examples`:
    the operation that shows a long example of a document, by what is said of its content; filled on the way down."""

    refusals: dict[str, str] = field(default_factory=dict)
    examples: dict[str, str] = field(default_factory=dict)

    @property
    def html(self) -> str:
        """The answers of every operation; nothing where there are none."""
        if not self.refusals:
            return ""
        rows = list(self.refusals.values())
        return f'<h2 id="every-answer">Answers of every operation here</h2>{_answers_table(rows)}'


def shared_parts(operations: list[Operation]) -> SharedParts:
    """The parts that these operations of one page share."""
    if len(operations) < FEW_OPERATIONS:
        return SharedParts()
    first, *others = [_answer_rows(operation) for _, _, operation in operations]
    return SharedParts(
        {status: html for status, html in first.items() if all(each.get(status) == html for each in others)}
    )


def operation_html(each: Operation, shared: SharedParts) -> str:
    """An operation with its parameters, answers and examples."""
    path, method, operation = each
    id = operation["operationId"]
    parameters = [
        row(
            f"<code>{escape(parameter['name'])}</code>{' (required)' if parameter['required'] else ''}",
            parameter["in"],
            type_in_words(parameter["schema"]),
            marked(parameter.get("description", "")),
        )
        for parameter in operation.get("parameters", ())
    ]
    answers = [html for status, html in _answer_rows(operation).items() if status not in shared.refusals]
    body = operation.get("requestBody")
    return "\n".join(
        [
            f'<h2 id="{id}"><code>{method} {escape(path)}</code></h2>',
            "<p><strong>Deprecated.</strong></p>" if operation.get("deprecated") else "",
            f"<p>{marked(operation['summary'])}. {marked(operation.get('description', ''))}</p>",
            f'<p class="quiet">operationId <code>{id}</code>; in the client '
            f"<code>{call_of(operation)}</code></p>",
            table(("Parameter", "In", "Value", "Meaning"), parameters),
            f"<h3>Body</h3><p>{marked(body.get('description', ''))} {_contents(body)}</p>{_examples(body, id, shared)}"
            if body
            else "",
            f"<h3>Answers</h3>{_answers_table(answers)}",
            '<p><a href="#every-answer">And those of every operation here</a></p>' if shared.refusals else "",
            *(_examples(answer, id, shared) for answer in operation["responses"].values()),
        ]
    )


def _answer_rows(operation: dict[str, Any]) -> dict[str, str]:
    return {
        status: row(escape(status), marked(answer["description"]), _contents(answer))
        for status, answer in operation["responses"].items()
    }


def _answers_table(rows: list[str]) -> str:
    return table(("Status", "Meaning", "Content"), rows)


def _contents(holder: dict[str, Any]) -> str:
    return "<br>".join(
        f"<code>{escape(media)}</code> {_content_type(content)}"
        for media, content in holder.get("content", {}).items()
    )


def _content_type(content: dict[str, Any]) -> str:
    if "x-line-schema" in content:
        return f"lines, each {type_in_words(content['x-line-schema'])}"
    return type_in_words(content.get("schema", {}))


def _examples(holder: dict[str, Any], id: str, shared: SharedParts) -> str:
    """Each example once, also where several media types have it, and a long one of a document once on a page."""
    shown: dict[str, str] = {}
    for content in holder.get("content", {}).values():
        kind = json.dumps(
            {name: said for name, said in content.items() if name != "examples"}, sort_keys=True
        )
        for name, example in content.get("examples", {}).items():
            if name in shown:
                continue
            shown[name] = html = example_in_words(example)
            if len(html) < LONG_EXAMPLE or kind == "{}":
                continue
            first = shared.examples.setdefault(kind, id)
            if first != id:
                shown[name] = f'<p>The same document as in the example of <a href="#{first}">{first}</a>.</p>'
    return "".join(
        f"<details><summary>{'Example' if name == 'example' else f'Example: {escape(name)}'}</summary>{html}</details>"
        for name, html in shown.items()
    )
