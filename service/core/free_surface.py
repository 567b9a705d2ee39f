"""The free surface moment of every slack tank, and the reason for each.

Bases: `as_filled` (each slack tank at its filling), `maximum_when_slack` (its greatest moment below the limit) and
`by_rule` (2008 IS Code Part B 3.1 and 46 CFR 170.285, with a moment assumed for each consumable liquid).
"""

from dataclasses import dataclass

import numpy as np

from .errors import UnusableBooklet
from .frame import Bools, Floats, Ints
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
    Fillings,
    Liquids,
    TankBook,
)

AS_FILLED, MAXIMUM_WHEN_SLACK, BY_RULE = range(3)
BASES = ("as_filled", "maximum_when_slack", "by_rule")

(
    NO_LIQUID,
    ABOVE_LIMIT,
    ABOVE_FULL,
    TABLE_AT_LIMIT,
    TABLE_AT_FILLING,
    TABLE_GREATEST,
    RECTANGLE,
    SLACK_COLUMN,
    LIMIT_COLUMN,
    CARGO_AT_98,
    SMALL_TANK,
    BELOW_98,
) = range(12)

SENTENCES = (
    "empty: no free surface",
    "above its normal full limit: no free surface",
    "over-full: no free surface, but liquid has nowhere to go",
    "at its normal full limit, within 0.05 % of capacity: no free surface",
    "slack: inertia at this filling from its table, times the density aboard",
    "slack: greatest inertia in its table below the limit, times the density aboard",
    "slack: rectangular surface l b^3 / 12 / n^2, times the density aboard",
    "slack: slack column for {column}",
    "at its limit mass, within half its last printed digit: limit column for {column}",
    "nominally full cargo tank: counted at 98 % (2008 IS Code B/3.1.2); that paragraph asks for the inertia at 5 "
    "degrees of heel, the upright one is used",
    "slack, but too small to count: moment at 30 degrees below 0.01 m times the minimum displacement "
    "(2008 IS Code B/3.1.12)",
    "at or above her own limit, but below 98 %: counted as slack (2008 IS Code B/3.1.2), with its surface at this "
    "filling or, for a consumable, the greatest",
)

FULL_BY_THE_CODE = 98.0 - AT_THE_LIMIT
"""Percent of capacity from which 2008 IS Code Part B 3.1.2 counts no free surface."""

MOMENT_AT_30_DEGREES = np.sin(np.pi / 6) * (1.0 + 0.5 * np.tan(np.pi / 6) ** 2)
"""Shift moment of a wall-sided surface at 30 degrees over its upright inertia: sin(1 + tan^2/2). Closed form."""


@dataclass(frozen=True)
class FreeSurfaces:
    """Moment [P] t.m and reason [P] (index in SENTENCES) of each tank line; `column` [P] is the printed column used
    (-1: none), `scaled` [P] the ratio of densities applied to it."""

    moment: Floats
    reason: Ints
    column: Ints
    scaled: Floats


@dataclass(frozen=True)
class Assumed:
    """A moment counted for a tank that is not slack, because a rule asks for it."""

    condition: int
    tank: int
    contents: int
    moment: float
    imo: bool

    @property
    def reason(self) -> str:
        """The rule that asks for it. Source: 2008 IS Code Part B 3.1.4; 46 CFR 170.285(a)(1)."""
        clause = "2008 IS Code B/3.1.4" if self.imo else "46 CFR 170.285(a)(1)"
        liquid = CONTENTS[self.contents].replace("_", " ")
        return f"assumed slack: for {liquid} the pair or centreline tank of greatest effect is counted ({clause})"


class FreeSurfaceBook:
    """Columns of the booklets that print moments, padded; and the pairs the rules speak of."""

    def __init__(self, book: TankBook) -> None:
        self.book = book
        self.units = book.halves()
        self.belongs: Floats = np.zeros((len(book.tanks), len(self.units)))
        for u, unit in enumerate(self.units):
            self.belongs[list(unit), u] = 1.0
        most = max((len(t.printed) for t in book.tanks), default=0)
        shape = (len(book.tanks), max(most, 1))
        self.printed: Bools = np.array([bool(t.printed) for t in book.tanks], dtype=bool)
        self.rectangular = np.array([t.rectangular is not None for t in book.tanks], dtype=bool)
        self.contents = np.full(shape, -1)
        self.density, self.limit_mass = np.full(shape, 1e9), np.zeros(shape)
        self.tolerance, self.slack, self.limit = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        for i, tank in enumerate(book.tanks):
            _check_source(i, bool(tank.printed), book)
            for j, column in enumerate(tank.printed):
                self.contents[i, j] = CONTENTS.index(column.contents)
                self.density[i, j], self.limit_mass[i, j] = column.density, column.limit_mass
                self.tolerance[i, j] = column.limit_tolerance
                self.slack[i, j], self.limit[i, j] = column.slack_moment, column.limit_moment

    def column(self, fillings: Fillings) -> Ints:
        """Printed column [P] for each tank line: that of the liquid aboard, nearest in density; -1 for tanks without
        columns. Source: common practice, no source."""
        tank = fillings.tank
        distance = np.abs(self.density[tank] - fillings.density[:, None])
        distance = distance + 1e3 * (self.contents[tank] != fillings.contents[:, None])
        return np.where(self.printed[tank], np.argmin(distance, axis=1), -1)

    def states(self, fillings: Fillings, liquids: Liquids, column: Ints) -> Ints:
        """States [P] where a printed limit mass decides instead of the filling.

        The limit is a volume: its mass scales with the density aboard. Source: common practice, no source."""
        tank, j = fillings.tank, np.maximum(column, 0)
        scale = fillings.density / self.density[tank, j]
        limit, tolerance = self.limit_mass[tank, j] * scale, self.tolerance[tank, j] * scale
        tolerance = tolerance * (1.0 + 1e-9)
        state = np.where(
            np.abs(liquids.mass - limit) <= tolerance,
            AT_LIMIT,
            np.where(liquids.mass < limit, SLACK, PRESSED_UP),
        )
        kept = (column < 0) | (liquids.state == EMPTY) | (liquids.state == OVERFULL)
        return np.where(kept, liquids.state, state)

    def moments(
        self,
        fillings: Fillings,
        liquids: Liquids,
        basis: Ints,
        imo: Bools,
        cfr: Bools,
        minimum_displacement: float | None,
    ) -> FreeSurfaces:
        """Moment and reason of every tank line; `basis`, `imo`, `cfr` are [N] by condition.

        Under `by_rule` a slack consumable tank counts at its greatest moment (2008 IS Code B/3.1.3.2) and another at
        its filling (B/3.1.3.1), or at its greatest too where 46 CFR 170.285 binds. Source: 2008 IS Code Part B 3.1;
        46 CFR 170.285; printed columns: common practice, no source.
        """
        tank, state, line = fillings.tank, liquids.state, fillings.condition
        ruled = basis[line] == BY_RULE
        greatest = (basis[line] == MAXIMUM_WHEN_SLACK) | (ruled & (cfr[line] | CONSUMABLE[fillings.contents]))
        column = self.column(fillings)
        j = np.maximum(column, 0)
        scaled = np.where(column < 0, 1.0, fillings.density / self.density[tank, j])
        by_column = np.where(state == AT_LIMIT, self.limit[tank, j], self.slack[tank, j]) * scaled
        largest = self.book.greatest_inertia[tank]
        # by the Code a tank may be slack above her own limit, where a surface that broadens is greater still
        inertia = np.where(greatest, np.fmax(largest, liquids.inertia), liquids.inertia)
        moment = np.where(column < 0, inertia * fillings.density, by_column)
        reason = np.where(greatest, TABLE_GREATEST, TABLE_AT_FILLING)
        reason = np.where(self.rectangular[tank], RECTANGLE, reason)
        reason = np.where(column < 0, reason, SLACK_COLUMN)
        small = self._small(largest * fillings.density, by_column, column, minimum_displacement)
        exempt = small & ruled & imo[line] & ~cfr[line]
        moment, reason = np.where(exempt, 0.0, moment), np.where(exempt, SMALL_TANK, reason)
        # the Code counts a free surface up to 98 %, even where her own booklet calls a tank full before
        code = ruled & imo[line]
        early = code & (column < 0) & (liquids.fill < FULL_BY_THE_CODE) & (state != EMPTY)
        reason = np.where(early & (state != SLACK) & ~exempt, BELOW_98, reason)
        state = np.where(early, SLACK, state)
        moment, reason = self._not_slack(fillings, state, column, code, moment, reason)
        return FreeSurfaces(moment, reason, column, scaled)

    def _not_slack(
        self, fillings: Fillings, state: Ints, column: Ints, by_code: Bools, moment: Floats, reason: Ints
    ) -> tuple[Floats, Ints]:
        """Moments of the tanks that are empty or full in place of those they would have as slack ones."""
        tabled = column < 0
        place = fillings.tank, np.maximum(column, 0)
        at_98 = self.book.inertia_at_98[fillings.tank] * fillings.density
        at_98 = np.where(tabled, at_98, self.limit[place] * fillings.density / self.density[place])
        at_limit = state == AT_LIMIT
        full = (at_limit & tabled) | (state >= PRESSED_UP)
        cargo = full & (fillings.contents == CARGO_LIQUID) & (tabled | by_code)
        without = (state == EMPTY) | (full & ~cargo)
        moment = np.where(without, 0.0, np.where(cargo, at_98, moment))
        words = np.where(
            state == OVERFULL, ABOVE_FULL, np.where(full & ~at_limit, ABOVE_LIMIT, TABLE_AT_LIMIT)
        )
        words = np.where(at_limit & ~tabled, LIMIT_COLUMN, np.where(state == EMPTY, NO_LIQUID, words))
        reason = np.where(cargo, CARGO_AT_98, np.where(without | at_limit, words, reason))
        return moment, reason

    def _small(
        self, upright: Floats, printed: Floats, column: Ints, minimum_displacement: float | None
    ) -> Bools:
        if minimum_displacement is None:
            return np.zeros(len(upright), dtype=bool)
        moment = np.where(column < 0, upright, printed) * MOMENT_AT_30_DEGREES
        result: Bools = moment < 0.01 * minimum_displacement
        return result

    def greatest(self, fillings: Fillings, line: Ints) -> Floats:
        """Greatest slack moment [L] t.m of the tank lines `line` [L], at the density aboard.

        Source: 2008 IS Code Part B 3.1.3.2; 46 CFR 170.285."""
        tank = fillings.tank[line]
        column = self.column(fillings)[line]
        j = np.maximum(column, 0)
        density = fillings.density[line]
        tabled = self.book.greatest_inertia[tank] * density
        return np.where(column < 0, tabled, self.slack[tank, j] * density / self.density[tank, j])

    def assumed(
        self, fillings: Fillings, liquids: Liquids, surfaces: FreeSurfaces, ruled: Bools, imo: Bools
    ) -> list[Assumed]:
        """Moments the rules assume for consumables: in each condition that is `ruled` [N], for each consumable liquid
        aboard, the transverse pair or single tank of greatest effect counts as slack.

        Tanks of it that count as slack already are not counted again; the others get a line of their own here, with
        what is missing of the greatest moment (a tank at its printed limit counts its limit moment already).
        Source: 2008 IS Code Part B 3.1.4; 46 CFR 170.285(a)(1) and (b).
        """
        aboard = (liquids.state != EMPTY) & CONSUMABLE[fillings.contents] & ruled[fillings.condition]
        line = np.flatnonzero(aboard)
        if not len(line):
            return []
        condition, tank, contents = fillings.condition[line], fillings.tank[line], fillings.contents[line]
        greatest, counted = self.greatest(fillings, line), surfaces.moment[line]
        liquid, tanks = condition * len(CONTENTS) + contents, len(self.book.tanks)
        by_tank = np.bincount(liquid * tanks + tank, greatest, len(ruled) * len(CONTENTS) * tanks)
        best = np.argmax(by_tank.reshape(-1, tanks) @ self.belongs, axis=1)  # its unit of greatest effect
        slack = (liquids.state[line] == SLACK) | (counted >= greatest * (1.0 - 1e-9))
        lacking = self.belongs[tank, best[liquid]].astype(bool) & ~slack & (greatest > counted)
        order = np.flatnonzero(lacking)[np.lexsort((tank[lacking], liquid[lacking]))]
        missing = greatest - counted
        return [
            Assumed(n, t, group, moment, bool(imo[n]))
            for n, t, group, moment in zip(
                *(values[order].tolist() for values in (condition, tank, contents, missing))
            )
        ]

    def sentence(self, surfaces: FreeSurfaces, line: int, tank: int) -> str:
        """Why tank line `line` has its moment, for a person. Source: as for `moments`."""
        text = SENTENCES[int(surfaces.reason[line])]
        column = int(surfaces.column[line])
        if column < 0 or "{column}" not in text:
            return text
        printed = self.book.tanks[tank].printed[column]
        text = text.format(column=printed.contents.replace("_", " "))
        if abs(float(surfaces.scaled[line]) - 1.0) > 1e-12:
            text += f" at {printed.density} t/m3, scaled to the density aboard"
        return text


def _check_source(index: int, printed: bool, book: TankBook) -> None:
    """A tank needs exactly one source of its free surface."""
    tank = book.tanks[index]
    tabled = tank.table is not None and bool(np.isfinite(tank.table.inertia).any())
    if tabled and tank.table is not None and bool(np.isnan(tank.table.inertia).any()):
        raise UnusableBooklet(
            "every row of the table needs its free surface", ("tanks", index, "table", "rows")
        )
    if sum((tabled, printed, tank.rectangular is not None)) != 1:
        raise UnusableBooklet(
            "a tank needs exactly one source of its free surface: a column of its table, printed moments, or a "
            "rectangular surface",
            ("tanks", index),
        )
