"""The two shapes of a working as it goes out: nodes that say everything of themselves, and compact."""

from typing import Any

from service.translation.working.given import Given, step_of
from service.translation.working.sheet import Numbered, Sheet
from service.wire.compact_working import (
    COLUMN,
    MANNER,
    NAMED,
    NODE,
    TYPED,
    CompactWorking,
    name_of,
    path_of,
    symbols_of,
)
from service.wire.working import WorkingNode


def nodes_of(sheet: Sheet) -> list[WorkingNode]:
    """Every node by itself, in the order they were written."""
    found, parted = list[Any](), dict[tuple[str, str, int], list[str]]()
    # by place: nodes from the start, as they come; what is from elsewhere from the end
    shared: list[Any] = [None] * len(sheet.nodes)
    shared += [
        (each.name, each.value, each.unit, each.origin or _set_origin(each)) for each in reversed(sheet.given)
    ]
    for place, (id, stem, end, name, of, manner, value, inputs) in enumerate(sheet.nodes):
        kind, expression, symbols, unit, source, memory, symbol, formula = manner
        if of:
            name = name_of(name, of)
        made = symbols, expression, len(inputs)
        its = parted.get(made)
        if its is None:
            its = parted[made] = symbols_of(*made)
        node = {
            "id": id,
            "path": None if end is None else path_of(stem, step_of(end)),
            "name": name,
            "symbol": symbol or id.rpartition("/")[2],
            "kind": kind,
            "formula": formula or name,
            "expression": expression,
            "inputs": [
                {"symbol": its_symbol, "name": its_name, "value": its_value, "unit": its_unit, "from": origin}
                for its_symbol, (its_name, its_value, its_unit, origin) in zip(
                    its, map(shared.__getitem__, inputs), strict=True
                )
            ],
            "value": value,
            "unit": unit,
            "source": source,
            "from_memory": memory or None,
        }
        found.append(node)
        shared[place] = name, value, unit, {"kind": "working", "id": id}
    return found


def _set_origin(given: Given) -> dict[str, Any]:
    """Where a figure is from, which stays with it: those of a vessel are read once for all her answers."""
    given.origin = found = _origin(given)
    return found


def _origin(given: Given) -> dict[str, Any]:
    kind = given.kind
    if kind == "constant":
        return {"kind": kind, "name": given.name}
    if kind == "rule":
        return {"kind": kind, "id": given.stem}
    origin: dict[str, Any] = {
        "kind": kind,
        "pointer": f"{given.stem.removeprefix(kind)}/{step_of(given.member)}",
    }
    if given.factor == 1.0 and given.offset == 0.0:
        return origin
    return origin | {
        "converted": True, "factor": given.factor, "offset": given.offset, "original": given.original
    }  # fmt: skip


def compact(sheet: Sheet) -> CompactWorking:
    """The same, every text once and what nodes made alike share once."""
    texts, manners, columns, conversions = Numbered({"": 0}), Numbered(), Numbered(), Numbered()
    nodes, values = list[list[Any]](), [each.value for each in sheet.given]
    for id, path_stem, path_end, name, of, manner, value, inputs in sheet.nodes:
        stem, _, end = id.rpartition("/")
        row = [
            texts[stem],
            texts[end],
            texts[path_stem],
            0 if path_end is None else texts[step_of(path_end)],
            texts[name],
            texts[of],
            manners[manner],
            value,
            inputs,
        ]
        if manner[0] == "copy":
            (place,) = inputs
            if value == (sheet.nodes[place].value if place >= 0 else values[-1 - place]):
                row[7] = None
        nodes.append(row)
    given = [_figure(each, texts, columns) for each in sheet.given]
    return {
        "manner": list(MANNER),
        "node": list(NODE),
        "typed": list(TYPED),
        "named": list(NAMED),
        "column": list(COLUMN),
        "columns": [
            [texts[unit], texts[origin], *(conversions[both] for both in conversion)]
            for unit, origin, *conversion in columns
        ],
        "conversions": [list(both) for both in conversions],
        "manners": [[texts[each] for each in manner] for manner in manners],
        "given": given,
        "nodes": nodes,
        "texts": list(texts),
    }


def _figure(given: Given, texts: Numbered, columns: Numbered) -> list[Any]:
    """A figure from elsewhere under the heads NAMED or TYPED."""
    unit, kind, name = given.unit, given.kind, texts[given.name]
    if kind == "constant":
        return [columns[unit, kind], name, given.value]
    if kind == "rule":
        return [columns[unit, given.stem], name, given.value]
    member, factor, offset, original = step_of(given.member), given.factor, given.offset, given.original
    if factor == 1.0 and offset == 0.0:
        return [columns[unit, member], name, original, texts[given.stem]]
    row = [columns[unit, member, (factor, offset)], name, original, texts[given.stem]]
    if original * factor + offset != given.value:  # rounded another way
        row.append(given.value)
    return row
