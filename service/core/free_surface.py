"""The free surface moment of every slack tank, and the reason for each.

Bases: `as_filled` (each slack tank at its filling), `maximum_when_slack` (its greatest moment below the limit) and
`by_rule` (2008 IS Code Part B 3.1 and 46 CFR 170.285, with a moment assumed for each consumable liquid).
"""

from collections.abc import Sequence
from math import pi, sin, tan
from typing import NamedTuple

from .condition import TankLine
from .tank import (
    AT_LIMIT,
    AT_THE_LIMIT,
    CARGO_LIQUID,
    CONSUMABLE,
    CONTENTS,
    EMPTY,
    OVERFULL,
    PRESSED_UP,
    SLACK,
    Liquid,
    Tank,
)

BASES = ("as_filled", "maximum_when_slack", "by_rule")
AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE = BASES
IMO, CFR = "imo", "cfr"
"""Whose rule for free surfaces: 2008 IS Code Part B 3.1, or 46 CFR 170.285."""

FULL_BY_THE_CODE = 98.0 - AT_THE_LIMIT
"""Percent of capacity from which 2008 IS Code Part B 3.1.2 counts no free surface."""

MOMENT_AT_30_DEGREES = sin(pi / 6) * (1.0 + 0.5 * tan(pi / 6) ** 2)
"""Shift moment of a wall-sided surface at 30 degrees over its upright inertia: sin(1 + tan^2/2). Closed form."""

NO_LIQUID = "empty: no free surface"
ABOVE_LIMIT = "above its normal full limit: no free surface"
ABOVE_FULL = "over-full: no free surface, but liquid has nowhere to go"
TABLE_AT_LIMIT = "at its normal full limit, within 0.05 % of capacity: no free surface"
TABLE_AT_FILLING = "slack: inertia at this filling from its table, times the density aboard"
TABLE_GREATEST = "slack: greatest inertia in its table below the limit, times the density aboard"
RECTANGLE = "slack: rectangular surface l b^3 / 12 / n^2, times the density aboard"
SLACK_COLUMN = "slack: slack column for "
LIMIT_COLUMN = "at its limit mass, within half its last printed digit: limit column for "
CARGO_AT_98 = (
    "nominally full cargo tank: counted at 98 % (2008 IS Code B/3.1.2); that paragraph asks for the inertia at 5 "
    "degrees of heel, the upright one is used"
)
SMALL_TANK = (
    "slack, but too small to count: moment at 30 degrees below 0.01 m times the minimum displacement "
    "(2008 IS Code B/3.1.12)"
)
BELOW_98 = (
    "at or above her own limit, but below 98 %: counted as slack (2008 IS Code B/3.1.2), with its surface at this "
    "filling or, for a consumable, the greatest"
)


class Surface(NamedTuple):
    """Free surface moment of a tank line, t.m, and why it is that."""

    moment: float
    reason: str


class Assumed(NamedTuple):
    """A moment (t.m) counted for a tank that is not slack, because a rule asks for it."""

    tank: int
    contents: str
    moment: float
    reason: str


class Counting:
    """How the surfaces of one condition are counted: on which basis, under which rules, and for which minimum
    service displacement (t) small tanks may be left out."""

    def __init__(
        self, basis: str, rules: frozenset[str] = frozenset(), minimum_displacement: float | None = None
    ) -> None:
        self.basis, self.rules = basis, rules
        self.by_code = basis == BY_RULE and IMO in rules
        self._small = 0.0
        if self.by_code and CFR not in rules and minimum_displacement is not None:
            self._small = 0.01 * minimum_displacement / MOMENT_AT_30_DEGREES

    def takes_greatest(self, contents: str) -> bool:
        """Whether a slack tank counts its greatest moment whatever its filling.

        Source: 2008 IS Code B/3.1.3.2 (consumables), B/3.1.3.1 (others at their filling); 46 CFR 170.285 (all)."""
        if self.basis == BY_RULE:
            return CFR in self.rules or contents in CONSUMABLE
        return self.basis == MAXIMUM_WHEN_SLACK

    def surface(self, tank: Tank, line: TankLine, liquid: Liquid) -> Surface:
        """Moment and reason of one tank line.

        Source: 2008 IS Code Part B 3.1; 46 CFR 170.285; printed columns: common practice, no source."""
        if liquid.state == EMPTY:
            return Surface(0.0, NO_LIQUID)
        # the Code counts a free surface up to 98 %, even where her own booklet calls a tank full before
        early = self.by_code and not tank.printed and liquid.fill < FULL_BY_THE_CODE
        full = liquid.state in (PRESSED_UP, OVERFULL) or (liquid.state == AT_LIMIT and not tank.printed)
        if full and not early:
            return self._full(tank, line, liquid)
        return self._printed(tank, line, liquid) if tank.printed else self._tabled(tank, line, liquid, early)

    def _full(self, tank: Tank, line: TankLine, liquid: Liquid) -> Surface:
        if line.contents == CARGO_LIQUID and (self.by_code or not tank.printed):
            if tank.printed:
                column = tank.column(line)
                return Surface(column.limit_moment * line.density / column.density, CARGO_AT_98)
            return Surface(tank.inertia_at_98 * line.density, CARGO_AT_98)
        if liquid.state == OVERFULL:
            return Surface(0.0, ABOVE_FULL)
        return Surface(0.0, ABOVE_LIMIT if liquid.state == PRESSED_UP else TABLE_AT_LIMIT)

    def _printed(self, tank: Tank, line: TankLine, liquid: Liquid) -> Surface:
        column = tank.column(line)
        scale = line.density / column.density
        at_limit = liquid.state == AT_LIMIT
        moment = (column.limit_moment if at_limit else column.slack_moment) * scale
        exempt = moment < self._small
        if exempt and not at_limit:
            return Surface(0.0, SMALL_TANK)
        words = (LIMIT_COLUMN if at_limit else SLACK_COLUMN) + column.contents.replace("_", " ")
        if abs(scale - 1.0) > 1e-12:
            words += f" at {column.density} t/m3, scaled to the density aboard"
        return Surface(0.0 if exempt else moment, words)

    def _tabled(self, tank: Tank, line: TankLine, liquid: Liquid, early: bool) -> Surface:
        if tank.greatest_inertia * line.density < self._small:
            return Surface(0.0, SMALL_TANK)
        greatest = self.takes_greatest(line.contents)
        # by the Code a tank may be slack above her own limit, where a surface that broadens is greater still
        inertia = max(tank.greatest_inertia, liquid.inertia) if greatest else liquid.inertia
        if early and liquid.state != SLACK:
            words = BELOW_98
        elif tank.rectangular is not None:
            words = RECTANGLE
        else:
            words = TABLE_GREATEST if greatest else TABLE_AT_FILLING
        return Surface(inertia * line.density, words)

    def assumed(
        self,
        tanks: Sequence[Tank],
        units_of: Sequence[Sequence[int]],
        lines: Sequence[TankLine],
        liquids: Sequence[Liquid],
        surfaces: Sequence[Surface],
    ) -> list[Assumed]:
        """Moments the rules assume for consumables: for each consumable liquid aboard, the transverse pair or single
        tank of greatest effect counts as slack; `units_of` [T] tells by index which pairs each tank belongs to.

        Tanks of it that count as slack already are not counted again; the others get a line of their own here, with
        what is missing of the greatest moment (a tank at its printed limit counts its limit moment already).
        Source: 2008 IS Code Part B 3.1.4; 46 CFR 170.285(a)(1) and (b).
        """
        if self.basis != BY_RULE:
            return []
        effects: dict[str, dict[int, float]] = {}
        for line, liquid in zip(lines, liquids):
            if line.contents in CONSUMABLE and liquid.state != EMPTY:
                of_liquid, moment = (
                    effects.setdefault(line.contents, {}),
                    greatest_moment(tanks[line.tank], line),
                )
                for unit in units_of[line.tank]:
                    of_liquid[unit] = of_liquid.get(unit, 0.0) + moment
        greatest = {liquid: min(units, key=lambda u: (-units[u], u)) for liquid, units in effects.items()}
        clause = "2008 IS Code B/3.1.4" if IMO in self.rules else "46 CFR 170.285(a)(1)"
        found = []
        for line, liquid, surface in zip(lines, liquids, surfaces):
            if liquid.state in (SLACK, EMPTY) or greatest.get(line.contents) not in units_of[line.tank]:
                continue
            most = greatest_moment(tanks[line.tank], line)
            if surface.moment < most * (1.0 - 1e-9):
                words = (
                    f"assumed slack: for {line.contents.replace('_', ' ')} the pair or centreline tank of greatest "
                    f"effect is counted ({clause})"
                )
                found.append(Assumed(line.tank, line.contents, most - surface.moment, words))
        return sorted(found, key=lambda line: (CONTENTS.index(line.contents), line.tank))


def greatest_moment(tank: Tank, line: TankLine) -> float:
    """Greatest slack moment of a tank line at the density aboard, t.m.

    Source: 2008 IS Code Part B 3.1.3.2; 46 CFR 170.285."""
    if not tank.printed:
        return tank.greatest_inertia * line.density
    column = tank.column(line)
    return column.slack_moment * line.density / column.density
