"""The reference as a page, made from the OpenAPI document: plain HTML that works under a strict content policy."""

import json
from html import escape
from typing import Any

STYLE = """\
:root { color-scheme: light dark; --ink: #1b1e23; --paper: #fbfaf7; --line: #d5d2c9; --accent: #1d5b79; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e6e4dd; --paper: #16181b; --line: #3a3d42; --accent: #86bfdc; }
}
body { margin: 0 auto; padding: 2rem 1rem 4rem; max-width: 62rem; color: var(--ink); background: var(--paper);
  font: 1rem/1.55 system-ui, sans-serif; }
h1, h2, h3 { line-height: 1.25; }
h2 { margin-top: 3rem; border-bottom: 1px solid var(--line); }
h3 { margin-top: 2.2rem; }
a { color: var(--accent); }
code, pre { font: 0.92em/1.45 ui-monospace, monospace; }
pre { overflow-x: auto; padding: 0.8rem; border: 1px solid var(--line); max-height: 30rem; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.8rem 0.3rem 0; border-bottom: 1px solid var(--line); }
.scroll { overflow-x: auto; }
"""


def reference_page(document: dict[str, Any]) -> str:
    """The page for an OpenAPI document."""
    info = document["info"]
    operations = [
        (path, method.upper(), operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]
    schemas = document["components"]["schemas"]
    title = escape(info["title"])
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f'<title>{title}: reference</title><link rel="stylesheet" href="/docs/style.css"></head><body>',
        f"<h1>{title}: reference</h1>",
        *(f"<p>{_marked(paragraph)}</p>" for paragraph in info["description"].strip().split("\n\n")),
        '<p>The same for programs: <a href="/openapi.json">openapi.json</a>. Every kind of refusal: '
        '<a href="/problems">problems</a>.</p>',
        "<h2>Addresses</h2><ul>",
        *(f'<li><a href="#{_anchor(m, p)}"><code>{m} {escape(p)}</code></a></li>' for p, m, _ in operations),
        "</ul>",
        *(_operation(path, method, operation) for path, method, operation in operations),
        "<h2>Documents</h2>",
        *(_schema(name, schema) for name, schema in schemas.items()),
        "</body></html>",
    ]
    return "\n".join(parts)


def _anchor(method: str, path: str) -> str:
    return escape(f"{method}{path}".replace("/", "-").replace("{", "").replace("}", "").lower())


def _marked(text: str) -> str:
    """Escaped text, with `code` and **stress** as the description writes them."""
    html = escape(text)
    for mark, tag in (("**", "strong"), ("`", "code")):
        pieces = html.split(mark)
        html = "".join(f"<{tag}>{piece}</{tag}>" if i % 2 else piece for i, piece in enumerate(pieces))
    return html


def _operation(path: str, method: str, operation: dict[str, Any]) -> str:
    rows = [
        f"<tr><td><code>{escape(parameter['name'])}</code></td><td>{_type(parameter['schema'])}</td>"
        f"<td>{_marked(parameter.get('description', ''))}</td></tr>"
        for parameter in operation.get("parameters", ())
    ]
    answers = [
        f"<tr><td>{escape(status)}</td><td>{_marked(answer['description'])}</td><td>{_contents(answer)}</td></tr>"
        for status, answer in operation["responses"].items()
    ]
    body = operation.get("requestBody")
    return "\n".join(
        [
            f'<h3 id="{_anchor(method, path)}"><code>{method} {escape(path)}</code></h3>',
            f"<p>{_marked(operation.get('summary', ''))}.</p><p>{_marked(operation.get('description', ''))}</p>",
            _table(("Parameter", "Value", "Meaning"), rows),
            f"<p>Body: {_contents(body)}</p>{_examples(body)}" if body else "",
            _table(("Status", "Meaning", "Content"), answers),
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
        return f"lines of {_type(content['x-line-schema'])}"
    return _type(content.get("schema", {}))


def _examples(holder: dict[str, Any]) -> str:
    shown = []
    for content in holder.get("content", {}).values():
        for name, example in content.get("examples", {}).items():
            text = escape(json.dumps(example["value"], indent=1, ensure_ascii=False))
            shown.append(f"<details><summary>Example: {escape(name)}</summary><pre>{text}</pre></details>")
    return "".join(shown)


def _schema(name: str, schema: dict[str, Any]) -> str:
    required = set(schema.get("required", ()))
    rows = [
        f"<tr><td><code>{escape(member)}</code>{'' if member in required else ' (optional)'}</td>"
        f"<td>{_type(part)}</td><td>{_units(part)}</td><td>{_marked(part.get('description', ''))}</td></tr>"
        for member, part in schema.get("properties", {}).items()
    ]
    table = _table(("Member", "Type", "Unit (metric; us)", "Meaning"), rows)
    return (
        f'<h3 id="{escape(name)}">{escape(name)}</h3><p>{_marked(schema.get("description", ""))}</p>{table}'
    )


def _table(head: tuple[str, ...], rows: list[str]) -> str:
    if not rows:
        return ""
    cells = "".join(f'<th scope="col">{title}</th>' for title in head)
    return f'<div class="scroll"><table><thead><tr>{cells}</tr></thead><tbody>{"".join(rows)}</tbody></table></div>'


def _units(schema: dict[str, Any]) -> str:
    for part in (schema, *schema.get("anyOf", ())):
        if "x-units" in part:
            metric, us = part["x-units"]["metric"], part["x-units"]["us"]
            return escape(metric if metric == us else f"{metric}; {us}")
    return ""


def _type(schema: dict[str, Any]) -> str:
    if "$ref" in schema:
        name = escape(schema["$ref"].rsplit("/", 1)[-1])
        return f'<a href="#{name}">{name}</a>'
    if "enum" in schema or "const" in schema:
        values = schema.get("enum") or [schema["const"]]
        return ", ".join(f"<code>{escape(str(value))}</code>" for value in values)
    if "anyOf" in schema:
        return " or ".join(_type(part) for part in schema["anyOf"] if part.get("type") != "null")
    if schema.get("type") == "array":
        return f"list of {_type(schema.get('items', {}))}"
    return escape(str(schema.get("type", ""))) + _bounds(schema)


def _bounds(schema: dict[str, Any]) -> str:
    signs = (("exclusiveMinimum", "&gt;"), ("minimum", "≥"), ("maximum", "≤"), ("maxLength", "up to"))
    shown = [f"{sign} {schema[key]:g}" for key, sign in signs if key in schema]
    return f" ({', '.join(shown)})" if shown else ""
