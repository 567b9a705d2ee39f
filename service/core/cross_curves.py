"""Her cross curves: KN by displacement, trim and heel, and the one continuous curve made of them.

KN is linear between tabulated displacements and trims; across heel it is the odd spline of `spline.py` whose slope at
the origin is KM, so that at tabulated heels the table comes back exactly. Angles are degrees outside, radians inside.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field
from itertools import pairwise
from math import radians, sin

import numpy as np

from .conventions import Floats
from .errors import OutsideTable, UnusableBooklet
from .interpolation import ROOM_AT_THE_ENDS, interval, is_outside
from .spline import OddSpline

LARGEST_SMALL_HEEL = 25.0
"""Degrees up to which the wall-sided formula is taken to hold. Common practice, no source."""
STEP = 1.0
"""Degrees between the points of the printed curve; roots are bracketed on them and then solved for."""


@dataclass(frozen=True)
class CrossCurveTable:
    """KN [D, H] (m) at one trim (m by the stern) for displacements [D] (t, in the water of the table)."""

    trim: float
    displacements: Sequence[float]
    levers: Floats

    def is_off(self, displacement: float) -> bool:
        """Whether a displacement (t, in the water of the table) lies beyond an end. Source: definition."""
        low, high = self.displacements[0], self.displacements[-1]
        room = ROOM_AT_THE_ENDS * abs(high)
        return not low - room <= displacement <= high + room

    def at(self, displacement: float) -> Floats:
        """KN [H] (m) at a displacement (t, in the water of the table), held at both ends.

        Linear in displacement. Source: common practice, no source."""
        i, part = interval(self.displacements, displacement)
        levers: Floats = self.levers[i] + part * (self.levers[i + 1] - self.levers[i])
        return levers


@dataclass(frozen=True)
class CrossCurves:
    """All tabulated trims, increasing, at common heels [H] (degrees) and for water of `density` (t/m3).

    All that is linear in KN [H] and KM is one product with `matrix`: KN at the heels `grid` [A] (degrees), the area
    under KN up to them [A], and the polynomials of both and of the slope between the K knots, upright and the heels.
    `area_matrix` are its rows of the areas alone."""

    density: float
    heels: Sequence[float]
    tables: tuple[CrossCurveTable, ...]
    trims: list[float] = field(init=False, repr=False, compare=False)
    knots: list[float] = field(init=False, repr=False, compare=False)
    grid: list[float] = field(init=False, repr=False, compare=False)
    grid_sine: Floats = field(init=False, repr=False, compare=False)
    grid_cosine: Floats = field(init=False, repr=False, compare=False)
    matrix: Floats = field(init=False, repr=False, compare=False)
    area_matrix: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the order of the tables and prepare the spline and the points of the printed curve."""
        heels = [0.0, *self.heels]
        if len(heels) < 2 or any(b <= a for a, b in pairwise(heels)):
            raise UnusableBooklet("heels must be positive and increase", ("cross_curves", "heels"))
        for table in self.tables:
            rises = all(a < b for a, b in pairwise(table.displacements))
            if len(table.displacements) < 2 or not rises:
                raise UnusableBooklet("displacements must increase", ("cross_curves", "displacements"))
        last = heels[-1]
        grid = np.append(np.arange(0.0, last - 1e-9, STEP), last)
        spline = OddSpline.through(np.radians(self.heels))
        points, areas = _points(spline, np.radians(grid))
        pieces = [polynomials.reshape(-1, len(heels)) for polynomials in _pieces(spline)]
        prepared = {
            "trims": [table.trim for table in self.tables],
            "knots": spline.knots.tolist(),
            "grid": grid.tolist(),
            "grid_sine": np.sin(np.radians(grid)),
            "grid_cosine": np.cos(np.radians(grid)),
            "matrix": np.vstack((points, areas, *pieces)),
            "area_matrix": np.vstack((areas, pieces[1])),
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)

    @property
    def last_heel(self) -> float:
        """End of the curve in degrees. Source: the vessel's booklet."""
        return self.grid[-1]

    def covers(self, displacement: float, trim: float) -> bool:
        """Whether the tables reach a displacement (t, in the water of the tables) and a trim (m by the stern).

        One table alone stands for every trim. Source: definition."""
        if any(table.is_off(displacement) for table in self.tables):
            return False
        return len(self.tables) == 1 or not is_outside(trim, self.trims[0], self.trims[-1])

    def kn(self, displacement: float, trim: float) -> Floats:
        """KN [H] (m) at a displacement (t, in the water of the table) and trim (m by the stern).

        Linear in displacement and in trim. Raises OutsideTable. Source: common practice, no source."""
        for table in self.tables:
            if table.is_off(displacement):
                low, high = table.displacements[0], table.displacements[-1]
                raise OutsideTable("displacement in her cross curves", displacement, low, high, "mass")
        if len(self.tables) == 1:
            return self.tables[0].at(displacement)
        if is_outside(trim, self.trims[0], self.trims[-1]):
            raise OutsideTable("trim in her cross curves", trim, self.trims[0], self.trims[-1], "length")
        i, part = interval(self.trims, trim)
        below, above = self.tables[i].at(displacement), self.tables[i + 1].at(displacement)
        blended: Floats = below + part * (above - below)
        return blended


def _points(spline: OddSpline, grid: Floats) -> tuple[Floats, Floats]:
    """KN [A] at the angles `grid` (radians), and the area under it up to them [A], from [KN [H], KM]."""
    of_values, of_slope = spline.basis(grid)
    _, areas, _ = _pieces(spline)
    at = np.clip(np.searchsorted(spline.knots, grid, side="right") - 1, 0, len(areas) - 1)
    powers = (grid - spline.knots[at])[:, None] ** np.arange(5)
    return np.column_stack((of_values[:, 1:], of_slope)), np.einsum("ap,aph->ah", powers, areas[at])


def _pieces(spline: OddSpline) -> tuple[Floats, Floats, Floats]:
    """Polynomials of KN, of the area under it from upright, and of its slope, in radians from the left knot of each
    interval: [K - 1, 5] each, from [KN [H], KM]. Source: cubic Hermite form, definition."""
    step = np.diff(spline.knots)[:, None]
    count = len(spline.knots)
    value = np.hstack((np.eye(count), np.zeros((count, 1))))  # of [0, KN, KM]
    slope = np.column_stack((spline.from_values, spline.from_slope))
    y0, y1, m0, m1 = value[:-1], value[1:], slope[:-1], slope[1:]
    mean = (y1 - y0) / step
    c2, c3, nothing = (3.0 * mean - 2.0 * m0 - m1) / step, (m0 + m1 - 2.0 * mean) / step**2, 0.0 * y0
    inner = step * (0.5 * (y0 + y1) + step / 12.0 * (m0 - m1))
    before = np.cumsum(inner, axis=0) - inner
    polynomials = (
        (y0, m0, c2, c3, nothing),
        (before, y0, m0 / 2.0, c2 / 3.0, c3 / 4.0),
        (m0, 2.0 * c2, 3.0 * c3, nothing, nothing),
    )
    kn, area, steepness = (np.stack(columns, axis=1)[:, :, 1:] for columns in polynomials)
    return kn, area, steepness


class KnCurve:
    """KN over the heel as one odd curve, for the data `kn` [H] and `km` of one displacement and trim.

    `points` [A] are KN and `areas` [A] the area under it (m.rad) at `curves.grid`; `pieces`, `area_pieces` and
    `slope_pieces` are polynomials between the knots (see `polynomial.py`)."""

    __slots__ = ("area_pieces", "areas", "curves", "km", "knots", "pieces", "points", "slope_pieces")

    def __init__(self, curves: CrossCurves, kn: Floats, km: float) -> None:
        self._hold(curves, curves.matrix @ np.concatenate((kn, (km,))), km)

    @classmethod
    def of(cls, curves: CrossCurves, data: Floats, km: float) -> "KnCurve":
        """From the product of the data with `curves.matrix`. Source: see `CrossCurves`."""
        curve = cls.__new__(cls)
        curve._hold(curves, data, km)
        return curve

    def _hold(self, curves: CrossCurves, data: Floats, km: float) -> None:
        self.curves, self.km, self.knots = curves, km, curves.knots
        points = len(curves.grid)
        self.points: Floats = data[:points]
        self.areas: Floats = data[points : 2 * points]
        self.pieces, self.area_pieces, self.slope_pieces = data[2 * points :].reshape(3, -1, 5).tolist()

    def less(self, arm: float, slope: float) -> "KnCurve":
        """The same curve less a straight line: `arm` m upright, growing by `slope` m a radian; for heels to this side
        only. Source: definition (a straight line is a polynomial too)."""
        other, heel = copy(self), np.radians(self.curves.grid)
        other.points = self.points - arm - slope * heel
        other.areas = self.areas - heel * (arm + 0.5 * slope * heel)
        starts = [(start, arm + slope * start) for start in self.knots]
        other.pieces = [
            [c0 - y, c1 - slope, c2, c3, 0.0] for (c0, c1, c2, c3, _), (_, y) in zip(self.pieces, starts)
        ]
        other.area_pieces = [
            [c0 - x * (arm + 0.5 * slope * x), c1 - y, c2 - 0.5 * slope, c3, c4]
            for (c0, c1, c2, c3, c4), (x, y) in zip(self.area_pieces, starts)
        ]
        other.slope_pieces = [[c0 - slope, c1, c2, 0.0, 0.0] for c0, c1, c2, _, _ in self.slope_pieces]
        return other


def km_from_levers(heels: Sequence[float], levers: Sequence[float]) -> float | None:
    """Slope at the origin of one cross curve KN over heel (degrees), per radian: her KM at that displacement.

    From the two smallest heels: KN / sin(heel) grows with sin(heel) squared near the origin (wall-sided formula).
    None where no heel is small enough. Source: wall-sided formula, GZ = sin(heel) (GM + BM tan(heel)^2 / 2).
    """
    small = [(h, k) for h, k in zip(heels, levers, strict=True) if 0.0 < h <= LARGEST_SMALL_HEEL][:2]
    if not small or small[0][0] > 15.0:
        return None
    sines = [sin(radians(heel)) for heel, _ in small]
    ratios = [lever / sine for (_, lever), sine in zip(small, sines)]
    if len(small) == 1:
        return ratios[0]
    squares = [sine**2 for sine in sines]
    slope = (ratios[1] - ratios[0]) / (squares[1] - squares[0])
    return ratios[0] - slope * squares[0]
