"""Pieces of HTML of the reference: plain pages that work under a strict content policy."""

import json
import re
from collections.abc import Iterable
from html import escape
from typing import Any

from service.wire.assessment import CAUTION

STYLE = """\
:root { color-scheme: light dark; --paper: #fbfaf7; --ink: #1b1e23; --quiet: #565b63; --rule: #d3d0c7;
  --accent: #1d5b79; --note: #f3f0e8; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #15181b; --ink: #e8e6df; --quiet: #a6abb2; --rule: #3b4046; --accent: #8cc4e0; --note: #1d2125; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 0 1rem 3rem; max-width: 66rem; color: var(--ink); background: var(--paper);
  font: 1rem/1.55 system-ui, -apple-system, "Segoe UI", Roboto, "Liberation Sans", sans-serif;
  overflow-wrap: break-word; }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0 1.2rem; margin: 0.4rem 0; }
nav a { display: inline-block; padding: 0.3rem 0; }
header { border-bottom: 1px solid var(--rule); font-size: 0.875rem; }
[aria-current] { color: var(--ink); font-weight: 600; }
h1, h2, h3 { line-height: 1.25; font-weight: 600; }
h1 { font-size: 1.3rem; margin: 1rem 0; }
h2 { font-size: 1.1rem; margin: 2.5rem 0 0.6rem; padding-top: 1rem; border-top: 1px solid var(--rule); }
h3 { font-size: 1rem; margin: 1.2rem 0 0.4rem; }
a { color: var(--accent); text-underline-offset: 0.18em; }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
code, pre { font: 0.9em/1.45 ui-monospace, "Liberation Mono", monospace; }
pre { overflow-x: auto; padding: 0.8rem; border: 1px solid var(--rule); background: var(--note); max-height: 32rem; }
table { border-collapse: collapse; width: 100%; font-size: 0.9375rem; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.8rem 0.3rem 0; border-bottom: 1px solid var(--rule); }
.scroll { overflow-x: auto; }
.pair { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(28rem, 100%), 1fr)); gap: 0 1rem; }
.pair > div { min-width: 0; }
.pair pre { white-space: pre-wrap; }
.quiet { color: var(--quiet); }
.skip { position: absolute; left: 1rem; top: -4rem; padding: 0.5rem 1rem; background: var(--paper); }
.skip:focus { top: 0.5rem; }
form { display: flex; flex-wrap: wrap; gap: 0.5rem; margin: 0.6rem 0; align-items: end; }
label { display: block; font-size: 0.875rem; }
input, button { font: inherit; color: inherit; background: transparent; border: 1px solid var(--quiet);
  border-radius: 3px; padding: 0.35rem 0.6rem; min-height: 2.5rem; }
input { width: min(28rem, 100%); }
footer { margin-top: 3rem; padding-top: 0.8rem; border-top: 1px solid var(--rule); font-size: 0.875rem;
  color: var(--quiet); }
"""
_ENTRIES = (
    ("/docs", "Reference"),
    ("/docs/hook-up", "Hook up an office"),
    ("/docs/documents", "Documents"),
    ("/docs/changelog", "Changelog"),
)


def page(title: str, address: str, content: Iterable[str], *, searched: str = "") -> str:
    """A page of the reference."""
    links = "".join(
        f'<li><a href="{to}"{_current(to == address)}>{name}</a></li>'
        for to, name in (*_ENTRIES, ("/", "The pages"))
    )
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)} - Loading conditions</title>",
        '<link rel="stylesheet" href="/docs/style.css"></head><body>',
        '<a class="skip" href="#main">To the content</a>',
        f'<header><nav aria-label="Reference"><ul>{links}</ul></nav></header>',
        '<form action="/docs/search" role="search"><div><label for="q">Search the reference</label>'
        f'<input id="q" name="q" type="search" maxlength="100" value="{escape(searched)}"></div>'
        "<button>Search</button></form>",
        f'<main id="main"><h1>{escape(title)}</h1>',
        *content,
        f"</main><footer><p>{escape(CAUTION)}</p></footer></body></html>",
    ]
    return "\n".join(part for part in parts if part)


def _current(here: bool) -> str:
    return ' aria-current="page"' if here else ""


def marked(text: str) -> str:
    """Escaped text, with `code` and **stress** as the description writes them."""
    html = escape(text)
    for mark, tag in (("**", "strong"), ("`", "code")):
        pieces = html.split(mark)
        html = "".join(f"<{tag}>{piece}</{tag}>" if i % 2 else piece for i, piece in enumerate(pieces))
    return html


def slug(text: str) -> str:
    """A name as part of an address."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def table(head: tuple[str, ...], rows: list[str]) -> str:
    """A table; nothing where it has no rows."""
    if not rows:
        return ""
    cells = "".join(f'<th scope="col">{title}</th>' for title in head)
    return f'<div class="scroll"><table><thead><tr>{cells}</tr></thead><tbody>{"".join(rows)}</tbody></table></div>'


def row(*cells: str) -> str:
    """A row of cells that are HTML already."""
    return f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def type_in_words(schema: dict[str, Any]) -> str:
    """What a value may be, with a link to a document's page."""
    if "$ref" in schema:
        name = escape(schema["$ref"].rsplit("/", 1)[-1])
        return f'<a href="/docs/documents/{name}">{name}</a>'
    if "enum" in schema or "const" in schema:
        values = schema.get("enum") or [schema["const"]]
        return ", ".join(f"<code>{escape(str(value))}</code>" for value in values)
    if "anyOf" in schema:
        kinds = [type_in_words(part) for part in schema["anyOf"] if part.get("type") != "null"]
        null = ["null"] if len(kinds) < len(schema["anyOf"]) else []
        return " or ".join(kinds + null)
    if schema.get("type") == "array":
        return f"list of {type_in_words(schema.get('items', {}))}"
    if isinstance(schema.get("additionalProperties"), dict):
        return f"object with values {type_in_words(schema['additionalProperties'])}"
    if schema.get("format") == "binary":
        return "file"
    return escape(str(schema.get("type", "any"))) + _bounds(schema)


def _bounds(schema: dict[str, Any]) -> str:
    signs = (("exclusiveMinimum", "&gt;"), ("minimum", "≥"), ("maximum", "≤"), ("maxLength", "up to"))
    shown = [
        f"{sign} {value if isinstance(value := schema[key], int) else format(value, 'g')}"
        for key, sign in signs
        if key in schema
    ]
    return f" ({', '.join(shown)})" if shown else ""


def units_in_words(schema: dict[str, Any]) -> str:
    """The unit of a figure in both systems; empty where it has none."""
    for part in (schema, *schema.get("anyOf", ())):
        if "x-units" in part:
            metric, us = part["x-units"]["metric"], part["x-units"]["us"]
            return escape(metric if metric == us else f"{metric}; {us}")
    return ""


def example_in_words(example: dict[str, Any]) -> str:
    """An example as it is sent, or where to get the file."""
    if "x-file" in example:
        address = escape(example["x-file"])
        return f"<p>A file, as from <code>GET {address}</code>.</p>"
    value = example["value"]
    text = value if isinstance(value, str) else json.dumps(value, indent=1, ensure_ascii=False)
    return f"<pre>{escape(text, quote=False)}</pre>"
