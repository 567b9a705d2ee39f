"""What is used, or made, along a leg: masses of tanks and weights as they fall and rise with time.

A tank consumption draws groups of tanks one after another. A group is drawn in proportion to what each of its tanks
holds above what is left in it, so that all of them are down at the same moment; without a remainder that is in
proportion to what each holds. Liquid made on board fills the groups in order, in proportion to the room below the
normal limit. Every mass is linear in time between the events. Common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from .condition import TankLine
from .tank import SLACK, Tank

INSTANT = 1e-9
"""Days within which two events are one."""
CRUMB = 1e-9
"""t: less than this in a tank is nothing."""


class TankUse(NamedTuple):
    """Liquid used (rate > 0) or made (rate < 0), t a day, from groups of tanks (by index) in order; `leave` percent of
    the capacity stays in each. `place` is where the condition's plan says so."""

    contents: str
    rate: float
    order: tuple[tuple[int, ...], ...]
    leave: float
    place: tuple[str | int, ...]


class WeightUse(NamedTuple):
    """A weight (by its id in the plan) that falls to nothing, t a day; its centre stays."""

    name: str
    weight: int
    rate: float
    place: tuple[str | int, ...]


class Drawing(NamedTuple):
    """One group while it is drawn or filled, from day `start` to `end` of the leg: mass at the start and change a day
    for each tank; `whole`: it is down to its remainder, or full, at the end. `slack`: every tank of it was slack."""

    tanks: tuple[int, ...]
    start: float
    end: float
    masses: tuple[float, ...]
    rates: tuple[float, ...]
    whole: bool
    slack: bool


@dataclass
class TankLeg:
    """One consumption along one leg: its drawings in order, and the day of the leg at which nothing was left to draw
    (or no room left to fill), None where that did not happen."""

    use: TankUse
    drawings: list[Drawing] = field(default_factory=list)
    ends: float | None = None

    def mass(self, tank: int, day: float) -> float | None:
        """t in a tank on a day of the leg; None where it was not drawn by then. Source: definition."""
        found = None
        for drawing in self.drawings:
            if tank not in drawing.tanks or day < drawing.start:
                continue
            k = drawing.tanks.index(tank)
            over = day >= drawing.end - INSTANT
            elapsed = (drawing.end if over else day) - drawing.start
            found = drawing.masses[k] + drawing.rates[k] * elapsed
        return found

    def used(self, day: float) -> float:
        """t drawn until a day of the leg; negative where it was made. Source: definition."""
        return -sum(
            sum(drawing.rates) * (min(day, drawing.end) - drawing.start)
            for drawing in self.drawings
            if day > drawing.start
        )


def along(use: TankUse, tanks: Sequence[Tank], aboard: Mapping[int, TankLine], days: float) -> TankLeg:
    """The drawings of one consumption along a leg of `days`, from what is aboard (lines by tank).

    Source: see the module."""
    leg, at = TankLeg(use), 0.0
    if use.rate == 0.0 or days <= 0.0:
        return leg
    for group in use.order:
        lines = [(tank, aboard[tank]) for tank in group if tank in aboard]
        moves = [_movable(tanks[tank], line, use) for tank, line in lines]
        total = sum(move for _, _, move in moves)
        if total <= CRUMB:
            continue
        whole = at + total / abs(use.rate)
        end = min(whole, days) if whole > days + INSTANT else whole
        sense = -1.0 if use.rate > 0.0 else 1.0
        leg.drawings.append(
            Drawing(
                tuple(tank for tank, _ in lines),
                at,
                end,
                tuple(mass for mass, _, _ in moves),
                tuple(sense * abs(use.rate) * move / total for _, _, move in moves),
                whole <= days + INSTANT,
                all(state == SLACK for _, state, move in moves if move > 0.0),
            )
        )
        at = end
        if at >= days - INSTANT:
            return leg
    leg.ends = at
    return leg


def _movable(tank: Tank, line: TankLine, use: TankUse) -> tuple[float, str, float]:
    """Mass of a line, its state, and what may be taken out of the tank or pumped in, t."""
    liquid = tank.liquid(line)
    if use.rate > 0.0:
        kept = 0.01 * use.leave * tank.capacity * line.density
        return liquid.mass, liquid.state, max(0.0, liquid.mass - kept)
    full = 0.01 * tank.normal_limit * tank.capacity * line.density
    return liquid.mass, liquid.state, max(0.0, full - liquid.mass)


def stock(use: TankUse, tanks: Sequence[Tank], aboard: Mapping[int, TankLine]) -> tuple[float, float]:
    """t in all tanks of an order, and what of it may be drawn. Source: definition."""
    lines = [(tank, aboard[tank]) for group in use.order for tank in group if tank in aboard]
    drawn = use._replace(rate=abs(use.rate) or 1.0)
    moves = [_movable(tanks[tank], line, drawn) for tank, line in lines]
    return sum(mass for mass, _, _ in moves), sum(move for _, _, move in moves)


def drawn_line(tank: int, line: TankLine, mass: float) -> TankLine:
    """The line of a tank with another mass (t) in it, a crumb counting as nothing. Source: definition."""
    return TankLine(tank, "mass", 0.0 if abs(mass) < CRUMB else mass, line.density, line.contents)
