"""The working of an answer as a worksheet that can be followed with a pencil."""

import re
from collections.abc import Iterable, Mapping, Sequence
from textwrap import wrap
from typing import Any

from service.wire.figures import MINUS
from service.wire.place_in_words import place_in_words
from service.wire.working import SymbolNames, WorkingInput, WorkingNode

HEADINGS = (
    ("lightship", "Lightship"),
    ("tank", "Tanks"),
    ("liquid", "Liquids by group"),
    ("weights", "Weights by group"),
    ("displacement", "Displacement and centres"),
    ("free_surface", "Free surface"),
    ("water_density", "Drafts and trim"),
    ("gm_solid", "GM"),
    ("heeling_arm", "Righting lever"),
    ("strength", "Longitudinal strength"),
    ("criterion", "Criteria and margins"),
    ("survey", "Draft survey"),
)
"""First part of the id of the node that opens a section, and its heading."""
WIDTH = 110
_SYMBOL = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_FUNCTIONS = {"sqrt", "sin", "cos", "tan", "atan", "abs", "min", "max", "sum"}


def worksheet_text(
    nodes: Iterable[WorkingNode], documents: Mapping[str, Any], titles: Mapping[str, str]
) -> str:
    """Every node in its order, under headings. documents: `vessel` and `condition` as typed, by which places are named;
    titles: of the criteria by their ids."""
    lines: list[str] = []
    said = SymbolNames()
    waiting = list(HEADINGS)
    before = None
    for node in nodes:
        first, *rest = node["id"].split("/")
        for k, (opens, heading) in enumerate(waiting):
            if first == opens:
                lines += ["", heading, "-" * len(heading)]
                del waiting[: k + 1]
                break
        if first == "criterion" and rest[0] != before and rest[0] in titles:
            before = rest[0]
            lines += ["", *wrap(titles[before], WIDTH)]
        lines += _node_lines(node, said, documents)
    return "\n".join(lines).strip() + "\n"


def _node_lines(node: WorkingNode, said: SymbolNames, documents: Mapping[str, Any]) -> list[str]:
    result = f"= {_number(node['value'])} {node['unit']}".rstrip()
    name = node["name"][:1].upper() + node["name"][1:]
    inputs = node["inputs"]
    match node["kind"]:
        case "copy":
            return [_row(name, f"{result}   {_origin(inputs[0], documents)}")]
        case "sum":
            return [name, *_terms(node), _row("", result)]
        case "interpolation" | "product_interpolation":
            return [name, *_rows_of_a_table(node, documents), _row(f"    {node['formula']}", result)]
        case "root":
            zero = f"{_with_values(node)} = 0"
            meant = _meanings(inputs, said)
            return [
                name,
                *_outside_inputs(inputs, documents),
                *meant,
                f"    {zero}",
                _row(f"    {node['formula']}", result),
            ]
        case _:
            text = f"    {node['expression']} = {_with_values(node)}"
            return [
                name,
                *_outside_inputs(inputs, documents),
                *_meanings(inputs, said),
                _row(text, result),
                *_source(node),
            ]


def _meanings(inputs: Sequence[WorkingInput], said: SymbolNames) -> list[str]:
    """What the symbols of figures above stand for, at their first use."""
    words = "; ".join(said.new(entry for entry in inputs if entry["from"]["kind"] == "working"))
    return wrap(words, WIDTH, initial_indent="    ", subsequent_indent="    ")


def _row(left: str, right: str) -> str:
    return f"{left:<{WIDTH - 40}} {right}".rstrip() if len(left) < WIDTH - 40 else f"{left}\n{'':<8}{right}"


def _source(node: WorkingNode) -> list[str]:
    if node["source"] == "definition":
        return []
    memory = "" if node["from_memory"] is None else f" ({node['from_memory']})"
    return [f"    [{node['source']}{memory}]"]


def _terms(node: WorkingNode) -> list[str]:
    if node["expression"] == "sum(m)":
        return [_row(f"    {_short(entry)}", f"  {_number(entry['value'])}") for entry in node["inputs"]]
    pairs = zip(node["inputs"][::2], node["inputs"][1::2], strict=True)
    return [
        _row(
            f"    {_short(m)} x {_short(z)}"[: WIDTH - 41],
            f"  {_number(m['value'])} x {_number(z['value'])} = {_number(m['value'] * z['value'])}",
        )
        for m, z in pairs
    ]


def _rows_of_a_table(node: WorkingNode, documents: Mapping[str, Any]) -> list[str]:
    by = {entry["symbol"]: entry for entry in node["inputs"]}
    rows = []
    for x, y in (("x0", "y0"), ("x1", "y1")):
        at = f"{_number(by[x]['value'])} {by[x]['unit']}"
        rows.append(f"    {at}: {_number(by[y]['value'])}   {_origin(by[y], documents)}")
    return [*rows, f"    at {_number(by['x']['value'])} {by['x']['unit']}"]


def _outside_inputs(inputs: Sequence[WorkingInput], documents: Mapping[str, Any]) -> list[str]:
    """Inputs that come from elsewhere than the sheet, each with its place."""
    return [
        f"    {entry['symbol']} = {_number(entry['value'])} {entry['unit']}   {_origin(entry, documents)}"
        for entry in inputs
        if entry["from"]["kind"] != "working"
    ]


def _origin(entry: WorkingInput, documents: Mapping[str, Any]) -> str:
    """Where an input comes from; a place of a document in words, rows counted from 1."""
    origin = entry["from"]
    match origin["kind"]:
        case "vessel" | "condition":
            typed = ""
            if origin.get("converted"):
                typed = f", typed {_number(origin['original'])}"
            place = place_in_words(origin["pointer"], documents.get(origin["kind"]))
            return f"({origin['kind']}: {place}{typed})"
        case "working":
            return f"(above: {entry['name']})"
        case _:
            return f"({entry['name']})"


def _short(entry: WorkingInput) -> str:
    return entry["name"]


def _with_values(node: WorkingNode) -> str:
    """The expression with the value of every symbol in its place."""
    values = {entry["symbol"]: entry["value"] for entry in node["inputs"]}

    def value_of(found: re.Match[str]) -> str:
        name = found.group()
        if name in _FUNCTIONS or name not in values:
            return name
        text = _number(values[name])
        return f"({text})" if values[name] < 0.0 else text

    return _SYMBOL.sub(value_of, node["expression"])


def _number(value: float) -> str:
    """Six digits, as a pencil would carry them; never an exponent for what is written in full in a booklet."""
    text = f"{abs(value):.6g}"
    if "e" in text and 1e-9 < abs(value) < 1e9:
        text = f"{abs(value):.9f}".rstrip("0").rstrip(".")
    return f"{MINUS}{text}" if value < 0.0 and text != "0" else text
