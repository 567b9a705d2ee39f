"""An inclining test: GM by weights moved across her, and the lightship that follows.

One straight line of tan(heel) on the net moment through all readings: its slope is 1 / (displacement x GM), its value
without a moment the TCG over GM. The GM so measured is that of the fluid, at the displacement, trim and density of the
day. Source: 2008 IS Code Part B 8.4 and annex 1 (value from memory for the annex); SOLAS II-1/5.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import atan, cos, degrees, fsum, pi, sin, sqrt
from typing import NamedTuple

from .condition import Condition
from .errors import CoreError, OutsideTable
from .finding_kinds import Finding, finding
from .free_surface import AS_FILLED, free_surfaces
from .hydrostatics import Hydrostatics
from .tank import SLACK
from .vessel import Vessel
from .weight import Weight

CONFIDENCE = 0.95
OFF_THE_LINE = 0.04
"""Part of tan(heel) of the line at the greatest moment beyond which a residual is pointed out. Common practice, no
source."""
LEAST_HEEL, MOST_HEEL = 1.0, 4.0
"""Degrees between which the heels of a test should reach. Source: 2008 IS Code, annex 1 (value from memory)."""
LEAST_DEFLECTION = 0.15
"""m that each pendulum should swing to each side. Source: 2008 IS Code, annex 1 (value from memory)."""
PENDULUMS, MOVEMENTS = 3, 7
"""How many of each make a test. Source: 2008 IS Code Part B 8.4.1.2; pendulums: value from memory."""


class NoPositiveGm(CoreError):
    """The readings fall with the moment, or do not move: no positive GM follows from them."""


class Pendulum(NamedTuple):
    """A pendulum of a length, m."""

    name: str
    length: float


class Movement(NamedTuple):
    """Net moment to port (t.m) and the deflection (m, to port) of each pendulum that was read, by name."""

    moment: float
    deflections: Mapping[str, float]


class Line(NamedTuple):
    """A least-squares line y = slope x + intercept, with the half width of the slope's interval (None: two points)."""

    slope: float
    intercept: float
    half_width: float | None
    points: int


class AsInclined(NamedTuple):
    """Her on the day: displacement t, trim m (None: not read), KM m."""

    displacement: float
    trim: float | None
    km: float


@dataclass(frozen=True)
class Inclining:
    """The test: the line, GM with its interval (m), centres as inclined (VCG without free surface) and the lightship
    with the interval of its VCG; None where a figure cannot be had. `means` are mean tan(heel) and its distance from
    the line, a movement."""

    day: AsInclined
    line: Line
    gm: float
    gm_low: float | None
    gm_high: float | None
    vcg_as_inclined: float
    lcg_as_inclined: float | None
    tcg_as_inclined: float
    free_surface_moment: float
    lightship: Weight
    lightship_lcg: float | None
    vcg_low: float | None
    vcg_high: float | None
    means: list[tuple[float, float]]
    findings: list[Finding]


def line_through(x: Sequence[float], y: Sequence[float]) -> Line:
    """Least squares of y on x, with the interval of the slope by Student's t. Raises CoreError where all x are one.

    Source: definition of least squares."""
    n = len(x)
    mean_x, mean_y = fsum(x) / n, fsum(y) / n
    sxx = fsum([(a - mean_x) ** 2 for a in x])
    if not sxx > 0.0:
        raise CoreError("all readings are at one moment")
    slope = fsum([(a - mean_x) * (b - mean_y) for a, b in zip(x, y)]) / sxx
    intercept = mean_y - slope * mean_x
    if n < 3:
        return Line(slope, intercept, None, n)
    scatter = fsum([(b - intercept - slope * a) ** 2 for a, b in zip(x, y)])
    return Line(slope, intercept, student(n - 2) * sqrt(scatter / (n - 2) / sxx), n)


def student(freedom: int, confidence: float = CONFIDENCE) -> float:
    """The t that a whole number of degrees of freedom stays within, both sides, with a confidence.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4."""
    low, high = 0.0, 1e6
    while high - low > 1e-13 * high:
        middle = 0.5 * (low + high)
        if _within(middle, freedom) < confidence:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _within(t: float, freedom: int) -> float:
    """Probability that Student's t lies between -t and t."""
    angle = atan(t / sqrt(freedom))
    odd, square = freedom % 2 == 1, cos(angle) ** 2
    term, total = (cos(angle), 0.0) if odd else (1.0, 0.0)
    for k in range(freedom // 2):
        total += term
        term *= square * (2 * k + 2) / (2 * k + 3) if odd else square * (2 * k + 1) / (2 * k + 2)
    return 2.0 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total


def as_inclined(vessel: Vessel, displacement: float, trim: float | None, water_density: float) -> AsInclined:
    """KM at a displacement (t) and trim (m; None: even keel). Raises OutsideTable.

    Source: hydrostatic tables."""
    tables = vessel.hydrostatics
    equivalent = displacement * (tables.density / water_density)
    km = tables.km_at(equivalent, trim or 0.0)
    if km is None:
        ends = tables.nearest_to_even_keel.displacement
        scale = water_density / tables.density
        raise OutsideTable("displacement", displacement, ends[0] * scale, ends[-1] * scale, "mass")
    return AsInclined(displacement, trim, km)


def inclining_test(
    vessel: Vessel,
    condition: Condition,
    day: AsInclined,
    pendulums: Sequence[Pendulum],
    movements: Sequence[Movement],
) -> Inclining:
    """The test of a ship on which a condition lists all that is not lightship; every movement has a reading. The
    free surface is that of the tanks as they are filled, whatever the basis of the condition: it is what she heeled
    with.

    Raises NoPositiveGm and CoreError. Source: see the module."""
    length = {pendulum.name: pendulum.length for pendulum in pendulums}
    pairs = [
        (movement.moment, deflection / length[name])
        for movement in movements
        for name, deflection in movement.deflections.items()
    ]
    line = line_through([moment for moment, _ in pairs], [tangent for _, tangent in pairs])
    mass = day.displacement
    if not line.slope > 0.0:
        raise NoPositiveGm("her heel does not grow with the moment: no positive GM follows from the readings")
    gm, half = 1.0 / (mass * line.slope), line.half_width
    low = None if half is None else 1.0 / (mass * (line.slope + half))
    high = None if half is None or half >= line.slope else 1.0 / (mass * (line.slope - half))
    liquids = [vessel.tanks[tank.tank].liquid(tank) for tank in condition.tanks]
    surfaces = free_surfaces(
        vessel.tanks, vessel.units_of, condition.tanks, liquids, AS_FILLED, frozenset(), None
    )
    moment = surfaces.judged.total
    kg = day.km - gm - moment / mass
    tcg = line.intercept * gm
    lcg = _lcg(vessel.hydrostatics, vessel.particulars.length_bp, day, condition.water_density, kg)
    lines = [(liquid.mass, liquid.lcg, liquid.vcg, liquid.tcg) for liquid in liquids]
    lines += [weight[:4] for weight in condition.weights]
    light = mass - fsum([m for m, *_ in lines])
    if not light > 0.0:
        raise CoreError("what the condition lists weighs no less than she displaces")
    vcg = _rest(mass, kg, lines, 2, light)
    means = []
    for movement in movements:
        tangents = [deflection / length[name] for name, deflection in movement.deflections.items()]
        mean = fsum(tangents) / len(tangents)
        means.append((mean, mean - line.intercept - line.slope * movement.moment))
    slack = [i for i, liquid in enumerate(liquids) if liquid.state == SLACK]
    return Inclining(
        day=day,
        line=line,
        gm=gm,
        gm_low=low,
        gm_high=high,
        vcg_as_inclined=kg,
        lcg_as_inclined=lcg,
        tcg_as_inclined=tcg,
        free_surface_moment=moment,
        lightship=Weight(light, 0.0, vcg, _rest(mass, tcg, lines, 3, light), "lightship"),
        lightship_lcg=None if lcg is None else _rest(mass, lcg, lines, 1, light),
        vcg_low=None if high is None else vcg - (high - gm) * mass / light,
        vcg_high=None if low is None else vcg + (gm - low) * mass / light,
        means=means,
        findings=list(_findings(pendulums, movements, means, line.slope, slack)),
    )


def _rest(mass: float, centre: float, lines: Sequence[Sequence[float]], axis: int, light: float) -> float:
    """Centre of what is left of a whole when the lines are taken off."""
    return (mass * centre - fsum([line[0] * line[axis] for line in lines])) / light


def _lcg(
    tables: Hydrostatics, length: float, day: AsInclined, water_density: float, vcg: float
) -> float | None:
    """Where her weight lies for the trim she has, m; None where the trim was not read or is off the tables."""
    if day.trim is None:
        return None
    equivalent = day.displacement * (tables.density / water_density)
    row = tables.at(equivalent, day.trim)
    if len(tables.tables) == 1:
        return row.lcb - 100.0 * row.mctc * (day.trim - tables.tables[0].trim) / equivalent
    if not tables.trims[0] <= day.trim <= tables.trims[-1]:
        return None
    vcb = vcg if row.vcb is None else row.vcb
    return row.lcb + day.trim / length * (vcg - vcb)


def sister_tolerance(length: float) -> tuple[float, float]:
    """Percent of the lightship mass, and m of LCG, by which a sister ship of a length (m) may differ without a test of
    her own: 2 % at 50 m or less to 1 % at 160 m or more, linear between; 0.5 % of the length.

    Source: SOLAS II-1/5.2."""
    return 2.0 - min(max((length - 50.0) / 110.0, 0.0), 1.0), 0.005 * length


def _findings(
    pendulums: Sequence[Pendulum],
    movements: Sequence[Movement],
    means: Sequence[tuple[float, float]],
    slope: float,
    slack: Sequence[int],
) -> Iterator[Finding]:
    """What makes a test doubtful; places are inside the request."""
    place = ("inclining", "movements")
    greatest = max(abs(mean) for mean, _ in means)
    by_line = slope * max(abs(movement.moment) for movement in movements)
    for i, (_, residual) in enumerate(means):
        if abs(residual) > OFF_THE_LINE * by_line:
            yield finding("movement_off_the_line", (*place, i))
    if not LEAST_HEEL <= degrees(atan(greatest)) <= MOST_HEEL:
        yield finding("heel_outside_1_to_4", place)
    for i, pendulum in enumerate(pendulums):
        swings = (abs(movement.deflections.get(pendulum.name, 0.0)) for movement in movements)
        if max(swings, default=0.0) < LEAST_DEFLECTION:
            yield finding("deflection_under_15_cm", ("inclining", "pendulums", i))
    if len(pendulums) < PENDULUMS:
        yield finding("fewer_than_three_pendulums", ("inclining", "pendulums"))
    moments = [movement.moment for movement in movements]
    if sum(after != before for before, after in zip([0.0, *moments], moments)) < MOVEMENTS:
        yield finding("fewer_than_seven_movements", place)
    zeros = [mean for (mean, _), movement in zip(means, movements) if movement.moment == 0.0]
    if zeros and max(zeros) - min(zeros) > OFF_THE_LINE * by_line:
        yield finding("zero_does_not_return", place)
    if slack:
        yield finding("slack_tanks", ("condition", "tanks", slack[0]))
