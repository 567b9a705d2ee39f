"""The free surface moment of every slack tank, and the reason for each.

Bases: `as_filled` (each slack tank at its filling), `maximum_when_slack` (its greatest moment below the limit) and
`by_rule` (2008 IS Code Part B 3.1 and 46 CFR 170.285, with a moment assumed for each consumable liquid). Where a
document that brings a rule for free surfaces binds her, the greater of the condition's basis and that rule judges.
"""

from collections.abc import Sequence
from math import fsum, pi, sin, tan
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
CHANGING = (
    "counted as slack while its filling changes: greatest inertia in its table between its fillings, times the density "
    "aboard (2008 IS Code B/3.1.5)"
)
CHANGING_COLUMN = "counted as slack while its filling changes (2008 IS Code B/3.1.5): slack column for "
BELOW_98_COLUMN = (
    "at or above her own limit, but below 98 %: counted as slack (2008 IS Code B/3.1.2): slack column for "
)


class Surface(NamedTuple):
    """Free surface moments of one tank line, t.m: at its filling, and the greatest it may have while slack. Both are 0
    where it has no free surface, both the same where nothing but the state decides. `counted_as` is its state as far
    as its surface goes."""

    as_filled: float
    greatest: float
    reason: str
    reason_greatest: str
    counted_as: str


class Assumed(NamedTuple):
    """A moment (t.m) counted for a tank that is not slack, because a rule asks for it."""

    tank: int
    contents: str
    moment: float
    reason: str


class Counted(NamedTuple):
    """The surfaces of one condition as one basis counts them: moments and reasons a tank line, which lines count at
    their filling, the moments assumed, those left out as too small (0 for the others), and the total, t.m."""

    basis: str
    moments: list[float]
    at_filling: list[bool]
    reasons: list[str]
    assumed: list[Assumed]
    exempt: list[float]
    total: float


class FreeSurfaces(NamedTuple):
    """The totals of one condition by basis, and the one she is judged by. `by_rule` is None where no document that
    binds her has a rule for free surfaces and the condition does not ask for one."""

    surfaces: list[Surface]
    as_filled: float
    maximum_when_slack: float
    by_rule: Counted | None
    judged: Counted


def free_surfaces(
    tanks: Sequence[Tank],
    units_of: Sequence[Sequence[int]],
    lines: Sequence[TankLine],
    liquids: Sequence[Liquid],
    basis: str,
    rules: frozenset[str],
    minimum_displacement: float | None,
) -> FreeSurfaces:
    """Every total of a condition, and the greater of its basis and the rules that bind (IMO, CFR).

    `units_of` [T] tells by index which pairs each tank belongs to; a `minimum_displacement` (t) lets the Code leave out
    small tanks. Source: 2008 IS Code Part B 3.1; 46 CFR 170.285."""
    if basis == BY_RULE and not rules:
        rules = frozenset((IMO,))  # asked for although no document brings one: the Code's
    surfaces = [
        surface_of(tanks[line.tank], line, liquid, IMO in rules) for line, liquid in zip(lines, liquids)
    ]
    every = _Every(tanks, units_of, lines, liquids, surfaces)
    ruled = [every.by_rule(rule, minimum_displacement) for rule in sorted(rules)]
    by_rule = max(ruled, key=lambda counted: counted.total, default=None)
    as_filled = fsum([surface.as_filled for surface in surfaces])
    greatest = fsum([surface.greatest for surface in surfaces])
    asked = as_filled if basis == AS_FILLED else greatest
    if by_rule is not None and (basis == BY_RULE or by_rule.total > asked):
        return FreeSurfaces(surfaces, as_filled, greatest, by_rule, by_rule)
    return FreeSurfaces(surfaces, as_filled, greatest, by_rule, _counted(basis == AS_FILLED, surfaces, asked))


def _counted(at_filling: bool, surfaces: Sequence[Surface], total: float) -> Counted:
    """Every line at its filling, or every line at its greatest."""
    lines = len(surfaces)
    return Counted(
        AS_FILLED if at_filling else MAXIMUM_WHEN_SLACK,
        [surface.as_filled if at_filling else surface.greatest for surface in surfaces],
        [at_filling] * lines,
        [surface.reason if at_filling else surface.reason_greatest for surface in surfaces],
        [],
        [0.0] * lines,
        total,
    )


class _Every(NamedTuple):
    """One condition, to be counted by rule."""

    tanks: Sequence[Tank]
    units_of: Sequence[Sequence[int]]
    lines: Sequence[TankLine]
    liquids: Sequence[Liquid]
    surfaces: list[Surface]

    def by_rule(self, rule: str, minimum_displacement: float | None) -> Counted:
        """Consumables at their greatest, others at their filling (2008 IS Code B/3.1.3) or, by 46 CFR 170.285, at their
        greatest too; small tanks left out by the Code (B/3.1.12)."""
        small = 0.0
        if rule == IMO and minimum_displacement is not None:
            small = 0.01 * minimum_displacement / MOMENT_AT_30_DEGREES
        moments, at_filling, reasons, exempt = [], [], [], []
        for line, surface in zip(self.lines, self.surfaces):
            greatest = rule == CFR or line.contents in CONSUMABLE
            moment = surface.greatest if greatest else surface.as_filled
            left_out = surface.counted_as == SLACK and surface.greatest < small
            moments.append(0.0 if left_out else moment)
            at_filling.append(not (greatest or left_out))
            exempt.append(moment if left_out else 0.0)
            reasons.append(
                SMALL_TANK if left_out else surface.reason_greatest if greatest else surface.reason
            )
        assumed = self._assumed(rule, moments)
        total = fsum(moments + [line.moment for line in assumed])
        return Counted(BY_RULE, moments, at_filling, reasons, assumed, exempt, total)

    def _assumed(self, rule: str, moments: list[float]) -> list[Assumed]:
        """Moments assumed for consumables: for each consumable liquid aboard, the transverse pair or single tank of
        greatest effect counts as slack.

        Tanks of it that count as slack already are not counted again; the others get a line of their own here, with
        what is missing of the greatest moment (a tank at its printed limit counts its limit moment already).
        Source: 2008 IS Code Part B 3.1.4; 46 CFR 170.285(a)(1) and (b).
        """
        effects: dict[str, dict[int, float]] = {}
        for line, liquid in zip(self.lines, self.liquids):
            if line.contents in CONSUMABLE and liquid.state != EMPTY:
                units = effects.setdefault(line.contents, {})
                moment = greatest_moment(self.tanks[line.tank], line)
                for pair in self.units_of[line.tank]:
                    units[pair] = units.get(pair, 0.0) + moment
        chosen = {liquid: min(units, key=lambda u: (-units[u], u)) for liquid, units in effects.items()}
        clause = "2008 IS Code B/3.1.4" if rule == IMO else "46 CFR 170.285(a)(1)"
        found = []
        for line, liquid, surface, counted in zip(self.lines, self.liquids, self.surfaces, moments):
            unit = chosen.get(line.contents)
            if SLACK in (liquid.state, surface.counted_as) or liquid.state == EMPTY:
                continue
            if unit is None or unit not in self.units_of[line.tank]:
                continue
            most = greatest_moment(self.tanks[line.tank], line)
            if counted < most * (1.0 - 1e-9):
                words = (
                    f"assumed slack: for {line.contents.replace('_', ' ')} the pair or centreline tank of greatest "
                    f"effect is counted ({clause})"
                )
                found.append(Assumed(line.tank, line.contents, most - counted, words))
        return sorted(found, key=lambda line: (CONTENTS.index(line.contents), line.tank))


def surface_of(tank: Tank, line: TankLine, liquid: Liquid, code: bool) -> Surface:
    """Moments and reasons of one tank line; `code`: the IS Code binds, by which every tank below 98 % is slack.

    Source: 2008 IS Code Part B 3.1.2; printed columns: common practice, no source."""
    state = liquid.state
    if line.slack_between is not None:
        return _changing(tank, line, line.slack_between)
    if state == EMPTY:
        return Surface(0.0, 0.0, NO_LIQUID, NO_LIQUID, EMPTY)
    early = code and state != SLACK and liquid.fill < FULL_BY_THE_CODE
    if tank.printed:
        return _printed(tank, line, liquid, early, code)
    if state != SLACK and not early:
        return _full(tank, line, liquid)
    filled = liquid.inertia * line.density
    # by the Code a tank may be slack above her own limit, where a surface that broadens is greater still
    greatest = max(tank.greatest_inertia, liquid.inertia) * line.density
    if early:
        return Surface(filled, greatest, BELOW_98, BELOW_98, SLACK)
    if tank.rectangular is not None:
        return Surface(filled, greatest, RECTANGLE, RECTANGLE, SLACK)
    return Surface(filled, greatest, TABLE_AT_FILLING, TABLE_GREATEST, SLACK)


def _changing(tank: Tank, line: TankLine, volumes: tuple[float, float]) -> Surface:
    """Slack whatever the filling: the greatest surface between two volumes."""
    if tank.printed:
        column = tank.column(line)
        moment = column.slack_moment * line.density / column.density
        words = CHANGING_COLUMN + column.contents.replace("_", " ")
        return Surface(moment, moment, words, words, SLACK)
    between = tank.greatest_inertia_between(*volumes)
    greatest = max(tank.greatest_inertia, between)
    return Surface(between * line.density, greatest * line.density, CHANGING, CHANGING, SLACK)


def _full(tank: Tank, line: TankLine, liquid: Liquid) -> Surface:
    if line.contents == CARGO_LIQUID:
        moment = tank.inertia_at_98 * line.density
        return Surface(moment, moment, CARGO_AT_98, CARGO_AT_98, liquid.state)
    words = {OVERFULL: ABOVE_FULL, PRESSED_UP: ABOVE_LIMIT}.get(liquid.state, TABLE_AT_LIMIT)
    return Surface(0.0, 0.0, words, words, liquid.state)


def _printed(tank: Tank, line: TankLine, liquid: Liquid, early: bool, code: bool) -> Surface:
    column, state = tank.column(line), liquid.state
    scale = line.density / column.density
    words = column.contents.replace("_", " ")
    if abs(scale - 1.0) > 1e-12:
        words += f" at {column.density} t/m3, scaled to the density aboard"
    slack, limit = column.slack_moment * scale, column.limit_moment * scale
    if early:
        return Surface(slack, slack, BELOW_98_COLUMN + words, BELOW_98_COLUMN + words, SLACK)
    if state == SLACK:
        return Surface(slack, slack, SLACK_COLUMN + words, SLACK_COLUMN + words, SLACK)
    if state == AT_LIMIT:
        return Surface(limit, limit, LIMIT_COLUMN + words, LIMIT_COLUMN + words, AT_LIMIT)
    if code and line.contents == CARGO_LIQUID:
        return Surface(limit, limit, CARGO_AT_98, CARGO_AT_98, state)
    above = ABOVE_FULL if state == OVERFULL else ABOVE_LIMIT
    return Surface(0.0, 0.0, above, above, state)


def greatest_moment(tank: Tank, line: TankLine) -> float:
    """Greatest slack moment of a tank line at the density aboard, t.m.

    Source: 2008 IS Code Part B 3.1.3.2; 46 CFR 170.285."""
    if not tank.printed:
        return tank.greatest_inertia * line.density
    column = tank.column(line)
    return column.slack_moment * line.density / column.density
