"""The working in a fifth of its size: every text once, and what many nodes share once.

Nothing is lost: `expanded` gives back the nodes. Numbers in place of texts are places in `texts`; 0 is the empty text,
or none."""

from collections.abc import Iterable
from typing import Any, Final

from typing_extensions import TypedDict

from service.wire.working import WorkingInput, WorkingNode, WorkingOrigin

MANNER: Final = ("kind", "expression", "symbols", "unit", "source", "from_memory", "symbol", "formula")
NODE: Final = ("stem", "end", "path_stem", "path_end", "name", "subject", "manner", "value", "inputs")
NAMED: Final = ("name", "value", "unit", "kind")
TYPED: Final = ("place", "member", "name", "value", "unit", "conversion")


class CompactWorking(TypedDict):
    """`texts`: each once. `manners`: rows of texts under the heads `manner`, what nodes made alike share; `symbols` are
    those of the inputs, parted by blanks (0 for a sum: m1, m2, ... or m1, z1, m2, z2, ...), `symbol` 0 is the last part
    of the id and `formula` 0 the name. `nodes`: rows under the heads `node`; where there is a `subject` it stands for
    the star in `name`; id and path are `stem` and `end` with a slash between, or `end` alone where the stem is 0 (a
    path begins with a slash, and is none where its end is 0). An input is the place of another node in `nodes`, or,
    where it is negative, that of a row in `given` (-1 is the first): under the heads `typed` (`place` a JSON pointer
    that begins with the document's name) or `named` (`kind`: constant, or the id of a rule). Where a typed figure is
    converted, its row holds it as typed and, last, the place of factor and offset in `conversions`: value = figure x
    factor + offset, unless the value follows."""

    texts: list[str]
    manner: list[str]
    node: list[str]
    typed: list[str]
    named: list[str]
    conversions: list[list[float]]
    given: list[list[Any]]
    manners: list[list[int]]
    nodes: list[list[Any]]


class _Numbered(dict[Any, int]):
    """Each key with its number, in the order they were asked for."""

    def __missing__(self, key: Any) -> int:
        self[key] = number = len(self)
        return number


class _Tables:
    """What nodes share, each once in the order it comes: texts, conversions, figures from elsewhere, ways to make one,
    and the place of each node."""

    def __init__(self) -> None:
        self.texts = _Numbered({"": 0})
        self.conversions, self.given, self.manners = _Numbered(), _Numbered(), _Numbered()
        self.places: dict[str, int] = {}


def compact(nodes: Iterable[WorkingNode], subjects: Iterable[str] = ()) -> CompactWorking:
    """The nodes, each text once. subjects: names of tanks and the like that names of nodes end with."""
    tables, known, rows = _Tables(), set(subjects), list[list[Any]]()
    texts = tables.texts
    for node in nodes:
        id, inputs = node["id"], node["inputs"]
        stem, _, end = id.rpartition("/")
        path_stem, _, path_end = (node["path"] or "").rpartition("/")
        name, subject = _parted(node["name"], known)
        manner = (
            texts[node["kind"]],
            texts[node["expression"]],
            0 if node["kind"] == "sum" else texts[" ".join([each["symbol"] for each in inputs])],
            texts[node["unit"]],
            texts[node["source"] or ""],
            texts[node["from_memory"] or ""],
            0 if node["symbol"] == end else texts[node["symbol"]],
            0 if node["formula"] == node["name"] else texts[node["formula"]],
        )
        row = [texts[stem], texts[end], texts[path_stem], texts[path_end], texts[name], texts[subject]]
        row.append(tables.manners[manner])
        tables.places[id] = len(rows)
        rows.append([*row, node["value"], [_input(each, tables) for each in inputs]])
    return {
        "texts": list(tables.texts),
        "manner": list(MANNER),
        "node": list(NODE),
        "typed": list(TYPED),
        "named": list(NAMED),
        "conversions": [list(conversion) for conversion in tables.conversions],
        "given": [list(given) for given in tables.given],
        "manners": [list(manner) for manner in tables.manners],
        "nodes": rows,
    }


_BEFORE = (" of ", " in ", " at ")
_AFTER = (", ", " at ", " while ")


def _parted(name: str, subjects: set[str]) -> tuple[str, str]:
    """A name in what many nodes say, with a star where the subject stands, and the subject."""
    for before in _BEFORE:
        at = name.find(before)
        while at >= 0:
            start = at + len(before)
            rest = name[start:]
            if rest in subjects and "*" not in name:
                return f"{name[:start]}*", rest
            for after in _AFTER:
                subject, cut, _ = rest.partition(after)
                if cut and subject in subjects and "*" not in name:
                    return f"{name[:start]}*{rest[len(subject) :]}", subject
            at = name.find(before, start)
    return name, ""


def _input(given: WorkingInput, tables: _Tables) -> int:
    origin, texts = given["from"], tables.texts
    kind = origin["kind"]
    if kind == "working":
        return tables.places[origin["id"]]
    name, value, unit = texts[given["name"]], given["value"], texts[given["unit"]]
    row: tuple[Any, ...]
    if kind in ("constant", "rule"):
        row = (name, value, unit, texts["constant" if kind == "constant" else origin["id"]])
    else:
        place, _, member = origin["pointer"].rpartition("/")
        row = (texts[f"{kind}{place}"], texts[member], name, value, unit)
        if origin.get("converted"):
            both = (origin["factor"], origin["offset"])
            row = (*row[:3], origin["original"], unit, tables.conversions[both])
            if origin["original"] * both[0] + both[1] != value:  # rounded another way
                row = (*row, value)
    return -1 - tables.given[row]


def expanded(working: CompactWorking) -> list[WorkingNode]:
    """The nodes that `compact` was given. Source: the description of `CompactWorking`."""
    texts, found = working["texts"], list[WorkingNode]()
    for stem, end, path_stem, path_end, name, subject, manner, value, inputs in working["nodes"]:
        kind, expression, symbols, unit, source, memory, symbol, formula = working["manners"][manner]
        whole = texts[name].replace("*", texts[subject], 1) if subject else texts[name]
        parted = texts[symbols].split(" ") if symbols else _symbols_of_sum(texts[expression], len(inputs))
        node: Any = {
            "id": f"{texts[stem]}/{texts[end]}" if stem else texts[end],
            "path": f"{texts[path_stem]}/{texts[path_end]}" if path_end else None,
            "name": whole,
            "symbol": texts[symbol] or texts[end],
            "kind": texts[kind],
            "formula": texts[formula] or whole,
            "expression": texts[expression],
            "inputs": [
                {"symbol": each, **_input_of(given, working, found)}
                for each, given in zip(parted, inputs, strict=True)
            ],
            "value": value,
            "unit": texts[unit],
            "source": texts[source],
            "from_memory": texts[memory] or None,
        }
        found.append(node)
    return found


def _symbols_of_sum(expression: str, inputs: int) -> list[str]:
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
    row = working["given"][-1 - place]
    if len(row) == len(NAMED):
        name, value, unit, kind = row
        origin: Any = {"kind": "rule", "id": texts[kind]}
        if texts[kind] == "constant":
            origin = {"kind": "constant", "name": texts[name]}
        return {"name": texts[name], "value": value, "unit": texts[unit], "from": origin}
    stem, member, name, value, unit, *conversion = row
    kind, slash, rest = texts[stem].partition("/")
    pointer: WorkingOrigin = {"kind": kind, "pointer": f"{slash}{rest}/{texts[member]}"}
    if conversion:
        place_of_both, *rounded = conversion
        factor, offset = working["conversions"][place_of_both]
        pointer |= {"converted": True, "factor": factor, "offset": offset, "original": value}
        value = rounded[0] if rounded else value * factor + offset
    return {"name": texts[name], "value": value, "unit": texts[unit], "from": pointer}
