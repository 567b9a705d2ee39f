"""What a little more or less aboard does: the change of every figure per tonne in a tank, and the whole jump when the
tank is pressed up or emptied.

Differences of the full chain: nothing is derived twice. A tank lies on a piece of its range on which nothing jumps
(filling.py), and the difference is taken inside that piece.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import NamedTuple

from .assessment import Assessment, assess
from .condition import Condition
from .filling import Filling, filling_of, refilled
from .free_surface import IMO
from .rules.limit import FAIL, Criterion
from .tank import EMPTY, SLACK
from .vessel import Vessel

LEAST_STEP = 0.1
"""t. A smaller difference would drown in rounding. Common practice, no source."""
STEP_PART = 1e-3
"""Part of the capacity, or of a weight, that a difference is taken over. Common practice, no source."""
HEIGHT_STEP = 0.1
"""m, for the height of a weight. Common practice, no source."""
HALVINGS = 12

FIGURES: dict[str, Callable[[Assessment], float | None]] = {
    "gm_corrected": lambda a: a.situation.gm_corrected,
    "list": lambda a: a.situation.rest.list_angle,
    "trim": lambda a: None if a.situation.flotation is None else a.situation.flotation.trim,
    "draft_at_lcf": lambda a: None if a.situation.flotation is None else a.situation.flotation.draft_at_lcf,
    "draft_forward": lambda a: None if a.situation.flotation is None else a.situation.flotation.draft_forward,
    "draft_midship": lambda a: None if a.situation.flotation is None else a.situation.flotation.draft_midship,
    "draft_aft": lambda a: None if a.situation.flotation is None else a.situation.flotation.draft_aft,
}
"""m, list in degrees positive to port, trim positive by the stern; None where it is not known."""

ADD, TAKE, PRESS_UP, EMPTY_IT = MOVES = ("add", "take", "press_up", "empty")
BEST = 3


class Effect(NamedTuple):
    """Changes of FIGURES, and of the margins of the criteria in the units of their documents; None: not known on both
    sides. Per t, per m of height, or whole, as the place says."""

    figures: dict[str, float | None]
    margins: dict[str, float | None]


class Jump(NamedTuple):
    """A tank pressed up or emptied: t more aboard, the whole effect, the verdict then, and the criteria that count and
    fail then."""

    mass_change: float
    effect: Effect
    verdict: str
    failing: tuple[Criterion, ...]


@dataclass(frozen=True, slots=True)
class TankSensitivity:
    """One tank: effect per t over a difference of `step` t; `kink`: a jump lies within a step of the filling, or the
    tank is empty and the effect that of what follows when it is slack. `press_up`, `empty` None: it is so already."""

    filling: Filling
    step: float
    kink: bool
    effect: Effect
    press_up: Jump | None
    empty: Jump | None


class WeightSensitivity(NamedTuple):
    """One weight by index: effect per t more of it, and per m that it is stowed higher."""

    weight: int
    step: float
    per_mass: Effect
    per_height: Effect


class Gain(NamedTuple):
    """What a move (one of MOVES) of a tank does for the margin of a criterion: per t, and for a jump altogether."""

    tank: int
    move: str
    per_mass: float
    mass_change: float | None
    change: float | None


def margin_of(a: Assessment) -> dict[str, float | None]:
    """Margins of the criteria that are judged, in the units of their documents. Source: definition."""
    return {
        row.row.id: row.margin if row.is_judged and row.margin is not None and isfinite(row.margin) else None
        for _, row in a.criteria
    }


def failing_of(a: Assessment) -> tuple[Criterion, ...]:
    """The criteria that make an assessment fail, in its order. Source: definition."""
    return tuple(row for rule_set, row in a.criteria if row.verdict == FAIL and a.counts(rule_set, row))


def effect_between(before: Assessment, after: Assessment, over: float = 1.0) -> Effect:
    """What changes from one assessment to the other, divided by `over`. Source: definition of a difference quotient."""
    first, second = margin_of(before), margin_of(after)
    return Effect(
        {name: _quotient(figure(before), figure(after), over) for name, figure in FIGURES.items()},
        {id: _quotient(first[id], second.get(id), over) for id in first},
    )


def _quotient(before: float | None, after: float | None, over: float) -> float | None:
    return None if before is None or after is None else (after - before) / over


def counts_by_the_code(a: Assessment) -> bool:
    """Whether the IS Code's rule for free surfaces binds. Source: 2008 IS Code Part B 3.1.2."""
    return any(rule_set.surfaces == IMO for rule_set in a.sets)


def tank_sensitivity(vessel: Vessel, condition: Condition, base: Assessment, tank: int) -> TankSensitivity:
    """The effect of a tank by index on a condition assessed as `base`; a central difference where both its sides lie
    on one piece. An empty tank: forward, between two fillings that are slack; a full one: backward.

    Raises CoreError for a tank whose table cannot be used. Source: definition of a difference quotient."""
    filling = filling_of(vessel, condition, tank, counts_by_the_code(base))

    def at(mass: float) -> Assessment:
        return assess(vessel, refilled(condition, [filling.line(mass)]), like=base)

    low, high, step, kink = _difference(filling)
    low_side = base if low == filling.mass else at(low)
    high_side = base if high == filling.mass else at(high)
    effect = effect_between(low_side, high_side, high - low)
    state = filling.piece_of(filling.mass).state
    press_up = empty = None

    def jump(mass: float) -> Jump:
        after = at(mass)
        return Jump(mass - filling.mass, effect_between(base, after), after.verdict, failing_of(after))

    if state in (EMPTY, SLACK):
        press_up = jump(filling.full)
    if state != EMPTY:
        empty = jump(filling.emptied)
    return TankSensitivity(filling, step, kink, effect, press_up, empty)


def _difference(filling: Filling) -> tuple[float, float, float, bool]:
    """Two masses in t to take the difference between, the step between or around them, and whether a jump is near."""
    mass, step = filling.mass, max(STEP_PART * filling.full, LEAST_STEP)
    piece = filling.piece_of(mass)
    if piece.state == EMPTY:
        if filling.slack is None:
            return mass, filling.full, filling.full - mass, True
        slack = filling.slack
        step = min(step, 0.25 * (slack.high - slack.low))
        return slack.low + step, slack.low + 2.0 * step, step, True
    kink = not (piece.contains(mass - step) and piece.contains(mass + step)) and mass < filling.full
    for _ in range(HALVINGS):
        below, above = piece.contains(mass - step), piece.contains(mass + step)
        if below or above:
            return mass - step * below, mass + step * above, step, kink
        step *= 0.5
    return mass - step, mass, step, True


def weight_sensitivity(
    vessel: Vessel, condition: Condition, base: Assessment, weight: int
) -> WeightSensitivity:
    """The effect of a weight by index on a condition assessed as `base`, by central differences.

    Source: definition of a difference quotient."""
    given = condition.weights[weight]
    step = max(STEP_PART * abs(given.mass), LEAST_STEP)

    def with_weight(name: str, value: float) -> Assessment:
        weights = list(condition.weights)
        weights[weight] = given._replace(mass=value) if name == "mass" else given._replace(vcg=value)
        return assess(vessel, replace(condition, weights=weights), like=base)

    def around(name: str, value: float, step: float) -> Effect:
        return effect_between(with_weight(name, value - step), with_weight(name, value + step), 2.0 * step)

    return WeightSensitivity(
        weight, step, around("mass", given.mass, step), around("vcg", given.vcg, HEIGHT_STEP)
    )


def gains_of(tanks: Sequence[TankSensitivity], criteria: Collection[str]) -> dict[str, list[Gain]]:
    """For each criterion the three tanks whose best move gains most of its margin for a tonne moved, best first.

    Source: definition."""
    found: dict[str, list[Gain]] = {}
    for id in criteria:
        best = [gain for tank in tanks if (gain := _best_move(tank, id)) is not None]
        found[id] = sorted(best, key=lambda gain: (-gain.per_mass, gain.tank))[:BEST]
    return found


def _best_move(tank: TankSensitivity, criterion: str) -> Gain | None:
    moves = []
    slope, filling = tank.effect.margins.get(criterion), tank.filling
    state = filling.piece_of(filling.mass).state
    if slope is not None and state == SLACK:
        moves += [
            Gain(filling.tank, ADD, slope, None, None),
            Gain(filling.tank, TAKE, -slope, None, None),
        ]
    for move, jump in ((PRESS_UP, tank.press_up), (EMPTY_IT, tank.empty)):
        change = None if jump is None else jump.effect.margins.get(criterion)
        if jump is not None and change is not None and jump.mass_change:
            moves.append(Gain(filling.tank, move, change / abs(jump.mass_change), jump.mass_change, change))
    best = max(moves, key=lambda gain: gain.per_mass, default=None)
    return None if best is None or best.per_mass <= 0.0 else best
