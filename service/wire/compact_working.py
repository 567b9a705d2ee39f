"""The working in a quarter of its size: every text once, and what many nodes share once.

Nothing is lost: `expanded` gives back the nodes. Numbers in place of texts are places in `texts`; 0 is the empty text,
or none."""

from collections.abc import Iterable
from typing import Any, Final

from typing_extensions import TypedDict

from service.wire.working import WorkingInput, WorkingNode, WorkingOrigin

MANNER: Final = ("kind", "expression", "symbols", "unit", "source", "from_memory", "symbol", "formula")
NODE: Final = ("id", "path", "name", "subject", "manner", "value", "inputs")
NAMED: Final = ("name", "value", "unit", "kind")
TYPED: Final = ("place", "member", "name", "value", "unit", "conversion")


class CompactWorking(TypedDict):
    """`texts`: each once. `manners`: rows of texts under the heads `manner`, what nodes made alike share; `symbols` are
    those of the inputs, parted by blanks, `symbol` 0 is the last part of the id and `formula` 0 the name. `nodes`: rows
    under the heads `node`; `name` and `subject` are put together, `path` 0 is none. An input is the place of another
    node in `nodes`, or a row under the heads `typed` (`place` a JSON pointer that begins with the document's name) or
    `named` (`kind`: constant, or the id of a rule). Where a typed figure is converted, its row holds it as typed and,
    last, the place of factor and offset in `conversions`: value = figure x factor + offset, unless the
    value follows."""

    texts: list[str]
    manner: list[str]
    node: list[str]
    typed: list[str]
    named: list[str]
    conversions: list[list[float]]
    manners: list[list[int]]
    nodes: list[list[Any]]


class _Texts:
    """Texts in the order they come, each once."""

    def __init__(self) -> None:
        self.all = [""]
        self._place = {"": 0}

    def place(self, text: str | None) -> int:
        found = self._place.get(text or "")
        if found is None:
            found = self._place[text or ""] = len(self.all)
            self.all.append(text or "")
        return found


def compact(nodes: Iterable[WorkingNode], subjects: Iterable[str] = ()) -> CompactWorking:
    """The nodes, each text once. subjects: names of tanks and the like that names of nodes end with."""
    texts, manners, places = _Texts(), dict[tuple[int, ...], int](), dict[str, int]()
    conversions = dict[tuple[float, float], int]()
    known, rows = set(subjects), list[list[Any]]()
    for node in nodes:
        name, subject = _parted(node["name"], known)
        manner = (
            texts.place(node["kind"]),
            texts.place(node["expression"]),
            texts.place(" ".join(each["symbol"] for each in node["inputs"])),
            texts.place(node["unit"]),
            texts.place(node["source"]),
            texts.place(node["from_memory"]),
            0 if node["symbol"] == node["id"].rpartition("/")[2] else texts.place(node["symbol"]),
            0 if node["formula"] == node["name"] else texts.place(node["formula"]),
        )
        places[node["id"]] = len(rows)
        rows.append(
            [
                node["id"],
                node["path"] or 0,
                texts.place(name),
                texts.place(subject),
                manners.setdefault(manner, len(manners)),
                node["value"],
                [_input(each, texts, places, conversions) for each in node["inputs"]],
            ]
        )
    return {
        "texts": texts.all,
        "manner": list(MANNER),
        "node": list(NODE),
        "typed": list(TYPED),
        "named": list(NAMED),
        "conversions": [list(conversion) for conversion in conversions],
        "manners": [list(manner) for manner in manners],
        "nodes": rows,
    }


def _parted(name: str, subjects: set[str]) -> tuple[str, str]:
    """A name in what many nodes say and the subject it ends with."""
    at = name.find(" of ")
    while at >= 0:
        if name[at + 4 :] in subjects:
            return name[: at + 4], name[at + 4 :]
        at = name.find(" of ", at + 1)
    return name, ""


def _input(
    given: WorkingInput, texts: _Texts, places: dict[str, int], conversions: dict[tuple[float, float], int]
) -> Any:
    origin = given["from"]
    kind = origin["kind"]
    if kind == "working":
        return places[origin["id"]]
    name, value, unit = texts.place(given["name"]), given["value"], texts.place(given["unit"])
    if kind in ("constant", "rule"):
        return [name, value, unit, texts.place("constant" if kind == "constant" else origin["id"])]
    place, _, member = origin["pointer"].rpartition("/")
    row: list[Any] = [texts.place(f"{kind}{place}"), texts.place(member), name, value, unit]
    if origin.get("converted"):
        both = (origin["factor"], origin["offset"])
        row[3:] = [origin["original"], unit, conversions.setdefault(both, len(conversions))]
        if origin["original"] * both[0] + both[1] != value:  # rounded another way
            row.append(value)
    return row


def expanded(working: CompactWorking) -> list[WorkingNode]:
    """The nodes that `compact` was given. Source: the description of `CompactWorking`."""
    texts, found = working["texts"], list[WorkingNode]()
    for id, path, name, subject, manner, value, inputs in working["nodes"]:
        kind, expression, symbols, unit, source, memory, symbol, formula = working["manners"][manner]
        whole = texts[name] + texts[subject]
        parted = texts[symbols].split(" ") if symbols else []
        node: Any = {
            "id": id,
            "path": path or None,
            "name": whole,
            "symbol": texts[symbol] or id.rpartition("/")[2],
            "kind": texts[kind],
            "formula": texts[formula] or whole,
            "expression": texts[expression],
            "inputs": [
                {"symbol": each, **_input_of(row, working, found)}
                for each, row in zip(parted, inputs, strict=True)
            ],
            "value": value,
            "unit": texts[unit],
            "source": texts[source],
            "from_memory": texts[memory] or None,
        }
        found.append(node)
    return found


def nodes_of(working: list[WorkingNode] | CompactWorking) -> list[WorkingNode]:
    """The nodes of an answer's working, whichever way it came. Source: definition."""
    return working if isinstance(working, list) else expanded(working)


def _input_of(row: Any, working: CompactWorking, found: list[WorkingNode]) -> dict[str, Any]:
    texts = working["texts"]
    if isinstance(row, int):
        node = found[row]
        return {
            "name": node["name"],
            "value": node["value"],
            "unit": node["unit"],
            "from": {"kind": "working", "id": node["id"]},
        }
    if len(row) == len(NAMED):
        name, value, unit, kind = row
        origin: Any = {"kind": "rule", "id": texts[kind]}
        if texts[kind] == "constant":
            origin = {"kind": "constant", "name": texts[name]}
        return {"name": texts[name], "value": value, "unit": texts[unit], "from": origin}
    place, member, name, value, unit, *conversion = row
    kind, slash, rest = texts[place].partition("/")
    pointer: WorkingOrigin = {"kind": kind, "pointer": f"{slash}{rest}/{texts[member]}"}
    if conversion:
        place_of_both, *rounded = conversion
        factor, offset = working["conversions"][place_of_both]
        pointer |= {"converted": True, "factor": factor, "offset": offset, "original": value}
        value = rounded[0] if rounded else value * factor + offset
    return {"name": texts[name], "value": value, "unit": texts[unit], "from": pointer}
