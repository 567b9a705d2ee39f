"""The working of an answer: every figure with the inputs it follows from, in the order a person would work.

Each node closes on its own inputs: its `expression`, with the values of its inputs, gives its `value` (0 for a root).
"""

from collections.abc import Iterable
from typing import Literal, NotRequired

from typing_extensions import TypedDict

WorkingKind = Literal[
    "copy",
    "expression",
    "sum",
    "interpolation",
    "product_interpolation",
    "piece",
    "integral",
    "root",
    "choice",
]
"""What a node is. In expressions: + - * / ^ ( ), numbers, symbols, sqrt sin cos tan atan abs min max (degrees), and for
sums sum(m) over the inputs m1, m2, ... or sum(m*z) over m1 z1, m2 z2, ..."""


class WorkingOrigin(TypedDict):
    """Where an input comes from: `condition` or `vessel` (a JSON pointer into that document as it was typed),
    `working` (the id of another node), `rule` (a limit of a document), `constant` (its name)."""

    kind: Literal["condition", "vessel", "working", "rule", "constant"]
    pointer: NotRequired[str]
    id: NotRequired[str]
    name: NotRequired[str]
    converted: NotRequired[bool]
    """True where units or axes differ: value = original x factor + offset."""
    factor: NotRequired[float]
    offset: NotRequired[float]
    original: NotRequired[float]


WorkingInput = TypedDict(
    "WorkingInput", {"symbol": str, "name": str, "value": float, "unit": str, "from": WorkingOrigin}
)


class WorkingNode(TypedDict):
    """One figure: `path` is its place in the answer, null for an intermediate one; numbers are in the answer's units
    unless `unit` says otherwise; `from_memory` says what of its source was recalled."""

    id: str
    path: str | None
    name: str
    symbol: str
    kind: WorkingKind
    formula: str
    expression: str
    inputs: list[WorkingInput]
    value: float
    unit: str
    source: str
    from_memory: str | None


class SymbolNames:
    """What symbols stand for, said at the first use, and again where one stands for something else than before."""

    def __init__(self) -> None:
        """Nothing said yet."""
        self._said: dict[str, str] = {}

    def new(self, inputs: Iterable[WorkingInput]) -> list[str]:
        """Each symbol that is not said yet, with its name in words. Source: common practice, no source."""
        found = []
        for given in inputs:
            symbol, name = given["symbol"], given["name"]
            if self._said.get(symbol) != name:
                self._said[symbol] = name
                if symbol != name:
                    found.append(f"{symbol}: {name}")
        return found


NOT_DERIVED = (
    "/tanks/*/exempt_moment",
    "/righting_lever/heels/*",
    "/righting_lever/levers/*",
    "/criteria/*/as_written/*",
    "/provenance/vessel/revision",
    "/provenance/vessel/proof/conditions",
    "/dangers",
    "/flotation/residual",
    "/strength/table_difference/*",
    "/strength/hold_masses/**",
    "/strength/curves/**",
    "/draft_survey/unknown_weight/lcg",
    "/plan/**",
)
"""Numbers of an answer that have no node, `*` for any part of a name and `**` for all below: a moment of nothing or one
shown beside it, the grid of the chart and of the curves along her length (made like the levers and forces that are
derived), the same figures in the units of their document, counts, how well the iteration closed and how well two tables
of her booklet agree; masses in holds; where an unknown weight of a survey would lie. `plan` has none: a point is worked
as a condition."""
