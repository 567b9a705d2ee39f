"""The pages of the reference, made from the OpenAPI document."""

from html import escape
from typing import Any

from service.api.reference.html import (
    example_in_words,
    marked,
    page,
    row,
    slug,
    table,
    type_in_words,
    units_in_words,
)
from service.api.reference.operation_html import (
    Operation,
    SharedParts,
    address_of,
    line_of,
    operation_html,
    operations_of,
    resources_of,
    shared_parts,
)
from service.wire.changelog import Changelog

MOST_FOUND = 100


def start_page(document: dict[str, Any]) -> str:
    """What the service is, and every address of it."""
    paragraphs = document["info"]["description"].strip().split("\n\n")
    content = [
        '<p>Begin with <a href="/docs/hook-up">Hook up an office</a>: from a key to a webhook, with curl and with the '
        'client. For programs: <a href="/openapi.json">openapi.json</a>; every kind of refusal: '
        '<a href="/problems">problems</a>.</p>',
    ]
    words = {tag["name"]: tag["description"] for tag in document.get("tags", ())}
    for resource, operations in resources_of(document).items():
        content.append(
            f'<h2><a href="/docs/{slug(resource)}">{escape(resource)}</a></h2><p>{marked(words.get(resource, ""))}</p>'
        )
        content.append(f"<ul>{''.join(line_of(each) for each in operations)}</ul>")
    content.append("<h2>What holds everywhere</h2>")
    content += [f"<p>{marked(paragraph)}</p>" for paragraph in paragraphs]
    return page("Reference", "/docs", content)


def resource_page(document: dict[str, Any], name: str) -> str | None:
    """The operations of one resource; None where there is none of the name."""
    for resource, operations in resources_of(document).items():
        if slug(resource) == name:
            content = [f"<ul>{''.join(line_of(each) for each in operations)}</ul>"]
            shared = shared_parts(operations)
            content += [operation_html(each, shared) for each in operations]
            content.append(shared.html)
            content.append(_messages(document, resource))
            return page(resource, f"/docs/{name}", content)
    return None


def _messages(document: dict[str, Any], resource: str) -> str:
    """What the service sends by itself about a resource; nothing where that is none."""
    messages = {
        kind: methods["post"]
        for kind, methods in document.get("webhooks", {}).items()
        if resource in methods["post"]["tags"]
    }
    if not messages:
        return ""
    rows, examples = [], []
    for kind, message in messages.items():
        content = message["requestBody"]["content"]["application/json"]
        rows.append(
            row(f"<code>{escape(kind)}</code>", marked(message["summary"]), type_in_words(content["schema"]))
        )
        examples += [
            f"<details><summary>Example: {escape(kind)}</summary>{example_in_words(example)}</details>"
            for example in content.get("examples", {}).values()
        ]
    headers = [
        row(f"<code>{escape(header['name'])}</code>", marked(header["description"]))
        for header in next(iter(messages.values()))["parameters"]
    ]
    return (
        '<h2 id="messages">Messages</h2><p>What is posted to the address of a webhook, as JSON. Answer with 2xx once '
        "it is kept on your side, and check the signature before anything else, as in "
        '<a href="/docs/hook-up">Hook up an office</a>.</p>'
        + table(("Type", "When", "Body"), rows)
        + table(("Header", "Meaning"), headers)
        + "".join(examples)
    )


def documents_page(document: dict[str, Any]) -> str:
    """Every document by its name."""
    rows = [
        row(f'<a href="/docs/documents/{escape(name)}">{escape(name)}</a>', marked(_first_sentence(schema)))
        for name, schema in sorted(document["components"]["schemas"].items())
    ]
    return page("Documents", "/docs/documents", [table(("Name", "What it is"), rows)])


def document_page(document: dict[str, Any], name: str) -> str | None:
    """One document with its members; None where there is none of the name."""
    schema = document["components"]["schemas"].get(name)
    if schema is None:
        return None
    required = set(schema.get("required", ()))
    rows = [
        row(
            f"<code>{escape(member)}</code>{'' if member in required else ' (may be absent)'}"
            + (" <strong>deprecated</strong>" if part.get("deprecated") else ""),
            type_in_words(part),
            units_in_words(part),
            marked(part.get("description", "")),
        )
        for member, part in schema.get("properties", {}).items()
    ]
    content = [
        f"<p>{marked(schema.get('description', ''))}</p>",
        table(("Member", "Type", "Unit (metric; us)", "Meaning"), rows) or f"<p>{type_in_words(schema)}</p>",
        _used_in(document, name),
    ]
    return page(name, "/docs/documents", content)


def changelog_page(document: dict[str, Any], changelog: Changelog) -> str:
    """What changed, newest first, and how a program asks for it."""
    rows = [
        row(
            item["date"],
            item["kind"],
            marked(item["what"])
            + (f" Goes on {item['sunset']}." if item["sunset"] else "")
            + (f" Instead: {marked(item['instead'])}." if item["instead"] else ""),
            ", ".join(f"<code>{escape(name)}</code>" for name in item["operations"]),
        )
        for item in changelog["items"]
    ]
    content = [
        '<p>For programs: <a href="/v1/changelog">/v1/changelog</a>. Version 1 only grows.</p>',
        table(("Date", "Kind", "What", "Operations"), rows),
        *(operation_html(each, SharedParts()) for each in resources_of(document)["Changelog"]),
    ]
    return page("Changelog", "/docs/changelog", content)


def search_page(document: dict[str, Any], asked: str) -> str:
    """Operations and documents in which every word that is asked for stands."""
    words = asked.lower().split()
    operations = [each for each in operations_of(document) if words and _has(_text_of(each), words)]
    documents = [
        (name, schema)
        for name, schema in sorted(document["components"]["schemas"].items())
        if words and _has(_text_of_document(name, schema), words)
    ]
    documents.sort(key=lambda found: not _has(found[0].lower(), words))
    entries = [line_of(each) for each in operations]
    entries += [
        f'<li>Document <a href="/docs/documents/{escape(name)}">{escape(name)}</a> {marked(_first_sentence(schema))}'
        f"{_members_found(schema, words)}</li>"
        for name, schema in documents
    ]
    found = f"{len(entries)} found" + (f", the first {MOST_FOUND} shown" if len(entries) > MOST_FOUND else "")
    content = [
        f"<p>{found}.</p>"
        if words
        else "<p>Type words that stand in an address, a document or a member.</p>",
        f"<ul>{''.join(entries[:MOST_FOUND])}</ul>" if entries else "",
    ]
    return page("Search", "/docs/search", content, searched=asked)


def _first_sentence(schema: dict[str, Any]) -> str:
    return str(schema.get("description", "")).partition("\n\n")[0].partition(". ")[0].removesuffix(".")


def _has(text: str, words: list[str]) -> bool:
    return all(word in text for word in words)


def _text_of(each: Operation) -> str:
    path, method, operation = each
    parameters = " ".join(
        f"{parameter['name']} {parameter.get('description', '')}"
        for parameter in operation.get("parameters", ())
    )
    said = (operation["operationId"], operation["summary"], operation.get("description", ""), parameters)
    return f"{method} {path} {' '.join(said)}".lower()


def _text_of_document(name: str, schema: dict[str, Any]) -> str:
    members = " ".join(
        f"{member} {part.get('description', '')}" for member, part in schema.get("properties", {}).items()
    )
    return f"{name} {schema.get('description', '')} {members}".lower()


def _members_found(schema: dict[str, Any], words: list[str]) -> str:
    """Members whose name or words have something of what is asked for."""
    found = [
        member
        for member, part in schema.get("properties", {}).items()
        if any(word in f"{member} {part.get('description', '')}".lower() for word in words)
    ]
    return f": {', '.join(f'<code>{escape(member)}</code>' for member in found[:8])}" if found else ""


def _used_in(document: dict[str, Any], name: str) -> str:
    """Where a document stands: operations, and other documents."""
    reference = f"'#/components/schemas/{name}'"
    operations = [
        f'<li><a href="{address_of(operation)}"><code>{method} {escape(path)}</code></a></li>'
        for path, method, operation in operations_of(document)
        if reference in repr([_schemas(operation)])
    ]
    documents = [
        f'<li><a href="/docs/documents/{escape(other)}">{escape(other)}</a></li>'
        for other, schema in document["components"]["schemas"].items()
        if other != name and reference in repr(schema)
    ]
    if not operations and not documents:
        return ""
    return f"<h2>Stands in</h2><ul>{''.join(operations + documents)}</ul>"


def _schemas(operation: dict[str, Any]) -> list[Any]:
    parts = [operation.get("requestBody", {}), *operation["responses"].values()]
    return [
        content.get("x-line-schema") or content.get("schema")
        for part in parts
        for content in part.get("content", {}).values()
    ]
