"""Where the waterline lies on her when she heels: the level of the waterplane, from her cross curves alone.

At a heel phi and a fixed trim, with y to the low side, a point is under water where

    z cos(phi) - y sin(phi) <= T'(phi) + (x_F - x) trim / Lbp

and T', the level of the waterplane along its normal, follows from how the centre of buoyancy moves. Heeling at constant
volume V its depth changes by KN: V z_B(phi) = V z_B(0) - V integral(KN); adding a layer of water at constant heel its
moment grows by the level of the layer: d(V z_B)/dV = T'. So

    T'(V, phi) = d0(V) - d/dV [ V integral of KN(V, theta) from 0 to phi ]

with d0 the draft at the upright centre of flotation x_F. V integral(KN) is interpolated over displacement by a cubic
spline. Closed form: the definition of KN and of the surface of buoyancy (its tangent plane is parallel to the
waterplane).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, degrees, inf, radians, sin
from typing import NamedTuple

import numpy as np

from .conventions import Floats
from .cross_curves import CrossCurves, CrossCurveTable, km_from_levers
from .flotation import Flotation
from .hydrostatics import Hydrostatics
from .interpolation import interval
from .polynomial import root, value
from .spline import slopes_through

SAME_TRIM = 1e-6
"""m within which two trims are taken for one."""


class Upright(NamedTuple):
    """How she floats upright: draft at the centre of flotation and its place x_F, trim by the stern, length, m."""

    draft_at_lcf: float
    lcf: float
    trim: float
    length_bp: float


class Points(NamedTuple):
    """Points of the ship [P] (m; `toward` is how far each lies to the low side), and how high each stands above the
    baseline's own level at the heels of the printed curve, z cos - y sin [P, A]."""

    x: Floats
    toward: Floats
    z: Floats
    heights: Floats

    @classmethod
    def of(cls, curves: CrossCurves, x: Floats, toward: Floats, z: Floats) -> "Points":
        """Points at the heels of cross curves. Source: definition."""
        return cls(x, toward, z, np.outer(z, curves.grid_cosine) - np.outer(toward, curves.grid_sine))


@dataclass(frozen=True)
class LevelTable:
    """By how much the level of the waterplane falls at one trim, for displacements [D] (t, in the water of the cross
    curves): `coefficients` [D - 1, 3, W] of the derivative of the cubic spline through displacement x areas under KN,
    in parts of each interval. The areas [W] are those of `CrossCurves.area_matrix`."""

    displacements: Sequence[float]
    coefficients: Floats

    @classmethod
    def of(cls, table: CrossCurveTable, curves: CrossCurves, hydrostatics: Hydrostatics) -> "LevelTable":
        """From KN at every tabulated displacement, with KM where the hydrostatic table reaches it, else from the
        levers. Source: de Boor, A Practical Guide to Splines, chapter IV."""
        kms = [
            hydrostatics.km_at(displacement * (hydrostatics.density / curves.density), table.trim)
            or km_from_levers(curves.heels, levers)
            or levers[0] / sin(radians(curves.heels[0]))
            for displacement, levers in zip(table.displacements, table.levers.tolist())
        ]
        mass = np.array(table.displacements)
        products = (mass[:, None] * np.column_stack((table.levers, kms))) @ curves.area_matrix.T
        slopes = slopes_through(mass) @ products
        first, last, rise = slopes[:-1], slopes[1:], np.diff(products, axis=0) / np.diff(mass)[:, None]
        terms = first, 6.0 * rise - 4.0 * first - 2.0 * last, 3.0 * (first + last) - 6.0 * rise
        return cls(table.displacements, np.stack(terms, axis=1))

    def at(self, displacement: float) -> Floats:
        """The fall [W] in m at a displacement, held at both ends. Source: cubic Hermite form, definition."""
        i, t = interval(self.displacements, displacement)
        first, second, third = self.coefficients[i]
        fall: Floats = first + t * (second + t * third)
        return fall


@dataclass(frozen=True)
class LevelTables:
    """One table for every trim of the cross curves, and the hydrostatic tables of the same ship."""

    curves: CrossCurves
    hydrostatics: Hydrostatics
    tables: tuple[LevelTable, ...]

    @classmethod
    def of(cls, curves: CrossCurves, hydrostatics: Hydrostatics) -> "LevelTables":
        """Prepared once per ship. Source: see the module."""
        tables = tuple(LevelTable.of(table, curves, hydrostatics) for table in curves.tables)
        return cls(curves, hydrostatics, tables)

    def fall(self, displacement: float, trim: float) -> Floats:
        """By how much (m) the level of the waterplane falls at the heels of the printed curve [A], followed by its
        polynomials between the knots, for a displacement (t, in the water of the cross curves) and trim (m by the
        stern). Source: see the module."""
        if len(self.tables) == 1:
            return self.tables[0].at(displacement)
        i, part = interval(self.curves.trims, trim)
        fall = self.tables[i].at(displacement)
        return fall + part * (self.tables[i + 1].at(displacement) - fall) if part else fall


class Waterplane:
    """The waterplane of her afloat at one displacement and trim, at any heel up to the last of the cross curves."""

    def __init__(
        self,
        tables: LevelTables,
        displacement: float,
        upright: Upright | Flotation,
        fall: Floats | None = None,
    ) -> None:
        """displacement in t, in the water of the cross curves; `fall` where it was looked up in the tables before."""
        fall = tables.fall(displacement, upright.trim) if fall is None else fall
        points = len(tables.curves.grid)
        self._tables, self._displacement = tables, displacement
        self._others: dict[float, Waterplane] = {}
        self._curves, self._knots = tables.curves, tables.curves.knots
        self._pieces: list[list[float]] = fall[points:].reshape(-1, 5).tolist()
        self.trim = upright.trim
        self._lcf, self._draft, self._length = upright.lcf, upright.draft_at_lcf, upright.length_bp
        self._levels: Floats = self._draft - fall[:points]

    @property
    def draft_midship(self) -> float:
        """Moulded draft amidships upright, m. Source: definition of trim."""
        return self._draft - self.trim * (0.5 - self._lcf / self._length)

    def at_trim(self, trim: float) -> "Waterplane":
        """That of the same displacement at another trim (m by the stern). Source: her hydrostatic tables."""
        if abs(trim - self.trim) <= SAME_TRIM:
            return self
        if trim not in self._others:
            hydrostatics, length = self._tables.hydrostatics, self._length
            mass = self._displacement * hydrostatics.density / self._curves.density
            upright = Upright(*hydrostatics.centre_of_flotation(mass, trim, length), trim, length)
            self._others[trim] = Waterplane(self._tables, self._displacement, upright)
        return self._others[trim]

    def level(self, heel: float) -> float:
        """T' in m at a heel in degrees. Source: see the module."""
        return self._draft - value(self._pieces, self._knots, radians(heel))

    def height(self, x: float, toward: float, z: float, heel: float) -> float:
        """How far a point (m; `toward` is how far it lies to the low side) stands above the water at a heel in degrees,
        m along the normal of the waterplane; negative under water. Source: see the module."""
        angle = radians(heel)
        above = z * cos(angle) - toward * sin(angle)
        return above - self.level(heel) - (self._lcf - x) * self.trim / self._length

    def immersion_angle(self, x: float, toward: float, z: float, near: float | None = None) -> float:
        """Heel in degrees at which a point first meets the water: 0 where it is under water upright, inf where it stays
        dry up to the last heel of the cross curves.

        `near`: an angle to begin the search at, where it is known that it goes under once only. Else the crossing is
        bracketed on the points of the printed curve. Source: see the module."""
        rise = (self._lcf - x) * self.trim / self._length
        if z - self._draft - rise <= 0.0:
            return 0.0
        if near is not None and self.height(x, toward, z, self._curves.last_heel) <= 0.0:
            return self._meeting(toward, z, rise, (0.0, self._knots[-1]), radians(near))
        wet = z * self._curves.grid_cosine - toward * self._curves.grid_sine - rise <= self._levels
        k = int(wet.argmax())
        if not wet[k]:
            return inf
        return self._meeting(toward, z, rise, self._interval(k))

    def first_immersion_angle(self, points: Points) -> float:
        """The least of the angles at which points meet the water: see `immersion_angle`. Source: see the module."""
        rise = (self._lcf - points.x) * (self.trim / self._length)
        if (points.z - rise).min() <= self._draft:
            return 0.0
        above = points.heights - rise[:, None] - self._levels
        lowest = above.min(axis=0)
        k = int((lowest <= 0.0).argmax())
        if lowest[k] > 0.0:
            return inf
        before, after = above[:, k - 1].tolist(), above[:, k].tolist()
        wet = [p for p, height in enumerate(after) if height <= 0.0]
        p = min(
            wet, key=lambda p: before[p] / (before[p] - after[p])
        )  # the first to meet it, along the chord
        return self._meeting(float(points.toward[p]), float(points.z[p]), float(rise[p]), self._interval(k))

    def _interval(self, k: int) -> tuple[float, float]:
        return radians(self._curves.grid[k - 1]), radians(self._curves.grid[k])

    def _meeting(
        self, toward: float, z: float, rise: float, bracket: tuple[float, float], start: float | None = None
    ) -> float:
        """The heel in degrees, in a bracket of radians, at which a point meets the water."""
        low, high = bracket
        start = 0.5 * (low + high) if start is None else min(max(start, low), high)
        terms = (-self._draft - rise, -toward, z)
        return degrees(root(self._pieces, self._knots, terms, bracket, start, rising=False))
