"""The sheet that nodes are written on."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import Any, NamedTuple

from service.core.conventions import FOOT, LONG_TON
from service.translation.units import METRIC, Scale
from service.translation.working.given import AnyInputs, Given, Input, Parts, Path
from service.wire.working import WorkingKind

DEFINITION = "definition"
LINEAR = "y0 + (y1 - y0) * (x - x0) / (x1 - x0)"
BETWEEN_ROWS = "linear between two rows"
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


Manner = tuple[str, str, str, str, str, str, str, str]
"""What nodes made alike share, under the heads MANNER of `wire/compact_working.py`: kind, expression, symbols of the
inputs with blanks between (none of a sum), unit, source, what was recalled, symbol, formula."""
UNIT = 3


class Node(NamedTuple):
    """One figure as it is written. stem, end: its place in the answer, none for an intermediate one. `of` stands
    for the star in `name` where it is not empty. inputs: places of nodes, or of figures from elsewhere (-1 the first).
    """

    id: str
    stem: str
    end: str | int | None
    name: str
    of: str
    manner: Manner
    value: float
    inputs: list[int]


node_of = tuple.__new__
"""Makes a `Node` of its members in half the time."""


class Numbered(dict[Any, int]):
    """Each key with its number, in the order they were asked for."""

    def __missing__(self, key: Any) -> int:
        self[key] = number = len(self)
        return number


class Sheet:
    """Nodes in the order they are written; each id once, each figure from elsewhere once."""

    def __init__(self, answer: Mapping[str, Any], scale: Scale) -> None:
        """answer: the finished one. scale: its units."""
        self.answer, self.scale = answer, scale
        self.nodes: list[Node] = []
        self.given = Numbered()
        self._places: dict[str, int] = {}
        self._constants: dict[tuple[str | float, ...], Given] = {}
        self._parts = Parts(answer)
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
        return id in self._places

    def node(self, id: str) -> Node:
        """A node."""
        return self.nodes[self._places[id]]

    def value(self, id: str) -> float:
        """The value of a node."""
        return self.nodes[self._places[id]].value

    def value_of(self, each: Input) -> float:
        """The value of an input."""
        return self.value(each) if isinstance(each, str) else each.value

    def at(self, path: Path) -> Any:
        """What stands at a path of the answer."""
        return self._parts.at(path[:-1])[0][path[-1]]

    def _write(
        self,
        id: str,
        inputs: Iterable[Input],
        manner: Manner,
        name: str,
        of: str,
        value: float | None,
        path: Path | None,
    ) -> str:
        """Write a node that is not yet written; its value is the answer's at `path` where none is given."""
        stem, end = "", None
        if path is not None:
            part, stem = self._parts.at(path[:-1])
            end = path[-1]
            if value is None:
                value = part[end]
        assert value is not None, id
        places, given = self._places, self.given
        numbers = [places[each] if each.__class__ is str else -1 - given[each] for each in inputs]
        places[id] = len(self.nodes)
        self.nodes.append(node_of(Node, (id, stem, end, name, of, manner, float(value), numbers)))
        return id

    def add(
        self,
        id: str,
        kind: WorkingKind,
        expression: str,
        inputs: AnyInputs,
        *,
        name: str,
        unit: str,
        value: float | None = None,
        path: Path | None = None,
        formula: str = "",
        source: str = DEFINITION,
        symbol: str = "",
        memory: str | None = None,
        of: str = "",
    ) -> str:
        """Write a node, unless its id is written. of: what stands for the star in `name`. The symbol is the last part
        of the id, the formula the name, where none is given."""
        if id in self._places:
            return id
        if kind == "choice" and len(inputs) == 1:
            (expression,) = inputs
        manner = (kind, expression, " ".join(inputs), unit, source, memory or "", symbol, formula)
        return self._write(id, inputs.values(), manner, name, of, value, path)

    def copy(
        self,
        id: str,
        given: Input,
        *,
        name: str = "",
        path: Path | None = None,
        formula: str = "",
        source: str = DEFINITION,
        symbol: str = "",
        of: str = "",
    ) -> str:
        """A node that is its input, and called like it where no name is given."""
        if id in self._places:
            return id
        if isinstance(given, str):
            node = self.node(given)
            value, unit = node.value, node.manner[UNIT]
            if not name:
                name, of = node.name, node.of
        else:
            value, unit, name = given.value, given.unit, name or given.name
        manner = ("copy", "x", "x", unit, source, "", symbol, formula)
        return self._write(id, (given,), manner, name, of, value, path)

    def linear(
        self,
        id: str,
        row: AnyInputs,
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str,
        by_product: bool = False,
        symbol: str = "",
        of: str = "",
    ) -> str:
        """Interpolation between two rows: `row` gives x, x0, y0, x1, y1."""
        kind: WorkingKind = "product_interpolation" if by_product else "interpolation"
        formula = f"{BETWEEN_ROWS}, by the product with x" if by_product else BETWEEN_ROWS
        return self.add(
            id, kind, BY_PRODUCT if by_product else LINEAR, row, name=name, unit=unit, value=value, path=path,
            formula=formula, source=source, symbol=symbol,
            of=of,
        )  # fmt: skip

    def between(
        self,
        id: str,
        x: Input,
        at: tuple[Input, Input],
        to: tuple[Input, Input],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str,
        of: str = "",
    ) -> str:
        """The same where both rows are pairs: x0 and x1, y0 and y1."""
        if id in self._places:
            return id
        manner = ("interpolation", LINEAR, "x x0 x1 y0 y1", unit, source, "", "", BETWEEN_ROWS)
        return self._write(id, (x, *at, *to), manner, name, of, value, path)

    def total(
        self,
        id: str,
        parts: Sequence[Input],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str = DEFINITION,
        of: str = "",
    ) -> str:
        """The sum of inputs."""
        if id in self._places:
            return id
        return self._write(id, parts, ("sum", "sum(m)", "", unit, source, "", "", ""), name, of, value, path)

    def products(
        self,
        id: str,
        pairs: Sequence[tuple[Input, Input]],
        *,
        name: str,
        unit: str,
        value: float,
        path: Path | None = None,
        source: str = DEFINITION,
        formula: str = "",
        of: str = "",
    ) -> str:
        """The sum of products of inputs, pair by pair."""
        if id in self._places:
            return id
        manner = ("sum", "sum(m*z)", "", unit, source, "", "", formula)
        return self._write(id, chain.from_iterable(pairs), manner, name, of, value, path)

    def constant(self, name: str, value: float, unit: str = "") -> Given:
        """An input that is a number with a name."""
        key = name, value, unit
        found = self._constants.get(key)
        if found is None:
            found = self._constants[key] = Given(name, float(value), unit, "constant")
        return found

    def rule(self, id: str, name: str, value: float, unit: str) -> Given:
        """An input that is a limit of a rule document, or of a table of it."""
        key = id, name, value, unit
        found = self._constants.get(key)
        if found is None:
            found = self._constants[key] = Given(name, float(value), unit, "rule", id)
        return found

    def metric(self, id: str) -> str:
        """A node in metres and tonnes: itself where it is."""
        unit, factor = _METRES.get(self.node(id).manner[UNIT], ("", 1.0))
        return self._into(id, unit, factor) if unit else id

    def feet(self, id: str) -> str:
        """A node in feet and long tons: itself where it is."""
        unit, factor = _FEET.get(self.node(id).manner[UNIT], ("", 1.0))
        return self._into(id, unit, 1.0 / factor) if unit else id

    def _into(self, id: str, unit: str, factor: float) -> str:
        node = self.node(id)
        return self.add(
            f"{id}/in-{unit}", "expression", "x * f",
            {"x": id, "f": self.constant(f"{unit} a {node.manner[UNIT]}", factor)},
            name=f"{node.name}, in {unit}", unit=unit, value=node.value * factor, of=node.of,
        )  # fmt: skip

    def in_answer(self, id: str) -> str:
        """A node in the answer's units."""
        return self.metric(id) if self.is_metric else self.feet(id)
