"""At which heel points of the ship come under water, in every sample of a condition at once: arrays [N] along the
samples, nan where the angle is not known.

The formulas are those of `waterplane.py`, `opening.py` and `polynomial.py`, where their sources are.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from ..cross_curves import CrossCurves
from ..interpolation import intervals
from ..opening import NEARLY_SAME_TRIM, DeckEdge, ImmersionTable, Opening
from ..polynomial import QUADRATIC
from ..waterplane import SAME_TRIM, LevelTables, Points
from .upright import Upright

Indices = NDArray[np.intp]

AT_ONCE = 2_000_000
"""Numbers in one array: points x heels x samples beyond that are done in parts."""


def by_trim(curves: CrossCurves, trim: Floats, mass: Floats, at: Callable[[int, Floats], Floats]) -> Floats:
    """What the table of one trim is `at` displacements [n], as [n, W]; part of the way between two tabulated trims in
    every sample. Source: definition of linear interpolation."""
    if len(curves.tables) == 1:
        return at(0, mass)
    first, part = intervals(np.array(curves.trims), trim)
    pairs = []
    for k in np.unique(first).tolist():
        there = np.flatnonzero(first == k)
        low = at(k, mass[there])
        pairs.append((there, low + part[there, None] * (at(k + 1, mass[there]) - low)))
    blended = np.empty((len(trim), pairs[0][1].shape[1]))
    for there, rows in pairs:
        blended[there] = rows
    return blended


def falls(levels: LevelTables, mass: Floats, trim: Floats) -> Floats:
    """As `LevelTables.fall`: [N, W]. Source: see there."""

    def fall(k: int, mass: Floats) -> Floats:
        table = levels.tables[k]
        i, t = intervals(np.array(table.displacements), mass)
        first, second, third = np.moveaxis(table.coefficients[i], 1, 0)
        part = t[:, None]
        found: Floats = first + part * (second + part * third)
        return found

    return by_trim(levels.curves, trim, mass, fall)


def values(pieces: Floats, knots: Floats, angle: Floats) -> Floats:
    """As `polynomial.value`: pieces [N, K - 1, 5] at angles [N] in radians. Source: see there."""
    i = np.clip(np.searchsorted(knots, angle, side="right") - 1, 0, len(knots) - 2)
    c0, c1, c2, c3, c4 = pieces[np.arange(len(angle)), i].T
    t = angle - knots[i]
    value: Floats = c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))
    return value


def roots(pieces: Floats, knots: Floats, terms: Floats, bracket: Floats, start: Floats) -> Floats:
    """As `polynomial.root` where the function falls: pieces [N, K - 1, 5], knots [K], terms [3, N], bracket [2, N] and
    start [N] in radians. Source: see there."""
    every, found = np.arange(len(start)), start.copy()
    angle, (low, high), (constant, sine, cosine) = start.copy(), bracket.copy(), terms
    left = every
    for _ in range(60):
        x = angle[left]
        i = np.clip(np.searchsorted(knots, x, side="right") - 1, 0, len(knots) - 2)
        c0, c1, c2, c3, c4 = pieces[left, i].T
        t, s, c = x - knots[i], np.sin(x), np.cos(x)
        value = constant[left] + sine[left] * s + cosine[left] * c
        value = value + c0 + t * (c1 + t * (c2 + t * (c3 + t * c4)))
        slope = sine[left] * c - cosine[left] * s + c1 + t * (2.0 * c2 + t * (3.0 * c3 + t * 4.0 * c4))
        under = value < 0.0
        high[left] = np.where(under, x, high[left])
        low[left] = np.where(under, low[left], x)
        better = np.where(slope != 0.0, x - value / np.where(slope != 0.0, slope, 1.0), np.inf)
        inside = (low[left] <= better) & (better <= high[left])
        better = np.where(inside, better, 0.5 * (low[left] + high[left]))
        found[left] = better
        angle[left] = better
        left = left[np.abs(better - x) > np.where(inside, QUADRATIC, 1e-14)]
        if not len(left):
            break
    return found


class Waterplanes(NamedTuple):
    """The waterplane of every sample, as `Waterplane`: pieces [N, K - 1, 5], level at the heels of the printed curve
    [N, A], and how she floats upright [N]."""

    tables: LevelTables
    fall: Floats
    pieces: Floats
    levels: Floats
    draft: Floats
    lcf: Floats
    trim: Floats
    length_bp: float

    @classmethod
    def of(
        cls, tables: LevelTables, mass: Floats, draft: Floats, lcf: Floats, trim: Floats, length_bp: float
    ) -> "Waterplanes":
        """For displacements (t, in the water of the cross curves), drafts at the LCF, LCF and trims in m.

        Source: see `waterplane.py`."""
        fall, points = falls(tables, mass, trim), len(tables.curves.grid)
        pieces = fall[:, points:].reshape(len(mass), -1, 5)
        return cls(tables, fall, pieces, draft[:, None] - fall[:, :points], draft, lcf, trim, length_bp)

    @property
    def draft_midship(self) -> Floats:
        """As `Waterplane.draft_midship`. Source: definition of trim."""
        midship: Floats = self.draft - self.trim * (0.5 - self.lcf / self.length_bp)
        return midship

    def immersion_angles(self, x: float, toward: float, z: float, near: Floats | None = None) -> Floats:
        """As `Waterplane.immersion_angle`, degrees. Source: see there."""
        curves, every = self.tables.curves, np.arange(len(self.draft))
        rise = (self.lcf - x) * self.trim / self.length_bp
        knots = np.array(curves.knots)
        last = knots[-1]
        wet = z * curves.grid_cosine - toward * curves.grid_sine - rise[:, None] <= self.levels
        k = np.maximum(wet.argmax(axis=1), 1)
        grid = np.radians(np.array(curves.grid))
        bracket = np.stack((grid[k - 1], grid[k]))
        start = 0.5 * (bracket[0] + bracket[1])
        meets = wet[every, k]
        if near is not None:
            t = last - knots[-2]
            c0, c1, c2, c3, c4 = self.pieces[:, -1].T
            level = self.draft - (c0 + t * (c1 + t * (c2 + t * (c3 + t * c4))))
            once = z * np.cos(last) - toward * np.sin(last) - level - rise <= 0.0
            bracket = np.where(once, np.array([[0.0], [last]]), bracket)
            start = np.where(once, np.clip(np.radians(near), 0.0, last), start)
            meets = meets | once
        found = np.degrees(
            self._meetings(np.full_like(rise, toward), np.full_like(rise, z), rise, bracket, start)
        )
        return np.where(z - self.draft - rise <= 0.0, 0.0, np.where(meets, found, np.inf))

    def first_immersion_angles(self, points: Points) -> Floats:
        """As `Waterplane.first_immersion_angle`, degrees. Source: see there."""
        part = max(1, AT_ONCE // points.heights.size)
        return np.concatenate(
            [
                self._rows(first, first + part)._first_immersion_angles(points)
                for first in range(0, len(self.draft), part)
            ]
        )

    def _rows(self, first: int, last: int) -> "Waterplanes":
        return Waterplanes(
            self.tables,
            self.fall[first:last],
            self.pieces[first:last],
            self.levels[first:last],
            self.draft[first:last],
            self.lcf[first:last],
            self.trim[first:last],
            self.length_bp,
        )

    def _first_immersion_angles(self, points: Points) -> Floats:
        every = np.arange(len(self.draft))
        rise = (self.lcf[:, None] - points.x) * (self.trim[:, None] / self.length_bp)
        above = points.heights - rise[:, :, None] - self.levels[:, None, :]
        lowest = above.min(axis=1) <= 0.0
        k = np.maximum(lowest.argmax(axis=1), 1)
        before, after = above[every, :, k - 1], above[every, :, k]
        p = np.where(after <= 0.0, before / (before - after), np.inf).argmin(axis=1)
        grid = np.radians(np.array(self.tables.curves.grid))
        bracket = np.stack((grid[k - 1], grid[k]))
        start = 0.5 * (bracket[0] + bracket[1])
        angles = np.degrees(self._meetings(points.toward[p], points.z[p], rise[every, p], bracket, start))
        upright = (points.z - rise).min(axis=1) <= self.draft
        return np.where(upright, 0.0, np.where(lowest[every, k], angles, np.inf))

    def _meetings(self, toward: Floats, z: Floats, rise: Floats, bracket: Floats, start: Floats) -> Floats:
        terms = np.stack((-self.draft - rise, -toward, z))
        return roots(self.pieces, np.array(self.tables.curves.knots), terms, bracket, start)


def _printed(table: ImmersionTable, draft: Floats) -> Floats:
    """As `ImmersionTable.at`."""
    known = np.array(table.draft)
    if len(known) == 1:
        return np.where(draft == known[0], max(table.angle[0], 0.0), np.nan)
    i, part = intervals(known, draft)
    angles = np.array(table.angle)
    angle = angles[i] + part * (angles[i + 1] - angles[i])
    return np.where((known[0] <= draft) & (draft <= known[-1]), np.maximum(angle, 0.0), np.nan)


def _corrected(printed: Floats, at_its_trim: Floats, at_hers: Floats) -> Floats:
    """As `opening.corrected`."""
    dry = np.isinf(at_its_trim) | np.isinf(at_hers)
    with np.errstate(invalid="ignore"):
        moved = np.maximum(printed + at_hers - at_its_trim, 0.0)
    return np.where(dry, np.minimum(printed, at_hers), moved)


class Immersions:
    """Angles of openings and of the deck edge in all samples, nan where `Opening.angle` and `DeckEdge.angle` tell
    none."""

    def __init__(self, waterplanes: Waterplanes, mass: Floats, upright: Upright) -> None:
        """mass: displacements in t, in the water of the cross curves."""
        self.hers, self._mass, self._upright = waterplanes, mass, upright
        self._others: dict[float, Waterplanes] = {}

    def _at_trim(self, trim: float) -> Waterplanes:
        if trim not in self._others:
            draft, lcf = self._upright.at_trim(trim)
            given = np.full_like(draft, trim)
            tables, length = self.hers.tables, self.hers.length_bp
            self._others[trim] = Waterplanes.of(tables, self._mass, draft, lcf, given, length)
        return self._others[trim]

    def opening(self, opening: Opening, side: float) -> Floats:
        """Heel to `side` at which an opening immerses, degrees. Source: see `Opening.angle`."""
        toward, hers = opening.y * side, self.hers
        if not opening.immersion:
            return hers.immersion_angles(opening.x, toward, opening.z)
        if toward < 0.0:
            return np.full_like(hers.draft, np.inf)
        tables = []
        for table in opening.immersion:
            there = self._at_trim(table.trim)
            printed = _printed(table, there.draft_midship)
            its = there.immersion_angles(opening.x, toward, opening.z, printed)
            at_hers = hers.immersion_angles(opening.x, toward, opening.z, printed)
            angle = _corrected(printed, its, at_hers)
            same = np.abs(hers.trim - table.trim) <= SAME_TRIM
            tables.append(np.where(same, _printed(table, hers.draft_midship), angle))
        return self._nearest(opening.immersion, tables)

    def deck_edge(self, edge: DeckEdge, points: Points | None) -> Floats:
        """Heel that immerses the deck edge, degrees. Source: see `DeckEdge.angle`."""
        hers = self.hers
        if not edge.immersion:
            return np.full_like(hers.draft, np.nan) if points is None else hers.first_immersion_angles(points)
        tables = []
        for table in edge.immersion:
            away, angle = np.abs(hers.trim - table.trim), _printed(table, hers.draft_midship)
            if points is None:
                tables.append(np.where(away <= NEARLY_SAME_TRIM, angle, np.nan))
                continue
            there = self._at_trim(table.trim)
            moved = _corrected(
                _printed(table, there.draft_midship),
                there.first_immersion_angles(points),
                hers.first_immersion_angles(points),
            )
            tables.append(np.where(away <= SAME_TRIM, angle, moved))
        return self._nearest(edge.immersion, tables)

    def _nearest(self, tables: Sequence[ImmersionTable], angles: Sequence[Floats]) -> Floats:
        away = np.abs(np.array([table.trim for table in tables])[:, None] - self.hers.trim)
        nearest: Floats = np.stack(angles)[away.argmin(axis=0), np.arange(len(self.hers.trim))]
        return nearest
