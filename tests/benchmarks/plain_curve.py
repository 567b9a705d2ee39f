"""Tables, spline and righting lever curve in plain Python: scalars, bisect and math only. See `plain_python`."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from math import cos, degrees, inf, nan, radians, sin

Table = tuple[list[float], list[list[float]]]
"""Arguments, and the columns that belong to each."""


def place(argument: Sequence[float], value: float) -> tuple[int, float]:
    """Interval and fraction of a value in increasing arguments, held at the ends."""
    i = min(max(bisect_right(argument, value) - 1, 0), len(argument) - 2)
    return i, min(max((value - argument[i]) / (argument[i + 1] - argument[i]), 0.0), 1.0)


def looked_up(table: Table, value: float) -> list[float]:
    """The columns of a table at one argument."""
    i, part = place(table[0], value)
    return [low + part * (high - low) for low, high in zip(table[1][i], table[1][i + 1])]


def number(table: tuple[list[float], list[float]], value: float) -> float:
    """A table of one column at one argument."""
    i, part = place(table[0], value)
    low = table[1][i]
    return low + part * (table[1][i + 1] - low)


def slopes(knots: Sequence[float], values: Sequence[float], at_origin: float) -> list[float]:
    """Slopes at the knots of the cubic spline with a given slope at the first knot and the not-a-knot end.

    One forward and one backward sweep over a tridiagonal system."""
    last = len(knots) - 1
    step = [knots[i + 1] - knots[i] for i in range(last)]
    rise = [(values[i + 1] - values[i]) / step[i] for i in range(last)]
    above, right = [0.0], [at_origin]
    for i in range(1, last):
        before, after = step[i - 1], step[i]
        pivot = 2.0 * (before + after) - after * above[-1]
        above.append(before / pivot)
        right.append((3.0 * (after * rise[i - 1] + before * rise[i]) - after * right[-1]) / pivot)
    before, after = step[-2], step[-1]
    total = before + after
    end = (after * after * rise[-2] + (2.0 * total + after) * before * rise[-1]) / total
    result = [0.0] * last + [(end - total * right[-1]) / (before - total * above[-1])]
    for i in range(last - 1, -1, -1):
        result[i] = right[i] - above[i] * result[i + 1]
    return result


class Spline:
    """A cubic spline through values at knots whose slope at the first knot is given."""

    def __init__(self, knots: list[float], values: list[float], km: float) -> None:
        self.knots, self.values, self.slopes = knots, values, slopes(knots, values, km)
        self.areas = [0.0]
        for i in range(len(knots) - 1):
            h = knots[i + 1] - knots[i]
            mean = 0.5 * (values[i] + values[i + 1])
            self.areas.append(self.areas[-1] + h * (mean + h / 12.0 * (self.slopes[i] - self.slopes[i + 1])))

    def value(self, angle: float) -> float:
        """At an angle in radians, not negative."""
        _, t, a, b, c, d = self._piece(angle)
        return a + t * (b + t * (c + t * d))

    def area_to(self, angle: float) -> float:
        """Integral from 0 to an angle in radians, not negative."""
        i, t, a, b, c, d = self._piece(angle)
        return self.areas[i] + t * (a + t * (b / 2.0 + t * (c / 3.0 + t * d / 4.0)))

    def _piece(self, size: float) -> tuple[int, float, float, float, float, float]:
        i = min(max(bisect_right(self.knots, size) - 1, 0), len(self.knots) - 2)
        h = self.knots[i + 1] - self.knots[i]
        first, m0, m1 = self.values[i], self.slopes[i], self.slopes[i + 1]
        mean = (self.values[i + 1] - first) / h
        return (
            i,
            size - self.knots[i],
            first,
            m0,
            (3.0 * mean - 2.0 * m0 - m1) / h,
            (m0 + m1 - 2.0 * mean) / h**2,
        )


class Curve(Spline):
    """GZ to one side: KN by spline through the tabulated heels, less the terms of KG and TCG."""

    def __init__(self, knots: list[float], values: list[float], km: float, kg: float, tcg: float) -> None:
        super().__init__(knots, values, km)
        self.km, self.kg, self.tcg = km, kg, tcg
        self.heels = [float(heel) for heel in range(round(degrees(knots[-1])) + 1)]
        self.levers = [self.lever(radians(heel)) for heel in self.heels]
        self.angle_of_maximum, self.maximum = self._greatest()
        self.nodes, self.at_nodes = self._nodes()

    def lever(self, angle: float) -> float:
        """GZ in m at an angle in radians, also to the other side."""
        kn = self.value(abs(angle))
        return (kn if angle >= 0.0 else -kn) - self.kg * sin(angle) - self.tcg * cos(angle)

    def slope(self, angle: float) -> float:
        """dGZ/dheel in m per radian."""
        _, t, _, b, c, d = self._piece(angle)
        return b + t * (2.0 * c + 3.0 * t * d) - self.kg * cos(angle) + self.tcg * sin(angle)

    def curvature(self, angle: float) -> float:
        """Second derivative in m per radian squared."""
        _, t, _, _, c, d = self._piece(angle)
        return 2.0 * c + 6.0 * t * d + self.kg * sin(angle) + self.tcg * cos(angle)

    def area(self, first: float, last: float) -> float:
        """Integral of GZ between two angles in radians."""
        return self._area(last) - self._area(first)

    def _area(self, angle: float) -> float:
        return self.area_to(abs(angle)) - self.kg * (1.0 - cos(angle)) - self.tcg * sin(angle)

    def _greatest(self) -> tuple[float, float]:
        best = max(range(len(self.levers)), key=self.levers.__getitem__)
        low = radians(self.heels[max(best - 1, 0)])
        high = radians(self.heels[min(best + 1, len(self.heels) - 1)])
        angle = root(self.slope, self.curvature, low, high, falling=True)
        lever = self.lever(angle)
        if lever < self.levers[best]:
            return radians(self.heels[best]), self.levers[best]
        return angle, lever

    def _nodes(self) -> tuple[list[float], list[float]]:
        """The printed points in radians with the one nearest the maximum moved onto it."""
        nodes, levers = [radians(heel) for heel in self.heels], list(self.levers)
        nearest = min(round(degrees(self.angle_of_maximum)), len(nodes) - 1)
        if 0 < nearest < len(nodes) - 1:
            nodes[nearest], levers[nearest] = self.angle_of_maximum, self.maximum
        return nodes, levers

    def crossing(self, level: float, *, rising: bool, after: float = -1.0) -> float:
        """First angle in radians at which the curve crosses `level`, beyond `after`; NaN where there is none."""
        above = [lever >= level for lever in self.at_nodes]
        above[0] = above[0] and (self.at_nodes[0] > level or self.km >= self.kg)
        if rising and above[0] and above[1]:
            return 0.0
        for i in range(len(above) - 1):
            if above[i + 1] is rising and above[i] is not rising and self.nodes[i + 1] > after:
                return root(
                    lambda angle: self.lever(angle) - level,
                    self.slope,
                    self.nodes[i],
                    self.nodes[i + 1],
                    falling=not rising,
                )
        return nan


def root(
    value: Callable[[float], float],
    slope: Callable[[float], float],
    low: float,
    high: float,
    *,
    falling: bool,
    start: float | None = None,
) -> float:
    """Newton steps inside a bracket, halving it whenever a step would leave it."""
    angle = 0.5 * (low + high) if start is None else min(max(start, low), high)
    for _ in range(60):
        now, steep = value(angle), slope(angle)
        if (now > 0.0) is falling:
            low = angle
        else:
            high = angle
        step = angle - now / steep if steep else inf
        better = step if low <= step <= high else 0.5 * (low + high)
        if abs(better - angle) <= 1e-14:
            return better
        angle = better
    return angle
