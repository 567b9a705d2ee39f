"""The working of an answer as a worksheet that can be followed with a pencil."""

import re
from collections.abc import Iterable, Sequence
from textwrap import wrap

from service.wire.figures import MINUS
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
    ("criterion", "Criteria and margins"),
)
"""First part of the id of the node that opens a section, and its heading."""
WIDTH = 110
_SYMBOL = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_FUNCTIONS = {"sqrt", "sin", "cos", "tan", "atan", "abs", "min", "max", "sum"}


def worksheet_text(nodes: Iterable[WorkingNode]) -> str:
    """Every node in its order, under headings."""
    lines: list[str] = []
    said = SymbolNames()
    waiting = list(HEADINGS)
    for node in nodes:
        first = node["id"].split("/")[0]
        for k, (opens, heading) in enumerate(waiting):
            if first == opens:
                lines += ["", heading, "-" * len(heading)]
                del waiting[: k + 1]
                break
        lines += _node_lines(node, said)
    return "\n".join(lines).strip() + "\n"


def _node_lines(node: WorkingNode, said: SymbolNames) -> list[str]:
    result = f"= {_number(node['value'])} {node['unit']}".rstrip()
    name = node["name"][:1].upper() + node["name"][1:]
    inputs = node["inputs"]
    match node["kind"]:
        case "copy":
            return [_row(name, f"{result}   {_origin(inputs[0])}")]
        case "sum":
            return [name, *_terms(node), _row("", result)]
        case "interpolation" | "product_interpolation":
            return [name, *_rows_of_a_table(node), _row(f"    {node['formula']}", result)]
        case "root":
            zero = f"{_with_values(node)} = 0"
            meant = _meanings(inputs, said)
            return [
                name,
                *_outside_inputs(inputs),
                *meant,
                f"    {zero}",
                _row(f"    {node['formula']}", result),
            ]
        case _:
            text = f"    {node['expression']} = {_with_values(node)}"
            return [
                name,
                *_outside_inputs(inputs),
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


def _rows_of_a_table(node: WorkingNode) -> list[str]:
    by = {entry["symbol"]: entry for entry in node["inputs"]}
    return [
        f"    {_number(by['x0']['value'])} {by['x0']['unit']}: {_number(by['y0']['value'])}   {_origin(by['y0'])}",
        f"    {_number(by['x1']['value'])} {by['x1']['unit']}: {_number(by['y1']['value'])}   {_origin(by['y1'])}",
        f"    at {_number(by['x']['value'])} {by['x']['unit']}",
    ]


def _outside_inputs(inputs: Sequence[WorkingInput]) -> list[str]:
    """Inputs that come from elsewhere than the sheet, each with its place."""
    return [
        f"    {entry['symbol']} = {_number(entry['value'])} {entry['unit']}   {_origin(entry)}"
        for entry in inputs
        if entry["from"]["kind"] != "working"
    ]


def _origin(entry: WorkingInput) -> str:
    origin = entry["from"]
    match origin["kind"]:
        case "vessel" | "condition":
            typed = ""
            if origin.get("converted"):
                typed = f", typed {_number(origin['original'])}"
            return f"({origin['kind']} {origin['pointer']}{typed})"
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
