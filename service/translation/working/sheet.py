"""The sheet that nodes are written on, and how documents as typed are read for it."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.core.conventions import FOOT, LONG_TON
from service.translation.axes import AxesAndUnits
from service.translation.units import METRIC, Scale
from service.wire.pointer import pointer_of
from service.wire.working import WorkingInput, WorkingKind, WorkingNode

Path = tuple[str | int, ...]
Inputs = Mapping[str, "str | WorkingInput"]
"""By symbol: the id of a node, or an input from elsewhere."""

DEFINITION = "definition"
LINEAR = "y0 + (y1 - y0) * (x - x0) / (x1 - x0)"
BY_PRODUCT = "(x0 * y0 + (x1 * y1 - x0 * y0) * (x - x0) / (x1 - x0)) / x"
SHORT = {
    "length": ("m", "ft"),
    "mass": ("t", "LT"),
    "volume": ("m3", "ft3"),
    "area": ("m2", "ft2"),
    "inertia": ("m4", "ft4"),
    "moment": ("t·m", "ft·LT"),
    "tpc": ("t/cm", "LT/in"),
    "mctc": ("t·m/cm", "ft·LT/in"),
    "lever_area": ("m·rad", "ft·rad"),
    "density": ("t/m3", "t/m3"),
    "angle": ("degree", "degree"),
    "percent": ("%", "%"),
    "": ("", ""),
}
"""Names of units by dimension, metric and US."""
_FEET = {
    "m": ("ft", FOOT),
    "t": ("LT", LONG_TON),
    "m2": ("ft2", FOOT**2),
    "t·m": ("ft·LT", FOOT * LONG_TON),
    "m·rad": ("ft·rad", FOOT),
}
"""What a unit of metres and tonnes is called in feet and long tons, and how many of it go to one of those."""
_METRES = {us: (metric, factor) for metric, (us, factor) in _FEET.items()}


def factor_of(scale: Scale, dimension: str) -> float:
    """What one unit of a dimension is in the core's units."""
    if dimension in ("tpc", "mctc"):
        whole = scale.mass if dimension == "tpc" else scale.moment
        return whole / scale.per_immersion
    if dimension == "lever_area":
        return scale.length
    if dimension in ("density", "angle", "percent", ""):
        return 1.0
    factor: float = getattr(scale, dimension)
    return factor


class Sheet:
    """Nodes in the order they are written; each id once."""

    def __init__(self, answer: Mapping[str, Any], scale: Scale) -> None:
        """answer: the finished one. scale: its units."""
        self.answer, self.scale = answer, scale
        self.nodes: list[WorkingNode] = []
        self._by_id: dict[str, WorkingNode] = {}
        self._parts: dict[Path, tuple[Any, str]] = {}
        self.is_metric = scale is METRIC
        self._units = {dimension: both[0 if self.is_metric else 1] for dimension, both in SHORT.items()}
        self._factors = {dimension: factor_of(scale, dimension) for dimension in SHORT}

    def unit(self, dimension: str) -> str:
        """The short name of the answer's unit of a dimension."""
        return self._units[dimension]

    def factor(self, dimension: str) -> float:
        """What one of the answer's units of a dimension is in the core's."""
        return self._factors[dimension]

    def here(self, value: float, dimension: str) -> float:
        """A figure of the core in the answer's units."""
        return value / self._factors[dimension]

    def has(self, id: str) -> bool:
        """Whether there is such a node."""
        return id in self._by_id

    def value(self, id: str) -> float:
        """The value of a node."""
        return self._by_id[id]["value"]

    def renamed(self, id: str, new: str) -> WorkingNode:
        """A node under another id; nothing may refer to it yet."""
        node = self._by_id.pop(id)
        node["id"] = new
        self._by_id[new] = node
        return node

    def at(self, path: Path) -> Any:
        """What stands at a path of the answer."""
        return _part_of(self.answer, path[:-1], self._parts)[0][path[-1]]

    def _pointer(self, path: Path) -> str:
        return _joined(_part_of(self.answer, path[:-1], self._parts)[1], path[-1])

    def add(
        self,
        id: str,
        kind: WorkingKind,
        expression: str,
        inputs: Inputs,
        *,
        name: str,
        unit: str,
        value: float | None = None,
        path: Path | None = None,
        formula: str = "",
        source: str = DEFINITION,
        symbol: str = "",
        memory: str | None = None,
    ) -> str:
        """Write a node, unless its id is written; its value is the answer's at `path` where none is given."""
        if id in self._by_id:
            return id
        if value is None:
            assert path is not None, id
            value = self.at(path)
        if kind == "choice" and len(inputs) == 1:
            (expression,) = inputs
        node: WorkingNode = {
            "id": id,
            "path": None if path is None else self._pointer(path),
            "name": name,
            "symbol": symbol or id.rpartition("/")[2],
            "kind": kind,
            "formula": formula or name,
            "expression": expression,
            "inputs": [self._input(symbol, each) for symbol, each in inputs.items()],
            "value": float(value),
            "unit": unit,
            "source": source,
            "from_memory": memory,
        }
        self.nodes.append(node)
        self._by_id[id] = node
        return id

    def _input(self, symbol: str, each: "str | WorkingInput") -> WorkingInput:
        if not isinstance(each, str):
            return {**each, "symbol": symbol}
        node = self._by_id[each]
        return {
            "symbol": symbol,
            "name": node["name"],
            "value": node["value"],
            "unit": node["unit"],
            "from": {"kind": "working", "id": each},
        }

    def copy(
        self,
        id: str,
        of: "str | WorkingInput",
        *,
        name: str = "",
        path: Path | None = None,
        formula: str = "",
        source: str = DEFINITION,
    ) -> str:
        """A node that is its input."""
        given = self._input("x", of)
        return self.add(
            id,
            "copy",
            "x",
            {"x": of},
            name=name or given["name"],
            unit=given["unit"],
            value=given["value"],
            path=path,
            formula=formula,
            source=source,
        )

    def linear(
        self,
        id: str,
        row: Mapping[str, "str | WorkingInput"],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str,
        by_product: bool = False,
    ) -> str:
        """Interpolation between two rows: `row` gives x, x0, y0, x1, y1."""
        return self.add(
            id,
            "product_interpolation" if by_product else "interpolation",
            BY_PRODUCT if by_product else LINEAR,
            row,
            name=name,
            unit=unit,
            value=value,
            path=path,
            formula="linear between two rows, by the product with x"
            if by_product
            else "linear between two rows",
            source=source,
        )

    def total(
        self,
        id: str,
        parts: Sequence["str | WorkingInput"],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str = DEFINITION,
    ) -> str:
        """The sum of inputs."""
        inputs = {f"m{i}": part for i, part in enumerate(parts, 1)}
        return self.add(
            id, "sum", "sum(m)", inputs, name=name, unit=unit, value=value, path=path, source=source
        )

    def products(
        self,
        id: str,
        pairs: Sequence[tuple["str | WorkingInput", "str | WorkingInput"]],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str = DEFINITION,
        formula: str = "",
    ) -> str:
        """The sum of products of inputs, pair by pair."""
        inputs: dict[str, str | WorkingInput] = {}
        for i, (m, z) in enumerate(pairs, 1):
            inputs |= {f"m{i}": m, f"z{i}": z}
        return self.add(
            id,
            "sum",
            "sum(m*z)",
            inputs,
            name=name,
            unit=unit,
            value=value,
            path=path,
            source=source,
            formula=formula,
        )

    def constant(self, name: str, value: float, unit: str = "") -> WorkingInput:
        """An input that is a number with a name."""
        return {
            "symbol": "",
            "name": name,
            "value": float(value),
            "unit": unit,
            "from": {"kind": "constant", "name": name},
        }

    def rule(self, id: str, name: str, value: float, unit: str) -> WorkingInput:
        """An input that is a limit of a rule document, or of a table of it."""
        return {
            "symbol": "",
            "name": name,
            "value": float(value),
            "unit": unit,
            "from": {"kind": "rule", "id": id},
        }

    def metric(self, id: str) -> str:
        """A node in metres and tonnes: itself where it is."""
        unit, factor = _METRES.get(self._by_id[id]["unit"], ("", 1.0))
        return self._into(id, unit, factor) if unit else id

    def feet(self, id: str) -> str:
        """A node in feet and long tons: itself where it is."""
        unit, factor = _FEET.get(self._by_id[id]["unit"], ("", 1.0))
        return self._into(id, unit, 1.0 / factor) if unit else id

    def _into(self, id: str, unit: str, factor: float) -> str:
        node = self._by_id[id]
        return self.add(
            f"{id}/in-{unit}",
            "expression",
            "x * f",
            {"x": id, "f": self.constant(f"{unit} a {node['unit']}", factor)},
            name=f"{node['name']}, in {unit}",
            unit=unit,
            value=node["value"] * factor,
        )

    def in_answer(self, id: str) -> str:
        """A node in the answer's units."""
        return self.metric(id) if self.is_metric else self.feet(id)


class Typed:
    """A document as it was typed, read into the answer's units and axes."""

    def __init__(self, kind: str, document: Mapping[str, Any], frame: AxesAndUnits, sheet: Sheet) -> None:
        """kind: vessel or condition. frame: the document's units and axes."""
        self.kind, self.document, self.frame, self.sheet = kind, document, frame, sheet
        self._parts: dict[Path, tuple[Any, str]] = {}
        self._times: dict[str, float] = {}

    def has(self, path: Path) -> bool:
        """Whether there is a number at a path."""
        return self._figure_at(path) is not None

    def _figure_at(self, path: Path) -> Any:
        part, step = _part_of(self.document, path[:-1], self._parts)[0], path[-1]
        return _member(part, step)

    def _factor(self, dimension: str) -> float:
        """What one of the document's units of a dimension is in the answer's."""
        if dimension not in self._times:
            self._times[dimension] = factor_of(self.frame.scale, dimension) / self.sheet.factor(dimension)
        return self._times[dimension]

    def number(
        self, path: Path, dimension: str, name: str, *, absent: float = 0.0, factor: float | None = None
    ) -> WorkingInput:
        """The number at a path (a dimension of SHORT, or x or y for a position), or what stands for it where it is
        absent. `factor`: what one unit of it is in the core's, where that is not of the dimension alone."""
        sheet, frame = self.sheet, self.frame
        shown = "length" if dimension in ("x", "y") else dimension
        unit = sheet.unit(shown)
        part, pointer = _part_of(self.document, path[:-1], self._parts)
        original = _member(part, path[-1])
        if original is None:
            return sheet.constant(f"{name}: not given", absent, unit)
        offset = 0.0
        if dimension == "x":
            to = sheet.factor(shown)
            times, offset = frame.sense_x / to, frame.origin / to
        elif dimension == "y":
            times = frame.sense_y / sheet.factor(shown)
        else:
            times = self._factor(dimension) if factor is None else factor / sheet.factor(shown)
        place: dict[str, Any] = {"kind": self.kind, "pointer": _joined(pointer, path[-1])}
        if times != 1.0 or offset != 0.0:
            place |= {"converted": True, "factor": times, "offset": offset, "original": original}
        value = original * times + offset
        return {"symbol": "", "name": name, "value": value, "unit": unit, "from": place}  # type: ignore[typeddict-item]


def _member(part: Any, step: str | int) -> Any:
    """The member of a part of a document; None where there is none."""
    if isinstance(step, int):
        return part[step] if isinstance(part, list) and 0 <= step < len(part) else None
    return part.get(step) if isinstance(part, dict) else None


def _joined(pointer: str, step: str | int) -> str:
    if isinstance(step, int) or ("/" not in step and "~" not in step):
        return f"{pointer}/{step}"
    return pointer + pointer_of((step,))


def _part_of(document: Any, path: Path, known: dict[Path, tuple[Any, str]]) -> tuple[Any, str]:
    """What stands at a path, None where nothing does, and its pointer; looked up once."""
    found = known.get(path)
    if found is None:
        if path:
            part, pointer = _part_of(document, path[:-1], known)
            found = _member(part, path[-1]), _joined(pointer, path[-1])
        else:
            found = document, ""
        known[path] = found
    return found
