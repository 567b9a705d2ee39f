"""Shear forces and bending moments in still water for one condition."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ..condition import TankLine
from ..displacement import Displacement
from ..errors import CoreError
from ..flotation import Flotation
from ..tank import Liquid, Tank
from ..weight import Weight
from .booklet import StrengthBooklet
from .limits import BENDING, HARBOUR, SEA, SHEAR, Station, Used, used, used_by
from .load_curve import Cut, LoadCurve, Value
from .sections import Sections, SectionWaterline, float_on_sections
from .weight_curve import Load, Totals, is_inside, point_loads, spread, totals

LIGHTSHIP_TOLERANCE = 0.005
"""Part of the lightship, and of the length between perpendiculars for its centre, by which the segments may differ."""
WATERLINE_CAUTION, WATERLINE_TOLERANCE = 0.005, 0.02
"""Parts of the displacement by which sections and hydrostatic table may differ at one waterline: more is worth a
caution, or makes the strength not computable. Source: MSC.1/Circ.1461, tolerances (displacement
2 %); the caution: common practice, no source."""


class StrengthError(CoreError):
    """The strength tables contradict the rest of her booklet; `code` is that of the finding."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


class Difference(NamedTuple):
    """How much more one source has than another: mass t, percent of it, longitudinal centre m."""

    mass: float
    percent: float
    centre: float


class SetUse(NamedTuple):
    """What a shear force and a bending moment use of one set of limits."""

    shear: Used
    bending: Used


class StationForces(NamedTuple):
    """What acts at a read-out point, and what it uses of both sets of limits."""

    station: Station
    cut: Cut
    sea: SetUse
    harbour: SetUse

    def use(self, which: str) -> SetUse:
        """Of SEA or HARBOUR. Source: definition."""
        return self.sea if which == SEA else self.harbour


class Extreme(NamedTuple):
    """The greatest or least value along her length (t or t.m) at x (m), and what it uses of the limit there, linear
    between stations, in the set in force."""

    x: float
    value: float
    use: Used


@dataclass(frozen=True, slots=True)
class Forces:
    """What is judged of her forces in one condition, t and t.m, hogging positive.

    `which` is the set of limits in force, SEA or HARBOUR; `stations` her read-out points, of a sample only those that
    use most of their limits; `between` the local extremes of SHEAR and BENDING between the stations that use most of
    their limits."""

    which: str
    stations: tuple[StationForces, ...]
    shear_greatest: Extreme
    shear_least: Extreme
    bending_greatest: Extreme
    bending_least: Extreme
    between: dict[str, Extreme]

    @property
    def extremes(self) -> dict[str, Extreme]:
        """The four of all her length by name. Source: definition."""
        return {
            "shear_greatest": self.shear_greatest,
            "shear_least": self.shear_least,
            "bending_greatest": self.bending_greatest,
            "bending_least": self.bending_least,
        }


@dataclass(frozen=True, slots=True)
class StillWater(Forces):
    """Forces of one condition with what they come from.

    `waterline` is that of the sections, `table_difference` what the sections displace beyond the hydrostatic table at
    one waterline, `lightship_difference` what the segments have beyond the lightship."""

    waterline: SectionWaterline
    table_difference: Difference
    lightship_difference: Difference
    curve: LoadCurve
    point_loads: Totals
    distributed: Totals

    def greatest_use(self, quantity: str) -> tuple[float, float] | None:
        """Percent of the limit in force, and x (m), where SHEAR or BENDING uses most of it, at a read-out point or
        between two; None where no limit is. Source: definition."""
        used = [(station.use(self.which), station.station.x) for station in self.stations]
        places = [((use.shear if quantity == SHEAR else use.bending).percent, x) for use, x in used]
        if quantity in self.between:
            places.append((self.between[quantity].use.percent, self.between[quantity].x))
        known = [(percent, x) for percent, x in places if percent is not None]
        return max(known, default=None)


def still_water(
    booklet: StrengthBooklet,
    lightship: Weight,
    tanks: Sequence[Tank],
    lines: Sequence[TankLine],
    liquids: Sequence[Liquid],
    weights: Sequence[Weight],
    flotation: Flotation,
    load: Displacement,
    water_density: float,
    harbour: bool,
) -> StillWater:
    """Her shear forces and bending moments; draft and trim are found on the sections, so that the load closes.

    Deflection does not enter buoyancy (value from memory). Raises CoreError where her tables do not allow it.
    Source: IACS UR S11.2.1 (still-water bending moments and shear forces)."""
    sections = booklet.sections
    if sections is None:
        raise CoreError("the booklet has no areas of sections by draft")
    difference = _lightship(booklet, lightship, flotation.length_bp)
    against_table = _table(sections, flotation, load, water_density)
    loads = list(booklet.lightship_loads)
    loads += _liquids(tanks, lines, liquids)
    loads += [spread(w.mass, w.lcg, w.extent) for w in weights if w.mass]
    whole = totals(loads)
    start = (flotation.draft_aft, flotation.draft_forward)
    waterline = float_on_sections(
        sections, whole.mass, whole.moment, flotation.length_bp, water_density, start
    )
    areas, _ = sections.at(sections.along(*waterline))
    curve = LoadCurve.of(loads, sections.x, (water_density * areas).tolist())
    which = HARBOUR if harbour else SEA
    shears, bendings = curve.shear_extremes(), curve.bending_extremes()
    return StillWater(
        which=which,
        waterline=waterline,
        table_difference=against_table,
        lightship_difference=difference,
        stations=tuple(station_forces(station, curve.at(station.x)) for station in booklet.stations),
        shear_greatest=_extreme(booklet, which, SHEAR, max(shears, key=_value)),
        shear_least=_extreme(booklet, which, SHEAR, min(shears, key=_value)),
        bending_greatest=_extreme(booklet, which, BENDING, max(bendings, key=_value)),
        bending_least=_extreme(booklet, which, BENDING, min(bendings, key=_value)),
        between={
            quantity: found
            for quantity, values in ((SHEAR, shears), (BENDING, bendings))
            if (found := _worst(booklet, which, quantity, values)) is not None
        },
        curve=curve,
        point_loads=totals(point_loads(loads)),
        distributed=whole,
    )


def _lightship(booklet: StrengthBooklet, lightship: Weight, length_bp: float) -> Difference:
    """Segments against lightship; raises StrengthError where they are not the same ship."""
    mass, moment = totals(booklet.lightship_loads)
    centre = moment / mass if mass else 0.0
    found = Difference(
        mass - lightship.mass, 100.0 * (mass - lightship.mass) / lightship.mass, centre - lightship.lcg
    )
    by_mass, by_centre = abs(found.mass) / lightship.mass, abs(found.centre) / length_bp
    if not max(by_mass, by_centre) <= LIGHTSHIP_TOLERANCE * (1.0 + 1e-9):
        words = "the segments of her lightship do not add up to its mass and centre"
        raise StrengthError("lightship_distribution_differs", words)
    return found


def _table(sections: Sections, flotation: Flotation, load: Displacement, water_density: float) -> Difference:
    """What the sections displace at the drafts of the hydrostatic table, against the displacement and LCG that
    these drafts are for; raises StrengthError where they are not the same hull."""
    mass, centre = sections.displacement(
        flotation.draft_aft, flotation.draft_forward, flotation.length_bp, water_density
    )
    more = mass - load.mass
    found = Difference(more, 100.0 * more / load.mass, centre - load.lcg)
    if not abs(found.percent) <= 100.0 * WATERLINE_TOLERANCE:
        words = "the sections of her strength tables displace otherwise than her hydrostatic table"
        raise StrengthError("strength_waterline_differs", words)
    return found


def _liquids(tanks: Sequence[Tank], lines: Sequence[TankLine], liquids: Sequence[Liquid]) -> list[Load]:
    loads = []
    for line, liquid in zip(lines, liquids):
        tank = tanks[line.tank]
        if tank.extent is not None and liquid.mass and not is_inside(liquid.lcg, tank.extent):
            raise CoreError(f"the centre of the liquid in tank {tank.id} lies beyond the ends of the tank")
        if liquid.mass:
            loads.append(spread(liquid.mass, liquid.lcg, tank.extent))
    return loads


def station_forces(station: Station, cut: Cut) -> StationForces:
    """What acts at a read-out point, and what it uses of its limits. Source: see `used_by`."""
    shears = (cut.shear_aft, cut.shear_forward)
    sea, harbour = (
        SetUse(used_by(limits, SHEAR, shears), used_by(limits, BENDING, (cut.bending,)))
        for limits in (station.sea, station.harbour)
    )
    return StationForces(station, cut, sea, harbour)


def _value(value: Value) -> float:
    return value.value


def _extreme(booklet: StrengthBooklet, which: str, quantity: str, found: Value) -> Extreme:
    limit = booklet.limit_between(which, quantity, found.x, found.value)
    return Extreme(found.x, found.value, used(limit, found.value))


def _worst(booklet: StrengthBooklet, which: str, quantity: str, values: Sequence[Value]) -> Extreme | None:
    """The local extreme that uses most of its limit."""
    worst: Extreme | None = None
    for value in values:
        each = _extreme(booklet, which, quantity, value)
        percent = each.use.percent
        if percent is not None and (worst is None or percent > (worst.use.percent or 0.0)):
            worst = each
    return worst
