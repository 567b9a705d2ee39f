"""The waterline on the sections of her strength tables in every sample of a condition: arrays [N].

The formulas are those of `sections.py`, where their sources are.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..conventions import Floats
from ..interpolation import ROOM_AT_THE_ENDS
from .samples_loads import Flags
from .sections import SHORTEST_STEP, STEPS, Sections

SETTLED = 1e-13
"""Part of her weight, and of its moment over her length, at which a step that no longer helps is rounding."""


class Waterlines(NamedTuple):
    """Drafts at the perpendiculars (m), and where Newton's steps lead straight to them, within the sections. Any other
    sample is left to `float_on_sections`."""

    aft: Floats
    fore: Floats
    found: Flags


def areas(sections: Sections, aft: Floats, fore: Floats, length_bp: float) -> tuple[Floats, Floats]:
    """As `Sections.at` on straight waterlines: areas (m2) and how fast they grow (m) [N, S]. Source: see there."""
    grid, table = sections.grid, sections.table
    drafts = along(sections, aft, fore, length_bp)
    i = np.clip(grid.searchsorted(drafts, side="right") - 1, 0, len(grid) - 2)
    low, draft = table[sections.rows, i], grid[i]
    slope = (table[sections.rows, i + 1] - low) / (grid[i + 1] - draft)
    below = drafts < grid[0]
    area = np.where(below, table[:, 0], low + slope * (drafts - draft))
    return area, np.where(below, 0.0, slope)


def along(sections: Sections, aft: Floats, fore: Floats, length_bp: float) -> Floats:
    """Draft (m) at each section [N, S]. Source: definition of trim."""
    drafts: Floats = aft[:, None] + (fore - aft)[:, None] * (sections.place / length_bp)
    return drafts


def displacements(
    sections: Sections, aft: Floats, fore: Floats, length_bp: float, water_density: Floats
) -> Floats:
    """Displacement (t) on waterlines. Source: first moments."""
    area, _ = areas(sections, aft, fore, length_bp)
    displaced: Floats = (sections.volume_part * area).sum(axis=1) * water_density
    return displaced


class _Balance:
    """What is left of weight and moment on a waterline."""

    def __init__(
        self, sections: Sections, mass: Floats, moment: Floats, length_bp: float, water_density: Floats
    ) -> None:
        self.sections, self.length, self.forward = sections, length_bp, sections.place / length_bp
        self.lever = sections.moment_part - (moment / mass)[:, None] * sections.volume_part
        self.of_mass, self.of_moment = water_density / mass, water_density / (mass * length_bp)

    def at(self, rows: NDArray[np.intp], aft: Floats, fore: Floats) -> tuple[Floats, Floats, Floats]:
        area, slope = areas(self.sections, aft, fore, self.length)
        return (
            self.of_mass[rows] * (self.sections.volume_part * area).sum(axis=1) - 1.0,
            self.of_moment[rows] * (self.lever[rows] * area).sum(axis=1),
            slope,
        )

    def steps(
        self, rows: NDArray[np.intp], force: Floats, turn: Floats, slope: Floats
    ) -> tuple[Floats, Floats]:
        by_fore, by_aft = slope * self.forward, slope * (1.0 - self.forward)
        volume, lever = self.sections.volume_part, self.lever[rows]
        a, b = (self.of_mass[rows] * (volume * by).sum(axis=1) for by in (by_aft, by_fore))
        c, d = (self.of_moment[rows] * (lever * by).sum(axis=1) for by in (by_aft, by_fore))
        determinant = a * d - b * c
        return (b * turn - d * force) / determinant, (c * force - a * turn) / determinant


def waterlines(
    sections: Sections,
    mass: Floats,
    moment: Floats,
    length_bp: float,
    water_density: Floats,
    start: tuple[Floats, Floats],
) -> Waterlines:
    """As `float_on_sections`, for masses (t) and moments (t.m). Source: see there."""
    aft, fore = start[0].copy(), start[1].copy()
    found, left = np.zeros(len(mass), dtype=bool), np.arange(len(mass))
    with np.errstate(all="ignore"):
        balance = _Balance(sections, mass, moment, length_bp, water_density)
        force, turn, slope = balance.at(left, aft, fore)
        for _ in range(STEPS):
            step_aft, step_fore = balance.steps(left, force, turn, slope)
            before = np.maximum(np.abs(force), np.abs(turn))
            tried = aft[left] + step_aft, fore[left] + step_fore
            force, turn, slope = balance.at(left, *tried)
            after = np.maximum(np.abs(force), np.abs(turn))
            better, settled = after <= before, before <= SETTLED
            aft[left] = np.where(better, tried[0], aft[left])
            fore[left] = np.where(better, tried[1], fore[left])
            short = np.maximum(np.abs(step_aft), np.abs(step_fore)) <= SHORTEST_STEP
            done = np.where(better, short & (after <= SETTLED), settled)
            found[left] = done
            on = better & ~done
            left, force, turn, slope = left[on], force[on], turn[on], slope[on]
            if not len(left):
                break
        within = _is_within(sections, along(sections, aft, fore, length_bp))
    return Waterlines(aft, fore, found & within)


def _is_within(sections: Sections, drafts: Floats) -> Flags:
    """Where `Sections.require` raises nothing."""
    low, high = float(sections.grid[0]), float(sections.grid[-1])
    room = ROOM_AT_THE_ENDS * max(abs(low), abs(high))
    off = (drafts > high + room) | ((drafts < low - room) & (sections.table[:, 0] > 0.0))
    within: Flags = np.logical_and.reduce(~off, axis=1)
    return within
