"""Areas of her sections by draft, and the waterline on which they carry a distribution of weight."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from ..errors import CoreError, OutsideTable, SeveralErrors, UnusableBooklet
from ..interpolation import ROOM_AT_THE_ENDS

STEPS = 60
"""Newton steps at most; a hull takes three to six."""
SHORTEST_STEP = 1e-12
"""m of draft: a step this short leaves rounding only."""
BALANCED = 1e-10
"""Part of her weight, and of its moment over her length, that may be left where the steps end."""


class SectionWaterline(NamedTuple):
    """Moulded drafts at the perpendiculars, m, of a waterline found on the sections."""

    draft_aft: float
    draft_forward: float
    length_bp: float

    def draft_at(self, x: float) -> float:
        """Draft (m) at x m from the aft perpendicular. Source: definition of trim."""
        return self.draft_aft + (self.draft_forward - self.draft_aft) * (x / self.length_bp)


@dataclass(frozen=True)
class Sections:
    """Immersed areas [S, D] (m2) of sections at x [S] (m, from aft forward; equal neighbours make a step) to drafts
    [D] (m, increasing) above the baseline.

    `factor` multiplies every area: shell plating and appendages. Between two drafts an area is linear in the draft;
    between two sections buoyancy a metre is linear in x, each section being immersed to the waterline at its own
    place. Raises UnusableBooklet or SeveralErrors with the place inside the sections. Source: definition (Bonjean
    curves).
    """

    x: Sequence[float]
    drafts: Sequence[float]
    areas: Sequence[Sequence[float]]
    factor: float = 1.0
    table: Floats = field(init=False, repr=False, compare=False)
    grid: Floats = field(init=False, repr=False, compare=False)
    place: Floats = field(init=False, repr=False, compare=False)
    rows: NDArray[np.intp] = field(init=False, repr=False, compare=False)
    volume_part: Floats = field(init=False, repr=False, compare=False)
    moment_part: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the printed order, and prepare what each area adds to volume and moment: both are sums over the
        areas where what lies between two sections is linear."""
        SeveralErrors.raise_if_any(self._disorder())
        x = np.array(self.x, dtype=float)
        step = np.diff(x)
        volume, moment = np.zeros(len(x)), np.zeros(len(x))
        volume[:-1] += 0.5 * step
        volume[1:] += 0.5 * step
        moment[:-1] += step * (2.0 * x[:-1] + x[1:]) / 6.0
        moment[1:] += step * (x[:-1] + 2.0 * x[1:]) / 6.0
        prepared = {
            "table": np.array(self.areas, dtype=float) * self.factor,
            "grid": np.array(self.drafts, dtype=float),
            "place": x,
            "rows": np.arange(len(x)),
            "volume_part": volume,
            "moment_part": moment,
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)

    def _disorder(self) -> list[CoreError]:
        errors: list[CoreError] = []
        if len(self.x) < 2 or not self.x[-1] > self.x[0]:
            errors.append(UnusableBooklet("at least two sections at different places are needed", ("x",)))
        errors += [
            UnusableBooklet("sections must be listed from aft to forward", ("x", i))
            for i in range(1, len(self.x))
            if self.x[i] < self.x[i - 1]
        ]
        errors += [
            UnusableBooklet("at most two sections may stand at one place", ("x", i))
            for i in range(2, len(self.x))
            if self.x[i] == self.x[i - 1] == self.x[i - 2]
        ]
        if len(self.drafts) < 2:
            errors.append(UnusableBooklet("at least two drafts are needed", ("drafts",)))
        errors += [
            UnusableBooklet("drafts must increase", ("drafts", i))
            for i in range(1, len(self.drafts))
            if not self.drafts[i] > self.drafts[i - 1]
        ]
        if len(self.areas) != len(self.x):
            errors.append(UnusableBooklet("there must be one row of areas a section", ("areas",)))
        for i, row in enumerate(self.areas):
            if len(row) != len(self.drafts):
                errors.append(UnusableBooklet("there must be one area a draft", ("areas", i)))
            elif any(after < before for before, after in pairwise(row)):
                errors.append(UnusableBooklet("an area cannot shrink as the draft grows", ("areas", i)))
        return errors

    def at(self, drafts: Floats) -> tuple[Floats, Floats]:
        """Areas [S] (m2, with the factor) at a draft [S] (m) at each section, and how fast each grows with it (m).

        Dry below the first draft; beyond the last the last slope goes on. Source: linear interpolation."""
        grid, last = self.grid, len(self.grid) - 2
        i = np.minimum(np.maximum(grid.searchsorted(drafts, side="right") - 1, 0), last)
        rows = self.rows
        low, high, draft = self.table[rows, i], self.table[rows, i + 1], grid[i]
        slope = (high - low) / (grid[i + 1] - draft)
        area = low + slope * (drafts - draft)
        if drafts.min() >= grid[0]:
            return area, slope
        below = drafts < grid[0]
        return np.where(below, self.table[:, 0], area), np.where(below, 0.0, slope)

    def along(self, draft_aft: float, draft_forward: float, length_bp: float) -> Floats:
        """Draft [S] (m) at each section of a straight waterline. Source: definition of trim."""
        return draft_aft + (draft_forward - draft_aft) * (self.place / length_bp)

    def displacement(
        self, draft_aft: float, draft_forward: float, length_bp: float, water_density: float
    ) -> tuple[float, float]:
        """Displacement (t) and LCB (m; 0 where she displaces nothing) on a waterline. Source: first moments."""
        area, _ = self.at(self.along(draft_aft, draft_forward, length_bp))
        volume = float(self.volume_part @ area)
        return volume * water_density, float(self.moment_part @ area) / volume if volume > 0.0 else 0.0

    def require(self, waterline: SectionWaterline) -> None:
        """Raise OutsideTable where a section is immersed deeper than its last draft, or less than a first draft at
        which it has an area already. Source: definition."""
        drafts = self.along(waterline.draft_aft, waterline.draft_forward, waterline.length_bp)
        low, high = float(self.grid[0]), float(self.grid[-1])
        room = ROOM_AT_THE_ENDS * max(abs(low), abs(high))
        off = (drafts > high + room) | ((drafts < low - room) & (self.table[:, 0] > 0.0))
        if off.any():
            worst = float(drafts[int(np.argmax(np.where(off, np.abs(drafts - 0.5 * (low + high)), -1.0)))])
            raise OutsideTable("draft at a section of the strength tables", worst, low, high, "length")


def float_on_sections(
    sections: Sections,
    mass: float,
    moment: float,
    length_bp: float,
    water_density: float,
    start: tuple[float, float],
) -> SectionWaterline:
    """The waterline on which buoyancy and its moment equal a mass (t) and its moment (t.m about the aft
    perpendicular), from drafts (m) aft and forward to start with.

    Newton steps on the two drafts, halved while one makes it worse. Moments are about the aft perpendicular along
    her length: heights of weight and buoyancy are left out. Raises CoreError where no waterline balances her, and
    OutsideTable where it lies beyond the sections. Source: definition of equilibrium.
    """
    if not mass > 0.0:
        raise CoreError("the masses along her length come to nothing")
    centre, forward = moment / mass, sections.place / length_bp
    volume, lever = sections.volume_part, sections.moment_part - centre * sections.volume_part
    aft, fore = start

    def unbalanced(aft: float, fore: float) -> tuple[float, float, Floats]:
        area, slope = sections.at(aft + (fore - aft) * forward)
        buoyancy = water_density * float(volume @ area)
        return buoyancy / mass - 1.0, water_density * float(lever @ area) / (mass * length_bp), slope

    force, turn, slope = unbalanced(aft, fore)
    for _ in range(STEPS):
        by_fore, by_aft = slope * forward, slope * (1.0 - forward)
        a, b = water_density / mass * float(volume @ by_aft), water_density / mass * float(volume @ by_fore)
        unit = water_density / (mass * length_bp)
        c, d = unit * float(lever @ by_aft), unit * float(lever @ by_fore)
        determinant = a * d - b * c
        if not abs(determinant) > 0.0:
            break
        step_aft, step_fore = (b * turn - d * force) / determinant, (c * force - a * turn) / determinant
        before = max(abs(force), abs(turn))
        part = 1.0
        for _ in range(STEPS):
            tried = unbalanced(aft + part * step_aft, fore + part * step_fore)
            if max(abs(tried[0]), abs(tried[1])) <= before or part < 1e-6:
                break
            part *= 0.5
        aft, fore = aft + part * step_aft, fore + part * step_fore
        force, turn, slope = tried
        if max(abs(step_aft), abs(step_fore)) <= SHORTEST_STEP:
            break
    if not max(abs(force), abs(turn)) <= BALANCED:
        raise CoreError("no waterline balances her on the sections of her strength tables")
    waterline = SectionWaterline(aft, fore, length_bp)
    sections.require(waterline)
    return waterline
