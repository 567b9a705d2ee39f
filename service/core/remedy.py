"""What would help: fillings of tanks at which targets hold.

This module says what is asked of a condition and whether it holds, and gives what a linear programme needs for a shift
among several tanks: the value of every target, how each tank moves it, and the jumps where a tank is emptied or filled.
One tank at a time: least_change.py.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf, isfinite
from typing import NamedTuple

from .assessment import Assessment, assess
from .condition import Condition
from .errors import CoreError
from .filling import Filling, refilled
from .rules.limit import NOT_APPLICABLE, PASS, ROUNDING, Criterion
from .rules.own_limits import FIGURES as OWN
from .search import FIGURES
from .tank import EMPTY, SLACK
from .vessel import Vessel

EQUAL, AT_LEAST, AT_MOST = SENSES = ("equal", "at_least", "at_most")
MARGIN = "margin"


def _own(name: str) -> Callable[[Assessment], float | None]:
    return lambda a: OWN[name].value(a.situation)


QUANTITIES: dict[str, Callable[[Assessment], float | None]] = {
    **{name: _own(name) for name in OWN},
    **FIGURES,
}
"""What may be a target besides the margin of a criterion: m, degrees, t, percent. A list has its sign."""

SCALES = {
    "list": 1.0,
    "displacement": 100.0,
    "propeller_immersion": 10.0,
    "degree": 1.0,
    "t": 100.0,
    "m·rad": 0.01,
    "%": 10.0,
}
"""What counts as much missed as 0.1 m of a length, by quantity or unit. It only weighs targets that cannot all hold.
Common practice, no source."""
OTHER_SCALE = 0.1


class Target(NamedTuple):
    """A figure (a key of QUANTITIES, or MARGIN with the id of a criterion) that has to be `equal`, `at_least` or
    `at_most` a value (m, degrees, t, percent, or the unit of the criterion), within a tolerance. `play`: how much of
    that the least mass moved may make use of. A list has its sign where it has to be equal, else it is held to either
    side. `pointer` is its place in the request."""

    pointer: str
    quantity: str
    sense: str
    value: float
    tolerance: float
    criterion: str | None = None
    play: float = 0.0


def lacking(vessel: Vessel, quantity: str) -> str | None:
    """What the booklet lacks for a figure of any condition, in words; None: nothing. Source: definition."""
    edge = vessel.deck_edge
    known = {
        "propeller_immersion": vessel.propeller is not None,
        "air_draft": bool(vessel.air_draft_points),
        "freeboard_least": edge is not None and bool(edge.points),
    }
    return None if known.get(quantity, True) else OWN[quantity].missing


class Row(NamedTuple):
    """One side of a target as a number: at least 0 where it holds, or 0 where it has to be equal; how much counts as
    missed by one; `play`: how far it may miss while the least mass is looked for."""

    pointer: str
    equal: bool
    tolerance: float
    scale: float
    play: float = 0.0


@dataclass(frozen=True)
class Question:
    """What is asked of a condition: targets, and criteria that have to be met, by id with their units (none where they
    are ignored).

    `fillings`: the tanks that may change, with the `least` and the `most` mass (t) of each; the places among them whose
    limits were asked for are `limited`. `conserved`: contents that are only shifted among them. `most_slack`: how many
    tanks may be slack (None: any number)."""

    vessel: Vessel
    condition: Condition
    targets: Sequence[Target]
    criteria: Mapping[str, str]
    fillings: Sequence[Filling]
    least: Sequence[float]
    most: Sequence[float]
    conserved: frozenset[str]
    limited: frozenset[int] = frozenset()
    most_slack: int | None = None
    rows: tuple[Row, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Lay out the rows: the targets first, then the criteria in the order of their ids."""
        object.__setattr__(self, "rows", tuple(self._rows()))

    def _rows(self) -> Iterator[Row]:
        for target in self.targets:
            unit = self.criteria.get(target.criterion or "", target.quantity)
            scale = SCALES.get(unit, OTHER_SCALE)
            yield Row(target.pointer, target.sense == EQUAL, target.tolerance, scale, target.play)
            if target.quantity == "list" and target.sense == AT_MOST:
                yield Row(target.pointer, False, target.tolerance, scale, target.play)
        for id in sorted(self.criteria):
            yield Row(f"criteria/{id}", False, 0.0, SCALES.get(self.criteria[id], OTHER_SCALE))

    def assess(self, masses: Mapping[int, float]) -> Assessment:
        """The condition with these masses (t) in tanks by their place among `fillings`.

        Raises CoreError for one that contradicts her booklet. Source: definition."""
        lines = [self.fillings[i].line(mass) for i, mass in masses.items()]
        return assess(self.vessel, refilled(self.condition, lines))

    def values(self, a: Assessment) -> list[float | None]:
        """Of every row; None where the figure is not known, inf where a criterion is met without one.

        Source: definition."""
        criteria = {criterion.row.id: criterion for _, criterion in a.criteria}
        values: list[float | None] = []
        for target in self.targets:
            values += _values(target, a, criteria)
        return values + [_margin(criteria.get(id)) for id in sorted(self.criteria)]

    def holds(self, a: Assessment) -> bool:
        """Whether every target and criterion holds, and few enough tanks are slack. Source: definition."""
        criteria = {criterion.row.id: criterion for _, criterion in a.criteria}
        values = self.values(a)
        for row, value in zip(self.rows, values):
            if row.pointer.startswith("criteria/"):
                verdict = criteria[row.pointer.removeprefix("criteria/")].verdict
                if verdict not in (PASS, NOT_APPLICABLE):
                    return False
            elif value is None or (abs(value) if row.equal else -value) > row.tolerance + ROUNDING:
                return False
        slack = sum(liquid.state == SLACK for liquid in a.liquids)
        return self.most_slack is None or slack <= self.most_slack

    def in_hand(self, values: Sequence[float | None]) -> list[float]:
        """What each row has left, its tolerance in it: of one that has to be equal, to either side.

        Source: definition."""
        left: list[float] = []
        for row, value in zip(self.rows, values):
            there = -inf if value is None else value
            left += [row.tolerance + there, row.tolerance - there] if row.equal else [row.tolerance + there]
        return left

    def missed(self, values: Sequence[float | None]) -> float:
        """By how much rows miss beyond their play, each over its scale; an unknown one counts as ten.

        Source: definition."""
        total = 0.0
        for row, value in zip(self.rows, values):
            short = 10.0 if value is None else _short(row, value) / row.scale
            total += 0.0 if short <= ROUNDING else short
        return total

    def least_value(self, values: Sequence[float | None]) -> tuple[int, float]:
        """The row nearest to its limit or farthest beyond it, over its scale, and that part. Source: definition."""
        parts = [
            -inf if value is None else -abs(value) / row.scale if row.equal else value / row.scale
            for row, value in zip(self.rows, values)
        ]
        least = min(range(len(parts)), key=parts.__getitem__, default=-1)
        return least, parts[least] if parts else inf


def _values(target: Target, a: Assessment, criteria: Mapping[str, Criterion]) -> list[float | None]:
    if target.quantity == MARGIN:
        value = _margin(criteria.get(target.criterion or ""))
    else:
        value = QUANTITIES[target.quantity](a)
    if value is None:
        return [None, None] if target.quantity == "list" and target.sense == AT_MOST else [None]
    if target.quantity == "list" and target.sense != EQUAL:
        return (
            [target.value - value, target.value + value]
            if target.sense == AT_MOST
            else [abs(value) - target.value]
        )
    return [target.value - value if target.sense == AT_MOST else value - target.value]


def _margin(criterion: Criterion | None) -> float | None:
    """Of a criterion that is judged; inf where it is met without a number."""
    if criterion is None or not criterion.is_judged:
        return None
    margin = criterion.margin
    if margin is None or not isfinite(margin):
        return inf if criterion.verdict == PASS else None
    return margin


def _short(row: Row, value: float) -> float:
    return max(0.0, (abs(value) if row.equal else -value) - row.play)


class TankEffect(NamedTuple):
    """How one tank moves the rows of a question: masses (t) emptied, filled, and between which it is slack; changes of
    every row when it is emptied, when it is full, and on the way between: `offset` + `slope` x (mass - `at`). 0 for
    a row that is not known there."""

    emptied: float
    full: float
    slack_from: float
    slack_to: float
    at: float
    slope: list[float]
    offset: list[float]
    when_empty: list[float]
    when_full: list[float]


def tank_effect(
    question: Question, masses: Mapping[int, float], values: Sequence[float | None], place: int
) -> TankEffect:
    """Of a tank by its place among the fillings, at a state with these masses and values of the rows.

    Source: definition of a difference quotient."""
    filling = question.fillings[place]
    mass = masses[place]
    piece, slack = filling.piece_of(mass), filling.slack or filling.pieces[-1]
    step = min(max(1e-3 * filling.full, 0.1), 0.2 * (slack.high - slack.low))
    inside = piece == slack

    def rows_at(there: float) -> list[float | None]:
        try:
            return question.values(question.assess({**masses, place: there}))
        except CoreError:
            return [None] * len(values)

    if inside:
        at = mass
        other = mass + step if mass + step <= slack.high else mass - step
        near = list(values)
    else:
        at, other = (slack.low, slack.low + step) if mass < slack.low else (slack.high, slack.high - step)
        near = rows_at(at)
    far = rows_at(other)
    emptied = mass if piece.state == EMPTY else filling.emptied
    full = mass if not inside and piece.state != EMPTY else filling.full
    return TankEffect(
        emptied,
        full,
        slack.low,
        slack.high,
        at,
        [_difference(a, b) / (other - at) for a, b in zip(near, far)],
        [_difference(a, b) for a, b in zip(values, near)],
        _changes(values, values if emptied == mass else rows_at(emptied)),
        _changes(values, values if full == mass else rows_at(full)),
    )


def _changes(before: Sequence[float | None], after: Sequence[float | None]) -> list[float]:
    return [_difference(a, b) for a, b in zip(before, after)]


def _difference(before: float | None, after: float | None) -> float:
    if before is None or after is None or not (isfinite(before) and isfinite(after)):
        return 0.0
    return after - before
