"""The working of an answer: every figure with the inputs it follows from, in the order a person would work.

Each node closes on its own inputs: its `expression`, with the values of its inputs, gives its `value` (0 for a root).
"""

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


NOT_DERIVED = (
    "/tanks/*/exempt_moment",
    "/righting_lever/heels/*",
    "/righting_lever/levers/*",
    "/criteria/*/as_written/*",
    "/provenance/vessel/revision",
    "/provenance/vessel/proof/conditions",
    "/dangers",
    "/flotation/residual",
    "/load_line/permitted_draft_exact",
    "/load_line/margin_exact",
    "/load_line/marks/*/displacement",
    "/load_line/marks/*/deadweight",
    "/strength/draft_aft",
    "/strength/draft_forward",
    "/strength/table_difference/*",
    "/strength/lightship_difference/*",
    "/strength/stations/*/shear_force_aft",
    "/strength/stations/*/shear_force_forward",
    "/strength/stations/*/bending_moment",
    "/strength/extremes/*/x",
    "/strength/extremes/*/value",
    "/strength/closure/*",
    "/strength/point_loads_mass",
    "/strength/hold_masses/**",
    "/strength/curves/**",
    "/icing/gm_loss",
    "/icing/draft_increase",
    "/icing/trim_change",
    "/draft_survey/*_correction",
    "/draft_survey/table_displacement",
    "/draft_survey/displacement_direct",
    "/draft_survey/centimetre_is",
    "/draft_survey/unknown_weight/lcg",
    "/plan/**",
)
"""Numbers of an answer that have no node, `*` for any part of a name and `**` for all below: a moment of nothing or one
shown beside it, the grid of the chart (made like the levers that are derived), the same figures in the units of their
document, counts, how well the iteration closed; forces of `strength` (integrals over the length of the ship; limits and
percents are derived), drafts by the same displacement, what each mark carries, what ice does to GM, draft and trim (the
difference of two conditions), and what a survey reads in the tables. `plan` has none: a point is worked as a
condition."""
