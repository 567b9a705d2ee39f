"""The level of the waterplane at any heel in plain Python, and where points of the ship meet it. See `plain_python`.

T' = d0 - d/dV [V integral of KN], the derivative by the cubic spline through displacement x KN.
"""

from math import cos, degrees, inf, radians, sin

from scipy.interpolate import CubicSpline

from tests.benchmarks.plain_curve import Spline, Table, place, root

Point = tuple[float, float, float]


class PlainLevels:
    """Displacement x [KN, KM] of one trim with the slopes of the spline over displacement."""

    def __init__(self, displacements: list[float], levers: list[list[float]], kms: list[float]) -> None:
        self.displacements = displacements
        products = [
            [mass * lever for lever in (*row, km)] for mass, row, km in zip(displacements, levers, kms)
        ]
        spline = CubicSpline(displacements, products)
        self.table: Table = (displacements, products)
        self.slopes = spline(displacements, 1).tolist()

    def derivative(self, displacement: float) -> list[float]:
        """d/d(displacement) of the products, m."""
        i, t = place(self.displacements, displacement)
        step = self.displacements[i + 1] - self.displacements[i]
        middle, first, last = 6.0 * t * (1.0 - t), (1.0 - t) * (1.0 - 3.0 * t), t * (3.0 * t - 2.0)
        return [
            middle * (high - low) / step + first * before + last * after
            for low, high, before, after in zip(
                self.table[1][i], self.table[1][i + 1], self.slopes[i], self.slopes[i + 1]
            )
        ]


class PlainWaterplane:
    """Of one displacement at one trim: d0 at the centre of flotation, less the area of the sinkage."""

    def __init__(
        self, knots: list[float], sinkage: list[float], draft_midship: float, trim: float, length: float
    ) -> None:
        self.spline = Spline(knots, [0.0, *sinkage[:-1]], sinkage[-1])
        self.draft_midship, self.trim, self.length = draft_midship, trim, length

    def height(self, point: Point, side: float, angle: float) -> float:
        """m along the normal of the waterplane by which a point stands above it at a heel in radians."""
        x, y, z = point
        upright = self.draft_midship + self.trim * (0.5 - x / self.length)
        return z * cos(angle) - y * side * sin(angle) - upright + self.spline.area_to(angle)

    def immersion(self, point: Point, side: float, near: float) -> float:
        """Heel in degrees at which a point meets the water, inf where it stays dry; the search begins `near`."""
        last = self.spline.knots[-1]
        if self.height(point, side, 0.0) <= 0.0:
            return 0.0
        if self.height(point, side, last) > 0.0:
            return inf
        _, y, z = point
        return degrees(
            root(
                lambda angle: self.height(point, side, angle),
                lambda angle: self.spline.value(angle) - z * sin(angle) - y * side * cos(angle),
                0.0,
                last,
                falling=True,
                start=radians(near),
            )
        )

    def first_immersion(self, points: list[Point], near: float) -> float:
        """The least of the angles at which points meet the water, degrees."""
        return min(self.immersion(point, 1.0, near) for point in points)
