"""The working in a fifth of its size: every text once, and what many nodes share once.

Nothing is lost: `expanded` gives back the nodes. Numbers in place of texts are places in `texts`; 0 is the empty text,
or none."""

from typing import Any, Final

from typing_extensions import TypedDict

from service.wire.working import WorkingNode

MANNER: Final = ("kind", "expression", "symbols", "unit", "source", "from_memory", "symbol", "formula")
NODE: Final = ("stem", "end", "path_stem", "path_end", "name", "subject", "manner", "value", "inputs")
NAMED: Final = ("column", "name", "value")
TYPED: Final = (*NAMED, "place")
COLUMN: Final = ("unit", "origin", "conversion")


class CompactWorking(TypedDict):
    """`texts`: each once. `manners`: rows of texts under the heads `manner`, what nodes made alike share; `symbols` are
    those of the inputs, parted by blanks (0 for a sum: m1, m2, ... or m1, z1, m2, z2, ...), `symbol` 0 is the last part
    of the id and `formula` 0 the name. `nodes`: rows under the heads `node`; where there is a `subject` it stands for
    the star in `name`; id and path are `stem` and `end` with a slash between, or `end` alone where the stem is 0 (a
    path begins with a slash, and is none where its end is 0); a value of null is that of the one input. An input is the
    place of another node in `nodes`, or, where it is negative, that of a row in `given` (-1 is the first): under the
    heads `named` for a constant or a figure of a rule, `typed` for a figure as typed. Its `column` is the place of a
    row in `columns` under the heads `column`: unit, and `constant` or the id of the rule; or unit, the last part of the
    JSON pointer (`place`, which begins with the document's name, is the rest) and, where the figure is converted, the
    place of factor and offset in `conversions`: the input is value x factor + offset, or what follows the `place`."""

    texts: list[str]
    manner: list[str]
    node: list[str]
    typed: list[str]
    named: list[str]
    conversions: list[list[float]]
    column: list[str]
    columns: list[list[int]]
    given: list[list[Any]]
    manners: list[list[int]]
    nodes: list[list[Any]]


def expanded(working: CompactWorking) -> list[WorkingNode]:
    """The nodes that `compact` was given. Source: the description of `CompactWorking`."""
    texts, found = working["texts"], list[WorkingNode]()
    for stem, end, path_stem, path_end, name, subject, manner, value, inputs in working["nodes"]:
        kind, expression, symbols, unit, source, memory, symbol, formula = working["manners"][manner]
        whole = name_of(texts[name], texts[subject])
        of_inputs = [_input_of(each, working, found) for each in inputs]
        parted = symbols_of(texts[symbols], texts[expression], len(inputs))
        node: Any = {
            "id": id_of(texts[stem], texts[end]),
            "path": path_of(texts[path_stem], texts[path_end]),
            "name": whole,
            "symbol": texts[symbol] or texts[end],
            "kind": texts[kind],
            "formula": texts[formula] or whole,
            "expression": texts[expression],
            "inputs": [{"symbol": its, **each} for its, each in zip(parted, of_inputs, strict=True)],
            "value": of_inputs[0]["value"] if value is None else value,
            "unit": texts[unit],
            "source": texts[source],
            "from_memory": texts[memory] or None,
        }
        found.append(node)
    return found


def id_of(stem: str, end: str) -> str:
    """The id of a node. Source: the description of `CompactWorking`."""
    return f"{stem}/{end}" if stem else end


def path_of(stem: str, end: str) -> str | None:
    """The place of a node in the answer; None without an end. Source: the description of `CompactWorking`."""
    return f"{stem}/{end}" if end else None


def name_of(name: str, subject: str) -> str:
    """The name with its subject in the place of its star. Source: the description of `CompactWorking`."""
    return name.replace("*", subject, 1) if subject else name


def symbols_of(symbols: str, expression: str, inputs: int) -> list[str]:
    """The symbols of that many inputs. Source: the description of `CompactWorking`."""
    if symbols:
        return symbols.split(" ")
    if expression == "sum(m)":
        return [f"m{n}" for n in range(1, inputs + 1)]
    return [f"{each}{n}" for n in range(1, inputs // 2 + 1) for each in "mz"]


def nodes_of(working: list[WorkingNode] | CompactWorking) -> list[WorkingNode]:
    """The nodes of an answer's working, whichever way it came. Source: definition."""
    return working if isinstance(working, list) else expanded(working)


def _input_of(place: int, working: CompactWorking, found: list[WorkingNode]) -> dict[str, Any]:
    texts = working["texts"]
    if place >= 0:
        node = found[place]
        return {
            "name": node["name"],
            "value": node["value"],
            "unit": node["unit"],
            "from": {"kind": "working", "id": node["id"]},
        }
    column, name, value, *more = working["given"][-1 - place]
    unit, origin, *conversion = working["columns"][column]
    found_there: Any
    if not more:
        found_there = {"kind": "rule", "id": texts[origin]}
        if texts[origin] == "constant":
            found_there = {"kind": "constant", "name": texts[name]}
    else:
        kind, slash, rest = texts[more[0]].partition("/")
        found_there = {"kind": kind, "pointer": f"{slash}{rest}/{texts[origin]}"}
        if conversion:
            factor, offset = working["conversions"][conversion[0]]
            found_there |= {"converted": True, "factor": factor, "offset": offset, "original": value}
            value = more[1] if len(more) > 1 else value * factor + offset
    return {"name": texts[name], "value": value, "unit": texts[unit], "from": found_there}
