"""The same assessment in plain Python: one condition at a time, scalar loops, bisect and math only.

A floor for the core, and a check on it: method, tables, spline, roots, areas and criteria are the same, so the
figures must agree to rounding. It covers what the reference case uses (metric documents in the axes of the core, free
surface as filled or by the Code, the general and the weather criteria, load lines, openings and deck edge at her trim)
and leaves out findings, reasons and the choice of words, which the core's time includes.
"""

from dataclasses import dataclass
from math import atan2, degrees, inf, isnan, nan, pi, radians, sin, sqrt, tan
from typing import Any

from service.core.condition import Condition
from tests.benchmarks.plain_curve import Curve, Table, looked_up, number, place
from tests.benchmarks.plain_waterplane import PlainLevels, PlainWaterplane
from tests.benchmarks.reference_case import CONSUMABLES

GENERAL = (("area", 0.055), ("area", 0.090), ("area", 0.030), ("lever", 0.20), ("angle", 25.0), ("GM", 0.15))
X1 = (
    [2.4, 2.5, 2.6, 2.7, 2.8, 2.9, 3.0, 3.1, 3.2, 3.3, 3.4, 3.5],
    [1.00, 0.98, 0.96, 0.95, 0.93, 0.91, 0.90, 0.88, 0.86, 0.84, 0.82, 0.80],
)
X2 = ([0.45, 0.50, 0.55, 0.60, 0.65, 0.70], [0.75, 0.82, 0.89, 0.95, 0.97, 1.00])
K = ([0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0], [1.0, 0.98, 0.95, 0.88, 0.79, 0.74, 0.72, 0.70])
S = ([6.0, 7.0, 8.0, 12.0, 14.0, 16.0, 18.0, 20.0], [0.100, 0.098, 0.093, 0.065, 0.053, 0.044, 0.038, 0.035])


@dataclass(frozen=True)
class PlainTank:
    """Volumes with [lcg, vcg, tcg, inertia], soundings with volumes, and heeled moments by filling if printed."""

    table: Table
    soundings: tuple[list[float], list[float]]
    capacity: float
    limit: float
    unpumpable: float
    heeled: Table | None
    greatest: float
    consumable: bool


@dataclass(frozen=True)
class Result:
    """What is compared with the core; angles in degrees. `opening` is the height of the lowest one as she rests."""

    displacement: float
    free_surface: float
    gm: float
    drafts: tuple[float, float, float]
    trim: float
    list_angle: float
    deck_edge: float
    floods: dict[str, float]
    opening: float
    permitted: tuple[float, float]
    low_side: float
    levers: list[float]
    vanishing: float
    criteria: list[float]
    area_a: float
    area_b: float


class PlainVessel:
    """A vessel document as lists."""

    def __init__(self, document: dict[str, Any]) -> None:
        assert document["units"] == "metric", "the plain calculation knows metres and tonnes only"
        assert document["axes"] == {
            "x_origin": "aft_perpendicular",
            "x_positive": "forward",
            "y_positive": "port",
        }
        self.particulars = document["particulars"]
        self.lightship = document["lightship"]
        self.hydrostatics = _hydrostatics(document)
        self.density = document["hydrostatics"]["density"]
        curves = document["cross_curves"]
        assert curves["basis"] == "kn"
        assert document["hydrostatics"]["draft_reference"] == "midship"
        self.knots = [0.0, *(radians(heel) for heel in curves["heels"])]
        trims = sorted([curves, *curves.get("at_other_trims", [])], key=lambda table: table["trim"])
        self.curve_trims = [table["trim"] for table in trims]
        self.cross_curves: list[Table] = [(table["displacements"], table["levers"]) for table in trims]
        self.curve_density = curves["density"]
        self.levels = [
            PlainLevels(
                table["displacements"],
                table["levers"],
                [self._row(mass, table["trim"])[3] for mass in table["displacements"]],
            )
            for table in trims
        ]
        self.tanks = [_tank(tank, self.knots) for tank in document["tanks"]]
        wind = document["wind_profile"]
        self.wind: Table = (
            [row["draft"] for row in wind],
            [[row["area"], row["centroid_height"]] for row in wind],
        )
        self.deck_edge = _angles(document["deck_edge"]["immersion_angles"])
        self.deck_points = [(p["x"], abs(p["y"]), p["z"]) for p in document["deck_edge"]["points"]]
        self.openings = [
            ((opening["x"], opening["y"], opening["z"]), _angles(opening["immersion_angles"]))
            for opening in document["openings"]
            if opening["protection"] == "unprotected"
        ]
        self.marks = document["load_lines"]["marks"]
        even_keel = [row for row in document["hydrostatics"]["rows"] if row["trim"] == 0.0]
        drafts, summer = [row["draft"] for row in even_keel], self.marks["S"]
        tpc = number((drafts, [row["tpc"] for row in even_keel]), summer)
        self.allowance = number((drafts, [row["displacement"] for row in even_keel]), summer) / (4000.0 * tpc)
        small = 0.01 * self.particulars["minimum_service_displacement"]
        self.small = small / (sin(pi / 6.0) * (1.0 + tan(pi / 6.0) ** 2 / 2.0))

    def assess(self, condition: Condition) -> Result:
        """One condition: the greater of `as_filled` and the Code's free surface, general and weather criteria."""
        mass, x, z, y, moment, heeled, upright = self._sums(condition)
        lcg, kg, tcg = x / mass, z / mass, y / mass
        equivalent = mass * self.density / condition.water_density
        trim, (midship, _, _, km, _, block) = self._afloat(equivalent, lcg, kg)
        aft = midship + 0.5 * trim
        gm = km - kg - moment / mass
        fluid = kg + (moment - upright) / mass
        waterplane = self._waterplane(equivalent, trim, midship)
        even = self._waterplane(equivalent, 0.0, self._row(equivalent, 0.0)[0])
        edge = self._deck_edge(even, waterplane)
        kn = self._kn(mass * self.curve_density / condition.water_density, trim)
        kn = [0.0, *(value - lost / mass for value, lost in zip(kn, heeled))]
        side = -1.0 if tcg < 0.0 else 1.0
        curve = Curve(self.knots, kn, km - upright / mass, fluid, side * tcg)
        other = Curve(self.knots, kn, km - upright / mass, fluid, -side * tcg)
        levels = self._wind(midship, mass, condition.wind_area, condition.wind_moment)
        roll = self._roll(midship, gm, kg + moment / mass, block)
        floods = self._flooding(even, waterplane, side), self._flooding(even, waterplane, -side)
        sides = [
            [*general(c, f, gm), *self._weather(c, f, levels, roll)] for c, f in zip((curve, other), floods)
        ]
        worst = [min(pair) for pair in zip(*(row[:6] for row in sides))]
        steady = max(sides[0][6], sides[1][6])
        weather = min((row[7:] for row in sides), key=lambda ab: ab[1] - ab[0])
        lists = degrees(atan2(abs(tcg), gm))
        if gm <= 0.0 or lists > 5.0:
            lists = degrees(curve.crossing(0.0, rising=True))
        resting = (side,) if gm > 0.0 else (1.0, -1.0)
        return Result(
            mass,
            moment,
            gm,
            (aft - trim, midship, aft),
            trim,
            side * lists,
            edge,
            dict(zip(("port", "starboard") if side > 0.0 else ("starboard", "port"), floods)),
            min(waterplane.height(p, s, radians(lists)) for p, _ in self.openings for s in resting),
            self._permitted(condition.water_density),
            midship + 0.5 * self.particulars["breadth"] * tan(radians(lists)),
            curve.levers,
            degrees(curve.crossing(0.0, rising=False, after=curve.angle_of_maximum)),
            [*worst, steady],
            *weather,
        )

    def _sums(self, condition: Condition) -> tuple[float, float, float, float, float, list[float], float]:
        """Mass, its moments, the free surface moment that counts, and what heeled moments take from KN and from it."""
        ship = self.lightship
        mass = ship["mass"]
        x, z, y = mass * ship["lcg"], mass * ship["vcg"], mass * ship["tcg"]
        for weight in condition.weights:
            mass += weight.mass
            x += weight.mass * weight.lcg
            z += weight.mass * weight.vcg
            y += weight.mass * weight.tcg
        as_filled = by_rule = 0.0
        slack = []
        for index, quantity, value, density, *_ in condition.tanks:
            tank = self.tanks[index]
            volume = self._volume(tank, quantity, value, density)
            lcg, vcg, tcg, inertia = looked_up(tank.table, volume)
            liquid = volume * density
            mass += liquid
            x += liquid * lcg
            z += liquid * vcg
            y += liquid * tcg
            fill = 100.0 * volume / tank.capacity
            if volume <= tank.unpumpable or fill >= tank.limit - 0.05:
                continue
            as_filled += inertia * density
            counts = max(tank.greatest, inertia) * density >= self.small
            if counts:
                by_rule += (max(tank.greatest, inertia) if tank.consumable else inertia) * density
            if tank.heeled is not None:
                slack.append((tank.heeled, fill, inertia, density, counts and not tank.consumable))
        upright, heeled = 0.0, [0.0] * (len(self.knots) - 1)
        for table, fill, inertia, density, by_the_code in slack:
            if by_the_code or as_filled >= by_rule:
                upright += inertia * density
                at = looked_up(table, fill)
                heeled = [lost + density * shift for lost, shift in zip(heeled, at)]
        return mass, x, z, y, max(as_filled, by_rule), heeled, upright

    @staticmethod
    def _volume(tank: PlainTank, quantity: str, value: float, density: float) -> float:
        if quantity == "mass":
            return value / density
        if quantity == "volume":
            return value
        if quantity == "fill":
            return value * tank.capacity * 0.01
        return number(tank.soundings, value)

    def _row(self, displacement: float, trim: float) -> list[float]:
        """[draft, LCB, LCF, KM, VCB, Cb] at a displacement and a trim."""
        i, part = place([at for at, _ in self.hydrostatics], trim)
        first, second = (
            _at(self.hydrostatics[i][1], displacement),
            _at(self.hydrostatics[i + 1][1], displacement),
        )
        return [low + part * (high - low) for low, high in zip(first, second)]

    def _afloat(self, displacement: float, lcg: float, vcg: float) -> tuple[float, list[float]]:
        """Trim at which G and B lie on one normal to the waterline, and [draft, LCB, LCF, KM, VCB, Cb] there."""
        length = self.particulars["length_bp"]
        rows = [(trim, _at(table, displacement)) for trim, table in self.hydrostatics]
        levers = [lcg - row[1] - trim / length * (vcg - row[4]) for trim, row in rows]
        below = min(max(sum(lever <= 0.0 for lever in levers) - 1, 0), len(rows) - 2)
        (t0, first), (t1, second) = rows[below], rows[below + 1]
        part = levers[below] / (levers[below] - levers[below + 1])
        for _ in range(3):
            trim = t0 + part * (t1 - t0)
            arm = vcg - first[4] - part * (second[4] - first[4])
            left = lcg - first[1] - part * (second[1] - first[1]) - trim / length * arm
            steep = ((t1 - t0) * arm - trim * (second[4] - first[4])) / length
            part += left / (second[1] - first[1] + steep)
        trim = t0 + part * (t1 - t0)
        return trim, [low * (1.0 - part) + high * part for low, high in zip(first, second)]

    def _waterplane(self, displacement: float, trim: float, draft_midship: float) -> PlainWaterplane:
        i, part = place(self.curve_trims, trim)
        first, second = self.levels[i].derivative(displacement), self.levels[i + 1].derivative(displacement)
        sinkage = [low + part * (high - low) for low, high in zip(first, second)]
        return PlainWaterplane(self.knots, sinkage, draft_midship, trim, self.particulars["length_bp"])

    def _kn(self, displacement: float, trim: float) -> list[float]:
        i, part = place(self.curve_trims, trim)
        first = looked_up(self.cross_curves[i], displacement)
        second = looked_up(self.cross_curves[i + 1], displacement)
        return [low + part * (high - low) for low, high in zip(first, second)]

    def _flooding(self, even: PlainWaterplane, hers: PlainWaterplane, side: float) -> float:
        """Angle in degrees at which the first opening on that side immerses: as printed for an even keel, and the
        difference that the level of the waterplane gives between the two trims."""
        first = inf
        for point, table in self.openings:
            if point[1] * side < 0.0:
                continue
            printed = number(table, even.draft_midship)
            there, here = even.immersion(point, side, printed), hers.immersion(point, side, printed)
            first = min(first, printed + here - there if max(there, here) < inf else min(printed, here))
        return first

    def _deck_edge(self, even: PlainWaterplane, hers: PlainWaterplane) -> float:
        """Angle in degrees at which the deck edge immerses."""
        printed = number(self.deck_edge, even.draft_midship)
        there = even.first_immersion(self.deck_points, printed)
        return printed + hers.first_immersion(self.deck_points, printed) - there

    def _permitted(self, density: float) -> tuple[float, float]:
        """Least and greatest draft that her ordinary marks permit in this water."""
        part = min(max((1.025 - density) / 0.025, 0.0), 1.0)
        drafts = [self.marks[mark] + self.allowance * part for mark in ("T", "S", "W", "WNA")]
        return min(drafts), max(drafts)

    def _wind(self, draft: float, mass: float, added: float, added_moment: float) -> tuple[float, float]:
        area, height = looked_up(self.wind, draft)
        height = (area * height + added_moment) / (area + added)
        steady = 504.0 * (area + added) * (height - 0.5 * draft) / (1000.0 * 9.81 * mass)
        return steady, 1.5 * steady

    def _roll(self, draft: float, gm: float, kg: float, block: float) -> float:
        """Angle of roll in degrees; NaN where GM is not positive."""
        p = self.particulars
        breadth, length = p["breadth"], p["length_waterline"]
        if gm <= 0.0:
            return nan
        c = 0.373 + 0.023 * breadth / draft - 0.043 * length / 100.0
        period = 2.0 * c * breadth / sqrt(gm)
        k = number(K, 100.0 * p["bilge_keel_area"] / (length * breadth))
        r = 0.73 + 0.6 * (kg - draft) / draft
        return 109.0 * k * number(X1, breadth / draft) * number(X2, block) * sqrt(r * number(S, period))

    def _weather(
        self, curve: Curve, flooding: float, levels: tuple[float, float], roll: float
    ) -> tuple[float, float, float]:
        """Heel under the steady wind in degrees, and the areas a and b in m.rad."""
        steady, gust = levels
        phi0 = curve.crossing(steady, rising=True)
        meets = curve.crossing(gust, rising=True)
        leaves = nan if isnan(meets) else curve.crossing(gust, rising=False, after=meets)
        end = radians(min(flooding, 50.0))
        if leaves < end:
            end = leaves
        start = phi0 - radians(roll)
        a = gust * (meets - start) - curve.area(start, meets)
        b = curve.area(meets, end) - gust * (end - meets)
        return degrees(phi0), a, b


def general(curve: Curve, flooding: float, gm: float) -> list[float]:
    """The six attained values of A 2.2, on the part of the curve before flooding."""
    usable = radians(min(flooding, curve.heels[-1]))
    thirty, forty = pi / 6.0, 2.0 * pi / 9.0
    inside = [lever for lever, heel in zip(curve.levers, curve.heels) if 30.0 <= heel <= degrees(usable)]
    greatest = max([*inside, curve.lever(thirty), curve.lever(max(thirty, usable))])
    if thirty <= curve.angle_of_maximum <= usable:
        greatest = max(greatest, curve.maximum)
    return [
        curve.area(0.0, min(thirty, usable)),
        curve.area(0.0, min(forty, usable)),
        curve.area(thirty, max(thirty, min(forty, usable))),
        greatest,
        degrees(min(curve.angle_of_maximum, usable)),
        gm,
    ]


def _at(table: Table, displacement: float) -> list[float]:
    """A hydrostatic row; KM stands in the table as displacement x KM."""
    row = looked_up(table, displacement)
    row[3] /= displacement
    return row


def _hydrostatics(document: dict[str, Any]) -> list[tuple[float, Table]]:
    rows = document["hydrostatics"]["rows"]
    names = ("draft", "lcb", "lcf", "km", "vcb", "block_coefficient")
    tables: dict[float, Table] = {}
    for row in rows:
        arguments, columns = tables.setdefault(row["trim"], ([], []))
        arguments.append(row["displacement"])
        columns.append([row[name] for name in names])
        columns[-1][3] *= row["displacement"]
    return sorted(tables.items())


def _tank(tank: dict[str, Any], knots: list[float]) -> PlainTank:
    rows = tank["table"]["rows"]
    volumes = [row["volume"] for row in rows]
    columns = [[row["lcg"], row["vcg"], row["tcg"], row["free_surface_inertia"]] for row in rows]
    soundings = ([row["sounding"] for row in rows], list(volumes))
    if volumes[-1] < tank["capacity"] * (1.0 - 1e-9):
        volumes.append(tank["capacity"])
        columns.append([tank["lcg"], tank["vcg"], tank["tcg"], columns[-1][3]])
    table: Table = (volumes, columns)
    heeled = _heeled(tank, table, knots) if tank.get("heeled_moments") else None
    limit = tank.get("normal_limit") or 98.0
    full = 0.01 * limit * tank["capacity"]
    below = [column[3] for volume, column in zip(volumes, columns) if volume < full]
    greatest = max(looked_up(table, full)[3], *below)
    unpumpable, consumable = tank.get("unpumpable") or 0.0, tank["contents"] in CONSUMABLES
    return PlainTank(table, soundings, tank["capacity"], limit, unpumpable, heeled, greatest, consumable)


def _heeled(tank: dict[str, Any], table: Table, knots: list[float]) -> Table:
    """Printed heeled moments at the heels of the cross curves, by the spline whose slope upright is the inertia."""
    printed = tank["heeled_moments"]
    heels = [0.0, *(radians(heel) for heel in printed["heels"])]
    at_knots = []
    for fill, moments in zip(printed["fillings"], printed["moments"]):
        inertia = looked_up(table, fill * 0.01 * tank["capacity"])[3]
        curve = Curve(heels, [0.0, *moments], inertia, 0.0, 0.0)
        at_knots.append([curve.lever(knot) for knot in knots[1:]])
    return printed["fillings"], at_knots


def _angles(rows: list[dict[str, float]]) -> tuple[list[float], list[float]]:
    return [row["draft"] for row in rows], [row["angle"] for row in rows]
